"""Gates and turns of the road route: what no steering saves stops, what a long turn takes passes, between them open."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.checks.gates.lookup import limit, worst
from heritagemove.checks.road import axle_statics, swept_path
from heritagemove.checks.road.swept_path import RigidBody
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity

_NAME = "Turn"
_FULL = Quantity(180.0, "degree")


def turn(c: Carriage) -> Check:
    """Check every gate and turn of the road route against the loaded trailer or transporter."""
    size, beside = (c.vehicle.width, load_length(c)), limit(c.museum, "turn_clearance", "in")
    if None in size:
        return unknown(_NAME, c.vehicle.name, "measure its width and the length of the load")
    if c.load is None:
        return unknown(_NAME, c.vehicle.name, "weigh it: the trailer depends on the weight")
    if beside is None:
        return unknown(_NAME, c.vehicle.name, "enter turn_clearance in limits.csv: the room to keep beside what is swept")
    answers = [check for leg in c.road for check in _of(c, leg, beside)]
    return worst(answers, _NAME, "enter the road route in legs.csv, with its gates and turns")


def load_length(c: Carriage) -> pint.Quantity | None:
    """Return the length of what lies on the trailer [ft]."""
    return c.vehicle.length if c.carried_on == "roll_on_trailer" else c.body.length


def _of(c: Carriage, leg: Any, beside: pint.Quantity) -> Iterable[Check]:
    """Check the narrowest strait of a leg, through which the road runs straight, and its tightest turn."""
    width = max(c.hauler.width, c.vehicle.width)
    said = partial(show_measure, system=c.museum.scenario.units)
    if leg.width_limit is None:
        yield unknown(_NAME, leg.name, f"measure the narrowest gate of {leg.name}")
    else:
        yield swept_path.turn_check(width, width, leg.width_limit, beside, f"gate, {leg.name}", said)
    if leg.turn_angle is not None and not leg.turn_angle.magnitude:
        return
    least = least_width(c, leg)
    steady = steady_width(c, leg)
    missing = [what for what, found in {"angle": leg.turn_angle, "outer radius": leg.turn_outer_radius,
                                        "clear width": leg.turn_width}.items() if found is None]  # fmt: skip
    if missing:
        figures = [
            f"{words} {said(found)}"
            for words, found in (("any steering needs at most", least), ("a long turn takes", steady))
            if found is not None
        ]
        measure = f"survey the turn of {leg.name}: {', '.join(missing)}"
        yield unknown(_NAME, leg.name, f"{measure} ({', '.join(figures)})" if figures else measure)
        return
    wanted = not_said(c)
    if wanted and (least is None or least <= leg.turn_width):
        yield unknown(_NAME, leg.name, wanted)
        return
    yield swept_path.turn_check(least, steady, leg.turn_width, beside, f"turn, {leg.name}", said)


def least_width(c: Carriage, leg: Any) -> pint.Quantity | None:
    """Return the width that the turn of a leg takes of any steering; of a turn of unknown angle, that of a long one [ft].

    None where its radius is unknown, or no width is enough.
    """
    if leg.turn_outer_radius is None:
        return None
    bodies = [(load_length(c), c.vehicle.width)]
    if c.carried_on == "transporter":
        bodies.append((_over_all(c), c.hauler.width))
    angle = _FULL if leg.turn_angle is None else leg.turn_angle
    widths = [swept_path.least_turn_width(length, width, leg.turn_outer_radius, angle) for length, width in bodies]
    return None if None in widths else max(*widths, c.hauler.width)


def steady_width(c: Carriage, leg: Any) -> pint.Quantity | None:
    """Return the width that a long turn of this radius takes [ft]; None where it is not known, or not reached.

    All lines of a transporter steer: it takes what any steering does, half-way through the turn.
    """
    if c.carried_on == "transporter":
        return least_width(c, leg)
    if not_said(c) or leg.turn_outer_radius is None or leg.turn_outer_radius < c.hauler.turn_radius:
        return None
    row, groups = c.hauler, c.loaded.groups
    chain = wheelbases(c)
    hitch = _deck_hitch(c)
    turns_at = hitch + Quantity(float(chain[-1].m_as("ft")), "ft")
    length = load_length(c)
    deck_end = Quantity(groups[-1].positions[-1] if groups[-1].part != "pusher" else row.axle_positions[-1], "ft")
    bodies = [
        RigidBody(deck_end + row.rear_overhang - hitch, row.width, turns_at - hitch),
        RigidBody(length, c.vehicle.width, turns_at - (row.load_place - length / 2)),
    ]
    return swept_path.steady_turn_width(leg.turn_outer_radius, chain, row.width, row.front_overhang, bodies)


def not_said(c: Carriage) -> str:
    """Return what to find out before it is known what the trailer sweeps; blank where nothing."""
    if c.carried_on == "transporter":
        return ""
    row = c.hauler
    if None in (row.front_overhang, row.rear_overhang, row.load_place):
        return f"ask for what hangs over both ends of {row.title}, and where the load stands"
    return "" if c.loaded.groups else f"enter the axle groups of {row.title} in trailer_axles.csv"


def wheelbases(c: Carriage) -> pint.Quantity:
    """Return the lengths that off-track, the last one shortened by its steering [ft].

    Steering is credited as the trailer's row states it, but never with more than the limit row allows.
    """
    groups = c.loaded.groups
    full = axle_statics.off_tracking_lengths(groups, Quantity(1e6, "ft"))[-1]
    credited = c.museum.limit("trailer_steered_share") or 0.0
    return axle_statics.off_tracking_lengths(groups, max(c.hauler.wheelbase, full * (1 - credited)))


def _deck_hitch(c: Carriage) -> pint.Quantity:
    groups = c.loaded.groups
    full = axle_statics.off_tracking_lengths(groups, Quantity(1e6, "ft"))[-1].m_as("ft")
    return Quantity(axle_statics.deck_centre(groups) - full, "ft")


def _over_all(c: Carriage) -> pint.Quantity:
    row = c.hauler
    return Quantity(row.axle_positions[-1], "ft") + sum(
        (each for each in (row.front_overhang, row.rear_overhang) if each is not None), Quantity(0.0, "ft")
    )
