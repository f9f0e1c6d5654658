"""Price one cost line in every trial: a rate of the equipment chosen, times its drivers, times its factor."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.museum.drivers import OWN_TASK, at_stage
from heritagemove.museum.memo import Ask, Made
from heritagemove.trials.draws import Samples
from heritagemove.trials.needs import Amount, Known, Work


@dataclass(frozen=True)
class LineCost:
    """One cost line of one path in every trial."""

    line: Any
    quantity: Amount
    cost_usd: np.ndarray


def price_line(
    line: Any,
    needs: Work,
    samples: Samples,
    task_days: Made,
    unknown: set[str],
    memo: Ask,
) -> Made | None:
    """Return the cost of a line in every trial; None where an amount or a rate is unknown, or where nothing is bought."""
    drivers = [driver for driver in (line.driver, line.times) if driver]
    amounts = [task_days if driver in OWN_TASK else needs.amount(driver, line.stage) for driver in drivers]
    if None in amounts:
        unknown.add(drivers[amounts.index(None)])
        return None
    price = _price(line, needs.equipment, samples)
    if price is None:
        if _any(_quantity(line, *(each.value if isinstance(each, Made) else each for each in amounts))):
            unknown.add(f"equipment for {line.rate}")
        return None
    others = ((_price(line, ids, samples), needs.known(trials)) for ids, trials in needs.other_equipment)
    other = tuple((rate, trials) for rate, trials in others if rate is not None and rate != price)
    return memo(_cost, line, tuple(amounts), price, other)


def _any(amount: Amount) -> bool:
    return bool(np.any(np.asarray(amount) > 0))


def _cost(
    line: Any,
    amounts: Sequence[Amount],
    price: tuple[np.ndarray, float],
    others: Sequence[tuple[tuple[np.ndarray, float], np.ndarray]],
) -> LineCost:
    usd = _in_usd(*price)
    for other, trials in others:
        usd = np.where(trials, _in_usd(*other), usd)
    quantity = _quantity(line, *amounts)
    return LineCost(line, quantity, usd * quantity)


def _quantity(line: Any, amount: Amount, times: Amount = 1.0) -> Amount:
    amount = amount - line.above if line.above else amount
    return line.factor * np.maximum(amount, line.at_least or 0.0) * times


def _in_usd(rate: np.ndarray, conversion: float) -> np.ndarray:
    return rate if conversion == 1 else rate * conversion


def _price(line: Any, equipment: frozenset[str], samples: Samples) -> tuple[Made, float] | None:
    """Return the rate of a line and what one unit of it is in USD, or None where no rate fits the equipment."""
    of_stage = {chosen for chosen in equipment if line.stage and at_stage(chosen, line.stage) in equipment}
    choice = next((e for e in (None, *sorted(of_stage or equipment)) if (line.rate, e) in samples.rates), "none")
    if choice == "none":
        return None
    return samples.known("rates", (line.rate, choice)), samples.conversions[line.path, line.line, choice]
