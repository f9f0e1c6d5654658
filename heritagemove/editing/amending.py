"""Amend one value of a table in place: that cell and nothing else, checked first, saved whole, written down, undone."""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from heritagemove.editing.entering import EXCEPTIONS, OF_A_ROW, is_starters, key_as_typed, noted
from heritagemove.files.saving import Content, clean, save_together
from heritagemove.files.tables import LONGEST_CELL, Problem, TableProblems, csv_lines, heading_of
from heritagemove.museum.museum import Museum, load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.rows.changes import Change
from heritagemove.units.units import PlannerError

LOG = "changes.csv"
#: What tries a museum before it is written: the rooms that price and date stand above this one.
Tried = Callable[[Museum], Iterable[Problem]]
#: Tables that may be amended: all but the log itself.
_TABLES = {file: model for file, model in MUSEUM_TABLES.items() if file != LOG}


class Cell(NamedTuple):
    """One cell that changed, or where `column` is blank a whole row that came or went."""

    row_number: int
    column: str
    was: str
    now: str


#: Given the text of a table: its text as it is to be, and what changed.
TableChange = Callable[[str], tuple[str, list[Cell]]]


@dataclass(frozen=True)
class Amended:
    """A value as amended."""

    museum: Museum  # read again from the folder
    was: str  # text of the cell before and after
    now: str  # text of the cell before and after
    fingerprint: str  # of the table as saved, for the next amendment of the same window
    fingerprints: Mapping[str, str]  # of each table as saved
    before: Mapping[str, bytes]  # what each table held, to take it back
    cells: Mapping[str, Sequence[Cell]]  # what changed, by table


def amend(
    folder: str | Path,
    table: str,
    row_number: int,
    column: str,
    text: str,
    who: str,
    why: str,
    expected: str | None = "",
    on: dt.date | None = None,
    *,
    tried: Tried,
) -> Amended:
    """Change one cell of a table, keeping every other byte, and log who changed it and why.

    Parameters
    ----------
    folder : path
        The museum's folder.
    table : str
        File name, such as ``rates.csv``.
    row_number : int
        Number in the spreadsheet's margin; the heading is row 1.
    column : str
        Name of the column.
    text : str
        What the cell is to hold, as a planner would type it.
    who, why : str
        Role that changes it, and the reason.
    expected : str or None
        Fingerprint of the table as the caller's window read it (:func:`heritagemove.files.saving.fingerprint`). Left
        out, only a change during this call is noticed.
    on : datetime.date, optional
        Day for the log; by default today.
    tried : callable
        Returns what would stop a comparison of the museum as amended: as a rule
        :func:`heritagemove.compare.dry_run.stopped_by`. Whoever leaves the trial to others must say so.

    Returns
    -------
    Amended

    Raises
    ------
    PlannerError
        If there is no such cell, or who or why is blank.
    TableProblems
        If the museum would not load with the new value; nothing was written.
    Changed
        If somebody else has written the table meanwhile; nothing was written.
    NotSaved
        If the folder may not be written.
    """
    refuse_slips(Path(folder), table, [text], who, why)

    place, source = Path(folder), f"{who}: {why}"
    row = _row_of(place / table, row_number) | {column: text}
    starters = is_starters(row)

    def changed(before: str) -> tuple[str, list[Cell]]:
        amended, was = _replaced(table, before, row_number, column, text)
        cells = [Cell(row_number, column, was, text)]
        # Who says where a row comes from has looked at it; and a row that has no name cannot be noted value by value.
        if starters and column != "starter" and (column in OF_A_ROW or not key_as_typed(table, row)):
            amended, was = _replaced(table, amended, row_number, "starter", "")
            cells.append(Cell(row_number, "starter", was, ""))
        return amended, cells

    def note(before: str) -> tuple[str, list[Cell]]:
        return noted(table, row, column, before, source) or before, []

    changes: dict[str, TableChange] = {table: changed}
    if starters and column not in OF_A_ROW and table != EXCEPTIONS:
        changes[EXCEPTIONS] = note
    return write_down(place, changes, (who, why), {table: expected}, on, tried)


def enter(
    folder: str | Path,
    table: str,
    row_number: int,
    values: Mapping[str, str],
    who: str,
    why: str,
    expected: str | None = "",
    on: dt.date | None = None,
    *,
    tried: Tried,
) -> Amended:
    """Put all of what is known into one row, such as a quote into a price: the row is the planner's then, not the starter's.

    Parameters
    ----------
    values : mapping of str to str
        Cells by column, as a planner would type them, its basis and source among them.
    folder, table, row_number, who, why, expected, on, tried
        As for :func:`amend`, with the same errors.
    """
    refuse_slips(Path(folder), table, list(values.values()), who, why)
    cells = dict(values) | ({"starter": ""} if is_starters(_row_of(Path(folder) / table, row_number)) else {})
    change: TableChange = lambda before: _row_replaced(table, before, row_number, cells)  # noqa: E731
    return write_down(Path(folder), {table: change}, (who, why), {table: expected}, on, tried)


def record_task(
    folder: str | Path,
    vehicle: str,
    path: str,
    task: str,
    values: Mapping[str, str],
    who: str,
    why: str,
    expected: str | None = "",
    on: dt.date | None = None,
    *,
    tried: Tried,
) -> Amended:
    """Write down in progress.csv what happened to a task: in its row, or in a new one where it has none.

    Parameters
    ----------
    vehicle, path, task : str
        Ids.
    values : mapping of str to str
        Cells by column, as a planner would type them: ``started``, ``finished``, ``outcome``, ``holds_until``, ``note``.
        A column left out keeps what it holds.
    folder, who, why, expected, on, tried
        As for :func:`amend`, with the same errors.
    """
    table, key = "progress.csv", (vehicle, path, task)
    refuse_slips(Path(folder), table, list(values.values()), who, why)

    unit = dict(zip(("vehicle", "path", "task"), key, strict=True))
    new = {"basis": "measured", "source": f"recorded by {who}"}
    change = row_recorded(table, unit, values, new)
    return write_down(Path(folder), {table: change}, (who, why), {table: expected}, on, tried)


def row_recorded(table: str, key: Mapping[str, str], values: Mapping[str, str], new: Mapping[str, str]) -> TableChange:
    """Return the change that puts values into the row of a key, or into a new one where it has none.

    Parameters
    ----------
    new : mapping of str to str
        What else a new row holds.
    """

    def changed(before: str) -> tuple[str, list[Cell]]:
        records = cells_of(before)
        heading = heading_of([[cell_value(before[a:b]) for a, b in records[0]]]) if records else []
        for number, spans in enumerate(records[1:], start=2):
            row = dict(zip(heading, (cell_value(before[a:b]) for a, b in spans), strict=False))
            if all(row.get(column) == text for column, text in key.items()):
                return _row_replaced(table, before, number, {n: v for n, v in values.items() if row.get(n) != v})
        cells = dict(new) | dict(key) | dict(values)
        end = "" if before.endswith("\n") else "\n"
        line = ",".join(cell_text(cells.get(column, "")) for column in heading)
        written = [Cell(len(records) + 1, column, "", value) for column, value in values.items() if value]
        return before + end + line + ("\r\n" if "\r\n" in before else "\n"), written

    return changed


def take_back(
    folder: str | Path, done: Amended, who: str, why: str, on: dt.date | None = None, *, tried: Tried
) -> Amended:  # fmt: skip
    """Undo a change: its tables hold again what they held before, and the log says so.

    Parameters
    ----------
    done : Amended
        The change, as it was returned.
    folder, who, why, on, tried
        As for :func:`amend`, with the same errors: somebody who has written one of the tables since is not overwritten.
    """
    refuse_slips(Path(folder), next(iter(done.before)), [], who, why)

    def undone(table: str) -> TableChange:
        cells = [cell._replace(was=cell.now, now=cell.was) for cell in reversed(done.cells[table])]
        heading = ",".join(_TABLES[table].columns) + "\n"  # of a table that was not there
        return lambda _: (done.before[table].decode("utf-8-sig") or heading, cells)

    changes = {table: undone(table) for table in done.before}
    return write_down(Path(folder), changes, (who, why), done.fingerprints, on, tried)


def write_down(
    folder: Path,
    changes: Mapping[str, TableChange],
    said: tuple[str, str],
    expected: Mapping[str, str | None],
    on: dt.date | None,
    tried: Tried,
) -> Amended:
    """Make changes of one or more tables, try them, save tables and log together; nothing is written where one fails.

    Parameters
    ----------
    changes : mapping of str to callable
        By table: given its text, returns the text as it is to be and the cells that changed.
    said : tuple of str
        Who and why.
    expected : mapping of str to str or None
        As for :func:`amend`, by table.
    folder, on, tried
        As for :func:`amend`, with the same errors.
    """
    clean(folder)
    day, (who, why) = (on or dt.date.today()).isoformat(), said
    before, contents, lines = {}, {}, []
    read: dict[str, str | None] = {}
    cells: dict[str, Sequence[Cell]] = {}
    for table, change in changes.items():
        data = (folder / table).read_bytes() if (folder / table).is_file() else b""
        before[table] = data
        read[table] = hashlib.sha256(data).hexdigest() if (folder / table).is_file() else None
        text, cells[table] = change(data.decode("utf-8-sig"))
        contents[table] = (b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b"") + text.encode()
        lines += [[day, who, table, str(cell.row_number), cell.column, cell.was, cell.now, why] for cell in cells[table]]

    def logged(old: bytes) -> bytes:
        return _logged(old, lines)

    files: dict[str, Content] = contents | ({LOG: logged} if lines else {})
    wanted = {table: read[table] if expected.get(table, "") == "" else expected[table] for table in changes}
    if wanted == read:
        log = (folder / LOG).read_bytes() if (folder / LOG).is_file() else b""
        # With the log's lines: a reason that the log cannot hold would keep the museum from loading.
        museum = load_museum(folder, instead=contents | {LOG: logged(log)})
        if problems := list(tried(museum)):
            raise TableProblems(str(folder), problems)
    prints = save_together(folder, files, wanted)
    every = [cell for table in changes for cell in cells[table]]
    was, now = ("; ".join(getattr(cell, name) for cell in every) for name in ("was", "now"))
    return Amended(load_museum(folder), was, now, prints[next(iter(changes))], prints, before, cells)


def refuse_slips(folder: Path, table: str, texts: Sequence[str], who: str, why: str) -> None:
    """Refuse a table that is none, a text that no cell holds, and a change without who or why."""
    problems = []
    if table not in _TABLES:
        problems.append(f'table: found "{table}"; allowed: {", ".join(sorted(_TABLES))}')
    elif not (folder / table).is_file() and not _TABLES[table].may_be_missing:
        problems.append(f"{table}: found no such file; allowed: a table in {folder}")
    for text in texts:
        if len(text) <= LONGEST_CELL and not any(letter in text for letter in "\r\n\0"):
            continue
        problems.append(f"text: found {len(text):,} characters; allowed: one line of at most {LONGEST_CELL:,}")
    blank = [name for name, said in (("who", who), ("why", why)) if not said.strip()]
    problems += [f"{name}: found nothing; allowed: a text" for name in blank]
    if problems:
        raise PlannerError("\n".join(problems))


def _row_of(file: Path, row_number: int) -> dict[str, str]:
    """Return a row as typed; empty where there is none, or the file cannot be read."""
    lines = csv_lines(file)[0] if file.is_file() else []
    there = 1 < row_number <= len(lines)
    return dict(zip(heading_of(lines), lines[row_number - 1], strict=False)) if there else {}


def _replaced(table: str, text: str, row_number: int, column: str, new: str) -> tuple[str, str]:
    """Return the whole text with the new cell in it, and what the old one held."""
    records = cells_of(text)
    heading = heading_of([[cell_value(text[a:b]) for a, b in records[0]]]) if records else []
    if column not in heading:
        raise PlannerError(f'{table}, column: found "{column}"; allowed: {", ".join(heading)}')
    place = heading.index(column)
    filled = [n for n, spans in enumerate(records, start=1) if n > 1 and any(text[a:b].strip() for a, b in spans)]
    if row_number not in filled or place >= len(records[row_number - 1]):
        raise PlannerError(f"{table}, row: found {row_number}; allowed: a row with values, 2 to {max(filled, default=2)}")
    start, end = records[row_number - 1][place]
    return text[:start] + cell_text(new) + text[end:], cell_value(text[start:end])


def _row_replaced(table: str, text: str, row_number: int, values: Mapping[str, str]) -> tuple[str, list[Cell]]:
    cells = []
    for column, value in values.items():
        text, was = _replaced(table, text, row_number, column, value)
        cells.append(Cell(row_number, column, was, value))
    return text, cells


def cells_of(text: str) -> list[list[tuple[int, int]]]:
    """Return where each cell of each line begins and ends, quotes included; lines count as a spreadsheet counts them."""
    records, record, start, quoted, at = [], [], 0, False, 0
    while at < len(text):
        letter = text[at]
        if letter == '"' and (quoted or at == start):
            quoted = not quoted
        elif letter == '"' and text[start] == '"' == text[at - 1]:
            quoted = True  # the second of two quotes inside a quoted cell
        elif not quoted and letter in ",\r\n":
            record.append((start, at))
            if letter != ",":
                records.append(record)
                record = []
                at += text.startswith("\r\n", at)
            start = at + 1
        at += 1
    if start < len(text) or record:
        records.append([*record, (start, len(text))])
    return records


def cell_value(cell: str) -> str:
    """Return what a cell of a file holds, without its quotes."""
    return next(csv.reader([cell]), [""])[0] if cell else ""


def cell_text(value: str) -> str:
    """Return a value as it is written into a file."""
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow([value, ""])
    return line.getvalue()[:-1]


def _logged(old: bytes, lines: Sequence[Sequence[str]]) -> bytes:
    """Return the log with further lines."""
    text = old.decode("utf-8-sig") or ",".join(Change.model_fields) + "\n"
    more = io.StringIO()
    csv.writer(more, lineterminator="\n").writerows(lines)
    return (text + ("" if text.endswith("\n") else "\n") + more.getvalue()).encode()
