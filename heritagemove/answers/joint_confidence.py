"""Money and date together: contingency to a stated confidence, and the chance that budget and date both hold.

Either all gates are met and only cost and work vary (`gates met`), or refusals and the fallback are played out:
then a trial in which nobody saves the unit meets no budget and no date.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.simulation import NEVER
from heritagemove.units.units import PlannerError, Quantity


@dataclass(frozen=True)
class Contingency:
    """What a path's budget holds above the sum of its likely values."""

    path: str
    point_usd: float  # every row at its likely value, no risk happens, the stated weight, gates met [USD]
    chance_of_point: float  # chance that the cost stays within the point estimate
    p50_usd: float  # cost at even chances, and at the confidence [USD]
    budget_usd: float  # cost at even chances, and at the confidence [USD]
    confidence: float

    @property
    def over_point_usd(self) -> float:
        """Contingency above the point estimate [USD]."""
        return self.budget_usd - self.point_usd

    @property
    def over_p50_usd(self) -> float:
        """Contingency above P50 [USD]."""
        return self.budget_usd - self.p50_usd


def point_estimate(comparison: Comparison, path: str) -> float | None:
    """Return the cost of a path with every row at its likely value and no risk happening [USD].

    A mitigation that the plan has bought stays in; the weight is as stated. This is the sum a planner would write
    down without a thought for uncertainty, and so the amount that a contingency is counted from.

    Returns
    -------
    float or None
        None where the cost is unknown.

    References
    ----------
    GAO Cost Estimating and Assessment Guide (GAO-20-195G), chapter 12, from memory: contingency is what brings the
    point estimate to the chosen confidence.
    """
    if comparison.path(path).cost is None:
        return None
    museum = _as_likely(comparison.museum)
    samples = simulation.draw(museum, seed=comparison.samples.seed, trials=1)
    stated = comparison.weighed[path].stated
    direct = {name: amount for name, amount in comparison.settings.items() if name not in ("haul_distance", "weight")}
    needs = simulation.work(museum, comparison.vehicle, path, samples, stated.amounts, stated.equipment, direct)
    cost = simulation.simulate(museum, path, needs, samples).cost_usd
    return None if cost is None else float(cost[0])


def _as_likely(museum: Museum) -> Museum:
    def certain(row: object) -> object:
        return row.model_copy(update={"low": row.likely, "high": row.likely})

    still = Quantity(0.0, "percent")
    return museum.with_changes(
        rates=[certain(row) for row in museum.rates],
        tasks=[certain(row) for row in museum.tasks],
        quantities=[certain(row) for row in museum.quantities],
        risks=[row.model_copy(update={"probability": 0.0, "mitigated_probability": 0.0}) for row in museum.risks],
        vehicles=[row.model_copy(update={"weight_tolerance": still}) for row in museum.vehicles],
    )


def contingency(comparison: Comparison, path: str, confidence: float | None = None) -> Contingency:
    """Return the contingency that brings a path's point estimate to a confidence, gates met.

    Parameters
    ----------
    confidence : float, optional
        Above 0 and below 1; the museum's when left out.

    Raises
    ------
    ValueError
        If the path's cost is unknown, or the confidence out of range.
    """
    confidence = _confidence(comparison, confidence)
    point = point_estimate(comparison, path)
    if point is None:
        raise PlannerError(f"{path}: found a cost that is unknown; allowed: a path that is priced")
    cost = comparison.path(path).trials.cost_usd
    middle, budget = np.percentile(cost, (50, 100 * confidence))
    return Contingency(path, point, float(np.mean(cost <= point)), float(middle), float(budget), confidence)


def contingency_curve(comparison: Comparison, path: str, confidences: Sequence[float] | None = None) -> pd.DataFrame:
    """Return budget and contingency by confidence, gates met.

    Parameters
    ----------
    confidences : sequence of float, optional
        Each above 0 and below 1; 0.05 to 0.95 by 0.05 when left out.

    Returns
    -------
    DataFrame
        Columns confidence, budget_usd, over_point_usd, over_p50_usd [USD].
    """
    asked = np.arange(5, 100, 5) / 100 if confidences is None else np.asarray(confidences, float)
    base = contingency(comparison, path)
    budgets = np.percentile(comparison.path(path).trials.cost_usd, [100 * _confidence(comparison, c) for c in asked])
    return pd.DataFrame(
        {
            "confidence": asked,
            "budget_usd": budgets,
            "over_point_usd": budgets - base.point_usd,
            "over_p50_usd": budgets - base.p50_usd,
        }
    )


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
    """Return cost and date of one path in every trial.

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


def frontier(found: Outcomes, confidence: float) -> tuple[np.ndarray, np.ndarray]:
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
class Joint:
    """Budget and date each at a confidence, and the chance of both."""

    outcomes: Outcomes
    confidence: float
    budget_usd: float  # smallest budget that holds in that share of the trials, whether or not the unit is saved [USD]
    day: int | None  # first day by which the unit is off the site in that share of the trials; None where it never is
    chance: float | None  # chance that this budget and this day both hold
    in_time: float  # chance to be off the site by the deadline
    both: float  # chance that this budget holds and the unit is off the site by the deadline


def joint(comparison: Comparison, path: str, with_fallback: bool = True, confidence: float | None = None) -> Joint:
    """Return what budget and date at a confidence each are worth together.

    Parameters
    ----------
    confidence : float, optional
        Above 0 and below 1; the museum's when left out.

    Returns
    -------
    Joint

    Raises
    ------
    ValueError
        As for :func:`outcomes`, or for a confidence out of range.
    """
    confidence = _confidence(comparison, confidence)
    found = outcomes(comparison, path, with_fallback)
    rank = math.ceil(confidence * len(found.cost_usd) - 1e-9) - 1
    budget, day = float(np.sort(found.cost_usd)[rank]), int(np.sort(found.off_site)[rank])
    deadline = simulation.day_number(comparison.museum, comparison.museum.scenario.deadline)
    known = day < NEVER
    return Joint(
        outcomes=found,
        confidence=confidence,
        budget_usd=budget,
        day=day if known else None,
        chance=found.chance(budget, day) if known else None,
        in_time=found.chance(day=deadline),
        both=found.chance(budget, deadline),
    )


def _confidence(comparison: Comparison, confidence: float | None) -> float:
    confidence = comparison.museum.scenario.simulation.confidence if confidence is None else confidence
    if not 0 < confidence < 1:
        raise PlannerError(f"confidence: found {confidence:g}; allowed: above 0 and below 1")
    return float(confidence)


def chance_by(comparison: Comparison, date: dt.date, with_fallback: bool = False) -> dict[str, float | None]:
    """Return for each path the chance to be off the site by a date.

    The work goes on as planned for the museum's own deadline: another choice or fallback that a moved deadline
    might suggest is not looked for.

    Parameters
    ----------
    date : datetime.date
        A date before the start is an answer: no chance.
    with_fallback : bool
        Whether refusals are played out; the unit must then also be gone before the forced-scrap date.

    Returns
    -------
    dict of str to float or None
        By path; 0 for a blocked path, None where it is unknown, never leaves the site, or saves nothing
        while refusals are played out.
    """
    day = simulation.day_number(comparison.museum, date)
    return {result.path: _chance_by(comparison, result, day, with_fallback) for result in comparison.paths}


def _chance_by(comparison: Comparison, result: PathResult, day: int, with_fallback: bool) -> float | None:
    if result.status == "blocked":
        return 0.0
    if result.status == "unknown" or result.trials.off_site is None or (with_fallback and result.branch is None):
        return None
    if not with_fallback:
        return float(np.mean(result.trials.off_site <= day))
    return outcomes(comparison, result.path).chance(day=day)


def each_unit(comparison: Comparison) -> tuple[Comparison, ...]:
    """Return the comparison of every unit of the museum, on the same draws; that of the others has no settings."""
    base, samples = comparison.base, comparison.samples
    others = (row.vehicle for row in base.vehicles)
    return tuple(comparison if v == comparison.vehicle else compare_paths(base, v, None, samples) for v in others)


def chances_by(comparisons: Sequence[Comparison], date: dt.date, with_fallback: bool = False) -> pd.DataFrame:
    """Return the chance by a date of every path of every unit: a row a unit, a column a path.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One a unit.
    date : datetime.date

    Returns
    -------
    DataFrame of float
        By unit's and path's ids; nan as None in :func:`chance_by`.
    """
    rows = {entry.vehicle: chance_by(entry, date, with_fallback) for entry in comparisons}
    return pd.DataFrame.from_dict(rows, orient="index").astype(float)
