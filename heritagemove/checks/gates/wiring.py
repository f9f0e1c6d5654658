"""The engineering check behind each gate: which subject is asked, with which rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates import lift_gates, rail_gates, road_gates, running_gates, shift_gates
from heritagemove.checks.gates.by_stage import carriers_of
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.museum import calendars
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.units.words import show_date

#: Whether a driver is above zero; None where nobody knows.
Told = Callable[[str], bool | None]


def closing_rules(rows: tuple[Any, ...], names: tuple[str, ...]) -> tuple[calendars.ConditionalRule, ...]:
    """Return the rules of some calendars that close them, each once."""
    found = (each for name in names for each in calendars.rules_of(rows, name) if not calendars.opens(each.rule))
    return tuple(dict.fromkeys(found))


def season(rules: tuple[tuple[Any, tuple[str, ...]], ...], named_from: float, start: dt.date, deadline: dt.date) -> Check:
    """Name the closures between start and deadline that last longer than some days; the schedule keeps out of them.

    Parameters
    ----------
    rules : tuple of (rule, tuple of str)
        Rules that close a calendar of the path, each with the unknown drivers on which it hangs whether they do.
    """
    met: list[str] = []
    perhaps: dict[str, list[str]] = {}
    for rule, hangs_on in rules:
        for first, last in calendars.closures(rule, start, deadline):
            if (last - first).days > named_from:
                named = f"{rule.reason}, {show_date(first)} to {show_date(last)}"
                (perhaps.setdefault(" or ".join(hangs_on).replace("_", " "), []) if hangs_on else met).append(named)
    find = [f"find out whether there are {drivers}; then closed: {'; '.join(named)}" for drivers, named in perhaps.items()]
    for name, years in calendars.undated_years([rule for rule, _ in rules], start, deadline).items():
        find.append(f"enter in calendars.csv what closes {name.replace('_', ' ')} in {' and '.join(map(str, years))}")
    if find and not met:
        return unknown("Season", "calendars.csv", "; ".join(find))
    subject = "; ".join(met) or "no season closes the route"
    said = ["The dates keep out of it."] * bool(met) + ["Whoever closes it confirms the dates each year."]
    note = " ".join([*said, *(f"Unknown: {each}." for each in find)])
    return Check("Season", subject, None, None, "marginal" if met else "pass", None, "calendars.csv", note)


def season_of(museum: Museum, path: str, told: Told, memo: Ask = afresh) -> Made:
    """Return the check of a path's season, from what is told of its drivers."""
    names = tuple(dict.fromkeys(task.calendar for task in museum.of_path("tasks", path)))
    found: dict[Any, tuple[str, ...]] = {}
    for each in memo(closing_rules, museum.calendars, names).value:
        answers = {driver: told(driver) for driver in each.needs}
        if False not in answers.values():
            hangs_on = tuple(driver for driver, answer in answers.items() if answer is None)
            found[each.rule] = min(found.get(each.rule, hangs_on), hangs_on, key=len)
    scenario, named_from = museum.scenario, museum.limit("season_named_from") or 0.0
    return memo(season, tuple(found.items()), named_from, scenario.start, scenario.deadline)


def told_of(amounts: Mapping[str, float | None]) -> Told:
    """Return what is told by the amounts of drivers; what no check computed and could have is not needed."""

    def told(driver: str) -> bool | None:
        amount = amounts.get(driver, 0.0 if DRIVERS[driver].origin == "check" else None)
        return None if amount is None else amount > 0

    return told


def _season(c: Carriage) -> Check:
    return season_of(c.museum, c.path.path, told_of(c.amounts)).value


#: Check that reads the calendar and no carriage.
SEASON = "season"
#: Checks that read how long the legs are; all others are handed legs without a length.
BY_LENGTH = ("brake_test", "crawl")


def _carried(name: str, check: Callable[[Carriage], Check]) -> Callable[[Carriage], Check]:
    """Return a check that is unknown where no table has anything to carry the unit, or nothing of its kind carries it."""

    def ask(c: Carriage) -> Check:
        other = c.carried_on not in carriers_of(name)
        wanted = c.lacking or (_elsewhere(c) if other else "")
        return unknown(name.replace("_", " ").capitalize(), c.vehicle.name, wanted) if wanted else check(c)

    return ask


def _elsewhere(c: Carriage) -> str:
    on = "nothing" if c.stage is None else c.carried_on.replace("_", " ")
    return f"the unit is carried on {on} here: take this gate out of the path in gates.csv, or name its stage"


#: Checks that look at the flat car, trailer or transporter under the unit.
OF_THE_CARRIER = (
    "cargo_securement", "centre_of_gravity", "crawl", "curve", "flat_car_clearance", "flat_car_load", "gross_rail_load",
    "haul_pull", "height_clearance", "legal_weight", "posted_bridge", "rail_bridge", "rail_securement", "road_bridge",
    "road_height", "roll_on_payload", "side_clearance", "track_axle_limit", "trailer_axle_load", "trailer_payload",
    "transporter_ground", "turn",
)  # fmt: skip
_ALL = {
    **lift_gates.CHECKS, **rail_gates.CHECKS, **road_gates.CHECKS, **running_gates.CHECKS, **shift_gates.CHECKS,
    SEASON: _season,
}  # fmt: skip

#: Check name in gates.csv -> the function that runs it.
CHECKS: dict[str, Callable[[Carriage], Check]] = {
    name: _carried(name, check) if name in OF_THE_CARRIER else check for name, check in _ALL.items()
}
