"""What moves the cost and what moves the date: prices, quantities, tasks and risks ranked by their swing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from heritagemove.answers.rank_correlation import ranks
from heritagemove.answers.uncertainty_shares import used_rates
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.trials.simulation import Samples


@dataclass(frozen=True)
class Influence:
    """How much one input moves an answer."""

    name: str  # the input in a planner's words
    kind: Literal["price", "quantity", "task", "risk", "estimate"]
    rank_correlation: float  # spearman's rank correlation of input and answer, -1 to 1
    # mean of the answer where the input is in its lowest and in its highest tenth; for a risk, where it stays away and
    # where it happens. USD, or day numbers from the start.
    low: float
    high: float

    @property
    def swing(self) -> float:
        """Difference between high and low, with its sign."""
        return self.high - self.low


def influences(comparison: Comparison, path: str, on: Literal["cost", "off_site"]) -> tuple[Influence, ...]:
    """Rank the inputs of one path by how far they move its cost or its off-site date.

    Parameters
    ----------
    path : str
        Id of a path that is priced and, for its date, leaves the site.
    on : {"cost", "off_site"}

    Returns
    -------
    tuple of Influence
        Largest swing first; inputs that are certain, or that cannot reach the answer, are left out.

    Raises
    ------
    ValueError
        If the path has no such answer.

    References
    ----------
    GAO Cost Estimating and Assessment Guide (GAO-20-195G), step 8: each factor is varied over a range with a
    documented basis, here its own P10 to P90, and not by an arbitrary per cent.
    """
    result = comparison.path(path)
    answer = result.trials.cost_usd if on == "cost" else result.trials.off_site
    if answer is None:
        raise ValueError(f"{path}: found no {'cost' if on == 'cost' else 'off-site date'}; allowed: a path that has one")
    inputs = _inputs(comparison, result, on)
    places = ranks(answer)  # once, not once an input
    found = [_influence(name, kind, values, answer, places) for (kind, name), values in inputs.items() if np.ptp(values) > 0]
    return tuple(sorted(found, key=lambda influence: -abs(influence.swing)))


def _inputs(comparison: Comparison, result: PathResult, on: str) -> dict[tuple[str, str], np.ndarray]:
    """Gather the draws that can reach the answer, one entry per input however often it is used."""
    museum, samples = comparison.museum, comparison.samples
    inputs: dict[tuple[str, str], np.ndarray] = {}
    if _is_off(result, samples, on):
        inputs["estimate", "Estimating error"] = samples.errors[result.path]
    if on == "cost":
        inputs |= _prices(comparison, result, samples)
        for row in museum.of_path("risks", result.path):
            if row.risk in result.trials.risk_cost_usd:
                inputs["risk", row.title] = result.trials.risks[row.risk].happens.astype(float)
        return inputs
    for row in museum.of_path("tasks", result.path):
        if result.critical.get(row.task):
            inputs["task", row.title] = samples.tasks[result.path, row.task]
    for row in museum.of_path("risks", result.path):
        if row.risk in result.trials.risk_cost_usd and row.delay_high > 0 and result.critical.get(row.task):
            inputs["risk", row.title] = result.trials.risks[row.risk].happens.astype(float)
    return inputs


def _is_off(result: PathResult, samples: Samples, on: str) -> bool:
    """Return whether the estimating error reaches the answer: a line without a quote, or a task that sets the date."""
    if on == "cost":
        return any(entry.error is not None for entry in result.trials.lines)
    return any(result.critical.get(task) for path, task in samples.overruns if path == result.path)


def _prices(comparison: Comparison, result: PathResult, samples: Samples) -> dict[tuple[str, str], np.ndarray]:
    found: dict[tuple[str, str], np.ndarray] = {}
    for row in used_rates(comparison.museum, result):
        found["price", row.title] = samples.rates[row.name]  # rows of one title and several weights rise and fall as one
    for entry in result.trials.lines:
        for driver in (entry.line.driver, entry.line.times):
            amount = result.work.amounts.get(driver) if driver else None
            if isinstance(amount, np.ndarray):
                found["quantity", driver.replace("_", " ")] = amount
    return found


def _influence(name: str, kind: str, values: np.ndarray, answer: np.ndarray, places: np.ndarray) -> Influence:
    if kind == "risk":
        low, high = values < 0.5, values > 0.5
    else:
        bottom, top = np.percentile(values, (10, 90))
        low, high = values <= bottom, values >= top
    # Spearman's rank correlation: Pearson's, of the ranks.
    rank = np.corrcoef(ranks(values), places)[0, 1] if np.ptp(answer) > 0 else 0.0
    return Influence(name, kind, float(rank), float(answer[low].mean()), float(answer[high].mean()))
