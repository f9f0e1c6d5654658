"""Join two people's copies of a museum, row by row: what only one has changed is taken, what both have is listed and kept.

Rows are told apart by the columns that name them, however they are sorted; a table without such columns is joined as
whole rows, so that two answers to one question both stay.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from heritagemove.editing.writing import Lines, Typed
from heritagemove.files.tables import heading_of
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.scenario_file import Scenario, read_scenario_sheet, scenario_lines

#: What is said of a row that one side has taken out and the other has changed.
_OUT = "(row taken out)"


@dataclass(frozen=True)
class Conflict:
    """One cell that both have changed, each in another way; the merged table holds mine."""

    file: str
    row: str  # the values that name the row
    column: str
    base: str
    mine: str
    theirs: str

    def __str__(self) -> str:
        where = f"{self.file}, {self.row}" + (f", {self.column}" if self.column else "")
        return f'{where}: was "{self.base}"; mine "{self.mine}"; theirs "{self.theirs}"'


@dataclass(frozen=True)
class Merged:
    """Two copies joined."""

    museum: Typed
    conflicts: tuple[Conflict, ...]

    def conflict_lines(self) -> Lines:
        """Return the conflicts as a table, to be kept beside the merged ones."""
        names = ["file", "row", "column", "base", "mine", "theirs"]
        return [names, *([getattr(conflict, name) for name in names] for conflict in self.conflicts)]


def merge(base: Typed, mine: Typed, theirs: Typed) -> Merged:
    """Join two copies of a museum that were edited apart.

    Parameters
    ----------
    base : Typed
        The museum that both were copied from.
    mine, theirs : Typed
        The two copies. Where both have changed one cell, each in another way, mine is taken and theirs is listed; a row
        that one has taken out and the other has changed stays.

    Returns
    -------
    Merged
    """
    conflicts: list[Conflict] = []
    tables = {}
    for file, model in MUSEUM_TABLES.items():
        given = {name for side in (base, mine, theirs) for name in heading_of(side.tables[file])}
        heading = [name for name in model.model_fields if name in given]
        keys = tuple(name for name in heading if model.columns[name].key)
        sides = [_rows(side.tables[file], heading) for side in (base, mine, theirs)]
        named = keys and all(len({tuple(row[key] for key in keys) for row in rows}) == len(rows) for rows in sides)
        rows = _by_key(file, keys, heading, *sides, conflicts) if named else _whole(heading, *sides)
        tables[file] = [heading, *([row[name] for name in heading] for row in rows)]
    scenario = _scenario(base, mine, theirs, conflicts)
    return Merged(Typed(scenario, tables, mine.toml), tuple(conflicts))


_Row = dict[str, str]
_Key = tuple[str, ...]


def _rows(lines: Lines, columns: list[str]) -> list[_Row]:
    """Return the rows of a table; a column that may be left out of it is blank in every row."""
    heading, blank = heading_of(lines), dict.fromkeys(columns, "")
    stripped = ([cell.strip() for cell in line] for line in lines[1:])
    return [blank | dict(zip(heading, line, strict=False)) for line in stripped if any(line)]


def _by_key(
    file: str, keys: tuple[str, ...], heading: list[str], base: list[_Row], mine: list[_Row], theirs: list[_Row],
    conflicts: list[Conflict],
) -> list[_Row]:  # fmt: skip
    def keyed(rows: list[_Row]) -> dict[tuple[str, ...], _Row]:
        return {tuple(row[key] for key in keys): row for row in rows}

    was, own, other = keyed(base), keyed(mine), keyed(theirs)
    merged = []
    for key in _in_order(list(own), list(other), list(was)):
        name = ", ".join(part for part in key if part)
        before, one, two = was.get(key), own.get(key), other.get(key)
        if one is None or two is None:
            left = one or two
            if before is None:
                merged.append(left)  # a new row of one side
            elif left is not None and left != before:
                merged.append(left)
                changed = [column for column in heading if left[column] != before[column]]
                shown = [_OUT if row is None else "; ".join(row[column] for column in changed) for row in (one, two)]
                was_there = "; ".join(before[column] for column in changed)
                conflicts.append(Conflict(file, name, ", ".join(changed), was_there, *shown))
            continue
        row = {}
        for column in heading:
            row[column] = _cell(file, name, column, (before or {}).get(column, ""), one[column], two[column], conflicts)
        merged.append(row)
    return merged


def _cell(file: str, name: str, column: str, was: str, one: str, two: str, conflicts: list[Conflict]) -> str:
    if one != two and was not in (one, two):
        conflicts.append(Conflict(file, name, column, was, one, two))
    return two if one == was else one


def _in_order(mine: list[_Key], theirs: list[_Key], base: list[_Key]) -> list[_Key]:
    """Return every key once: in my order, with what only the other has behind the row that stands before it there."""
    order = list(mine)
    for rows in (theirs, base):
        for place, key in enumerate(rows):
            if key not in order:
                order.insert(order.index(rows[place - 1]) + 1 if place else 0, key)
    return order


def _whole(heading: list[str], base: list[_Row], mine: list[_Row], theirs: list[_Row]) -> list[_Row]:
    """Join rows that nothing names: mine without those that the other took out, then those that the other put in."""

    def counted(rows: list[_Row]) -> Counter[tuple[str, ...]]:
        return Counter(tuple(row[name] for name in heading) for row in rows)

    was, own, other = counted(base), counted(mine), counted(theirs)
    out, put_in = was - other, (other - was) - (own - was)
    merged = []
    for row in mine:
        cells = tuple(row[name] for name in heading)
        if out[cells] and own[cells] <= was[cells]:
            out[cells] -= 1
            continue
        merged.append(row)
    for row in theirs:
        cells = tuple(row[name] for name in heading)
        if put_in[cells]:
            put_in[cells] -= 1
            merged.append(row)
    return merged


def _scenario(base: Typed, mine: Typed, theirs: Typed, conflicts: list[Conflict]) -> Scenario:
    """Join museum.toml key by key."""

    def keyed(side: Typed) -> Mapping[str, str]:
        return {line[0]: line[1] for line in scenario_lines(side.scenario)[1:]}

    was, own, other = keyed(base), keyed(mine), keyed(theirs)
    lines = [["key", "value"]]
    for key in dict.fromkeys((*own, *other)):
        if key not in own or key not in other:
            kept = own.get(key, other.get(key, ""))
            if was.get(key) != kept:  # a new key of one side; one that the other side took out and nobody changed goes
                lines.append([key, kept])
            continue
        value = _cell("museum.toml", key, "", was.get(key, ""), own[key], other[key], conflicts)
        lines.append([key, value])
    merged, problems = read_scenario_sheet("museum.toml", lines)
    if merged is None:  # such as a deadline of one behind the forced-scrap date of the other
        conflicts += [Conflict("museum.toml", p.column, "", "", p.found, f"allowed: {p.allowed}") for p in problems]
        return mine.scenario
    return merged
