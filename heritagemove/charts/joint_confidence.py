"""Charts of money and date together: contingency, joint confidence, the moved deadline, and correlation."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.patheffects import withStroke

from heritagemove.answers.correlation import Alone
from heritagemove.answers.joint_confidence import (
    Contingency,
    Joint,
    chances_by,
    contingency,
    frontier,
    joint,
    joint_map,
)
from heritagemove.charts.drawing import (
    GREY,
    INK,
    Chart,
    as_number,
    axes_in,
    day_as_number,
    in_style,
    months,
    sheet,
    shorten,
)
from heritagemove.charts.marks import colour_of, draw_mark, short_name
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.trials.simulation import NEVER, date_of
from heritagemove.units.words import show_chance, show_date

_SIZE = (9.0, 5.7)
_LEVELS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
_BLUES = LinearSegmentedColormap.from_list("chance", ["#ffffff", "#3f7fbf"])
_HALO = [withStroke(linewidth=3, foreground="white")]
_BOLD = {"size": 12, "weight": "bold", "path_effects": _HALO, "zorder": 6}


def _name(result: PathResult) -> str:
    return f"Path {result.number}, {short_name(result)}"


def _note(figure: Figure, text: str) -> None:
    width, height = figure.get_size_inches()
    figure.text(0.15 / width, 0.1 / height, text, size=11, color=GREY, va="bottom")


@in_style
def contingency_curve(comparison: Comparison, path: str, figure: Figure | None = None) -> Chart:
    """Draw the chance that a budget holds against the budget, with the contingency to the museum's confidence.

    Parameters
    ----------
    comparison : Comparison
    path : str
        Id of a path that is priced.
    figure : Figure, optional
        A figure to wipe and use again.
    """
    currency = comparison.museum.scenario.currency
    result, found = comparison.path(path), contingency(comparison, path)
    above = f"{found.over_point_usd:,.0f} {currency}"
    title = f"{_name(result)}: {found.confidence:.0%} confidence needs {above} above the sum of "
    title += f"likely values, which holds {show_chance(found.chance_of_point)} of the time"
    figure = sheet(figure, *_SIZE, title)
    axes = axes_in(figure, 0.85, 0.95, 0.4, 0.9)
    percents = np.linspace(0.5, 99.5, 199)
    costs = np.percentile(result.trials.cost_usd, percents) / 1000
    shown = costs <= max(np.percentile(costs, 98), found.budget_usd / 1000)
    costs, percents = costs[shown], percents[shown]
    axes.plot(costs, percents, color=colour_of(result.number), linewidth=3, zorder=3)
    ends = (min(costs[0], found.point_usd / 1000), costs[-1])
    room = 0.05 * (ends[1] - ends[0])
    axes.set(xlim=(ends[0] - room, ends[1] + room), ylim=(0, 100))
    axes.set(xlabel=f"Budget [thousand {currency}]", ylabel="Chance that it holds [%]")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.grid(axis="y", color="#e4e4e4")
    _milestones(axes, result, found)
    _note(figure, "Gates met, no fallback played out. Sum of likely values: every row at its likely value, no risk happens.")
    alt = f"Point estimate {found.point_usd:,.0f} {currency}, P50 {found.p50_usd:,.0f}, P{100 * found.confidence:g} "
    return Chart(figure, f"{title}. {alt}{found.budget_usd:,.0f} {currency}: {found.over_p50_usd:,.0f} above P50.")


def _milestones(axes, result: PathResult, found: Contingency) -> None:
    marks = (
        ("likely sum", found.point_usd, found.chance_of_point),
        ("P50", found.p50_usd, 0.5),
        (f"P{100 * found.confidence:g}", found.budget_usd, found.confidence),
    )
    for word, cost, share in marks:
        top = 100 * (found.confidence if cost == found.point_usd else share)
        axes.plot([cost / 1000] * 2, [0, top], color=INK, linewidth=1.4, linestyle="--", zorder=2)
        draw_mark(axes, cost / 1000, 100 * share, result.number, "full", 12)
        axes.annotate(f"{word} {cost:,.0f}", (cost / 1000, 100 * share), (12, -3), textcoords="offset points",
                      ha="left", va="top", size=12, weight="bold", path_effects=_HALO, zorder=6)  # fmt: skip
    start, end = found.point_usd / 1000, found.budget_usd / 1000
    level = 100 * found.confidence
    axes.annotate("", (end, level), (start, level), arrowprops={"arrowstyle": "<->", "color": INK, "linewidth": 1.6})
    axes.text(max(start, axes.get_xlim()[0]), level + 2, f"contingency {found.over_point_usd:,.0f}", size=12, zorder=6,
              va="bottom", path_effects=_HALO)  # fmt: skip


@in_style
def joint_chances(comparison: Comparison, path: str, with_fallback: bool = True, figure: Figure | None = None) -> Chart:
    """Draw the chance that budget and date both hold, over budgets and dates, as lines of equal chance.

    Parameters
    ----------
    comparison : Comparison
    path : str
        Id of a path with cost and date, and one that could be chosen where refusals are played out.
    with_fallback : bool
        Whether refusals are played out.
    figure : Figure, optional
        A figure to wipe and use again.
    """
    currency = comparison.museum.scenario.currency
    result, found = comparison.path(path), joint(comparison, path, with_fallback)
    title = f"{_name(result)}: {_finding(comparison, found)}"
    figure = sheet(figure, *_SIZE, title)
    axes = axes_in(figure, 0.95, 1.6, 0.45, 1.05)
    first, last, low, high = _window(comparison, found)
    grid = joint_map(found.outcomes, np.linspace(low, high, 161), np.arange(first, last + 1))
    days, budgets = day_as_number(comparison.museum, grid.days), grid.budgets_usd / 1000
    axes.contourf(days, budgets, grid.chance, levels=(0, *_LEVELS, 1.0001), cmap=_BLUES, zorder=0)
    others = [level for level in _LEVELS if abs(level - found.confidence) > 0.02]  # the thick line stands for that one
    lines = axes.contour(days, budgets, grid.chance, levels=others, colors=GREY, linewidths=0.9, zorder=1)
    for text in axes.clabel(lines, fmt=lambda level: f"{level:.0%}", fontsize=11, colors=INK):
        text.set_path_effects(_HALO)
    edge_days, edge_budgets = frontier(found.outcomes, found.confidence)
    if len(edge_days):
        steps = day_as_number(comparison.museum, np.append(edge_days, last))
        axes.step(steps, np.append(edge_budgets, edge_budgets[-1]) / 1000, where="post", color=INK, linewidth=3, zorder=3)
        axes.annotate(f"{found.confidence:.0%} for both", (steps[-1], edge_budgets[-1] / 1000), (-6, 4), ha="right",
                      va="bottom", textcoords="offset points", **_BOLD)  # fmt: skip
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.set(ylim=(low / 1000, high / 1000), ylabel=f"Budget [thousand {currency}]", xlabel="Off the site by")
    months(axes, days[0], days[-1])
    _lines(axes, comparison, found)
    dashed = f"Dashed: budget of {found.confidence:.0%} alone"
    dashed += "" if found.day is None else f", date of {found.confidence:.0%} alone, {_date(comparison, found.day)}"
    reached = "Thick line: smallest budget for each date with" if len(edge_days) else "No date and budget here reach"
    played = "refusals and the fallback played out" if with_fallback else "gates met, no fallback played out"
    lines = f"Lines: chance that budget and date both hold; {played}.", f"{reached} {found.confidence:.0%} for both."
    _note(figure, "\n".join([*lines, f"{dashed}."]))
    return Chart(figure, f"{title}. {_told(comparison, found)}")


def _finding(comparison: Comparison, found: Joint) -> str:
    level = f"{found.confidence:.0%}"
    if found.chance is None:
        return f"no date is {level} sure, the chance to save it is {show_chance(found.outcomes.chance())}"
    if found.chance >= found.confidence - 0.005:
        return f"budget and date at {level} each hold together {show_chance(found.chance)} of the time"
    return f"budget and date at {level} each hold together only {show_chance(found.chance)} of the time"


def _window(comparison: Comparison, found: Joint) -> tuple[int, int, float, float]:
    """Show the middle nine tenths and more of dates and costs, the deadline, and a little room."""
    dates = found.outcomes.off_site[found.outcomes.off_site < NEVER]
    deadline = (comparison.museum.scenario.deadline - comparison.museum.scenario.start).days
    ends = np.percentile(dates, (0.5, 99.5)) if len(dates) else (deadline - 30, deadline)
    first, last = int(min(ends[0], deadline) - 5), int(max(ends[1], deadline) + 20)
    low, high = np.percentile(found.outcomes.cost_usd, (0.5, 98))
    return first, last, float(low), float(max(high, found.budget_usd) * 1.03 + 1)


def _lines(axes, comparison: Comparison, found: Joint) -> None:
    currency = comparison.museum.scenario.currency
    deadline = as_number(comparison.museum.scenario.deadline)
    budget, level = found.budget_usd / 1000, f"P{100 * found.confidence:g}"
    axes.axvline(deadline, color=INK, linewidth=2, zorder=2)
    axes.axhline(budget, color=INK, linewidth=1.5, linestyle="--", zorder=2)
    over = {"transform": axes.get_xaxis_transform(), "va": "bottom", "size": 12}
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
    axes.text(clear, budget, f"{level} {found.budget_usd:,.0f} {currency}", **across, **_BOLD)
    for x, chance in points:
        place = (x - left_end) / (right_end - left_end)
        left = place > 0.82 if place > 0.82 or place < 0.2 else x == min(point[0] for point in points)
        axes.plot([x], [budget], marker="o", markersize=13, color="white", markeredgecolor=INK, markeredgewidth=2, zorder=5)
        side = {"xytext": (-11, -9), "ha": "right"} if left else {"xytext": (11, -9), "ha": "left"}
        axes.annotate(f"both {show_chance(chance)}", (x, budget), textcoords="offset points", va="top",
                      **side | _BOLD | {"size": 14})  # fmt: skip


def _date(comparison: Comparison, day: int) -> str:
    return show_date(date_of(comparison.museum, day))


def _told(comparison: Comparison, found: Joint) -> str:
    currency = comparison.museum.scenario.currency
    parts = [f"Budget {found.budget_usd:,.0f} {currency} at {found.confidence:.0%}."]
    if found.day is not None:
        parts.append(f"Off the site by {_date(comparison, found.day)} at {found.confidence:.0%}.")
    parts.append(f"In time {show_chance(found.in_time)}, in time and in budget {show_chance(found.both)}.")
    days, budgets = frontier(found.outcomes, found.confidence)
    if len(days):
        dates = [_date(comparison, day) for day in (days[0], days[-1])]
        parts.append(f"Both hold at {found.confidence:.0%} with {budgets[0]:,.0f} {currency} by {dates[0]}, ")
        parts[-1] += f"or with {budgets[-1]:,.0f} {currency} by {dates[1]}."
    return " ".join(parts)


#: Letter of a cell without a number, and what it means.
_LETTERS = {"B": "blocked", "U": "unknown", "S": "stays on the site or saves nothing"}


@in_style
def deadline_table(
    comparisons: Sequence[Comparison], date: dt.date, with_fallback: bool = False, figure: Figure | None = None
) -> Chart:
    """Draw the chance of every path of every unit to be off the site by a date, a number or a letter in each cell.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One a unit, at least one.
    date : datetime.date
    with_fallback : bool
        Whether refusals are played out.
    figure : Figure, optional
        A figure to wipe and use again.
    """
    chances, confidence = chances_by(comparisons, date, with_fallback), comparisons[0].museum.scenario.simulation.confidence
    cells = [[_cell(entry, r, chances.loc[entry.vehicle, r.path]) for r in entry.paths] for entry in comparisons]
    sure = sum(any(r.saves and chance is not None and chance >= confidence for r, chance in _chances(e, chances))
               for e in comparisons)  # fmt: skip
    title = f"Off the site by {show_date(date)}: {sure} of {len(comparisons)} units have a path that saves them at "
    title += f"{confidence:.0%} or more, {'refusals played out' if with_fallback else 'gates met'}"
    paths = comparisons[0].paths
    figure = sheet(figure, 9.0, 2.8 + 0.5 * len(comparisons), title)
    axes = axes_in(figure, 2.4, 0.8, 0.75, 2.0)
    axes.set(xlim=(-0.5, len(paths) - 0.5), ylim=(len(comparisons) - 0.5, -0.5), xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    for column, path in enumerate(paths):
        axes.text(column - 0.12, -0.62, f"{path.number} {short_name(path)}", rotation=42, ha="left", va="bottom", size=11)
    for row, (entry, words) in enumerate(zip(comparisons, cells, strict=True)):
        name = shorten(entry.museum.vehicle(entry.vehicle).name, 25)
        axes.text(-0.6, row, name, ha="right", va="center", size=12)
        for column, (word, chance) in enumerate(words):
            _draw_cell(axes, column, row, word, chance, confidence)
    legend = "; ".join(f"{letter} {word}" for letter, word in _LETTERS.items())
    _note(figure, f"Numbers: chance [%], darker is likelier, thick frame: {confidence:.0%} or more.\n{legend}.\n"
          "Each unit moved alone, as planned for the museum's own deadline.")  # fmt: skip
    told = " ".join(_row_in_words(entry, words) for entry, words in zip(comparisons, cells, strict=True))
    return Chart(figure, f"{title}. {told} {legend}.")


def _row_in_words(entry: Comparison, words: Sequence[tuple[str, float | None]]) -> str:
    cells = (f"path {r.number} {word}" for r, (word, _) in zip(entry.paths, words, strict=True))
    return f"{entry.museum.vehicle(entry.vehicle).name}: {', '.join(cells)}."


def _chances(entry: Comparison, chances) -> list[tuple[PathResult, float | None]]:
    return [(r, _cell(entry, r, chances.loc[entry.vehicle, r.path])[1]) for r in entry.paths]


def _cell(entry: Comparison, result: PathResult, chance: float) -> tuple[str, float | None]:
    if result.status in ("blocked", "unknown"):
        return {"blocked": "B", "unknown": "U"}[result.status], None
    return ("S", None) if np.isnan(chance) else (show_chance(chance).removesuffix("%"), float(chance))


def _draw_cell(axes, column: int, row: int, word: str, chance: float | None, confidence: float) -> None:
    sure = chance is not None and chance >= confidence
    face, hatch = (_BLUES(0.75 * chance), "") if chance is not None else ("#f2f2f2", "//")
    box = {"facecolor": face, "hatch": hatch, "edgecolor": INK if sure else "#bbbbbb", "linewidth": 2.2 if sure else 0.8}
    axes.add_patch(Rectangle((column - 0.45, row - 0.42), 0.9, 0.84, zorder=2 + sure, **box))
    axes.text(column, row, word, ha="center", va="center", size=14, weight="bold" if sure else "normal", zorder=5,
              path_effects=_HALO if chance is None else None)  # fmt: skip


@in_style
def correlation_pairs(found: Sequence[Alone], figure: Figure | None = None) -> Chart:
    """Draw the spread of each path's cost with correlation and without, one above the other.

    Parameters
    ----------
    found : sequence of Alone
        At least one.
    figure : Figure, optional
        A figure to wipe and use again.
    """
    currency = found[0].together.currency
    worst = max(found, key=lambda entry: entry.missed_usd)
    missed = f"{worst.missed_usd:,.0f} {currency}"
    title = f"Drawn each on its own, prices and durations would make P80 look up to {missed} too low"
    title += f" (path {worst.together.number})" if len(found) > 1 else ""
    if worst.missed_usd <= 0:
        title = "Drawing prices and durations each on its own would not make P80 look lower here"
    figure = sheet(figure, 9.0, 2.3 + 0.95 * len(found), title)
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
                          textcoords="offset points", va="center", size=12)  # fmt: skip
    _note(figure, "Bars: P10 to P90, thick stroke: P80. Filled: with the correlation of museum.toml; hatched: without.\n"
          "Gates met, no fallback. The mean hardly moves; the spread does.")  # fmt: skip
    pairs = ((_name(e.together), e.together.cost.p80, e.alone.cost.p80) for e in found)
    words = (f"{name}: P80 {together:,.0f} {currency} with, {alone:,.0f} without." for name, together, alone in pairs)
    return Chart(figure, f"{title}. " + " ".join(words))
