"""Sheets of a workbook: columns, rows and formulas in, the bytes of a file that any spreadsheet opens and prints.

Text from a table never becomes a formula: the only formulas are those made here, each with the value that it comes to, so
that a reader who does not recalculate sees it too.
"""

from __future__ import annotations

import datetime as dt
import io
import math
import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from heritagemove.files.spreadsheets import CONTROL, RISKY, SheetCell, sheet_rows
from heritagemove.units.described import Described

#: Characters of a column: the narrowest, the widest, after which text is broken.
_NARROW, _WIDE = 10, 40
#: With so few columns one may be wider.
_FEW, _WIDEST = 3, 80
#: Height of a line, and the highest that a row may be.
_LINE_POINTS, _HIGHEST_POINTS = 15, 400
#: Letters that stand where a digit does, on average.
_LETTERS = 1.05
_LONGEST = 32_000


@dataclass(frozen=True)
class Formula:
    """A formula and what it comes to."""

    text: str  # without the sign of equality
    value: float | str


@dataclass(frozen=True)
class Input:
    """A number that the reader may change: the formulas follow."""

    value: float


@dataclass(frozen=True)
class FromTrials:
    """A number that the trials have given: it follows no change of this workbook."""

    value: float


@dataclass
class Sheet:
    """One sheet: a heading row, rows, and notes under them."""

    name: str
    headings: Sequence[str]
    rows: list[Sequence[Any]] = field(default_factory=list)
    bold: set[int] = field(default_factory=set)  # rows, counted from 0, that are totals
    notes: list[str] = field(default_factory=list)

    def add(self, *cells: Any, bold: bool = False) -> int:
        """Add a row and return its number, counted from 0."""
        self.bold |= {len(self.rows)} if bold else set()
        self.rows.append(cells)
        return len(self.rows) - 1

    def cell(self, row: int, heading: str) -> str:
        """Return the reference of a cell, for formulas of any sheet."""
        column = self.headings.index(heading)
        quoted = self.name.replace("'", "''")
        return f"'{quoted}'!${_letters(column)}${row + 2}"

    def column(self, heading: str, first: int, last: int) -> str:
        """Return the reference of the cells of a column from one row to another."""
        return f"{self.cell(first, heading)}:{self.cell(last, heading).rpartition('!')[2]}"

    def value(self, row: int, heading: str) -> float:
        """Return the number of a cell; of a formula, what it comes to."""
        return float(_held(self.rows[row][self.headings.index(heading)]) or 0.0)

    def total(self, first: int, last: int, heading: str) -> Formula:
        """Return the sum of the cells of a column from one row to another."""
        return Formula(
            f"SUM({self.column(heading, first, last)})", sum(self.value(row, heading) for row in range(first, last + 1))
        )


#: Headings of columns whose total means something: means add up, percentiles do not.
_ADDS_UP = re.compile(r".*(mean|amount|invoiced|now|actual less estimate) \[[A-Z]{3}\]")


def _column_total(sheet: Sheet, heading: str) -> Formula:
    cells = sheet.column(heading, 0, len(sheet.rows) - 1).rpartition("!")[2].replace("$", "")
    values = [_held(row[sheet.headings.index(heading)]) for row in sheet.rows]
    # A total over an unknown amount would look smaller than it is.
    found = "unknown" if any(map(_no_number, values)) else float(sum(values))
    return Formula(f'IF(COUNT({cells})=ROWS({cells}),SUM({cells}),"unknown")', found)


class Book:
    """The sheets of a workbook in their order, each by a name that a workbook allows and no other has."""

    def __init__(self, made_from: str) -> None:
        self.sheets: list[Sheet] = []
        self.made_from = made_from  # what the numbers of the trials were made from, in words

    def sheet(self, name: str, headings: Sequence[str]) -> Sheet:
        """Add a sheet without rows."""
        title = re.sub(r"[\[\]:*?/\\]", " ", CONTROL.sub(" ", name)).strip("' ")[:31] or "Table"
        taken, number = {sheet.name.lower() for sheet in self.sheets}, 2
        while title.lower() in taken:
            title, number = f"{title[:27]} {number}", number + 1
        self.sheets.append(Sheet(title, headings))
        return self.sheets[-1]

    def table(self, name: str, table: pd.DataFrame | Described) -> Sheet:
        """Add a table as a sheet, with a total under each column that adds up."""
        if isinstance(table, Described):
            rows, headings = sheet_rows(table), table.titles()
            adds_up = {str(heading) for heading in table.headings if heading.total}
        else:
            rows, headings = table.itertuples(index=False), [str(heading) for heading in table.columns]
            adds_up = {heading for heading in headings if _ADDS_UP.fullmatch(heading)}
        sheet = self.sheet(name, headings)
        for row in rows:
            sheet.add(*row)
        totals = [_column_total(sheet, heading) if heading in adds_up else "" for heading in headings]
        if sheet.rows and any(totals):
            sheet.add(*("Total" if n == 0 and not each else each for n, each in enumerate(totals)), bold=True)
        return sheet

    def file(self, made: dt.date) -> bytes:
        """Return the workbook; the same sheets give the same bytes.

        Each sheet prints landscape, one page wide, with its headings on every page.

        Parameters
        ----------
        made : datetime.date
            Day of the tables, which the file carries as that of its making.
        """
        # Imported here: who writes no workbook needs no writer. In memory: a kill leaves no file in the system's folder.
        from xlsxwriter import Workbook

        out = io.BytesIO()
        book = Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
        book.set_properties({"created": dt.datetime.combine(made, dt.time())})
        styles = _Styles(book)
        for sheet in self.sheets:
            _write(book.add_worksheet(sheet.name), sheet, styles)
        book.close()
        return out.getvalue()


class _Styles:
    """The formats of a book, each made once."""

    def __init__(self, book: Any) -> None:
        self._book, self._made = book, {}

    def __call__(self, **properties: Any) -> Any:
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format({"valign": "top", **properties})
        return self._made[key]


def _write(page: Any, sheet: Sheet, styles: _Styles) -> None:
    widest = _WIDE if len(sheet.headings) > _FEW else _WIDEST
    shown = ([_shown(*each) for each in zip(row, sheet.headings, strict=True)] for row in sheet.rows)
    table, widths = [sheet.headings, *shown], []
    for column, heading in enumerate(sheet.headings):
        _text(page, 0, column, heading, styles, {"bold": True, "text_wrap": True, "bottom": 1})
        longest = max(len(line) for row in table[1:] or [[""] * (column + 1)] for line in row[column].split("\n"))
        word = max((len(word) for word in heading.split()), default=0)
        widths.append(min(widest, max(_NARROW, word + 2, longest + 2)))
        page.set_column(column, column, widths[-1])
    for number, row in enumerate(sheet.rows):
        for column, value in enumerate(row):
            style = {"bold": True, "top": 1} if number in sheet.bold else {}
            _put(page, number + 1, column, value, sheet.headings[column], styles, style)
    for number, row in enumerate(table):  # not every program makes a row as high as its text
        lines = max((_lines(text, width) for text, width in zip(row, widths, strict=True)), default=1)
        if lines > 1:
            page.set_row(number, min(_LINE_POINTS * lines, _HIGHEST_POINTS))
    for number, note in enumerate(sheet.notes):
        _text(page, len(sheet.rows) + 2 + number, 0, note, styles, {"italic": True})
    page.freeze_panes(1, 1)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)
    page.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
    page.set_footer("&L&A&RPage &P of &N")


def _lines(text: str, width: float) -> int:
    """Return the lines that a text takes in a column, broken between words."""
    width *= _LETTERS  # columns are measured in digits, which are wider than most letters
    return sum(max(1, len(textwrap.wrap(part, max(int(width), 1)))) for part in text.split("\n"))


def _put(page: Any, row: int, column: int, value: Any, heading: str, styles: _Styles, style: dict[str, Any]) -> None:
    if isinstance(value, SheetCell):
        value, style = value.value, style | ({"num_format": value.number_format} if value.number_format else {})
    if isinstance(value, Input):
        value, style = value.value, style | {"font_color": "#0000C0", "bg_color": "#FFF8DC"}
    elif isinstance(value, FromTrials):
        value, style = value.value, style | {"font_color": "#606060", "italic": True}
    if isinstance(value, Formula):
        number = styles(**style, num_format=_number_format(value.value, heading))
        page.write_formula(row, column, "=" + value.text, number, value.value)
    elif _nothing(value):
        _text(page, row, column, "unknown", styles, style)
    elif isinstance(value, bool | np.bool_):
        _text(page, row, column, "yes" if value else "no", styles, style)
    elif isinstance(value, int | float | np.number):
        page.write_number(row, column, float(value), styles(**{"num_format": _number_format(float(value), heading)} | style))
    elif isinstance(value, dt.date):
        as_date = {"num_format": "mmm yyyy" if heading == "month" else "d mmm yyyy", "align": "left"}
        page.write_datetime(row, column, value, styles(**style | as_date))
    elif value != "":
        _text(page, row, column, str(value), styles, style | {"text_wrap": True})
    elif style:
        page.write_blank(row, column, None, styles(**style))


def _text(page: Any, row: int, column: int, text: str, styles: _Styles, style: dict[str, Any]) -> None:
    text = CONTROL.sub("\ufffd", text)[:_LONGEST]
    style = style | ({"indent": 1, "align": "left"} if column else {})  # apart from the number before it
    # Written as text, or a spreadsheet would run "=1+1"; the quote mark keeps it text when somebody edits the cell.
    page.write_string(row, column, text, styles(**style, **({"quote_prefix": True} if text.startswith(RISKY) else {})))


def _held(value: Any) -> Any:
    """Return what a cell holds; of a formula, what it comes to."""
    return getattr(value, "value", value)


def _no_number(value: Any) -> bool:
    return _nothing(value) or isinstance(value, str)


def _nothing(value: Any) -> bool:
    return value is None or value is pd.NaT or (isinstance(value, float | np.floating) and not math.isfinite(value))


def _number_format(value: float | str, heading: str) -> str:
    if any(word in heading for word in ("chance", "share", "critical")):
        return "0%"
    return "#,##0" if isinstance(value, str) or abs(value) >= 100 or value == int(value) else "#,##0.00"


def _shown(value: Any, heading: str) -> str:
    value = _held(value)
    if isinstance(value, dt.date):
        return "31 Dec 2027"
    if isinstance(value, int | float | np.number) and not isinstance(value, bool) and not _nothing(value):
        return f"{float(value):,.2f}" if _number_format(float(value), heading).endswith("00") else f"{float(value):,.0f}"
    return str(value)


def _letters(column: int) -> str:
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
