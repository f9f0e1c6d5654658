"""Restraint of a load on a flat car: forces, tie-downs and tipping.

Screening only. North American open-top loading rules are a licensed document: the railroad's
approved drawing gives the factors, and its inspector accepts or rejects the load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.units.units import Quantity, positive, value, weight_force

_DRAWING = "Factors from the railroad's approved tie-down drawing; MIL-STD-209K, 5.2.2 and 5.2.3"
_TIPPING = "Statics of a rigid body: b / h > c, as in load-securing manuals"
_DEFER = "Screening only; the railroad approves the loading drawing and inspects the load."


@dataclass(frozen=True)
class RailRestraint:
    """Forces that a tie-down drawing must withstand, one direction at a time."""

    longitudinal: pint.Quantity  # along the car, across it, and hold-down [lbf]
    lateral: pint.Quantity  # along the car, across it, and hold-down [lbf]
    vertical: pint.Quantity  # along the car, across it, and hold-down [lbf]


def rail_restraint(
    weight: pint.Quantity, longitudinal: float, lateral: float, vertical: float
) -> RailRestraint:
    """Return the forces on a load for the factors that the railroad's drawing states: F = factor x W.

    Parameters
    ----------
    weight : pint.Quantity
        W, weight of the load [lb].
    longitudinal, lateral, vertical : float
        Factors [g], at least 0; published ones differ widely, so none is assumed.

    Returns
    -------
    RailRestraint
        Three forces [lbf].

    Raises
    ------
    ValueError
        If the weight is not above 0 or a factor is below 0.

    References
    ----------
    MIL-STD-209K, Table I (4.0, 1.5, 2.0); CTU Guidelines 1997: 4.0 g lengthwise where shunted, 1.0 g
    in a block train, 0.5 g across.

    Examples
    --------
    >>> round(rail_restraint(Quantity(181720, "lb"), 4.0, 1.5, 2.0).longitudinal.m_as("lbf"))
    726880
    """
    positive(weight, "lb", "weight")
    factors = _factors(longitudinal, lateral, vertical)
    return RailRestraint(*(float(factor) * weight_force(weight) for factor in factors))


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
        Factors of :func:`rail_restraint` [g].
    angle : pint.Quantity
        α above the deck, 0 to 90 [deg].
    bearing : pint.Quantity
        β in plan from the length of the car, 0 to 90 [deg].

    Returns
    -------
    int
        Tie-downs.

    Raises
    ------
    ValueError
        If a weight or strength is not above 0, a factor below 0, an angle out of range, or the
        tie-downs hold nothing in a direction that has a factor.

    References
    ----------
    MIL-STD-209K, 5.2.2 g (one longitudinal and one lateral direction each) and 5.2.3.

    Examples
    --------
    >>> rail_tie_downs(Quantity(100000, "lb"), Quantity(50000, "lb"), 1.0, 0.5, 0.3,
    ...                Quantity(45, "deg"), Quantity(45, "deg"))
    8
    """
    weight_lb, factors = positive(weight, "lb", "weight"), _factors(longitudinal, lateral, vertical)
    needed = weight_lb * factors / _held_lb(strength, factors, angle, bearing)
    along, across, down = np.ceil(needed - 1e-9)
    return 2 * math.ceil(max(2 * along, 2 * across, down) / 2)


def rail_securement(
    offered: int,
    weight: pint.Quantity | None,
    strength: pint.Quantity | None,
    longitudinal: float | None,
    lateral: float | None,
    vertical: float | None,
    angle: pint.Quantity,
    bearing: pint.Quantity,
    subject: str = "load on flat car",
) -> Check:
    """Check the tie-downs offered against the factors of the railroad's drawing.

    Parameters
    ----------
    offered : int
        Tie-downs in all, half of them pulling each way along and across the car.
    weight, strength, longitudinal, lateral, vertical
        As in :func:`rail_tie_downs`; None in one of them is unknown.
    angle, bearing : pint.Quantity
        As in :func:`rail_tie_downs` [deg].
    subject : str
        Which load.

    Returns
    -------
    Check
        Demand: weight; capacity: weight that the tie-downs hold [lb]; margin: lb of growth left.

    Raises
    ------
    ValueError
        As :func:`rail_tie_downs`, or if `offered` is below 0 or every factor is 0.

    References
    ----------
    MIL-STD-209K, 5.2.2 g and 5.2.3; open-top loading rules are licensed and not read here.

    Examples
    --------
    >>> rail_securement(8, Quantity(100000, "lb"), Quantity(50000, "lb"), None, 0.5, 0.3,
    ...                 Quantity(45, "deg"), Quantity(45, "deg")).status
    'unknown'
    """
    name = "Tie-downs on flat car"
    if weight is None or strength is None:
        measure = "weigh the load and read the strength of a tie-down off the drawing"
        return unknown(name, subject, measure, _DRAWING)
    if longitudinal is None or lateral is None or vertical is None:
        measure = "take the restraint factors from the railroad's approved tie-down drawing"
        return unknown(name, subject, measure, _DRAWING)
    if offered < 0:
        raise ValueError(f"tie-downs offered must be at least 0; found {offered}")
    factors = _factors(longitudinal, lateral, vertical)
    if not np.any(factors):
        raise ValueError("at least one restraint factor must be more than 0 g; found 0, 0 and 0")
    acting = np.array([offered // 2, offered // 2, offered])
    with np.errstate(divide="ignore", invalid="ignore"):
        held_lb = acting * _held_lb(strength, factors, angle, bearing) / factors
    demand = Quantity(positive(weight, "lb", "weight"), "lb")
    capacity = Quantity(float(held_lb[factors > 0].min()), "lb")
    needed = rail_tie_downs(weight, strength, longitudinal, lateral, vertical, angle, bearing)
    note = f"{needed} such tie-downs needed without blocking, {offered} offered. {_DEFER}"
    return Check(name, subject, demand, capacity, judge(demand, capacity), capacity - demand, _DRAWING, note)


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

    Raises
    ------
    ValueError
        If a value is not above 0.

    References
    ----------
    Load-securing manuals: stable when b / h > c, c = 0.8 braking, 0.6 cornering, 0.5 starting (secondary).

    Examples
    --------
    >>> tipping(Quantity(8, "ft"), Quantity(5, "ft"), 0.5).margin.magnitude
    2.0
    """
    name = "Tipping"
    if centre_of_gravity_height is None or half_base is None:
        measure = "find the height of the centre of gravity and measure the base the load stands on"
        return unknown(name, subject, measure, _TIPPING)
    if not 0 < lateral < math.inf:
        raise ValueError(f"sideways acceleration must be more than 0 g; found {lateral:g} g")
    height = Quantity(positive(centre_of_gravity_height, "ft", "height of the centre of gravity"), "ft")
    tips_at = Quantity(positive(half_base, "ft", "half base") / lateral, "ft")
    note = f"Without tie-downs; what tips is held by them or by shoring. {_DEFER}"
    return Check(name, subject, height, tips_at, judge(height, tips_at), tips_at - height, _TIPPING, note)


def _factors(longitudinal: float, lateral: float, vertical: float) -> np.ndarray:
    factors = np.array([longitudinal, lateral, vertical], dtype=float)
    if not np.all((factors >= 0) & np.isfinite(factors)):
        found = f"{longitudinal}, {lateral} and {vertical}"
        raise ValueError(f"restraint factors must be at least 0 g; found {found}")
    return factors


def _held_lb(
    strength: pint.Quantity, factors: np.ndarray, angle: pint.Quantity, bearing: pint.Quantity
) -> np.ndarray:
    degrees = [value(angle, "degree", "angle above the deck"), value(bearing, "degree", "bearing")]
    if not all(0 <= each <= 90 for each in degrees):
        raise ValueError(f"tie-down angles must be 0 to 90 deg; found {degrees[0]:g} and {degrees[1]:g} deg")
    alpha, beta = np.radians(degrees)
    parts = np.array([np.cos(alpha) * np.cos(beta), np.cos(alpha) * np.sin(beta), np.sin(alpha)])
    held = parts > 1e-12
    if np.any((factors > 0) & ~held):
        raise ValueError("at these angles the tie-downs hold nothing in a direction that has a factor")
    return np.where(held, parts, 1.0) * positive(strength, "lb", "tie-down strength")
