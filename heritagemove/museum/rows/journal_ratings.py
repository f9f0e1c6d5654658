from heritagemove.files.cells import OptionalDate, Text, choice, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import PROVENANCE, JournalSize, Strength


class JournalRating(Row, read_by="gates"):
    """What one axle on a journal of one size may carry."""

    journal: JournalSize = column("journal size, inches", key=True)
    service: choice("freight", "passenger", "tender") = column("service the rating is for", key=True)
    journal_class: Text = column("class letter")
    axle_rating: quantity("lb") = column("load of one axle")
    strength: Strength = column("as in limits.csv", read_by=PROVENANCE)
    source: Text = column("title, edition, section", read_by=PROVENANCE)
    as_of: OptionalDate = column("date of the text", read_by=PROVENANCE)
    confirm_with: Text = column("who must confirm it", read_by=PROVENANCE)
