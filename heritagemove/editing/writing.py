"""A museum's tables as typed, from a folder or a workbook, and written into either."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from heritagemove.files.folders import settle, write_folder
from heritagemove.files.names import refuse_reserved
from heritagemove.files.saving import fault_in_words, fingerprint, free_name, save, shortened
from heritagemove.files.tables import csv_lines
from heritagemove.files.xlsx_tables import SCENARIO_SHEET, is_workbook, read_workbook, workbook_bytes
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.scenario_file import Scenario, amended_text, read_scenario_sheet, scenario_lines, scenario_text
from heritagemove.units.units import PlannerError

Lines = list[list[str]]


@dataclass(frozen=True)
class Typed:
    """A museum as typed: museum.toml, and the lines of each table with its heading first."""

    scenario: Scenario
    tables: dict[str, Lines]  # lines by file name, such as ``rates.csv``
    toml: str = ""  # text of museum.toml with its comments; blank where it comes from a workbook


def typed(place: str | Path, reference: str | Path | None = None) -> Typed:
    """Return a museum's tables as typed; the museum is checked first.

    Raises
    ------
    TableProblems
        With every problem of every table.
    """
    museum = load_museum(place, reference)
    path = Path(place)
    if not is_workbook(path):
        toml = (path / "museum.toml").read_text(encoding="utf-8-sig")
        return Typed(museum.scenario, {file: _lines_of(path / file) for file in MUSEUM_TABLES}, toml)
    names = {file: file.removesuffix(".csv") for file in MUSEUM_TABLES}
    sheets, _ = read_workbook(path, [SCENARIO_SHEET, *names.values()])
    sheets = {name: [list(MUSEUM_TABLES[file].columns)] for file, name in names.items()} | sheets
    scenario, _ = read_scenario_sheet(SCENARIO_SHEET, sheets[SCENARIO_SHEET])
    return Typed(scenario, {file: sheets[name] for file, name in names.items()})


def _lines_of(file: Path) -> Lines:
    """Return a table as typed; one that may be missing and is has a heading only."""
    return csv_lines(file)[0] or [list(MUSEUM_TABLES[file.name].columns)]


def csv_text(lines: Lines) -> str:
    """Return lines as the text of a CSV file."""
    out = io.StringIO()
    # The writer of Python's library forgets to quote a lone carriage return.
    careful = any("\r" in cell for line in lines for cell in line)
    csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL if careful else csv.QUOTE_MINIMAL).writerows(lines)
    return out.getvalue()


def write_museum(
    museum: Typed, place: str | Path, replace: bool = False, readme: str = "", first: str = "",
    more: Mapping[str, Lines] | None = None,
) -> Path:  # fmt: skip
    """Write a museum into a new folder or workbook, whole or not at all.

    Parameters
    ----------
    museum : Typed
    place : path
        A folder, or a workbook when its name ends in .xlsx.
    replace : bool
        Whether to replace what stands there. It is kept beside, under a name that ends in ``.previous``; what else a
        folder holds, and the comments of its museum.toml, are taken over.
    readme : str
        Text of a README.md to put beside the tables of a folder.
    first : str
        Comment for the first line of museum.toml.
    more : mapping of str to lines, optional
        Further tables to put beside, by name; a museum is not read from them.

    Returns
    -------
    Path

    Raises
    ------
    PlannerError
        If something stands there that may not be replaced, or the folder above it is missing.
    NotSaved
        If the disk is full or may not be written.
    """
    place = Path(place)
    refuse_place(place, replace)
    if is_workbook(place):
        sheets = {SCENARIO_SHEET: scenario_lines(museum.scenario)}
        sheets |= {file.removesuffix(".csv"): museum.tables[file] for file in MUSEUM_TABLES}
        sheets |= more or {}
        if place.exists():
            save(free_name(place), place.read_bytes(), expected=None)
        save(place, workbook_bytes(sheets), expected=fingerprint(place))
        return place
    files = {file: csv_text(museum.tables[file]) for file in MUSEUM_TABLES}
    files["museum.toml"] = _scenario_text(museum, place, first)
    files |= {f"{name}.csv": csv_text(lines) for name, lines in (more or {}).items()}
    if readme:
        files["README.md"] = readme
    write_folder(place, {file: text.encode() for file, text in files.items()})
    return place


def _scenario_text(museum: Typed, place: Path, first: str) -> str:
    """Return the text of museum.toml: with the comments of the one that stands there, else of the one it comes from."""
    there = place / "museum.toml"
    old = there.read_text(encoding="utf-8-sig", errors="replace") if os.path.isfile(there) else museum.toml
    return amended_text(old, museum.scenario) if old and not first else scenario_text(museum.scenario, first)


def refuse_place(place: Path, replace: bool = False, option: str = "") -> None:
    """Refuse a place that a museum cannot be written to, here or on another system.

    Parameters
    ----------
    option : str
        What a planner gives to replace what is there, where there is such a thing.

    Raises
    ------
    PlannerError
    """
    book = place.suffix.lower() == ".xlsx"
    shown, kind = shortened(str(place)), "file" if book else "folder"
    refuse_reserved(place)
    settle(place)
    if not os.path.isdir(os.path.realpath(place.parent)):
        raise PlannerError(f'found "{shown}"; allowed: a name in a folder that exists')
    try:
        os.lstat(place)
    except FileNotFoundError:
        pass
    except OSError as error:
        raise PlannerError(f'found "{shown}": {fault_in_words(error)}; allowed: another name') from error
    if is_workbook(place) and not book:
        raise PlannerError(f'found "{shown}"; allowed: a folder, or a workbook whose name ends in .xlsx')
    if not os.path.lexists(place) or (not book and os.path.isdir(place) and not os.listdir(place)):
        return
    if os.path.isdir(place) is book:
        raise PlannerError(f'found "{shown}", which is a {"folder" if book else "file"}; allowed: a new {kind}')
    if not replace:
        raise PlannerError(f'found "{shown}", which exists; allowed: a new {kind}{option}')
