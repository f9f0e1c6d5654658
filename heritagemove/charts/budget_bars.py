"""Chart of the one budget, joined step by step."""

from __future__ import annotations

from matplotlib.figure import Figure

from heritagemove.answers.budget_steps import budget_steps
from heritagemove.charts.drawing import Chart, axes_in, in_style, sheet
from heritagemove.charts.marks import colour_of
from heritagemove.charts.style_sheet import INK, SHEET
from heritagemove.compare.results import Comparison
from heritagemove.units.words import show_rounded


@in_style
def budget_bars(comparison: Comparison, figure: Figure | None = None) -> Chart:
    """Draw the budget of the decision: from the likely sum to what nineteen cases of twenty stay within."""
    found = budget_steps(comparison)
    if found is None:
        title = f"{comparison.museum.vehicle(comparison.vehicle).name}: {comparison.decision.in_short}"
        return Chart(sheet(figure, SHEET, 1.0, title), title)
    steps, colour = found.steps(), colour_of(comparison.path(comparison.choice).number)
    title = f"{show_rounded(found.set_aside_usd)} {found.currency} to be set aside, enough in "
    title += f"{100 * found.confidence:.0f} of 100 cases, refusals included"
    figure = sheet(figure, SHEET, 1.9 + 0.5 * len(steps), title)
    axes = axes_in(figure, 5.2, 0.7, 1.1, 0.85)
    for row, (_, usd) in enumerate(steps):
        set_aside = usd == found.set_aside_usd
        look = {"facecolor": colour if set_aside else "white", "hatch": "" if set_aside else "//"}
        axes.barh(row, usd / 1000, 0.6, edgecolor=INK, zorder=2, **look)
        axes.text(usd / 1000, row, f"  {show_rounded(usd)}", va="center", weight="bold" if set_aside else "normal")
    axes.set_yticks(range(len(steps)), [words for words, _ in steps])
    axes.set(ylim=(len(steps) - 0.45, -0.55), xlabel=f"[thousand {found.currency}]")
    axes.set_xlim(min(0.0, *(usd / 1000 for _, usd in steps)), max(usd for _, usd in steps) / 1000)
    axes.xaxis.set_major_formatter("{x:,.0f}")
    return Chart(figure, f"{title}. {found.in_words()}")
