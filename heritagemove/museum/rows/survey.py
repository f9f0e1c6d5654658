from heritagemove.files.cells import Date, Identifier, OptionalFileName, Reference, Text
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis


class Observation(Row):
    """One thing seen, measured or confirmed."""

    vehicle: Reference = column("id of the unit, or any for a fact of the site", refers_to="vehicles.vehicle", also=("any",))
    place: Text = column("where: vehicle, site, or a journal box such as 1L")
    clue: Identifier = column("what was looked for")
    found: Text = column("what was found: yes, no, or a word the gate names")
    photo: OptionalFileName = column("file name of the photograph")
    observed: Date = column("date")
    basis: Basis = column(BASIS)
    source: Text = column(SOURCE)
