"""Which rows of rates.csv price a cost line, and what the price is in every trial: by equipment, weight, tax and year."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.memo import Ask, Made
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples
from heritagemove.trials.needs import Amount, Known
from heritagemove.trials.schedule import Dates
from heritagemove.units.units import Quantity

#: Driver that tells the weight of a load where a line names none.
BODY_WEIGHT = "body_weight"


@dataclass(frozen=True)
class Price:
    """The price of a line for some equipment."""

    draws: Made | np.ndarray  # shape (trials,); in the rate's unit, at the price level of the row
    in_usd: float  # USD that one unit of it is, tax included
    least: Known  # least units that are charged, whatever is needed
    escalation: Known  # price level of the year in which the task ends over that of the row


def rows_of(
    museum: Museum, line: Any, equipment: frozenset[str], given: Mapping[str, Amount | Made | None]
) -> tuple[Any, ...]:
    """Return the rows of rates.csv that a line is priced by: one, or those whose weights lie about that of the load.

    Returns
    -------
    tuple of rows
        From light to heavy; none where no rate fits the equipment, or the load's weight is unknown.
    """
    rows = museum.rates_of(line.rate)
    chosen = next((e for e in (None, *sorted(equipment)) if any(row.equipment == e for row in rows)), None)
    rows = tuple(row for row in rows if row.equipment == chosen)
    if not rows or rows[0].at_weight is None:
        return rows
    weight = given.get(line.load_weight or BODY_WEIGHT)
    if weight is None:
        return ()
    pounds = np.asarray(weight.value if isinstance(weight, Made) else weight) * _pounds(line)
    knots = np.array([row.name[-1] for row in rows])
    first = max(int(np.searchsorted(knots, pounds.min(), side="right")) - 1, 0)
    last = min(int(np.searchsorted(knots, pounds.max(), side="left")), len(knots) - 1)
    return rows[min(first, last) : last + 1]


def price_of(
    museum: Museum,
    line: Any,
    equipment: frozenset[str],
    given: Mapping[str, Known | None],
    samples: Samples,
    dates: Made,
    memo: Ask,
) -> Price | None:
    """Return the price of a line in every trial, or None where no rate fits the equipment or an amount is unknown."""
    rows = rows_of(museum, line, equipment, given)
    calls = given.get(rows[0].least_for) if rows and rows[0].least_for else 1.0
    if not rows or calls is None:
        return None
    row, draws = rows[0], samples.known("rates", rows[0].name)
    if len(rows) > 1:
        knots, weight = tuple(each.name[-1] for each in rows), given[line.load_weight or BODY_WEIGHT]
        draws = memo(_between, tuple(samples.known("rates", each.name) for each in rows), knots, weight, _pounds(line))
    in_usd = samples.conversions[line.path, line.line, row.equipment]
    if row.tax and line.factor > 0:  # what a buyer adds to a credit is not the museum's
        in_usd *= 1 + museum.tax(row.tax).share.m_as("")
    least: Known = 0.0
    if row.least:
        least = row.least * calls if not isinstance(calls, Made) else memo(np.multiply, row.least, calls)
    return Price(draws, in_usd, least, _escalation(museum, rows, dates, line.task, memo))


def _pounds(line: Any) -> float:
    return Quantity(1.0, DRIVERS[line.load_weight or BODY_WEIGHT].unit).m_as("lb")


def _between(prices: Sequence[np.ndarray], knots: Sequence[float], weight: Amount, pounds: float) -> np.ndarray:
    """Return the price at a weight: straight between two rows when both scales are logarithmic."""
    place = np.log(np.clip(weight * pounds, knots[0], knots[-1]))
    steps = np.log(knots)
    at = np.clip(np.searchsorted(steps, place, side="right") - 1, 0, len(knots) - 2)
    share = (place - steps[at]) / (steps[at + 1] - steps[at])
    table, trials = np.array(prices), np.arange(len(prices[0]))
    return table[at, trials] ** (1 - share) * table[at + 1, trials] ** share


def _escalation(museum: Museum, rows: Sequence[Any], dates: Made, task: str, memo: Ask) -> Known:
    """Return by how much prices rise to the year in which a task ends; a quote stands as it was given."""
    row = rows[0]
    if row.price_index is None or all(each.basis == "quote" for each in rows):
        return 1.0
    levels = museum.price_levels(row.price_index)
    found = memo(_risen, dates, task, museum.scenario.start, row.price_year, levels)
    return found if isinstance(found.value, np.ndarray) else found.value


def _risen(dates: Dates, task: str, start: Any, price_year: int, levels: Sequence[tuple[int, float]]) -> Amount:
    """Return the index of the year in which a task ends over that of the price: one number where all end in one year."""
    last = dates.finish[task] - 1
    first, final = (int((np.datetime64(start) + int(day)).astype("datetime64[Y]").astype(int)) + 1970
                    for day in (last.min(), last.max()))  # fmt: skip
    years, values = np.array(levels).T
    base = np.interp(price_year, years, values)
    rises = np.interp(np.arange(first, final + 1), years, values) / base
    if first == final:
        return float(rises[0])
    new_years = [(np.datetime64(f"{year}-01-01") - np.datetime64(start)).astype(int) for year in range(first + 1, final + 1)]
    return rises[np.searchsorted(new_years, last, side="right")]
