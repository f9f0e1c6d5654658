"""The desk's chart: how dear, how late and how risky each path is, all in, and where it stood before the last change."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from heritagemove.charts.drawing import Chart, as_number, axes_in, day_as_number, footnote, in_style, months, sheet
from heritagemove.charts.marks import colour_of, draw_mark, likelihood, name_marks, short_name
from heritagemove.charts.style_sheet import GREY, INK, PALE, SMALL, TEXT
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.trials.simulation import NEVER, date_of
from heritagemove.units.words import show_chance, show_date, without_brackets

_SIZE, _MARK = (6.4, 3.05), 14.0
#: Characters in a line of the margin, and how many words tell why a path is not possible.
_LINE, _REASON = 84, 3
#: Paths that save the unit set the scale up to so many times the cheapest; a dearer one is told at the top.
_TIMES = 4.0


@in_style
def at_a_glance(
    comparison: Comparison,
    before: Comparison | None = None,
    figure: Figure | None = None,
    beside: Mapping[str, tuple[str, Comparison]] | None = None,
) -> Chart:
    """Draw what each path costs all in against the day it is gone by, with its chance in words.

    The mark stands at what is to be set aside and at the date off the site in four cases of five, refusals and fallback
    included: left of the deadline is sure enough. A faint dot is where it stands with every gate met. Paths that are
    blocked or unknown are named under the axes.

    Parameters
    ----------
    comparison : Comparison
    before : Comparison, optional
        The answer before the last change, drawn as a ghost.
    beside : mapping of str to tuple, optional
        By a letter, name and answer of inputs that were kept: each choice has a mark with its letter.
    """
    title = _finding(comparison)
    figure = sheet(figure, *_SIZE, title)
    axes = axes_in(figure, 0.68, 0.93, 0.15, 0.42)
    shown = [result for result in comparison.paths if _point(comparison, result)]
    kept = _kept(beside or {})
    highest = _limits(axes, comparison, shown, [x for _, _, (x, _) in kept])
    deadline = _deadline(axes, comparison)
    if before is not None:
        _ghosts(axes, comparison, before, shown, highest)
    points, kept_points, kept_labels = [], [], []
    for result in shown:
        x, y = _point(comparison, result)
        low = min(y, highest)
        if result.cost_with_fallback:
            met = (day_as_number(comparison.museum, result.off_site_days.p80), min(result.cost.p80 / 1000, highest))
            axes.plot([met[0], x], [met[1], low], color=GREY, linewidth=0.8, alpha=0.5, zorder=2)
            axes.plot(*met, "o", markersize=4, color=GREY, alpha=0.7, zorder=2)
        confidence = comparison.museum.scenario.simulation.confidence
        draw_mark(axes, x, low, result.number, _filled(comparison, result, confidence), _MARK)
        points.append((x, low))
    for letter, result, (x, y) in kept:
        low = min(y, highest)
        draw_mark(axes, x, low, result.number, "hollow", 0.8 * _MARK)
        kept_labels.append(letter if y <= highest else f"{letter} ▲ {y:,.0f}")
        kept_points.append((x, low))
    order = sorted(range(len(shown)), key=lambda row: shown[row].path not in (comparison.choice, comparison.fallback))
    labels = [_label(comparison, shown[row], highest) for row in order]
    places = [*kept_points, *(points[row] for row in order)]
    name_marks(axes, places, [*kept_labels, *labels], _MARK, 11, [deadline])
    axes.set_ylabel(f"Set aside [1,000 {comparison.museum.scenario.currency}]")
    below = {"xycoords": "axes fraction", "textcoords": "offset points", "ha": "right", "va": "top"}
    axes.annotate("Off the site by (four cases in five, refusals and fallback included)", (1, 0), (0, -20), **below)
    footnote(figure, _margin(comparison), SMALL)
    told = [_in_words(comparison, result) for result in comparison.paths]
    told += [f"{letter}, {name}: {_finding(other)}." for letter, (name, other) in (beside or {}).items()]
    return Chart(figure, f"{title}. " + " ".join(told))


def _kept(beside: Mapping[str, tuple[str, Comparison]]) -> list[tuple[str, PathResult, tuple[float, float]]]:
    """Return letter, choice and where its mark stands of what was kept; nothing where it chooses nothing."""
    found = []
    for letter, (_, other) in beside.items():
        result = other.path(other.choice) if other.choice else None
        if result and (point := _point(other, result)):
            found.append((letter, result, point))
    return found


def _finding(comparison: Comparison) -> str:
    if comparison.choice is None:
        return f"{comparison.museum.vehicle(comparison.vehicle).name}: {comparison.decision.in_short}"
    best = comparison.path(comparison.choice)
    name = without_brackets(comparison.museum.vehicle(comparison.vehicle).name)
    return f"{name}: path {best.number}, {show_chance(comparison.chance_all_in(best))} in time"


def _point(comparison: Comparison, result: PathResult) -> tuple[float, float] | None:
    """Return where a path's mark stands; None for one that is blocked, unknown, or has no date or cost."""
    money = comparison.set_aside(result)
    if result.status == "blocked" or money is None or result.off_site_days is None:
        return None
    if result.status == "unknown" and not result.provisional:
        return None
    day, scenario = comparison.gone_all_in(result), comparison.museum.scenario
    scrapped = as_number(scenario.forced_scrap)
    return scrapped if day is None or day == NEVER else day_as_number(comparison.museum, day), money / 1000


def _filled(comparison: Comparison, result: PathResult, confidence: float) -> str:
    """Return how a mark is filled, by the chance all in."""
    chance = comparison.chance_all_in(result)
    if result.status == "unknown" or chance is None:
        return likelihood(result, confidence)
    return "full" if chance >= confidence else "half" if chance >= 0.5 else "hollow"


def _limits(axes: Axes, comparison: Comparison, shown: Sequence[PathResult], days: Sequence[float]) -> float:
    """Fix the axes by months and round sums, so that they rest while a slider moves a little; return the top."""
    scenario, points = comparison.museum.scenario, [_point(comparison, result) for result in shown]
    last = max([as_number(scenario.forced_scrap), *(x for x, _ in points), *days]) + 50
    start = as_number(scenario.start)
    months(axes, start, start + math.ceil((last - start) / 60) * 60)
    # On one line: the axis is named below them.
    axes.set_xticks(axes.get_xticks(), [tick.get_text().replace("\n", " ") for tick in axes.get_xticklabels()])
    saving = [y for result, (_, y) in zip(shown, points, strict=True) if result.saves]
    most = min(max(saving, default=100.0), _TIMES * min(saving, default=100.0))
    step = 10 ** math.floor(math.log10(max(most, 1.0))) / 2
    highest = (math.floor(most / step) + 1) * step
    lowest = min([y for _, y in points], default=0.0)
    axes.set_ylim(min(0.0, math.floor(lowest / step) * step), highest * 1.08)
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.grid(axis="y", color="#e4e4e4")
    return highest


def _deadline(axes: Axes, comparison: Comparison) -> Text:
    deadline, last = as_number(comparison.museum.scenario.deadline), axes.get_xlim()[1]
    axes.axvspan(deadline, last, facecolor="none", edgecolor=PALE, hatch="//", linewidth=0, zorder=0)
    axes.axvline(deadline, color=INK, linewidth=2, zorder=1)
    over = {"xycoords": axes.get_xaxis_transform(), "textcoords": "offset points", "va": "top", "size": TEXT}
    return axes.annotate("deadline", (deadline, 1.0), (-4, 0), ha="right", **over)


def _ghosts(
    axes: Axes, comparison: Comparison, before: Comparison, shown: Sequence[PathResult], highest: float
) -> None:
    """Draw where marks stood before, with a line to where they stand."""
    for result in shown:
        then, (x, y) = _point(before, before.path(result.path)), _point(comparison, result)
        if then is None or then == (x, y):
            continue
        axes.plot([then[0], x], [min(then[1], highest), min(y, highest)], color=colour_of(result.number), linewidth=1.5,
                  linestyle=":", zorder=2)  # fmt: skip
        axes.plot([then[0]], [min(then[1], highest)], "o", markersize=10, markerfacecolor="white",
                  markeredgecolor=colour_of(result.number), alpha=0.6, zorder=2)  # fmt: skip


def _label(comparison: Comparison, result: PathResult, highest: float) -> str:
    role = {comparison.choice: " choice", comparison.fallback: " fallback"}.get(result.path, "")
    chance, (_, y) = comparison.chance_all_in(result), _point(comparison, result)
    told = "" if chance is None else f"\n{100 * chance:.0f} in 100{_at_once(comparison, result)}"
    return f"{result.number}{role}{f' ▲ {y:,.0f}' if y > highest else ''}{told}"


def _at_once(comparison: Comparison, result: PathResult) -> str:
    """Return the chance of the choice begun at once, as the others are, where waiting for the meeting lowers it."""
    if result.path != comparison.choice or result.chance_with_fallback is None:
        return ""
    now = f"{100 * result.chance_with_fallback:.0f}"
    return "" if now == f"{100 * comparison.chance_all_in(result):.0f}" else f" ({now} at once)"


def _margin(comparison: Comparison) -> str:
    """Return the paths without a mark, each with what stops it in a few words, and how the marks are read."""
    told = []
    for status, words in (("blocked", "Not possible"), ("unknown", "Not known")):
        stopped = [r for r in comparison.paths if r.saves and r.status == status and _point(comparison, r) is None]
        told += [f"{words}: {', '.join(f'{r.number} ({_why(r)})' for r in stopped)}."] if stopped else []
    begun = "all but the choice are begun at once" if comparison.choice else "all are begun at once"
    words = " ".join([*told, f"Grey dot: nobody refuses; {begun}."])
    return "\n".join(textwrap.wrap(words, _LINE, max_lines=2, placeholder=" …"))


def _why(result: PathResult) -> str:
    stops = {"blocked": "fail", "unknown": "unknown"}.get(result.status)
    first = next((f.gate.gate for f in result.findings if f.status == stops), "no date")
    return " ".join(first.replace("_", " ").split()[:_REASON])


def gone_by(comparison: Comparison, result: PathResult) -> str:
    """Return the day by which it is off the site in four cases of five, refusals included; in words where there is none."""
    day = comparison.gone_all_in(result)
    if day is None:
        return "unknown"
    if result.status == "blocked":
        return "never"
    return "not surely" if day == NEVER else show_date(date_of(comparison.museum, day))


def _in_words(comparison: Comparison, result: PathResult) -> str:
    money, chance = comparison.set_aside(result), comparison.chance_all_in(result)
    cost = "cost unknown" if money is None else f"set aside {round(money, -3):,.0f} {result.currency}"
    gone = f"off the site: {gone_by(comparison, result)}"
    surely = "" if chance is None else f", {show_chance(chance)} in time"
    return f"Path {result.number}, {short_name(result)}: {result.status}, {cost}, {gone}{surely}."
