from heritagemove.files.cells import Count, Reference, Text, choice, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Axle(Row, read_by="gates"):
    """One axle of one unit."""

    vehicle: Reference = column("id of the unit", key=True, refers_to="vehicles.vehicle")
    axle: Count = column("number from the front", key=True)
    position: quantity("ft") = column("distance behind the front pulling face")
    load: quantity("lb", blank=True) = column("load on this axle as the unit stands")
    role: choice("truck", "engine_truck", "driver", "trailing_truck", "tender") = column("what it carries")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
