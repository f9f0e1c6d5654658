"""How much of an estimate rests on quotes, published prices, measurements and judgment, and what to ask for first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from heritagemove.answers.uncertainty_shares import Stake, prices_of, quantity_row, quoted_lines, stakes
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.bases import Bases
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.museum import Museum
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_chance

#: From strongest to weakest.
BASES = ("quote", "measured", "published", "typical", "judgment")
#: The columns of a range.
THREE = ("low", "likely", "high")


@dataclass(frozen=True)
class Part:
    """One part of an estimate and what it rests on."""

    title: str
    mean_usd: float  # mean over the trials; negative for a credit [USD]
    # basis of the price and of how much is needed: one of ``BASES``
    price: str
    quantity: str
    quoted: bool = False  # whether a quote in quotes.csv covers the line, used or not
    lapses: bool = False  # whether each of these, accepted by nobody, ends before the meeting that decides

    @property
    def weaker(self) -> str:
        """The weaker of the two: a quote for a guessed quantity is a guess."""
        return weakest((self.price, self.quantity))


@dataclass(frozen=True)
class EstimateGrade:
    """The class of an estimate by what is defined, and whether its range is honest for that class."""

    by_definition: Any  # of estimate_classes.csv: the best class whose least share is reached
    # share of the money behind a quote, a measurement or a published price in both price and quantity, 0 to 1. It
    # stands in for the maturity of the definition, which no table holds.
    defined: float
    # P10 and P90 of the cost against its P50, as shares: -0.2 is 20 per cent below
    low: float
    high: float
    too_narrow: bool  # whether P10 to P90 is narrower than the tightest range of the class

    def in_words(self) -> str:
        """Return the class and the warning, if any."""
        row = self.by_definition
        text = (
            f"{row.title}: {row.defined_from:g} to {row.defined_to:g} % defined, and off by {row.low_widest / 100:+.0%} to "
            f"{row.high_widest / 100:+.0%} at its widest; {show_chance(self.defined)} of the money rests on more than "
            f"judgment. Eight trials of ten lie within {self.low:+.0%} to {self.high:+.0%} of the middle one"
        )
        if self.too_narrow:
            tightest = f"{row.low_tightest / 100:+.0%} to {row.high_tightest / 100:+.0%}"
            narrow = "our range is too narrow for guesses like these; the true one is wider"
            return f"{text}. Such estimates are off by {tightest} at the least: {narrow}."
        return text + "."


@dataclass(frozen=True)
class BasisShares:
    """What the estimate of one path rests on."""

    comparison: Comparison
    result: PathResult
    parts: tuple[Part, ...]  # largest first
    # mean working days on the way to the off-site date by basis of the task, each weighted by how often it is critical
    # [working day]
    days: Mapping[str, float]
    grade: EstimateGrade

    @cached_property
    def stakes(self) -> tuple[Stake, ...]:
        """Rows of judgment, the one whose doubt widens the cost most first: each is simulated, when somebody asks."""
        return stakes(self.comparison, self.result)

    def money(self, of: str = "weaker") -> dict[str, float]:
        """Return the money by basis, credits counted without their sign [USD].

        Parameters
        ----------
        of : {"price", "quantity", "weaker"}
        """
        return {basis: sum(abs(p.mean_usd) for p in self.parts if getattr(p, of) == basis) for basis in BASES}

    @property
    def quoted_share(self) -> float:
        """Share of the money for which a quote lies in quotes.csv, whether the rates use it or not."""
        return sum(abs(part.mean_usd) for part in self.parts if part.quoted) / sum(self.money().values())

    @property
    def lapsed_share(self) -> float:
        """Share of the money for which each quote lapses before the meeting that decides."""
        return sum(abs(part.mean_usd) for part in self.parts if part.lapses) / sum(self.money().values())

    def in_words(self) -> str:
        """Return how much is judgment and what to ask for first."""
        quotes = [stake for stake in self.stakes if stake.table == "rates.csv"]
        others = [stake for stake in self.stakes if stake.table != "rates.csv"]
        asked = _listed("Get a quote first for", quotes[:5]) + _listed("Look first into", others[:3])
        return self.judged_in_words() + asked

    def judged_in_words(self) -> str:
        """Return how much is judgment, and what quotes cover of it."""
        total, judged = sum(self.money().values()), self.money()["judgment"]
        return (
            f"Path {self.result.number}: {show_chance(judged / total)} of {total:,.0f} {self.result.currency}"
            f"{', what is paid and what is received added up,' if any(part.mean_usd < 0 for part in self.parts) else ''} "
            f"rests on judgment. {self._quotes_in_words()}{self.grade.in_words()}"
        )

    def _quotes_in_words(self) -> str:
        if not self.quoted_share:
            return ""
        lapsed = f" ({show_chance(self.lapsed_share)} lapse before the meeting that decides)" if self.lapsed_share else ""
        unused = any(part.quoted and part.price != "quote" for part in self.parts)
        used = ", but not every price is taken from them, and what is not counts as before" if unused else ""
        return f"Quotes cover {show_chance(self.quoted_share)} of it{lapsed}{used}. "


def _listed(ask: str, stakes: list[Stake]) -> str:
    rows = "; ".join(f"{stake.title} ({stake.table} row {stake.row_number})" for stake in stakes)
    return f" {ask}: {rows}." if rows else ""


def weakest(bases: Iterable[str]) -> str:
    """Return the weakest of several bases.

    Examples
    --------
    >>> weakest(["quote", "published", "measured"])
    'published'
    """
    return max(bases, key=BASES.index)


def basis_shares(comparison: Comparison, path: str) -> BasisShares:
    """Return what the estimate of one path rests on, by money at the mean of the path without its fallback.

    Parameters
    ----------
    path : str
        Id of a path whose cost is known.

    Raises
    ------
    ValueError
        If something that the path needs is unknown, so that it has no cost.
    """
    result = comparison.path(path)
    if result.cost is None:
        raise PlannerError(f"{path}: found a path without a cost ({result.status}); allowed: a path that has one")
    parts = tuple(sorted(_parts(comparison, result), key=lambda part: -abs(part.mean_usd)))
    return BasisShares(comparison, result, parts, _days(comparison.museum, result), _grade(comparison.museum, result, parts))


def _parts(comparison: Comparison, result: PathResult) -> list[Part]:
    museum, path, trials = comparison.museum, result.path, result.trials
    said, quoted, parts = Bases(museum), quoted_lines(comparison, path), []
    lapsed = quoted - quoted_lines(comparison, path, comparison.decision.decide_by)
    for entry in trials.lines:
        line = entry.line
        quantity = [_quantity_basis(comparison, said, path, name, line.task) for name in (line.driver, line.times) if name]
        quantity += said.bases("cost_lines", line, ["factor"]) if line.factor != 1 else []
        prices = [basis for row in prices_of(museum, result, line) for basis in said.bases("rates", row, THREE)]
        mean = float(np.mean(entry.cost_usd))
        covered = line.line in quoted, line.line in lapsed
        parts.append(Part(line.title, mean, weakest(prices), weakest(quantity), *covered))
    for row in museum.of_path("risks", path):
        if row.risk in trials.risk_cost_usd:
            cost = weakest(said.bases("risks", row, ("probability", *(f"cost_{end}" for end in THREE))))
            parts.append(Part(f"Risk: {row.title}", float(trials.risk_cost_usd[row.risk].mean()), cost, cost))
    dates = weakest(_of_task(said, row) for row in museum.of_path("tasks", path))
    late = (row for row in museum.rates if row.rate == museum.scenario.holdover_rate)
    holdover = weakest(basis for row in late for basis in said.bases("rates", row, THREE))
    parts.append(Part("Owner's charge for lateness", float(trials.holdover_usd.mean()), holdover, dates))
    value = said.of("vehicles", museum.vehicle(comparison.vehicle), "insured_value").basis
    parts.append(Part("Loss at agreed value", float(trials.loss_usd.mean()), value, dates))
    return [part for part in parts if part.mean_usd != 0]


def _of_task(said: Bases, row: Any) -> str:
    return weakest(said.bases("tasks", row, THREE))


def _quantity_basis(comparison: Comparison, said: Bases, path: str, driver: str, task: str) -> str:
    """Return what the amount of a driver rests on; one that a slider sets is judgment."""
    museum = comparison.museum
    origin = DRIVERS[driver].origin
    if origin == "task":
        return next(_of_task(said, row) for row in museum.of_path("tasks", path) if row.task == task)
    if driver in comparison.settings:
        return "judgment"
    row = quantity_row(comparison, path, "asbestos_places" if origin == "rest" else driver)
    if row is not None:
        return weakest(said.bases("quantities", row, THREE))
    if origin == "route":
        legs = [said.of("legs", leg, "length").basis for stage in museum.stages_of(path) for leg in museum.legs_of(stage)]
        return weakest(legs) if legs else "judgment"
    column = driver if driver in ("weight", "motors", "insured_value") else "basis"
    return said.of("vehicles", museum.vehicle(comparison.vehicle), column).basis


def _days(museum: Museum, result: PathResult) -> dict[str, float]:
    days, said = dict.fromkeys(BASES, 0.0), Bases(museum)
    for row in museum.of_path("tasks", result.path):
        days[_of_task(said, row)] += result.critical.get(row.task, 0.0) * (row.low + 4 * row.likely + row.high) / 6
    return days


def _grade(museum: Museum, result: PathResult, parts: tuple[Part, ...]) -> EstimateGrade:
    total = sum(abs(part.mean_usd) for part in parts)
    defined = sum(abs(part.mean_usd) for part in parts if part.weaker != "judgment") / total if total else 0.0
    low, high = (value / result.cost.p50 - 1 for value in (result.cost.p10, result.cost.p90))
    return grade(museum.estimate_classes, defined, low, high)


def grade(classes: Iterable[Any], defined: float, low: float, high: float) -> EstimateGrade:
    """Return the class of an estimate and whether its range is narrower than that class allows.

    Parameters
    ----------
    classes : iterable of rows
        Of estimate_classes.csv.
    defined : float
        Share that is defined, 0 to 1.
    low, high : float
        Ends of the range against the estimate, as shares; low is usually negative.

    Raises
    ------
    ValueError
        If there is no class, or the share is not from 0 to 1.

    References
    ----------
    AACE International Recommended Practice 18R-97: the class follows from the maturity of the definition, never
    from the accuracy wished for; ranges as two web pages quote them. Ranges overlap: the better class is taken.
    """
    classes = list(classes)
    if not classes or not 0 <= defined <= 1:
        raise PlannerError(f"found a share of {defined:g} and {len(classes)} classes; allowed: 0 to 1, at least one class")
    reached = [row for row in classes if row.defined_from <= 100 * defined]
    row = max(reached or classes, key=lambda entry: entry.defined_from if reached else -entry.defined_from)
    narrow = 100 * low > row.low_tightest or 100 * high < row.high_tightest
    return EstimateGrade(row, defined, low, high, narrow)
