"""The way of a path as a strip: its legs by mile from site to museum, and below each what its gates find there."""

from __future__ import annotations

import itertools
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from heritagemove.answers.route import ABOUT, Mark, RouteStrip, WayLeg
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet
from heritagemove.charts.style_sheet import GREY, INK, NOTE, PALE, SHEET
from heritagemove.checks.margins import margin_briefly, share_used
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity
from heritagemove.units.words import show_chance

#: What each status is called on the way; its mark has a shape of its own too.
ROUTE_WORDS = {"pass": "pass", "marginal": "close", "open": "open", "fail": "over", "unknown": "unknown"}
_SHAPES = {"pass": "o", "marginal": "^", "open": "D", "fail": "X", "unknown": "s"}
_FACES = {"pass": "white", "marginal": PALE, "open": "white", "fail": INK, "unknown": "white"}
#: From what stops a path to what does not.
_WORST = ("fail", "unknown", "open", "marginal", "pass")
_CARRIED = {"own_wheels": "on its own wheels", "other_wheels": "on other wheels", "flat_car": "on a flat car",
            "trailer": "on a trailer", "transporter": "on a transporter", "roll_on_trailer": "on a rail-deck trailer",
            "shift": "shifted on the ground", "barge": "on a barge", "storage": "in storage"}  # fmt: skip

#: Width of the picture, of the names at its left, and the least of a leg, which its marks need [inch].
_WIDTH, _NAMES, _LEAST = SHEET, 1.12, 1.1
#: So many legs stand side by side; the way goes on below.
_SIDE_BY_SIDE = 7
#: Size of the text [point], height of its lines, width of a character, and of a mark with its gap [inch].
_SIZE, _LINE, _CHARACTER, _MARK = NOTE, 0.178, 0.09, 0.2
#: Characters of a line of a name at the left.
_NAME = 10
#: As many marks of one kind are shown on a leg; of more, the worst and how many are no worse.
_MOST = 3


@dataclass(frozen=True)
class Spot:
    """One mark of the strip, or several that stand as one, with its box as shares of the figure, from left and top."""

    marks: tuple[Mark, ...]  # the first gives the status
    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class _Band:
    """A part of the way whose legs stand side by side; all measures from the left and from the top [inch]."""

    legs: range  # numbers of its stretches
    edges: tuple[float, ...]  # of the legs, from the left
    top: float
    heads: tuple[list[str], ...]  # lines above each leg
    strip: float  # top of the line of the way
    kept: float  # top of the lines that name who runs it and in which state
    lanes: dict[str, tuple[float, float]]  # top and height of each
    bottom: float
    widened: bool  # whether a short leg is drawn longer than to scale

    def right(self, at: int) -> float:
        """Return where a leg ends."""
        return self.edges[at - self.legs.start + 1]

    def left(self, at: int) -> float:
        """Return where a leg begins."""
        return self.edges[at - self.legs.start]


def route_spots(way: RouteStrip) -> tuple[Spot, ...]:
    """Return where the marks of a strip stand in its picture, for a screen that says more of each."""
    bands = _bands(way)
    tall = _tall(bands)
    return tuple(
        Spot(marks, left / _WIDTH, (top - 0.04) / tall, width / _WIDTH, (height + 0.04) / tall)
        for band in bands
        for marks, _, left, top, width, height in _placed(way, band)
    )


@in_style
def route_strip(way: RouteStrip, figure: Figure | None = None, brief: bool = False) -> Chart:
    """Draw the way of a path by mile, with each bridge, height, curve, grade, wire and permit on it.

    Parameters
    ----------
    way : RouteStrip
        As :func:`heritagemove.answers.route.strip` returns it.
    brief : bool, optional
        Whether kinds of which all pass are named at the foot instead of drawn, as for a wall.
    """
    title, whole = route_finding(way), way
    if brief:
        kinds = {mark.about for mark in way.marks if mark.finding.status != "pass"}
        way = replace(way, marks=tuple(mark for mark in way.marks if mark.about in kinds))
    if not way.stretches:
        return Chart(sheet(figure, _WIDTH, 1.0, title), title)
    bands = _bands(way)
    figure = sheet(figure, _WIDTH, _tall(bands), title)
    axes = axes_in(figure, 0, 0, 0, 0)
    axes.set(xlim=(0, _WIDTH), ylim=(_tall(bands), 0))
    axes.set_axis_off()
    for band in bands:
        _draw_way(axes, way, band)
        _draw_keepers(axes, way, band)
        for about, (top, height) in band.lanes.items():
            axes.plot([0.15, band.edges[-1]], [top, top], color=PALE, linewidth=1)
            middle = top + min(height, 3 * _LINE) / 2
            axes.text(0.15, middle, textwrap.fill(about, _NAME), size=_SIZE, weight="bold", va="center", linespacing=1.0)
        for marks, lines, left, top, _, _ in _placed(way, band):
            _draw_mark(axes, marks[0].finding.status, lines, left, top)
    drawn = {mark.about for mark in way.marks}
    passed = [about for about in ABOUT if about not in drawn and about in {mark.about for mark in whole.marks}]
    footnote(figure, _note(way, bands, passed), _SIZE)
    return Chart(figure, f"{title}. {_in_words(whole)}", fixed=True)


def route_finding(way: RouteStrip) -> str:
    """Return what stops a path on its way, or what is closest to it, as the title of its strip."""
    system = way.museum.scenario.units
    name = f"Path {way.number}, {way.path.replace('_', ' ')}"
    if not way.stretches:
        return f"{name}: the unit goes nowhere"
    far = "of unknown length" if way.miles is None else show_measure(Quantity(way.miles, "mile"), system)
    if not way.marks:
        return f"{name}, {far}: no gate asks for anything on the way"
    worst = min(way.marks, key=_rank)
    where = _place(worst)
    alike = [mark for mark in way.marks if mark.finding.status == worst.finding.status]
    more = f"; and {len(alike) - 1} more" if len(alike) > 1 else ""
    stops = "stopped by" if worst.finding.gate.kind == "hard_stop" else "not as it should be:"
    beside = sum(finding.status != "pass" for finding in way.whole)
    not_all = f"; {beside} gates beside the way are not passed" if beside else ""
    said = {
        "fail": f"{stops} {where}{_by(worst, way)}{more}",
        "unknown": f"not known is {where}{more}",
        "open": f"leave must be given for {where}{more}",
        "marginal": f"the way itself is within limits, close is {where}{_by(worst, way)}{more}{not_all}",
        "pass": f"nothing on the way is near its limit{not_all}",
    }[worst.finding.status]
    return f"{name}, {far}: {said}"


def _place(mark: Mark) -> str:
    """Return what a mark is of, within a sentence."""
    joined = {"bridge": "bridge", "lift or shift": "the lift or shift at", "permit or letter": "the permit or letter of"}
    return f"{joined.get(mark.about, f'the {mark.about} of')} “{mark.where}”"


def _rank(mark: Mark) -> tuple[int, bool, float]:
    """Return what sorts the worst first: by status, hard stops before cautions, then by what of a limit is used."""
    finding = mark.finding
    used = (finding.check.utilization or 0.0) if finding.check else finding.refusal
    return _WORST.index(finding.status), finding.gate.kind != "hard_stop", -used


def _by(mark: Mark, way: RouteStrip) -> str:
    words = next(iter(_margins(mark, way)), "")
    return f", {words}" if words else ""


def _margins(mark: Mark, way: RouteStrip) -> list[str]:
    """Return a margin in a few characters, the best words first; the chance of a no where somebody answers."""
    finding = mark.finding
    if finding.check is None:
        return [f"no: {show_chance(finding.refusal)}"] if finding.refusal else []
    by, used = margin_briefly(finding.check, way.museum.scenario.units), share_used(finding.check)
    return [words for words in (by, by.removeprefix("by "), used) if words]


def _bands(way: RouteStrip) -> list[_Band]:
    bands: list[_Band] = []
    count = len(way.stretches)
    each = -(-count // -(-count // _SIDE_BY_SIDE))
    for start in range(0, count, each):
        legs = range(start, min(start + each, count))
        bands.append(_band(way, legs, bands[-1].bottom + 0.15 if bands else 0.78))
    return bands


def _tall(bands: Sequence[_Band]) -> float:
    return bands[-1].bottom + 0.6


def _band(way: RouteStrip, legs: range, top: float) -> _Band:
    stretches = [way.stretches[at] for at in legs]
    widths, widened = _widths(stretches)
    edges = tuple(np.cumsum([_NAMES, *widths]))
    pairs, most = zip(stretches, widths, strict=True), {"max_lines": 4, "placeholder": " …", **_WHOLE_WORDS}
    heads = tuple(textwrap.wrap(stretch.title, _fits(width - 0.06), **most) for stretch, width in pairs)
    strip = top + _LINE * (max(map(len, heads)) + _staged(way)) + 0.1
    kept, lanes = strip + 0.44, {}
    down = kept + _LINE * (1 + any(s.state for s in stretches)) + 0.08
    for about in ABOUT:
        tall, named = 0.0, len(textwrap.wrap(about, _NAME)) * _LINE
        for at, width in zip(legs, widths, strict=True):
            spots = [_lines(way, marks, width) for marks in _grouped(way, about, at)]
            tall = max(tall, sum(map(len, spots)) * _LINE + 0.06 * (len(spots) - 1))
        if tall:
            lanes[about] = (down, max(tall, named) + 0.1)
            down += lanes[about][1]
    return _Band(legs, edges, top, heads, strip, kept, lanes, down, widened)


def _staged(way: RouteStrip) -> bool:
    return len({stretch.stage for stretch in way.stretches}) > 1


def _fits(inches: float) -> int:
    return max(int(inches / _CHARACTER), 5)


def _widths(stretches: Sequence[WayLeg]) -> tuple[list[float], bool]:
    """Return the width of each leg [inch], as its miles are but never less than its marks need; whether any is widened."""
    room = _WIDTH - _NAMES - 0.1
    least = min(_LEAST, room / len(stretches))
    miles = [stretch.miles or 0.0 for stretch in stretches]
    order = sorted(range(len(miles)), key=lambda number: miles[number])
    widths, left, rest = [least] * len(miles), room, sum(miles)
    for place, number in enumerate(order):
        # Of those that are no shorter, each has its share of what is left.
        share = left * miles[number] / rest if rest else left / (len(order) - place)
        widths[number] = max(share, least)
        left, rest = left - widths[number], rest - miles[number]
    return widths, any(width == least for width in widths)


def _grouped(way: RouteStrip, about: str, at: int) -> list[tuple[Mark, ...]]:
    """Return the marks of one kind on a leg: bridges one by one, all else, and what are too many, behind the worst."""
    marks = [mark for mark in way.marks if mark.about == about and mark.at == at]
    ranked = sorted(marks, key=_rank)
    if about != "bridge":
        return [tuple(ranked)] if ranked else []
    bridges = [tuple(m for m in ranked if m.where == where) for where in dict.fromkeys(mark.where for mark in marks)]
    if len(bridges) <= _MOST:
        return bridges
    bridges.sort(key=lambda found: _rank(found[0]))
    return [*bridges[: _MOST - 1], tuple(itertools.chain.from_iterable(bridges[_MOST - 1 :]))]


def _lines(way: RouteStrip, marks: tuple[Mark, ...], width: float) -> list[str]:
    """Return the lines of a mark: its word, by how much, and what it is where its leg does not say so."""
    first, fits = marks[0], _fits(width - _MARK - 0.08)
    word, margins = ROUTE_WORDS[first.finding.status], _margins(first, way)
    told = [word]
    if margins and len(word) + 1 + len(margins[0]) <= fits:
        told = [f"{word} {margins[0]}"]
    elif margins:
        told.append(next((words for words in margins if len(words) <= fits), margins[-1]))
    if len({mark.where for mark in marks}) == 1 and first.about in ("bridge", "permit or letter"):
        told += [_cut(line, fits) for line in textwrap.wrap(first.where, fits, **_WHOLE_WORDS)[:2]]
    elif len(marks) > 1:
        told.append(f"worst of {len(marks)}")
    return told


_WHOLE_WORDS = {"break_long_words": False, "break_on_hyphens": False}


def _placed(
    way: RouteStrip, band: _Band
) -> Iterator[tuple[tuple[Mark, ...], list[str], float, float, float, float]]:
    """Yield the marks that stand as one with their lines, left edge, top, width and height [inch]."""
    for about, (top, _) in band.lanes.items():
        for at in band.legs:
            down, width = top + 0.05, band.right(at) - band.left(at)
            for marks in _grouped(way, about, at):
                lines = _lines(way, marks, width)
                yield marks, lines, band.left(at) + 0.05, down, width - 0.08, len(lines) * _LINE
                down += len(lines) * _LINE + 0.06


def _draw_way(axes: Axes, way: RouteStrip, band: _Band) -> None:
    """Draw the legs with their names above and their lengths below; a thick line stands where the carrier changes."""
    system, staged = way.museum.scenario.units, _staged(way)
    for (stage, carried_on), group in itertools.groupby(band.legs, lambda at: _stage(way.stretches[at])):
        legs = list(group)
        left, begins = band.left(legs[0]), legs[0] and _stage(way.stretches[legs[0] - 1]) != (stage, carried_on)
        if begins:
            axes.plot([left, left], [band.top, band.bottom], color=INK, linewidth=3, zorder=2)
        if staged:
            words = _cut(_CARRIED[carried_on], _fits((band.right(legs[-1]) - left) * 0.88))
            axes.text(left + 0.07, band.top, words, weight="bold", size=_SIZE, va="top")
    for at, head in zip(band.legs, band.heads, strict=True):
        stretch, left, right = way.stretches[at], band.left(at), band.right(at)
        axes.plot([left, left], [band.top, band.bottom], color=PALE, linewidth=1, zorder=1)
        axes.text(left + 0.07, band.strip - 0.06, "\n".join(head), size=_SIZE, va="bottom", linespacing=1.05)
        _draw_leg(axes, stretch, left, right, band.strip)
        long = "unknown" if stretch.miles is None else show_measure(_near(stretch.miles), system)
        axes.text((left + right) / 2, band.strip + 0.3, long, size=_SIZE, ha="center", va="center")
    axes.text(0.15, band.strip + 0.3, "length", size=_SIZE, weight="bold", va="center")
    begin = "from site" if band.legs.start == 0 else "further on"
    axes.text(0.15, band.strip + 0.08, begin, size=_SIZE, weight="bold", va="center")


def _stage(stretch: WayLeg) -> tuple[str, str]:
    return stretch.stage, stretch.carried_on


def _draw_keepers(axes: Axes, way: RouteStrip, band: _Band) -> None:
    """Name who runs or keeps the legs, and the states they run through, each once over all legs in a row."""
    runs = "run by" if way.stretches[band.legs.start].mode == "rail" else "kept by"
    named = {runs: [way.stretches[at].keeper for at in band.legs], "state": [way.stretches[at].state for at in band.legs]}
    for row, (what, names) in enumerate((what, names) for what, names in named.items() if any(names)):
        y, start = band.kept + row * _LINE, band.legs.start
        axes.text(0.15, y, what, size=_SIZE, weight="bold", va="top")
        for name, group in itertools.groupby(names):
            end = start + len(list(group))
            left, right = band.left(start), band.right(end - 1)
            axes.text(left + 0.07, y, _cut(name, _fits(right - left - 0.1)), size=_SIZE, color=GREY, va="top")
            start = end


def _cut(text: str, fits: int) -> str:
    return text if len(text) <= fits else f"{text[: fits - 1].rstrip()}…"


def _near(miles: float) -> Quantity:
    return Quantity(miles * 5280, "ft") if miles < 0.1 else Quantity(miles, "mile")


def _draw_leg(axes: Axes, stretch: WayLeg, left: float, right: float, top: float) -> None:
    """Draw a leg as rails with ties, a road with its middle line, or bare ground; a detour is dashed."""
    line = "--" if stretch.detour or stretch.miles is None else "-"
    if stretch.mode == "rail":
        for x in np.arange(left + 0.06, right, 0.12):
            axes.plot([x, x], [top, top + 0.16], color=GREY, linewidth=2, zorder=2)
        for y in (top + 0.04, top + 0.12):
            axes.plot([left, right], [y, y], color=INK, linewidth=1.8, linestyle=line, zorder=3)
        return
    hatch = {"ground": "..", "water": "--"}.get(stretch.mode)
    look = {"facecolor": PALE if stretch.mode == "road" else "white", "edgecolor": INK, "hatch": hatch, "linestyle": line}
    axes.add_patch(Rectangle((left, top), right - left, 0.16, linewidth=1.2, zorder=2, **look))
    if stretch.mode == "road":
        axes.plot([left, right], [top + 0.08] * 2, color=INK, linewidth=1.2, linestyle=(0, (6, 5)), zorder=3)


def _draw_mark(axes: Axes, status: str, lines: Sequence[str], left: float, top: float) -> None:
    x, y = left + 0.09, top + _LINE * 0.5
    look = {"markerfacecolor": _FACES[status], "markeredgecolor": INK, "markeredgewidth": 1.4}
    axes.add_line(Line2D([x], [y], linestyle="none", marker=_SHAPES[status], markersize=9, zorder=4, **look))
    if status == "unknown":
        axes.text(x, y, "?", size=8, weight="bold", ha="center", va="center", zorder=5)
    for number, line in enumerate(lines):
        weight = "bold" if line == ROUTE_WORDS[status] and status in ("fail", "unknown", "open") else "normal"
        axes.text(left + _MARK, top + number * _LINE, line, size=_SIZE, weight=weight, va="top", zorder=5)


def _note(way: RouteStrip, bands: Sequence[_Band], passed: Sequence[str]) -> str:
    waiting = sum(finding.status != "pass" for finding in way.whole)
    papers = f"Beside the way: {len(way.whole)} gates of papers and of the unit itself, {waiting} of them not passed."
    if passed:
        papers = f"Not drawn, all pass: {', '.join(passed)}. Beside the way: {waiting} of {len(way.whole)} gates not passed."
    widened = any(band.widened for band in bands)
    scale = "Short legs are drawn longer than to scale." if widened else "Legs are drawn to scale."
    return f"{papers}\n{scale} Bridges stand on their leg in the order of the table. Screening only."


def _in_words(way: RouteStrip) -> str:
    """Return the whole strip in words: leg by leg, what is not a plain pass first."""
    system, told = way.museum.scenario.units, []
    for number, stretch in enumerate(way.stretches):
        long = "length unknown" if stretch.miles is None else show_measure(_near(stretch.miles), system)
        marks = sorted((mark for mark in way.marks if mark.at == number), key=_rank)
        asked = [mark for mark in marks if mark.finding.status != "pass"]
        said = [f"{ROUTE_WORDS[mark.finding.status]}: {mark.about}, {mark.where}{_by(mark, way)}" for mark in asked]
        said += [f"{len(marks) - len(asked)} pass"] if len(asked) < len(marks) else []
        told.append(f"{stretch.title} ({_CARRIED[stretch.carried_on]}, {long}): {'; '.join(said) or 'nothing asked'}.")
    return " ".join(told)
