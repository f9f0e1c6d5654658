"""A workbook with one sheet a table, in place of a folder of CSV files: read as text, and written back.

Each sheet is read into the same lines of text as a CSV file, so that the same rules and messages
hold. A formula is refused: what a cell shows would hang on the program that opened it last.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Collection, Iterable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from heritagemove.files.tables import LARGEST_FILE_BYTES, LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Problem, read_bytes
from heritagemove.units.words import nearest

#: A workbook is compressed: what it unpacks to is bounded before anything is unpacked.
LARGEST_UNPACKED_BYTES = 10_000_000
#: The sheet with the keys of museum.toml.
SCENARIO_SHEET = "museum"

Lines = list[list[str]]


def is_workbook(path: Path) -> bool:
    """Return whether a museum is kept in a workbook, by the ending of its name."""
    return path.suffix.lower() in (".xlsx", ".xlsm", ".xls", ".ods")


def read_workbook(
    path: Path, wanted: Iterable[str], may_be_missing: Collection[str] = ()
) -> tuple[dict[str, Lines], list[Problem]]:
    """Read sheets into lines of text.

    Parameters
    ----------
    path : Path
        A workbook, .xlsx, of at most 5,000,000 bytes that unpacks to at most 10,000,000.
    wanted : iterable of str
        Names of the sheets; others are left alone.
    may_be_missing : collection of str
        Those of them that need not be there.

    Returns
    -------
    tuple of (dict of str to list of list of str, list of Problem)
        The lines of each sheet that reads cleanly, as typed, and every problem.
    """
    data, problem = _unpackable(path)
    if problem:
        return {}, [problem]
    # Imported here: a museum kept in CSV files needs no workbook reader.
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
        sheets = {sheet.title: sheet for sheet in book.worksheets}
        read, problems = {}, []
        for name in wanted:
            if name not in sheets and name in may_be_missing:
                continue
            if name not in sheets:
                near = nearest(name, set(sheets) - set(wanted))
                hint = f' (there is a sheet "{near}")' if near else ""
                problems.append(Problem(f"sheet {name}", 0, "", "no such sheet", f"a sheet {name}{hint}"))
                continue
            lines, found = _lines(name, sheets[name])
            problems += found
            if not found:
                read[name] = lines
    except Exception as error:  # The reader stops at a damaged workbook with whatever error comes first.
        allowed = "a workbook saved as .xlsx by a spreadsheet"
        return {}, [Problem(path.name, 0, "", f"{type(error).__name__}: {error}"[:60], allowed)]
    return read, problems


def _unpackable(path: Path) -> tuple[bytes, Problem | None]:
    """Return the bytes of a workbook that may be unpacked, or the problem."""
    data, problem = read_bytes(path, LARGEST_FILE_BYTES)
    if problem:
        return b"", problem
    allowed = "a workbook saved as .xlsx by a spreadsheet, without macros or passwords"
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as pack:
            size = sum(part.file_size for part in pack.infolist())
            if size > LARGEST_UNPACKED_BYTES:
                most = f"a workbook that unpacks to at most {LARGEST_UNPACKED_BYTES:,} bytes"
                return b"", Problem(path.name, 0, "", f"{size:,} bytes unpacked", most)
            for part in pack.namelist():
                # An entity could blow a text up or fetch a file; no spreadsheet writes one.
                if part.endswith((".xml", ".rels")) and b"<!" in pack.open(part).read(4096).replace(b"<!--", b""):
                    return b"", Problem(path.name, 0, "", "a document type in " + part, allowed)
    except Exception:  # Whatever is wrong with the pack, it is no workbook.
        return b"", Problem(path.name, 0, "", "a file that is no workbook", allowed)
    return data, None


def _lines(name: str, sheet: Any) -> tuple[Lines, list[Problem]]:
    lines: Lines = []
    problems: list[Problem] = []
    sheet.reset_dimensions()
    for number, cells in enumerate(sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS + 1), start=1):
        if number > MOST_ROWS:
            return [], [Problem(f"sheet {name}", 0, "", f"more than {MOST_ROWS:,} rows", f"at most {MOST_ROWS:,} rows")]
        line = [_text(cell) for cell in cells]
        heading = lines[0] if lines else line
        for place, cell in enumerate(cells):
            if cell.data_type == "f":
                column = heading[place] if place < len(heading) else ""
                problems.append(Problem(f"sheet {name}", number, column, _formula(cell.value), "a value, not a formula"))
        while line and not line[-1]:
            line.pop()
        # A sheet does not keep the blank cells at the end of a row.
        lines.append(line + [""] * (len(heading) - len(line)))
    return lines, problems


def _formula(value: Any) -> str:
    return str(getattr(value, "text", value) or "a formula")


def _text(cell: Any) -> str:
    """Return a cell's text as a planner would type it."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, int | float):
        shown = _number(value * 100 if "%" in (cell.number_format or "") else value)
        return f"{shown} %" if "%" in (cell.number_format or "") else shown
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        return value.date().isoformat()
    return str(value)[: LONGEST_CELL + 1]


def _number(value: float) -> str:
    """Write a number without an exponent and without the last digit's noise."""
    return format(Decimal(f"{value:.15g}").normalize(), "f")


def workbook_bytes(sheets: Mapping[str, Sequence[Sequence[str]]]) -> bytes:
    """Return a workbook with one sheet a table: text as text, plain numbers as numbers, headings that stay in sight.

    Parameters
    ----------
    sheets : mapping of str to lines
        Lines of text by the name of the sheet, the heading first.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.active)
    for name, lines in sheets.items():
        sheet = book.create_sheet(name)
        for number, line in enumerate(lines, start=1):
            for column, text in enumerate(line, start=1):
                if text:
                    _write(sheet.cell(number, column), text)
        for column in range(1, len(lines[0]) + 1 if lines else 1):
            longest = max((len(line[column - 1]) for line in lines if column <= len(line)), default=8)
            sheet.column_dimensions[get_column_letter(column)].width = min(40, max(8, longest + 2))
            sheet.cell(1, column).font = Font(bold=True)
        sheet.freeze_panes = "A2"
    return packed(book)


def packed(book: Any) -> bytes:
    """Return a workbook of openpyxl as the bytes of its file.

    Its own writer puts each sheet into a file in the system's folder first, which a kill leaves there; here none is made.
    """
    from openpyxl.drawing.spreadsheet_drawing import SpreadsheetDrawing
    from openpyxl.worksheet._writer import WorksheetWriter
    from openpyxl.writer.excel import ExcelWriter

    class Writer(ExcelWriter):
        def write_worksheet(self, sheet: Any) -> None:
            sheet._drawing = SpreadsheetDrawing()
            sheet._drawing.charts, sheet._drawing.images = sheet._charts, sheet._images
            writer = WorksheetWriter(sheet, out=io.BytesIO())
            writer.write()
            sheet._rels = writer._rels
            self._archive.writestr(sheet.path[1:], writer.out.getvalue())
            self.manifest.append(sheet)

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        Writer(book, pack).save()
    return out.getvalue()


def _write(cell: Any, text: str) -> None:
    if re.fullmatch(r"-?(?:0|[1-9]\d{0,11})(?:\.\d*[1-9])?", text) and _number(float(text)) == text:
        cell.value = float(text) if "." in text else int(text)
        return
    # Set as text, or a spreadsheet would run "=1+1" and make dates of fractions.
    cell.value, cell.number_format = text, "@"
    cell.data_type = "s"
