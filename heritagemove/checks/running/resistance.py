"""Resistance: what bearings, grade and curve take from each ton at the start.

Screening only. Bearings that stood for years break away far harder than any figure here, and locked
wheels slide; the railroad's mechanical officer decides.
"""

from __future__ import annotations

import numpy as np
import pint

from heritagemove.units.ranges import all_positive, between, not_negative
from heritagemove.units.units import Quantity

_RATE = "pound_force / short_ton"


def starting_rate(bearing: str | None, plain: pint.Quantity, roller: pint.Quantity) -> pint.Quantity:
    """Return the resistance at the start for a bearing; the harder of the two where it is not known.

    Parameters
    ----------
    bearing : {"plain", "roller", "converted_roller"} or None
        Bearing found by survey; None or ``unknown`` before one is made.
    plain, roller : pint.Quantity
        Starting resistance of each, above 0 [lbf/short_ton], from limit rows.

    References
    ----------
    TR0603, page 76: 16 to 20 lb/ton plain, somewhat less roller, plan with 20. Roller about 5 is from memory.

    Examples
    --------
    >>> plain, roller = Quantity(20, "lbf/short_ton"), Quantity(5, "lbf/short_ton")
    >>> starting_rate("roller", plain, roller).magnitude, starting_rate(None, plain, roller).magnitude
    (5.0, 20.0)
    """
    plain_rate, roller_rate = float(_rate(plain, "plain rate")), float(_rate(roller, "roller rate"))
    rates = {"plain": plain_rate, "roller": roller_rate, "converted_roller": roller_rate}
    if bearing not in (None, "unknown", *rates):
        raise ValueError(f"bearing must be plain, roller, converted_roller or unknown; found {bearing}")
    return Quantity(rates.get(bearing, max(plain_rate, roller_rate)), _RATE)


def slope_resistance(
    grade: pint.Quantity,
    grade_rate: pint.Quantity,
    curve: pint.Quantity | None = None,
    curve_rate: pint.Quantity | None = None,
) -> pint.Quantity:
    """Return what grade and curve add: g G + c D [lbf/short ton].

    Parameters
    ----------
    grade : pint.Quantity
        G, climbing, 0 to 100 [percent].
    grade_rate, curve_rate : pint.Quantity
        g for each percent and c for each degree, above 0 [lbf/short_ton], from limit rows.
    curve : pint.Quantity, optional
        D, 0 to 180 [deg of a 100-ft chord]; straight where left out.

    References
    ----------
    US Army TR0603, Table II (20 lb/ton for each percent) and page 82 (0.8 lb/ton for each degree).

    Examples
    --------
    >>> each_percent, each_degree = Quantity(20, "lbf/short_ton"), Quantity(0.8, "lbf/short_ton")
    >>> round(slope_resistance(Quantity(1.5, "percent"), each_percent, Quantity(10, "deg"), each_degree).magnitude, 9)
    38.0
    """
    climbing = float(_rate(grade_rate, "grade rate")) * between(grade, "percent", "grade", 0, 100)
    turning = 0.0 if curve is None else _rate(curve_rate, "curve rate") * between(curve, "degree", "curve", 0, 180)
    return Quantity(float(climbing + turning), _RATE)


def train_resistance(weights: pint.Quantity, rates: pint.Quantity, slope: pint.Quantity) -> pint.Quantity:
    """Return the resistance of all vehicles: R = Σ W (r + slope) [lbf].

    Parameters
    ----------
    weights : pint.Quantity
        W, each vehicle; a number or an array of shape (n,), above 0 [short ton].
    rates : pint.Quantity
        r, starting or rolling resistance; one for all or shape (n,), above 0 [lbf/short ton].
    slope : pint.Quantity
        What grade and curve add, as :func:`slope_resistance`, at least 0 [lbf/short ton].

    References
    ----------
    US Army TR0603, Table II and pages 76 to 82: RR = 7 on fair to poor track; 20 lb/ton at the start for plain
    bearings in service; after years standing, several times more (from memory).

    Examples
    --------
    >>> rate, slope = Quantity(7, "lbf/short_ton"), Quantity(28, "lbf/short_ton")
    >>> round(train_resistance(Quantity(124, "short_ton"), rate, slope).magnitude)
    4340
    """
    tons, each = all_positive(weights, "short_ton", "weight"), _rate(rates, "rate")
    if each.shape not in ((), tons.shape):
        raise ValueError(f"give one rate for all or one for each weight; found {tons.size} weights, {each.size} rates")
    per_ton = each + not_negative(slope, _RATE, "slope")
    return Quantity(float(np.sum(tons * per_ton)), "pound_force")


def _rate(rate: pint.Quantity, name: str) -> np.ndarray:
    # A table's lb/short_ton is a ratio of weights; the formulas' lbf/short_ton is a force on a mass. Same number.
    ratio = isinstance(rate, pint.Quantity) and rate.dimensionless
    return all_positive(rate, "pound / short_ton" if ratio else _RATE, name)
