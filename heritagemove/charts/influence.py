"""The tornado: what moves the cost, and what moves the date."""

from __future__ import annotations

from typing import Literal

import numpy as np
from matplotlib.figure import Figure

from heritagemove.answers.influence import Influence, influences
from heritagemove.charts.drawing import Chart, axes_in, day_as_number, footnote, in_style, months, sheet, shorten
from heritagemove.charts.marks import colour_of, numbered_name
from heritagemove.charts.style_sheet import INK, SHEET
from heritagemove.compare.results import Comparison
from heritagemove.trials.simulation import date_of
from heritagemove.units.words import show_date

_SHOWN = 10


@in_style
def tornado(comparison: Comparison, path: str, on: Literal["cost", "off_site"], figure: Figure | None = None) -> Chart:
    """Draw the ten inputs that move the cost or the off-site date of one path most.

    Parameters
    ----------
    on : {"cost", "off_site"}
    """
    result = comparison.path(path)
    ranked = influences(comparison, path, on)
    shown, rest = ranked[:_SHOWN], ranked[_SHOWN:]
    thing = "cost" if on == "cost" else "date off the site"
    first = (
        f"{shorten(shown[0].name, 40)} ({shown[0].kind}) moves its {thing} most" if shown else f"nothing moves its {thing}"
    )
    title = f"{numbered_name(result)}: {first}"
    figure = sheet(figure, SHEET, 2.6 + 0.42 * max(len(shown), 1), title)
    axes = axes_in(figure, 4.1, 1.35, 0.5, 0.8)
    scale = (
        (lambda value: np.asarray(value) / 1000)
        if on == "cost"
        else (lambda v: day_as_number(comparison.museum, np.asarray(v)))
    )
    middle = float(scale(result.cost.mean if on == "cost" else result.off_site_days.mean))
    for row, influence in enumerate(shown):
        low, high = (float(scale(value)) for value in (influence.low, influence.high))
        risk = influence.kind == "risk"
        look = {"facecolor": "white", "hatch": "///"} if risk else {"facecolor": colour_of(result.number)}
        axes.barh(row, high - low, 0.62, left=low, edgecolor=INK, zorder=2, **look)
    axes.axvline(middle, color=INK, linewidth=2, linestyle="--", zorder=3)
    axes.set_yticks(range(len(shown)), [f"{shorten(i.name, 34)} ({i.kind})" for i in shown])
    axes.set_ylim(max(len(shown), 1) - 0.4, -0.6)
    ends = [float(scale(value)) for i in shown for value in (i.low, i.high)] + [middle]
    room = max(max(ends) - min(ends), 1.0) * 0.08
    if on == "cost":
        axes.set_xlim(min(ends) - room, max(ends) + room)
        axes.xaxis.set_major_formatter("{x:,.0f}")
        axes.set_xlabel(f"Mean cost with the input low or high [thousand {comparison.museum.scenario.currency}]")
    else:
        months(axes, min(ends) - 10, max(ends) + 10)
        axes.set_xlabel("Mean date with the input low or high")
    others = f" {len(rest)} more move it less." if rest else ""
    note = f"Low, high: lowest and highest tenth of the draws; hatched: a risk, absent or present.\nDashed: mean.{others}"
    footnote(figure, note)
    return Chart(figure, " ".join([title + ".", *(_told(comparison, influence, on) for influence in shown)]))


def _told(comparison: Comparison, influence: Influence, on: str) -> str:
    if on == "cost":
        ends = [f"{value:,.0f} {comparison.museum.scenario.currency}" for value in (influence.low, influence.high)]
    else:
        ends = [show_date(date_of(comparison.museum, value)) for value in (influence.low, influence.high)]
    span = f"{influence.name} ({influence.kind}): from {ends[0]} to {ends[1]}"
    return f"{span}, rank correlation {influence.rank_correlation:.2f}."
