"""The chart of one path's time: tasks on their own calendars, closures, the deadline and the last meeting that decides."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove.answers.task_tables import TaskSpan, closed_seasons, task_spans
from heritagemove.charts.drawing import (
    Chart,
    as_number,
    axes_in,
    day_as_number,
    deadline_and_scrap,
    footnote,
    in_style,
    months,
    sheet,
    shorten,
)
from heritagemove.charts.marks import colour_of, numbered_name
from heritagemove.charts.style_sheet import INK, SHEET, TEXT
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.museum.rows.tasks import LEAVING
from heritagemove.trials.durations import milestone
from heritagemove.units.words import show_chance, show_date

_WIDTH, _ROW = SHEET, 0.36
_LEFT, _RIGHT, _BOTTOM, _TOP = 3.3, 0.4, 1.35, 1.1

_NOTE = (
    "Bar: start to finish at P50, and a line to the P80 finish; filled where the task sets the date off the\n"
    "site in at least half the trials. Percentages: in how many. Hatched: the task's calendar is closed."
)


@in_style
def task_bars(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw the tasks of one path from start to finish at P50, with how often each sets the date.

    The days on which a task's own calendar is closed for a season are hatched in its row; the line behind
    a bar ends at the P80 of its finish.
    """
    museum, result = comparison.museum, comparison.path(path)
    spans = task_spans(comparison, path)
    title = _schedule_title(result, {span.task.task: museum.titled(span.task) for span in spans})
    figure = sheet(figure, _WIDTH, _BOTTOM + _TOP + _ROW * max(len(spans), 1), title)
    axes = axes_in(figure, _LEFT, _BOTTOM, _RIGHT, _TOP)
    last = max([as_number(museum.scenario.forced_scrap), *(day_as_number(museum, span.days[2]) for span in spans)]) + 80
    months(axes, as_number(museum.scenario.start), last)
    axes.set_ylim(max(len(spans), 1) - 0.4, -0.6)
    deadline_and_scrap(axes, museum)
    tasks = [span.task for span in spans]
    _shade(axes, comparison, path, tasks)
    leaves = milestone(museum, path, *LEAVING)
    for row, span in enumerate(spans):
        days = [day_as_number(museum, day) for day in span.days]
        _bar(axes, row, days, colour_of(result.number) if span.share >= 0.5 else "white", span.task.task == leaves)
        words = f"off the site; {show_chance(span.share)}" if span.task.task == leaves else show_chance(span.share)
        axes.text(max(days[1:]) + 7, row, words, va="center", zorder=4, bbox={"color": "white", "pad": 0.5})
    last_meeting = _last_meeting(axes, comparison, result)
    axes.set_yticks(range(len(tasks)), [shorten(museum.titled(task), 32) for task in tasks])
    footnote(figure, _NOTE, TEXT)
    words = (_in_words(museum.titled(span.task), span) for span in spans)
    closed = _closures_in_words(comparison, path, tasks)
    return Chart(figure, " ".join([f"{title}. {result.title}.", last_meeting, *words, *closed]))


def _shade(axes: Axes, comparison: Comparison, path: str, tasks: Sequence) -> None:
    """Hatch in each task's row the seasons before the scrap date in which its calendar is closed."""
    for row, task in enumerate(tasks):
        seasons = closed_seasons(comparison, path, task.calendar)
        spans = [(as_number(first), as_number(last) - as_number(first) + 1) for first, last, _ in seasons]
        look = {"facecolor": "#ededed", "edgecolor": "#8a8a8a", "hatch": "xxxx", "linewidth": 0.6, "zorder": 1.5}
        axes.broken_barh(spans, (row - 0.46, 0.92), **look)


def _bar(axes: Axes, row: int, days: Sequence[float], colour: str, leaves: bool) -> None:
    begin, end, late = days
    axes.hlines(row, end, max(late, end), color=INK, linewidth=2, zorder=2.5)
    axes.vlines(max(late, end), row - 0.16, row + 0.16, color=INK, linewidth=2, zorder=2.5)
    axes.barh(row, max(end - begin, 1.0), 0.58, left=begin, facecolor=colour, edgecolor=INK, linewidth=1.2, zorder=3)
    if leaves:
        axes.plot([end], [row], marker="D", markersize=11, color=INK, zorder=5)


def _last_meeting(axes: Axes, comparison: Comparison, result: PathResult) -> str:
    """Mark the last meeting that decides, on the path that is to be decided on; return it in words."""
    if result.path != comparison.choice:
        return "It is not the choice: nobody decides on it while the choice stands."
    day, chance = comparison.decision.decide_by, show_chance(comparison.decision.chance_if_decided_then)
    if day is None:
        return f"Decision: {meeting_in_words(comparison)}; {chance} all in."
    axes.axvline(as_number(day), color=INK, linewidth=2, linestyle=(0, (6, 2, 1, 2)), zorder=1)
    # Below the axes, where neither the months above nor the names of the owner's dates stand.
    under = {"transform": axes.get_xaxis_transform(), "va": "top", "ha": "center", "size": TEXT}
    height = axes.figure.get_figheight() * axes.get_position().height
    axes.text(as_number(day), -0.52 / height, f"decide on {show_date(day)} at the latest", **under)
    return f"Decide at the meeting of {show_date(day)} at the latest: then {chance} all in."


def _in_words(title: str, span: TaskSpan) -> str:
    dates = f"{show_date(span.begins)} to {show_date(span.ends)}, at P80 {show_date(span.ends_p80)}"
    return f"{title}: {dates}, sets the date in {show_chance(span.share)} of trials."


def _closures_in_words(comparison: Comparison, path: str, tasks: Sequence) -> list[str]:
    names = {task.calendar for task in tasks}
    found = {(name, *span) for name in names for span in closed_seasons(comparison, path, name)}
    ordered = sorted(found, key=lambda entry: (entry[1], entry[0]))
    return [f"Calendar {name} closed {show_date(a)} to {show_date(b)}: {reason}." for name, a, b, reason in ordered]


def _schedule_title(result: PathResult, titles: dict[str, str]) -> str:
    name = numbered_name(result)
    if result.off_site is None or not result.critical:
        return f"{name}: nothing leaves the site"
    # Of the tasks that set the date most often, the longest is the one to shorten.
    dates = result.trials.dates
    key = max(result.critical, key=lambda t: (result.critical[t] >= 0.5, np.mean(dates.finish[t] - dates.ready[t])))
    arrives = f", arrives {show_date(result.arrived.p80)}" if result.arrived else ""
    gone = f"off the site {show_date(result.off_site.p80)}{arrives} at P80"
    return f"{name}: {gone}; longest task that sets it: {titles[key].lower()}"
