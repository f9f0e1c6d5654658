"""Chart of what correlation does to the spread of a path's cost."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from heritagemove.answers.correlation import Alone
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet
from heritagemove.charts.marks import colour_of, draw_mark, numbered_name, short_name
from heritagemove.charts.style_sheet import INK, SHEET, TEXT


@in_style
def correlation_pairs(found: Sequence[Alone], figure: Figure | None = None) -> Chart:
    """Draw the spread of each path's cost with correlation and without, one above the other.

    Parameters
    ----------
    found : sequence of Alone
        At least one.
    """
    currency = found[0].together.currency
    worst = max(found, key=lambda entry: entry.missed_usd)
    missed = f"{worst.missed_usd:,.0f} {currency}"
    title = f"Prices and durations drawn separately would make P80 look up to {missed} too low"
    title += f" (path {worst.together.number})" if len(found) > 1 else ""
    if worst.missed_usd <= 0:
        title = "Drawing prices and durations separately would not make P80 look lower here"
    figure = sheet(figure, SHEET, 2.3 + 0.95 * len(found), title)
    axes = axes_in(figure, 2.45, 1.3, 0.3, 0.85)
    spreads = [spread for entry in found for spread in (entry.together.cost, entry.alone.cost)]
    low, high = min(s.p10 for s in spreads) / 1000, max(s.p90 for s in spreads) / 1000
    axes.set(xlim=(low - 0.05 * (high - low), high + 0.42 * (high - low)), ylim=(len(found) - 0.45, -0.55), yticks=[])
    axes.set_xlabel(f"Cost [thousand {currency}]")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.grid(axis="x", color="#e4e4e4")
    for row, entry in enumerate(found):
        beside, result = {"transform": axes.get_yaxis_transform()}, entry.together
        draw_mark(axes, -0.35, row, result.number, "full", 13, **beside)
        axes.text(-0.325, row, f"{result.number}", weight="bold", va="center", **beside)
        axes.text(-0.265, row, short_name(result), va="center", **beside)
        for offset, spread, hatch, word in ((-0.2, result.cost, "", "with"), (0.2, entry.alone.cost, "///", "without")):
            look = {"facecolor": "white" if hatch else colour_of(result.number), "hatch": hatch, "edgecolor": INK}
            axes.barh(row + offset, (spread.p90 - spread.p10) / 1000, 0.3, left=spread.p10 / 1000, zorder=2, **look)
            axes.plot([spread.p80 / 1000] * 2, [row + offset - 0.19, row + offset + 0.19], color=INK, linewidth=4, zorder=4)
            axes.annotate(f"{word}: P80 {spread.p80:,.0f}", (spread.p90 / 1000, row + offset), (8, 0),
                          textcoords="offset points", va="center", size=TEXT)  # fmt: skip
    footnote(figure, "Bars: P10 to P90, thick stroke: P80. Filled: with the correlation of museum.toml; hatched: without.\n"
          "Gates met, no fallback. The mean hardly moves; the spread does.")  # fmt: skip
    pairs = ((numbered_name(e.together), e.together.cost.p80, e.alone.cost.p80) for e in found)
    words = (f"{name}: P80 {together:,.0f} {currency} with, {alone:,.0f} without." for name, together, alone in pairs)
    return Chart(figure, f"{title}. " + " ".join(words))
