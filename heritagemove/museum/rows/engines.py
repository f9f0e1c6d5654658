from heritagemove.files.cells import Identifier, Text, quantity
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, Coupled, Positions, YesOrBlank


class Engine(Coupled, read_by="gates"):
    """One towing engine; the first row is the one that is planned with."""

    engine: Identifier = column("id of the engine type", key=True, read_by="check")
    title: Text = column("what it is")
    weight: quantity("lb") = column("weight in working order, shared alike by its axles")
    length: quantity("ft") = column("length over couplers")
    axle_positions: Positions = column("axles, feet from the front coupler face")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
