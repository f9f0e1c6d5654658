"""Tables for a spreadsheet, as CSV and as cells of a workbook: numbers as numbers, and no text that one would run."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from heritagemove.units.described import Described, Heading, said

#: What a spreadsheet takes for the beginning of a formula.
RISKY = ("=", "+", "-", "@", "\t", "\r")
#: What no file of a workbook may hold.
CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ufffe\uffff]")
#: How a spreadsheet shows what a column holds; else as a whole number.
_FORMATS = {"signed": "+#,##0;-#,##0;0", "tenths": "#,##0.0", "hundredths": "#,##0.00", "chance": "0%", "share": "0%"}


class SheetCell(NamedTuple):
    """One cell of a workbook."""

    value: Any  # a number, a date, or a text that is to be set as text
    number_format: str  # blank for a text


def csv_of(table: Described) -> str:
    """Return a table as CSV that any spreadsheet opens: UTF-8 and marked so, text that looks like a formula behind a '."""
    return rows_as_csv(table.titles(), [[_for_csv(*pair) for pair in _pairs(table, row)] for row in table.rows])


def rows_as_csv(headings: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """Return rows as CSV, as :func:`csv_of` does."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([_harmless(name) for name in headings])
    writer.writerows([[_csv_cell(value) for value in row] for row in rows])
    return "\ufeff" + out.getvalue()


def sheet_rows(table: Described) -> Iterator[list[SheetCell]]:
    """Yield the rows of a table as cells of a workbook."""
    for row in table.rows:
        yield [_sheet_cell(*pair) for pair in _pairs(table, row)]


def _pairs(table: Described, row: Sequence[Any]) -> Iterable[tuple[Heading, Any]]:
    return zip(table.headings, row, strict=True)


def _sheet_cell(heading: Heading, value: Any) -> SheetCell:
    if isinstance(value, dt.date):
        return SheetCell(value, "yyyy-mm-dd")
    if _is_number(value):
        return SheetCell(value, _FORMATS.get(heading.kind, "#,##0"))
    return SheetCell(said(value, heading.kind), "")


def _for_csv(heading: Heading, value: Any) -> Any:
    """Return what a cell of a CSV file holds: an amount rounded as it is shown, a chance as a share of one."""
    if not _is_number(value):
        return value if isinstance(value, dt.date) else said(value, heading.kind)
    if heading.kind in ("chance", "share"):
        return value
    digits = {"tenths": 1, "hundredths": 2}.get(heading.kind)
    return round(value, digits) if digits else round(float(said(value, heading.kind).replace(",", "")))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _harmless(text: str) -> str:
    text = CONTROL.sub("\ufffd", str(text))
    return "'" + text if text.startswith(RISKY) else text


def _csv_cell(value: Any) -> str:
    value = value.item() if hasattr(value, "item") else value
    if value is None or (value != value):
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if isinstance(value, int | float | dt.date) else _harmless(value)
