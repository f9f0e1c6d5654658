"""Restraint of a load on a flat car: forces, tie-downs and tipping.

Screening only. North American open-top loading rules are a licensed document: the railroad's
approved drawing gives the factors, and its inspector accepts or rejects the load.
"""

from __future__ import annotations

import math

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import above_zero, at_least, between, positive

_DRAWING = "Factors from the railroad's approved tie-down drawing; MIL-STD-209K, 5.2.2 and 5.2.3"
#: Design limit loads of tie-down provisions, as multiples of the weight: along and across. Its third, 2.0, is downward:
#: it is no uplift, and no tie-down takes it.
_DESIGN_ALONG, _DESIGN_ACROSS = 4.0, 1.5
_TIPPING = "Statics of a rigid body: b / h > c, as in load-securing manuals"
_DEFER = "Screening only; the railroad approves the loading drawing and inspects the load."


def rail_tie_downs(
    weight: pint.Quantity,
    strength: pint.Quantity,
    longitudinal: float,
    lateral: float,
    vertical: float,
    angle: pint.Quantity,
    bearing: pint.Quantity,
) -> int:
    """Return how many equal tie-downs hold a load on a flat car in every direction.

    A tie-down of strength S holds S cos α cos β lengthwise, S cos α sin β across and S sin α down,
    but only one way along the car and one way across, so those counts double:
    n = max(2 ceil(F_x / ...), 2 ceil(F_y / ...), ceil(F_z / ...)), made even. Blocking and friction
    are left out.

    Parameters
    ----------
    weight : pint.Quantity
        Weight of the load [lb].
    strength : pint.Quantity
        S, what the drawing credits to one tie-down [lb].
    longitudinal, lateral, vertical : float
        Factors that the railroad's drawing states, at least 0; published ones differ widely, so none is assumed [g].
    angle : pint.Quantity
        α above the deck, 0 to 90 [deg].
    bearing : pint.Quantity
        β in plan from the length of the car, 0 to 90 [deg].

    Returns
    -------
    int
        Tie-downs.

    References
    ----------
    MIL-STD-209K, 5.2.2 g (one longitudinal and one lateral direction each) and 5.2.3; its Table I has 4.0, 1.5 and
    2.0 g downward, CTU Guidelines 1997 4.0 g lengthwise where shunted, 1.0 g in a block train, 0.5 g across.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> rail_tie_downs(Quantity(100000, "lb"), Quantity(50000, "lb"), 1.0, 0.5, 0.3,
    ...                Quantity(45, "deg"), Quantity(45, "deg"))
    8
    """
    weight_lb, factors = positive(weight, "lb", "weight"), _factors(longitudinal, lateral, vertical)
    needed = weight_lb * factors / _held_lb(strength, factors, angle, bearing)
    along, across, down = np.ceil(needed - 1e-9)
    return 2 * math.ceil(max(2 * along, 2 * across, down) / 2)


def rail_securement(
    offered: int | None,
    weight: pint.Quantity | None,
    strength: pint.Quantity | None,
    longitudinal: float | None,
    lateral: float | None,
    vertical: float | None,
    angle: pint.Quantity | None,
    bearing: pint.Quantity | None,
    subject: str = "load on flat car",
) -> Check:
    """Check the tie-downs offered against the factors of the railroad's drawing.

    Parameters
    ----------
    offered : int or None
        Tie-downs in all, at least 0, half of them pulling each way along and across the car.
    weight, strength, longitudinal, lateral, vertical, angle, bearing
        As in :func:`rail_tie_downs`; None in one of them is unknown.
    subject : str
        Which load.

    Returns
    -------
    Check
        Demand: weight; capacity: weight that the tie-downs hold [lb]; margin: lb of growth left.

    References
    ----------
    MIL-STD-209K, 5.2.2 g and 5.2.3; open-top loading rules are licensed and not read here.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> rail_securement(8, Quantity(100000, "lb"), Quantity(50000, "lb"), None, 0.5, 0.3,
    ...                 Quantity(45, "deg"), Quantity(45, "deg")).status
    'unknown'
    """
    name = "Tie-downs on flat car"
    if weight is None:
        return unknown(name, subject, "weigh the load", _DRAWING)
    if None in (strength, longitudinal, lateral, vertical, angle, bearing, offered):
        measure = "take the factors, and strength, angles and number of the tie-downs, from the railroad's approved drawing"
        return unknown(name, subject, measure, _DRAWING)
    at_least(offered, 0, "tie-downs offered")
    factors = _factors(longitudinal, lateral, vertical)
    if not np.any(factors):
        raise ValueError("at least one restraint factor must be more than 0 g; found 0, 0 and 0")
    acting = np.array([offered // 2, offered // 2, offered])
    with np.errstate(divide="ignore", invalid="ignore"):
        held_lb = acting * _held_lb(strength, factors, angle, bearing) / factors
    needed = rail_tie_downs(weight, strength, longitudinal, lateral, vertical, angle, bearing)
    note = f"{needed} such tie-downs needed without blocking, {offered} offered. {_DEFER}"
    most_lb = float(held_lb[factors > 0].min())
    return compared(name, subject, positive(weight, "lb", "weight"), most_lb, "lb", _DRAWING, note)


def design_strength(
    weight: pint.Quantity | None,
    strength: pint.Quantity | None,
    angle: pint.Quantity | None,
    bearing: pint.Quantity | None,
) -> str:
    """Return in a sentence what a published design strength would ask of the same tie-downs: to compare, not to obey.

    Parameters
    ----------
    weight, strength, angle, bearing
        As in :func:`rail_tie_downs`; without one of them the factors alone are told.

    References
    ----------
    MIL-STD-209K, Table I: 4.0 W along and 1.5 W across; its 2.0 W is downward and no uplift.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> half = Quantity(45, "deg")
    >>> design_strength(Quantity(100000, "lb"), Quantity(50000, "lb"), half, half)[-32:]
    'would ask for 32 such tie-downs.'
    """
    told = f"For comparison only: MIL-STD-209K, Table I, designs for {_DESIGN_ALONG:g} times the weight lengthwise and "
    told += f"{_DESIGN_ACROSS:g} across, with none upward"
    if None in (weight, strength, angle, bearing):
        return f"{told}."
    needed = rail_tie_downs(weight, strength, _DESIGN_ALONG, _DESIGN_ACROSS, 0.0, angle, bearing)
    return f"{told}; it would ask for {needed} such tie-downs."


def tipping(
    centre_of_gravity_height: pint.Quantity | None,
    half_base: pint.Quantity | None,
    lateral: float,
    subject: str = "load on deck",
) -> Check:
    """Check that a free-standing load does not tip: b / h > c, so h may reach b / c.

    Parameters
    ----------
    centre_of_gravity_height : pint.Quantity or None
        h, centre of gravity above the deck or the supports [ft].
    half_base : pint.Quantity or None
        b, level distance from the centre of gravity to the tipping edge [ft].
    lateral : float
        c, sideways acceleration, above 0 [g].
    subject : str
        Which load.

    Returns
    -------
    Check
        Demand: height; capacity: height at which it tips; margin: height left [ft].

    References
    ----------
    Load-securing manuals: stable when b / h > c, c = 0.8 braking, 0.6 cornering, 0.5 starting (secondary).

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> tipping(Quantity(8, "ft"), Quantity(5, "ft"), 0.5).margin.magnitude
    2.0
    """
    name = "Tipping"
    if centre_of_gravity_height is None or half_base is None:
        measure = "find the height of the centre of gravity and measure the base the load stands on"
        return unknown(name, subject, measure, _TIPPING)
    height_ft = positive(centre_of_gravity_height, "ft", "height of the centre of gravity")
    tips_at_ft = positive(half_base, "ft", "half base") / above_zero(lateral, "sideways acceleration", "g")
    note = f"Without tie-downs; what tips is held by them or by shoring. {_DEFER}"
    return compared(name, subject, height_ft, tips_at_ft, "ft", _TIPPING, note)


def _factors(longitudinal: float, lateral: float, vertical: float) -> np.ndarray:
    factors = np.array([longitudinal, lateral, vertical], dtype=float)
    if not np.all((factors >= 0) & np.isfinite(factors)):
        found = f"{longitudinal}, {lateral} and {vertical}"
        raise ValueError(f"restraint factors must be at least 0 g; found {found}")
    return factors


def _held_lb(
    strength: pint.Quantity, factors: np.ndarray, angle: pint.Quantity, bearing: pint.Quantity
) -> np.ndarray:
    angles = (angle, "angle above the deck"), (bearing, "bearing")
    degrees = [between(each, "degree", name, 0, 90) for each, name in angles]
    alpha, beta = np.radians(degrees)
    parts = np.array([np.cos(alpha) * np.cos(beta), np.cos(alpha) * np.sin(beta), np.sin(alpha)])
    held = parts > 1e-12
    if np.any((factors > 0) & ~held):
        raise ValueError("at these angles the tie-downs hold nothing in a direction that has a factor")
    return np.where(held, parts, 1.0) * positive(strength, "lb", "tie-down strength")
