"""Every value as typed beside as read, and every total of a museum in one form."""

from __future__ import annotations

import dataclasses
import datetime as dt
import types
import typing
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from heritagemove.editing.writing import Typed
from heritagemove.files.tables import heading_of
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.units import units


@dataclass(frozen=True)
class Reading:
    """One value as typed and as read."""

    file: str
    row: int
    column: str
    typed: str
    read: str


def readings(museum: Museum, typed: Typed) -> tuple[Reading, ...]:
    """Return every number, quantity, date and list of a museum's tables, as typed and as read.

    Texts and ids read as themselves and are left out, blank or not; a blank number is unknown.
    """
    found = []
    for file in MUSEUM_TABLES:
        lines = typed.tables[file]
        heading = heading_of(lines)
        texts = {name for name, field in MUSEUM_TABLES[file].model_fields.items() if str in _kinds(field.annotation)}
        for row in getattr(museum, file.removesuffix(".csv")):
            for column, cell in zip(heading, lines[row.row_number - 1], strict=False):
                value = getattr(row, column)
                if column not in texts:
                    found.append(Reading(file, row.row_number, column, cell.strip(), as_read(value)))
    return tuple(found)


def _kinds(annotation: Any) -> tuple[Any, ...]:
    return typing.get_args(annotation) if isinstance(annotation, types.UnionType) else (annotation,)


def as_read(value: Any) -> str:
    """Return a value in words, as the package holds it.

    Examples
    --------
    >>> as_read(units.parse("98 short_ton", "lb"))
    '196,000 lb'
    >>> as_read(None)
    'unknown'
    """
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, units.Quantity):
        return f"{_number(value.magnitude)} {value.units:~P}".replace("short_ton", "short tons")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, dt.date):
        return f"{value:%A} {value.day} {value:%B %Y}"
    if isinstance(value, tuple):
        return "; ".join(_number(part) if isinstance(part, float) else str(part) for part in value) or "none"
    return str(value)


def _number(value: float) -> str:
    """Write a number with thousands commas and nine digits that count, so that noise of a conversion is not seen."""
    rounded = float(f"{value:.9g}")
    text = f"{rounded:,.9f}".rstrip("0").rstrip(".") if abs(rounded) >= 1e-4 or rounded == 0 else f"{rounded:.9g}"
    return "0" if text == "-0" else text


def reading_lines(found: tuple[Reading, ...]) -> Iterator[str]:
    """Return the lines that show readings, a heading a file."""
    file = ""
    for reading in found:
        if reading.file != file:
            file = reading.file
            yield f"{file}"
        yield f"  row {reading.row:>3}  {reading.column:<26} {reading.typed or '(blank)':<24} = {reading.read}"


def summary(museum: Museum) -> list[str]:
    """Return every total of a museum, one a line, in a form that two spellings of one value share.

    Sums are of everything a column holds, whatever its rows are about: they are there to be compared,
    before and after an edit, not to be planned with.
    """
    scenario = museum.scenario
    lines = [f"museum.toml {key} = {value}" for key, value in _flat(scenario.model_dump())]
    for field in dataclasses.fields(museum)[2:]:
        table = getattr(museum, field.name)
        lines.append(f"{field.name} rows = {len(table)}")
        totals, unknown, words = _totals(table)
        lines += [f"{field.name} {column} total = {as_read(total)}" for column, total in totals.items()]
        lines += [f"{field.name} {column} unknown = {count}" for column, count in unknown.items()]
        lines += [f"{field.name} {column} {word} = {count}" for (column, word), count in words.items()]
    for unit in museum.vehicles:
        loads = [axle.load for axle in museum.axles_of(unit.vehicle) if axle.load is not None]
        lines.append(f"{unit.vehicle} axle loads = {as_read(sum(loads[1:], loads[0])) if loads else 'unknown'}")
    for mode in ("rail", "road"):
        legs = [leg.length for leg in museum.route(mode)]
        lines.append(f"{mode} route = {as_read(sum(legs[1:], legs[0])) if legs else 'none'}")
    return lines


def _totals(table: tuple[Any, ...]) -> tuple[dict[str, Any], Counter[str], Counter[tuple[str, str]]]:
    totals: dict[str, Any] = {}
    unknown: Counter[str] = Counter()
    words: defaultdict[tuple[str, str], int] = defaultdict(int)
    for row in table:
        for column, value in row:
            if value is None:
                unknown[column] += 1
            elif isinstance(value, bool) or column == "basis":
                words[column, as_read(value)] += 1
            elif isinstance(value, int | float | units.Quantity):
                totals[column] = totals[column] + value if column in totals else value
            elif isinstance(value, dt.date):
                # Dates have no sum: how many rows have each date says whether one has moved.
                words[f"{column} on", value.isoformat()] += 1
    return totals, unknown, Counter(dict(sorted(words.items())))


def _flat(group: dict[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    for key, value in group.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{prefix}{key}.")
        else:
            yield prefix + key, as_read(value)
