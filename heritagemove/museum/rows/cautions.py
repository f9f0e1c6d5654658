from heritagemove.files.cells import Identifier, Identifiers, Text
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import PROVENANCE


class Caution(Row, read_by="screens"):
    """One safety caution and the screens it stands on."""

    caution: Identifier = column("id of the caution", key=True, read_by="check")
    screens: Identifiers = column("screens: every, survey, hazards, steam, jacking, lifting, rail, road, money")
    topic: Text = column("topic")
    text: Text = column("the caution")
    source: Text = column("rule behind it", read_by=PROVENANCE)
