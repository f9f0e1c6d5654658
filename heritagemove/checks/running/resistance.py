"""Resistance: what bearings, speed, grade and curve take from each ton, at the start and running.

Screening only. Bearings that stood for years break away far harder than any figure here, and locked
wheels slide; the railroad's mechanical officer decides.
"""

from __future__ import annotations

import math

import numpy as np
import pint

from heritagemove.units.units import Quantity, positive, value

_RATE = "pound_force / short_ton"
# 1 percent of a short ton of 2,000 lb.
_GRADE_RATE = 20.0
# Empirical, as 1.3 in Davis's formula is; not a limit. US Army TR0603, page 82.
_CURVE_RATE = 0.8


def davis(axle_load: pint.Quantity, axles: int, speed: pint.Quantity, area: pint.Quantity) -> pint.Quantity:
    """Return the running resistance of a freight car: R = 1.3 + 29/w + 0.045 V + 0.0005 A V²/(w n) [lbf/short ton].

    Parameters
    ----------
    axle_load : pint.Quantity
        w, weight on one axle [short ton].
    axles : int
        n, axles of the car, at least 2 [-].
    speed : pint.Quantity
        V [mph].
    area : pint.Quantity
        A, frontal area [ft²].

    Raises
    ------
    ValueError
        If axle load or area is not more than 0, axles fewer than 2, or the speed negative.

    References
    ----------
    Davis formula as printed by Szanto, Rolling Resistance Revisited (2016). The Car and Locomotive Cyclopedia
    (1970), page 842, has 0.044 for 0.0005 A, that is A = 88 ft² (secondary). For running, not for starting.

    Examples
    --------
    >>> cyclopedia = davis(Quantity(35.75, "short_ton"), 4, Quantity(50, "mph"), Quantity(88, "ft**2"))
    >>> round(cyclopedia.magnitude, 2)
    5.13
    """
    load, speed_mph = _car(axle_load, axles, speed)
    area_ft2 = positive(area, "ft ** 2", "area")
    drag = 0.0005 * area_ft2 * speed_mph**2 / (load * axles)
    return Quantity(1.3 + 29 / load + 0.045 * speed_mph + drag, _RATE)


def modified_davis(axle_load: pint.Quantity, axles: int, speed: pint.Quantity) -> pint.Quantity:
    """Return the running resistance: R = 1.3 + 72.5/(w n) + 0.015 V + 0.055 V²/(w n) [lbf/short ton].

    Parameters
    ----------
    axle_load : pint.Quantity
        w, weight on one axle [short ton].
    axles : int
        n, axles of the car, at least 2 [-].
    speed : pint.Quantity
        V [mph].

    Raises
    ------
    ValueError
        If the axle load is not more than 0, axles fewer than 2, or the speed negative.

    References
    ----------
    AAR RP-548 as printed by Szanto, Rolling Resistance Revisited (2016). For modern roller-bearing cars.

    Examples
    --------
    >>> round(modified_davis(Quantity(35.75, "short_ton"), 4, Quantity(50, "mph")).magnitude, 3)
    3.519
    """
    load, speed_mph = _car(axle_load, axles, speed)
    return Quantity(1.3 + (72.5 + 0.055 * speed_mph**2) / (load * axles) + 0.015 * speed_mph, _RATE)


def manual_davis(axle_load: pint.Quantity, axles: int, speed: pint.Quantity, drag: float = 0.07) -> pint.Quantity:
    """Return the running resistance: R = 0.6 + 20/w + 0.01 V + K V²/(w n) [lbf/short ton].

    Parameters
    ----------
    axle_load : pint.Quantity
        w, weight on one axle [short ton].
    axles : int
        n, axles of the car, at least 2 [-].
    speed : pint.Quantity
        V [mph].
    drag : float
        K, 0.07 for ordinary freight cars [-].

    Raises
    ------
    ValueError
        If axle load or drag is not more than 0, axles fewer than 2, or the speed negative.

    References
    ----------
    From memory: AREMA Manual for Railway Engineering, chapter 16, and its K. Confirm before use.

    Examples
    --------
    >>> round(manual_davis(Quantity(25, "short_ton"), 4, Quantity(10, "mph")).magnitude, 2)
    1.57
    """
    load, speed_mph = _car(axle_load, axles, speed)
    if not 0 < drag < math.inf:
        raise ValueError(f"drag must be more than 0; found {drag:g}")
    return Quantity(0.6 + 20 / load + 0.01 * speed_mph + drag * speed_mph**2 / (load * axles), _RATE)


def starting_rate(bearing: str | None, plain: pint.Quantity, roller: pint.Quantity) -> pint.Quantity:
    """Return the resistance at the start for a bearing; the harder of the two where it is not known.

    Parameters
    ----------
    bearing : {"plain", "roller", "converted_roller"} or None
        Bearing found by survey; None or ``unknown`` before one is made.
    plain, roller : pint.Quantity
        Starting resistance of each [lbf/short ton], from limit rows.

    Raises
    ------
    ValueError
        If the bearing is another word or a rate is not more than 0.

    References
    ----------
    TR0603, page 76: 16 to 20 lb/ton plain, somewhat less roller, plan with 20. Roller about 5 is from memory.

    Examples
    --------
    >>> plain, roller = Quantity(20, "lbf/short_ton"), Quantity(5, "lbf/short_ton")
    >>> starting_rate("roller", plain, roller).magnitude, starting_rate(None, plain, roller).magnitude
    (5.0, 20.0)
    """
    plain_rate, roller_rate = _rate(plain, "plain rate"), _rate(roller, "roller rate")
    rates = {"plain": plain_rate, "roller": roller_rate, "converted_roller": roller_rate}
    if bearing not in (None, "unknown", *rates):
        raise ValueError(f"bearing must be plain, roller, converted_roller or unknown; found {bearing}")
    return Quantity(rates.get(bearing, max(plain_rate, roller_rate)), _RATE)


def slope_resistance(grade: pint.Quantity, curve: pint.Quantity) -> pint.Quantity:
    """Return what grade and curve add: GR + CR = 20 G + 0.8 D [lbf/short ton].

    Parameters
    ----------
    grade : pint.Quantity
        G, climbing [percent].
    curve : pint.Quantity
        D [deg of a 100-ft chord].

    Raises
    ------
    ValueError
        If the grade is outside 0 to 100 percent or the curve outside 0 to 180 deg.

    References
    ----------
    US Army TR0603, Table II (20 lb/ton for each percent) and page 82 (0.8 lb/ton for each degree).

    Examples
    --------
    >>> round(slope_resistance(Quantity(1.5, "percent"), Quantity(10, "deg")).magnitude, 9)
    38.0
    """
    percent, degrees = value(grade, "percent", "grade"), value(curve, "degree", "curve")
    if not 0 <= percent <= 100:
        raise ValueError(f"grade must be 0 to 100 percent; found {percent:g} percent")
    if not 0 <= degrees < 180:
        raise ValueError(f"curve must be 0 to less than 180 deg; found {degrees:g} deg")
    return Quantity(_GRADE_RATE * percent + _CURVE_RATE * degrees, _RATE)


def train_resistance(
    weights: pint.Quantity, rates: pint.Quantity, grade: pint.Quantity, curve: pint.Quantity
) -> pint.Quantity:
    """Return the resistance of all vehicles: R = Σ W (r + 20 G + 0.8 D) [lbf].

    Parameters
    ----------
    weights : pint.Quantity
        W, each vehicle; a number or an array of shape (n,) [short ton].
    rates : pint.Quantity
        r, rolling or starting resistance; one for all or shape (n,) [lbf/short ton].
    grade : pint.Quantity
        G, climbing [percent].
    curve : pint.Quantity
        D [deg of a 100-ft chord].

    Raises
    ------
    ValueError
        If a weight or rate is not more than 0, or grade or curve is outside 0 to 100 percent, 0 to 180 deg.

    References
    ----------
    US Army TR0603, Table II and pages 78 to 82: 20 lb/ton per percent, 0.8 lb/ton per degree. RR = 7 on fair
    to poor track.

    Examples
    --------
    >>> seven = Quantity(7, "lbf/short_ton")
    >>> car = Quantity(124, "short_ton")
    >>> round(train_resistance(car, seven, Quantity(1, "percent"), Quantity(10, "deg")).magnitude)
    4340
    """
    tons = _all_positive(weights, "short_ton", "weight")
    each = np.asarray(_rate(rates, "rate"))
    if each.shape not in ((), tons.shape):
        raise ValueError(f"give one rate for all or one for each weight; found {tons.size} weights, {each.size} rates")
    per_ton = each + slope_resistance(grade, curve).magnitude
    return Quantity(float(np.sum(tons * per_ton)), "pound_force")


def starting_pull(
    weight: pint.Quantity, start_rate: pint.Quantity, grade: pint.Quantity, curve: pint.Quantity
) -> pint.Quantity:
    """Return the pull that starts vehicles from rest: W (r₀ + 20 G + 0.8 D) [lbf].

    Parameters
    ----------
    weight : pint.Quantity
        W; a number or an array of shape (n,) [short ton].
    start_rate : pint.Quantity
        r₀, starting resistance; one for all or shape (n,) [lbf/short ton].
    grade : pint.Quantity
        G, climbing [percent].
    curve : pint.Quantity
        D [deg of a 100-ft chord].

    Raises
    ------
    ValueError
        As :func:`train_resistance`.

    References
    ----------
    US Army TR0603, page 76: 20 lb/ton for plain bearings in service; after years standing, several times more
    (from memory).

    Examples
    --------
    >>> rate, none = Quantity(20, "lbf/short_ton"), Quantity(0, "deg")
    >>> round(starting_pull(Quantity(115, "short_ton"), rate, Quantity(1.2, "percent"), none).magnitude)
    5060
    """
    return train_resistance(weight, start_rate, grade, curve)


def _car(axle_load: pint.Quantity, axles: int, speed: pint.Quantity) -> tuple[float, float]:
    if axles < 2:
        raise ValueError(f"axles must be 2 or more; found {axles}")
    speed_mph = value(speed, "mph", "speed")
    if not 0 <= speed_mph < math.inf:
        raise ValueError(f"speed must be 0 or more; found {speed_mph:g} mph")
    return positive(axle_load, "short_ton", "axle load"), speed_mph


def _rate(rate: pint.Quantity, name: str) -> float | np.ndarray:
    # A table's lb/short_ton is a ratio of weights; the formulas' lbf/short_ton is a force on a mass. Same number.
    ratio = isinstance(rate, pint.Quantity) and rate.dimensionless
    rates = _all_positive(rate, "pound / short_ton" if ratio else _RATE, name)
    return float(rates) if rates.ndim == 0 else rates


def _all_positive(quantity: pint.Quantity, unit: str, name: str) -> np.ndarray:
    if not isinstance(quantity, pint.Quantity) or np.ndim(quantity.magnitude) == 0:
        return np.asarray(positive(quantity, unit, name))
    numbers = np.asarray(quantity.m_as(unit), dtype=float)
    if not numbers.size or not np.all((numbers > 0) & (numbers < math.inf)):
        worst = numbers.min() if numbers.size else "none"
        raise ValueError(f"every {name} must be more than 0; found {worst} {unit}")
    return numbers
