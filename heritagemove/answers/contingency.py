"""Contingency: the money above the sum of the likely values that brings a budget to a stated confidence, gates met."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from heritagemove.compare.likely import likely_sum
from heritagemove.compare.results import Comparison
from heritagemove.units.units import PlannerError

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Contingency:
    """What a path's budget holds above the sum of its likely values."""

    path: str
    point_usd: float  # every row at its likely value, no risk happens, the stated weight, gates met [USD]
    chance_of_point: float  # chance that the cost stays within the point estimate
    # cost at even chances, and at the confidence [USD]
    p50_usd: float
    budget_usd: float
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

    A mitigation that the plan has bought stays in; the weight is as stated, and what is unknown of a provisional path
    in the middle of its typical range. This is the sum a planner would write
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
    direct = {name: amount for name, amount in comparison.settings.items() if name not in ("haul_distance", "weight")}
    stated = comparison.weighed[path].stated
    return likely_sum(comparison.museum, comparison.vehicle, comparison.path(path), stated, direct, comparison.samples)


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
    confidence = checked_confidence(comparison, confidence)
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
    import pandas as pd  # here, and not above: most answers need no table

    asked = np.arange(5, 100, 5) / 100 if confidences is None else np.asarray(confidences, float)
    base = contingency(comparison, path)
    budgets = np.percentile(comparison.path(path).trials.cost_usd, [100 * checked_confidence(comparison, c) for c in asked])
    return pd.DataFrame(
        {
            "confidence": asked,
            "budget_usd": budgets,
            "over_point_usd": budgets - base.point_usd,
            "over_p50_usd": budgets - base.p50_usd,
        }
    )


def checked_confidence(comparison: Comparison, confidence: float | None) -> float:
    """Return a confidence between 0 and 1, the museum's where none is given."""
    confidence = comparison.museum.scenario.simulation.confidence if confidence is None else confidence
    if not 0 < confidence < 1:
        raise PlannerError(f"confidence: found {confidence:g}; allowed: above 0 and below 1")
    return float(confidence)
