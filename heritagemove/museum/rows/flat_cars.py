from heritagemove.files.cells import Identifier, Text, YesNo, quantity
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, Coupled, Positions, YesOrBlank


class FlatCar(Coupled, read_by="gates"):
    """One carrying car."""

    flat_car: Identifier = column("id of the car type", key=True)
    title: Text = column("what it is")
    special: YesNo = column("whether it must be ordered in and positioned empty")
    light_weight: quantity("lb") = column("weight of the empty car")
    load_limit: quantity("lb") = column("load limit as stencilled")
    deck_height: quantity("ft") = column("deck above the rail")
    deck_length: quantity("ft") = column("usable deck", at_most="length")
    length: quantity("ft") = column("length over couplers")
    truck_centres: quantity("ft") = column("distance between truck centres", at_most="length")
    axle_positions: Positions = column("axles, feet from the front coupler face")
    sharpest_curve: quantity("degree") = column("sharpest curve it may take loaded")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
