"""Which rows of rates.csv price a cost line, and what the price is in every trial: by equipment, weight, tax and year."""

from __future__ import annotations

import bisect
import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from heritagemove.museum.drivers import DRIVERS, at_stage, of_piece
from heritagemove.museum.memo import Ask, Made
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples
from heritagemove.trials.needs import Amount, Known
from heritagemove.trials.schedule import Dates
from heritagemove.units.units import Quantity

#: Driver that tells the weight of a load where a line names none.
BODY_WEIGHT = "body_weight"

#: A price of a line: draws in the rate's unit at the price level of its row, USD that one unit of it is (tax included),
#: least units that are charged, and the price level of the year in which the task ends over that of the row.
Price = tuple[Made, float, Known, Known]


def rows_of(
    museum: Museum, line: Any, equipment: frozenset[str], given: Mapping[str, Amount | Made | None]
) -> tuple[Any, ...]:
    """Return the rows of rates.csv that a line is priced by: one, or those whose weights lie about that of the load.

    Returns
    -------
    tuple of rows
        From light to heavy; none where no rate fits the equipment, or the load's weight is unknown.
    """
    found = museum.price_list(line.rate, at_hand(line, equipment))
    if not found.pounds:
        return found.rows
    weight = _load_of(line, given)
    if weight is None:
        return ()
    each = [own for own, _ in _apart(line, given)] or [weight]
    pounds = np.concatenate([np.ravel(own.value if isinstance(own, Made) else own) for own in each]) * _pounds(line)
    first = max(int(np.searchsorted(found.pounds, pounds.min(), side="right")) - 1, 0)
    last = min(int(np.searchsorted(found.pounds, pounds.max(), side="left")), len(found.pounds) - 1)
    return found.rows[min(first, last) : last + 1]


def price_of(
    museum: Museum,
    line: Any,
    equipment: frozenset[str],
    given: Mapping[str, Known | None],
    samples: Samples,
    years: Made,
    memo: Ask,
) -> Price | None:
    """Return the price of a line in every trial, or None where no rate fits the equipment or an amount is unknown.

    Parameters
    ----------
    years : Made of dict
        The years in which tasks end, as :func:`years_of` returns them.
    """
    found = museum.price_list(line.rate, at_hand(line, equipment))
    if not found.rows:
        return None
    row = found.rows[0]
    if found.pounds:
        rows = rows_of(museum, line, equipment, given)
        if not rows:
            return None
        draws = tuple(samples.known("rates", each.name) for each in rows)
        weight, knots = _load_of(line, given), tuple(each.name[-1] for each in rows)
        apart = _apart(line, given)
        if len(rows) == 1:
            draw = draws[0]
        elif apart:
            draw = memo(_between_on_average, draws, knots, apart, _pounds(line))
        else:
            draw = memo(_between, draws, knots, weight, _pounds(line))
    else:
        draw = samples.known("rates", found.names[0])
    in_usd = samples.conversions[line.path, line.line, row.equipment]
    if row.tax and line.factor > 0:  # what a buyer adds to a credit is not the museum's
        in_usd *= 1 + museum.tax_share(row.tax)
    least: Known = 0.0
    if row.least:
        counted = _at(given, row.least_for, line) if row.least_for else 1.0
        if counted is None:
            return None
        least = memo(np.multiply, row.least, counted) if isinstance(counted, Made) else row.least * counted
    rises = row.price_index is not None and not found.quoted
    return draw, in_usd, least, _rise(museum, row, years, line.task, memo) if rises else 1.0


def at_hand(line: Any, equipment: frozenset[str]) -> frozenset[str]:
    """Return the equipment that a line is priced by: that of its own stage, where stages have their own."""
    if line.stage is None:
        return equipment
    return frozenset(each for each in equipment if at_stage(each, line.stage) in equipment) or equipment


def _load_of(line: Any, given: Mapping[str, Any]) -> Any:
    """Return the weight of a line's load, in its own stage where stages differ; None is unknown."""
    return _at(given, line.load_weight or BODY_WEIGHT, line)


def _apart(line: Any, given: Mapping[str, Any]) -> tuple[tuple[Any, Any], ...]:
    """Return weight and number of the loads of each piece beside the body; none where they are not told apart."""
    driver, stage = line.load_weight or BODY_WEIGHT, "" if line.stage is None else at_stage("", line.stage)
    own = [name for name in given if name.startswith(of_piece(driver, ""))]
    names = [name for name in own if stage and name.endswith(stage)] or [name for name in own if "@" not in name]
    return tuple((given[name], given[name.replace(driver, "truck_loads", 1)]) for name in sorted(names))


def _at(given: Mapping[str, Any], driver: str, line: Any) -> Any:
    return given.get(at_stage(driver, line.stage), given.get(driver))


def _pounds(line: Any) -> float:
    return _POUNDS_OF[DRIVERS[line.load_weight or BODY_WEIGHT].unit]


#: A unit of weight that some driver has, in pounds.
_POUNDS_OF = {
    driver.unit: Quantity(1.0, driver.unit).m_as("lb") for driver in DRIVERS.values() if driver.unit in ("lb", "short_ton")
}


def _between(prices: Sequence[np.ndarray], knots: Sequence[float], weight: Amount, pounds: float) -> np.ndarray:
    """Return the price at a weight: straight between two rows when both scales are logarithmic."""
    place = np.log(np.clip(weight * pounds, knots[0], knots[-1]))
    steps = np.log(knots)
    at = np.clip(np.searchsorted(steps, place, side="right") - 1, 0, len(knots) - 2)
    share = (place - steps[at]) / (steps[at + 1] - steps[at])
    table, trials = np.array(prices), np.arange(len(prices[0]))
    return table[at, trials] ** (1 - share) * table[at + 1, trials] ** share


def shares_of(
    museum: Museum, line: Any, equipment: frozenset[str], given: Mapping[str, Any]
) -> tuple[tuple[float, tuple[tuple[Any, float], ...]], ...]:
    """Return how the price of a line is made of rows of rates.csv, where every amount is one number.

    Returns
    -------
    tuple of (float, tuple of (row, float))
        The price is the sum, over these parts, of the first number times the product of the rows' prices, each raised to
        the number beside it.
    """
    rows = rows_of(museum, line, equipment, given)
    if len(rows) < 2:
        return ((1.0, tuple((row, 1.0) for row in rows)),)
    loads = _apart(line, given) or ((_load_of(line, given), 1.0),)
    numbers = [(_one(weight) * _pounds(line), _one(count)) for weight, count in loads]
    whole, steps = sum(count for _, count in numbers), np.log([row.name[-1] for row in rows])
    found = []
    for weight, count in numbers:
        place = np.clip(np.log(weight), steps[0], steps[-1])
        at = int(np.clip(np.searchsorted(steps, place, side="right") - 1, 0, len(rows) - 2))
        share = float((place - steps[at]) / (steps[at + 1] - steps[at]))
        parts = ((rows[at], 1 - share), (rows[at + 1], share))
        found.append((count / whole, tuple((row, power) for row, power in parts if power)))
    return tuple(found)


def _one(amount: Any) -> float:
    """Return the number that an amount is in the one trial there is."""
    return float(np.ravel(amount.value if isinstance(amount, Made) else amount)[0])


def _between_on_average(
    prices: Sequence[np.ndarray], knots: Sequence[float], loads: Sequence[tuple[Amount, Amount]], pounds: float
) -> np.ndarray:
    """Return the mean price of some loads, each at its own weight."""
    paid = sum(_between(prices, knots, weight, pounds) * count for weight, count in loads)
    return paid / sum(count for _, count in loads)


def years_of(dates: Dates, closed: np.ndarray, start: dt.date) -> dict[str, int | np.ndarray]:
    """Return the year in which each task ends: one number where it is the same in all trials.

    Parameters
    ----------
    closed : ndarray of int, shape (trials,)
        Day number on which the last task has ended.
    start : datetime.date
        Day 0 of the dates.
    """
    last = (start + dt.timedelta(days=int(closed.max()))).year
    if last == start.year:
        return dict.fromkeys(dates.finish, last)
    new_years = [(dt.date(year, 1, 1) - start).days for year in range(start.year + 1, last + 1)]
    found: dict[str, int | np.ndarray] = {}
    for task, finish in dates.finish.items():
        early, late = (bisect.bisect(new_years, int(day) - 1) for day in (finish.min(), finish.max()))
        in_trials = np.searchsorted(new_years, finish - 1, side="right") if early != late else early
        found[task] = start.year + in_trials
    return found


def _rise(museum: Museum, row: Any, years: Made, task: str, memo: Ask) -> Known:
    """Return by how much prices rise to the year in which a task ends."""
    year, levels = years.value[task], museum.price_levels(row.price_index)
    if isinstance(year, int):
        return 1.0 if year == row.price_year else memo(_risen, levels, row.price_year, year).value
    return memo(_risen_in_trials, levels, row.price_year, years, task)


def _risen(levels: Sequence[tuple[int, float]], since: int, year: int | np.ndarray) -> float | np.ndarray:
    """Return the level of an index in a year over that of another."""
    known, logarithms = np.array(levels).T
    found = np.exp(np.interp(year, known, logarithms) - np.interp(since, known, logarithms))
    return found if np.ndim(found) else float(found)


def _risen_in_trials(
    levels: Sequence[tuple[int, float]], since: int, years: Mapping[str, int | np.ndarray], task: str
) -> np.ndarray:
    return _risen(levels, since, years[task])
