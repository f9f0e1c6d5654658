"""Read one CSV table against its row model and collect every problem in it.

A planner edits tables in a spreadsheet and sees only its margin: a problem therefore names the
file, the row number of that margin, the column, what was found and what is allowed. All
problems are collected; nothing is loaded from a folder that has one.
"""

from __future__ import annotations

import csv
import datetime as dt
import difflib
import io
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, PrivateAttr, ValidationError

from heritagemove.files import damage
from heritagemove.units import units

#: Stated in data/README.md and enforced before parsing: far above any real museum, far below what hangs a machine.
LARGEST_FILE_BYTES = 5_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 200
LONGEST_CELL = 2_000
#: A table with more problems than this is not read to its end.
MOST_PROBLEMS = 1_000
MOST_SHOWN = 30


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


class Row(BaseModel):
    """One row of a table; the field names are the column names."""

    # A slot: copies and pickles leave it behind.
    __slots__ = ("_hash",)

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
    _row: int = PrivateAttr(0)

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


@dataclass(frozen=True)
class Allowed:
    """What a cell of this kind may hold, in a planner's words; shown in errors and in data/README.md."""

    text: str
    may_be_blank: bool = False


def cell(kind: Any, allowed: str, read: Callable[[str], Any], blank: bool = False) -> Any:
    """Return the annotated type of a column: how its text is read and what it may hold."""

    def reader(text: Any) -> Any:
        if not isinstance(text, str):
            return text
        if text in ("", "unknown") and blank:
            return None
        try:
            return read(text)
        except ValueError as error:
            reason = str(error)
            if "means" in reason or "did you mean" in reason:
                raise
            hint = "" if kind is dt.date else damage.hint(text, is_id=allowed == SPELLING)
            raise ValueError(f"{allowed} ({hint})" if hint else allowed) from error

    return Annotated[kind | None if blank else kind, BeforeValidator(reader), Allowed(allowed, blank)]


def is_identifier(text: str) -> bool:
    """Return whether a text may name something: lower-case letters, digits and underscores, a letter first."""
    return re.fullmatch(r"[a-z][a-z0-9_]{0,59}", text) is not None


def _identifier(text: str) -> str:
    return text if is_identifier(text) else _raise()


def _name(text: str) -> str:
    """Read an id as it stands: the rules between tables know which ids there are and say so."""
    return text if 0 < len(text) <= 60 and not text[0].isdigit() else _raise()


def _text(text: str) -> str:
    if not text:
        raise ValueError
    return text


def _file_name(text: str) -> str:
    """Read the name of a file in the museum's folder: no way up, no other disk, no address."""
    inside = re.fullmatch(r"[^\\/:*?\"<>|~][^\\:*?\"<>|]{0,199}", text) and ".." not in text.split("/")
    return text if inside else _raise()


def _date(text: str) -> dt.date:
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        raise ValueError
    return dt.date.fromisoformat(text)


def _whole(text: str) -> int:
    if not re.fullmatch(r"\d{1,6}", text):
        raise ValueError
    return int(text)


def _yes_no(text: str) -> bool:
    return {"yes": True, "no": False}[text] if text in ("yes", "no") else _raise()


def _raise() -> Any:
    raise ValueError


def _ids(text: str) -> tuple[str, ...]:
    return tuple(_identifier(part.strip()) for part in text.split(";")) if text else ()


def _numbers(text: str) -> tuple[float, ...]:
    read = _number_between(0, 1e12)
    return tuple(read(part.strip()) for part in text.split(";")) if text else ()


def _number_between(low: float, high: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        number = units.parse_number(text)
        return number if low <= number <= high else _raise()

    return read


def _one_of(choices: tuple[str, ...]) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text in choices:
            return text
        # A long text is no slip of the pen, and comparing it takes long.
        close = difflib.get_close_matches(text[:60], choices, 1)
        listed = ", ".join(choices)
        raise ValueError(f"{listed} (did you mean {close[0]}?)" if close else listed)

    return read


def choice(*choices: str, blank: bool = False) -> Any:
    """Return the type of a column that holds one of a few words."""
    return cell(str, ", ".join(choices), _one_of(choices), blank)


def quantity(unit: str, blank: bool = False, least: float = 0.0) -> Any:
    """Return the type of a column that holds a quantity with its unit, read into `unit`."""
    try:
        example = units.parse("x", unit)
    except ValueError as error:
        example = str(error)

    def read(text: str) -> Any:
        found = units.parse(text, unit)
        return found if found.magnitude >= least else _raise()

    allowed = f"{example}{'' if least < 0 else f', at least {least:g}'}{', or blank for unknown' if blank else ''}"
    return cell(units.Quantity, allowed, read, blank)


#: What an id may look like, in a planner's words.
SPELLING = "lower-case letters, digits and underscores, beginning with a letter"
Identifier = cell(str, SPELLING, _name)
OptionalIdentifier = cell(str, "an id, or blank", _name, blank=True)
Identifiers = cell(tuple[str, ...], "ids with ; between them, or blank", _ids)
Text = cell(str, "a text", _text)
OptionalText = cell(str, "a text, or blank", _text, blank=True)
OptionalFileName = cell(str, "a file in the museum's folder, as photos/box_1L.jpg, or blank", _file_name, blank=True)
Date = cell(dt.date, "a date as 2027-10-15", _date)
OptionalDate = cell(dt.date, "a date as 2027-10-15, or blank", _date, blank=True)
YesNo = cell(bool, "yes or no", _yes_no)
Count = cell(int, "a whole number of at least 0", _whole)
Year = cell(int, "a year between 1825 and 2100", lambda text: _whole(text) if 1825 <= _whole(text) <= 2100 else _raise())
Number = cell(float, "a number", units.parse_number)
NonNegative = cell(float, "a number of at least 0", _number_between(0, 1e12))
OptionalNonNegative = cell(float, "a number of at least 0, or blank", _number_between(0, 1e12), blank=True)
NonNegatives = cell(tuple[float, ...], "numbers of at least 0 with ; between them, or blank", _numbers)
Probability = cell(float, "a probability from 0 to 1", _number_between(0, 1))
OptionalProbability = cell(float, "a probability from 0 to 1, or blank", _number_between(0, 1), blank=True)


def read_table(path: Path, model: type[Row]) -> tuple[tuple[Row, ...], list[Problem]]:
    """Read a table.

    Parameters
    ----------
    path : Path
        A CSV file in UTF-8 (with or without a byte-order mark), with a heading row.
    model : type of Row
        The row model; its fields are the columns.

    Returns
    -------
    tuple of (tuple of Row, list of Problem)
        The rows that read cleanly, and every problem.
    """
    lines, problem = csv_lines(path)
    return ((), [problem]) if problem else read_lines(path.name, lines, model)


def csv_lines(path: Path) -> tuple[list[list[str]], Problem | None]:
    """Return the cells of a CSV file, line by line as typed, or the problem that forbids to read it."""
    name = path.name
    text, problem = _decoded(path)
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


def _decoded(path: Path) -> tuple[str, Problem | None]:
    name, data, problem = path.name, *read_bytes(path, LARGEST_FILE_BYTES)
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
            close = difflib.get_close_matches(column[:60], missing, 1)
            hint = f" (did you mean {close[0]}?)" if close else ""
            missing = [column for column in missing if column not in close]
            problems.append(Problem(name, 1, column or "(blank)", column, ", ".join(wanted) + hint))
    problems += [Problem(name, 1, column, "", f"a column {column}") for column in missing]
    return problems


def _row(name: str, number: int, cells: dict[str, str], model: type[Row], problems: list[Problem]) -> Row | None:
    for column, text in cells.items():
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
