"""The frozen museum: every table of one decision, read, cross-checked and never changed in place."""

from __future__ import annotations

import dataclasses
import datetime as dt
import difflib
import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from heritagemove import rows, rules
from heritagemove.tables import Problem, TableProblems, read_table
from heritagemove.units import PlannerError


class SliderRange(BaseModel):
    """Range of one slider of the explorer."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    low: float
    high: float
    step: float = Field(gt=0)
    unit: str


class SimulationSettings(BaseModel):
    """How many trials, from which seed, and the confidence the museum plans at."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    seed: int = Field(ge=0, lt=2**32)
    trials: int = Field(ge=100, le=1_000_000)
    confidence: float = Field(gt=0.5, lt=1)


class CorrelationSettings(BaseModel):
    """How strongly prices or durations of one market move together, 0 to below 1."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    default: float = Field(ge=0, lt=1)
    markets: dict[str, float] = {}
    basis: str
    source: str

    def strength(self, market: str) -> float:
        """Return the share of a market's variance that is common to its rows."""
        return self.markets.get(market, self.default)


class Scenario(BaseModel):
    """museum.toml: names, dates, policy and slider ranges of one decision."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    name: str
    place: str
    site: str
    owner: str
    currency: str
    price_year: int
    as_of: dt.date
    start: dt.date
    deadline: dt.date
    forced_scrap: dt.date
    holdover_rate: str
    simulation: SimulationSettings
    correlation: CorrelationSettings
    sliders: dict[str, SliderRange]

    @model_validator(mode="after")
    def _dates(self) -> Any:
        if self.forced_scrap < self.deadline:
            raise ValueError("forced_scrap: a date not before the deadline")
        return self


@dataclass(frozen=True)
class Museum:
    """Everything one decision stands on. Frozen: a slider makes a changed copy.

    Attributes
    ----------
    folder : str
        The folder as it was named when loading.
    scenario : Scenario
        museum.toml.
    vehicles, axles, survey, paths, quantities, tasks, cost_lines, rates, risks, gates, segments, bridges, \
engines, cranes, flat_cars, trailers, calendars, funds, quotes, actuals, limits, journal_ratings, cautions, clues, \
readiness : tuple of rows
        The tables, in file order.
    """

    folder: str
    scenario: Scenario
    vehicles: tuple[rows.Vehicle, ...]
    axles: tuple[rows.Axle, ...]
    survey: tuple[rows.Observation, ...]
    paths: tuple[rows.Path, ...]
    quantities: tuple[rows.Quantity, ...]
    tasks: tuple[rows.Task, ...]
    cost_lines: tuple[rows.CostLine, ...]
    rates: tuple[rows.Rate, ...]
    risks: tuple[rows.Risk, ...]
    gates: tuple[rows.Gate, ...]
    segments: tuple[rows.Segment, ...]
    bridges: tuple[rows.Bridge, ...]
    cranes: tuple[rows.Crane, ...]
    engines: tuple[rows.Engine, ...]
    flat_cars: tuple[rows.FlatCar, ...]
    trailers: tuple[rows.Trailer, ...]
    calendars: tuple[rows.CalendarRule, ...]
    funds: tuple[rows.Fund, ...]
    quotes: tuple[rows.Quote, ...]
    actuals: tuple[rows.Actual, ...]
    limits: tuple[rows.Limit, ...]
    journal_ratings: tuple[rows.JournalRating, ...]
    cautions: tuple[rows.Caution, ...]
    clues: tuple[rows.Clue, ...]
    readiness: tuple[rows.Readiness, ...]

    def vehicle(self, vehicle: str) -> rows.Vehicle:
        """Return one unit.

        Raises
        ------
        ValueError
            If there is no such unit; the message lists those there are.
        """
        return _named(self.vehicles, "vehicle", vehicle)

    def path(self, path: str) -> rows.Path:
        """Return one path; ValueError lists the known ones otherwise."""
        return _named(self.paths, "path", path)

    def axles_of(self, vehicle: str) -> tuple[rows.Axle, ...]:
        """Return a unit's axles from the front."""
        return tuple(sorted((row for row in self.axles if row.vehicle == vehicle), key=lambda row: row.axle))

    def of_path(self, table: str, path: str) -> tuple[Any, ...]:
        """Return the rows of one path in the table tasks, cost_lines, risks or gates."""
        return tuple(row for row in getattr(self, table) if row.path == path)

    def route(self, mode: str, detours: bool = False) -> tuple[rows.Segment, ...]:
        """Return the legs of the rail or road route in order, with the detour legs only when asked."""
        legs = [row for row in self.segments if row.mode == mode and (detours or row.detour_for is None)]
        return tuple(sorted(legs, key=lambda row: row.order))

    def limit(self, limit: str) -> float | None:
        """Return the value of a published limit, or None (unknown) where no row gives it."""
        return next((row.value for row in self.limits if row.limit == limit), None)

    def fact(self, vehicle: str, clue: str) -> str | None:
        """Return what the survey found for a clue: of the unit first, then of the site; None is unknown."""
        found = {row.vehicle: row.found for row in self.survey if row.clue == clue}
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
        tables = {key: tuple(value) for key, value in changes.items() if key in _TABLE_FIELDS}
        scenario_changes = {key: value for key, value in changes.items() if key not in _TABLE_FIELDS}
        unknown = set(scenario_changes) - set(Scenario.model_fields)
        if unknown:
            raise PlannerError(f"found {', '.join(sorted(unknown))}; allowed: a table or a key of museum.toml")
        scenario = Scenario.model_validate(dict(self.scenario) | scenario_changes)
        return dataclasses.replace(self, scenario=scenario, **tables)

    def with_weight(self, vehicle: str, short_tons: float) -> Museum:
        """Return a copy in which one unit weighs this much; its parts keep their shares of the whole.

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
        parts = ("weight", "body_weight", "truck_weight")
        scaled = {part: getattr(row, part) * ratio for part in parts if getattr(row, part) is not None}
        others = [row.model_copy(update=scaled) if row.vehicle == vehicle else row for row in self.vehicles]
        return dataclasses.replace(self, vehicles=tuple(others))

    def with_haul_distance(self, miles: float) -> Museum:
        """Return a copy whose road route is this long; rail and road keep their proportion.

        Parameters
        ----------
        miles : float
            Length of the road route from site to museum [mile], above 0. Detours keep their length.
        """
        if not miles > 0:
            raise PlannerError(f"found a haul distance of {miles:g} mile; allowed: more than 0")
        base = sum(leg.length.m_as("mile") for leg in self.route("road")) or sum(
            leg.length.m_as("mile") for leg in self.route("rail")
        )
        ratio = miles / base
        scaled = [leg if leg.detour_for else leg.model_copy(update={"length": leg.length * ratio}) for leg in self.segments]
        return dataclasses.replace(self, segments=tuple(scaled))


_TABLE_FIELDS = {file.removesuffix(".csv") for file in (rows.MUSEUM_TABLES | rows.REFERENCE_TABLES)}


def load_museum(folder: str | Path, reference: str | Path | None = None) -> Museum:
    """Read a museum's folder and the published limits, and check every table against the others.

    Parameters
    ----------
    folder : path
        Folder with museum.toml and the tables.
    reference : path, optional
        Folder of the published limits; by default the folder ``reference`` beside the museum's,
        else the one that comes with this package.

    Returns
    -------
    Museum

    Raises
    ------
    TableProblems
        With every problem of every table, as file, row, column, found, allowed.
    """
    name, folder = str(folder), Path(folder)
    if not folder.is_dir():
        raise TableProblems(name, [Problem(folder.name, 0, "", "no such folder", "a folder with museum.toml and tables")])
    scenario, problems = _scenario(folder / "museum.toml")
    tables: dict[str, Any] = {}
    for base, models in ((folder, rows.MUSEUM_TABLES), (_reference_folder(folder, reference), rows.REFERENCE_TABLES)):
        for file, model in models.items():
            tables[file.removesuffix(".csv")], found = read_table(base / file, model)
            problems += found
    if not problems:
        museum = Museum(folder=name, scenario=scenario, **tables)
        problems = rules.cross_table_problems(museum)
    if problems:
        raise TableProblems(name, problems)
    return museum


def _reference_folder(folder: Path, reference: str | Path | None) -> Path:
    beside = folder.resolve().parent / "reference"
    if reference is not None:
        return Path(reference)
    return beside if beside.is_dir() else Path(__file__).resolve().parents[1] / "data" / "reference"


def _scenario(path: Path) -> tuple[Scenario | None, list[Problem]]:
    try:
        content: Mapping[str, Any] = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
        return Scenario.model_validate(content), []
    except FileNotFoundError:
        return None, [Problem(path.name, 0, "", "no such file", "a file museum.toml in this folder")]
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        allowed = "UTF-8 lines such as name = \"a text\", trials = 10000, start = 2027-03-01"
        return None, [Problem(path.name, 0, "", str(error), allowed)]
    except ValidationError as error:
        return None, [_scenario_problem(path.name, entry) for entry in error.errors()]


_TOML_KINDS = {
    "date": "a date without quotes, such as 2027-10-15",
    "int": "a whole number without quotes",
    "float": "a number without quotes",
    "string": "a text in quotes",
}


def _scenario_problem(name: str, entry: Any) -> Problem:
    where = ".".join(str(part) for part in entry["loc"])
    allowed, found = entry["msg"].removeprefix("Value error, "), entry["input"]
    if not where:
        where, _, allowed = allowed.partition(": ")
        found = found.get(where, "")
    if entry["type"] == "missing":
        allowed, found = f"a line {where.rpartition('.')[2]} = ...", ""
    elif entry["type"] == "extra_forbidden":
        close = difflib.get_close_matches(where, Scenario.model_fields, 1)
        hint = f" (did you mean {close[0]}?)" if close else ""
        allowed, found = f"only the keys that data/README.md lists for museum.toml{hint}", where
    allowed = _TOML_KINDS.get(entry["type"].partition("_")[0], allowed).removeprefix("Input should be ")
    return Problem(name, 0, where, "a table" if isinstance(found, dict) else str(found), allowed[0].lower() + allowed[1:])


def _named(table: tuple[Any, ...], column: str, wanted: str) -> Any:
    for row in table:
        if getattr(row, column) == wanted:
            return row
    known = ", ".join(getattr(row, column) for row in table)
    raise PlannerError(f'{column}: found "{wanted}"; allowed: {known}')
