"""Price one cost line in every trial: a rate of the equipment chosen, times its drivers, times its factor."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.museum.drivers import OWN_TASK
from heritagemove.museum.memo import Ask, Made
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples
from heritagemove.trials.needs import Amount, Known, Work


@dataclass(frozen=True)
class LineCost:
    """One cost line of one path in every trial."""

    line: Any
    quantity: Amount
    cost_usd: np.ndarray
    error: np.ndarray | None = None  # shape (trials,); factor of the estimating error that is in it

    @property
    def before_error_usd(self) -> np.ndarray:
        """What the line's own rows say, the estimating error left out [USD]."""
        if self.error is None:
            return self.cost_usd
        return self.cost_usd / self.error if self.line.factor > 0 else self.cost_usd * self.error


def price_line(
    line: Any,
    needs: Work,
    given: Mapping[str, Known | None],
    samples: Samples,
    task_days: Made,
    unknown: set[str],
    memo: Ask,
    error: Made | None = None,
) -> Made | None:
    """Return the cost of a line in every trial; None where an amount or a rate is unknown, or where nothing is bought.

    Parameters
    ----------
    error : Made of ndarray, shape (trials,), optional
        Factor of the estimating error. A credit is divided by it: what makes work dearer makes no scrap worth more.
    """
    amounts = [task_days if driver in OWN_TASK else given.get(driver) for driver in (line.driver, line.times) if driver]
    if None in amounts:
        unknown.add(next(d for d in (line.driver, line.times) if d and d not in OWN_TASK and given.get(d) is None))
        return None
    price = _price(line, needs.equipment, samples)
    if price is None:
        if _any(_quantity(line, *(each.value if isinstance(each, Made) else each for each in amounts))):
            unknown.add(f"equipment for {line.rate}")
        return None
    others = ((_price(line, ids, samples), needs.known(trials)) for ids, trials in needs.other_equipment)
    other = tuple((rate, trials) for rate, trials in others if rate is not None and rate != price)
    return memo(_cost, line, tuple(amounts), price, other, error)


def under_quote(line: Any, museum: Museum, needs: Work, samples: Samples) -> bool:
    """Return whether a firm quote covers a line, or its price is one."""
    choice = _choice(line, needs.equipment, samples)
    return line.line in needs.quoted or (line.rate, choice) in museum.quoted_rates()


def _any(amount: Amount) -> bool:
    return bool(np.any(np.asarray(amount) > 0))


def _cost(
    line: Any,
    amounts: Sequence[Amount],
    price: tuple[np.ndarray, float],
    others: Sequence[tuple[tuple[np.ndarray, float], np.ndarray]],
    error: np.ndarray | None,
) -> LineCost:
    usd = _in_usd(*price)
    for other, trials in others:
        usd = np.where(trials, _in_usd(*other), usd)
    quantity = _quantity(line, *amounts)
    cost = usd * quantity
    if error is not None:
        cost = np.multiply(cost, error, out=cost) if line.factor > 0 else np.divide(cost, error, out=cost)
    return LineCost(line, quantity, cost, error)


def _quantity(line: Any, amount: Amount, times: Amount = 1.0) -> Amount:
    amount = amount - line.above if line.above else amount
    return line.factor * np.maximum(amount, line.at_least or 0.0) * times


def _in_usd(rate: np.ndarray, conversion: float) -> np.ndarray:
    return rate if conversion == 1 else rate * conversion


def _choice(line: Any, equipment: frozenset[str], samples: Samples) -> str | None:
    return next((e for e in (None, *sorted(equipment)) if (line.rate, e) in samples.rates), "none")


def _price(line: Any, equipment: frozenset[str], samples: Samples) -> tuple[Made, float] | None:
    """Return the rate of a line and what one unit of it is in USD, or None where no rate fits the equipment."""
    choice = _choice(line, equipment, samples)
    if choice == "none":
        return None
    return samples.known("rates", (line.rate, choice)), samples.conversions[line.path, line.line, choice]
