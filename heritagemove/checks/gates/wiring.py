"""The engineering check behind each gate: which subject is asked, with which rows."""

from __future__ import annotations

from collections.abc import Callable

from heritagemove.checks.check import Check
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


#: Check name in gates.csv -> the function that runs it.
CHECKS: dict[str, Callable[[Carriage], Check]] = {
    **lift_gates.CHECKS,
    **rail_gates.CHECKS,
    **road_gates.CHECKS,
    **running_gates.CHECKS,
    "season": _season,
}
