from heritagemove.files.cells import Identifier, Number, OptionalDate, OptionalText, Text
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import Strength


class Limit(Row):
    """One published limit or planning policy."""

    limit: Identifier = column("id of the limit", key=True)
    title: Text = column("what it limits")
    value: Number = column("value")
    unit: OptionalText = column("unit; blank for a plain number")
    strength: Strength = column("whether the source itself was read, a page that quotes it, or neither")
    source: Text = column("title, edition, section")
    as_of: OptionalDate = column("date of the edition, or the day the source was read where it has none")
    confirm_with: Text = column("who must confirm it before it is relied on")
