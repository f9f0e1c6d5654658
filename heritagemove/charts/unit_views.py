"""A unit from its end and from its side, to scale, with numbers for the list that explains them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import pint
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Rectangle

from heritagemove.charts.as_it_travels import Standing
from heritagemove.charts.engineering import in_feet, tint
from heritagemove.charts.marks import colour_of
from heritagemove.charts.style_sheet import GREY, INK, PALE, TEXT
from heritagemove.checks.check import Check
from heritagemove.checks.gates import body as bodies
from heritagemove.checks.lift import lifting
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity

#: What no table gives: rails 4 ft 8-1/2 in apart, a flat car's width, its wheels, how thick a deck and wide a tyre is [ft].
_GAUGE, _CAR_WIDTH, _WHEEL, _DECK, _TYRE = 4.708, 9.5, 2.75, 0.9, 0.46
#: A swept path wider than this share of the clear width is told, not drawn.
_FARTHEST = 1.4
#: Inches for a foot from which on what each group of axles carries is written below it.
_LEGIBLE = 0.04
#: What axle loads and picks are written in, and the unit: kip is a thousand pounds.
_LOADS = {"US": ("thousand lb", "kilopound"), "SI": ("t", "metric_ton")}
_ARROW = {"arrowstyle": "<->", "color": INK, "shrinkA": 0, "shrinkB": 0}


@dataclass
class NumberedList:
    """The list beside the drawing: what stands at each number."""

    lines: list[str] = field(default_factory=list)

    def at(self, axes: Axes, x: float, y: float, text: str, offset: tuple[float, float] = (0, 0)) -> int:
        """Put the next number at a place of the drawing, some points beside it, and its words in the list; return it."""
        self.lines.append(text)
        self.again(axes, x, y, len(self.lines), offset)
        return len(self.lines)

    @staticmethod
    def again(axes: Axes, x: float, y: float, number: int, offset: tuple[float, float] = (0, 0)) -> None:
        """Put a number that stands in the list at another place too."""
        box = {"boxstyle": "circle,pad=0.15", "facecolor": "white", "edgecolor": INK, "linewidth": 1.2}
        look = {"size": TEXT, "weight": "bold", "ha": "center", "va": "center", "bbox": box, "zorder": 9}
        axes.annotate(f"{number}", (x, y), offset, textcoords="offset points", annotation_clip=False, **look)


def _length(standing: Standing, feet: float) -> str:
    return in_feet(Quantity(feet, "ft"), standing.system)


def _line(standing: Standing, *names: str) -> str:
    return "--" if standing.guessed & set(names) else "-"


# The end view


def draw_end(
    axes: Axes, standing: Standing, outline: tuple[Check, Check] | None, told: NumberedList
) -> tuple[float, float, int]:
    """Draw the end view; return how wide and how high it is [ft], and the number of the clear height."""
    half, number = standing.width / 2, 0
    reach = [half, _carrier_width(standing) / 2]
    _carrier_end(axes, standing)
    tall, colour = standing.top - standing.underside, tint(colour_of(standing.carriage.path.number))
    look = {"linewidth": 2, "edgecolor": INK, "linestyle": _line(standing, "height", "width", "underside", "blocking")}
    axes.add_patch(Rectangle((-half, standing.underside), standing.width, tall, facecolor=colour, **look))
    guess = " (not measured)" if standing.guessed & {"height", "underside", "blocking"} else ""
    ground = "the rail" if standing.carriage.mode == "rail" else "the road"
    told.at(axes, 0, standing.top - 0.9, f"Top {_length(standing, standing.top)} above {ground}{guess}")
    guess = " (not measured)" if "width" in standing.guessed else ""
    axes.annotate("", (-half, standing.underside + tall * 0.5), (half, standing.underside + tall * 0.5), arrowprops=_ARROW)
    told.at(axes, 0, standing.underside + tall * 0.5, f"{_length(standing, standing.width)} wide{guess}")
    top = standing.top
    if outline:
        more, top, number = _draw_outline(axes, standing, *outline, told)
        reach += more
    if standing.carrier is not None:
        deck = standing.carrier.deck_height.m_as("ft")
        blocks = max(standing.underside - deck, 0.0) if not standing.wheels else 0.0
        words = f"{_title(standing.carrier.title)}, deck {_length(standing, deck)} high"
        if standing.between_beams:
            words += ", the load between its beams"
        elif blocks > 0.05:
            words += f", blocking {_length(standing, blocks)}{' (not measured)' if 'blocking' in standing.guessed else ''}"
        told.at(axes, 0, deck - _DECK / 2 if not standing.between_beams else standing.underside + 0.9, words)
    return 2 * max(reach) + 2.4, top + 1.5, number


def _title(text: str) -> str:
    return text[:1].upper() + text[1:]


def _carrier_end(axes: Axes, standing: Standing) -> None:
    if standing.carrier is not None:
        deck, across = standing.carrier.deck_height.m_as("ft"), _carrier_width(standing)
        look = {"facecolor": PALE, "edgecolor": INK, "hatch": "//"}
        if standing.between_beams:
            for x in (-across / 2, standing.width / 2 + 0.1):
                beam = max(across / 2 - standing.width / 2 - 0.1, 0.5)
                axes.add_patch(Rectangle((x, deck - _DECK), beam, _DECK, **look))
        else:
            axes.add_patch(Rectangle((-across / 2, deck - _DECK), across, _DECK, **look))
        _wheels_end(axes, 0, max(deck - _DECK, 0.8), across * 0.8 if hasattr(standing.carrier, "width") else _GAUGE)
        if standing.underside - deck > 0.05 and not standing.wheels:
            for x in (-standing.width * 0.3, standing.width * 0.3):
                _block(axes, standing, x, 1.0)
    if standing.wheels:
        _wheels_end(axes, standing.raised, min(standing.wheel, standing.top - standing.raised), _GAUGE)


def _block(axes: Axes, standing: Standing, middle: float, wide: float) -> None:
    deck = standing.carrier.deck_height.m_as("ft")
    look = {"facecolor": "white", "edgecolor": INK, "linestyle": _line(standing, "blocking")}
    axes.add_patch(Rectangle((middle - wide / 2, deck), wide, standing.underside - deck, **look))


def _wheels_end(axes: Axes, bottom: float, tall: float, apart: float) -> None:
    for x in (-apart / 2, apart / 2):
        axes.add_patch(Rectangle((x - _TYRE / 2, bottom), _TYRE, tall, facecolor=GREY, edgecolor=INK))


def _carrier_width(standing: Standing) -> float:
    if standing.carrier is None:
        return 0.0
    width = getattr(standing.carrier, "width", None)
    return _CAR_WIDTH if width is None else width.m_as("ft")


def _draw_outline(
    axes: Axes, standing: Standing, height: Check, side: Check, told: NumberedList
) -> tuple[list[float], float, int]:
    """Draw the clearance outline where it is known; return how far it reaches to the side, how high, the height's number."""
    rail = standing.carriage.mode == "rail"
    share = 1.0 if rail else 0.5
    top = None if height.capacity is None else height.capacity.m_as("ft")
    half = None if side.capacity is None else side.capacity.m_as("ft") * share
    swept = None if side.demand is None else side.demand.m_as("ft") * share
    edge, reach = standing.top + 1 if top is None else top, []
    if half is not None:
        axes.vlines([-half, half], 0, edge, color=INK, linewidth=3)
        what = "clear each side of the track" if rail else "clear width"
        told.at(axes, half, edge * 0.6, f"{in_feet(side.capacity, standing.system)} {what}, {side.subject}")
        reach.append(half)
    if swept is not None and half is not None:
        over, seen = side.status == "fail", swept < _FARTHEST * half
        what = "half width with throw on the curve" if rail else "swept in the turn"
        words = f"{in_feet(side.demand, standing.system)} {what}{': too wide' if over else ''}"
        if seen:
            axes.vlines([-swept, swept], 0, standing.top, color=INK, linewidth=2.5 if over else 1.5, linestyle=":")
            told.at(axes, -swept, edge * 0.35, f"Dotted: {words}")
            reach.append(swept)
        else:
            told.lines.append(f"Beyond this drawing: {words}")
    highest, number = edge, 0
    if top is not None:
        across = max(half or 0.0, standing.width / 2 + 0.5)
        axes.hlines(top, -across, across, color=INK, linewidth=3)
        over = ": too low" if height.status == "fail" else ""
        words = f"{in_feet(height.capacity, standing.system)} clear height, {height.subject}{over}"
        number = told.at(axes, -across * 0.5, top, words)
    wires = [leg for leg in standing.carriage.road if leg.wires and leg.lowest_wire is not None]
    if wires:
        low = min(wires, key=lambda leg: leg.lowest_wire)
        wire, across = low.lowest_wire.m_as("ft"), (half or 8.0) + 0.8
        axes.hlines(wire, -across, across, color=INK, linewidth=1.5, linestyle="-.")
        told.at(axes, across * 0.5, wire, f"Lowest wire {in_feet(low.lowest_wire, standing.system)}, {low.name}")
        reach, highest = [*reach, across], max(highest, wire)
    return reach, highest, number


# The side view


def draw_side(
    axes: Axes, standing: Standing, clear: tuple[float, int] | None, hook: float | None, scale: float, told: NumberedList
) -> None:
    """Draw the side view.

    Parameters
    ----------
    clear : tuple of float and int, or None
        The clear height on its route [ft], and its number in the list.
    hook : float or None
        As :func:`hook_height` returns it [ft].
    scale : float
        Inches of the drawing for a foot.
    told : NumberedList
        Where what stands at each number is added.
    """
    first, last = standing.ends
    if clear:
        axes.hlines(clear[0], first, last, color=INK, linewidth=3)
        told.again(axes, first, clear[0], clear[1], (14, 0))
    _carrier_side(axes, standing)
    _body_side(axes, standing)
    if standing.wheels:
        rows = standing.carriage.museum.axles_of(standing.carriage.vehicle.vehicle)
        places = [row.position.m_as("ft") for row in rows if row.position.m_as("ft") <= standing.whole]
        style = _line(standing, "wheels")
        _wheels_side(axes, [standing.begins + x for x in places], standing.raised, standing.wheel / 2, style)
    _axle_loads(axes, standing, scale, told)
    begin, whole = standing.begins, standing.whole
    at = standing.underside + 0.82 * (standing.top - standing.underside)
    axes.annotate("", (begin, at), (begin + whole, at), arrowprops=_ARROW)
    guess = " (not measured)" if "length" in standing.guessed else ""
    told.at(axes, begin + whole * 0.12, at, f"{_length(standing, whole)} long{guess}")
    _balance(axes, standing, told)
    _lift(axes, standing, hook, told)
    _held(axes, standing, told)


def _carrier_side(axes: Axes, standing: Standing) -> None:
    if standing.carrier is None:
        return
    first, last = standing.deck_ends
    deck = standing.carrier.deck_height.m_as("ft")
    parts = [(first, last)]
    if standing.between_beams:
        behind = standing.begins + standing.whole
        parts = [(first, standing.begins), (behind, last)]
        axes.hlines([deck, deck - _DECK], standing.begins, behind, color=INK, linewidth=1.2, zorder=3)
    for start, stop in parts:
        axes.add_patch(Rectangle((start, deck - _DECK), stop - start, _DECK, facecolor=PALE, edgecolor=INK, zorder=2))
    _wheels_side(axes, standing.carrier.axle_positions, 0.0, min(_WHEEL / 2, deck / 2))
    if standing.underside - deck > 0.05 and not standing.wheels and not standing.between_beams:
        for share in (0.2, 0.8):
            _block(axes, standing, min(max(standing.begins + share * standing.whole, first + 1), last - 1), 2.0)


def _wheels_side(axes: Axes, places: Sequence[float], bottom: float, radius: float, style: str = "-") -> None:
    for x in places:
        wheel = {"facecolor": "white", "edgecolor": INK, "linewidth": 1.5, "linestyle": style}
        axes.add_patch(Circle((x, bottom + radius), radius, zorder=3, **wheel))


def _body_side(axes: Axes, standing: Standing) -> None:
    tall, start = standing.top - standing.underside, standing.begins
    look = {"edgecolor": INK, "linewidth": 2, "linestyle": _line(standing, "height", "length", "underside", "blocking")}
    colour = tint(colour_of(standing.carriage.path.number))
    axes.add_patch(Rectangle((start, standing.underside), standing.body, tall, facecolor=colour, zorder=2.5, **look))
    if standing.whole - standing.body > 0.05:
        rest = (start + standing.body, standing.underside), standing.whole - standing.body, tall * 0.7
        axes.add_patch(Rectangle(*rest, facecolor="white", hatch="..", zorder=2.5, **look))


def _axle_loads(axes: Axes, standing: Standing, scale: float, told: NumberedList) -> None:
    """Write below the axles what each carries, those that carry alike together where they stand close."""
    places, loads, own = standing.axles()
    start = standing.begins if own else 0.0
    word, unit = _LOADS[standing.system]
    if loads is None:
        words = f"{len(places)} axles, what they carry is unknown: weigh it"
        shown = [(start + (places[0] + places[-1]) / 2, "?")]
    else:
        heaviest = show_measure(Quantity(float(loads.max()), "lb"), standing.system)
        words = f"{len(places)} axles, the heaviest {heaviest}"
        shown = [(start + x, text) for x, text in _alike(places, Quantity(loads, "lb").m_as(unit), 0.5 / scale)]
    if scale < _LEGIBLE and len(shown) > 2:
        shown = []
    elif loads is not None:
        words += f"; below them what each carries [{word}]"
    for x, text in shown:
        axes.annotate(text, (x, 0), (0, -6), textcoords="offset points", ha="center", va="top")
    told.at(axes, axes.get_xlim()[0], 0, words, (8, -30))


def _alike(places: np.ndarray, loads: np.ndarray, near: float) -> list[tuple[float, str]]:
    """Return where what axles carry is written, and the text: once for all that stand close and carry alike."""
    written, groups = [f"{load:.1f}" for load in loads], []
    for number, (place, text) in enumerate(zip(places, written, strict=True)):
        if groups and place - places[number - 1] < near and text == written[number - 1]:
            groups[-1].append(number)
        else:
            groups.append([number])
    shown = []
    for group in groups:
        count = f"{len(group)} × " if len(group) > 1 else ""
        shown.append((float(np.mean(places[group])), f"{count}{written[group[0]]}"))
    return shown


def _balance(axes: Axes, standing: Standing, told: NumberedList) -> None:
    """Draw the centre of gravity of what is carried, at its height as it stands."""
    centre = standing.centre()
    if centre is None:
        told.lines.append("Centre of gravity unknown: weigh both ends and measure")
        return
    offset, y = centre
    x = standing.begins + standing.whole / 2 - offset
    axes.plot([x], [y], marker="o", markersize=13, markerfacecolor="white", markeredgecolor=INK, zorder=7)
    axes.plot([x], [y], marker="+", markersize=13, color=INK, markeredgewidth=2, zorder=8)
    way = f"{_length(standing, abs(offset))} {'ahead of' if offset > 0 else 'behind'}" if abs(offset) > 0.04 else "at"
    told.at(axes, x, y, f"Centre of gravity {_length(standing, y)} up, {way} the middle", (18, 0))


def hook_height(standing: Standing) -> float | None:
    """Return how high the lowest hook stands over the unit on its carrier [ft]; None where no crane lifts it."""
    rooms = [place.headroom for place in standing.carriage.places if place.headroom is not None]
    if not standing.carriage.lifted:
        return None
    return standing.underside + (min(rooms).m_as("ft") if rooms else standing.top - standing.underside + 8.0)


def _lift(axes: Axes, standing: Standing, hook: float | None, told: NumberedList) -> None:
    """Draw lift points, slings and hooks where cranes lift the unit."""
    if hook is None:
        return
    carriage, unit = standing.carriage, standing.carriage.vehicle
    known = unit.lift_spread is not None and unit.lift_spread.magnitude > 0
    spread = unit.lift_spread.m_as("ft") if known else standing.body * 0.7
    middle, style = standing.begins + standing.body / 2, "-" if known else "--"
    picks = (middle - spread / 2, middle + spread / 2)
    offset = bodies.offset_of_centre(carriage.museum, unit)
    tandem = carriage.arrangement is not None and carriage.arrangement.cranes > 1
    over = picks if tandem else [middle - (0.0 if offset is None else offset.m_as("ft"))] * 2
    for pick, top in zip(picks, over, strict=True):
        axes.plot([pick, top], [standing.underside, hook], color=INK, linewidth=1.5, linestyle=style, zorder=5)
        axes.plot([pick], [standing.underside], marker="^", markersize=9, color=INK, zorder=6)
        axes.plot([top], [hook], marker="v", markersize=10, color=INK, zorder=6)
    if not known:
        told.at(axes, over[0], hook, "Slings dashed: lift points unknown, find them on the builder's drawing", (20, 0))
        return
    told.at(axes, over[0], hook, _lift_words(standing, offset, tandem), (20, 0))


def _lift_words(standing: Standing, offset: pint.Quantity | None, tandem: bool) -> str:
    carriage, unit = standing.carriage, standing.carriage.vehicle
    apart = in_feet(unit.lift_spread, standing.system)
    words = f"{'Two hooks' if tandem else 'Hook'} and slings, lift points {apart} apart"
    weight = carriage.body.weight
    if None in (weight, offset):
        return words
    shares = lifting.crane_shares(weight, unit.lift_spread, offset)
    front, rear = (show_measure(share, standing.system) for share in shares)
    return f"{words}: front {front}, rear {rear}"


def _held(axes: Axes, standing: Standing, told: NumberedList) -> None:
    """Draw a chain at each end of what is tied down, and say how many there are."""
    ties, points = standing.carriage.amounts.get("tie_downs"), getattr(standing.carrier, "tie_down_points", None)
    if not ties or standing.carrier is None:
        return
    deck, up = standing.carrier.deck_height.m_as("ft"), standing.underside + 2.0
    for x, away in ((standing.begins, -3.0), (standing.begins + standing.whole, 3.0)):
        axes.plot([x, x + away], [up, deck], color=INK, linewidth=1.8, linestyle=(0, (2, 1)), zorder=6)
    kind = "tie-downs" if standing.carriage.mode == "rail" else "chains"
    offered = f"; it has {points:g} points for them" if points else ""
    edge = min(standing.begins + standing.whole + 3.0, axes.get_xlim()[1] - 1.5)
    told.at(axes, edge, up, f"Held down by {ties:g} {kind}{offered}", (6, 4))
