"""Rules between tables: every id exists, units multiply to money, networks have no loop."""

from __future__ import annotations

import difflib
import graphlib
import itertools
import typing
from collections.abc import Callable, Iterable
from typing import Any

from heritagemove.files.tables import SPELLING, Problem, is_identifier
from heritagemove.museum.calendars import open_days
from heritagemove.museum.drivers import DRIVERS, OWN_TASK
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.rows.unit import Vehicle
from heritagemove.units import units

_KEYS = {
    "vehicles": ("vehicle",),
    "axles": ("vehicle", "axle"),
    "paths": ("path",),
    "quantities": ("vehicle", "path", "driver"),
    "tasks": ("path", "task"),
    "cost_lines": ("path", "line"),
    "rates": ("rate", "equipment"),
    "risks": ("path", "risk"),
    "gates": ("path", "gate"),
    "segments": ("segment",),
    "bridges": ("bridge",),
    "cranes": ("crane", "radius"),
    "engines": ("engine",),
    "flat_cars": ("flat_car",),
    "trailers": ("trailer",),
    "funds": ("fund",),
    "quotes": ("quote",),
    "actuals": ("invoice",),
    "limits": ("limit",),
    "cautions": ("caution",),
    "clues": ("clue", "found"),
    "readiness": ("item",),
    "criteria": ("criterion",),
    "scores": ("vehicle", "path", "criterion"),
    "call_outs": ("call_out", "path", "line"),
    "inquiries": ("inquiry",),
    "progress": ("vehicle", "path", "task"),
    "estimate_classes": ("estimate_class",),
}


#: The column in which each table gives its own rows an id.
_IDS = {
    table: columns[0] if table in ("rates", "cranes") else columns[-1]
    for table, columns in _KEYS.items()
    if table not in ("axles", "quantities")
} | {"calendars": "calendar"}


def cross_table_problems(museum: Any) -> list[Problem]:
    """Return every problem between the tables of a museum, in no particular order."""
    problems = list(_spellings(museum))
    if problems:
        return problems
    own = (_unique, _references, _networks, _money_units, _one_currency, _quantities, _calendars, _seasons, _axles)
    for rule in (*own, _scenario, _clues, _survey, _readiness, _inquiries):
        problems += rule(museum)
    return problems


def _problem(table: str, row: Any, column: str, allowed: str, found: Any = None) -> Problem:
    shown = getattr(row, column, "") if found is None else found
    shown = "; ".join(shown) if isinstance(shown, tuple) else shown
    return Problem(f"{table}.csv", row.row_number, column, "" if shown is None else str(shown), allowed)


def _spellings(museum: Any) -> Iterable[Problem]:
    for table, column in _IDS.items():
        for row in getattr(museum, table):
            if not is_identifier(getattr(row, column)):
                yield _problem(table, row, column, SPELLING)


def _unique(museum: Any) -> Iterable[Problem]:
    for table, columns in _KEYS.items():
        seen: dict[Any, int] = {}
        for row in getattr(museum, table):
            key = tuple(str(getattr(row, column)) for column in columns)
            if key in seen:
                shown = ", ".join(part for part in key if part != "None")
                allowed = f"each {' and '.join(columns)} once; row {seen[key]} has it already"
                yield _problem(table, row, columns[-1], allowed, shown)
            seen.setdefault(key, row.row_number)
    numbers: dict[int, int] = {}
    for row in museum.paths:
        if row.number in numbers:
            yield _problem("paths", row, "number", f"each number once; row {numbers[row.number]} has it already")
        numbers.setdefault(row.number, row.row_number)


def _references(museum: Any) -> Iterable[Problem]:
    vehicles = {row.vehicle for row in museum.vehicles}
    paths = {row.path for row in museum.paths}
    drivers = set(DRIVERS) - set(OWN_TASK)
    equipment = {r.crane for r in museum.cranes} | {r.flat_car for r in museum.flat_cars}
    equipment |= {r.trailer for r in museum.trailers}
    calendars = {row.calendar for row in museum.calendars}
    known: list[tuple[str, str, set[str]]] = [
        ("axles", "vehicle", vehicles),
        ("survey", "vehicle", vehicles | {"any"}),
        ("quantities", "vehicle", vehicles | {"any"}),
        ("quantities", "path", paths | {"any"}),
        ("quantities", "driver", drivers),
        ("paths", "fallback", paths),
        ("tasks", "path", paths),
        ("tasks", "per", drivers),
        ("tasks", "calendar", calendars),
        ("cost_lines", "path", paths),
        ("cost_lines", "rate", {row.rate for row in museum.rates}),
        ("cost_lines", "driver", set(DRIVERS)),
        ("cost_lines", "times", drivers),
        ("rates", "equipment", equipment),
        ("risks", "path", paths),
        ("risks", "needs", drivers),
        ("risks", "stretches", calendars),
        ("gates", "path", paths),
        ("gates", "needs", drivers),
        ("bridges", "segment", {row.segment for row in museum.segments}),
        ("segments", "detour_for", {row.bridge for row in museum.bridges}),
        ("quotes", "vehicle", vehicles),
        ("quotes", "path", paths),
        ("actuals", "vehicle", vehicles),
        ("actuals", "path", paths),
        ("scores", "vehicle", vehicles | {"any"}),
        ("scores", "path", paths),
        ("call_outs", "path", paths | {"any"}),
        ("call_outs", "line", {row.line for row in museum.cost_lines}),
        ("inquiries", "path", paths),
        ("progress", "vehicle", vehicles),
        ("progress", "path", paths),
        ("changes", "table", {*MUSEUM_TABLES, "museum.toml"}),
        ("scores", "criterion", {row.criterion for row in museum.criteria if row.measured == "scored"}),
    ]
    for table, column, allowed in known:
        for row in getattr(museum, table):
            found = getattr(row, column)
            for value in found if isinstance(found, tuple) else (found,):
                if value is not None and value not in allowed:
                    yield _problem(table, row, column, _listed(value, allowed), value)
    yield from _within_path(museum, "tasks", "task", ("cost_lines", "risks", "gates", "progress"))
    yield from _within_path(museum, "cost_lines", "line", ("actuals",))
    for row in museum.quotes:
        lines = {line.line for line in museum.cost_lines if line.path == row.path}
        for line in row.lines:
            if lines and line not in lines:
                yield _problem("quotes", row, "lines", _listed(line, lines), line)


def _within_path(museum: Any, table: str, column: str, users: tuple[str, ...]) -> Iterable[Problem]:
    known: dict[str, set[str]] = {}
    for row in getattr(museum, table):
        known.setdefault(row.path, set()).add(getattr(row, column))
    for user in users:
        for row in getattr(museum, user):
            value, allowed = getattr(row, column), known.get(row.path)
            if value is not None and allowed and value not in allowed:
                yield _problem(user, row, column, _listed(value, allowed))


def _listed(found: str, allowed: Iterable[str]) -> str:
    ordered = sorted(allowed)
    close = difflib.get_close_matches(str(found), ordered, 1, cutoff=0.5)
    listed = ", ".join(ordered[:40]) + (", ..." if len(ordered) > 40 else "")
    return (listed or "nothing is defined yet") + (f" (did you mean {close[0]}?)" if close else "")


def _networks(museum: Any) -> Iterable[Problem]:
    for path in museum.paths:
        tasks = {row.task: row for row in museum.tasks if row.path == path.path}
        if not tasks:
            yield _problem("paths", path, "path", "a path with at least one row in tasks.csv")
            continue
        for row in tasks.values():
            for before in row.after:
                if before not in tasks:
                    yield _problem("tasks", row, "after", _listed(before, set(tasks) - {row.task}), before)
        graph = {row.task: [before for before in row.after if before in tasks] for row in tasks.values()}
        try:
            graphlib.TopologicalSorter(graph).prepare()
        except graphlib.CycleError as error:
            loop = error.args[1][::-1]
            yield _problem("tasks", tasks[loop[0]], "after", "no loop among the tasks", " -> ".join(loop))
        for milestone in ("decision", "off_site"):
            marked = [row for row in tasks.values() if row.milestone == milestone]
            for row in marked[1:]:
                yield _problem("tasks", row, "milestone", f"one {milestone} task a path; row {marked[0].row_number} is it")
        if path.saves and not any(row.milestone == "off_site" for row in tasks.values()):
            yield _problem("paths", path, "saves", "no, or a task of this path with the milestone off_site", "yes")


_SUCH_AS = "a unit such as {money}/crane_hour, {money}/mile/load, {money} or percent"


def _money_units(museum: Any) -> Iterable[Problem]:
    rate_units: dict[str, list[tuple[Any, Any]]] = {}
    for row in museum.rates:
        unit = _read(units.unit_of, row.unit)
        if unit is None:
            yield _problem("rates", row, "unit", _SUCH_AS.format(money=museum.scenario.currency))
        rate_units.setdefault(row.rate, []).append((row, unit))
    for rate, entries in rate_units.items():
        for row, _ in entries[1:]:
            if (row.equipment is None) != (entries[0][0].equipment is None):
                yield _problem("rates", row, "equipment", f"{rate} priced either for all equipment or by each", "")
    if museum.scenario.holdover_rate not in rate_units:
        holdover = museum.scenario.holdover_rate
        yield Problem("museum.toml", 0, "holdover_rate", holdover, _listed(holdover, rate_units))
    used: dict[str, list[tuple[Any, Any]]] = {}
    for line in museum.cost_lines:
        quantity = _read(units.unit_of, line.factor_unit) if line.factor_unit else units.REGISTRY.Unit("")
        drivers = [driver for driver in (line.driver, line.times) if driver]
        if quantity is None:
            yield _problem("cost_lines", line, "factor_unit", "a unit such as labor_hour/axle, or blank")
        elif all(driver in DRIVERS for driver in drivers):
            for driver in drivers:
                quantity = quantity * units.unit_of(DRIVERS[driver].unit)
            used.setdefault(line.rate, []).append((line, quantity))
    for rate, lines in used.items():
        for row, unit in rate_units.get(rate, []):
            if unit is not None:
                yield from _not_money(row, unit, lines, museum.scenario.currency)


def _one_currency(museum: Any) -> Iterable[Problem]:
    """Refuse a price in another currency than museum.toml's: nothing here knows a rate of exchange."""
    own = museum.scenario.currency
    allowed = f"money in {own}, the currency of museum.toml"
    for row in museum.rates:
        unit = _read(units.unit_of, row.unit)
        if unit is not None and units.currencies(unit) - {own}:
            yield _problem("rates", row, "unit", allowed)
    for table in ("vehicles", "funds", "quotes", "actuals"):
        for row in getattr(museum, table):
            for column, found in row:
                if isinstance(found, units.Quantity) and units.currencies(found.units) - {own}:
                    yield _problem(table, row, column, allowed, units.show(found))


def _not_money(rate: Any, unit: Any, lines: list[tuple[Any, Any]], money: str) -> Iterable[Problem]:
    """Blame the rate where it fits none of the lines that use it, else each line that it does not fit."""
    unfit = [(line, quantity) for line, quantity in lines if not units.is_money(unit * quantity)]
    if len(unfit) == len(lines):
        line, quantity = unfit[0]
        wanted = f"a unit that gives {money}, such as {units.REGISTRY.Unit(money) / quantity:~P}"
        used = f" (used with driver {line.driver} in cost_lines.csv row {line.row_number})"
        yield _problem("rates", rate, "unit", wanted + used)
        return
    for line, _ in unfit:
        priced = f"a driver and a factor_unit that give {money} at a price in {rate.unit} (rates.csv row {rate.row_number})"
        yield _problem("cost_lines", line, "driver", priced)


def _read(reader: Callable[[str], Any], text: str) -> Any:
    try:
        return reader(text)
    except ValueError:
        return None


def _quantities(museum: Any) -> Iterable[Problem]:
    given = {(row.vehicle, row.path, row.driver) for row in museum.quantities}
    for line in museum.cost_lines:
        for driver in {line.driver, line.times} - {None}:
            if driver not in DRIVERS or DRIVERS[driver].origin != "quantity":
                continue
            for vehicle in museum.vehicles:
                spellings = [(v, p, driver) for v in (vehicle.vehicle, "any") for p in (line.path, "any")]
                if not any(spelling in given for spelling in spellings):
                    allowed = f"a driver with a row in quantities.csv for {vehicle.vehicle} or any, and {line.path} or any"
                    yield _problem("cost_lines", line, "driver", allowed, driver)
                    break


def _calendars(museum: Any) -> Iterable[Problem]:
    by_name: dict[str, list[Any]] = {}
    for row in museum.calendars:
        by_name.setdefault(row.calendar, []).append(row)
    for name, group in by_name.items():
        if not open_days(group, museum.scenario.start).any():
            yield _problem("calendars", group[0], "calendar", "a calendar with a working day after the start date", name)


def _seasons(museum: Any) -> Iterable[Problem]:
    """Check that a risk which makes a closed season longer names a closure of its calendar, once a path."""
    closures: dict[str, set[Any]] = {}
    for rule in museum.calendars:
        if rule.rule == "closed":
            closures.setdefault(rule.calendar, set()).add(rule.first)
    seen: dict[Any, int] = {}
    for row in museum.risks:
        if not row.stretches or row.stretches not in {rule.calendar for rule in museum.calendars}:
            continue
        first_days = {date.isoformat() for date in closures.get(row.stretches, ())}
        if row.closed_from.isoformat() not in first_days:
            yield _problem("risks", row, "closed_from", _listed(row.closed_from.isoformat(), first_days))
        key = row.path, row.stretches
        if key in seen:
            yield _problem("risks", row, "stretches", f"one such risk a path and calendar; row {seen[key]} is it")
        seen.setdefault(key, row.row_number)


def _axles(museum: Any) -> Iterable[Problem]:
    for vehicle in museum.vehicles:
        axles = museum.axles_of(vehicle.vehicle)
        if not axles:
            yield _problem("vehicles", vehicle, "vehicle", "a unit with at least one row in axles.csv")
        if vehicle.length is not None and axles and axles[-1].position > vehicle.length:
            yield _problem("axles", axles[-1], "position", f"at most the length over couplers, {vehicle.length:~P}")
        for before, after in itertools.pairwise(axles):
            if after.position <= before.position:
                yield _problem("axles", after, "position", f"more than the axle before it, {before.position:~P}")


def _clues(museum: Any) -> Iterable[Problem]:
    """Check that shares are shares of one whole: down a clue's column, along the row prior."""
    clues: dict[str, list[Any]] = {}
    for row in museum.clues:
        clues.setdefault(row.clue, []).append(row)
    columns = ("plain", "roller", "converted_roller")
    priors = clues.pop("prior", [])
    if len(priors) != 1:
        yield Problem("clues.csv", 0, "clue", f"{len(priors)} rows prior", "one row prior")
    for row in priors:
        total = sum(getattr(row, column) for column in columns)
        if abs(total - 1) > 1e-6:
            yield _problem("clues", row, "plain", f"three shares that add up to 1; this row adds up to {total:g}")
    for clue, group in clues.items():
        for column in columns:
            total = sum(getattr(row, column) for row in group)
            if abs(total - 1) > 1e-6:
                yield _problem("clues", group[0], column, f"shares that add up to 1 over {clue}; found {total:g} in all")


def _survey(museum: Any) -> Iterable[Problem]:
    """Check that what was seen is a clue's own word, at a box that the unit has."""
    words: dict[str, set[str]] = {}
    for row in museum.clues:
        words.setdefault(row.clue, {"unknown"}).add(row.found)
    boxes: dict[str, set[str]] = {}
    for axle in museum.axles:
        boxes.setdefault(axle.vehicle, {"vehicle", "site"}).update(f"{axle.axle}{side}" for side in "LR")
    for row in museum.survey:
        places = {"site"} if row.vehicle == "any" else boxes.get(row.vehicle, {row.place})
        if row.place not in places:
            yield _problem("survey", row, "place", ", ".join(sorted(places)))
        if row.clue in words and row.found not in words[row.clue]:
            yield _problem("survey", row, "found", _listed(row.found, words[row.clue]))


def _readiness(museum: Any) -> Iterable[Problem]:
    limits = {row.limit for row in museum.limits}
    # By the columns and not by their values: a measure that is unknown of every unit is a measure still.
    kinds = {name: (field.annotation, *typing.get_args(field.annotation)) for name, field in Vehicle.model_fields.items()}
    measures = {"age"} | {name for name, kind in kinds.items() if units.Quantity in kind}
    for row in museum.readiness:
        for column, allowed in (("least", limits), ("most", limits), ("measure", measures)):
            if getattr(row, column) is not None and getattr(row, column) not in allowed:
                yield _problem("readiness", row, column, _listed(getattr(row, column), allowed))
        if (row.clue is None) == (row.measure is None):
            yield _problem("readiness", row, "clue", "either a clue or a measure, not both")


def _inquiries(museum: Any) -> Iterable[Problem]:
    """Check that an inquiry asks about a gate that a task settles, or about a risk of its path."""
    gates = {row.gate for row in museum.gates if row.task}
    for row in museum.inquiries:
        allowed = gates if row.about == "gate" else {risk.risk for risk in museum.of_path("risks", row.path)}
        if row.subject is not None and row.subject not in allowed:
            yield _problem("inquiries", row, "subject", _listed(row.subject, allowed))


def _same_kind(unit: str, other: str) -> bool:
    """Return whether two units measure the same, as km and mile do."""
    found = _read(units.unit_of, unit)
    return found is not None and found.is_compatible_with(units.unit_of(other))


def _scenario(museum: Any) -> Iterable[Problem]:
    for name, slider in museum.scenario.sliders.items():
        if name not in DRIVERS:
            yield Problem("museum.toml", 0, f"sliders.{name}", name, _listed(name, DRIVERS))
        elif not _same_kind(slider.unit, DRIVERS[name].unit):
            yield Problem("museum.toml", 0, f"sliders.{name}.unit", slider.unit, DRIVERS[name].unit)
        if not slider.low < slider.high:
            yield Problem("museum.toml", 0, f"sliders.{name}.low", f"{slider.low:g}", f"less than high, {slider.high:g}")
    if not museum.vehicles:
        yield Problem("vehicles.csv", 0, "", "no rows", "at least one unit")
