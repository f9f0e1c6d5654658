"""An id or a currency that somebody has changed in one place only: told once, with the command that changes the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from heritagemove.files.tables import Problem
from heritagemove.museum import rows
from heritagemove.museum.references import read_or_none, references, shown
from heritagemove.units import units

#: So many cells that agree on an id which is not there are no slip of the pen.
_NO_SLIP = 4
_COMMAND = "python -m heritagemove rename FOLDER"


def half_renamed(museum: Any) -> Iterable[Problem]:
    """Find an id that many rows name and nothing defines any more, where one has come that no row names."""
    dangling = list(references(museum))
    for target, (table, name) in _defining().items():
        found = [(p.found, p.file) for p in dangling if target in rows.TABLES[p.file[:-4]].columns[p.column].refers_to]
        counts = Counter(text for text, _ in found)
        gone = [text for text, count in counts.items() if count >= _NO_SLIP]
        if len(gone) != 1:
            continue
        new = _unnamed(museum, target, table, name)
        if len(new) == 1:
            row = next(row for row in getattr(museum, table) if getattr(row, name) == new[0])
            files = sorted({file for text, file in found if text == gone[0]})
            allowed = (
                f"{gone[0]}, which {counts[gone[0]]} cells of {', '.join(files)} name; or rename it in all tables at once: "
                f"{_COMMAND} {name} {gone[0]} {new[0]}"
            )
            yield Problem(f"{table}.csv", row.row_number, name, new[0], allowed)


def _defining() -> dict[str, tuple[str, str]]:
    columns = [column for model in rows.TABLES.values() for column in model.columns.values()]
    targets = {target for column in columns for target in column.refers_to if "." in target}
    found = {target: (target.partition(".")[0], target.partition(".")[2]) for target in sorted(targets)}
    return {target: pair for target, pair in found.items() if f"{pair[0]}.csv" in rows.MUSEUM_TABLES}


def _unnamed(museum: Any, target: str, table: str, name: str) -> list[str]:
    """Return the ids of a table that no row of another names."""
    named = set()
    for other, model in rows.TABLES.items():
        for column in model.columns.values():
            if target in column.refers_to:
                for row in getattr(museum, other):
                    cell = getattr(row, column.name)
                    named.update(cell if isinstance(cell, tuple) else (cell,))
    return list(dict.fromkeys(text for row in getattr(museum, table) if (text := getattr(row, name)) not in named and text))


def half_converted(museum: Any) -> Iterable[Problem]:
    """Find a currency in museum.toml that no price has, where all prices have one other."""
    own, found = museum.scenario.currency, Counter[str]()
    for row in museum.rates:
        unit = read_or_none(units.unit_of, row.unit)
        found.update(units.currencies(unit) if unit is not None else ())
    if own not in found and len(found) == 1 and found.total() >= _NO_SLIP:
        (other, count), *_ = found.items()
        allowed = (
            f"{other}, in which {count} prices stand; or turn all money into {own} at the day's rate, how many {own} one "
            f"{other} buys: {_COMMAND} currency {other} {own} --at 1.25"
        )
        yield Problem("museum.toml", 0, "currency", shown(own), allowed)
