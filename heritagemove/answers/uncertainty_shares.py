"""Whose doubt widens an estimate: each row of judgment held at its mean, in the same trials."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from heritagemove.answers.rank_correlation import rank_correlation
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.bases import Bases
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.prices import rows_of
from heritagemove.trials.simulation import Samples, Work

#: What makes a row better, by its table.
_ASK = {
    "rates.csv": "get a quote",
    "quantities.csv": "count or measure it",
    "tasks.csv": "ask who does it for days in writing",
    "risks.csv": "look into it, or buy its mitigation",
}
_IN_HAND = "a quote is in hand: write it into the rate"


@dataclass(frozen=True)
class Stake:
    """One row of judgment and how far it moves the cost."""

    # file and title of the row
    table: str
    title: str
    row_number: int  # its row in the spreadsheet
    rank_correlation: float  # spearman's rank correlation of its draws with the cost, -1 to 1
    # how much narrower P10 to P90 of the cost would be with the row certain at its mean: what its market has in common
    # with other rows stays with those [USD]
    narrows_usd: float
    ask: str  # what makes the row better


def stakes(comparison: Comparison, result: PathResult) -> tuple[Stake, ...]:
    """Rank the rows of judgment of a path by how much narrower its cost would be with each certain.

    Parameters
    ----------
    result : PathResult
        One of its paths, with a known cost.

    Returns
    -------
    tuple of Stake
        The widest doubt first.
    """
    cost = result.trials.cost_usd
    quoted = {e.line.rate for e in result.trials.lines if e.line.line in quoted_lines(comparison, result.path)}
    said, found = Bases(comparison.museum), []
    for table, row, draws, samples, work in _held(comparison, result):
        columns = [name for name in ("low", "likely", "high", "cost_low", "cost_likely", "cost_high") if hasattr(row, name)]
        if "judgment" not in said.bases(table.removesuffix(".csv"), row, columns) or np.ptp(draws) == 0:
            continue
        held = simulation.simulate(comparison.museum, result.path, work, samples).cost_usd
        rank = rank_correlation(draws, cost) if np.ptp(cost) > 0 else 0.0
        title = getattr(row, "title", None) or row.driver.replace("_", " ")
        ask = _IN_HAND if table == "rates.csv" and row.rate in quoted else _ASK[table]
        found.append(Stake(table, title, row.row_number, rank, _width(cost) - _width(held), ask))
    return tuple(sorted(found, key=lambda stake: -stake.narrows_usd))


def _width(cost: np.ndarray) -> float:
    low, high = np.percentile(cost, (10, 90))
    return float(high - low)


def _held(comparison: Comparison, result: PathResult) -> Iterator[tuple[str, Any, np.ndarray, Samples, Work]]:
    """Yield each row behind a path's cost: its table, its draws, and draws and needs with it held at its mean."""
    museum, samples, work, path = comparison.museum, comparison.samples, result.work, result.path
    for row in used_rates(museum, result):
        draws = samples.rates[row.name]
        yield "rates.csv", row, draws, replace(samples, rates={**samples.rates, row.name: _mean(draws)}), work
    for driver in dict.fromkeys(d for e in result.trials.lines for d in (e.line.driver, e.line.times) if d):
        row = quantity_row(comparison, path, driver)
        if row is not None and driver not in comparison.settings:
            draws = samples.quantities[row.vehicle, row.path, driver]
            yield "quantities.csv", row, draws, samples, replace(work, amounts={**work.amounts, driver: float(draws.mean())})
    for row in museum.of_path("tasks", path):
        draws = samples.tasks[path, row.task]
        yield "tasks.csv", row, draws, replace(samples, tasks={**samples.tasks, (path, row.task): _mean(draws)}), work
    for row in museum.of_path("risks", path):
        if row.risk in result.trials.risk_cost_usd:
            draws = result.trials.risks[row.risk]
            held = replace(draws, share=None, cost_usd=_mean(draws.cost_usd), delay_days=_mean(draws.delay_days))
            yield "risks.csv", row, draws.cost_usd, replace(samples, risks={**samples.risks, (path, row.risk): held}), work


def _mean(draws: np.ndarray) -> np.ndarray:
    return np.full(len(draws), draws.mean())


def quoted_lines(comparison: Comparison, path: str, at: dt.date | None = None) -> set[str]:
    """Return the cost lines that a quote covers; with a day, one that was accepted or does not lapse before it."""
    rows = [row for row in comparison.museum.quotes if at is None or row.accepted or row.valid_until >= at]
    return {line for row in rows if (row.vehicle, row.path) == (comparison.vehicle, path) for line in row.lines}


def used_rates(museum: Museum, result: PathResult) -> list[Any]:
    """Return the rows of rates.csv that a path uses."""
    used = {row.name for entry in result.trials.lines for row in prices_of(museum, result, entry.line)}
    return [row for row in museum.rates if row.name in used]


def prices_of(museum: Museum, result: PathResult, line: Any) -> tuple[Any, ...]:
    """Return the rows of rates.csv that price one line of a path."""
    return rows_of(museum, line, result.work.equipment, result.work.amounts)


def quantity_row(comparison: Comparison, path: str, driver: str) -> Any:
    """Return the row of quantities.csv that gives a driver for the unit on a path, or None."""
    given = {(row.vehicle, row.path): row for row in comparison.museum.quantities if row.driver == driver}
    spellings = [(v, p) for v in (comparison.vehicle, "any") for p in (path, "any")]
    return next((given[spelling] for spelling in spellings if spelling in given), None)
