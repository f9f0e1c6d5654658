"""Read one CSV table against its row model and collect every problem in it.

A planner edits tables in a spreadsheet and sees only its margin: a problem therefore names the
file, the row number of that margin, the column, what was found and what is allowed. All
problems are collected; nothing is loaded from a folder that has one.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, ValidationError

from heritagemove.files import damage
from heritagemove.files.cells import Allowed
from heritagemove.units import units
from heritagemove.units.words import nearest

#: Stated in data/README.md and enforced before parsing: far above any real museum, far below what hangs a machine.
LARGEST_FILE_BYTES = 5_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 200
LONGEST_CELL = 2_000
#: A table with more problems than this is not read to its end.
MOST_PROBLEMS = 1_000
MOST_SHOWN = 50


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong in one cell: where, what was found, what is allowed."""

    file: str
    row: int
    column: str
    found: str
    allowed: str

    def __str__(self) -> str:
        place = "key" if self.file in ("museum.toml", "sheet museum") else "column"
        where = self.file + (f" row {self.row}" if self.row else "") + (f", {place} {self.column}" if self.column else "")
        shown = self.found if len(self.found) <= 60 else self.found[:57] + "..."
        # A line feed, a bell or a mark that turns the writing round would spoil the line.
        shown = "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in shown)
        found = f'found "{shown}"; ' if shown else "found nothing; "
        return f"{where}: {found}allowed: {self.allowed}"


class TableProblems(units.PlannerError):
    """Everything wrong with a museum's tables; nothing was loaded.

    Attributes
    ----------
    problems : tuple of Problem
        Sorted by file, row and column.
    """

    def __init__(self, folder: str, problems: Iterable[Problem]):
        self.folder = folder
        self.problems = tuple(sorted(set(problems)))
        super().__init__(str(self))

    def __str__(self) -> str:
        count = len(self.problems)
        lines = [f"{count} problem{'' if count == 1 else 's'} in {self.folder}; nothing was loaded."]
        lines += [f"  {problem}" for problem in self.problems[:MOST_SHOWN]]
        if count > MOST_SHOWN:
            lines.append(f"  and {count - MOST_SHOWN} more")
        return "\n".join(lines)


@dataclass(frozen=True)
class Column:
    """Everything one column says about itself."""

    name: str
    means: str  # what it holds, in a planner's words: its line in data/COLUMNS.md and its label on a screen
    allowed: Allowed  # what a cell of it may hold
    key: bool = False  # whether it is one of the columns that together name a row
    unique: bool = False  # whether no two rows, of those that agree in the column `same`, may hold the same in it
    refers_to: tuple[str, ...] = ()  # the columns that define its ids, such as paths.path; or drivers, or tables
    also: tuple[str, ...] = ()  # words it may hold beside those ids
    same: str = ""  # column in which the other row, as a rule the one it refers to, must agree with its own, such as path
    where: tuple[str, str] = ("", "")  # what a column of the row it refers to must hold
    one_per: str = ""  # column whose rows of one value must agree in this one
    at_least: str = ""  # column of the same row that it must not be less than, or come before
    at_most: str = ""  # column of the same row that it must not be more than, or come after
    read_by: str = ""  # who reads it: gates, costs and dates, screens, check, whoever checks the row, or nobody
    required: bool = True  # whether every table must have it; one that may be left out is then blank


def column(means: str, *, refers_to: str | tuple[str, ...] = (), default: Any = ..., **says: Any) -> Any:
    """Return the field of a row model; `says` is anything else that a `Column` says about itself.

    A column with a default may be left out of the table. The words ``refers_to="piers.pier"`` say that the ids stand in
    the column pier of piers.csv.
    """
    targets = (refers_to,) if isinstance(refers_to, str) else refers_to
    return Field(default, description=means, json_schema_extra={"refers_to": targets, **says})


class Row(BaseModel):
    """One row of a table; the field names are the column names."""

    # A slot: copies and pickles leave it behind.
    __slots__ = ("_hash",)

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
    columns: ClassVar[dict[str, Column]] = {}  # by name, in the order of the table
    may_be_missing: ClassVar[bool] = False  # whether a museum without this table has none of its rows
    _row: int = PrivateAttr(0)

    def __init_subclass__(cls, read_by: str = "", **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)

    @classmethod
    def __pydantic_init_subclass__(cls, read_by: str = "", **kwargs: Any) -> None:
        """Gather what the columns say of themselves; `read_by` is who reads a column that does not say so itself."""
        super().__pydantic_init_subclass__(**kwargs)
        cls.columns = {name: _column(name, field, read_by) for name, field in cls.model_fields.items()}

    def __hash__(self) -> int:
        """Return the hash of the row's values, computed once: rows are what answers are remembered by."""
        try:
            return self._hash
        except AttributeError:
            # A column has one unit in all rows: its magnitude tells rows apart, and pint's own hash takes long.
            found = hash((type(self), *(getattr(value, "magnitude", value) for value in vars(self).values())))
            object.__setattr__(self, "_hash", found)
            return found

    @property
    def row_number(self) -> int:
        """The number in the spreadsheet's margin."""
        return self._row


def _column(name: str, field: Any, read_by: str) -> Column:
    allowed = next(entry for entry in field.metadata if isinstance(entry, Allowed))
    says = {"read_by": read_by, "required": field.is_required()} | (field.json_schema_extra or {})
    return Column(name, field.description or "", allowed, **says)


def read_table(path: Path, model: type[Row], instead: bytes | None = None) -> tuple[tuple[Row, ...], list[Problem]]:
    """Read a table.

    Parameters
    ----------
    path : Path
        A CSV file in UTF-8 (with or without a byte-order mark), with a heading row.
    model : type of Row
        The row model; its fields are the columns.
    instead : bytes, optional
        What the file is to hold; read in place of what it holds now.

    Returns
    -------
    tuple of (tuple of Row, list of Problem)
        The rows that read cleanly, and every problem.
    """
    if instead is None and model.may_be_missing and not os.path.lexists(path):
        return (), []
    lines, problem = csv_lines(path, instead)
    return ((), [problem]) if problem else read_lines(path.name, lines, model)


def csv_lines(path: Path, instead: bytes | None = None) -> tuple[list[list[str]], Problem | None]:
    """Return the cells of a CSV file, line by line as typed, or the problem that forbids to read it."""
    name = path.name
    text, problem = _decoded(path, instead)
    if problem:
        return [], problem
    lines = []
    try:
        for line in csv.reader(io.StringIO(text, newline=""), strict=True):
            lines.append(line)
            if len(lines) > MOST_ROWS:
                return [], Problem(name, 0, "", f"more than {MOST_ROWS:,} rows", f"at most {MOST_ROWS:,} rows")
    except csv.Error as error:
        # LibreOffice puts every text in quotes: between them, another mark is no cell of this table's.
        heading = text.partition("\n")[0]
        for mark in _OTHER_MARKS:
            if not lines and f'"{mark}"' in heading:
                return [], _other_mark(name, mark)
        allowed = "a table saved as CSV UTF-8 by a spreadsheet; a quote that opens must close"
        return [], Problem(name, len(lines) + 1, "", str(error), allowed)
    return lines, None


def read_lines(name: str, lines: Sequence[Sequence[str]], model: type[Row]) -> tuple[tuple[Row, ...], list[Problem]]:
    """Read the cells of a table, the heading first; `name` is what its problems call it."""
    if not lines:
        return (), [Problem(name, 1, "", "", "a heading row: " + ", ".join(model.model_fields))]
    heading = heading_of(lines)
    problems = _heading_problems(name, heading, model)
    if problems:
        return (), problems
    rows = []
    for number, line in enumerate(lines[1:], start=2):
        cells = [entry.strip() for entry in line]
        if not any(cells):
            continue
        if len(problems) >= MOST_PROBLEMS:
            problems.append(Problem(name, number, "", f"{len(problems):,} problems", "fewer; from here it was not read"))
            break
        if (len(cells) > len(heading) and any(cells[len(heading) :])) or len(cells) < len(heading):
            allowed = f"{len(heading)} cells, one a column (a text with a comma needs quotes)"
            problems.append(Problem(name, number, "", f"{len(cells)} cells", allowed))
            continue
        row = _row(name, number, dict(zip(heading, cells, strict=False)), model, problems)
        if row is not None:
            rows.append(row)
    return tuple(rows), problems


def heading_of(lines: Sequence[Sequence[str]]) -> list[str]:
    """Return the column names of a table, blank ones at the end left out."""
    heading = [column.strip() for column in lines[0]]
    while heading and not heading[-1]:
        heading.pop()
    return heading


def _decoded(path: Path, instead: bytes | None) -> tuple[str, Problem | None]:
    name = path.name
    data, problem = read_bytes(path, LARGEST_FILE_BYTES) if instead is None else (instead, None)
    if problem:
        return "", problem
    found = damage.encoding(data)
    if found:
        return "", Problem(name, 0, "", found, 'UTF-8 text (in a spreadsheet: Save As, type "CSV UTF-8")')
    return data.decode("utf-8-sig"), None


def read_bytes(path: Path, most: int) -> tuple[bytes, Problem | None]:
    """Return a file's bytes, or the problem: no file, a link that may lead out of the folder, too large, unreadable."""
    name = path.name
    if path.is_symlink():
        return b"", Problem(name, 0, "", "a link", "a file of its own: a link may lead out of the museum's folder")
    if not path.is_file():
        return b"", Problem(name, 0, "", "no such file", f"a {_kind(name)} {name} in this folder")
    if path.stat().st_size > most:
        return b"", Problem(name, 0, "", f"{path.stat().st_size:,} bytes", f"at most {most:,} bytes")
    try:
        return path.read_bytes(), None
    except OSError as error:
        return b"", Problem(name, 0, "", error.strerror or str(error), "a file that can be read")


def _kind(name: str) -> str:
    return "table" if name.endswith(".csv") else "file"


#: What may stand between cells in place of the comma.
_OTHER_MARKS = {";": "semicolons", "\t": "tabs"}


def _other_mark(name: str, mark: str) -> Problem:
    allowed = "commas (a spreadsheet set to another country writes these: choose the comma when saving)"
    return Problem(name, 1, "", f"{_OTHER_MARKS[mark]} between cells", allowed)


def _heading_problems(name: str, heading: list[str], model: type[Row]) -> list[Problem]:
    wanted = list(model.model_fields)
    if len(heading) > MOST_COLUMNS:
        return [Problem(name, 1, "", f"{len(heading):,} columns", ", ".join(wanted))]
    for mark in _OTHER_MARKS:
        if len(heading) == 1 and heading[0].count(mark) > 1:
            return [_other_mark(name, mark)]
    problems = [
        Problem(name, 1, column, "twice", "each column once") for column in set(heading) if heading.count(column) > 1
    ]
    missing = [column for column in wanted if column not in heading]
    for column in heading:
        if column not in wanted:
            meant = nearest(column, missing)
            hint = f" (did you mean {meant}?)" if meant else ""
            missing = [column for column in missing if column != meant]
            problems.append(Problem(name, 1, column or "(blank)", column, ", ".join(wanted) + hint))
    missing = [column for column in missing if model.columns[column].required]
    problems += [Problem(name, 1, column, "", f"a column {column}") for column in missing]
    return problems


def _row(name: str, number: int, cells: dict[str, str], model: type[Row], problems: list[Problem]) -> Row | None:
    whole = "".join(cells.values())
    for column, text in cells.items() if len(whole) > LONGEST_CELL or damage.suspect(whole) else ():
        if len(text) > LONGEST_CELL:
            problems.append(Problem(name, number, column, text, f"at most {LONGEST_CELL:,} characters"))
            return None
        if wrong := damage.broken(text):
            problems.append(Problem(name, number, column, text, wrong))
            return None
    try:
        row = model.model_validate(cells)
    except ValidationError as error:
        for entry in error.errors():
            reason = entry["msg"].removeprefix("Value error, ")
            column, _, allowed = reason.partition(": ") if not entry["loc"] else (str(entry["loc"][0]), "", reason)
            problems.append(Problem(name, number, column, cells.get(column, ""), allowed))
        return None
    row._row = number
    return row
