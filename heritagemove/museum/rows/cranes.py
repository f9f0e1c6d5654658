from heritagemove.files.cells import Identifier, Text, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis


class Crane(Row, read_by="gates, costs and dates"):
    """One point of one crane's load chart."""

    crane: Identifier = column("id of the crane class", key=True)
    title: Text = column("what it is", read_by="screens")
    radius: quantity("ft") = column("radius of the lift", key=True)
    capacity: quantity("short_ton") = column("rated capacity at that radius")
    crane_weight: quantity("short_ton") = column("weight of the crane as it lifts", one_per="crane")
    basis: Basis = BASIS
    source: Text = SOURCE
