"""A value entered in a row that a new museum began with: that value is the planner's, the rest of the row is still not.

Which values differ from their row stands in bases.csv. A row without a key cannot be named there: it is the planner's as a
whole as soon as one of its values is.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping

from heritagemove.editing.writing import Lines
from heritagemove.files.tables import heading_of
from heritagemove.museum.bases import key_of
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.rows.bases import ValueBasis

EXCEPTIONS = "bases.csv"
#: Columns that say of a whole row where it comes from: who writes one of them has looked at the row.
OF_A_ROW = ("basis", "source", "starter")


def is_starters(row: Mapping[str, str]) -> bool:
    """Return whether a row, as typed, is still the starter's."""
    return row.get("starter") == "yes"


def key_as_typed(file: str, row: Mapping[str, str]) -> str:
    """Return how bases.csv names a row as typed; blank where its table has no key."""
    cells = {name: text.strip() for name, text in row.items() if name in MUSEUM_TABLES[file].columns}
    return key_of(MUSEUM_TABLES[file].model_validate(cells))


def entered(
    tables: Mapping[str, Lines], file: str, row: Mapping[str, str], columns: Iterable[str], source: str,
    basis: str = "judgment",
) -> dict[str, Lines]:  # fmt: skip
    """Return tables as typed in which some values of a starter's row are said to be entered; a row of hers stays as it is.

    Parameters
    ----------
    tables : mapping of str to lines
        With the values already in them.
    file : str
        Such as ``legs.csv``.
    row : mapping of str to str
        The row with the new values in it, by column.
    columns : iterable of str
        Those that were entered.
    """
    if not is_starters(row):
        return dict(tables)
    before = tables.get(EXCEPTIONS) or [list(ValueBasis.columns)]
    heading, key = heading_of(before), key_as_typed(file, row)
    new = [{"table": file, "key": key, "column": each, "basis": basis, "source": source} for each in columns]
    named = {(each["table"], each["key"], each["column"]) for each in new}
    at = [heading.index(name) for name in ("table", "key", "column")]
    kept = [line for line in before[1:] if tuple(line[n] for n in at) not in named]
    return dict(tables) | {EXCEPTIONS: [heading, *kept, *([each.get(name, "") for name in heading] for each in new)]}


def noted(file: str, row: Mapping[str, str], column: str, before: str, source: str) -> str | None:
    """Return the text of bases.csv once a value of a starter's row was entered; None where nothing is to be noted.

    Parameters
    ----------
    row : mapping of str to str
        The row with the new value in it, by column.
    before : str
        Text of bases.csv; blank where there is none.
    """
    if not is_starters(row) or column in OF_A_ROW or not key_as_typed(file, row):
        return None
    lines = list(csv.reader(io.StringIO(before, newline="")))
    after = entered({EXCEPTIONS: lines} if lines else {}, file, row, [column], source)[EXCEPTIONS]
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(after)
    return text.getvalue()
