"""Slings: tension in the legs of a bridle between hook and load.

Screening only. A qualified rigger chooses slings, fittings and lifting points.
"""

from __future__ import annotations

import numpy as np
import pint

from heritagemove.units.ranges import positive
from heritagemove.units.units import value, weight_force


def unequal_sling_tensions(
    weight: pint.Quantity,
    distance_1: pint.Quantity,
    distance_2: pint.Quantity,
    height: pint.Quantity,
    lowest_angle: pint.Quantity,
) -> pint.Quantity:
    """Return both tensions of a two-leg sling: T1 = W D2 S1 / [H (D1 + D2)], T2 = W D1 S2 / [H (D1 + D2)].

    The hook hangs over the centre of gravity and both picks are level, so S² = D² + H².

    Parameters
    ----------
    weight : pint.Quantity
        W, weight under the sling [lb].
    distance_1, distance_2 : pint.Quantity
        D1, D2, picks from the centre of gravity, level [ft].
    height : pint.Quantity
        H, hook above the picks [ft].
    lowest_angle : pint.Quantity
        Flattest leg allowed, from the horizontal [deg].

    Returns
    -------
    pint.Quantity
        Array of shape (2,): T1 and T2 [lbf].

    References
    ----------
    Statics of two legs; equal legs reduce to T = W / (2 sin θ), US Army, FM 5-125, ch. 4 (formula from memory). Chain
    makers' tables credit three legs of four.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> tensions = unequal_sling_tensions(Quantity(10000, "lb"), Quantity(3, "ft"), Quantity(5, "ft"),
    ...                                   Quantity(6, "ft"), Quantity(30, "deg"))
    >>> [round(tension) for tension in tensions.m_as("lbf")]
    [6988, 4881]
    """
    positive(weight, "lb", "weight")
    picks = (distance_1, distance_2)
    distance_ft = np.array([positive(distance, "ft", "pick distance") for distance in picks])
    height_ft = positive(height, "ft", "hook height")
    for degrees in np.degrees(np.arctan2(height_ft, distance_ft)):
        _allow_angle(degrees, value(lowest_angle, "degree", "lowest angle"))
    sling_ft = np.hypot(distance_ft, height_ft)
    return weight_force(weight) * (distance_ft[::-1] * sling_ft / (height_ft * distance_ft.sum()))


def _allow_angle(degrees: float, lowest: float) -> None:
    # 30 degrees typed as an exact limit must not fail on the last digit of an arctangent.
    if not lowest - 1e-9 <= degrees <= 90 + 1e-9:
        allowed = f"{lowest:g} to 90 deg from the horizontal"
        raise ValueError(f"a sling leg must stand at {allowed}; found {degrees:.1f} deg")
