"""The width of road that a load needs in a turn: the least that any steering needs, and what a long turn sweeps.

A rigid body that must turn needs a width that no steering saves. On a long turn a trailer sweeps more: steady state,
when its rear has swung in as far as it ever will. Between the two lies what a hauler's drawing of that very turn shows.
Screening only; the drawing, or a drive with the empty trailer, and the road's owner decide.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.check import Check, compared
from heritagemove.units.measures import show_measure
from heritagemove.units.ranges import between, not_negative, positive
from heritagemove.units.units import Quantity, value

_SOURCE = "Plane geometry of a rigid body in a turn; steady state by the sum of squared wheelbases (NCHRP Report 505)"
_DEFER = "Screening only; the hauler's drawing of this turn and the road's owner decide."

def off_tracking(radius: pint.Quantity, wheelbases: pint.Quantity | Sequence[pint.Quantity]) -> pint.Quantity | None:
    """Return how far the last axle runs inside the first: OT = R - √(R² - Σ L²).

    Parameters
    ----------
    radius : pint.Quantity
        R, path of the middle of the front axle [ft].
    wheelbases : pint.Quantity or sequence of them
        L, array of shape (n,): front axle to drive axles, hitch to the next axle, and so on [ft]. A
        negative length is a hitch offset whose square is taken away: a kingpin ahead of the drive
        axle, or a hitch behind it, swings the trailer out. Of a steered trailer the last length is the one that
        steering leaves, as its owner states it.

    Returns
    -------
    pint.Quantity or None
        OT [ft]; None where R² is not above Σ L²: steady state is not reached on so tight a path.

    References
    ----------
    NCHRP Report 505, Review of Truck Characteristics as Factors in Roadway Design: contributions add,
    kingpin offset with the other sign. The square-root form is from memory.

    Examples
    --------
    >>> round(off_tracking(Quantity(38, "ft"), Quantity([20], "ft")).magnitude, 2)
    5.69
    >>> off_tracking(Quantity(41, "ft"), Quantity([19.5, 45.5], "ft")) is None
    True
    """
    radius_ft = positive(radius, "ft", "turning radius")
    rear_ft = _rear_radius_ft(radius_ft, _lengths_ft(wheelbases))
    return None if rear_ft is None else Quantity(radius_ft - rear_ft, "ft")


@dataclass(frozen=True)
class RigidBody:
    """A rigid part of a loaded trailer, such as its deck or its load."""

    length: pint.Quantity
    width: pint.Quantity
    ahead: pint.Quantity  # how far it reaches ahead of the point about which the last trailer turns


def least_turn_width(
    length: pint.Quantity, width: pint.Quantity, radius: pint.Quantity, angle: pint.Quantity
) -> pint.Quantity | None:
    """Return the least width of a turn that a rigid body passes, whatever its steering: w + R - √(R² - (L/2)²).

    Half-way through the turn the body lies square to the turn's middle line, both outer corners at most on the outer
    edge. Where the turn is shorter than the body's chord, 2 asin(L / 2R), the corners stand on the straights beside it:
    w + R - R / cos(θ/2) + L/2 tan(θ/2).

    Parameters
    ----------
    length, width : pint.Quantity
        L and w of the body [ft].
    radius : pint.Quantity
        R, outer edge of the turn [ft].
    angle : pint.Quantity
        θ by which the road turns, 0 to 360 [degree].

    Returns
    -------
    pint.Quantity or None
        Clear width at the middle of the turn, from the outer edge square inwards, without any room to work in [ft]. None
        where no width is enough: the body is longer than 2R and the turn 180° or more.

    References
    ----------
    Plane geometry of one rectangle between an arc and its two tangents.

    Examples
    --------
    >>> feet = Quantity(1, "ft")
    >>> least_turn_width(16 * feet, 4 * feet, 10 * feet, Quantity(180, "degree"))
    <Quantity(8.0, 'foot')>
    >>> round(least_turn_width(44.5 * feet, 10 * feet, 70 * feet, Quantity(20, "degree")).magnitude, 2)
    12.84
    """
    length_ft, width_ft, radius_ft = (
        positive(each, "ft", name) for each, name in ((length, "length"), (width, "width"), (radius, "outer radius"))
    )
    half = math.radians(between(angle, "degree", "turn angle", 0, 360)) / 2
    # To a millionth of a foot: a body as long as twice the radius, typed in metres, has its chord.
    chord = math.asin(min(1.0, round(length_ft / 2 / radius_ft, 9)))
    if half >= math.pi / 2 and length_ft / 2 > radius_ft + 1e-6:
        return None
    if half >= chord:
        outer_ft = math.sqrt(max(radius_ft**2 - length_ft**2 / 4, 0.0))
    else:
        outer_ft = radius_ft / math.cos(half) - length_ft / 2 * math.tan(half)
    return Quantity(width_ft + radius_ft - outer_ft, "ft")


def steady_turn_width(
    radius: pint.Quantity,
    wheelbases: pint.Quantity | Sequence[pint.Quantity],
    truck_width: pint.Quantity,
    front_overhang: pint.Quantity,
    bodies: Sequence[RigidBody],
) -> pint.Quantity | None:
    """Return the width that truck, trailer and load sweep on a long turn, with what hangs over at both ends.

    The point about which the last trailer turns runs at the largest r at which nothing crosses the outer edge R: neither
    a body, √[(r + w/2)² + a²] <= R for its further end a, nor the truck's front corner; the width is R - (r - w/2).

    Parameters
    ----------
    radius : pint.Quantity
        R, outer edge of the turn [ft].
    wheelbases : pint.Quantity or sequence of them
        As in :func:`off_tracking`, the truck's own first [ft].
    truck_width, front_overhang : pint.Quantity
        Width of the truck, and how far it reaches ahead of its first axle, at least 0 [ft].
    bodies : sequence of RigidBody
        Deck and load of the last trailer, at least one.

    Returns
    -------
    pint.Quantity or None
        Width [ft]; None where steady state is not reached on so tight a turn.

    References
    ----------
    Off-tracking as in :func:`off_tracking`; the corners by plane geometry.

    Examples
    --------
    >>> feet = Quantity(1, "ft")
    >>> body = RigidBody(24 * feet, 8 * feet, 24 * feet)
    >>> round(steady_turn_width(43.53 * feet, [20 * feet], 8 * feet, 4 * feet, [body]).magnitude, 1)
    15.2
    """
    radius_ft, lengths_ft = positive(radius, "ft", "outer radius"), _lengths_ft(wheelbases)
    half_ft = positive(truck_width, "ft", "truck width") / 2
    corner_ft = lengths_ft[0] + not_negative(front_overhang, "ft", "front overhang")
    if not bodies:
        raise ValueError("give at least 1 body of the last trailer; found none")
    drive_ft = _cathetus(radius_ft, corner_ft)
    behind = _rear_radius_ft(drive_ft - half_ft, lengths_ft[1:]) if drive_ft is not None and drive_ft > half_ft else None
    reached, inner_ft = [behind], 0.0
    for body in bodies:
        length_ft, width_ft = positive(body.length, "ft", "length"), positive(body.width, "ft", "width")
        ahead_ft = value(body.ahead, "ft", "reach ahead")
        edge_ft = _cathetus(radius_ft, max(abs(ahead_ft), abs(length_ft - ahead_ft)))
        reached.append(None if edge_ft is None else edge_ft - width_ft / 2)
        inner_ft = max(inner_ft, width_ft / 2)
    if None in reached or min(reached) < inner_ft:
        return None
    return Quantity(radius_ft - (min(reached) - inner_ft), "ft")


def turn_check(
    least: pint.Quantity | None,
    steady: pint.Quantity | None,
    available: pint.Quantity,
    needed: pint.Quantity,
    subject: str,
    shown: Callable[[pint.Quantity], str] = show_measure,
) -> Check:
    """Check the clear width of a turn against the least that any steering needs and the most that a long turn takes.

    Below the least it fails; from the larger of both on, with room to work in, it passes; between them it is open.

    Parameters
    ----------
    least, steady : pint.Quantity or None
        As :func:`least_turn_width` and :func:`steady_turn_width` return them [ft].
    available : pint.Quantity
        Clear width at the middle of the turn [ft].
    needed : pint.Quantity
        Room to keep beside what is swept, both sides together, at least 0 [in].
    subject : str
        Which turn or gate.
    shown : callable
        How a length is said.

    Returns
    -------
    Check
        Demand: the least width where it fails, what a long turn takes with its room elsewhere; capacity: clear width;
        margin: by how much the load may be wider or must be narrower [ft]; none where it is open.

    Examples
    --------
    >>> feet = Quantity(1, "ft")
    >>> [turn_check(14 * feet, 20 * feet, width * feet, Quantity(12, "in"), "gate").status for width in (13, 20, 21.5)]
    ['fail', 'open', 'marginal']
    """
    name = "Turn"
    clear_ft, beside_ft = positive(available, "ft", "clear width"), not_negative(needed, "ft", "room beside the load")
    if least is None:
        note = f"The load is longer than twice the outer radius: no width lets it turn so far. {_DEFER}"
        return Check(name, subject, None, None, "fail", None, _SOURCE, note, "width")
    least_ft = positive(least, "ft", "least width", 6)
    if least_ft > round(clear_ft, 6):
        return compared(name, subject, least_ft, clear_ft, "ft", _SOURCE, f"{_LEAST} {_DEFER}", margin_of="width")
    most_ft = None if steady is None else round(max(least_ft, positive(steady, "ft", "steady width")) + beside_ft, 6)
    if most_ft is not None and most_ft <= round(clear_ft, 6):
        note = f"Enough even for a long turn, {shown(needed)} beside it and what hangs over included. {_DEFER}"
        return compared(name, subject, most_ft, clear_ft, "ft", _SOURCE, note, margin_of="width")
    long = "so tight a long turn is not reached" if steady is None else f"a long turn takes {shown(steady)}"
    note = (
        f"The hauler's drawing decides: any steering needs {shown(least)}, {long}, without room beside it. Screening only; "
        "the road's owner decides."
    )
    demand = least_ft + beside_ft if most_ft is None else most_ft
    widths = (Quantity(each, "ft") for each in (demand, clear_ft))
    return Check(name, subject, *widths, "open", None, _SOURCE, note, "width", "have the hauler draw this turn")


_LEAST = "Less than a body of this length and width needs in this turn, whatever the steering."


def _cathetus(hypotenuse_ft: float, other_ft: float) -> float | None:
    return math.sqrt(hypotenuse_ft**2 - other_ft**2) if hypotenuse_ft > abs(other_ft) else None


def _rear_radius_ft(radius_ft: float, lengths_ft: np.ndarray) -> float | None:
    """Return √(R² - Σ L²) [ft], or None where there is no real root."""
    squares = float(np.sum(np.sign(lengths_ft) * lengths_ft**2))
    if squares < 0:
        raise ValueError("hitch offsets must be shorter than the wheelbases; found them longer")
    return math.sqrt(radius_ft**2 - squares) if radius_ft**2 > squares else None


def _lengths_ft(wheelbases: pint.Quantity | Sequence[pint.Quantity]) -> np.ndarray:
    if isinstance(wheelbases, pint.Quantity):
        lengths_ft = np.atleast_1d(np.array(wheelbases.m_as("ft"), dtype=float))
    else:
        lengths_ft = np.array([value(length, "ft", "wheelbase") for length in wheelbases])
    if lengths_ft.size == 0 or not (np.all(np.isfinite(lengths_ft)) and lengths_ft[0] >= 0):
        found = ", ".join(f"{x:g} ft" for x in lengths_ft) or "none"
        raise ValueError(f"give at least 1 wheelbase, the first at least 0; found {found}")
    return lengths_ft
