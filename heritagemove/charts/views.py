"""Drawings to scale: a unit in end view inside the clearance outline, and in side view with axles and picks."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle

from heritagemove.charts.drawing import GREY, INK, PALE, Chart, axes_in, footnote, in_style, sheet
from heritagemove.charts.engineering import in_feet, tint
from heritagemove.charts.marks import colour_of
from heritagemove.checks.check import Check
from heritagemove.checks.gates import body
from heritagemove.checks.gates.carriage import Carriage, arrange, axle_train
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.checks.lift import lifting
from heritagemove.checks.margins import margin_in_words
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import System, show_measure
from heritagemove.units.units import Quantity
from heritagemove.units.words import without_brackets

_WIDTH = 9.0
#: What the tables do not give is sketched: rails 4 ft 8-1/2 in apart, a flat car's width, wheels of 33 in.
_GAUGE_FT, _CAR_WIDTH_FT, _WHEEL_FT, _DECK_FT = 4.708, 9.5, 2.75, 0.9
#: A swept path wider than this share of the clear width is written, not drawn.
_FARTHEST = 1.4
#: Characters of a line of a label.
_LABEL = 28
_ARROW = {"arrowstyle": "<->", "color": INK, "shrinkA": 0, "shrinkB": 0}
_ON = {"flat_car": "on the flat car", "trailer": "on the trailer", "transporter": "on the transporter",
       "roll_on_trailer": "on the rail-deck trailer"}  # fmt: skip
_AS_IT_STANDS = {"shift": "shifted as it stands", "barge": "on the barge", "storage": "in storage"}

#: What axle loads and picks are written in, and the unit: kip is a thousand pounds.
_LOADS = {"US": ("thousand lb", "kilopound"), "SI": ("t", "metric_ton")}


@dataclass(frozen=True)
class _Standing:
    """A unit as it travels: heights above rail or road [ft], and what carries it."""

    carriage: Carriage
    carrier: Any
    raised: float
    top: float
    underside: float
    wheels: bool
    apart: bool  # whether the body goes alone, without its trucks or its tender
    stage: str  # title of the stage, where the path has several; else blank

    @property
    def words(self) -> str:
        carried_on = self.carriage.carried_on
        return _ON.get(carried_on) or _AS_IT_STANDS.get(carried_on, "on its own wheels")


def _standing(museum: Museum, vehicle: str, path: str, stage: str | None) -> _Standing | None:
    """Return how a unit stands in a stage of a path; None where height or underside is unknown."""
    carriage = arrange(museum, vehicle, path, stage or _farthest(museum, path))
    unit, piece, carried = carriage.vehicle, carriage.body, carriage.carried_on in _ON
    apart = carriage.carried_on in ("flat_car", "trailer", "transporter")
    height = piece.height if apart else unit.height
    if None in (unit.height, height, piece.underside) or (carried and carriage.loaded_height is None):
        return None
    raised = (carriage.loaded_height - height).m_as("ft") if carried else 0.0
    carriers = [row for row in museum.flat_cars if row.flat_car in carriage.equipment]
    carriers += [row for row in museum.trailers if row.trailer in carriage.equipment]
    wheels = piece.wheels_on or not apart
    named = carriage.stage.title if len(museum.stages_of(path)) > 1 else ""
    top, underside = height.m_as("ft") + raised, raised + (piece.underside.m_as("ft") if wheels else 0.0)
    return _Standing(carriage, carriers[0] if carriers else None, raised, top, underside, wheels, apart, named)


def _farthest(museum: Museum, path: str) -> str | None:
    """Return the stage in which a path goes the farthest; None where it goes nowhere."""
    stages = museum.stages_of(path)
    miles = {row.stage: sum(leg.length.m_as("mile") for leg in museum.legs_of(row)) for row in stages}
    return max(miles, key=lambda stage: miles[stage], default=None)


def _outline(standing: _Standing) -> tuple[Check, Check] | None:
    """Return the checks of height and of side room on this path's route; None where it takes no route."""
    names = {"rail": ("height_clearance", "side_clearance"), "road": ("road_height", "turn")}
    route = names.get(standing.carriage.mode)
    return route and (CHECKS[route[0]](standing.carriage), CHECKS[route[1]](standing.carriage))


def _name(standing: _Standing) -> str:
    named = f"{without_brackets(standing.carriage.vehicle.name)} {standing.words}"
    return f"{standing.stage}: {named}" if standing.stage else named


def _units(standing: _Standing) -> System:
    return standing.carriage.museum.scenario.units


def _room(height: Check, side: Check, system: System) -> str:
    """Return in words what room is left above and beside a unit."""
    over, beside = (
        "unknown" if c.status == "unknown" else margin_in_words(c, system).partition(": ")[0] for c in (height, side)
    )
    return f"above, {over.replace('under it', 'of room')}; at the side, {beside}"


def _nothing(figure: Figure | None, title: str) -> Chart:
    return Chart(sheet(figure, _WIDTH, 1.0, title), title)


@in_style
def end_view(museum: Museum, vehicle: str, path: str, figure: Figure | None = None, stage: str | None = None) -> Chart:
    """Draw a unit from its end, to scale, inside the tightest clearance of its route.

    Parameters
    ----------
    stage : str, optional
        Id of a stage; the one in which the path goes the farthest when left out.
    """
    standing, unit = _standing(museum, vehicle, path, stage), museum.vehicle(vehicle)
    if standing is None or unit.width is None:
        return _nothing(figure, f"No end view of {unit.name}: measure its width, height and underside")
    outline = _outline(standing)
    system = museum.scenario.units
    title = f"{_name(standing)}: {_room(*outline, system) if outline else 'its route has no clearance to check'}"
    figure = sheet(figure, _WIDTH, 6.1, title)
    axes = axes_in(figure, 0.15, 0.65, 0.15, 0.85)
    tall = max([standing.top, *(c.capacity.m_as("ft") for c in (outline or ())[:1] if c.capacity)]) + 1.5
    wide = (tall + 3) * (_WIDTH - 0.3) / (6.1 - 1.5)
    axes.set_axis_off()
    axes.axhline(0, color=INK, linewidth=2)
    _body_end(axes, standing, unit.width.m_as("ft"))
    half = unit.width.m_as("ft") / 2
    marks = {"top": standing.top, "underside": standing.underside}
    labels = [(half, y, f"{word} {in_feet(Quantity(y, 'ft'), _units(standing))}") for word, y in marks.items()]
    if outline:
        labels += _draw_outline(axes, standing, *outline)
    reach = max(half, _carrier_width(standing) / 2, *(x for x, _, _ in labels))
    axes.set(xlim=(-reach - 1.5, wide - reach - 1.5), ylim=(-3, tall), aspect="equal")
    _labels(axes, labels, reach + 1.2)
    axes.annotate("", (-half, -1.1), (half, -1.1), arrowprops=_ARROW)
    axes.text(0, -1.4, in_feet(unit.width, _units(standing)), ha="center", va="top")
    note = f"To scale [{'m' if system == 'SI' else 'ft, in'}]. "
    note += "A box over the greatest width and height: its corners are not measured.\n"
    note += "Room above counts the air that is wanted under a structure."
    footnote(figure, note, 12)
    words = "; ".join(text.replace("\n", " ") for _, _, text in labels)
    return Chart(figure, f"{title}. End view to scale: width {in_feet(unit.width, _units(standing))}; {words}.")


def _body_end(axes: Axes, standing: _Standing, width: float) -> None:
    colour = colour_of(standing.carriage.path.number)
    if standing.carrier is not None:
        deck = standing.carrier.deck_height.m_as("ft")
        across = _carrier_width(standing)
        look = {"facecolor": PALE, "edgecolor": INK, "hatch": "//"}
        axes.add_patch(Rectangle((-across / 2, deck - _DECK_FT), across, _DECK_FT, **look))
        _wheels_end(axes, 0, deck - _DECK_FT, across * 0.8 if hasattr(standing.carrier, "width") else _GAUGE_FT)
        if standing.underside - deck > 0.05 and not standing.wheels:
            blocks = standing.underside - deck
            for x in (-width * 0.3, width * 0.3):
                axes.add_patch(Rectangle((x - 0.5, deck), 1.0, blocks, facecolor="white", edgecolor=INK))
    if standing.wheels:
        _wheels_end(axes, standing.raised, min(_diameter(standing), standing.top - standing.raised), _GAUGE_FT)
    tall = standing.top - standing.underside
    look = {"facecolor": tint(colour), "edgecolor": INK, "linewidth": 2}
    axes.add_patch(Rectangle((-width / 2, standing.underside), width, tall, **look))


def _carrier_width(standing: _Standing) -> float:
    width = getattr(standing.carrier, "width", None)
    return 0.0 if standing.carrier is None else _CAR_WIDTH_FT if width is None else width.m_as("ft")


def _wheels_end(axes: Axes, bottom: float, tall: float, apart: float) -> None:
    for x in (-apart / 2, apart / 2):
        axes.add_patch(Rectangle((x - 0.23, bottom), 0.46, tall, facecolor=GREY, edgecolor=INK))


def _diameter(standing: _Standing) -> float:
    wheel = standing.carriage.vehicle.wheel_diameter
    return _WHEEL_FT if wheel is None else wheel.m_as("ft")


def _draw_outline(axes: Axes, standing: _Standing, height: Check, side: Check) -> list[tuple[float, float, str]]:
    """Draw the clearance outline where it is known; return its labels with the places they point to."""
    rail = standing.carriage.mode == "rail"
    share = 1.0 if rail else 0.5
    top = height.capacity.m_as("ft") if height.capacity is not None else None
    half = side.capacity.m_as("ft") * share if side.capacity is not None else None
    swept = side.demand.m_as("ft") * share if side.demand is not None else None
    edge = standing.top + 1 if top is None else top
    labels = []
    if half is not None:
        axes.vlines([-half, half], 0, edge, color=INK, linewidth=3)
        what = "clear each side of the track" if rail else "clear width"
        labels.append((half, edge * 0.55, f"{in_feet(side.capacity, _units(standing))} {what}\n{_folded(side.subject)}"))
    if swept is not None and half is not None:
        over, seen = side.status == "fail", swept < _FARTHEST * half
        sign, place = "✕ " if over else "", "dotted" if seen else "beyond this drawing"
        if seen:
            axes.vlines([-swept, swept], 0, standing.top, color=INK, linewidth=2.5 if over else 1.5, linestyle=":")
        what = "half width with throw on the curve" if rail else "swept in the turn"
        far = in_feet(side.demand, _units(standing))
        said = f"{sign}{place}: {far}\n{what}" if seen else _folded(f"{sign}{place}: {far} {what}")
        labels.append((swept if seen else half, edge * 0.36, said))
    if top is not None:
        reach = max(half or 0, standing.carriage.vehicle.width.m_as("ft") / 2 + 0.5)
        axes.hlines(top, -reach, reach, color=INK, linewidth=3)
        sign = "✕ " if height.status == "fail" else ""
        labels.append((reach, top, f"{sign}{in_feet(height.capacity, _units(standing))} clear\n{height.subject}"))
    wires = [leg for leg in standing.carriage.road if leg.wires and leg.lowest_wire is not None]
    if wires:
        low = min(wires, key=lambda leg: leg.lowest_wire)
        wire, reach = low.lowest_wire.m_as("ft"), (half or 8.0) + 0.8
        axes.hlines(wire, -reach, reach, color=INK, linewidth=1.5, linestyle="-.")
        labels.append((reach, wire, f"lowest wire {in_feet(low.lowest_wire, _units(standing))}\n{low.name}"))
    return labels


def _folded(subject: str) -> str:
    return textwrap.fill(subject, _LABEL)


def _labels(axes: Axes, labels: Sequence[tuple[float, float, str]], x: float) -> None:
    """Write labels in a column right of the drawing, in the order of their heights, with a thin line to each."""
    last = axes.get_ylim()[1] + 0.6
    for start, y, text in sorted(labels, key=lambda label: -label[1]):
        tall = 0.95 * (1 + text.count("\n"))
        at = min(y, last - tall / 2)
        last = at - tall / 2 - 0.35
        axes.plot([start, x - 0.3], [y, at], color=GREY, linewidth=0.8, zorder=4)
        axes.text(x, at, text, va="center", linespacing=1.1)


@in_style
def side_view(museum: Museum, vehicle: str, path: str, figure: Figure | None = None, stage: str | None = None) -> Chart:
    """Draw a unit from its side, to scale, with axles and their loads, centre of gravity and lift points.

    Parameters
    ----------
    stage : str, optional
        As for :func:`end_view`.
    """
    standing, unit, length = _standing(museum, vehicle, path, stage), museum.vehicle(vehicle), museum.body(vehicle).length
    if standing is None or length is None or unit.length is None:
        return _nothing(figure, f"No side view of {unit.name}: measure its lengths, height and underside")
    carried = length if standing.apart else unit.length
    long, whole = length.m_as("ft"), carried.m_as("ft")
    first, last, start = _places(standing, whole)
    span = max(last, start + whole) - min(first, start)
    scale = (_WIDTH - 0.3) / (span + 4)
    up, down = 1.45, 0.35
    height = (standing.top + 0.5) * scale + up + down + 0.45
    axles = _axle_words(museum, standing)
    title = f"{_name(standing)}, from its side: {axles[1]}"
    figure = sheet(figure, _WIDTH, height, title)
    axes = axes_in(figure, 0.15, down + 0.45, 0.15, up)
    axes.set(xlim=(min(first, start) - 2, min(first, start) + span + 2), ylim=(0, standing.top + 0.5), aspect="equal")
    axes.set_axis_off()
    axes.plot(axes.get_xlim(), [0, 0], color=INK, linewidth=2, clip_on=False)
    _carrier_side(axes, standing, first, last)
    _body_side(axes, standing, start, long, whole)
    if standing.wheels:
        axles_on = standing.carriage.museum.axles_of(vehicle)
        positions = [row.position.m_as("ft") for row in axles_on if row.position <= carried]
        _wheels_side(axes, [start + position for position in positions], standing.raised, _diameter(standing) / 2)
    _under(axes, axles[0], 0.0 if standing.carrier is not None else start)
    balance, picks = _balance(axes, standing, start + whole / 2), _picks(axes, standing, start + long / 2)
    words = [standing.carrier and standing.carrier.title, balance, picks]
    _length(axes, start, whole, standing.top, in_feet(carried, _units(standing)))
    what = _LOADS[museum.scenario.units][0]
    note = f"To scale. Below: axle loads; on top: lift points and what each picks up [{what}]. Front at left."
    footnote(figure, note, 12)
    shown = in_feet(carried, _units(standing))
    return Chart(figure, f"{title}. Side view to scale, length {shown}. " + "; ".join(filter(None, words)) + ".")


def _places(standing: _Standing, whole: float) -> tuple[float, float, float]:
    """Return where the carrier begins and ends and where the unit begins on it [ft]."""
    carrier = standing.carrier
    if carrier is None:
        return 0.0, whole, 0.0
    if hasattr(carrier, "deck_length"):
        length = carrier.length.m_as("ft")
        return 0.0, length, (length - whole) / 2
    positions = np.array(carrier.axle_positions)
    widest = int(np.argmax(np.diff(positions)))
    middle = (positions[widest] + positions[widest + 1]) / 2
    if carrier.used_for == "transporter":
        middle = (positions[0] + positions[-1]) / 2
    return float(positions[0]) - 3, float(positions[-1]) + 3, float(middle) - whole / 2


def _axle_words(museum: Museum, standing: _Standing) -> tuple[list[tuple[float, str]], str]:
    """Return what stands below the axles (place from the unit's front [ft], text), and all of it in words."""
    carriage, carrier = standing.carriage, standing.carrier
    if carrier is not None:
        count, middle = len(carrier.axle_positions), (carrier.axle_positions[0] + carrier.axle_positions[-1]) / 2
        if carriage.load is None:
            return [], f"{count} axles, load unknown: weigh it"
        if carriage.loaded is None:
            one = show_measure((carriage.load + carrier.light_weight) / count, _units(standing))
            words = f"{count} axles, {one} each"
        elif carriage.loaded.axles is None:
            words = f"{count} axles, what each carries unknown"
        else:
            heaviest = show_measure(max(carriage.loaded.axles[1]), _units(standing))
            words = f"{count} axles, the heaviest {heaviest} (axle {int(np.argmax(carriage.loaded.axles[1].magnitude)) + 1})"
        return [(middle, words)], words
    positions, loads = axle_train(carriage.museum, carriage.vehicle, carriage.load)
    if loads is None:
        return [(x, "?") for x in positions.magnitude], "axle loads unknown: weigh it axle by axle"
    heaviest = show_measure(loads.max(), _units(standing))
    words = f"{len(loads)} axles, the heaviest {heaviest} (axle {int(np.argmax(loads.magnitude)) + 1})"
    picked = _LOADS[_units(standing)][1]
    return [(x, f"{load:.1f}") for x, load in zip(positions.magnitude, loads.m_as(picked), strict=True)], words


def _under(axes: Axes, texts: Sequence[tuple[float, str]], start: float) -> None:
    for x, text in texts:
        axes.annotate(text, (start + x, 0), (0, -8), textcoords="offset points", ha="center", va="top")


def _carrier_side(axes: Axes, standing: _Standing, first: float, last: float) -> None:
    if standing.carrier is None:
        return
    deck = standing.carrier.deck_height.m_as("ft")
    axes.add_patch(Rectangle((first, deck - _DECK_FT), last - first, _DECK_FT, facecolor=PALE, edgecolor=INK, zorder=2))
    _wheels_side(axes, standing.carrier.axle_positions, 0.0, min(_WHEEL_FT / 2, deck / 2))


def _wheels_side(axes: Axes, positions: Sequence[float], bottom: float, radius: float) -> None:
    for x in positions:
        axes.add_patch(Circle((x, bottom + radius), radius, facecolor="white", edgecolor=INK, linewidth=1.5, zorder=3))


def _body_side(axes: Axes, standing: _Standing, start: float, long: float, whole: float) -> None:
    tall = standing.top - standing.underside
    look = {"edgecolor": INK, "linewidth": 2, "zorder": 2.5}
    colour = colour_of(standing.carriage.path.number)
    axes.add_patch(Rectangle((start, standing.underside), long, tall, facecolor=tint(colour), **look))
    if whole > long:
        rest = Rectangle((start + long, standing.underside), whole - long, tall * 0.7, facecolor="white", hatch="..", **look)
        axes.add_patch(rest)


def _balance(axes: Axes, standing: _Standing, middle: float) -> str:
    """Draw the centre of gravity of what is carried, the unit or its body alone, at its height as it stands."""
    museum, unit, low = standing.carriage.museum, standing.carriage.vehicle, 0.0
    offset, height = unit.centre_of_gravity_offset, unit.centre_of_gravity_height
    if standing.apart:
        offset, height = body.offset_of_centre(museum, unit), body.height_of_centre(museum, unit)
        low = standing.carriage.body.resting.m_as("ft")
    if None in (offset, height):
        return "centre of gravity unknown: weigh both ends and measure"
    x = middle - offset.m_as("ft")
    where = f"{in_feet(abs(offset), _units(standing))} {'ahead of' if offset.magnitude > 0 else 'behind'} the middle"
    axes.plot([x, x], [standing.underside, standing.top], color=INK, linewidth=1.2, linestyle="-.", zorder=4)
    y = height.m_as("ft") - low + standing.raised
    axes.plot([x], [y], marker="o", markersize=13, markerfacecolor="white", markeredgecolor=INK, zorder=5)
    axes.plot([x], [y], marker="+", markersize=13, color=INK, markeredgewidth=2, zorder=6)
    ground = "the rail" if standing.carriage.mode == "rail" else "the road"
    words = f"centre of gravity {where}, {in_feet(Quantity(y, 'ft'), _units(standing))} above {ground}"
    box = {"facecolor": "white", "edgecolor": "none", "pad": 1, "alpha": 0.85}
    axes.annotate("CG", (x, y), (10, 0), textcoords="offset points", va="center", weight="bold", zorder=6, bbox=box)
    return words


def _picks(axes: Axes, standing: _Standing, middle: float) -> str:
    unit, weight = standing.carriage.vehicle, standing.carriage.body.weight
    if unit.lift_spread is None or not unit.lift_spread.magnitude:
        return "lift points unknown: find them on the builder's drawing"
    spread, shares = unit.lift_spread.m_as("ft"), None
    offset = body.offset_of_centre(standing.carriage.museum, unit)
    if None not in (weight, offset):
        shares = lifting.crane_shares(weight, unit.lift_spread, offset)
    for place, x in enumerate((middle - spread / 2, middle + spread / 2)):
        axes.plot([x], [standing.top], marker="^", markersize=11, color=INK, zorder=6, clip_on=False)
        text = "?" if shares is None else f"{shares[place].m_as(_LOADS[_units(standing)][1]):.1f}"
        axes.annotate(text, (x, standing.top), (0, 9), textcoords="offset points", ha="center", va="bottom")
    loads = ""
    if shares is not None:
        front, rear = (show_measure(share, _units(standing)) for share in shares)
        loads = f", front {front}, rear {rear} of the heaviest lift"
    return f"two lift points {in_feet(unit.lift_spread, _units(standing))} apart{loads}"


def _length(axes: Axes, start: float, whole: float, top: float, words: str) -> None:
    over = {"xycoords": ("data", "axes fraction"), "annotation_clip": False}
    scale = axes.get_window_extent().height
    at = 1 + 0.42 * axes.figure.dpi / scale
    axes.annotate("", (start, at), (start + whole, at), textcoords=("data", "axes fraction"), arrowprops=_ARROW, **over)
    axes.annotate(words, (start + whole / 2, at), (0, 0), textcoords="offset points", ha="center", va="center",
                  bbox={"facecolor": "white", "edgecolor": "none", "pad": 2}, **over)  # fmt: skip
