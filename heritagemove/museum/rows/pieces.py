import pint

from heritagemove.files.cells import Identifier, Reference, Text, YesNo, choice, quantity, whole
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank
from heritagemove.units.units import Quantity

#: What is lifted, loaded and run over the road or the rails as the unit itself; the other kinds are taken out of it.
BODIES = ("whole", "body")
_KINDS = (*BODIES, "truck", "tender", "cab", "boiler", "part")


class Piece(Row, read_by="gates, costs and dates"):
    """One piece that a unit is moved as, or several alike: the whole, its body, its trucks, a tender."""

    vehicle: Reference = column("id of the unit", key=True, refers_to="vehicles.vehicle")
    piece: Identifier = column("id of the piece, within its unit", key=True)
    title: Text = column("what it is, in a planner's words", read_by="screens")
    kind: choice(*_KINDS) = column("what it is; whole: the unit goes as one piece")
    count: whole(1, 99) = column("how many alike")
    weight: quantity("lb", blank=True) = column("weight of one")
    length: quantity("ft", blank=True) = column("length of one as a load")
    width: quantity("ft", blank=True) = column("greatest width of one; blank on a body: as wide as its unit")
    height: quantity("ft", blank=True) = column(
        "from what it stands on to its top; blank on a body: its unit's height less the underside, all of it on its wheels"
    )
    underside: quantity("ft", blank=True) = column("height of its underside above the rail, as it stands in the unit")
    centre_of_gravity_height: quantity("ft", blank=True) = column(
        "its own centre of gravity above the rail, as it stands in the unit; blank: what unit and trucks balance to"
    )
    centre_of_gravity_offset: quantity("ft", blank=True, least=-100) = column(
        "its own centre of gravity ahead of its middle; blank: what unit and trucks balance to"
    )
    wheels_on: YesNo = column(
        "whether it keeps its wheels when it is carried: then they stand on the deck, not its underside",
        read_by="gates, screens",
    )
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @property
    def resting(self) -> pint.Quantity | None:
        """Height above the rail of what stands on a deck: 0 on its own wheels, else its underside; None is unknown."""
        return Quantity(0.0, "ft") if self.wheels_on else self.underside
