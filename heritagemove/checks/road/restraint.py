"""Chains against the forces of 49 CFR 393.102: both sets of accelerations, one direction at a time.

Screening only: chains alone hold the load here; blocking and friction are left out. The driver, the carrier
and the roadside inspector hold the load to the regulation itself and to state rules.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import at_least, positive
from heritagemove.units.units import value

#: In the order of the shares of :func:`chains_to_hold`.
DIRECTIONS = ("forward", "rearward", "sideways", "down")
_SOURCE = "49 CFR 393.102(a)(1), (a)(2) and (b)"


def chains_to_hold(
    weight: pint.Quantity, strength: pint.Quantity, shares: tuple[float, ...], angle: pint.Quantity, bearing: pint.Quantity
) -> int:
    """Return how many equal chains hold a road load in every direction of one set of accelerations.

    A chain of strength S holds S cos α cos β lengthwise, S cos α sin β sideways and S sin α down, but one way only:
    half of the chains count in each horizontal direction, n = max(2 ceil(F / held), ceil(F_down / held)), made even.

    Parameters
    ----------
    weight : pint.Quantity
        Weight of the load [lb].
    strength : pint.Quantity
        S, breaking strength or working load limit of one chain [lb].
    shares : tuple of float
        Forward, rearward, sideways [g] and down [part of the weight], each at least 0.
    angle : pint.Quantity
        α above the deck, more than 0 and less than 90 [deg].
    bearing : pint.Quantity
        β in plan from the length of the trailer, more than 0 and less than 90 [deg].

    Returns
    -------
    int
        Chains.

    References
    ----------
    Forces: 49 CFR 393.102(a) and (b). That half of the chains count each way: statics; 59 FR, 6 July 1994, asks for
    half of the weight "against movement in any direction".

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> diagonal = Quantity(45, "deg"), Quantity(45, "deg")
    >>> chains_to_hold(Quantity(47000, "lb"), Quantity(11300, "lb"), (0.435, 0.5, 0.25, 0.2), *diagonal)
    10
    """
    needed = positive(weight, "lb", "weight") * _shares(shares) / _held_lb(strength, angle, bearing)
    counts = np.ceil(needed - 1e-9) * (2, 2, 2, 1)
    return 2 * math.ceil(counts.max() / 2)


def restraint(
    offered: int,
    weight: pint.Quantity | None,
    strengths: Mapping[str, pint.Quantity],
    shares: Mapping[str, tuple[float, ...]],
    angle: pint.Quantity,
    bearing: pint.Quantity,
    subject: str = "road load",
) -> Check:
    """Check the chains offered for a road load against both sets of accelerations; the worst direction answers.

    Parameters
    ----------
    offered : int
        Chains on hand, at least 0; of an odd number one is left over.
    weight : pint.Quantity or None
        Weight of the load [lb]; None is unknown.
    strengths : mapping of str to pint.Quantity
        What one chain holds in each set, such as breaking strength and working load limit [lb].
    shares : mapping of str to tuple of float
        The accelerations of each set, as in :func:`chains_to_hold`.
    angle, bearing : pint.Quantity
        As in :func:`chains_to_hold`.
    subject : str
        Which load.

    Returns
    -------
    Check
        Demand and capacity: the weight and what the chains may hold [lb]; margin: lb by which it may still grow.

    References
    ----------
    49 CFR 393.102. A load that is secured to 393.104 to 393.136 counts as meeting it (393.102(c)).

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> check = restraint(12, Quantity(47000, "lb"), {"working load limit": Quantity(11300, "lb")},
    ...                   {"working load limit": (0.435, 0.5, 0.25, 0.2)}, Quantity(45, "deg"), Quantity(45, "deg"))
    >>> check.status, check.subject, round(check.capacity.m_as("lb"))
    ('pass', 'road load, rearward against working load limit', 67800)
    """
    name = "Road restraint"
    if weight is None:
        return unknown(name, subject, "weigh the load", _SOURCE)
    at_least(offered, 0, "tie-downs offered")
    each_way = np.array([offered // 2] * 3 + [2 * (offered // 2)], dtype=float)
    found = []
    for kind, strength in strengths.items():
        parts = _shares(shares[kind])
        most_lb = np.divide(each_way * _held_lb(strength, angle, bearing), parts, where=parts > 0, out=np.full(4, np.inf))
        found.append((float(most_lb.min()), f"{DIRECTIONS[int(most_lb.argmin())]} against {kind}"))
    most_lb, which = min(found)
    needed = max(chains_to_hold(weight, strength, shares[kind], angle, bearing) for kind, strength in strengths.items())
    note = f"{needed} such chains needed, {offered} offered; blocking and friction left out. The carrier secures the load."
    return compared(name, f"{subject}, {which}", positive(weight, "lb", "weight"), most_lb, "lb", _SOURCE, note)


def _shares(shares: tuple[float, ...]) -> np.ndarray:
    if len(shares) != 4 or not all(0 <= share < math.inf for share in shares):
        raise ValueError(f"give four shares of at least 0, forward to down; found {shares}")
    if not any(shares):
        raise ValueError("one share at least must be more than 0; found 0 in each direction")
    return np.array(shares, dtype=float)


def _held_lb(strength: pint.Quantity, angle: pint.Quantity, bearing: pint.Quantity) -> np.ndarray:
    """Return what one chain holds forward, rearward, sideways and down [lb]."""
    for name, given in (("angle", angle), ("bearing", bearing)):
        if not 0 < value(given, "degree", name) < 90:
            raise ValueError(f"{name} must be more than 0 and less than 90 deg; found {value(given, 'degree', name):g} deg")
    up, plan = value(angle, "radian"), value(bearing, "radian")
    along, across = math.cos(up) * math.cos(plan), math.cos(up) * math.sin(plan)
    return positive(strength, "lb", "strength") * np.array([along, along, across, math.sin(up)])
