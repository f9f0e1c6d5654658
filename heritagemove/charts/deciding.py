"""The chart behind the dated decision: how the chance falls as the committee waits."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from heritagemove.charts.drawing import (
    GREY,
    INK,
    Chart,
    as_number,
    axes_in,
    day_as_number,
    footnote,
    in_style,
    months,
    sheet,
)
from heritagemove.charts.marks import colour_of, draw_mark, numbered_name, short_name
from heritagemove.compare import decision
from heritagemove.compare.results import Comparison
from heritagemove.units.words import show_chance, show_date


@in_style
def order_dates(comparison: Comparison, figure: Figure | None = None) -> Chart:
    """Draw, for each path that could be chosen, the chance by the deadline against the day of commitment."""
    museum, confidence = comparison.museum, comparison.museum.scenario.simulation.confidence
    results = decision.able(comparison.paths)
    latest = {r.path: decision.latest_decision(museum, r, comparison.samples) for r in results}
    figure = sheet(figure, 9.0, 5.5, _title(comparison, latest))
    axes = axes_in(figure, 0.95, 1.2, 2.7, 0.95)
    start, deadline = as_number(museum.scenario.start), as_number(museum.scenario.deadline)
    months(axes, start, deadline + 7)
    axes.set(ylim=(0, 1.04), xlabel="Day on which the committee commits", ylabel="Chance off site by the deadline")
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:.0%}")
    axes.axhline(confidence, color=INK, linewidth=1.5, linestyle=(0, (4, 3)), zorder=1)
    axes.axvline(deadline, color=INK, linewidth=2, zorder=1)
    above = {"transform": axes.get_xaxis_transform(), "ha": "right", "va": "bottom"}
    axes.text(deadline, 1.01, f"deadline {show_date(museum.scenario.deadline)}", **above)
    for row, result in enumerate(results):
        commits, chances = decision.order_curve(museum, result, comparison.samples)
        if not len(commits):
            continue
        bold = result.path in (comparison.choice, comparison.fallback)
        line = day_as_number(museum, commits)
        axes.plot(line, chances, color=colour_of(result.number), linewidth=3.5 if bold else 2, zorder=2)
        # The mark sits where the chance passes the confidence, so that each curve is told without its colour.
        reached = chances >= confidence
        if reached.any():
            last = int(np.flatnonzero(reached)[-1])
            draw_mark(axes, line[last], chances[last], result.number, size=13)
        _name(figure, axes, row, result, latest[result.path], bold)
    note = f"Gates met. Mark: the last week that still gives {confidence:.0%}, the museum's confidence (dashed)."
    footnote(figure, note, 12)
    told = [
        f"Path {r.number}, {r.title}: committed on {show_date(done)}"
        if (done := decision.committed_on(museum, r))
        else f"Path {r.number}, {r.title}: {show_chance(r.chance_by_deadline)} if decided at once, "
        + (f"at least {confidence:.0%} until {show_date(latest[r.path])}" if latest[r.path] else f"never {confidence:.0%}")
        for r in results
    ]
    return Chart(figure, " ".join([_title(comparison, latest) + ".", *(sentence + "." for sentence in told)]))


def _title(comparison: Comparison, latest: dict) -> str:
    if comparison.choice is None:
        name = comparison.museum.vehicle(comparison.vehicle).name
        return f"{name}: {comparison.decision.in_short}"
    chosen = comparison.path(comparison.choice)
    confidence = comparison.museum.scenario.simulation.confidence
    date, committed = latest.get(chosen.path), decision.committed_on(comparison.museum, chosen)
    if committed:
        return f"{numbered_name(chosen)}: committed on {show_date(committed)}"
    if date is None:
        return f"{numbered_name(chosen)}: even an immediate decision does not give {confidence:.0%}"
    return f"{numbered_name(chosen)}: commit by {show_date(date)} to keep {confidence:.0%}"


def _name(figure: Figure, axes: object, row: int, result: object, date: object, bold: bool) -> None:
    """Write one line of the list beside the chart: mark, number, name and last day."""
    x, y = 1.06, 0.96 - row * 0.13
    draw_mark(axes, x, y, result.number, size=13, transform=axes.transAxes, clip_on=False)
    weight = "bold" if bold else "normal"
    axes.text(x + 0.045, y, f"{result.number} {short_name(result)}", transform=axes.transAxes, va="center", weight=weight)
    until = f"until {show_date(date)}" if date else "not in time"
    axes.text(x + 0.045, y - 0.055, until, transform=axes.transAxes, va="center", size=12, color=GREY)
