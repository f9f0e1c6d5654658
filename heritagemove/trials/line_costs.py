"""Price one cost line in every trial: a rate of the equipment chosen, times its drivers, times its factor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.museum.drivers import OWN_TASK
from heritagemove.museum.memo import Ask, Made
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples
from heritagemove.trials.needs import Amount, Known, Work
from heritagemove.trials.prices import BODY_WEIGHT, Price, price_of


@dataclass(frozen=True)
class LineCost:
    """One cost line of one path in every trial."""

    line: Any
    quantity: Amount
    cost_usd: np.ndarray  # what the museum pays
    donated_usd: Amount = 0.0  # what somebody gives: with it the work costs what it costs


def price_line(
    museum: Museum,
    line: Any,
    needs: Work,
    samples: Samples,
    task_days: Made,
    dates: Made,
    unknown: set[str],
    memo: Ask,
) -> Made | None:
    """Return the cost of a line in every trial; None where an amount or a rate is unknown, or where nothing is bought."""
    given = needs.given
    drivers = [driver for driver in (line.driver, line.times) if driver]
    amounts = [_of_task(museum, line, driver, needs, task_days, memo) if driver in OWN_TASK else given.get(driver)
               for driver in drivers]  # fmt: skip
    if None in amounts:
        unknown.add(next(name for name, amount in zip(drivers, amounts, strict=True) if amount is None))
        return None
    price = price_of(museum, line, needs.equipment, given, samples, dates, memo)
    if price is None:
        if _any(_quantity(line, *(each.value if isinstance(each, Made) else each for each in amounts))):
            unknown.add(_lacking(museum, line, needs))
        return None
    others = (
        (price_of(museum, line, ids, given, samples, dates, memo), needs.known(trials))
        for ids, trials in needs.other_equipment
    )
    other = tuple((_parts(each), trials) for each, trials in others if each is not None and each != price)
    return memo(_cost, line, tuple(amounts), _parts(price), other, museum.donated(needs.vehicle, line))


def _of_task(museum: Museum, line: Any, driver: str, needs: Work, days: Made, memo: Ask) -> Made | None:
    """Return what a line's own task says of a driver: its days, or those beyond its likely ones; None is unknown."""
    if driver == "task_days":
        return days
    task = next(row for row in museum.of_path("tasks", line.path) if row.task == line.task)
    added = tuple((each, needs.given.get(name)) for name, each in task.added_days)
    return None if any(amount is None for _, amount in added) else memo(_days_over, days, task.likely, added)


def _days_over(days: np.ndarray, likely: float, added: Sequence[tuple[float, Amount]]) -> np.ndarray:
    expected = likely + sum(each * amount for each, amount in added)
    return np.maximum(days - np.rint(expected), 0.0)


def _lacking(museum: Museum, line: Any, needs: Work) -> str:
    """Return what is unknown of a line that has no price: the weight of its load, what its minimum counts, or equipment."""
    rows = museum.rates_of(line.rate)
    load = line.load_weight or BODY_WEIGHT
    asked = [load] * any(row.at_weight is not None for row in rows) + [row.least_for for row in rows if row.least_for]
    return next((name for name in asked if needs.given.get(name) is None), f"equipment for {line.rate}")


def _any(amount: Amount) -> bool:
    return bool(np.any(np.asarray(amount) > 0))


def _parts(price: Price) -> tuple[Made, float, Known, Known]:
    """Return a price as a memo tells it apart."""
    return price.draws, price.in_usd, price.least, price.escalation


def _cost(
    line: Any,
    amounts: Sequence[Amount],
    price: Sequence[Any],
    others: Sequence[tuple[Sequence[Any], np.ndarray]],
    donated: float,
) -> LineCost:
    needed = _quantity(line, *amounts)
    usd, quantity = _charged(needed, *price)
    for other, trials in others:
        found, hired = _charged(needed, *other)
        usd = np.where(trials, found, usd)
        if hired is not quantity:
            quantity = np.where(trials, hired, quantity)
    return LineCost(line, quantity, usd * (1 - donated) if donated else usd, usd * donated if donated else 0.0)


def _charged(
    quantity: Amount, rate: np.ndarray, in_usd: float, least: Amount, escalation: Amount
) -> tuple[np.ndarray, Amount]:
    """Return what is charged [USD] and for how many units."""
    if np.any(least):
        quantity = np.where(np.asarray(quantity) > 0, np.maximum(quantity, least), quantity)
    per_unit = rate if in_usd == 1 else rate * in_usd
    if not (isinstance(escalation, float) and escalation == 1.0):
        per_unit = per_unit * escalation
    return per_unit * quantity, quantity


def _quantity(line: Any, amount: Amount, times: Amount = 1.0) -> Amount:
    amount = amount - line.above if line.above else amount
    return line.factor * np.maximum(amount, line.at_least or 0.0) * times
