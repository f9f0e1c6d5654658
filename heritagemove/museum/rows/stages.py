from typing import Any, Literal

from pydantic import model_validator

from heritagemove.files.cells import Count, Identifier, Identifiers, OptionalReference, Reference, Text, YesNo, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank

#: What carries the unit -> over which kind of leg.
MODES: dict[str, Literal["rail", "road", "ground", "water", "none"]] = {
    "own_wheels": "rail", "other_wheels": "rail", "flat_car": "rail",
    "trailer": "road", "transporter": "road", "roll_on_trailer": "road",
    "shift": "ground", "barge": "water", "storage": "none",
}  # fmt: skip

#: Ways of a local shift over the ground.
SHIFTS = ("side_booms", "skid", "jack_and_roll", "panel_track")


class Stage(Row, read_by="gates, costs and dates"):
    """One step of a path: from where, to where, on what and over which legs."""

    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    stage: Identifier = column("id of the stage within the path", key=True)
    order: Count = column("order within the path", unique=True, same="path", read_by="check")
    title: Text = column("what is done", read_by="screens")
    from_place: Reference = column("where it begins", refers_to="places.place")
    to_place: Reference = column("where it ends", refers_to="places.place")
    carried_on: choice(*MODES) = column("what carries the unit; storage: it waits at one place, and runs over no leg")
    legs: Identifiers = column("legs it runs over, in order, without detours; blank is unknown", refers_to="legs.leg")
    trucks: OptionalReference = column(
        "trucks put under the unit in place of its own; blank: it keeps them, with other wheelsets perhaps",
        refers_to="donor_trucks.donor_truck",
        default=None,
    )
    shifted_by: choice(*SHIFTS, blank=True) = column(
        "how a shift moves it: side_booms (side-lifting crawler machines), skid (skid pan and winch), jack_and_roll, "
        "panel_track; blank is unknown",
        default=None,
    )
    interim: YesNo = column("whether the unit only waits where it ends: the way on to the museum is not in its cost")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _on_its_trucks(self) -> Any:
        if self.trucks and self.carried_on != "other_wheels":
            raise ValueError("trucks: blank where the unit does not roll on other_wheels")
        if self.shifted_by and self.carried_on != "shift":
            raise ValueError("shifted_by: blank where the unit is not carried on shift")
        return self

    @property
    def mode(self) -> Literal["rail", "road", "ground", "water", "none"]:
        """Whether it runs by rail or by road, over the ground, by water, or not at all."""
        return MODES[self.carried_on]
