"""Joint confidence: the chance that budget and date both hold, and what each at a confidence is worth together.

Either all gates are met and only cost and work vary (`gates met`), or refusals and the fallback are played out:
then a trial in which nobody saves the unit meets no budget and no date.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from heritagemove.answers.contingency import checked_confidence
from heritagemove.compare.results import Comparison
from heritagemove.trials import simulation
from heritagemove.trials.simulation import NEVER
from heritagemove.units.units import PlannerError


@dataclass(frozen=True)
class Outcomes:
    """Cost and date of one path, trial by trial."""

    path: str
    cost_usd: np.ndarray  # shape (trials,); [USD]
    off_site: np.ndarray  # of int, shape (trials,); day number off the site; ``NEVER`` where the unit is not saved
    with_fallback: bool  # whether refusals and the fallback are played out

    def chance(self, budget_usd: float = math.inf, day: int = NEVER - 1) -> float:
        """Return the chance that the unit is off the site by a day within a budget [USD]."""
        return float(np.mean((self.cost_usd <= budget_usd) & (self.off_site <= day)))


def outcomes(comparison: Comparison, path: str, with_fallback: bool = True) -> Outcomes:
    """Return cost and date of one path in every trial; of the choice, as the decision is obeyed.

    Parameters
    ----------
    with_fallback : bool
        Whether refusals are played out, with the fallback that each starts.

    Raises
    ------
    ValueError
        If the path has no cost, never leaves the site, or its refusals cannot be played out because it is blocked,
        unknown or saves nothing.
    """
    result = comparison.path(path)
    if result.cost is None or result.trials.off_site is None:
        raise PlannerError(f"{path}: found no cost or no date; allowed: a path that is priced and leaves the site")
    if not with_fallback:
        return Outcomes(path, result.trials.cost_usd, result.trials.off_site, False)
    if result.branch is None:
        raise PlannerError(f"{path}: found {result.status}; allowed: a path that saves the unit and could be chosen")
    if path == comparison.choice:
        played = comparison.decision.played
        return Outcomes(path, played.cost_usd, np.where(played.saved, played.off_site, NEVER), True)
    off_site = np.where(result.branch.saved, result.branch.off_site, NEVER)
    return Outcomes(path, result.branch.cost_usd, off_site, True)


@dataclass(frozen=True)
class JointMap:
    """Chance that budget and date both hold, over budgets and days."""

    outcomes: Outcomes
    budgets_usd: np.ndarray  # shape (budgets,); [USD]
    days: np.ndarray  # of int, shape (days,); day numbers from the start
    chance: np.ndarray  # shape (budgets, days)


def joint_map(found: Outcomes, budgets_usd: np.ndarray, days: np.ndarray) -> JointMap:
    """Count in how many trials each budget and each date hold together.

    Parameters
    ----------
    budgets_usd : ndarray, shape (budgets,)
        Growing [USD].
    days : ndarray of int, shape (days,)
        Growing day numbers.

    Raises
    ------
    ValueError
        If either does not grow.
    """
    for name, values in (("budgets_usd", budgets_usd), ("days", days)):
        if len(values) == 0 or (np.diff(values) <= 0).any():
            raise PlannerError(f"{name}: found values that do not grow; allowed: each larger than the one before")
    counts = np.zeros((len(budgets_usd) + 1, len(days) + 1))
    np.add.at(counts, (np.searchsorted(budgets_usd, found.cost_usd), np.searchsorted(days, found.off_site)), 1)
    chance = counts.cumsum(axis=0).cumsum(axis=1)[:-1, :-1] / len(found.cost_usd)
    return JointMap(found, budgets_usd, days, chance)


def joint_frontier(found: Outcomes, confidence: float) -> tuple[np.ndarray, np.ndarray]:
    """Return for each date the smallest budget with which both hold at a confidence.

    Returns
    -------
    tuple of ndarray, each of shape (dates,)
        Day numbers from the first that can do it, and budgets [USD]; only days on which the budget may be smaller.
        Empty where no date and no budget reach the confidence.
    """
    needed = math.ceil(confidence * len(found.cost_usd) - 1e-9)
    days, budgets = [], []
    for day in np.unique(found.off_site[found.off_site < NEVER]):
        costs = found.cost_usd[found.off_site <= day]
        if len(costs) >= needed:
            budget = float(np.partition(costs, needed - 1)[needed - 1])
            if not budgets or budget < budgets[-1]:
                days.append(int(day))
                budgets.append(budget)
    return np.array(days, int), np.array(budgets)


@dataclass(frozen=True)
class JointConfidence:
    """Budget and date each at a confidence, and the chance of both."""

    outcomes: Outcomes
    confidence: float
    budget_usd: float  # percentile of the cost at the confidence, whether or not the unit is saved [USD]
    day: int | None  # first day by which the unit is off the site in that share of the trials; None where it never is
    chance: float | None  # chance that this budget and this day both hold
    in_time: float  # chance to be off the site by the deadline
    both: float  # chance that this budget holds and the unit is off the site by the deadline


def joint_confidence(
    comparison: Comparison, path: str, with_fallback: bool = True, confidence: float | None = None
) -> JointConfidence:
    """Return what budget and date at a confidence each are worth together.

    Parameters
    ----------
    confidence : float, optional
        Above 0 and below 1; the museum's when left out.

    Raises
    ------
    ValueError
        As for :func:`outcomes`, or for a confidence out of range.
    """
    confidence = checked_confidence(comparison, confidence)
    found = outcomes(comparison, path, with_fallback)
    # The same percentile as on every other screen; a day is a whole one, and "never" is none to reckon with.
    budget = float(np.quantile(found.cost_usd, confidence))
    day = int(np.quantile(found.off_site, confidence, method="inverted_cdf"))
    deadline = simulation.day_number(comparison.museum, comparison.museum.scenario.deadline)
    known = day < NEVER
    return JointConfidence(
        outcomes=found,
        confidence=confidence,
        budget_usd=budget,
        day=day if known else None,
        chance=found.chance(budget, day) if known else None,
        in_time=found.chance(day=deadline),
        both=found.chance(budget, deadline),
    )
