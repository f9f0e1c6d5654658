"""The chart of one path's time: its tasks on their own calendars, closures, the deadline and the last day to decide."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove import decision
from heritagemove.charts.drawing import (
    GREY,
    INK,
    Chart,
    as_number,
    axes_in,
    day_as_number,
    deadlines,
    in_style,
    months,
    sheet,
    shorten,
)
from heritagemove.charts.marks import colour_of, short_name
from heritagemove.museum import Museum
from heritagemove.results import Comparison, PathResult, show_chance, show_date
from heritagemove.simulation import date_of, milestone

#: A closure shorter than this is a holiday: too narrow to be seen, and nothing to plan around [day].
LEAST_CLOSURE_DAYS = 5
_WIDTH, _ROW = 9.0, 0.36
_LEFT, _RIGHT, _BOTTOM, _TOP = 3.3, 0.85, 1.35, 1.1


def closures(museum: Museum, calendar: str) -> tuple[tuple[dt.date, dt.date, str], ...]:
    """Return the closed seasons of a calendar: first day, last day and reason; single holidays are left out."""
    closed = [row for row in museum.calendars if row.calendar == calendar and row.rule == "closed"]
    long = [row for row in closed if (row.last - row.first).days + 1 >= LEAST_CLOSURE_DAYS]
    return tuple((row.first, row.last, row.reason) for row in sorted(long, key=lambda row: row.first))


@in_style
def task_bars(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw the tasks of one path from start to finish at P50, with how often each sets the date.

    The days on which a task's own calendar is closed for a season are hatched in its row; the line behind
    a bar ends at the P80 of its finish.

    Parameters
    ----------
    comparison : Comparison
    path : str
        Id of the path.
    figure : Figure, optional
        A figure to wipe and use again.
    """
    museum, result = comparison.museum, comparison.path(path)
    dates = result.trials.dates
    start = {name: float(np.median(days)) for name, days in dates.ready.items()}
    finish = {name: [float(day) for day in np.percentile(days, (50, 80))] for name, days in dates.finish.items()}
    tasks = sorted(museum.of_path("tasks", path), key=lambda row: (start[row.task], finish[row.task]))
    title = _schedule_title(result, {row.task: row.title for row in tasks})
    figure = sheet(figure, _WIDTH, _BOTTOM + _TOP + _ROW * max(len(tasks), 1), title)
    axes = axes_in(figure, _LEFT, _BOTTOM, _RIGHT, _TOP)
    last = max([as_number(museum.scenario.forced_scrap), *(day_as_number(museum, late) for _, late in finish.values())]) + 12
    months(axes, as_number(museum.scenario.start), last)
    axes.set_ylim(max(len(tasks), 1) - 0.4, -0.6)
    deadlines(axes, museum)
    _shade(axes, museum, tasks)
    leaves = milestone(museum, path, "off_site")
    for row, task in enumerate(tasks):
        share = result.critical.get(task.task, 0.0)
        days = [day_as_number(museum, day) for day in (start[task.task], *finish[task.task])]
        _bar(axes, row, days, colour_of(result.number) if share >= 0.5 else "white", task.task == leaves)
        axes.text(1.015, row, show_chance(share), va="center", transform=axes.get_yaxis_transform())
    axes.text(1.015, 1.01, "sets date", va="bottom", size=11, transform=axes.transAxes)
    last_day = _last_day(axes, comparison, result)
    axes.set_yticks(range(len(tasks)), [shorten(task.title, 34) for task in tasks])
    _note(figure)
    words = (_in_words(museum, task, start[task.task], finish[task.task], result) for task in tasks)
    return Chart(figure, " ".join([f"{title}. {result.title}.", last_day, *words, *_closures_in_words(museum, tasks)]))


def _shade(axes: Axes, museum: Museum, tasks: Sequence) -> None:
    """Hatch in each task's row the seasons in which its calendar is closed."""
    for row, task in enumerate(tasks):
        spans = [(as_number(a), as_number(b) - as_number(a) + 1) for a, b, _ in closures(museum, task.calendar)]
        look = {"facecolor": "#ededed", "edgecolor": "#8a8a8a", "hatch": "xxxx", "linewidth": 0.6, "zorder": 1.5}
        axes.broken_barh(spans, (row - 0.46, 0.92), **look)


def _bar(axes: Axes, row: int, days: Sequence[float], colour: str, leaves: bool) -> None:
    begin, end, late = days
    axes.hlines(row, end, max(late, end), color=INK, linewidth=2, zorder=2.5)
    axes.vlines(max(late, end), row - 0.16, row + 0.16, color=INK, linewidth=2, zorder=2.5)
    axes.barh(row, max(end - begin, 1.0), 0.58, left=begin, facecolor=colour, edgecolor=INK, linewidth=1.2, zorder=3)
    if leaves:
        axes.plot([end], [row], marker="D", markersize=11, color=INK, zorder=5)


def _last_day(axes: Axes, comparison: Comparison, result: PathResult) -> str:
    """Mark the last day to commit, where the path has one; return it in words."""
    confidence = f"{comparison.museum.scenario.simulation.confidence:.0%}"
    if result not in decision.able(comparison.paths):
        return f"No last day to commit: the path is {result.status}."
    day = decision.latest_decision(comparison.museum, result, comparison.samples)
    if day is None:
        return f"Even a decision at once does not keep the deadline at {confidence}."
    axes.axvline(as_number(day), color=INK, linewidth=2, linestyle=(0, (6, 2, 1, 2)), zorder=1)
    # Below the axes, where neither the months above nor the names of the owner's dates stand.
    under = {"transform": axes.get_xaxis_transform(), "va": "top", "ha": "center", "size": 12}
    height = axes.figure.get_figheight() * axes.get_position().height
    axes.text(as_number(day), -0.52 / height, f"commit by {show_date(day)} for {confidence}", **under)
    return f"Commit by {show_date(day)} to keep the deadline at {confidence}."


def _note(figure: Figure) -> None:
    note = "Bar: start to finish at P50; line to the P80 finish; diamond: off the site. Hatched: the task's\n"
    note += "calendar is closed. Per cent: how often the task sets the date off the site; filled from 50%."
    figure.text(0.15 / _WIDTH, 0.1 / figure.get_figheight(), note, va="bottom", size=11.5, color=GREY)


def _in_words(museum: Museum, task: object, start: float, finish: Sequence[float], result: PathResult) -> str:
    last = show_date(date_of(museum, max(finish[0] - 1, start)))
    late = show_date(date_of(museum, max(finish[1] - 1, start)))
    share = show_chance(result.critical.get(task.task, 0.0))
    return f"{task.title}: {show_date(date_of(museum, start))} to {last}, at P80 {late}, sets the date in {share} of trials."


def _closures_in_words(museum: Museum, tasks: Sequence) -> list[str]:
    found = {(name, *span) for name in {task.calendar for task in tasks} for span in closures(museum, name)}
    ordered = sorted(found, key=lambda entry: (entry[1], entry[0]))
    return [f"Calendar {name} closed {show_date(a)} to {show_date(b)}: {reason}." for name, a, b, reason in ordered]


def _schedule_title(result: PathResult, titles: dict[str, str]) -> str:
    name = f"Path {result.number}, {short_name(result)}"
    if result.off_site is None or not result.critical:
        return f"{name}: nothing leaves the site"
    # Of the tasks that set the date most often, the longest is the one to shorten.
    dates = result.trials.dates
    key = max(result.critical, key=lambda t: (result.critical[t] >= 0.5, np.mean(dates.finish[t] - dates.ready[t])))
    return f"{name}: off the site {show_date(result.off_site.p80)} at P80; longest task that sets it: {titles[key].lower()}"
