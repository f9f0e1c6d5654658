"""The engineering check behind each gate: which subject is asked, with which rows."""

from __future__ import annotations

from collections.abc import Callable

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates import lift_gates, rail_gates, road_gates, running_gates
from heritagemove.checks.gates.carriage import Carriage


def _season(c: Carriage) -> Check:
    """Name the long closures of the calendars this path's tasks work on; the schedule already keeps out of them."""
    used = {task.calendar for task in c.museum.of_path("tasks", c.path.path)}
    start, end = c.museum.scenario.start, c.museum.scenario.deadline
    closures = [r for r in c.museum.calendars if r.rule == "closed" and r.calendar in used]
    long = [r for r in closures if r.last >= start and r.first <= end and (r.last - r.first).days > 14]
    subject = "; ".join(f"{r.reason}, {r.first} to {r.last}" for r in long) or "no season closes the route"
    note = "Whoever closes it confirms the dates each year."
    return Check("Season", subject, None, None, "marginal" if long else "pass", None, "calendars.csv", note)


def _carried(name: str, check: Callable[[Carriage], Check]) -> Callable[[Carriage], Check]:
    """Return a check that is unknown where no table has anything to carry the unit."""

    def ask(c: Carriage) -> Check:
        return unknown(name.replace("_", " ").capitalize(), c.vehicle.name, c.lacking) if c.lacking else check(c)

    return ask


#: Checks that look at the flat car, trailer or transporter under the unit.
_OF_THE_CARRIER = (
    "centre_of_gravity", "curve", "flat_car_clearance", "flat_car_load", "gross_rail_load", "haul_pull", "height_clearance",
    "legal_weight", "posted_bridge", "rail_bridge", "road_bridge", "road_height", "roll_on_payload", "side_clearance",
    "track_axle_limit", "trailer_axle_load", "trailer_payload", "transporter_ground", "turn",
)  # fmt: skip
_ALL = {
    **lift_gates.CHECKS, **rail_gates.CHECKS, **road_gates.CHECKS, **running_gates.CHECKS, "season": _season,
}  # fmt: skip

#: Check name in gates.csv -> the function that runs it.
CHECKS: dict[str, Callable[[Carriage], Check]] = {
    name: _carried(name, check) if name in _OF_THE_CARRIER else check for name, check in _ALL.items()
}
