from heritagemove.files.cells import Identifier, Text, choice, quantity, whole
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis, Positions


class Trailer(Row, read_by="gates"):
    """One trailer or transporter."""

    trailer: Identifier = column("id of the trailer type", key=True)
    title: Text = column("what it is")
    used_for: choice("trailer", "transporter", "roll_on_trailer", "truck_load") = column("paths that use it")
    tare: quantity("lb", above=0) = column("weight empty, with tractors")
    payload: quantity("lb", above=0) = column("greatest payload")
    axle_limit: quantity("lb", above=0) = column("greatest axle load")
    axle_positions: Positions = column("axles, feet from the first")
    lanes: whole(1, 4) = column("lanes that its wheels load")
    width: quantity("ft", above=0) = column("width")
    deck_height: quantity("ft") = column("deck above the road")
    wheelbase: quantity("ft", above=0) = column("effective wheelbase in a turn, steering counted")
    turn_radius: quantity("ft", above=0) = column("smallest radius it can take")
    miles_per_day: quantity("mile", above=0) = column("distance it makes in one permitted day")
    basis: Basis = BASIS
    source: Text = SOURCE
