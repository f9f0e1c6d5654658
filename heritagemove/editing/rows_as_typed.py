"""Rows of a museum as typed: read by column, put back, and marked where a planner has answered something of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import replace

from pydantic import ValidationError

from heritagemove.editing.entering import EXCEPTIONS, entered, is_starters, key_as_typed
from heritagemove.editing.writing import Typed
from heritagemove.files.tables import heading_of
from heritagemove.museum.rows import MUSEUM_TABLES

TypedRows = list[dict[str, str]]
#: Where a value comes from that somebody answered in the form.
FORM = "entered by form; not confirmed"
#: What a row says of itself that somebody added there.
OWN = {"basis": "judgment", "source": FORM}


def typed_rows(typed: Typed, file: str) -> TypedRows:
    """Return the rows of a table by column, as typed."""
    lines = typed.tables[file]
    return [dict(zip(heading_of(lines), line, strict=False)) for line in lines[1:] if any(line)]


def with_rows(typed: Typed, tables: Mapping[str, Iterable[Mapping[str, str]]]) -> Typed:
    """Return the museum with other rows in some of its tables."""
    found = {}
    for file, rows in tables.items():
        kept = list(rows)
        had = heading_of(typed.tables[file])
        heading = [*had, *(n for n in MUSEUM_TABLES[file].columns if n not in had and any(row.get(n) for row in kept))]
        found[file] = [heading, *([row.get(name, "") for name in heading] for row in kept)]
    return replace(typed, tables=typed.tables | found)


def replaced(typed: Typed, table: str, vehicle: str, own: TypedRows) -> Typed:
    """Return the museum with a unit's rows of a table where its first one stood."""
    rows = typed_rows(typed, table)
    place = next((number for number, row in enumerate(rows) if row["vehicle"] == vehicle), len(rows))
    before = [row for row in rows[:place] if row["vehicle"] != vehicle]
    rest = [row for row in rows[place:] if row["vehicle"] != vehicle]
    return without_stale_bases(with_rows(typed, {table: before + own + rest}))


def without_stale_bases(typed: Typed) -> Typed:
    """Return the museum without what bases.csv says of rows that are gone."""
    named = typed_rows(typed, EXCEPTIONS) if EXCEPTIONS in typed.tables else []
    tables = {row["table"] for row in named}
    keys = {table: {key_as_typed(table, row) for row in typed_rows(typed, table)} for table in tables}
    kept = [row for row in named if row["key"] in keys[row["table"]]]
    return typed if len(kept) == len(named) else with_rows(typed, {EXCEPTIONS: kept})


def mark_entered(typed: Typed, table: str, where: Mapping[str, str], columns: Iterable[str], source: str = FORM) -> Typed:
    """Return the museum with the values of some rows mark_entered as entered; what was not asked keeps its basis and source.

    Parameters
    ----------
    where : mapping of str to str
        What the rows hold.
    columns : iterable of str
        Those whose values were entered.
    """
    tables, rows = dict(typed.tables), typed_rows(typed, table)
    for row in rows:
        if not is_starters(row) or any(row[column] != text for column, text in where.items()):
            continue
        with suppress(ValidationError):  # the check of the tables says what is wrong with the row
            if key_as_typed(table, row):
                tables = entered(tables, table, row, columns, source)
            else:
                row |= {"basis": "judgment", "source": source, "starter": ""}
    return with_rows(replace(typed, tables=tables), {table: rows})


def is_own(typed: Typed, table: str, row: Mapping[str, str], column: str, source: str = "") -> bool:
    """Return whether a value is the planner's, and where a source is named, whether it comes from there."""
    if not is_starters(row):
        return not source or row["source"].endswith(source)
    key = key_as_typed(table, row)
    return any(
        (each["table"], each["key"], each["column"]) == (table, key, column) and each["source"].endswith(source)
        for each in (typed_rows(typed, EXCEPTIONS) if EXCEPTIONS in typed.tables else ())
    )
