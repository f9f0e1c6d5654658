"""The engineering check behind each gate: which subject is asked, with which rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates import lift_gates, rail_gates, road_gates, running_gates
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.museum.museum import Museum


def closures(museum: Museum, path: str) -> tuple[Any, ...]:
    """Return the rules that close a calendar on which a path's tasks work, for longer than the limit row says."""
    used, named_from = {task.calendar for task in museum.of_path("tasks", path)}, museum.limit("season_named_from") or 0.0
    closed = (rule for rule in museum.calendars if rule.rule == "closed" and rule.calendar in used)
    return tuple(rule for rule in closed if (rule.last - rule.first).days > named_from)


def season(closed: tuple[Any, ...], start: dt.date, deadline: dt.date) -> Check:
    """Name the closures between start and deadline; the schedule already keeps out of them."""
    met = [rule for rule in closed if rule.last >= start and rule.first <= deadline]
    subject = "; ".join(f"{rule.reason}, {rule.first} to {rule.last}" for rule in met) or "no season closes the route"
    note = "Whoever closes it confirms the dates each year."
    return Check("Season", subject, None, None, "marginal" if met else "pass", None, "calendars.csv", note)


def _season(c: Carriage) -> Check:
    return season(closures(c.museum, c.path.path), c.museum.scenario.start, c.museum.scenario.deadline)


#: Check that reads the calendar and no carriage.
SEASON = "season"
#: Checks that read how long the legs are; all others are handed legs without a length.
BY_LENGTH = ("transfer_test",)


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
    **lift_gates.CHECKS, **rail_gates.CHECKS, **road_gates.CHECKS, **running_gates.CHECKS, SEASON: _season,
}  # fmt: skip

#: Check name in gates.csv -> the function that runs it.
CHECKS: dict[str, Callable[[Carriage], Check]] = {
    name: _carried(name, check) if name in _OF_THE_CARRIER else check for name, check in _ALL.items()
}
