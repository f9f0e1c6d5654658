"""A museum's tables as typed, from a folder or a workbook, and written into either."""

from __future__ import annotations

import csv
import io
import os
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from heritagemove.files.saving import fingerprint, save
from heritagemove.files.tables import csv_lines
from heritagemove.files.xlsx_tables import SCENARIO_SHEET, is_workbook, read_workbook, workbook_bytes
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.scenario_file import Scenario, read_scenario_sheet, scenario_lines, scenario_text
from heritagemove.units.units import PlannerError

Lines = list[list[str]]


@dataclass(frozen=True)
class Typed:
    """A museum as typed: museum.toml, and the lines of each table with its heading first."""

    scenario: Scenario
    tables: dict[str, Lines]  # lines by file name, such as ``rates.csv``


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
        return Typed(museum.scenario, {file: csv_lines(path / file)[0] for file in MUSEUM_TABLES})
    names = {file: file.removesuffix(".csv") for file in MUSEUM_TABLES}
    sheets, _ = read_workbook(path, [SCENARIO_SHEET, *names.values()])
    scenario, _ = read_scenario_sheet(SCENARIO_SHEET, sheets[SCENARIO_SHEET])
    return Typed(scenario, {file: sheets[name] for file, name in names.items()})


def csv_text(lines: Lines) -> str:
    """Return lines as the text of a CSV file."""
    out = io.StringIO()
    # The writer of Python's library forgets to quote a lone carriage return.
    careful = any("\r" in cell for line in lines for cell in line)
    csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL if careful else csv.QUOTE_MINIMAL).writerows(lines)
    return out.getvalue()


def write_museum(museum: Typed, place: str | Path, replace: bool = False, readme: str = "", first: str = "") -> Path:
    """Write a museum into a new folder or workbook, whole or not at all.

    Parameters
    ----------
    museum : Typed
    place : path
        A folder, or a workbook when its name ends in .xlsx.
    replace : bool
        Whether to replace what stands there, file by file; what each file held before is kept beside it.
    readme : str
        Text of a README.md to put beside the tables of a folder.
    first : str
        Comment for the first line of museum.toml.

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
    if not place.resolve().parent.is_dir():
        raise PlannerError(f'found "{place}"; allowed: a name in a folder that exists')
    if place.suffix.lower() == ".xlsx":
        return _write_workbook(museum, place, replace)
    if is_workbook(place):
        raise PlannerError(f'found "{place}"; allowed: a folder, or a workbook whose name ends in .xlsx')
    files = {file: csv_text(museum.tables[file]) for file in MUSEUM_TABLES}
    files["museum.toml"] = scenario_text(museum.scenario, first)
    if readme:
        files["README.md"] = readme
    if place.exists() and not (place.is_dir() and not any(place.iterdir())):
        if not replace or not place.is_dir():
            raise PlannerError(f'found "{place}", which exists; allowed: a new folder, or replace it (--replace)')
        for file, text in files.items():
            save(place / file, text, keep_previous=True)
        return place
    # A new folder appears with everything in it, or not at all.
    building = Path(tempfile.mkdtemp(dir=place.resolve().parent, prefix=f".{place.name}."))
    try:
        for file, text in files.items():
            save(building / file, text)
        building.chmod(0o777 & ~_umask())
        os.replace(building, place)
    except BaseException:
        shutil.rmtree(building, ignore_errors=True)
        raise
    return place


def _write_workbook(museum: Typed, place: Path, replace: bool) -> Path:
    if place.exists() and not replace:
        raise PlannerError(f'found "{place}", which exists; allowed: a new file, or replace it (--replace)')
    sheets = {SCENARIO_SHEET: scenario_lines(museum.scenario)}
    sheets |= {file.removesuffix(".csv"): museum.tables[file] for file in MUSEUM_TABLES}
    save(place, workbook_bytes(sheets), expected=fingerprint(place), keep_previous=True)
    return place


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
