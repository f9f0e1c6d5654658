from heritagemove.files.cells import OptionalDate, Text, choice, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import JournalSize, Strength


class JournalRating(Row):
    """What one axle on a journal of one size may carry."""

    journal: JournalSize = column("journal size, inches")
    service: choice("freight", "passenger", "tender") = column("service the rating is for")
    journal_class: Text = column("class letter")
    axle_rating: quantity("lb") = column("load of one axle")
    strength: Strength = column("as in limits.csv")
    source: Text = column("title, edition, section")
    as_of: OptionalDate = column("date of the text")
    confirm_with: Text = column("who must confirm it")
