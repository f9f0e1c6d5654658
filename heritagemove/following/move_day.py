"""The day of the move on one sheet: who does what, what stops it, which papers must be there, and the day kept spare.

Roles stand here, never names: they and their telephone lines are written in by hand.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Finding
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.calendars import open_days, rules_of
from heritagemove.museum.museum import Museum
from heritagemove.trials.simulation import date_of, day_number, simulate
from heritagemove.units.described import Described, Heading, described
from heritagemove.units.measures import show_measure
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_date, without_brackets

_A_YEAR = 365  # [day]
#: Milestones of the day itself.
_MOVES = {"leaves", "off_site", "arrived"}
#: Roles that are on the site whatever the path, beside those of its tasks.
_ALWAYS = ("museum: person in charge", "owner's contact", "fire and ambulance", "utility")
_BY_MODE = {"road": ("police",), "rail": ("railroad's dispatcher",)}
#: What a check means on the day, by its name: what is watched, and the limit in words from its demand and capacity.
_WATCHED = {
    "Crane capacity": ("Weight on the hook", "over {demand}, as in the lift plan; never over {capacity} of the chart"),
    "Wind on the load": ("Wind", "over {demand}; the chart's own limit for this load is {capacity}"),
    "Height on the road": ("Loaded height, measured again", "over {demand}; the lowest on the way is {capacity}"),
    "Height under structures": ("Height, measured again", "over {demand}; the lowest on the way is {capacity}"),
    "Payload": ("Weight on the trailer", "over {demand}; the trailer may carry {capacity}"),
}  # fmt: skip


@dataclass(frozen=True)
class MoveDay:
    """What stands on the day's sheet."""

    heading: str
    lead: tuple[str, ...]  # the path, the day, the day kept spare
    work: Described
    roles: Described  # to fill
    stops: Described
    papers: Described
    cautions: tuple[str, ...]


def move_day(comparison: Comparison, path: str | None = None) -> MoveDay:
    """Return what the people of the move need on the day.

    Parameters
    ----------
    path : str, optional
        By default the choice.

    Raises
    ------
    PlannerError
        Where no path is chosen, or the path takes the unit nowhere.
    """
    museum, path = comparison.museum, path or comparison.choice
    if path is None:
        raise PlannerError(f"found no path that is decided on ({comparison.decision.in_short}); allowed: id of a path")
    museum.path(path)
    result = comparison.path(path)
    if not moves_the_unit(museum, path):
        raise PlannerError(f"{path}: found a path that takes the unit nowhere; allowed: a path on which it leaves the site")
    tasks, played = _tasks(museum, path), comparison.decision.played
    trials = simulate(museum, path, result.work, comparison.samples, decided=played.policy.meeting if played else None)
    ready = {row.task: int(np.median(trials.dates.ready[row.task])) for row in tasks}
    days = {row.task: _open_from(comparison, result, row.calendar, ready[row.task]) for row in tasks}
    leaves = next(row for row in tasks if _MOVES & set(row.milestone))
    spare = _open_from(comparison, result, leaves.calendar, day_number(museum, days[leaves.task]) + 1)
    modes = {stage.mode for stage in museum.stages_of(path)} & {"road", "rail"}
    lifts = bool(result.work.amounts.get("lifts"))
    name = without_brackets(museum.vehicle(comparison.vehicle).name)
    kept = f"Spare day, to be booked with it: {show_date(spare)}."
    screens = {"every", *modes, *(["lifting"] if lifts else [])}
    return MoveDay(
        heading=f"Day of the move: {name}",
        lead=(
            f"{result.title} (path {result.number}). As likely as not on {show_date(days[leaves.task])}, if decided at the "
            f"meeting that the decision names; write in the day agreed: ____________. {kept}",
            f"Off the site by {show_date(museum.scenario.deadline)} at the latest. Anyone may stop the job; only the person "
            "in charge starts it again.",
        ),
        work=_work(tasks, days, leaves.task),
        roles=_roles(tasks, modes, lifts),
        stops=_stops(comparison, result, modes, lifts),
        papers=_papers(museum, result),
        cautions=tuple(row.text for row in museum.cautions if screens & set(row.screens)),
    )


def moves_the_unit(museum: Museum, path: str) -> bool:
    """Return whether a task of a path is marked as the one on which the unit leaves or arrives."""
    return any(_MOVES & set(row.milestone) for row in museum.of_path("tasks", path))


def _tasks(museum: Any, path: str) -> list[Any]:
    """Return the tasks of the day: those that move the unit, that lift it, and what follows its arrival at once."""
    rows = museum.of_path("tasks", path)
    moving = {row.task for row in rows if _MOVES & set(row.milestone)}
    lifting = {row.task for row in museum.of_path("cost_lines", path) if row.phase == "lift"}
    behind = {row.task for row in rows if moving & set(row.after)}
    return [row for row in rows if row.task in moving | lifting | behind]


def _open_from(comparison: Comparison, result: PathResult, calendar: str, day: int) -> dt.date:
    """Return the first day of a calendar's work from a day on; that day where none is open in a year."""
    museum = comparison.museum
    rules = [each.rule for each in rules_of(museum.calendars, calendar) if all(map(result.work.applies, each.needs))]
    first = date_of(museum, float(day))
    found = np.flatnonzero(open_days(rules, first, _A_YEAR))
    return first + dt.timedelta(days=int(found[0]) if len(found) else 0)


def _work(tasks: Sequence[Any], days: dict[str, dt.date], leaves: str) -> Described:
    return described(
        "Who does what",
        (
            Heading("Work", lambda row: row.title + (": the unit leaves the site" if row.task == leaves else "")),
            Heading("Who", lambda row: row.who),
            Heading("Begins, as likely as not", lambda row: days[row.task], "date"),
            Heading("Hands over", lambda row: row.hands_over or "nothing"),
            Heading("Hour agreed", lambda _: ""),
        ),
        sorted(tasks, key=lambda row: days[row.task]),
    )


def _roles(tasks: Sequence[Any], modes: set[str], lifts: bool) -> Described:
    of_tasks = [who.strip() for row in tasks for who in row.who.split(",")]
    more = [role for mode in sorted(modes) for role in _BY_MODE[mode]]
    wanted = dict.fromkeys([*_ALWAYS[:1], *(["lift director"] if lifts else []), *of_tasks, *more, *_ALWAYS[1:]])
    roles = [role for role in wanted if role != "museum"]
    pairs = [(role, "".join(roles[n + 1 : n + 2])) for n, role in enumerate(roles) if n % 2 == 0]
    blank = Heading("Name, telephone", lambda _: "")
    return described(
        "Roles and telephone lines: write them in",
        (Heading("Role", lambda pair: pair[0]), blank, Heading("Role", lambda pair: pair[1] or "–"), blank),
        pairs,
    )


def _stops(comparison: Comparison, result: PathResult, modes: set[str], lifts: bool) -> Described:
    museum, system = comparison.museum, comparison.museum.scenario.units

    def of_checks() -> Iterable[tuple[str, str, str, str]]:
        for name, (what, words) in _WATCHED.items():
            for found in _with_check(result, name):
                check = found.check
                demand, capacity = (show_measure(each, system) for each in (check.demand, check.capacity))
                limit, source = words.format(demand=demand, capacity=capacity), check.source or found.gate.source
                yield what, limit, source, found.gate.signer

    def others() -> Iterable[tuple[str, str, str, str]]:
        if lifts and not any(_with_check(result, "Wind on the load")):
            row = next((row for row in museum.limits if row.limit == "lift_wind_stop"), None)
            said = "not known: agree it" if row is None else f"over {row.value:g} {row.unit}"
            yield "Wind", said, row.source if row else "no row", row.confirm_with if row else "lift director"
        if "rail" in modes:
            agreed = "over the limit agreed with the carrier: __________"
            yield "Temperature of an axle box", agreed, "no row: the carrier's letter says it", "carrier's mechanical office"
            legs = [leg for stage in museum.stages_of(result.path) for leg in museum.legs_of(stage) if leg.mode == "rail"]
            slow = [f"{show_measure(leg.special_speed, system)} on {leg.name}" for leg in legs if leg.special_speed]
            if slow:
                yield "Speed", f"over {'; '.join(slow)}", "legs.csv, special speed", "carrier"
        yield "A paper of the list is missing", "any of them", "the gates of the path", "person in charge"
        yield "Lightning; a flagger missing; people in the zone", "any of them", "cautions, stop rules", "anyone"

    return described(
        "Stop, and start again only when the person in charge says so",
        (
            Heading("What", lambda row: row[0]),
            Heading("Stop when", lambda row: row[1]),
            Heading("Where the limit is from", lambda row: row[2]),
            Heading("Confirm with", lambda row: row[3]),
        ),
        [*of_checks(), *others()],
    )


def _with_check(result: PathResult, name: str) -> list[Finding]:
    found = [each for each in result.findings if each.check and each.check.name == name]
    return [each for each in found if each.check.demand is not None and each.check.capacity is not None]


def _papers(museum: Any, result: PathResult) -> Described:
    """Return the papers of the gates that somebody must answer for before the unit moves, each once."""
    rows = {f.gate.evidence: f for f in result.findings if f.status in ("open", "unknown") and f.gate.kind == "hard_stop"}
    return described(
        "Papers that must be there before anything moves",
        (
            Heading("Paper", lambda found: found.gate.evidence),
            Heading("Signed by", lambda found: found.gate.signer),
            Heading("For", lambda found: found.gate.title),
            Heading("In hand", lambda _: ""),
        ),
        list(rows.values()),
    )
