"""Rules between tables that follow from what each column says of itself: keys, ids that others define, one currency."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from typing import Any

from heritagemove.files.tables import Column, Problem
from heritagemove.museum import rows
from heritagemove.museum.drivers import DRIVERS, OWN_TASK
from heritagemove.units import units
from heritagemove.units.words import near_miss


def problem(table: str, row: Any, column: str, allowed: str, found: Any = None) -> Problem:
    """Return a problem of one cell; `found` where it is not the whole cell."""
    cell = getattr(row, column, None) if found is None else found
    return Problem(f"{table}.csv", row.row_number, column, shown(cell), allowed)


def listed(found: str, allowed: Iterable[str]) -> str:
    """Return what is allowed in place of what was found, the nearest of it last."""
    ordered = sorted(allowed)
    some = ", ".join(ordered[:40]) + (", ..." if len(ordered) > 40 else "")
    return (some or "nothing is defined yet") + near_miss(str(found), ordered, cutoff=0.5)


def unique(museum: Any) -> Iterable[Problem]:
    """Find rows of one key, and values given twice in a column that allows each once."""
    for table, model in rows.TABLES.items():
        columns = model.columns.values()
        key = [column.name for column in columns if column.key]
        alone = [[column.same, column.name] if column.same else [column.name] for column in columns if column.unique]
        for names in [key] * bool(key) + alone:
            seen: dict[Any, int] = {}
            for row in getattr(museum, table):
                values = [str(getattr(row, name)) for name in names]
                before = seen.get(tuple(values))
                seen.setdefault(tuple(values), row.row_number)
                if before is not None and set(values) != {"None"}:
                    allowed = f"each {' and '.join(names)} once; row {before} has it already"
                    yield problem(table, row, names[-1], allowed, ", ".join(v for v in values if v != "None"))


def agreeing(museum: Any) -> Iterable[Problem]:
    """Find values that rows of one thing do not agree in: only one of them would be read."""
    for table, model in rows.TABLES.items():
        for column in model.columns.values():
            first: dict[Any, Any] = {}
            for row in getattr(museum, table) if column.one_per else ():
                before = first.setdefault(getattr(row, column.one_per), row)
                if (value := getattr(row, column.name)) != getattr(before, column.name):
                    one = f"one {column.name} for each {column.one_per}; row {before.row_number} has "
                    yield problem(table, row, column.name, one + shown(getattr(before, column.name)), shown(value))


def references(museum: Any) -> Iterable[Problem]:
    """Find ids that nothing defines."""
    for table, model in rows.TABLES.items():
        for column in model.columns.values():
            if column.refers_to:
                yield from _dangling(museum, table, column)


def _dangling(museum: Any, table: str, column: Column) -> Iterable[Problem]:
    defined = [entry for target in column.refers_to for entry in _defined(museum, target, column)]
    everywhere = {value for value, _ in defined}
    within: dict[Any, set[str]] = {}
    for value, place in defined:
        within.setdefault(place, set()).add(value)
    own = next((name for name in rows.TABLES[table].columns if f"{table}.{name}" in column.refers_to), None)
    told = _told_already(museum, table, column)
    for row in getattr(museum, table):
        place = getattr(row, column.same) if column.same else None
        allowed = everywhere if place in (None, "any") else within.get(place, set())
        allowed = (allowed | {*column.also}) - {getattr(row, own) if own else None}
        found = getattr(row, column.name)
        for value in _each(found):
            if value is not None and value not in allowed and (allowed or place not in told):
                yield problem(table, row, column.name, listed(value, allowed), value)


def _told_already(museum: Any, table: str, column: Column) -> set[Any]:
    """Return the places of which nothing can be named, a problem of their own: unknown paths, and paths of no task."""
    if not column.same:
        return set()
    within = rows.TABLES[table].columns[column.same]
    known = {value for target in within.refers_to for value, _ in _defined(museum, target, within)}
    worked = {row.path for row in museum.tasks} if "tasks.task" in column.refers_to else known
    return {getattr(row, column.same) for row in getattr(museum, table)} - (known & worked)


def _each(cell: Any) -> tuple[Any, ...]:
    return cell if isinstance(cell, tuple) else (cell,)


def _defined(museum: Any, target: str, column: Column) -> list[tuple[str, Any]]:
    """Return the ids that a column of a table defines, each with the place in which it counts."""
    if target == "drivers":
        return [(driver, None) for driver in DRIVERS if driver not in OWN_TASK]
    if target == "tables":
        return [(file, None) for file in rows.MUSEUM_TABLES]
    table, name = target.split(".")
    condition, wanted = column.where
    return [
        (value, getattr(row, column.same, None) if column.same else None)
        for row in getattr(museum, table)
        if not condition or getattr(row, condition) == wanted
        for value in _each(getattr(row, name))
    ]


def in_sequence(museum: Any) -> Iterable[Problem]:
    """Find values that are less or more than another column of their row allows: a slip of a digit, a unit or a year."""
    for table, model in rows.TABLES.items():
        for column in model.columns.values():
            for other, sign in ((column.at_least, 1), (column.at_most, -1)):
                for row in getattr(museum, table) if other else ():
                    found, bound = getattr(row, column.name), getattr(row, other)
                    # A whole of nothing is its own cell's problem, not that of each of its parts.
                    if None not in (found, bound) and bound and (found < bound if sign > 0 else found > bound):
                        words = _ORDER[isinstance(found, dt.date), sign]
                        yield problem(table, row, column.name, f"{words} {other}, {shown(bound)}", shown(found))


_ORDER = {
    (False, 1): "at least its",
    (False, -1): "at most its",
    (True, 1): "a date not before the one in",
    (True, -1): "a date not after the one in",
}


def shown(value: Any) -> str:
    """Return a value of a cell as it is shown in a problem."""
    if isinstance(value, units.Quantity):
        return f"{value:,.6g~P}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "; ".join(map(shown, value))
    return "" if value is None else f"{value:.12g}" if isinstance(value, float) else str(value)


def one_currency(museum: Any) -> Iterable[Problem]:
    """Refuse money in another currency than museum.toml's: nothing here knows a rate of exchange."""
    own = museum.scenario.currency
    for table, model in rows.TABLES.items():
        for column in model.columns.values():
            for row in getattr(museum, table) if column.allowed.unit == "money" else ():
                found = getattr(row, column.name)
                if found is not None and units.currencies(found.units) - {own}:
                    yield problem(table, row, column.name, own_money(own), units.show(found))


def own_money(own: str) -> str:
    """Return what money is allowed in a museum of this currency."""
    return f"money in {own}, the currency of museum.toml"


def read_or_none(reader: Callable[[str], Any], text: str) -> Any:
    """Return what a reader makes of a text; None where it refuses it."""
    try:
        return reader(text)
    except ValueError:
        return None


def same_kind(unit: str, other: str) -> bool:
    """Return whether two units measure the same, as km and mile do."""
    found = read_or_none(units.unit_of, unit)
    return found is not None and found.is_compatible_with(units.unit_of(other))
