"""The chart behind the dated decision: how the chance falls, meeting by meeting, as the committee waits."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from heritagemove.charts.drawing import Chart, as_number, axes_in, day_as_number, footnote, in_style, months, sheet
from heritagemove.charts.marks import colour_of, draw_mark, numbered_name, short_name
from heritagemove.charts.style_sheet import GREY, INK, SHEET, TEXT
from heritagemove.compare import decision
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.compare.waiting import Waiting, meeting_in_words, waiting, worth_waiting_for
from heritagemove.trials.simulation import date_of
from heritagemove.units.words import show_chance, show_date


@in_style
def order_dates(comparison: Comparison, figure: Figure | None = None) -> Chart:
    """Draw the chance all in against the meeting that decides: of the choice, what it turns to and what is as good."""
    museum, confidence = comparison.museum, comparison.museum.scenario.simulation.confidence
    found = [waiting(comparison, path) for path in worth_waiting_for(comparison)]
    figure = sheet(figure, SHEET, 5.5, _title(comparison))
    axes = axes_in(figure, 0.95, 1.3, 2.7, 0.95)
    start, deadline = as_number(museum.scenario.start), as_number(museum.scenario.deadline)
    months(axes, start, deadline + 7)
    axes.set(ylim=(0, 1.04), xlabel="Meeting that decides", ylabel="Chance off site by the deadline")
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:.0%}")
    axes.axhline(confidence, color=INK, linewidth=1.5, linestyle=(0, (4, 3)), zorder=1)
    axes.axvline(deadline, color=INK, linewidth=2, zorder=1)
    above = {"transform": axes.get_xaxis_transform(), "ha": "right", "va": "bottom"}
    axes.text(deadline, 1.01, f"deadline {show_date(museum.scenario.deadline)}", **above)
    for row, each in enumerate(found):
        result, bold = comparison.path(each.path), each.path == comparison.choice
        if len(each.days):
            line, colour = day_as_number(museum, each.days), colour_of(result.number)
            axes.plot(line, each.chances, color=colour, linewidth=3.5 if bold else 2, marker=".", markersize=9, zorder=2)
        if each.last is not None:
            # The mark sits on the last meeting that keeps the confidence, so that each line is told without its colour.
            last = list(each.days).index(each.last)
            draw_mark(axes, line[last], each.chances[last], result.number, size=13)
        _name(axes, row, comparison, each, bold)
    note = f"Refusals and fallbacks included. Mark: the last meeting that still gives {confidence:.0%} (dashed).\n"
    note += "The choice by its own policy; another path, had it been chosen instead, with one fallback."
    footnote(figure, note, TEXT)
    return Chart(figure, " ".join([_title(comparison) + ".", *_told(comparison, found)]))


def _title(comparison: Comparison) -> str:
    if comparison.choice is None:
        name = comparison.museum.vehicle(comparison.vehicle).name
        return f"{name}: {comparison.decision.in_short}"
    name, told = numbered_name(comparison.path(comparison.choice)), comparison.decision
    chance = show_chance(told.chance_if_decided_then)
    if decision.committed_on(comparison.museum, comparison.path(comparison.choice)):
        return f"{name}: {meeting_in_words(comparison)}, {chance} all in"
    if told.decide_by is None:
        return f"{name}: decide at once, {chance} all in; no meeting keeps the museum's confidence"
    return f"{name}: decide at the meeting of {show_date(told.decide_by)} at the latest, {chance} all in"


def _told(comparison: Comparison, found: Sequence[Waiting]) -> list[str]:
    return [f"{_named(comparison.path(each.path))}: {_until(comparison, each)}." for each in found]


def _named(result: PathResult) -> str:
    return f"Path {result.number}, {result.title}"


def _until(comparison: Comparison, each: Waiting) -> str:
    museum, confidence = comparison.museum, f"{comparison.museum.scenario.simulation.confidence:.0%}"
    committed = decision.committed_on(museum, comparison.path(each.path))
    if committed:
        return f"committed on {show_date(committed)}"
    if not len(each.days):
        return "no committee decides on it before the deadline"
    first = f"{show_chance(each.chances[0])} if decided at once"
    if each.last is None:
        return f"{first}, never {confidence}"
    return f"{first}, at least {confidence} up to the meeting of {show_date(date_of(museum, each.last))}"


def _name(axes: object, row: int, comparison: Comparison, each: Waiting, bold: bool) -> None:
    """Write one line of the list beside the chart: mark, number, name and last meeting."""
    x, y, result = 1.06, 0.96 - row * 0.17, comparison.path(each.path)
    draw_mark(axes, x, y, result.number, size=13, transform=axes.transAxes, clip_on=False)
    weight = "bold" if bold else "normal"
    axes.text(x + 0.045, y, f"{result.number} {short_name(result)}", transform=axes.transAxes, va="center", weight=weight)
    until = "not in time" if each.last is None else f"until {show_date(date_of(comparison.museum, each.last))}"
    until = meeting_in_words(comparison) if bold and not len(each.days) else until
    below = {"xycoords": "axes fraction", "textcoords": "offset points", "va": "center", "annotation_clip": False}
    axes.annotate(until, (x + 0.045, y), (0, -15), size=TEXT, color=GREY, **below)
