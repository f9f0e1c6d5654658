from heritagemove.files.cells import Identifier, OptionalNonNegative, Text, YesNo, choice, quantity, whole
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, Positions, YesOrBlank


class Trailer(Row, read_by="gates"):
    """One trailer or transporter."""

    trailer: Identifier = column("id of the trailer type", key=True)
    title: Text = column("what it is")
    used_for: choice("trailer", "transporter", "roll_on_trailer", "truck_load") = column("paths that use it")
    tare: quantity("lb", above=0) = column("weight empty, with tractors")
    payload: quantity("lb", above=0) = column("greatest payload, blocking and chains included")
    axle_positions: Positions = column("axles, feet from the first")
    lanes: whole(1, 4) = column("lanes that its wheels load")
    width: quantity("ft", above=0) = column("width")
    deck_height: quantity("ft") = column("deck, or top of the rails in it, above the road")
    between_beams: YesNo = column("whether the load hangs between its beams, wheels and all")
    blocking_height: quantity("in", blank=True) = column("blocking between deck and load; 0 where it rolls on rails")
    blocking_weight: quantity("lb", blank=True) = column("blocking, chains, spreader and whatever else rides with the load")
    load_place: quantity("ft", blank=True) = column("where the middle of the load stands, from the first axle")
    tie_down_points: OptionalNonNegative = column("points that take a chain; blank is unknown")
    front_overhang: quantity("ft", blank=True) = column("what reaches ahead of the first axle")
    rear_overhang: quantity("ft", blank=True) = column("what reaches behind the last axle")
    wheelbase: quantity("ft", above=0) = column("effective wheelbase in a turn, steering counted")
    turn_radius: quantity("ft", above=0) = column("smallest outer radius of a long turn that it can take")
    miles_per_day: quantity("mile", above=0) = column("distance it makes in one permitted day")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
