"""The cost of every path over distance or another driver, and where the order of two of them changes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove.answers.break_even import DISTANCE, BreakEven, Curve, Curves, break_evens, stops
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet
from heritagemove.charts.marks import colour_of, draw_mark, shape_of, short_name
from heritagemove.charts.style_sheet import GREY, INK, NOTE, PALE, SHEET, TEXT

_SIZE = (SHEET, 6.4)
_SHADED = 4
_ROW = 0.056  # least distance between two names at the right, as a share of the axes


@in_style
def break_even_curves(found: Curves, figure: Figure | None = None) -> Chart:
    """Draw the cost of each path that could be taken over a driver's amounts, and the ranges of the break-evens."""
    pairs = in_order(found)
    flipping = [pair for pair in pairs if pair.flips]
    title = _title(found, flipping)
    figure = sheet(figure, *_SIZE, title)
    axes = axes_in(figure, 0.85, 1.25, 2.25, 1.75 if flipping else 0.95)
    shown = found.usable()
    _ranges(axes, found, flipping[:_SHADED])
    for curve in shown:
        _draw(axes, curve)
    highest = max((np.nanmax(curve.cost_usd) for curve in shown), default=1000.0) / 1000
    axes.set(xlim=(found.amounts[0], found.amounts[-1]), ylim=(0, highest * 1.08))
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.grid(axis="y", color="#e4e4e4")
    axes.set_ylabel(f"Cost at P{found.percent:g} [thousand {found.comparison.museum.scenario.currency}]")
    axes.set_xlabel(_axis(found))
    _names(axes, found, shown)
    _note(figure, found, flipping)
    words = [pair.in_words() for pair in flipping] + [stop.in_words(found.unit) for stop in stops(found)]
    costs = [f"Path {c.number}, {c.title}: {_ends(c, found.comparison.museum.scenario.currency)}." for c in shown]
    return Chart(figure, " ".join([f"{title}.", *costs, *words]))


def in_order(found: Curves) -> list[BreakEven]:
    """Return the break-evens, those whose order changes first, and among them those of the choice and the fallback."""
    roles = (found.comparison.choice, found.comparison.fallback)

    def key(pair: BreakEven) -> tuple[bool, int]:
        names = (pair.one.path, pair.other.path)
        return not pair.flips, len(roles) - sum(name in roles for name in names)

    return sorted(break_evens(found), key=key)


def _title(found: Curves, flipping: Sequence[BreakEven]) -> str:
    name = found.comparison.museum.vehicle(found.comparison.vehicle).name
    if flipping:
        return f"{name}: p{flipping[0].in_words(closeness=False)[1:]}".rstrip(".")
    low, high, shown = found.amounts[0], found.amounts[-1], found.usable()
    span = f"from {low:,.4g} to {high:,.4g} {found.unit}"
    if len(shown) < 2:
        return f"{name}: {'only one path' if shown else 'no path'} can be taken {span}, so nothing breaks even"
    return f"{name}: no two of {len(shown)} paths change their order by cost {span}"


def _axis(found: Curves) -> str:
    if found.driver == DISTANCE:
        return f"Road distance from site to museum; the rail route keeps its proportion [{found.unit.removesuffix('s')}]"
    return f"{found.driver.replace('_', ' ').capitalize()} [{found.unit.removesuffix('s')}]"


def _draw(axes: Axes, curve: Curve) -> None:
    cost, colour = curve.cost_usd / 1000, colour_of(curve.number)
    open_ones = np.isin(curve.statuses, ("clear", "caution"))
    axes.plot(curve.amounts, np.where(open_ones, cost, np.nan), color=colour, linewidth=2.6, zorder=3)
    axes.plot(curve.amounts, cost, color=colour, linewidth=1.6, linestyle=(0, (2, 3)), zorder=2)
    step = max(len(curve.amounts) // 4, 1)
    for n in range(step // 2, len(curve.amounts), step):
        if not np.isnan(cost[n]):
            draw_mark(axes, curve.amounts[n], cost[n], curve.number, "full" if open_ones[n] else "crossed", 10)


def _ranges(axes: Axes, found: Curves, flipping: Sequence[BreakEven]) -> None:
    """Shade where the order changes or is too close to call, with the two numbers above, the lowest amounts first."""
    over, width = axes.get_xaxis_transform(), found.amounts[-1] - found.amounts[0]
    taken: list[list[float]] = [[], []]
    for pair in sorted(flipping, key=lambda pair: pair.range):
        start, end = pair.range
        axes.axvspan(start, end, facecolor=PALE, edgecolor=GREY, hatch="//", linewidth=0.8, zorder=0)
        text = f"{pair.before.number} → {pair.after.number}\n{start:,.4g} to {end:,.4g}"
        middle = min(max((start + end) / 2, found.amounts[0] + 0.09 * width), found.amounts[-1] - 0.09 * width)
        row = next((n for n, row in enumerate(taken) if all(abs(middle - other) > 0.2 * width for other in row)), None)
        if row is None:
            continue  # too many side by side; the table tells them all
        taken[row].append(middle)
        axes.text(middle, 1.02 + 0.13 * row, text, transform=over, ha="center", va="bottom", size=NOTE, linespacing=1.1)
    if found.now is not None and found.amounts[0] <= found.now <= found.amounts[-1]:
        axes.axvline(found.now, color=INK, linewidth=1.6, linestyle="--", zorder=1)
        axes.text(found.now, 0.02, f" now {found.now:,.4g}", transform=over, va="bottom", size=TEXT)


def _names(axes: Axes, found: Curves, shown: Sequence[Curve]) -> None:
    """Name each curve at its right end; names that would overlap are pushed apart."""
    top = axes.get_ylim()[1]
    ends = sorted(shown, key=lambda curve: curve.cost_usd[-1])
    heights = [float(curve.cost_usd[-1]) / 1000 / top for curve in ends]
    places = list(heights)
    for n in range(1, len(places)):
        places[n] = max(places[n], places[n - 1] + _ROW)
    beside = {"transform": axes.transAxes}
    for curve, height, place in zip(ends, heights, places, strict=True):
        axes.plot([1.0, 1.03], [height, place], color=GREY, linewidth=0.8, clip_on=False, **beside)
        axes.plot([1.045], [place], marker=shape_of(curve.number), color=colour_of(curve.number), markersize=10,
                  markeredgecolor=INK, clip_on=False, **beside)  # fmt: skip
        axes.text(1.07, place, f"{curve.number}", size=TEXT, weight="bold", va="center", **beside)
        name = short_name(found.comparison.path(curve.path))
        axes.text(1.135 if curve.number > 9 else 1.11, place, name, size=TEXT, va="center", **beside)


def _note(figure: Figure, found: Curves, flipping: Sequence[BreakEven]) -> None:
    always = [str(c.number) for c in found.paths if c.saves and c not in found.usable()]
    left_out = f"\nNot drawn, blocked or unknown throughout: {', '.join(always)}." if always else ""
    broken = any(status in ("blocked", "unknown") for curve in found.usable() for status in curve.statuses)
    more = f" {len(flipping) - _SHADED} more pairs in the table." if len(flipping) > _SHADED else ""
    note = f"Gates met, no fallback. Hatched: the order of two paths changes or is too close to call.{more}"
    note += "\nDotted with crossed marks: blocked or unknown there." if broken else ""
    note += left_out
    footnote(figure, note)


def _ends(curve: Curve, currency: str) -> str:
    first, last = (f"{curve.cost_usd[n]:,.0f} {currency} at {curve.amounts[n]:,.4g}" for n in (0, -1))
    return f"{first}, {last}"
