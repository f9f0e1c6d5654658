"""TypedRows added to a museum's tables on screen: what is asked of one; then written whole, tried, logged and undoable."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from heritagemove.editing.amending import (
    Amended,
    Cell,
    TableChange,
    Tried,
    cell_text,
    cell_value,
    cells_of,
    refuse_slips,
    row_recorded,
    write_down,
)
from heritagemove.editing.own_unit import AXLES_ASKED, TRUCKS_ASKED, unit_rows
from heritagemove.files.saving import fingerprint, save
from heritagemove.files.tables import Column, heading_of
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.units.units import PlannerError

#: What may be added, by its table: how it is called, and the basis it begins with.
ADDED = {
    "quotes.csv": ("Quote", "quote"), "actuals.csv": ("Invoice", "measured"), "tasks.csv": ("Task", "judgment"),
    "risks.csv": ("Risk", "judgment"), "survey.csv": ("Observation", "measured"), "vehicles.csv": ("Unit", "measured"),
    "pieces.csv": ("Piece of a unit", "measured"), "axles.csv": ("Axle of a unit", "measured"),
    "funds.csv": ("Fund", "judgment"),
}  # fmt: skip
#: Columns that may stay blank, and as a rule should not.
_ALSO = ("lines", "after", "mitigated_probability", "mitigated_share", "weight", "length", "load")
#: A photograph that a survey row may name, by how such a file begins.
_PICTURES = {".jpg": b"\xff\xd8\xff", ".jpeg": b"\xff\xd8\xff", ".png": b"\x89PNG"}
_LARGEST_PICTURE = 20_000_000


@dataclass(frozen=True)
class NewCell:
    """One cell asked of a new row."""

    column: str
    means: str
    allowed: str  # in words
    choices: tuple[str, ...]  # the words to choose from; none: any text
    answer: str  # what stands there to begin with
    needed: bool  # whether it may not stay blank


def new_row_asked(museum: Museum, table: str, given: Mapping[str, str], who: str = "") -> tuple[NewCell, ...]:
    """Return what is asked of a new row of a table, what may not stay blank first.

    Parameters
    ----------
    given : mapping of str to str
        What stands there already, such as the unit and the path that are on screen.
    """
    begins = {"basis": ADDED[table][1], "source": f"entered by {who or 'the planner'}"} | dict(given)
    model = MUSEUM_TABLES[table]
    for name in model.columns:  # what a table may leave out has a value that holds then
        if isinstance(model.model_fields[name].default, bool) and name not in (*begins, "starter"):
            begins[name] = "yes" if model.model_fields[name].default else "no"
    columns = [column for column in model.columns.values() if column.name != "starter"]  # what is added is the planner's
    asked = [_asked(museum, column, begins.get(column.name, "")) for column in columns]
    if table == "vehicles.csv":  # a unit without axles or pieces is none
        asked += [NewCell("axles", *AXLES_ASKED, (), "", True), NewCell("trucks", *TRUCKS_ASKED, (), "", True)]
    return tuple(sorted(asked, key=lambda cell: not cell.needed))


def rows_for(table: str, cells: Mapping[str, str]) -> dict[str, list[Mapping[str, str]]]:
    """Return the rows, by table, that the cells asked for make: of a unit its pieces and axles too."""
    said = {name: text.strip() for name, text in cells.items() if text.strip()}
    return dict(unit_rows(said)) if table == "vehicles.csv" else {table: [said]}


def _asked(museum: Museum, column: Column, begins: str) -> NewCell:
    words = _words(museum, column)
    optional = column.allowed.may_be_blank or "or blank" in column.allowed.text
    # Nothing is chosen for anybody: a list begins with a blank until a word is picked.
    choices = ("", *words) if words and (optional or begins not in words) else words
    answer = begins if not choices or begins in choices else ""
    return NewCell(column.name, column.means, column.allowed.text, choices, answer, not optional or column.name in _ALSO)


def _words(museum: Museum, column: Column) -> tuple[str, ...]:
    """Return the few words that a column may hold: ids of the museum's own rows, or those its kind names."""
    allowed = column.allowed.text
    if allowed == "yes or no":
        return "yes", "no"
    if " with ; between" in allowed:  # several at once are typed
        return ()
    ids: list[str] = []
    for target in column.refers_to:
        table, _, key = target.partition(".")
        ids += [str(getattr(row, key)) for row in getattr(museum, table, ()) if getattr(row, key, None)]
    if ids:
        return tuple(dict.fromkeys((*ids, *column.also)))
    named = re.fullmatch(r"[a-z0-9_]+(, [a-z0-9_]+)+(, or blank)?", allowed)
    return tuple(allowed.removesuffix(", or blank").split(", ")) if named else ()


def add_rows(
    folder: str | Path,
    rows: Mapping[str, Sequence[Mapping[str, str]]],
    who: str,
    why: str,
    expected: Mapping[str, str | None] | None = None,
    on: dt.date | None = None,
    *,
    tried: Tried,
) -> Amended:
    """Add rows to one or more tables as one change: all of them or none.

    Parameters
    ----------
    folder : path
        The museum's folder.
    rows : mapping of str to sequence of mapping
        New rows by file name, each its cells by column, as a planner would type them.
    who, why, on, tried
        As for :func:`heritagemove.editing.amending.amend`, with the same errors.
    expected : mapping of str to str or None, optional
        Fingerprints of the tables as the caller's window read them.

    Returns
    -------
    Amended
        What :func:`heritagemove.editing.amending.take_back` undoes.
    """
    for table, added in rows.items():
        refuse_slips(Path(folder), table, [text for row in added for text in row.values()], who, why)
    changes = {table: _appended(table, added) for table, added in rows.items() if added}
    if not changes:
        raise PlannerError("rows: found none; allowed: at least one")
    return write_down(Path(folder), changes, (who, why), expected or {}, on, tried)


def _appended(table: str, rows: Sequence[Mapping[str, str]]) -> TableChange:
    def change(before: str) -> tuple[str, list[Cell]]:
        before = before or ",".join(MUSEUM_TABLES[table].columns) + "\n"
        records = cells_of(before)
        heading = heading_of([[cell_value(before[a:b]) for a, b in records[0]]])
        for row in rows:
            if lacking := sorted(column for column, text in row.items() if text and column not in heading):
                raise PlannerError(f"{table}, column: found {', '.join(lacking)}; allowed: {', '.join(heading)}")
        lines = [",".join(cell_text(row.get(column, "")) for column in heading) for row in rows]
        end = "\r\n" if "\r\n" in before else "\n"
        text = before + ("" if before.endswith("\n") else end) + "".join(line + end for line in lines)
        return text, [Cell(len(records) + n, "", "", line) for n, line in enumerate(lines, start=1)]

    return change


def observe(
    folder: str | Path, cells: Mapping[str, str], who: str, why: str, photograph: tuple[str, bytes] | None = None,
    expected: str | None = "", on: dt.date | None = None, *, tried: Tried,
) -> Amended:  # fmt: skip
    """Write down what was seen, in its row of survey.csv or in a new one, with a photograph of it.

    Parameters
    ----------
    cells : mapping of str to str
        Cells of the row by column; a blank one keeps what stands there.
    photograph : tuple of str and bytes, optional
        Name of the file as it comes from the camera, and a JPEG or PNG of at most 20 MB.
    folder, who, why, expected, on, tried
        As for :func:`heritagemove.editing.amending.amend`, with the same errors; the photograph is not kept where the
        row is refused.

    Raises
    ------
    PlannerError
        If the photograph is no picture, or too large.
    """
    table, said = "survey.csv", {name: text.strip() for name, text in cells.items() if text.strip()}
    refuse_slips(Path(folder), table, list(said.values()), who, why)
    key = {name: said.pop(name, "") for name in ("vehicle", "place", "clue")}

    def write(more: Mapping[str, str]) -> Amended:
        changes = {table: row_recorded(table, key, said | dict(more), {})}
        return write_down(Path(folder), changes, (who, why), {table: expected}, on, tried)

    if photograph is None:
        return write({})
    file = _kept(Path(folder) / "photos", *photograph)
    try:
        return write({"photo": f"photos/{file.name}"})
    except BaseException:
        file.unlink()
        raise


def _kept(photos: Path, name: str, picture: bytes) -> Path:
    """Return where a photograph was saved, under a name that every system takes and no other has."""
    stem, ending = re.sub(r"[^a-z0-9]+", "_", Path(name).stem.lower()).strip("_"), Path(name).suffix.lower()
    if not picture.startswith(_PICTURES.get(ending, b"\0none")) or len(picture) > _LARGEST_PICTURE:
        raise PlannerError(f'photograph: found "{name}"; allowed: a JPEG or PNG of at most 20 MB')
    names = (f"photo_{stem}{number}{ending}" for number in ("", *(f"_{n}" for n in range(2, 10_000))))
    file = next(photos / each for each in names if fingerprint(photos / each) is None)
    photos.mkdir(exist_ok=True)
    save(file, picture, expected=None)
    return file
