"""Rename a unit, leg, path, place, task or any other id in all tables at once: whole or not at all, with one log line.

Which cells hold an id the row models say. Nothing else of a table is touched, and no number changes: an id carries no
meaning. It also ends a renaming that somebody began by hand in one table only.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from heritagemove.editing.amending import LOG, Cell, Tried, cell_text, cell_value, cells_of, refuse_slips, write_down
from heritagemove.editing.entering import EXCEPTIONS
from heritagemove.editing.writing import Lines, typed, write_museum
from heritagemove.files.cells import SPELLING, is_identifier
from heritagemove.files.tables import Column, heading_of
from heritagemove.files.xlsx_tables import is_workbook
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.scenario_file import amended_text, read_scenario
from heritagemove.units.units import PlannerError
from heritagemove.units.words import near_miss

#: Columns that hold ids of other tables, by what they are about.
_BY_WHAT_IT_IS_ABOUT = {"inquiries.subject": ("gates.gate", "risks.risk")}
#: Columns whose ids stand for something outside the tables: whoever has the same one is the same thing.
_FREE = {"carrier": ("legs.carrier",), "state": ("legs.state",), "market": ("rates.market", "tasks.market")}

#: Ids that the program itself reads, or that are numbers.
_READ = {"axle", "clue", "fact", "call_out"}
TableRewritten = Callable[[str], tuple[str, list[Cell]]]


def kinds_of_id() -> dict[str, str]:
    """Return what may be renamed, each with the column that defines it, such as ``vehicle``: ``vehicles.vehicle``."""
    named = {target for model in MUSEUM_TABLES.values() for column in model.columns.values() for target in column.refers_to}
    own = {f"{file.removesuffix('.csv')}.{column.name}": column.name for file, model in MUSEUM_TABLES.items()
           for column in model.columns.values() if column.key and not column.refers_to}  # fmt: skip
    own |= {target: target.partition(".")[2] for target in named if f"{target.partition('.')[0]}.csv" in MUSEUM_TABLES}
    found = {name: target for target, name in own.items() if f"{name}s" == target.partition(".")[0] or target in named}
    found |= {name: columns[0] for name, columns in _FREE.items()}
    return {name: found[name] for name in sorted(found.keys() - _READ)}


def rename(
    place: str | Path, what: str, old: str, new: str, who: str, why: str = "", on: dt.date | None = None, *, tried: Tried
) -> tuple[str, ...]:
    """Give something another id in all tables of a folder or workbook.

    Parameters
    ----------
    place : path
        The museum's folder, or its workbook.
    what : str
        What is renamed, one of :func:`kinds_of_id`.
    old, new : str
        The ids; a task, stage, risk, gate or cost line of one path is named as ``path/task``, of every path by its id.
    who, why, on, tried
        As for :func:`heritagemove.editing.amending.amend`.

    Returns
    -------
    tuple of str
        The files that changed.

    Raises
    ------
    PlannerError
        If there is no such id, the new one is taken or misspelt; nothing was written.
    TableProblems
        If the museum would not load; nothing was written.
    """
    path = Path(place)
    kinds = kinds_of_id()
    if what not in kinds:
        raise PlannerError(f'found "{what}"; allowed: {", ".join(kinds)}{near_miss(what, list(kinds))}')
    within, _, old_id = old.rpartition("/")
    new_id = new.rpartition("/")[2]
    if not is_identifier(new_id):
        raise PlannerError(f'found "{new_id}"; allowed: {SPELLING}')
    tables = typed_unchecked(path)
    _refuse(tables, what, kinds[what], (within, old_id, new_id))
    changed = {file: lines for file, lines in _renamed(tables, kinds[what], within, old_id, new_id).items()
               if lines != tables[file]}  # fmt: skip
    why = why or f"{what} {old} renamed to {new_id}"
    if is_workbook(path):
        whole = typed(path)
        write_museum(replace(whole, tables=whole.tables | changed), path, replace=True)
        return tuple(changed)
    table = f"{kinds[what].partition('.')[0]}.csv"
    refuse_slips(path, table, [new_id], who, why)
    said = table if table in changed else next(iter(changed), table)
    changes = {file: rewriting(lines, (what, old, new_id) if file == said else None) for file, lines in changed.items()}
    toml = _scenario_change(path, what, old_id, new_id)
    write_down(path, changes | toml, (who, why), {}, on, tried)
    return tuple(changed)


def typed_unchecked(path: Path) -> dict[str, Lines]:
    """Return the tables of a museum as typed, though it may not load: an id changed by hand is one reason to rename."""
    if is_workbook(path):
        return typed(path).tables
    found = {}
    for file in MUSEUM_TABLES:
        if file != LOG and (path / file).is_file():
            text = (path / file).read_text(encoding="utf-8-sig")
            found[file] = [[cell_value(text[a:b]) for a, b in spans] for spans in cells_of(text)]
    if not found:
        raise PlannerError(f'found "{path}"; allowed: a museum\'s folder or workbook')
    return found


def _refuse(tables: Mapping[str, Lines], what: str, target: str, ids: tuple[str, str, str]) -> None:
    within, old, new = ids
    table, _, column = target.partition(".")
    lines = tables.get(f"{table}.csv", [[]])
    rows = [dict(zip(heading_of(lines), line, strict=False)) for line in lines[1:]]
    mine = [row for row in rows if not within or row.get("path") == within]
    there = {row.get(column, "") for row in mine} - {""}
    if new in there and what not in _FREE and (old in there or not _used(tables, target, old)):
        raise PlannerError(f'found "{new}", which there is already; allowed: an id that {table}.csv has not')
    if old not in there and not _used(tables, target, old):
        raise PlannerError(f'{what}: found "{old}"; allowed: {", ".join(sorted(there))}{near_miss(old, sorted(there))}')


def _used(tables: Mapping[str, Lines], target: str, wanted: str) -> bool:
    return any(
        wanted in line[n].split(";")
        for file, lines in tables.items()
        for n in _columns(file, lines, target)
        for line in lines[1:]
        if n < len(line)
    )


def _columns(file: str, lines: Lines, target: str) -> list[int]:
    """Return the places of the columns that hold an id, in a table as typed."""
    model, table, name = MUSEUM_TABLES[file], file.removesuffix(".csv"), target.partition(".")[2]
    holds = {column.name for column in model.columns.values() if _holds(table, column, target)}
    holds |= {column for each in _FREE.get(name, ()) for of, _, column in [each.partition(".")] if of == table}
    return [n for n, column in enumerate(heading_of(lines)) if column in holds]


def _holds(table: str, column: Column, target: str) -> bool:
    name = f"{table}.{column.name}"
    return target in (name, *column.refers_to, *_BY_WHAT_IT_IS_ABOUT.get(name, ()))


def _renamed(tables: Mapping[str, Lines], target: str, within: str, old: str, new: str) -> dict[str, Lines]:
    ids = target, within, old, new
    found = {file: _in_table(file, lines, *ids) for file, lines in tables.items() if file != EXCEPTIONS}
    return found | {file: _exceptions(lines, *ids) for file, lines in tables.items() if file == EXCEPTIONS}


def _in_table(file: str, lines: Lines, target: str, within: str, old: str, new: str) -> Lines:
    at, heading = _columns(file, lines, target), heading_of(lines)
    path = heading.index("path") if within and "path" in heading else None
    out = [list(lines[0])]
    for line in lines[1:]:
        mine = path is None or (path < len(line) and line[path] == within)
        out.append([_put(cell, old, new) if n in at and mine else cell for n, cell in enumerate(line)])
    return out


def _put(cell: str, old: str, new: str) -> str:
    if old not in cell:
        return cell
    return ";".join(part.replace(old, new) if part.strip() == old else part for part in cell.split(";"))


def _exceptions(lines: Lines, target: str, within: str, old: str, new: str) -> Lines:
    """Rename in bases.csv, whose keys name rows of other tables by their own keys."""
    heading, out = heading_of(lines), [list(lines[0])]
    table, key = heading.index("table"), heading.index("key")
    for line in lines[1:]:
        model = MUSEUM_TABLES.get(line[table])
        keys = [column for column in model.columns.values() if column.key] if model else []
        holds = [_holds(line[table].removesuffix(".csv"), column, target) for column in keys]
        parts, of_path = line[key].split("/"), "path" in [column.name for column in keys]
        if not (within and of_path and within not in parts):
            parts = [_put(part, old, new) if holds[n : n + 1] == [True] else part for n, part in enumerate(parts)]
        out.append(["/".join(parts) if n == key else cell for n, cell in enumerate(line)])
    return out


def rewriting(lines: Lines, said: tuple[str, str, str] | None) -> TableRewritten:
    """Return the change of one file: its cells that differ, every other byte kept; and the log line, if it has one."""

    def changed(before: str) -> tuple[str, list[Cell]]:
        text, first = before, 0
        for number, spans in reversed(list(enumerate(cells_of(before)))):
            for (start, end), cell in reversed(list(zip(spans, lines[number], strict=False))):
                if cell_value(before[start:end]) != cell:
                    text, first = text[:start] + cell_text(cell) + text[end:], number + 1
        return text, [Cell(first, *said)] if said else []

    return changed


def _scenario_change(path: Path, what: str, old: str, new: str) -> dict[str, TableRewritten]:
    """Return the change of museum.toml where it names the price of lateness or a market."""
    scenario, _ = read_scenario(path / "museum.toml")
    if scenario is None:
        return {}
    other = scenario
    if what == "rate" and scenario.holdover_rate == old:
        other = scenario.model_copy(update={"holdover_rate": new})
    if what == "market" and old in scenario.correlation.markets:
        markets = {new if name == old else name: value for name, value in scenario.correlation.markets.items()}
        other = scenario.model_copy(update={"correlation": scenario.correlation.model_copy(update={"markets": markets})})
    return {} if other == scenario else {"museum.toml": lambda before: (amended_text(before, other), [])}
