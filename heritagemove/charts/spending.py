"""When the money must be there: payments by month and what has been paid by then."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from heritagemove.charts.drawing import Chart, axes_in, in_style, sheet
from heritagemove.charts.marks import colour_of, numbered_name
from heritagemove.charts.style_sheet import INK, SHEET
from heritagemove.compare.results import Comparison
from heritagemove.units.words import show_rounded
from heritagemove.whole_site.spending import spending


@in_style
def money_by_month(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw the mean payments of each month, and what has been paid by its end at P50 and at the confidence.

    Parameters
    ----------
    path : str
        Id of a path that may be chosen.
    """
    found, result = spending(comparison, path), comparison.path(path)
    names = [found.month(n) for n in range(len(found.months))]
    usd = show_rounded(found.by_then_usd[1][found.heaviest])
    needed = f"{usd} {found.currency} must be in hand by {names[found.heaviest]}"
    title = f"{numbered_name(result)}: {needed}"
    figure = sheet(figure, SHEET, 4.9, title)
    axes = axes_in(figure, 1.0, 1.3, 0.4, 1.0)
    at = np.arange(len(names))
    look = {"facecolor": colour_of(result.number), "edgecolor": INK, "zorder": 2}
    axes.bar(at, found.mean_usd / 1000, 0.62, label="paid in the month, mean", **look)
    for line, values in (("-", found.by_then_usd[0]), ("--", found.by_then_usd[1])):
        share = "P50" if line == "-" else f"P{found.confidence:.0%}".rstrip("%")
        axes.plot(at, values / 1000, color=INK, linewidth=2.5, linestyle=line, zorder=3, label=f"paid by then, {share}")
    axes.axhline(0, color=INK, linewidth=1)
    # As many months as can be read, each January among them, each year once.
    step = next(each for each in (1, 2, 3, 4, 6, 12) if len(names) / each <= 13)
    january = next((n for n, name in enumerate(names) if name.startswith("Jan")), 0)
    ticks = [n for n in range(len(names)) if (n - january) % step == 0]
    years = [not n or names[ticks[n - 1]][-4:] != names[tick][-4:] for n, tick in enumerate(ticks)]
    shown = [f"{names[n][:3]}\n{names[n][-4:]}" if year else names[n][:3] for n, year in zip(ticks, years, strict=True)]
    axes.set_xticks(ticks, shown)
    axes.set(xlabel="Month", ylabel=f"Thousand {found.currency}", ylim=(None, max(found.by_then_usd[1].max() / 900, 1)))
    axes.legend(loc="center right", frameon=False)
    parts = [
        f"{name}: {mean:,.0f} paid, {middle:,.0f} by then at P50, {careful:,.0f} at {found.confidence:.0%}"
        for name, mean, middle, careful in zip(names, found.mean_usd, *found.by_then_usd, strict=True)
    ]
    return Chart(figure, f"{title}. {found.in_words()} {'; '.join(parts)} [{found.currency}].")
