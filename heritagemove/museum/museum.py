"""The frozen museum: every table of one decision, read, cross-checked and never changed in place."""

from __future__ import annotations

import dataclasses
import functools
import glob
import hashlib
import math
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pint

from heritagemove.files.folders import settle
from heritagemove.files.saving import PREVIOUS, clean, shortened
from heritagemove.files.tables import Problem, TableProblems, read_lines, read_table
from heritagemove.files.xlsx_tables import SCENARIO_SHEET, is_workbook, read_workbook
from heritagemove.museum import haul, rows, rules
from heritagemove.museum.price_rows import PriceRows
from heritagemove.museum.rows.alterations import DEPTHS
from heritagemove.museum.rows.axles import Axle
from heritagemove.museum.rows.legs import Leg
from heritagemove.museum.rows.limits import Limit, asked_of
from heritagemove.museum.rows.paths import Path as RelocationPath
from heritagemove.museum.rows.pieces import BODIES, Piece
from heritagemove.museum.rows.stages import Stage
from heritagemove.museum.rows.survey import Observation
from heritagemove.museum.rows.vehicles import Vehicle
from heritagemove.museum.rules_folders import is_country, over, rules_folders, shipped
from heritagemove.museum.scenario_file import Scenario, SliderRange, read_scenario, read_scenario_sheet
from heritagemove.units.units import PlannerError
from heritagemove.units.words import near_miss

__all__ = ["Museum", "Scenario", "SliderRange", "load_museum", "shipped"]


#: The folder as it was named when loading, museum.toml, and the rows of every table in file order.
_Tables = dataclasses.make_dataclass(
    "_Tables",
    [("folder", str), ("scenario", Scenario), *((table, tuple[model, ...]) for table, model in rows.TABLES.items())],
    frozen=True,
)


class Museum(PriceRows, _Tables):
    """Everything one decision stands on: `folder`, `scenario` and a tuple of rows by the name of each table.

    Frozen: a slider makes a changed copy.
    """

    def vehicle(self, vehicle: str) -> Vehicle:
        """Return one unit.

        Raises
        ------
        ValueError
            If there is no such unit; the message lists those there are.
        """
        return _named(self.vehicles, "vehicle", vehicle)

    def path(self, path: str) -> RelocationPath:
        """Return one path; ValueError lists the known ones otherwise."""
        return _named(self.paths, "path", path)

    def axles_of(self, vehicle: str) -> tuple[Axle, ...]:
        """Return a unit's axles from the front."""
        return tuple(sorted(self._rows("axles", "vehicle", vehicle), key=lambda row: row.axle))

    def pieces_of(self, vehicle: str, *kinds: str) -> tuple[Piece, ...]:
        """Return the pieces that a unit is moved as, of some kinds or of any."""
        return tuple(row for row in self._rows("pieces", "vehicle", vehicle) if not kinds or row.kind in kinds)

    def body(self, vehicle: str) -> Piece:
        """Return the heaviest piece of a unit that is no truck, which decides the lift; one of unknown weight before all.

        Where its own width or height is not entered, it is as wide as the unit and as high as the unit above its base.
        """
        bodies = self._kept["pieces"].setdefault("body", {})
        if vehicle not in bodies:
            found = [row for row in self.pieces_of(vehicle) if row.kind != "truck"]
            piece = max(found, key=lambda row: math.inf if row.weight is None else row.weight.m_as("lb"))
            bodies[vehicle] = _completed(piece, self.vehicle(vehicle))
        return bodies[vehicle]

    def trucks(self, vehicle: str) -> int:
        """Return the number of trucks that can be taken out of a unit."""
        return sum(row.count for row in self.pieces_of(vehicle, "truck"))

    def intervention(self, path: str) -> int:
        """Return how deep a path goes into the historic fabric: 0 nothing, 1 parts off or exchanged, 2 machined, 3 lost."""
        return max(depth for depth, _ in self._changes(path))

    def reversible(self, path: str) -> bool:
        """Return whether everything that a path does to the historic fabric can be undone."""
        return all(undone for _, undone in self._changes(path))

    def _changes(self, path: str) -> list[tuple[int, bool]]:
        done = ["destroyed"] * bool(self.path(path).disposal) + [row.change for row in self.of_path("alterations", path)]
        return [(0, True), *(DEPTHS[change] for change in done)]

    def of_path(self, table: str, path: str) -> tuple[Any, ...]:
        """Return the rows of one path in the table tasks, cost_lines, risks or gates."""
        return self._rows(table, "path", path)

    def route(self, mode: str, detours: bool = False) -> tuple[Leg, ...]:
        """Return the legs of one mode in order, such as rail or road, with the detour legs only when asked."""
        legs = [row for row in self.legs if row.mode == mode and (detours or row.detour_for is None)]
        return tuple(sorted(legs, key=lambda row: row.order))

    def stages_of(self, path: str) -> tuple[Stage, ...]:
        """Return the stages of a path in order; none where it moves nothing."""
        return tuple(sorted(self._rows("stages", "path", path), key=lambda row: row.order))

    def titled(self, row: Any) -> str:
        """Return the title of a row of a path, behind that of its own stage where the path has several."""
        stages = {each.stage: each.title for each in self.stages_of(row.path)}
        return f"{stages[row.stage]}: {row.title}" if row.stage and len(stages) > 1 else row.title

    def interim(self, path: str) -> bool:
        """Return whether a path moves the unit and does not end at a museum: the way on is not in its cost."""
        stages, museums = self.stages_of(path), {row.place for row in self.places if row.kind == "museum"}
        return bool(stages) and (stages[-1].interim or stages[-1].to_place not in museums)

    def legs_of(self, stage: Stage | None) -> tuple[Leg, ...]:
        """Return the legs of a stage in its order, without detours."""
        return tuple(row for leg in (stage.legs if stage else ()) for row in self._rows("legs", "leg", leg)[-1:])

    def over(self, stage: Stage | None) -> Museum:
        """Return a copy with no other legs than those of a stage, in its order, and their detours behind them."""
        legs = self.legs_of(stage)
        avoided = {row.bridge for row in self.bridges if row.leg in (stage.legs if stage else ())}
        return self.with_rows(legs=(*legs, *(row for row in self.legs if row.detour_for in avoided)))

    def limit(self, limit: str) -> float | None:
        """Return the value of a limit in the unit that museum/rows/limits.py lists, or None where no row gives it."""
        row = self._limit_row(limit)
        return None if row is None else row.number

    def limit_quantity(self, limit: str, unit: str | None = None) -> pint.Quantity | None:
        """Return a limit in the unit that museum/rows/limits.py lists, or in another one; None where no row gives it."""
        known = self._kept["limits"].setdefault("quantity", {})
        if (limit, unit) not in known:
            row = self._limit_row(limit)
            found = None if row is None else row.quantity
            known[limit, unit] = found if found is None or unit in (None, asked_of(limit).unit) else found.to(unit)
        return known[limit, unit]

    def _limit_row(self, limit: str) -> Limit | None:
        # What nobody lists, nobody reads: a check cannot ask for a limit of which no unit and range are known.
        if asked_of(limit) is None:
            raise PlannerError(f'limit: found "{limit}"; allowed: limits that museum/rows/limits.py lists')
        return next(iter(self._rows("limits", "limit", limit)[-1:]), None)

    def fact(self, vehicle: str, clue: str) -> str | None:
        """Return what the survey found for a clue: of the unit first, then of the site; None is unknown."""
        found = {row.vehicle: row.found for row in self._rows("survey", "clue", clue)}
        answer = found.get(vehicle, found.get("any"))
        return None if answer == "unknown" else answer

    def digest(self) -> str:
        """Return the SHA-256 of every value in every table, so that a page says what it was made from."""
        content = hashlib.sha256(self.scenario.model_dump_json().encode())
        for field in dataclasses.fields(self)[2:]:
            for row in getattr(self, field.name):
                content.update(repr(sorted((k, str(v)) for k, v in row)).encode())
        return content.hexdigest()

    def with_changes(self, **changes: Any) -> Museum:
        """Return a copy with other scenario values or other tables.

        Parameters
        ----------
        **changes
            Fields of museum.toml (``deadline=...``) or whole tables (``rates=...``).

        Raises
        ------
        ValueError
            If a name is neither, or the changed scenario is not allowed.
        """
        tables = {key: tuple(value) for key, value in changes.items() if key in rows.TABLES}
        scenario_changes = {key: value for key, value in changes.items() if key not in rows.TABLES}
        unknown = set(scenario_changes) - set(Scenario.model_fields)
        if unknown:
            raise PlannerError(f"found {', '.join(sorted(unknown))}; allowed: a table or a key of museum.toml")
        scenario = Scenario.model_validate(dict(self.scenario) | scenario_changes)
        return self.with_rows(scenario=scenario, **tables)

    def with_rows(self, **changes: Any) -> Museum:
        """Return a copy with other rows in some tables: what was looked up in all others is known to it too."""
        if unknown := changes.keys() - vars(self).keys():
            raise TypeError(f"found {', '.join(sorted(unknown))}; allowed: the fields of a museum")
        changed = changes.keys() | ({"pieces"} if "vehicles" in changes else set())
        copy = object.__new__(type(self))
        kept = self._kept | {name: {} for name in changed}
        vars(copy).update(vars(self) | changes | {"_kept": kept})
        return copy

    @functools.cached_property
    def _kept(self) -> dict[str, dict[str, Any]]:
        """What was looked up in each table. A body hangs on its unit's row too."""
        return {name: {} for name in vars(self)}

    def _rows(self, table: str, column: str, wanted: str) -> tuple[Any, ...]:
        """Return the rows that have a word in a column, in file order; the table is sorted by the column once."""
        kept = self._kept[table]
        if column not in kept:
            found: dict[str, list[Any]] = {}
            for row in getattr(self, table):
                found.setdefault(getattr(row, column), []).append(row)
            kept[column] = {word: tuple(rows) for word, rows in found.items()}
        return kept[column].get(wanted, ())

    def with_weight(self, vehicle: str, short_tons: float) -> Museum:
        """Return a copy in which one unit weighs this much; its pieces keep their shares of the whole.

        Parameters
        ----------
        short_tons : float
            Weight as it stands [short ton], above 0.

        Raises
        ------
        ValueError
            If the weight is not above 0, or the unit's present weight is unknown.
        """
        row = self.vehicle(vehicle)
        if not short_tons > 0:
            raise PlannerError(f"found a weight of {short_tons:g} short tons; allowed: more than 0")
        if row.weight is None:
            raise PlannerError(f"weight of {vehicle}: found unknown; allowed: a weight in vehicles.csv, to be changed")
        ratio = short_tons / row.weight.m_as("short_ton")

        def scaled(each: Any) -> Any:
            mine = each.vehicle == vehicle and each.weight is not None
            return each.model_copy(update={"weight": each.weight * ratio}) if mine else each

        return self.with_rows(vehicles=tuple(map(scaled, self.vehicles)), pieces=tuple(map(scaled, self.pieces)))

    def with_haul_distance(self, miles: float) -> Museum:
        """Return a copy in which the longest leg of each path is longer or shorter, by a haul distance; other legs stay.

        Parameters
        ----------
        miles : float
            Length of the road from site to museum [mile], above that of its other legs (:mod:`heritagemove.museum.haul`).
        """
        return self.with_rows(legs=haul.scaled_legs(self, miles))


def load_museum(
    folder: str | Path, reference: str | Path | None = None, instead: Mapping[str, bytes] | None = None
) -> Museum:
    """Read a museum's folder and the published limits, and check every table against the others.

    Parameters
    ----------
    folder : path
        Folder with museum.toml and the tables, or a workbook (.xlsx) with one sheet a table and a
        sheet ``museum`` of keys and values.
    reference : path, optional
        Folder of the published limits; by default the folder ``reference`` beside the museum's,
        else the one that comes with this package.
    instead : mapping of str to bytes, optional
        What tables of a folder are to hold, by file name: read in place of what they hold now.

    Returns
    -------
    Museum

    Raises
    ------
    TableProblems
        With every problem of every table, as file, row, column, found, allowed.
    """
    name, folder = str(folder), Path(folder)
    scenario, tables, problems = _from_workbook(folder) if is_workbook(folder) else _from_folder(folder, instead or {})
    published = reference_folder(folder, reference)
    own = rules_folders().get(scenario.rules) if scenario and reference is None else None
    if scenario and scenario.rules and scenario.rules not in rules_folders():
        known = ", ".join(rules_folders()) + near_miss(scenario.rules, list(rules_folders()))
        problems.append(Problem("museum.toml", 0, "rules", scenario.rules, f"{known}, or blank"))
    for file, model in rows.REFERENCE_TABLES.items():
        table = file.removesuffix(".csv")
        tables[table], found = read_table(published / file, model, (instead or {}).get(file))
        problems += found
        if own is not None and (own / file).is_file():
            of_own, found = read_table(own / file, model)
            key = tuple(name for name, column in model.columns.items() if column.key)
            tables[table] = of_own if is_country(own) else over(tables[table], of_own, key)
            problems += found
    if not problems:
        museum = Museum(folder=name, scenario=scenario, **tables)
        problems = rules.cross_table_problems(museum)
        if is_workbook(folder):
            problems = [of_place(problem, folder) for problem in problems]
    if problems:
        raise TableProblems(name, problems)
    return museum


_Read = tuple[Scenario | None, dict[str, Any], list[Problem]]


def _from_folder(folder: Path, instead: Mapping[str, bytes]) -> _Read:
    settle(folder)
    if not os.path.isdir(folder):
        found = "a file" if os.path.isfile(folder) else "no such folder"
        allowed = "a folder with museum.toml and tables, or a workbook whose name ends in .xlsx"
        return None, {}, [Problem(shortened(folder.name), 0, "", found, allowed)]
    clean(folder)
    scenario, problems = read_scenario(folder / "museum.toml", instead.get("museum.toml"))
    tables: dict[str, Any] = {}
    if _of_another_format(problems):
        return None, tables, problems
    for file, model in rows.MUSEUM_TABLES.items():
        tables[file.removesuffix(".csv")], found = read_table(folder / file, model, instead.get(file))
        problems += found
    return scenario, tables, problems


def _of_another_format(problems: list[Problem]) -> bool:
    """Return whether no table can be read, for all have other columns."""
    return any(problem.column == "format" for problem in problems)


def _from_workbook(path: Path) -> _Read:
    names = [file.removesuffix(".csv") for file in rows.MUSEUM_TABLES]
    may_be_missing = [name for name in names if rows.TABLES[name].may_be_missing]
    sheets, problems = read_workbook(path, [SCENARIO_SHEET, *names], may_be_missing)
    scenario, tables = None, {}
    if SCENARIO_SHEET in sheets:
        scenario, found = read_scenario_sheet(f"sheet {SCENARIO_SHEET}", sheets[SCENARIO_SHEET])
        problems += found
        if _of_another_format(found):
            return None, {}, found
    for name in names:
        if name in may_be_missing and name not in sheets:
            tables[name] = ()
        if name in sheets:
            tables[name], found = read_lines(f"sheet {name}", sheets[name], rows.MUSEUM_TABLES[f"{name}.csv"])
            problems += found
    return scenario, tables, problems


def of_place(problem: Problem, place: str | Path) -> Problem:
    """Return a problem between tables as one of the workbook's sheets, where the museum is kept in one."""
    if not is_workbook(Path(place)) or problem.file not in (*rows.MUSEUM_TABLES, "museum.toml"):
        return problem
    return dataclasses.replace(problem, file="sheet " + problem.file.removesuffix(".csv").removesuffix(".toml"))


def reference_folder(folder: Path, reference: str | Path | None = None) -> Path:
    """Return the folder of limits and cautions: the one asked for, else the one beside the museum, else this package's."""
    beside = folder.resolve().parent / "reference"
    if reference is not None:
        return Path(reference)
    return beside if beside.is_dir() else shipped("reference")


def input_files(place: str | Path, reference: str | Path | None = None) -> tuple[Path, ...]:
    """Return every file that a museum is read from or names, and what each held before: no output may take its place."""
    place = Path(place)
    published = [reference_folder(place, reference) / file for file in rows.REFERENCE_TABLES]
    own = [place] if is_workbook(place) else [place / file for file in (*rows.MUSEUM_TABLES, "museum.toml")]
    kept = [before for file in own for before in file.parent.glob(f"{glob.escape(file.name)}{PREVIOUS}*")]
    return (*own, *kept, *published, *_photographs(place))


def _photographs(place: Path) -> list[Path]:
    """Return the photographs that the survey names, as far as it can be read."""
    if is_workbook(place):
        lines = read_workbook(place, ["survey"])[0].get("survey", [])
        observations, folder = read_lines("sheet survey", lines, Observation)[0], place.parent
    else:
        observations, folder = read_table(place / "survey.csv", Observation)[0], place
    return [folder / row.photo for row in observations if row.photo]


def _completed(piece: Piece, unit: Vehicle) -> Piece:
    if piece.kind not in BODIES:
        return piece
    known = {} if piece.width is not None else {"width": unit.width}
    if piece.height is None and None not in (unit.height, piece.resting):
        known["height"] = unit.height - piece.resting
    return piece.model_copy(update=known)


def _named(table: tuple[Any, ...], column: str, wanted: str) -> Any:
    for row in table:
        if getattr(row, column) == wanted:
            return row
    known = [getattr(row, column) for row in table]
    raise PlannerError(f'{column}: found "{wanted}"; allowed: {", ".join(known)}{near_miss(wanted, known)}')
