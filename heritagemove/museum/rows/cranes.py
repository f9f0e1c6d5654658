from heritagemove.files.cells import Identifier, Text, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis


class Crane(Row):
    """One point of one crane's load chart."""

    crane: Identifier = column("id of the crane class", key=True)
    title: Text = column("what it is")
    radius: quantity("ft") = column("radius of the lift", key=True)
    capacity: quantity("short_ton") = column("rated capacity at that radius")
    outrigger_base: quantity("ft") = column("outrigger base")
    crane_weight: quantity("short_ton") = column("weight of the crane as it lifts")
    basis: Basis = column(BASIS)
    source: Text = column(SOURCE)
