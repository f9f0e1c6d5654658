"""Charts of a move as it happens: the fan of the forecast, what is not covered, papers by date, the closed books."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from heritagemove.charts.drawing import Chart, as_number, axes_in, deadline_and_scrap, in_style, months, sheet, shorten
from heritagemove.charts.style_sheet import GREY, INK, NOTE, TEXT
from heritagemove.following.close_out import ClosedLine
from heritagemove.following.commitments import STANDS_ON, Position
from heritagemove.following.papers import Paper
from heritagemove.following.tracking import ContingencyLeft, Forecast
from heritagemove.museum.museum import Museum
from heritagemove.units.words import show_chance, show_date

_WIDTH = 10.0
_BAND, _BAR, _ACTUAL = "#9cc3ea", "#3f90da", "#ffa90e"


@in_style
def cost_fan(forecasts: Sequence[Forecast], figure: Figure | None = None) -> Chart:
    """Draw the range of the cost at completion at each status date.

    Parameters
    ----------
    forecasts : sequence of Forecast
        As :func:`heritagemove.following.tracking.fan` gives them, with known costs.
    """
    currency = forecasts[0].museum.scenario.currency
    known = [entry for entry in forecasts if entry.result.cost]
    if not known:
        figure = sheet(figure, _WIDTH, 1.2, "The cost of this path is unknown at every status date")
        return Chart(figure, "The cost of this path is unknown at every status date.")
    first, last = known[0].result.cost, known[-1].result.cost
    before, after = first.p90 - first.p10, last.p90 - last.p10
    verb = "narrowed" if after < before else "widened" if after > before else "stayed"
    title = (
        f"By {show_date(known[-1].on)} the range of the cost has {verb} from {before:,.0f} to {after:,.0f} {currency}; "
        f"P80 is {last.p80:,.0f} {currency}, planned {first.p80:,.0f}"
    )
    figure = sheet(figure, _WIDTH, 5.6, title)
    axes = axes_in(figure, 0.95, 0.85, 1.5, 0.95)
    days = [as_number(entry.on) for entry in known]
    cost = {name: [getattr(e.result.cost, name) / 1000 for e in known] for name in ("p10", "p50", "p80", "p90")}
    axes.fill_between(days, cost["p10"], cost["p90"], color=_BAND, zorder=1)
    axes.plot(days, cost["p50"], color=INK, linewidth=2.5, marker="o", markersize=8, zorder=3)
    axes.plot(days, cost["p80"], color=INK, linewidth=2.5, linestyle="--", marker="s", markersize=8, zorder=3)
    for name in ("p10", "p90"):
        axes.plot(days, cost[name], color=GREY, linewidth=1.2, zorder=2)
    _name_ends(axes, {name.upper(): values[-1] for name, values in cost.items()})
    months(axes, days[0] - 6, days[-1] + 6)
    axes.set_ylabel(f"cost at completion [thousand {currency}]")
    axes.set_xlabel("status date")
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.grid(axis="y", color="#e5e5e5")
    told = (
        f"{show_date(e.on)}: P10 {e.result.cost.p10:,.0f}, P80 {e.result.cost.p80:,.0f}, "
        f"P90 {e.result.cost.p90:,.0f} {currency}."
        for e in known
    )
    return Chart(figure, " ".join([title + ".", *told]))


def _name_ends(axes, ends: dict[str, float]) -> None:
    """Name lines at their right ends, each pushed up until it is clear of the one below."""
    low, high = axes.get_ylim()
    least, place = (high - low) * 0.065, -np.inf
    for name, value in sorted(ends.items(), key=lambda entry: entry[1]):
        place = max(value, place + least)
        right = axes.get_yaxis_transform()
        axes.text(1.01, place, f"{name}  {value:,.0f}", transform=right, va="center", size=TEXT)


@in_style
def chance_over_time(forecasts: Sequence[Forecast], figure: Figure | None = None) -> Chart:
    """Draw the chance to be off the site by the deadline, gates met, at each status date."""
    known = [entry for entry in forecasts if entry.result.chance_by_deadline is not None]
    museum = forecasts[-1].plan.museum
    chances = [entry.result.chance_by_deadline for entry in known]
    now = show_chance(chances[-1]) if known else "unknown"
    today, deadline = show_date(forecasts[-1].on), show_date(museum.scenario.deadline)
    title = f"On {today} the chance to be off the site by {deadline} is {now}"
    figure = sheet(figure, _WIDTH, 4.6, title)
    axes = axes_in(figure, 0.95, 0.85, 1.5, 0.8)
    days = [as_number(entry.on) for entry in known]
    axes.plot(days, [chance * 100 for chance in chances], color=INK, linewidth=2.5, marker="o", markersize=9)
    for day, chance in zip(days, chances, strict=True):
        below = chance > 0.85
        axes.annotate(show_chance(chance), (day, chance * 100), (0, -18 if below else 10), textcoords="offset points",
                      ha="center", size=TEXT)  # fmt: skip
    confidence = museum.scenario.simulation.confidence
    axes.axhline(confidence * 100, color=GREY, linewidth=1.5, linestyle="--")
    right = axes.get_yaxis_transform()
    axes.text(1.01, confidence * 100, f"wanted: {confidence:.0%}", transform=right, va="center", size=TEXT)
    if days:
        months(axes, days[0] - 6, days[-1] + 6)
    axes.set(ylim=(0, 105), ylabel="chance by the deadline [%]", xlabel="status date")
    told = (f"{show_date(entry.on)}: {show_chance(entry.result.chance_by_deadline)}." for entry in known)
    return Chart(figure, " ".join([title + ".", *told]))


@in_style
def contingency_against_risks(rows: Sequence[ContingencyLeft], figure: Figure | None = None, *, currency: str) -> Chart:
    """Draw the contingency that is left beside what the ranges and risks that are still open ask for.

    Parameters
    ----------
    currency : str, optional
        ISO 4217 code of the museum's currency.
    """
    last = rows[-1]
    enough = last.left_usd >= last.needed_usd
    title = (
        f"On {show_date(last.on)} {last.left_usd:,.0f} {currency} of contingency is left; "
        f"P80 asks for {last.needed_usd:,.0f}: {'enough' if enough else 'not enough'}"
    )
    figure = sheet(figure, _WIDTH, 5.0, title)
    axes = axes_in(figure, 0.95, 1.2, 0.4, 0.95)
    at = np.arange(len(rows))
    bars = (
        ("left: budget less mean of the lines", [row.left_usd for row in rows], _BAR, ""),
        ("needed for P80: open ranges and risks", [row.needed_usd for row in rows], _ACTUAL, "///"),
        ("mean of the open risks", [row.open_risks_usd for row in rows], "white", "..."),
    )
    for place, (label, values, colour, hatch) in enumerate(bars):
        heights = [value / 1000 for value in values]
        drawn = axes.bar(at + (place - 1) * 0.28, heights, 0.27, color=colour, edgecolor=INK, hatch=hatch, label=label)
        axes.bar_label(drawn, [f"{height:,.1f}" for height in heights], size=NOTE, padding=2)
    axes.axhline(0, color=INK, linewidth=1)
    axes.set_xticks(at, [show_date(row.on) for row in rows])
    axes.set_ylabel(f"thousand {currency}")
    axes.margins(y=0.15)
    figure.legend(loc="lower center", ncols=3, frameon=False, fontsize=NOTE)
    told = (
        f"{show_date(r.on)}: left {r.left_usd:,.0f}, needed {r.needed_usd:,.0f}, "
        f"open risks {r.open_risks_usd:,.0f} {currency}."
        for r in rows
    )
    return Chart(figure, " ".join([title + ".", *told]))


@in_style
def open_lines(
    positions: Sequence[Position], missing: Sequence[Position], figure: Figure | None = None, *, currency: str
) -> Chart:
    """Draw the lines that no quote covers, with their ranges, dearest first.

    Parameters
    ----------
    positions : sequence of Position
        Every line, to name what the others stand on.
    missing : sequence of Position
        As :func:`heritagemove.following.papers.uncovered` gives them.
    currency : str, optional
        ISO 4217 code of the museum's currency.
    """
    known = [entry for entry in missing if entry.likely_usd is not None]
    unknown = len(missing) - len(known)
    total = sum(entry.likely_usd for entry in known)
    more = f", {unknown} of unknown cost" if unknown else ""
    title = f"No quote covers {len(missing)} of {len(positions)} lines: {total:,.0f} {currency} on average{more}"
    if not missing:
        title = f"Every one of {len(positions)} lines is quoted or settled"
    figure = sheet(figure, _WIDTH, 2.0 + 0.45 * max(len(known), 1), title)
    axes = axes_in(figure, 3.9, 1.2, 0.9, 0.65)
    for y, entry in enumerate(known):
        low, likely, high = (usd / 1000 for usd in (entry.low_usd, entry.likely_usd, entry.high_usd))
        axes.plot([low, high], [y, y], color=_BAR, linewidth=9, solid_capstyle="butt", zorder=2)
        axes.plot([likely], [y], marker="D", color=INK, markersize=8, zorder=3)
        axes.text(high, y, f"  {likely:,.1f}", va="center", size=TEXT)
    axes.set_yticks(range(len(known)), [shorten(entry.line.title, 40) for entry in known])
    axes.set(ylim=(len(known) - 0.4, -0.6), xlabel=f"thousand {currency}; bar: least to most of the trials, diamond: mean")
    axes.set_xlim(left=0)
    stands = {words: sum(entry.stands_on == key for entry in positions) for key, words in STANDS_ON.items()}
    said = "All lines: " + ", ".join(f"{count} {words}" for words, count in stands.items() if count) + "."
    figure.text(0.15 / _WIDTH, 0.1 / figure.get_size_inches()[1], said, size=TEXT)
    told = (f"{e.line.title}: mean {e.likely_usd:,.0f}, up to {e.high_usd:,.0f} {currency}." for e in known)
    return Chart(figure, " ".join([title + ".", said, *told]))


_STATES = {"expired": ("X", "#c62828"), "expiring": ("^", _ACTUAL), "holds": ("o", _BAR), "accepted": ("s", "#7a7a7a")}


@in_style
def papers_by_date(museum: Museum, forecast: Forecast, found: Sequence[Paper], figure: Figure | None = None) -> Chart:
    """Draw the last day of each quote, letter and permit against the status date and the deadline."""
    counts = {state: sum(paper.state == state for paper in found) for state in _STATES}
    title = (
        f"On {show_date(forecast.on)} {counts['expired']} of {len(found)} papers have expired and "
        f"{counts['expiring']} soon will"
    )
    figure = sheet(figure, _WIDTH, 2.1 + 0.45 * max(len(found), 1), title)
    axes = axes_in(figure, 3.2, 0.75, 0.4, 0.95)
    today, deadline = as_number(forecast.on), as_number(museum.scenario.deadline)
    days = [as_number(paper.until) for paper in found]
    months(axes, min([today, *days]) - 35, max([deadline, *days]) + 95)
    deadline_and_scrap(axes, museum)
    axes.axvline(today, color=INK, linewidth=2, linestyle=":")
    axes.text(today, -0.55, " status date", size=NOTE, va="center")
    for y, (paper, day) in enumerate(zip(found, days, strict=True)):
        shape, colour = _STATES[paper.state]
        axes.plot([min(today, day), max(today, day)], [y, y], color=GREY, linewidth=1.2, zorder=2)
        axes.plot([day], [y], marker=shape, color=colour, markeredgecolor=INK, markersize=12, zorder=4)
        left = day < today and day - axes.get_xlim()[0] > 60  # else its words would run into the names
        look = {"va": "center", "size": NOTE, "bbox": {"facecolor": "white", "edgecolor": "none", "pad": 1.0}, "zorder": 3}
        side = {"xytext": (-12 if left else 12, 0), "ha": "right" if left else "left"}
        axes.annotate(paper.in_words(), (day, y), textcoords="offset points", **side, **look)
    axes.set_yticks(range(len(found)), [shorten(paper.title, 32) for paper in found])
    axes.set_ylim(len(found) - 0.4, -1.0)
    told = (f"{paper.title}: {show_date(paper.until)}, {paper.in_words()}." for paper in found)
    return Chart(figure, " ".join([title + ".", *told]))


@in_style
def estimate_against_actual(rows: Sequence[ClosedLine], figure: Figure | None = None, *, currency: str) -> Chart:
    """Draw each settled line's invoices against the range of the plan.

    Parameters
    ----------
    rows : sequence of ClosedLine
        As :func:`heritagemove.following.close_out.close_out` gives them.
    currency : str, optional
        ISO 4217 code of the museum's currency.
    """
    shown = [row for row in rows if row.difference_usd is not None]
    over = sum(row.difference_usd for row in shown)
    words = f"{abs(over):,.0f} {currency} {'over' if over > 0 else 'under'} the plan's means"
    title = f"The {len(shown)} settled lines came to {words}" if shown else "No line is settled yet"
    figure = sheet(figure, _WIDTH, 1.7 + 0.5 * max(len(shown), 1), title)
    axes = axes_in(figure, 4.1, 0.75, 0.9, 0.65)
    for y, row in enumerate(shown):
        p10, mean, p90, actual = (usd / 1000 for usd in (row.p10_usd, row.mean_usd, row.p90_usd, row.actual_usd))
        axes.plot([p10, p90], [y, y], color=_BAND, linewidth=12, solid_capstyle="butt", zorder=1)
        axes.plot([mean, mean], [y - 0.25, y + 0.25], color=INK, linewidth=2, zorder=2)
        axes.plot([actual], [y], marker="D", color=_ACTUAL, markeredgecolor=INK, markersize=10, zorder=3)
        sign = "+" if row.difference_usd > 0 else "−"
        axes.text(max(p90, actual), y, f"   {sign}{abs(row.difference_usd):,.0f}", va="center", size=TEXT)
    axes.set_yticks(range(len(shown)), [shorten(row.title, 42) for row in shown])
    axes.set(ylim=(len(shown) - 0.4, -0.6))
    axes.set_xlabel(f"thousand {currency}; bar: P10 to P90, line: mean, diamond: paid")
    axes.set_xlim(left=0)
    told = (f"{r.title}: estimate {r.mean_usd:,.0f}, invoiced {r.actual_usd:,.0f} {currency}." for r in shown)
    return Chart(figure, " ".join([title + ".", *told]))
