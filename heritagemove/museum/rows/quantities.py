from heritagemove.files.cells import NonNegative, Reference, Text
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, Range, ThreePoint, YesOrBlank


class Quantity(ThreePoint, read_by="costs and dates"):
    """How much of a driver is needed where it is not computed."""

    vehicle: Reference = column("id of the unit, or any", key=True, refers_to="vehicles.vehicle", also=("any",))
    path: Reference = column("id of the path, or any", key=True, refers_to="paths.path", also=("any",))
    driver: Reference = column("name of the driver", key=True, refers_to="drivers")
    low: NonNegative = column("low value, in the driver's unit")
    likely: NonNegative = column("likely value")
    high: NonNegative = column("high value")
    range: Range = column("what low and high mean")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
