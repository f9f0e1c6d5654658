"""Price one cost line in every trial: a rate of the equipment chosen, times its drivers, times its factor."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from heritagemove.museum.drivers import OWN_TASK
from heritagemove.museum.memo import Ask, Made
from heritagemove.museum.museum import Museum
from heritagemove.trials import estimating
from heritagemove.trials.draws import Samples
from heritagemove.trials.needs import Amount, Known, Work
from heritagemove.trials.prices import BODY_WEIGHT, at_hand, price_of, years_of


@dataclass(frozen=True)
class LineCost:
    """One cost line of one path in every trial."""

    line: Any
    quantity: Amount
    cost_usd: np.ndarray  # what the museum pays
    donated_usd: Amount = 0.0  # what somebody gives: with it the work costs what it costs
    error: np.ndarray | None = None  # shape (trials,); factor of the estimating error that is in it

    @property
    def before_error_usd(self) -> np.ndarray:
        """What the line's own rows say, the estimating error left out [USD]."""
        if self.error is None:
            return self.cost_usd
        return self.cost_usd / self.error if self.line.factor > 0 else self.cost_usd * self.error


def price_with_error(
    museum: Museum,
    path: str,
    needs: Work,
    samples: Samples,
    days: Mapping[str, Made],
    dates: Made,
    closed: Made,
    unknown: set[str],
    memo: Ask,
) -> tuple[Made, ...]:
    """Return the cost of each line of a path, with the estimating error where no quote and no error of days stands for it.

    Parameters as for :func:`price_lines`. A credit is divided by the factor: what makes work dearer makes no scrap
    worth more.
    """
    asked = museum, path, needs, samples, days, dates, closed, unknown, memo
    if path not in samples.errors:  # switched off when they were drawn
        return price_lines(*asked)
    rows = museum.of_path("cost_lines", path)
    firm = _under_quotes(museum, path, needs)
    quoted = memo(_share_of, price_lines(*asked), firm).value if firm else 0.0
    error = memo(estimating.factor, samples.known("errors", path), estimating.sigma_of_money(museum, quoted))
    # What is paid by the days of its own task is off by what these are off by, and by that alone.
    by_days = {
        row.line for row in rows if {row.driver, row.times}.intersection(OWN_TASK) and (path, row.task) in samples.overruns
    }
    return price_lines(*asked, {row.line: error for row in rows if row.line not in firm | by_days})


def _under_quotes(museum: Museum, path: str, needs: Work) -> frozenset[str]:
    """Return the lines whose price is a quote, or for which a firm one is in force on the day of the tables."""
    rows = [row for row in museum.quotes if (row.vehicle, row.path, row.firmness) == (needs.vehicle, path, "firm")]
    covered = {line for row in rows if row.in_force(museum.scenario.as_of) for line in row.lines}
    lines = museum.of_path("cost_lines", path)
    lists = {row.line: museum.price_list(row.rate, at_hand(row, needs.equipment)) for row in lines}
    priced = {line for line, found in lists.items() if found.rows and found.quoted}
    return frozenset(covered | priced)


def _share_of(lines: Sequence[LineCost], some: frozenset[str]) -> float:
    """Return the share that some lines have of the P50 money, credits left out."""
    medians = {entry.line.line: max(float(np.median(entry.cost_usd)), 0.0) for entry in lines}
    total = sum(medians.values())
    return sum(usd for line, usd in medians.items() if line in some) / total if total else 0.0


def price_lines(
    museum: Museum,
    path: str,
    needs: Work,
    samples: Samples,
    days: Mapping[str, Made],
    dates: Made,
    closed: Made,
    unknown: set[str],
    memo: Ask,
    errors: Mapping[str, Made] = MappingProxyType({}),
) -> tuple[Made, ...]:
    """Return the cost of each line of a path in every trial, without those of which nothing is bought.

    Parameters
    ----------
    days : mapping of str to Made of ndarray
        Duration of each task [working day].
    dates, closed : Made
        When they begin and end, and the day number on which the last has ended.
    unknown : set of str
        Takes the amounts and rates that are unknown: their lines are left out.
    errors : mapping of str to Made of ndarray, optional
        Factor of the estimating error by line.
    """
    years, gifts = memo(years_of, dates, closed, museum.scenario.start), museum.gifts(needs.vehicle, path)
    found = []
    for line in museum.of_path("cost_lines", path):
        amounts = amounts_of(museum, line, needs, days[line.task], unknown, memo)
        if amounts is None:
            continue
        price = price_of(museum, line, needs.equipment, needs.given, samples, years, memo)
        if price is None:
            if _any(_quantity(line, *(each.value if isinstance(each, Made) else each for each in amounts))):
                unknown.add(_lacking(museum, line, needs))
            continue
        others = []
        for equipment, trials in needs.other_equipment:
            other = price_of(museum, line, equipment, needs.given, samples, years, memo)
            if other is not None and other != price:
                others.append((other, needs.known(trials)))
        gift = gifts.get(line.line)
        found.append(memo(_cost, line, amounts, price, tuple(others), gift.share if gift else 0.0, errors.get(line.line)))
    return tuple(found)


def amounts_of(
    museum: Museum, line: Any, needs: Work, task_days: Made, unknown: set[str], memo: Ask
) -> tuple[Known, ...] | None:
    """Return how much of its drivers a line needs; None, and the driver among the unknown, where that is not known."""
    amounts = []
    for driver in (line.driver, line.times) if line.times else (line.driver,):
        of_task = driver in OWN_TASK
        amount = _of_task(museum, line, driver, needs, task_days, memo) if of_task else needs.amount(driver, line.stage)
        if amount is None:
            unknown.add(driver)
            return None
        amounts.append(amount)
    return tuple(amounts)


def _of_task(museum: Museum, line: Any, driver: str, needs: Work, days: Made, memo: Ask) -> Made | None:
    """Return what a line's own task says of a driver: its days, or those beyond its likely ones; None is unknown."""
    if driver == "task_days":
        return days
    task = next(row for row in museum.of_path("tasks", line.path) if row.task == line.task)
    added = tuple((each, needs.amount(name, task.stage)) for name, each in task.added_days)
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


def _cost(
    line: Any,
    amounts: Sequence[Amount],
    price: Sequence[Any],
    others: Sequence[tuple[Sequence[Any], np.ndarray]],
    donated: float,
    error: np.ndarray | None,
) -> LineCost:
    needed = _quantity(line, *amounts)
    usd, quantity = _charged(needed, *price)
    for other, trials in others:
        found, hired = _charged(needed, *other)
        usd = np.where(trials, found, usd)
        if not np.array_equal(hired, quantity):
            quantity = np.where(trials, hired, quantity)
    if error is not None:
        usd = np.multiply(usd, error, out=usd) if line.factor > 0 else np.divide(usd, error, out=usd)
    return LineCost(line, quantity, usd * (1 - donated) if donated else usd, usd * donated if donated else 0.0, error)


def _charged(quantity: Amount, rate: np.ndarray, in_usd: float, least: Amount, rise: Amount) -> tuple[np.ndarray, Amount]:
    """Return what is charged [USD] and for how many units."""
    if np.any(least):
        quantity = np.where(np.asarray(quantity) > 0, np.maximum(quantity, least), quantity)
    return rate * (in_usd * rise * quantity), quantity


def _quantity(line: Any, amount: Amount, times: Amount = 1.0) -> Amount:
    amount = amount - line.above if line.above else amount
    return line.factor * np.maximum(amount, line.at_least or 0.0) * times
