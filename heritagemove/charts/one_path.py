"""Charts of one path: what its cost is made of, and when its tasks are done."""

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
    deadlines,
    in_style,
    months,
    sheet,
    shorten,
)
from heritagemove.charts.marks import colour_of, short_name
from heritagemove.results import Comparison, PathResult, show_chance, show_date
from heritagemove.simulation import date_of, milestone

#: Phases of cost_lines.csv in a planner's words, in the order of the work.
PHASES = {
    "front": "Studies and permits",
    "prepare": "Preparation",
    "shop": "Shop work",
    "lift": "Lifting",
    "move": "Moving",
    "destination": "At the museum",
    "after": "Afterwards",
}


def mean_by_phase(result: PathResult) -> dict[str, float]:
    """Return the mean cost of each phase, of the risks and of the days after the deadline [USD]."""
    costs = dict.fromkeys(PHASES.values(), 0.0)
    for entry in result.trials.lines:
        costs[PHASES[entry.line.phase]] += float(np.mean(entry.cost_usd))
    costs["Risks"] = float(sum(np.mean(cost) for cost in result.trials.risk_cost_usd.values()))
    costs["Late days on site"] = float(np.mean(result.trials.holdover_usd))
    return {name: cost for name, cost in costs.items() if abs(cost) >= 0.5}


@in_style
def cost_by_phase(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw how the phases of one path add up to its mean cost, beside its P50 and P80.

    Parameters
    ----------
    comparison : Comparison
    path : str
        Id of the path.
    figure : Figure, optional
        A figure to wipe and use again.
    """
    result = comparison.path(path)
    costs = mean_by_phase(result)
    largest = max(costs, key=lambda name: costs[name]) if costs else "Nothing"
    most = f"{largest.lower()} costs most ({costs.get(largest, 0):,.0f} USD, mean)"
    title = f"Path {result.number}, {short_name(result)}: {most}"
    figure = sheet(figure, 9.0, 2.15 + 0.42 * max(len(costs), 1), title)
    axes = axes_in(figure, 2.1, 0.75, 0.6, 1.2)
    begins = np.cumsum([0.0, *costs.values()]) / 1000
    total = result.cost.p80 / 1000 if result.cost else 0.0
    reach = max(total, *begins, 1.0) * 1.2
    for row, (cost, begin) in enumerate(zip(costs.values(), begins, strict=False)):
        hatch = "///" if row >= len(costs) - ("Risks" in costs) - ("Late days on site" in costs) else ""
        axes.barh(row, cost / 1000, 0.62, left=begin, facecolor="white" if hatch else colour_of(result.number),
                  edgecolor=INK, hatch=hatch, zorder=2)  # fmt: skip
        axes.text(max(begin, begin + cost / 1000) + reach * 0.01, row, f"{cost / 1000:,.1f}", va="center", zorder=4)
    axes.set(xlim=(min(0.0, *begins), reach), ylim=(max(len(costs), 1) - 0.4, -0.6))
    axes.set_yticks(range(len(costs)), list(costs))
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.set_xlabel("Cost, each phase beginning where the one before ends [thousand USD]")
    if result.cost:
        axes.axvline(total, color=INK, linewidth=2, linestyle="--", zorder=1)
        words = f"total at P80: {total:,.0f}   (P50: {result.cost.p50 / 1000:,.0f})"
        axes.text(total, 1.01, words, transform=axes.get_xaxis_transform(), ha="right", va="bottom")
    listed = "; ".join(f"{name} {cost:,.0f} USD" for name, cost in costs.items())
    known = f"Total at P50 {result.cost.p50:,.0f} USD, at P80 {result.cost.p80:,.0f} USD" if result.cost else "Total unknown"
    return Chart(figure, f"{title}. {result.title}. Means: {listed}. {known}.")


@in_style
def task_bars(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw the tasks of one path from start to finish at P50, with how often each sets the date.

    Parameters
    ----------
    comparison : Comparison
    path : str
        Id of the path.
    figure : Figure, optional
        A figure to wipe and use again.
    """
    museum, result = comparison.museum, comparison.path(path)
    tasks, dates = museum.of_path("tasks", path), result.trials.dates
    leaves = milestone(museum, path, "off_site")
    start = {row.task: float(np.median(dates.ready[row.task])) for row in tasks}
    finish = {row.task: float(np.median(dates.finish[row.task])) for row in tasks}
    tasks = sorted(tasks, key=lambda row: (start[row.task], finish[row.task]))
    title = _schedule_title(comparison, result, {row.task: row.title for row in tasks})
    figure = sheet(figure, 9.0, 2.35 + 0.36 * max(len(tasks), 1), title)
    axes = axes_in(figure, 3.3, 1.15, 0.4, 1.1)
    last = max([as_number(museum.scenario.forced_scrap), *(day_as_number(museum, day) for day in finish.values())]) + 80
    months(axes, as_number(museum.scenario.start), last)
    deadlines(axes, museum)
    for row, task in enumerate(tasks):
        begin, end = day_as_number(museum, start[task.task]), day_as_number(museum, finish[task.task])
        share = result.critical.get(task.task, 0.0)
        often = share >= 0.5
        axes.barh(row, max(end - begin, 1.0), 0.62, left=begin, facecolor=colour_of(result.number) if often else "white",
                  edgecolor=INK, linewidth=1.2, zorder=3)  # fmt: skip
        if task.task == leaves:
            axes.plot([end], [row], marker="D", markersize=11, color=INK, zorder=5)
        words = f"off the site; {show_chance(share)}" if task.task == leaves else show_chance(share)
        axes.text(max(end, begin + 1) + 7, row, words, va="center", zorder=4, bbox={"color": "white", "pad": 0.5})
    axes.set_ylim(max(len(tasks), 1) - 0.4, -0.6)
    axes.set_yticks(range(len(tasks)), [shorten(task.title, 34) for task in tasks])
    note = "Bar: start to finish at P50. Per cent: how often the task sets the date off the site;\nfilled from 50%."
    figure.text(0.15 / 9.0, 0.1 / figure.get_figheight(), note, va="bottom", color=GREY)
    words = (
        f"{task.title}: {show_date(date_of(museum, start[task.task]))} to "
        f"{show_date(date_of(museum, max(finish[task.task] - 1, start[task.task])))}, sets the date in "
        f"{show_chance(result.critical.get(task.task, 0.0))} of trials."
        for task in tasks
    )
    return Chart(figure, f"{title}. {result.title}. " + " ".join(words))


def _schedule_title(comparison: Comparison, result: PathResult, titles: dict[str, str]) -> str:
    name = f"Path {result.number}, {short_name(result)}"
    if result.off_site is None or not result.critical:
        return f"{name}: nothing leaves the site"
    # Of the tasks that set the date most often, the longest is the one to shorten.
    dates = result.trials.dates
    key = max(result.critical, key=lambda t: (result.critical[t] >= 0.5, np.mean(dates.finish[t] - dates.ready[t])))
    return f"{name}: off the site {show_date(result.off_site.p80)} at P80; longest task that sets it: {titles[key].lower()}"
