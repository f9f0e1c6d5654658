"""The chart of one path's money: what its cost is made of."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from heritagemove.answers.money_tables import PHASE_TITLES
from heritagemove.charts.drawing import Chart, axes_in, in_style, sheet
from heritagemove.charts.marks import colour_of, numbered_name
from heritagemove.charts.style_sheet import INK, SHEET
from heritagemove.compare.results import Comparison, PathResult


def mean_by_phase(result: PathResult) -> dict[str, float]:
    """Return the mean cost of each phase, of the risks, of the days after the deadline and of the loss of the unit [USD]."""
    costs = dict.fromkeys(PHASE_TITLES.values(), 0.0)
    for entry in result.trials.lines:
        costs[PHASE_TITLES[entry.line.phase]] += float(np.mean(entry.cost_usd))
    costs["Risks"] = float(sum(np.mean(cost) for cost in result.trials.risk_cost_usd.values()))
    costs["Late days on site"] = float(np.mean(result.trials.holdover_usd))
    costs["Loss of the unit"] = float(np.mean(result.trials.loss_usd))
    return {name: cost for name, cost in costs.items() if abs(cost) >= 0.5}


@in_style
def cost_by_phase(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw how the phases of one path add up to its mean cost, beside its P50 and P80."""
    currency = comparison.museum.scenario.currency
    result = comparison.path(path)
    costs = mean_by_phase(result)
    largest = max(costs, key=lambda name: costs[name]) if costs else "Nothing"
    most = f"{largest.lower()} costs most ({costs.get(largest, 0):,.0f} {currency}, mean)"
    title = f"{numbered_name(result)}: {most}"
    figure = sheet(figure, SHEET, 2.15 + 0.42 * max(len(costs), 1), title)
    axes = axes_in(figure, 2.1, 0.75, 0.6, 1.2)
    begins = np.cumsum([0.0, *costs.values()]) / 1000
    total = result.cost.p80 / 1000 if result.cost else 0.0
    reach = max(total, *begins, 1.0) * 1.2
    for row, (name, cost, begin) in enumerate(zip(costs, costs.values(), begins, strict=False)):
        hatch = "" if name in PHASE_TITLES.values() else "///"
        axes.barh(row, cost / 1000, 0.62, left=begin, facecolor="white" if hatch else colour_of(result.number),
                  edgecolor=INK, hatch=hatch, zorder=2)  # fmt: skip
        axes.text(max(begin, begin + cost / 1000) + reach * 0.01, row, f"{cost / 1000:,.1f}", va="center", zorder=4)
    axes.set(xlim=(min(0.0, *begins), reach), ylim=(max(len(costs), 1) - 0.4, -0.6))
    axes.set_yticks(range(len(costs)), list(costs))
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.set_xlabel(f"Cost, each phase beginning where the one before ends [thousand {currency}]")
    if result.cost:
        axes.axvline(total, color=INK, linewidth=2, linestyle="--", zorder=1)
        words = f"total at P80: {total:,.0f}   (P50: {result.cost.p50 / 1000:,.0f})"
        axes.text(total, 1.01, words, transform=axes.get_xaxis_transform(), ha="right", va="bottom")
    listed = "; ".join(f"{name} {cost:,.0f} {currency}" for name, cost in costs.items())
    known = "Total unknown"
    if result.cost:
        known = f"Total at P50 {result.cost.p50:,.0f} {currency}, at P80 {result.cost.p80:,.0f} {currency}"
    return Chart(figure, f"{title}. {result.title}. Means: {listed}. {known}.")
