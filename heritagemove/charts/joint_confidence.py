"""Chart of the chance that budget and date both hold."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from heritagemove.answers.joint_confidence import JointConfidence, joint_confidence, joint_frontier, joint_map
from heritagemove.charts.drawing import Chart, as_number, axes_in, day_as_number, footnote, in_style, months, sheet
from heritagemove.charts.marks import name_marks, numbered_name
from heritagemove.charts.style_sheet import BLUES, EMPHASIS, GREY, HALO, INK, NOTE, SHEET, TEXT
from heritagemove.compare.results import Comparison
from heritagemove.trials.simulation import NEVER, date_of
from heritagemove.units.words import show_chance, show_date, show_rounded

_LEVELS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
_BOLD = {"size": TEXT, "weight": "bold", "path_effects": HALO, "zorder": 6}


@in_style
def joint_chances(comparison: Comparison, path: str, with_fallback: bool = True, figure: Figure | None = None) -> Chart:
    """Draw the chance that budget and date both hold, over budgets and dates, as lines of equal chance.

    Parameters
    ----------
    path : str
        Id of a path with cost and date, and one that could be chosen where refusals are played out.
    with_fallback : bool
        Whether refusals are played out.
    """
    currency = comparison.museum.scenario.currency
    result, found = comparison.path(path), joint_confidence(comparison, path, with_fallback)
    title = f"{numbered_name(result)}: {_finding(comparison, found)}"
    figure = sheet(figure, SHEET, 5.7, title)
    axes = axes_in(figure, 0.95, 1.6, 0.45, 1.05)
    first, last, low, high = _window(comparison, found)
    grid = joint_map(found.outcomes, np.linspace(low, high, 161), np.arange(first, last + 1))
    days, budgets = day_as_number(comparison.museum, grid.days), grid.budgets_usd / 1000
    axes.contourf(days, budgets, grid.chance, levels=(0, *_LEVELS, 1.0001), cmap=BLUES, zorder=0)
    others = [level for level in _LEVELS if abs(level - found.confidence) > 0.02]  # the thick line stands for that one
    lines = axes.contour(days, budgets, grid.chance, levels=others, colors=GREY, linewidths=0.9, zorder=1)
    levels = axes.clabel(lines, fmt=lambda level: f"{level:.0%}", fontsize=NOTE, colors=INK)
    for text in levels:
        text.set_path_effects(HALO)
    edge_days, edge_budgets = joint_frontier(found.outcomes, found.confidence)
    if len(edge_days):
        steps = day_as_number(comparison.museum, np.append(edge_days, last))
        axes.step(steps, np.append(edge_budgets, edge_budgets[-1]) / 1000, where="post", color=INK, linewidth=3, zorder=3)
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.set(ylim=(low / 1000, high / 1000), ylabel=f"Budget [thousand {currency}]", xlabel="Off the site by")
    months(axes, days[0], days[-1])
    fixed = []
    if len(edge_days):
        at_most = min(edge_budgets[-1], low + 0.9 * (high - low)) / 1000  # within the axes, the deadline's name above them
        both = f"{found.confidence:.0%} for both"
        over = {"ha": "right", "va": "bottom", "textcoords": "offset points"}
        fixed.append(axes.annotate(both, (steps[-1], at_most), (-6, 4), **over, **_BOLD))
    _lines(axes, comparison, found, fixed)
    _part(axes, levels)
    dashed = f"Dashed: budget of {found.confidence:.0%} alone"
    dashed += "" if found.day is None else f", date of {found.confidence:.0%} alone, {_date(comparison, found.day)}"
    reached = "Thick line: smallest budget for each date with" if len(edge_days) else "No date and budget here reach"
    played = "refusals and the fallback played out" if with_fallback else "gates met, no fallback played out"
    lines = f"Lines: chance that budget and date both hold; {played}.", f"{reached} {found.confidence:.0%} for both."
    footnote(figure, "\n".join([*lines, f"{dashed}."]))
    return Chart(figure, f"{title}. {_told(comparison, found)}")


def _finding(comparison: Comparison, found: JointConfidence) -> str:
    level = f"{found.confidence:.0%}"
    if found.chance is None:
        return f"no date is {level} certain, the chance to save it is {show_chance(found.outcomes.chance())}"
    if found.chance >= found.confidence - 0.005:
        return f"budget and date at {level} each hold together {show_chance(found.chance)} of the time"
    return f"budget and date at {level} each hold together only {show_chance(found.chance)} of the time"


def _window(comparison: Comparison, found: JointConfidence) -> tuple[int, int, float, float]:
    """Show the middle nine tenths and more of dates and costs, the deadline, and a little room."""
    dates = found.outcomes.off_site[found.outcomes.off_site < NEVER]
    deadline = (comparison.museum.scenario.deadline - comparison.museum.scenario.start).days
    ends = np.percentile(dates, (0.5, 99.5)) if len(dates) else (deadline - 30, deadline)
    first, last = int(min(ends[0], deadline) - 5), int(max(ends[1], deadline) + 20)
    low, high = np.percentile(found.outcomes.cost_usd, (0.5, 98))
    return first, last, float(low), float(max(high, found.budget_usd) * 1.03 + 1)


def _lines(axes: Axes, comparison: Comparison, found: JointConfidence, fixed: Sequence[Text]) -> None:
    currency = comparison.museum.scenario.currency
    deadline = as_number(comparison.museum.scenario.deadline)
    budget, level = found.budget_usd / 1000, f"P{100 * found.confidence:g}"
    axes.axvline(deadline, color=INK, linewidth=2, zorder=2)
    axes.axhline(budget, color=INK, linewidth=1.5, linestyle="--", zorder=2)
    over = {"transform": axes.get_xaxis_transform(), "va": "bottom", "size": TEXT}
    axes.text(deadline, 1.01, f"deadline {show_date(comparison.museum.scenario.deadline)}", ha="center", **over)
    points = [(deadline, found.both)]
    if found.day is not None:
        day = day_as_number(comparison.museum, found.day)
        axes.axvline(day, color=INK, linewidth=1.5, linestyle="--", zorder=2)
        if abs(day - deadline) > 3:
            points.append((day, found.chance))
    left_end, right_end = axes.get_xlim()
    taken = [(x - left_end) / (right_end - left_end) for x, _ in points]
    clear = max((0.15, 0.3, 0.45, 0.6), key=lambda place: min(abs(place - other) for other in taken))
    across = {"transform": axes.get_yaxis_transform(), "ha": "center", "va": "bottom"}
    named = axes.text(clear, budget, f"{level} {show_rounded(found.budget_usd)} {currency}", **across, **_BOLD)
    ring = {"marker": "o", "markersize": 13, "color": "white", "markeredgecolor": INK, "markeredgewidth": 2, "zorder": 5}
    for x, _ in points:
        axes.plot([x], [budget], **ring)
    said = [f"both {show_chance(chance)}" for _, chance in points]
    name_marks(axes, [(x, budget) for x, _ in points], said, 13, EMPHASIS, [named, *fixed])


def _part(axes: Axes, levels: Sequence[Text]) -> None:
    """Leave out the levels whose names another text covers: each line is one of even steps."""
    others = [text.get_window_extent() for text in axes.texts if text not in levels and text.get_text()]
    for text in levels:
        if any(text.get_window_extent().overlaps(box) for box in others):
            text.set_visible(False)


def _date(comparison: Comparison, day: int) -> str:
    return show_date(date_of(comparison.museum, day))


def _told(comparison: Comparison, found: JointConfidence) -> str:
    currency = comparison.museum.scenario.currency
    parts = [f"Budget {show_rounded(found.budget_usd)} {currency} at {found.confidence:.0%}."]
    if found.day is not None:
        parts.append(f"Off the site by {_date(comparison, found.day)} at {found.confidence:.0%}.")
    parts.append(f"In time {show_chance(found.in_time)}, in time and within budget {show_chance(found.both)}.")
    days, budgets = joint_frontier(found.outcomes, found.confidence)
    if len(days):
        dates = [_date(comparison, day) for day in (days[0], days[-1])]
        parts.append(f"Both hold at {found.confidence:.0%} with {show_rounded(budgets[0])} {currency} by {dates[0]}, ")
        parts[-1] += f"or with {show_rounded(budgets[-1])} {currency} by {dates[1]}."
    return " ".join(parts)
