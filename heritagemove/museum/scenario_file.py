"""museum.toml: names, dates, policy and slider ranges of one decision; read, checked and written."""

from __future__ import annotations

import contextlib
import dataclasses
import datetime as dt
import json
import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, model_validator

from heritagemove.files.tables import LONGEST_CELL, Problem, read_bytes
from heritagemove.units.names import CURRENCIES
from heritagemove.units.words import near_miss

# Strict: a date written as a number or a number as a text is a slip, not another way to write it.
_EXACT = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)
#: museum.toml is some fifty lines; a file far larger is none of ours.
LARGEST_SCENARIO_BYTES = 100_000
#: Of the tables; another one is told in one line.
FORMAT = 2


def _iso_date(given: Any) -> Any:
    """Read a date as text, from a sheet; a number is no date, though a day might be counted from 1970."""
    if isinstance(given, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", given, re.ASCII):
        with contextlib.suppress(ValueError):
            return dt.date.fromisoformat(given)
    if type(given) is not dt.date:
        raise ValueError(_TOML_KINDS["date"])
    return given


_Date = Annotated[dt.date, BeforeValidator(_iso_date)]


class SliderRange(BaseModel):
    """Range of one slider of the explorer."""

    model_config = _EXACT
    low: float
    high: float
    step: float = Field(gt=0)
    unit: str


class SimulationSettings(BaseModel):
    """How many trials, from which seed, and the confidence the museum plans at."""

    model_config = _EXACT
    seed: int = Field(ge=0, lt=2**32)
    trials: int = Field(ge=100, le=1_000_000)
    confidence: float = Field(gt=0.5, lt=1)
    # Whether the trials hold what estimates of such work turn out to be off by, beyond the rows' own ranges.
    estimating_error: bool = True


class CorrelationSettings(BaseModel):
    """How strongly prices or durations of one market move together, 0 to below 1."""

    model_config = _EXACT
    default: float = Field(ge=0, lt=1)
    markets: dict[str, Annotated[float, Field(ge=0, lt=1)]] = {}
    basis: str
    source: str

    def strength(self, market: str) -> float:
        """Return the share of a market's variance that is common to its rows."""
        return self.markets.get(market, self.default)


class Scenario(BaseModel):
    """museum.toml: names, dates, policy and slider ranges of one decision."""

    model_config = _EXACT
    # Of the tables: 1 had segments in place of places, legs, stages and pieces.
    format: int = Field(ge=FORMAT, le=FORMAT)
    name: str
    place: str
    site: str
    owner: str
    # Prices, charts and page count in this one; another would stand on them unconverted.
    currency: Literal[CURRENCIES]
    price_year: int = Field(ge=1825, le=2100)
    as_of: _Date
    start: _Date
    deadline: _Date
    forced_scrap: _Date
    holdover_rate: str
    simulation: SimulationSettings
    correlation: CorrelationSettings
    sliders: dict[str, SliderRange]
    # What of the cost, refusals, fallbacks and losses included, decides among paths that keep the confidence.
    choose_by: Literal["mean", "dearest_fifth", "p80"] = "mean"
    # How weights and lengths are shown; they may be typed in either.
    units: Literal["US", "SI"] = "US"
    # Country or state whose rules it moves under, a folder of data/rules; blank: those beside the museum, else the USA's.
    rules: str = ""

    @model_validator(mode="after")
    def _dates(self) -> Any:
        if self.forced_scrap < self.deadline:
            raise ValueError("forced_scrap: a date not before the deadline")
        return self


def read_scenario(path: Path, instead: bytes | None = None) -> tuple[Scenario | None, list[Problem]]:
    """Read a museum.toml, or what it is to hold; return it, or None with every problem."""
    data, problem = read_bytes(path, LARGEST_SCENARIO_BYTES) if instead is None else (instead, None)
    if problem:
        return None, [problem]
    # The reader takes the square of the length of a dotted key.
    longest = max(map(len, data.splitlines()), default=0)
    if longest > LONGEST_CELL:
        return None, [Problem(path.name, 0, "", f"a line of {longest:,} bytes", f"lines of at most {LONGEST_CELL:,} bytes")]
    try:
        content: Mapping[str, Any] = tomllib.loads(data.decode("utf-8-sig"))
        return Scenario.model_validate(content), []
    except ValidationError as error:
        return None, [_scenario_problem(path.name, entry) for entry in error.errors()]
    # Beyond its own error the reader stops at digits without end and at brackets without end.
    except (ValueError, RecursionError) as error:
        allowed = "UTF-8 lines such as name = \"a text\", trials = 10000, start = 2027-03-01"
        return None, [Problem(path.name, 0, "", str(error), allowed)]


def read_scenario_sheet(name: str, lines: Sequence[Sequence[str]]) -> tuple[Scenario | None, list[Problem]]:
    """Read a sheet with the keys of museum.toml and their values as text; `name` is what its problems call it."""
    if not lines or [cell.strip() for cell in lines[0][:2]] != ["key", "value"]:
        return None, [Problem(name, 1, "", " ".join(lines[0][:2]) if lines else "", "a heading row: key, value")]
    content: dict[str, Any] = {}
    numbers: dict[str, int] = {}
    for number, line in enumerate(lines[1:], start=2):
        key, value = (cell.strip() for cell in line[:2])
        if not key:
            continue
        if key in numbers or re.fullmatch(r"\w+(\.\w+){0,2}", key, re.ASCII) is None:
            return None, [Problem(name, number, "key", key, "each key of museum.toml once, such as simulation.seed")]
        numbers[key] = number
        *groups, last = key.split(".")
        place = content
        for group in groups:
            place = place.setdefault(group, {})
            if not isinstance(place, dict):
                return None, [Problem(name, number, "key", key, f"no key below {group}, which has a value itself")]
        place[last] = value
    try:
        return Scenario.model_validate(content, strict=False), []
    except ValidationError as error:
        problems = [_scenario_problem(name, entry) for entry in error.errors()]
        return None, [_in_sheet(problem, numbers) for problem in problems]


def _in_sheet(problem: Problem, numbers: Mapping[str, int]) -> Problem:
    allowed = problem.allowed.replace(" without quotes", "").replace(" in quotes", "").replace("a line ", "a row ")
    return dataclasses.replace(problem, row=numbers.get(problem.column, 0), allowed=allowed)


def scenario_lines(scenario: Scenario) -> list[list[str]]:
    """Return the keys and values of a museum.toml as the lines of a sheet."""
    lines = [["key", "value"]]

    def add(prefix: str, group: Mapping[str, Any]) -> None:
        for key, value in group.items():
            if isinstance(value, dict):
                add(f"{prefix}{key}.", value)
            else:
                lines.append([prefix + key, str(value)])

    add("", scenario.model_dump())
    return lines


def scenario_text(scenario: Scenario, first: str = "") -> str:
    """Return the text of a museum.toml; `first` is a comment for its first line.

    Examples
    --------
    >>> print(_toml({"name": 'The "Old" Shed', "start": dt.date(2027, 3, 1), "simulation": {"trials": 500}}))
    name = "The \\"Old\\" Shed"
    start = 2027-03-01
    <BLANKLINE>
    [simulation]
    trials = 500
    """
    comment = f"# {first}\n" if first else ""
    return comment + _toml(scenario.model_dump()) + "\n"


def amended_text(text: str, scenario: Scenario) -> str:
    """Return the text of a museum.toml with these values; comments and order of the old text stay where they are."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    def amend(group: Any, values: Mapping[str, Any], needed: Mapping[str, Any]) -> None:
        for key in [key for key in group if key not in values]:
            del group[key]
        for key, value in values.items():
            if isinstance(value, dict) and (key in group or key in needed):
                if key not in group:
                    group[key] = tomlkit.table()
                amend(group[key], value, needed.get(key, {}))
            elif not isinstance(value, dict) and (group[key] != value if key in group else key in needed):
                group[key] = value

    try:
        document = tomlkit.parse(text)
        amend(document, scenario.model_dump(), scenario.model_dump(exclude_defaults=True))
        amended = tomlkit.dumps(document)
        same = Scenario.model_validate(tomllib.loads(amended)) == scenario
    except (TOMLKitError, ValueError, TypeError, AttributeError, RecursionError):
        same = False  # a text that cannot be amended is written anew
    return amended if same else scenario_text(scenario)


def _toml(group: Mapping[str, Any], name: str = "") -> str:
    """Write values first, then the groups below; a JSON text is a TOML text."""
    simple = {key: value for key, value in group.items() if not isinstance(value, dict)}
    lines = [f"{key} = {json.dumps(value, ensure_ascii=False) if not isinstance(value, dt.date) else value}"
             for key, value in simple.items()]  # fmt: skip
    if name and (simple or not group):
        lines.insert(0, f"[{name}]")
    groups = [_toml(value, f"{name}.{key}".lstrip(".")) for key, value in group.items() if isinstance(value, dict)]
    return "\n\n".join(part for part in ("\n".join(lines), *groups) if part)


_TOML_KINDS = {
    "date": "a date without quotes, such as 2027-10-15",
    "int": "a whole number without quotes",
    "float": "a number without quotes",
    "string": "a text in quotes",
}


_OTHER_FORMAT = (
    f"format = {FORMAT}: the tables places, legs, stages and pieces in place of segments and of columns of paths and "
    "vehicles; begin a new museum beside this one and take your rows over"
)


def _scenario_problem(name: str, entry: Any) -> Problem:
    where = ".".join(str(part) for part in entry["loc"])
    allowed, found = entry["msg"].removeprefix("Value error, "), entry["input"]
    if where == "format":
        found = found if entry["type"] != "missing" else "none, which is format 1"
        return Problem(name, 0, where, str(found), _OTHER_FORMAT)
    if not where:
        where, _, allowed = allowed.partition(": ")
        found = found.get(where, "")
    if entry["type"] == "missing":
        allowed, found = f"a line {where.rpartition('.')[2]} = ...", ""
    elif entry["type"] == "extra_forbidden":
        hint = near_miss(where, Scenario.model_fields)
        allowed, found = f"only the keys that data/README.md lists for museum.toml{hint}", where
    allowed = _TOML_KINDS.get(entry["type"].partition("_")[0], allowed).removeprefix("Input should be ")
    return Problem(name, 0, where, "a table" if isinstance(found, dict) else str(found), allowed[0].lower() + allowed[1:])
