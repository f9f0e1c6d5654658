from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import OptionalNonNegative, Reference, Text, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank
from heritagemove.units.units import show


class TieDownDrawing(Row, read_by="gates, costs and dates"):
    """What the railroad's approved drawing asks of the tie-downs of a unit on one flat car; what is blank is unknown."""

    vehicle: Reference = column("id of the unit, or any", key=True, refers_to="vehicles.vehicle", also=("any",))
    flat_car: Reference = column("id of the flat car", key=True, refers_to="flat_cars.flat_car")
    longitudinal: OptionalNonNegative = column("what is held lengthwise, as a multiple of the load's weight")
    lateral: OptionalNonNegative = column("what is held sideways, as a multiple of the load's weight")
    vertical: OptionalNonNegative = column("what is held against lifting, as a multiple of the load's weight")
    strength: quantity("lb", blank=True, above=0) = column("what it credits to one tie-down")
    angle: quantity("degree", blank=True, above=0) = column("angle of a tie-down above the deck, below 90 degrees")
    bearing: quantity("degree", blank=True, above=0) = column(
        "angle of a tie-down from the car's length, in plan, below 90 degrees"
    )
    tie_downs: OptionalNonNegative = column("tie-downs that it shows, of which half pull each way", read_by="gates")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _holds_something(self) -> Any:
        for name in ("angle", "bearing"):
            found = getattr(self, name)
            if found is not None and found.m_as("degree") >= 90:
                raise ValueError(f"{name}: an angle below 90 degrees; found {show(found)}")
        if (self.longitudinal, self.lateral, self.vertical) == (0, 0, 0):
            raise ValueError("longitudinal: more than 0 in one direction at least, or blank for unknown")
        return self
