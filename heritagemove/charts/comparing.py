"""Charts of all paths of one unit: cost against date, and the two chances apart."""

from __future__ import annotations

import math
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.transforms import Affine2D

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
from heritagemove.charts.marks import colour_of, draw_mark, likelihood, name_marks, numbered_name, short_name
from heritagemove.charts.style_sheet import GREY, INK, SHEET, TEXT
from heritagemove.compare.results import Comparison, PathResult, Spread
from heritagemove.units.words import show_chance, show_date, show_rounded

_SIZE = (SHEET, 5.5)
_MARK = 15.0
#: Characters of a name in the list beside the axes.
_NAME = 21


def finding(comparison: Comparison) -> str:
    """Return what the comparison found, as the title of its chart."""
    currency = comparison.museum.scenario.currency
    name = comparison.museum.vehicle(comparison.vehicle).name
    deadline = show_date(comparison.museum.scenario.deadline)
    if comparison.choice is None:
        return f"{name}: {comparison.decision.in_short}"
    best = comparison.path(comparison.choice)
    told = comparison.decision
    sure = told.chance_if_decided_then >= comparison.museum.scenario.simulation.confidence
    return (
        f"{numbered_name(best)} {'gets' if sure else 'has the best chance to get'} {name} off the site by {deadline}: "
        f"{show_chance(told.chance_if_decided_then)} likely, {show_rounded(told.budget.at_confidence)} {currency} to be set "
        "aside, refusals included"
    )


@in_style
def cost_against_date(comparison: Comparison, figure: Figure | None = None) -> Chart:
    """Draw cost against the date off the site: one numbered mark per path, with its P10 to P90 both ways."""
    title = finding(comparison)
    figure = sheet(figure, *_SIZE, title)
    axes = axes_in(figure, 0.8, 1.3, 2.95, 1.1)
    shown = [result for result in comparison.paths if result.cost and result.off_site_days]
    places = [_placed(comparison, result) for result in shown]
    _limits(axes, comparison, places)
    deadline_and_scrap(axes, comparison.museum)
    _bars(axes, comparison, shown, places)
    confidence = comparison.museum.scenario.simulation.confidence
    points = [(day_as_number(comparison.museum, days.p50), usd / 1000) for _, days, usd in places]
    for result, (x, y) in zip(shown, points, strict=True):
        draw_mark(axes, x, y, result.number, likelihood(result, confidence), _MARK)
    # The widest labels, choice and fallback, find their places first.
    labels = [_label(comparison, result) for result in shown]
    order = sorted(range(len(shown)), key=lambda row: -len(labels[row]))
    name_marks(axes, [points[row] for row in order], [labels[row] for row in order], _MARK, 14)
    _key(figure, axes, comparison, confidence)
    axes.set_ylabel(f"Cost [thousand {comparison.museum.scenario.currency}]")
    axes.set_xlabel("Date off the site")
    note = f"Mark: P50, choice: sum to set aside; bars: P10 to P90. Filled: date and gates each at least {confidence:.0%};\n"
    note += "half: each at least 50%; hollow: one of them less; crossed: blocked; question mark: unknown."
    footnote(figure, note, TEXT)
    alt = f"{title}. " + " ".join(_in_words(comparison, result) for result in comparison.paths)
    return Chart(figure, alt, fixed=True)


#: Cost [USD], day off the site, and the cost at which the mark stands [USD].
_Place = tuple[Spread, Spread, float]


def _placed(comparison: Comparison, result: PathResult) -> _Place:
    """Return cost [USD], day off the site, and the cost at which the mark stands: of the choice, what is to be set aside.

    The choice stands where its decision stands, refusals and what is done after them included.
    """
    played = comparison.decision.played
    if result.path != comparison.choice or played is None or not played.saved.any():
        return result.cost, result.off_site_days, result.cost.p50
    days = Spread.of(played.off_site[played.saved])
    return Spread.of(played.cost_usd), days, comparison.decision.budget.at_confidence


def _limits(axes: Axes, comparison: Comparison, places: Sequence[_Place]) -> None:
    """Fix the axes by months and round sums, so that they rest while a slider moves a little."""
    scenario = comparison.museum.scenario
    late = [day_as_number(comparison.museum, days.p90) for _, days, _ in places]
    last = max([as_number(scenario.forced_scrap), *late]) + 20
    start = as_number(scenario.start)
    months(axes, start, start + math.ceil((last - start) / 30) * 30)
    highest = max([max(cost.p90, usd) / 1000 for cost, _, usd in places], default=100.0)
    step = 10 ** math.floor(math.log10(max(highest, 1.0))) / 2
    lowest = min([cost.p10 / 1000 for cost, _, _ in places], default=0.0)
    axes.set_ylim(min(0.0, math.floor(lowest / step) * step), (math.floor(highest / step) + 1) * step)
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.grid(axis="y", color="#e4e4e4")
    if lowest < 0:
        axes.axhline(0, color=GREY, linewidth=1)


def _bars(axes: Axes, comparison: Comparison, shown: Sequence[PathResult], places: Sequence[_Place]) -> None:
    def day(value: float) -> float:
        return day_as_number(comparison.museum, value)

    dashes = ["--" if result.status in ("blocked", "unknown") else "-" for result in shown]
    colours = ["#999999" if result.status in ("blocked", "unknown") else colour_of(result.number) for result in shown]
    look = {"colors": colours, "linestyles": dashes, "linewidth": 2.5, "zorder": 3}
    costs, dates, marks = zip(*places, strict=True) if places else ((), (), ())
    axes.hlines([usd / 1000 for usd in marks], [day(d.p10) for d in dates], [day(d.p90) for d in dates], **look)
    axes.vlines([day(d.p50) for d in dates], [c.p10 / 1000 for c in costs], [c.p90 / 1000 for c in costs], **look)


def _label(comparison: Comparison, result: PathResult) -> str:
    role = {comparison.choice: " choice", comparison.fallback: " fallback"}.get(result.path, "")
    return f"{result.number}{role}"


def _key(figure: Figure, axes: Axes, comparison: Comparison, confidence: float) -> None:
    """List every path beside the axes, those without a date or a cost too."""
    # Rows are counted from the top of the key; it needs no axes of its own, which would cost more than all its marks.
    rows = max(len(comparison.paths), 11)
    down = (_SIZE[1] - 1.3 - 1.2) / rows
    inches = Affine2D().scale(1, -down).translate(_SIZE[0] - 2.8, _SIZE[1] - 1.2 - down / 2)
    where = {"transform": inches + figure.dpi_scale_trans}
    for row, result in enumerate(comparison.paths):
        draw_mark(axes, 0.12, row, result.number, likelihood(result, confidence), 13, **where)
        absent = "" if result.cost and result.off_site_days else " (no date)" if result.cost else " (no cost)"
        chosen = result.path in (comparison.choice, comparison.fallback)
        name = shorten(short_name(result), _NAME - len(absent)) + absent
        axes.text(0.3, row, f"{result.number}", size=TEXT, weight="bold", va="center", **where)
        axes.text(0.6, row, name, size=TEXT, va="center", weight="bold" if chosen else "normal", **where)


def _in_words(comparison: Comparison, result: PathResult) -> str:
    if result.cost is None:
        return f"Path {result.number}, {result.title}: {result.status}, cost unknown."
    cost = f"{result.cost.p50:,.0f} {result.currency} (P10 {result.cost.p10:,.0f}, P90 {result.cost.p90:,.0f})"
    if result.path == comparison.choice:
        cost += f" if nothing is refused, {comparison.decision.budget.at_confidence:,.0f} {result.currency} to be set aside"
    if result.off_site is None:
        return f"Path {result.number}, {result.title}: {result.status}, {cost}, no date off the site."
    date, arrives = result.off_site, result.arrived
    there = f", at the museum {show_date(arrives.p50)} (P90 {show_date(arrives.p90)})" if arrives else ", no date of arrival"
    return (
        f"Path {result.number}, {result.title}: {result.status}, {cost}, off the site {show_date(date.p50)} "
        f"(P10 {show_date(date.p10)}, P90 {show_date(date.p90)}){there}."
    )


@in_style
def chances(comparison: Comparison, figure: Figure | None = None) -> Chart:
    """Draw each path's chance by the deadline and its chance of the gates, apart."""
    confidence = comparison.museum.scenario.simulation.confidence
    good = [r for r in comparison.paths if likelihood(r, confidence) == "full" and r.saves]
    numbers = ", ".join(str(result.number) for result in good)
    title = f"{len(good)} of {len(comparison.paths)} paths save it in time and past their gates, each at {confidence:.0%}"
    title = f"{title}: {numbers}" if good else title.replace("0 of", "None of")
    rows = len(comparison.paths)
    figure = sheet(figure, SHEET, 1.95 + 0.6 * rows, title)
    axes = axes_in(figure, 2.45, 0.75, 1.45, 0.95)
    axes.set(xlim=(0, 1), ylim=(rows - 0.5, -0.5), yticks=[], xlabel="Chance [%]")
    axes.set_xticks([0, 0.25, 0.5, 0.75, 1], ["0", "25", "50", "75", "100"])
    axes.axvline(confidence, color=INK, linewidth=1.5, linestyle="--", zorder=1)
    above = {"transform": axes.get_xaxis_transform(), "ha": "right", "va": "bottom"}
    axes.text(confidence, 1.01, f"planned at {confidence:.0%}", **above)
    for row, result in enumerate(comparison.paths):
        _chance_rows(axes, row, result, likelihood(result, confidence))
    words = (
        f"Path {r.number}, {r.title}: {_by_deadline(r)}, gates {show_chance(r.chance_of_gates)}." for r in comparison.paths
    )
    return Chart(figure, f"{title}. " + " ".join(words))


def _by_deadline(result: PathResult) -> str:
    return "never off the site" if result.off_site is None else f"in time {show_chance(result.chance_by_deadline)}"


def _chance_rows(axes: Axes, row: int, result: PathResult, filled: str) -> None:
    colour = colour_of(result.number)
    beside = {"transform": axes.get_yaxis_transform()}
    draw_mark(axes, -0.44, row, result.number, filled, 13, **beside)
    axes.text(-0.405, row, f"{result.number}", weight="bold", va="center", **beside)
    axes.text(-0.345, row, short_name(result), va="center", **beside)
    for offset, chance, hatch, word in (
        (-0.19, result.chance_by_deadline, "", _by_deadline(result)),
        (0.19, result.chance_of_gates, "///", f"gates {show_chance(result.chance_of_gates)}"),
    ):
        look = {"facecolor": "white" if hatch else colour, "edgecolor": colour if hatch else INK, "hatch": hatch}
        axes.barh(row + offset, chance or 0, 0.34, zorder=2, **look)
        axes.text((chance or 0) + 0.012, row + offset, word, va="center", zorder=4, bbox={"color": "white", "pad": 0.5})
