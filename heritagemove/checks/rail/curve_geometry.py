"""Geometry of a vehicle on a curve: radius, middle ordinate, and how far middle and ends swing out.

A rigid body on a circular curve, standing on two points: the track's own irregularity is not counted.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pint

from heritagemove.units.ranges import all_positive
from heritagemove.units.units import Quantity


def curve_radius(degree: pint.Quantity) -> pint.Quantity:
    """Return the radius of a curve given in degrees of a 100-ft chord: R = 50/sin(D/2) [ft].

    Parameters
    ----------
    degree : pint.Quantity
        D, angle that a 100-ft chord subtends, above 0 and below 180 [deg]; a number or an array of shape (n,).

    References
    ----------
    MIL-HDBK-1005/6, 6.2.1 (chord definition): 16 deg is 359 ft, 10 deg is 574 ft.

    Examples
    --------
    >>> round(curve_radius(Quantity(10, "deg")).magnitude)
    574
    """
    return Quantity(_radius_ft(all_positive(degree, "degree", "curve")), "ft")


def middle_ordinate(chord: pint.Quantity, radius: pint.Quantity) -> pint.Quantity:
    """Return the distance from the middle of a chord to its curve: m = R - sqrt(R² - L²/4) [in].

    With the truck centres as the chord this is how far the middle of a vehicle hangs inside the curve; for a rigid
    frame take its rigid wheelbase, for a load on a flat car the flat's truck centres.

    Parameters
    ----------
    chord : pint.Quantity
        L, above 0 and at most 2 R [ft]; a number or an array of shape (n,).
    radius : pint.Quantity
        R, above 0 [ft]; a number or an array of shape (n,).

    References
    ----------
    TM 5-628, 12-5: the middle ordinate of a 62-ft chord is 1 in for each degree of curve. A truck's own wheelbase T
    adds m(T), under 1 in for T = 13.6 ft on 16 deg; it is not counted.

    Examples
    --------
    >>> round(float(middle_ordinate(Quantity(62, "ft"), curve_radius(Quantity(1, "deg"))).magnitude), 1)
    1.0
    """
    return Quantity(_ordinate_in(all_positive(chord, "ft", "chord"), all_positive(radius, "ft", "radius")), "in")


def end_throw(truck_centres: pint.Quantity, length: pint.Quantity, radius: pint.Quantity) -> pint.Quantity:
    """Return how far the end of a vehicle hangs outside the curve: sqrt((R - m)² + (L/2 + o)²) - R [in].

    Parameters
    ----------
    truck_centres : pint.Quantity
        L, distance between truck centres of the carrying car, above 0 and at most 2 R [ft].
    length : pint.Quantity
        L + 2 o, length of the vehicle or load, centred between the trucks, above 0 [ft].
    radius : pint.Quantity
        R, above 0 [ft].

    Returns
    -------
    pint.Quantity
        Throw to the outside [in]; negative where the load ends well inside the truck centres.

    References
    ----------
    Geometry; nearly ((L + 2 o)² - L²)/(8 R).

    Examples
    --------
    >>> ten = curve_radius(Quantity(10, "deg"))
    >>> round(float(end_throw(Quantity(31, "ft"), Quantity(55.75, "ft"), ten).magnitude), 2)
    5.61
    """
    radius_ft, centres_ft = all_positive(radius, "ft", "radius"), all_positive(truck_centres, "ft", "truck centres")
    _ordinate_in(centres_ft, radius_ft)
    return Quantity(_end_in(centres_ft, all_positive(length, "ft", "length"), radius_ft), "in")


def _radius_ft(degrees: Any) -> Any:
    if not np.all(degrees < 180):
        raise ValueError(f"curve must be less than 180 deg; found {np.max(degrees):g} deg")
    return 50 / np.sin(np.radians(degrees) / 2)


def _ordinate_in(chord_ft: Any, radius_ft: Any) -> Any:
    if np.any(chord_ft > 2 * radius_ft):
        longest = f"at most twice the radius, {2 * np.min(radius_ft):,.1f} ft"
        raise ValueError(f"chord must be {longest}; found {np.max(chord_ft):,.1f} ft")
    # R - sqrt(R² - s) written without the difference of two nearly equal numbers.
    square = chord_ft**2 / 4
    return 12 * square / (radius_ft + np.sqrt(radius_ft**2 - square))


def _end_in(centres_ft: Any, length_ft: Any, radius_ft: Any) -> Any:
    excess = (length_ft**2 - centres_ft**2) / 4
    return 12 * excess / (np.sqrt(radius_ft**2 + excess) + radius_ft)
