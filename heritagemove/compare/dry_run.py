"""A dry run: whether every unit can be compared on every path, and which cell stops it.

The engine itself is the test of its own ranges: each unit is screened, priced and decided on with a few draws, and
dated as slowly as its rows allow. Where it stops, cells are put right one at a time, the most unusual first, until it
goes on: that cell is the one to name.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
import re
import statistics
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np

from heritagemove.compare.comparison import compare_paths, price_path
from heritagemove.compare.results import PathResult
from heritagemove.editing.values_as_read import as_read
from heritagemove.files.tables import Problem, TableProblems
from heritagemove.museum import museum as museums
from heritagemove.museum import rows
from heritagemove.museum.calendars import HORIZON_DAYS
from heritagemove.museum.drivers import DRIVERS, read_settings
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum
from heritagemove.trials import durations, estimating, simulation
from heritagemove.units import units
from heritagemove.units.words import show_date

#: Draws of the dry run: enough to run every line of the comparison, too few to cost time.
_TRIALS = 3
#: How many cells are put right in search of the one that stops the comparison.
_MOST_REPAIRS = 600
#: Wrong cells that are searched for; what is behind them shows when these are put right.
_MOST_PROBLEMS = 10


def tried_museum(folder: str | Path, reference: str | Path | None = None) -> Museum:
    """Read a museum as :func:`heritagemove.museum.museum.load_museum` does, and try every unit and path.

    Raises
    ------
    TableProblems
        With every problem of every table, or with every cell that would stop a comparison.

    Examples
    --------
    >>> import heritagemove as hm
    >>> museum = hm.load("data/tamber_river")
    >>> museum.scenario.name, len(museum.vehicles)
    ('Tamber River Short Line Museum', 6)
    """
    museum = museums.load_museum(folder, reference)
    if problems := stopped_by(museum):
        raise TableProblems(str(folder), problems)
    return museum


def stopped_by(museum: Museum) -> list[Problem]:
    """Return the cells that would stop the comparison of a unit, as far as they can be told; none where nothing does."""
    problems: list[Problem] = list(_dates(museum))
    while not problems or len(problems) < _MOST_PROBLEMS:
        stopped = None if problems and problems[0].file == "museum.toml" else _first_stop(museum)
        if stopped is None:
            break
        problem, mended = _blamed(museum, *stopped)
        problems.append(problem)
        if mended is None:
            break
        museum = mended
    return [museums.of_place(problem, museum.folder) for problem in problems]


def _dates(museum: Museum) -> Iterator[Problem]:
    """Every calendar is known for so many days: a deadline behind them could not be worked back from."""
    scenario = museum.scenario
    last = scenario.start + dt.timedelta(days=HORIZON_DAYS - 1)
    if scenario.deadline > last:
        allowed = f"a day up to {show_date(last)}, {HORIZON_DAYS:,} days from the start on"
        yield Problem("museum.toml", 0, "deadline", scenario.deadline.isoformat(), allowed)


def explained(museum: Museum, vehicle: str, settings: Mapping[str, Any], error: Exception) -> ValueError:
    """Return why a comparison has stopped: which cells, or which setting and how far it may go.

    Parameters
    ----------
    settings : mapping of str to str, float or Quantity
        As for :func:`heritagemove.compare.comparison.compare_paths`.
    error : Exception
        What it stopped at.
    """
    if problems := stopped_by(museum):
        return TableProblems(museum.folder, problems)
    amounts, own, memo = read_settings(settings), _few(museum), Memo()
    slow = _few(_slowest(museum), own)

    def stops(name: str, amount: float, path: str | None = None) -> bool:
        """Return whether a path stops at an amount; without one, whether the comparison of all does."""
        asked = vehicle, *((path,) if path else ()), {name: amount}, own, memo

        def tried(museum: Museum) -> None:
            _date_slowly(slow, (price_path(museum, *asked),) if path else compare_paths(museum, *asked).paths)

        return _error(tried, museum) is not None

    for name, amount in amounts.items():
        if not stops(name, amount):
            continue
        here = next(
            float(np.mean(result.work.amounts[name]))
            for result in compare_paths(museum, vehicle, samples=own, memo=memo).paths
            if result.work.amounts.get(name) is not None and np.mean(result.work.amounts[name]) > 0
        )
        good, bad = here, amount
        # Only the paths that stop at the wrong end need be asked in between; where none does alone, all together.
        stopped: list[str | None] = [row.path for row in museum.paths if stops(name, amount, row.path)] or [None]
        for _ in range(16):
            middle = math.sqrt(good * bad)
            if still := [path for path in stopped if stops(name, middle, path)]:
                bad, stopped = middle, still
            else:
                good = middle
        unit, word = DRIVERS[name].unit.replace("_", " "), "at most" if amount > here else "at least"
        limit = _rounded(good, up=amount < here)
        return units.PlannerError(
            f'{name}: found "{settings[name]}"; allowed: {word} {limit:,g} {unit}, as the tables stand '
            f"(beyond, the comparison stops at: {_reason(error)})"
        )
    return units.PlannerError(f"the comparison of {vehicle} with these settings stops at: {_reason(error)}")


def _rounded(number: float, up: bool) -> float:
    """Return a number to two digits, on the side that is allowed."""
    step = 10.0 ** (math.floor(math.log10(number)) - 1)
    return (math.ceil if up else math.floor)(number / step) * step


#: What was tried, in words; how it is tried on a museum put right; and the unit and path, where it is of one.
_Stop = tuple[str, Callable[[Museum], None], Exception, Mapping[str, str]]


def _first_stop(museum: Museum) -> _Stop | None:
    """Return the first thing that stops, or None."""

    def drawn(changed: Museum) -> tuple[simulation.Samples, simulation.Samples]:
        samples = _few(changed)
        return samples, _few(_slowest(changed), samples)

    if error := _error(drawn, museum):
        return "the draws", drawn, error, {}
    samples, late = drawn(museum)

    def redrawn(changed: Museum) -> tuple[simulation.Samples, simulation.Samples]:
        """Draw the rows that were put right, and no others."""
        return _few(changed, samples), _few(_slowest(changed), late)

    memo = Memo()  # most of what one unit's comparison asks, the next one's and its lightest weight ask again
    for unit in museum.vehicles:

        def compared(changed: Museum, vehicle: str = unit.vehicle) -> None:
            given, slow = (samples, late) if changed is museum else redrawn(changed)
            answer = compare_paths(_as_stated(changed, vehicle), vehicle, samples=given, memo=memo)
            _date_slowly(slow, answer.paths)
            answer.deciding()  # a search dates paths that are decided on late
            # What carries a unit decides what its weight meets: one path of each kind tries the lightest.
            kinds = {row.carried_on: row.path for row in changed.stages}
            for path in kinds.values():
                _price_lightest(changed, vehicle, path, given, memo)

        error = _error(compared, museum)
        if error is None:
            continue
        for path in museum.paths:

            def priced(changed: Museum, vehicle: str = unit.vehicle, path: str = path.path) -> None:
                given, slow = redrawn(changed)
                result = price_path(_as_stated(changed, vehicle), vehicle, path, samples=given, memo=memo)
                _refuse_no_number(result)
                _price_lightest(changed, vehicle, path, given, memo)
                _date_path_slowly(slow, result)

            if alone := _error(priced, museum):
                words = f"path {path.path} of {unit.vehicle}"
                return words, priced, alone, {"vehicle": unit.vehicle, "path": path.path}
        return f"the comparison of {unit.vehicle}", compared, error, {"vehicle": unit.vehicle}
    return None


def _as_stated(museum: Museum, vehicle: str) -> Museum:
    """Return the museum in which one unit weighs what it is stated to: its checks then run once."""
    none = {"weight_tolerance": units.Quantity(0.0, "percent")}
    return museum.with_changes(
        vehicles=[row.model_copy(update=none) if row.vehicle == vehicle else row for row in museum.vehicles]
    )


def _price_lightest(museum: Museum, vehicle: str, path: str, samples: simulation.Samples, memo: Memo) -> None:
    """Price a path at the least weight that the tolerance allows, where a load may come out as nothing."""
    row = museum.vehicle(vehicle)
    if row.weight is not None and row.weight_tolerance.magnitude:
        lightest = museum.with_weight(vehicle, row.weight.m_as("short_ton") * (1 - row.weight_tolerance.m_as("")))
        price_path(_as_stated(lightest, vehicle), vehicle, path, samples=samples, memo=memo)


def _error(tried: Callable[[Museum], None], museum: Museum) -> Exception | None:
    try:
        tried(museum)
    except Exception as error:  # whatever stops it, a cell is behind it
        return error
    return None


def _few(museum: Museum, previous: simulation.Samples | None = None) -> simulation.Samples:
    """Make a few draws, each apart from the others: what ties them together takes longer to import than all to draw."""
    apart = museum.scenario.correlation.model_copy(update={"default": 0.0, "markets": {}})
    museum = estimating.switched(museum, False).with_changes(correlation=apart)
    return simulation.draw(museum, trials=_TRIALS, previous=previous)


def _date_slowly(slow: simulation.Samples, results: Iterable[PathResult]) -> None:
    for result in results:
        _refuse_no_number(result)
        _date_path_slowly(slow, result)


def _date_path_slowly(slow: simulation.Samples, result: Any) -> None:
    """Date a path as slowly as its rows allow: what a few draws pass, a million must pass."""
    # The amounts of the widest draws would do as well; a driver moves a task by days, a risk by months.
    days = durations.working_days(slow.museum, result.path, result.work, slow)
    durations.date_tasks(slow.museum, result.path, days, result.work, slow)


def _refuse_no_number(result: Any) -> None:
    spread = result.cost
    if spread and not all(math.isfinite(value) for value in (spread.p10, spread.p50, spread.p90, spread.mean)):
        raise ValueError("its cost is not a number")


def _slowest(museum: Museum) -> Museum:
    """Return the museum in which every task takes as long as it may, estimating error and all, and every risk happens."""
    estimated = {(path.path, task) for path in museum.paths for task in estimating.estimated_tasks(museum, path.path)}
    most = estimating.factor(np.array(estimating.MOST_SCORE), estimating.sigma_of_time(museum))
    most = float(most) if museum.scenario.simulation.estimating_error else 1.0
    tasks = [_at_most(row, most if (row.path, row.task) in estimated else 1.0) for row in museum.tasks]
    risks = [
        row.model_copy(
            update=dict.fromkeys(("delay_low", "delay_likely"), row.delay_high)
            | {"probability": 1.0, "mitigated_probability": row.mitigated_probability and 1.0}
        )
        for row in museum.risks
    ]
    return museum.with_changes(tasks=tasks, risks=risks)


def _at_most(row: Any, times: float) -> Any:
    longest = dict.fromkeys(("low", "likely", "high"), row.high * times)
    return row.model_copy(update=longest | {"extra_days": tuple(each * times for each in row.extra_days)})


def _blamed(
    museum: Museum, words: str, tried: Callable[[Museum], None], error: Exception, of: Mapping[str, str]
) -> tuple[Problem, Museum | None]:
    """Return the cell that stops what was tried, and the museum with it put right; None where no single cell does."""
    reason = _reason(error)
    allowed = f"a value with which {words} can be worked out; it stops at: {reason}"
    repairs = _repairs(museum, of, reason)
    # What the reason names is put right first, cell by cell and row by row, and then all others.
    named = [repair for repair in repairs if _is_named(repair[1], reason)]
    others = [repair for repair in repairs if not _is_named(repair[1], reason)]
    for table, row, usual in (*_by_cell(named), *_by_row(named), *_by_cell(others), *_by_row(others)):
        mended = _with(museum, table, row, usual)
        if _error(tried, mended) is None:
            column = next(iter(usual))
            return Problem(f"{table}.csv", row.row_number, column, as_read(getattr(row, column)), allowed), mended
    for table, row, column in _of_several(museum, of):
        mended = museum.with_changes(**{table: [other for other in getattr(museum, table) if other is not row]})
        if _error(tried, mended) is None:
            return Problem(f"{table}.csv", row.row_number, column, as_read(getattr(row, column)), allowed), mended
    unit = next((row for row in museum.vehicles if row.vehicle == of.get("vehicle")), None)
    path = next((row for row in museum.paths if row.path == of.get("path")), None)
    table, column, row = ("paths", "path", path) if path else ("vehicles", "vehicle", unit)
    if row is None:
        return Problem("museum.toml", 0, "", words, f"values with which they can be made; they stop at: {reason}"), None
    allowed = f"rows with which {words} can be worked out; it stops at: {reason}"
    return Problem(f"{table}.csv", row.row_number, column, getattr(row, column), allowed), None


def _with(museum: Museum, table: str, row: Any, values: Mapping[str, Any]) -> Museum:
    changed = row.model_copy(update=values)
    return museum.with_changes(**{table: [changed if other is row else other for other in getattr(museum, table)]})


def _reason(error: Exception) -> str:
    return str(error).partition("\n")[0] if isinstance(error, ValueError) and str(error) else type(error).__name__


#: A table, its row, a column, and the value that puts it right.
_Repair = tuple[str, Any, str, Any]


def _repairs(museum: Museum, of: Mapping[str, str], reason: str) -> list[_Repair]:
    """Return cells to put right with a value that is usual in their column.

    Those come first which the reason names, then those whose number it tells, then the most unusual.
    """
    told = {f"{float(number):g}" for number in re.findall(r"\d+(?:\.\d+)?", reason.replace(",", ""))}
    demo = museums.load_museum(museums.shipped("tamber_river"), museums.shipped("reference"))
    found = []
    for entry in dataclasses.fields(museum)[2:]:
        table, lines = entry.name, getattr(museum, entry.name)
        usual: dict[str, Any] = {}
        for row in lines:
            if any(getattr(row, key, None) not in (None, "any", wanted) for key, wanted in of.items()):
                continue
            named = _is_named(row, reason)
            for column, value in row:
                if isinstance(value, bool) or not isinstance(value, int | float | units.Quantity):
                    continue
                if column not in usual:
                    usual[column] = _usual((*lines, *getattr(demo, table)), column, value)
                better = usual[column]
                if better is not None and better != value:
                    number = value.magnitude if isinstance(value, units.Quantity) else value
                    rank = (named, f"{number:g}" in told, _unusual(value, better), -float(len(found)))
                    found.append((rank, (table, row, column, better)))
                    if isinstance(value, float | units.Quantity) and number:
                        # A decimal point in the wrong place: what is usual elsewhere may not fit between its neighbours.
                        factor = 0.1 if value > better else 10.0
                        found.append(((named, False, rank[1] - 1.0, rank[2]), (table, row, column, value * factor)))
    return [repair for _, repair in sorted(found, key=lambda entry: entry[0], reverse=True)[:_MOST_REPAIRS]]


def _is_named(row: Any, reason: str) -> bool:
    """Return whether a reason names a word of a row with its column, as in "calendar office: work runs past ..."."""
    return any(isinstance(word, str) and f"{column} {word}:" in reason for column, word in row)


def _by_cell(repairs: list[_Repair]) -> list[tuple[str, Any, dict[str, Any]]]:
    return [(table, row, {column: better}) for table, row, column, better in repairs]


def _by_row(repairs: list[_Repair]) -> list[tuple[str, Any, dict[str, Any]]]:
    """Return the rows of which several cells may be wrong together, as the three points of one estimate are."""
    rows_of: dict[tuple[str, int], tuple[str, Any, dict[str, Any]]] = {}
    for table, row, column, better in repairs:
        rows_of.setdefault((table, row.row_number), (table, row, {}))[2].setdefault(column, better)
    return [entry for entry in rows_of.values() if len(entry[2]) > 1]


def _of_several(museum: Museum, of: Mapping[str, str]) -> Iterator[tuple[str, Any, str]]:
    """Yield the rows that are one point of several, such as of a load chart: one of them may not fit the others."""
    for table, model in rows.TABLES.items():
        keys = [name for name, column in model.columns.items() if column.key and not column.refers_to]
        if len(keys) > 1:
            yield from ((table, row, keys[-1]) for row in getattr(museum, table))


def _usual(lines: tuple[Any, ...], column: str, like: Any) -> Any:
    """Return the middle of what a column holds elsewhere, zeros left out."""
    values = [value for row in lines if (value := getattr(row, column, None)) is not None]
    if isinstance(like, units.Quantity):
        same = [value for value in values if value.is_compatible_with(like) and value.magnitude]
        return units.Quantity(statistics.median(value.m_as(like.units) for value in same), like.units) if same else None
    numbers = [value for value in values if value]
    return statistics.median_low(numbers) if numbers else None


def _unusual(value: Any, usual: Any) -> float:
    """Return how far a value is from the usual one, as the size of the logarithm of their ratio."""
    ratio = float((value / usual).m_as("")) if isinstance(value, units.Quantity) else value / usual
    return math.inf if ratio <= 0 else abs(math.log(ratio))
