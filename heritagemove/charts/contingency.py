"""Chart of a budget against the chance that it holds, with the contingency to a confidence."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from heritagemove.answers.contingency import Contingency, contingency
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet
from heritagemove.charts.marks import colour_of, draw_mark, numbered_name
from heritagemove.charts.style_sheet import HALO, INK, SHEET, TEXT
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.units.words import show_chance, show_rounded


@in_style
def chance_by_budget(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw the chance that a budget holds against the budget, with the contingency to the museum's confidence.

    Parameters
    ----------
    path : str
        Id of a path that is priced.
    """
    currency = comparison.museum.scenario.currency
    result, found = comparison.path(path), contingency(comparison, path)
    above = f"{show_rounded(found.over_point_usd)} {currency}"
    title = f"{numbered_name(result)}: {found.confidence:.0%} confidence needs {above} above the sum of "
    title += f"likely values, nothing refused; the sum holds {show_chance(found.chance_of_point)} of the time"
    figure = sheet(figure, SHEET, 5.7, title)
    axes = axes_in(figure, 0.85, 0.95, 0.4, 0.9)
    percents = np.linspace(0.5, 99.5, 199)
    costs = np.percentile(result.trials.cost_usd, percents) / 1000
    shown = costs <= max(np.percentile(costs, 98), found.budget_usd / 1000)
    costs, percents = costs[shown], percents[shown]
    axes.plot(costs, percents, color=colour_of(result.number), linewidth=3, zorder=3)
    ends = (min(costs[0], found.point_usd / 1000), costs[-1])
    room = 0.05 * (ends[1] - ends[0])
    axes.set(xlim=(ends[0] - room, ends[1] + room), ylim=(0, 100))
    axes.set(xlabel=f"Budget [thousand {currency}]", ylabel="Chance that it holds [%]")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.grid(axis="y", color="#e4e4e4")
    _milestones(axes, result, found)
    footnote(
        figure, "Gates met, no fallback played out. Sum of likely values, not the mean: no risk happens."
    )
    alt = f"Point estimate {found.point_usd:,.0f} {currency}, P50 {found.p50_usd:,.0f}, P{100 * found.confidence:g} "
    return Chart(figure, f"{title}. {alt}{found.budget_usd:,.0f} {currency}: {found.over_p50_usd:,.0f} above P50.")


def _milestones(axes, result: PathResult, found: Contingency) -> None:
    marks = (
        ("likely sum", found.point_usd, found.chance_of_point),
        ("P50", found.p50_usd, 0.5),
        (f"P{100 * found.confidence:g}", found.budget_usd, found.confidence),
    )
    for word, cost, share in marks:
        top = 100 * (found.confidence if cost == found.point_usd else share)
        axes.plot([cost / 1000] * 2, [0, top], color=INK, linewidth=1.4, linestyle="--", zorder=2)
        draw_mark(axes, cost / 1000, 100 * share, result.number, "full", 12)
        axes.annotate(f"{word} {cost:,.0f}", (cost / 1000, 100 * share), (12, -3), textcoords="offset points",
                      ha="left", va="top", size=TEXT, weight="bold", path_effects=HALO, zorder=6)  # fmt: skip
    start, end = found.point_usd / 1000, found.budget_usd / 1000
    level = 100 * found.confidence
    axes.annotate("", (end, level), (start, level), arrowprops={"arrowstyle": "<->", "color": INK, "linewidth": 1.6})
    axes.text(max(start, axes.get_xlim()[0]), level + 2, f"contingency {found.over_point_usd:,.0f}", size=TEXT, zorder=6,
              va="bottom", path_effects=HALO)  # fmt: skip
