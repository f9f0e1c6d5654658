"""Geometry of a vehicle on a curve: radius, middle ordinate, and how far middle and ends swing out.

A rigid body on a circular curve, standing on two points: the track's own irregularity is not counted.
"""

from __future__ import annotations

import math

import numpy as np
import pint

from heritagemove.units.units import Quantity, value


def curve_radius(degree: pint.Quantity) -> pint.Quantity:
    """Return the radius of a curve given in degrees of a 100-ft chord: R = 50/sin(D/2) [ft].

    Parameters
    ----------
    degree : pint.Quantity
        D, angle that a 100-ft chord subtends [deg]; a number or an array of shape (n,).

    Raises
    ------
    ValueError
        If a degree is not more than 0 and less than 180.

    References
    ----------
    MIL-HDBK-1005/6, 6.2.1 (chord definition): 16 deg is 359 ft, 10 deg is 574 ft.

    Examples
    --------
    >>> round(curve_radius(Quantity(10, "deg")).magnitude)
    574
    """
    degrees = _numbers(degree, "degree", "curve")
    if not np.all((degrees > 0) & (degrees < 180)):
        raise ValueError(f"curve must be more than 0 and less than 180 deg; found {degrees.min():g} deg")
    return Quantity(50 / np.sin(np.radians(degrees) / 2), "ft")


def middle_ordinate(chord: pint.Quantity, radius: pint.Quantity) -> pint.Quantity:
    """Return the distance from the middle of a chord to its curve: m = R - sqrt(R² - L²/4) [in].

    Parameters
    ----------
    chord : pint.Quantity
        L [ft]; a number or an array of shape (n,).
    radius : pint.Quantity
        R [ft]; a number or an array of shape (n,).

    Raises
    ------
    ValueError
        If chord or radius is not more than 0, or the chord longer than 2 R.

    References
    ----------
    TM 5-628, 12-5: the middle ordinate of a 62-ft chord is 1 in for each degree of curve.

    Examples
    --------
    >>> round(float(middle_ordinate(Quantity(62, "ft"), curve_radius(Quantity(1, "deg"))).magnitude), 1)
    1.0
    """
    chord_ft = _positive(chord, "ft", "chord")
    radius_ft = _positive(radius, "ft", "radius")
    if np.any(chord_ft > 2 * radius_ft):
        longest = f"at most twice the radius, {2 * np.min(radius_ft):,.1f} ft"
        raise ValueError(f"chord must be {longest}; found {np.max(chord_ft):,.1f} ft")
    # R - sqrt(R² - s) written without the difference of two nearly equal numbers.
    square = chord_ft**2 / 4
    return Quantity(12 * square / (radius_ft + np.sqrt(radius_ft**2 - square)), "in")


def centre_throw(truck_centres: pint.Quantity, radius: pint.Quantity) -> pint.Quantity:
    """Return how far the middle of a vehicle hangs inside the curve: m of its truck centres [in].

    Parameters
    ----------
    truck_centres : pint.Quantity
        Distance between truck centres [ft]; for a rigid frame its rigid wheelbase; for a load on a
        flat car the flat's truck centres.
    radius : pint.Quantity
        R [ft].

    Raises
    ------
    ValueError
        If a value is not more than 0, or the truck centres longer than 2 R.

    References
    ----------
    Geometry, as :func:`middle_ordinate`. The truck's own wheelbase T adds m(T), under 1 in for T = 13.6 ft
    on 16 deg; it is not counted.

    Examples
    --------
    >>> round(float(centre_throw(Quantity(31, "ft"), curve_radius(Quantity(10, "deg"))).magnitude), 2)
    2.51
    """
    return middle_ordinate(truck_centres, radius)


def end_throw(truck_centres: pint.Quantity, length: pint.Quantity, radius: pint.Quantity) -> pint.Quantity:
    """Return how far the end of a vehicle hangs outside the curve: sqrt((R - m)² + (L/2 + o)²) - R [in].

    Parameters
    ----------
    truck_centres : pint.Quantity
        L, distance between truck centres of the carrying car [ft].
    length : pint.Quantity
        L + 2 o, length of the vehicle or load, centred between the trucks [ft].
    radius : pint.Quantity
        R [ft].

    Returns
    -------
    pint.Quantity
        Throw to the outside [in]; negative where the load ends well inside the truck centres.

    Raises
    ------
    ValueError
        If a value is not more than 0, or the truck centres longer than 2 R.

    References
    ----------
    Geometry; nearly ((L + 2 o)² - L²)/(8 R).

    Examples
    --------
    >>> ten = curve_radius(Quantity(10, "deg"))
    >>> round(float(end_throw(Quantity(31, "ft"), Quantity(55.75, "ft"), ten).magnitude), 2)
    5.61
    """
    middle_ordinate(truck_centres, radius)
    radius_ft, centres_ft = _numbers(radius, "ft", "radius"), _numbers(truck_centres, "ft", "truck centres")
    excess = (_positive(length, "ft", "length") ** 2 - centres_ft**2) / 4
    return Quantity(12 * excess / (np.sqrt(radius_ft**2 + excess) + radius_ft), "in")


def _numbers(quantity: pint.Quantity, unit: str, name: str) -> np.ndarray:
    if not isinstance(quantity, pint.Quantity) or np.ndim(quantity.magnitude) == 0:
        return np.asarray(value(quantity, unit, name))
    return np.asarray(quantity.m_as(unit), dtype=float)


def _positive(quantity: pint.Quantity, unit: str, name: str) -> np.ndarray:
    numbers = _numbers(quantity, unit, name)
    if not np.all((numbers > 0) & (numbers < math.inf)):
        raise ValueError(f"{name} must be more than 0; found {np.min(numbers):,g} {unit}")
    return numbers
