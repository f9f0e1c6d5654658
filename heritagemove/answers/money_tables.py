"""The tables of one path's money: its cost lines, its risks, and how far each reported number may be off."""

from __future__ import annotations

import numpy as np
import pandas as pd

from heritagemove.compare.results import Comparison, PathResult
from heritagemove.trials.sampling_error import half_width_of_chance, half_width_of_percentile


def cost_lines(result: PathResult) -> pd.DataFrame:
    """Return what each cost line of a path comes to over the trials, the largest first.

    Returns
    -------
    DataFrame
        Columns title, phase, mean_usd, p10_usd, p90_usd [USD], basis, row_number (of cost_lines.csv); lines that
        cost nothing in every trial are left out.
    """
    rows = [
        (entry.line.title, entry.line.phase, float(np.mean(cost)), *map(float, np.percentile(cost, (10, 90))),
         entry.line.basis, entry.line.row_number)
        for entry in result.trials.lines
        for cost in (np.asarray(entry.cost_usd),)
        if np.any(cost != 0)
    ]  # fmt: skip
    columns = ["title", "phase", "mean_usd", "p10_usd", "p90_usd", "basis", "row_number"]
    return pd.DataFrame(rows, columns=columns).sort_values("mean_usd", ascending=False, ignore_index=True)


def risks(comparison: Comparison, path: str) -> pd.DataFrame:
    """Return what each risk that applies to a path does over the trials, the dearest first.

    Returns
    -------
    DataFrame
        Columns title, share (of the trials in which it happens), mean_usd (over all trials), when_usd (mean where
        it happens, mitigation that is bought included) [USD], when_days (mean delay of its task where it happens)
        [working day], task, mitigation, owner, row_number (of risks.csv). A risk that makes a closed season longer
        delays no task of its own: its days are counted in the calendar.
    """
    result, found = comparison.path(path), []
    for row in comparison.museum.of_path("risks", path):
        if row.risk not in result.trials.risk_cost_usd:
            continue
        drawn = result.trials.risks[row.risk]
        hit = drawn.happens
        cost, days = (float(each[hit].mean()) if hit.any() else 0.0 for each in (drawn.cost_usd, drawn.delay_days))
        found.append((row.title, float(hit.mean()), float(drawn.cost_usd.mean()), cost, days, row.task, row.mitigation,
                      row.owner, row.row_number))  # fmt: skip
    columns = ["title", "share", "mean_usd", "when_usd", "when_days", "task", "mitigation", "owner", "row_number"]
    return pd.DataFrame(found, columns=columns).sort_values("mean_usd", ascending=False, ignore_index=True)


def half_widths(comparison: Comparison) -> pd.DataFrame:
    """Return by how much each reported number may be off at 95 %, because the trials are a sample.

    Returns
    -------
    DataFrame
        A row a path: columns number, title, p80_usd, p80_half_usd, p50_half_usd [USD], p80_half_days [day], chance,
        chance_half, chance_with_fallback, fallback_half (0 to 1); nan where there is no such number.
    """
    return pd.DataFrame([_half_widths(result, comparison.samples.trials) for result in comparison.paths])


def _half_widths(result: PathResult, trials: int) -> dict[str, object]:
    cost, days, chance = result.trials.cost_usd, result.off_site_days, result.chance_by_deadline
    joint = result.chance_with_fallback
    nothing = float("nan")
    return {
        "number": result.number,
        "title": result.title,
        "p80_usd": nothing if cost is None else result.cost.p80,
        "p80_half_usd": nothing if cost is None else half_width_of_percentile(cost, 80),
        "p50_half_usd": nothing if cost is None else half_width_of_percentile(cost, 50),
        "p80_half_days": nothing if days is None else half_width_of_percentile(result.trials.off_site, 80),
        "chance": nothing if chance is None else chance,
        "chance_half": nothing if chance is None else half_width_of_chance(chance, trials),
        "chance_with_fallback": nothing if joint is None else joint,
        "fallback_half": nothing if joint is None else half_width_of_chance(joint, trials),
    }
