"""Haulage: what a locomotive or winch can pull, and what holds a vehicle on a grade.

Screening only. Bearings that stood for years break away far harder than any figure here, and locked
wheels slide; the railroad's mechanical officer and the winch crew decide.
"""

from __future__ import annotations

from dataclasses import replace

import pint

from heritagemove.checks.check import Check, compared, unmeasured
from heritagemove.checks.running.resistance import slope_resistance, train_resistance
from heritagemove.units.ranges import not_negative, positive
from heritagemove.units.units import Quantity, show, weight_force

_SOURCE = "R = W (r + 20 G + 0.8 D), US Army TR0603, pages 76-83 (20 lb/ton per percent, 0.8 lb/ton per degree)"
_LEVEL = Quantity(0, "lbf/short_ton")


def drawbar_pull(tractive_effort: pint.Quantity, weight: pint.Quantity, start_rate: pint.Quantity) -> pint.Quantity:
    """Return what a locomotive has left for its train: DBP = TE - r₀ W, not below 0 [lbf].

    Parameters
    ----------
    tractive_effort : pint.Quantity
        TE, starting, above 0 [lbf].
    weight : pint.Quantity
        W of the locomotive, above 0 [short ton].
    start_rate : pint.Quantity
        r₀, its own starting resistance, above 0 [lbf/short ton].

    References
    ----------
    US Army TR0603, pages 76, 81 and 83: DBP = TE - 20 W.

    Examples
    --------
    >>> twenty = Quantity(20, "lbf/short_ton")
    >>> round(drawbar_pull(Quantity(36000, "lbf"), Quantity(120, "short_ton"), twenty).magnitude)
    33600
    """
    own = train_resistance(weight, start_rate, _LEVEL).magnitude
    return Quantity(max(0.0, positive(_force(tractive_effort), "lbf", "tractive effort") - own), "pound_force")


def winch_pull(
    weight: pint.Quantity | None,
    rolling_rate: pint.Quantity,
    grade: pint.Quantity | None,
    grade_rate: pint.Quantity,
    line_rating: pint.Quantity | None,
) -> Check:
    """Check the pull of a single winch line on a straight ramp, W (r + g G), against its rated pull.

    Parameters
    ----------
    weight : pint.Quantity or None
        W of what is pulled, above 0 [lb].
    rolling_rate : pint.Quantity
        r at the start, the harder case, above 0 [lbf/short ton].
    grade : pint.Quantity or None
        G of the ramp, 0 to 100 [percent].
    grade_rate : pint.Quantity
        g for each percent [lbf/short ton], from a limit row.
    line_rating : pint.Quantity or None
        Rated pull of winch, line and anchor at the layer in use, whichever is least, above 0 [lbf].

    Returns
    -------
    Check
        Margin: lb by which the vehicle may be heavier.

    References
    ----------
    US Army TR0603, as :func:`~heritagemove.checks.running.resistance.train_resistance`.

    Examples
    --------
    >>> rate, ramp_grade = Quantity(20, "lbf/short_ton"), Quantity(8, "percent")
    >>> found = winch_pull(Quantity(230000, "lb"), rate, ramp_grade, rate, Quantity(30000, "lbf"))
    >>> round(found.demand.magnitude), found.status, round(found.margin.magnitude)
    (20700, 'pass', 103333)
    """
    wanted = {
        "weigh the vehicle": weight,
        "survey the steepest grade of the ramp": grade,
        "ask for the rated pull of winch, line and anchor": line_rating,
    }
    if lacking := unmeasured("Winch pull", "winch line", _SOURCE, wanted):
        return lacking
    demand = train_resistance(weight, rolling_rate, slope_resistance(grade, grade_rate))
    note = (
        "One straight line, wheels free to turn. Bearings that stood for years break away several times harder; "
        "the winch crew confirms line, blocks, anchor and a hold-back."
    )
    rated = positive(_force(line_rating), "lbf", "line rating")
    return _pulled("Winch pull", "winch line", weight, demand.magnitude, rated, note)


def brake_holding(
    weight: pint.Quantity | None,
    grade: pint.Quantity | None,
    grade_rate: pint.Quantity,
    holding_force: pint.Quantity | None,
) -> Check:
    """Check that brakes or chocks hold a vehicle on a grade: g G W against the holding force.

    No credit is taken for bearing friction: rollers start to roll at almost nothing.

    Parameters
    ----------
    weight : pint.Quantity or None
        W of all that must be held, above 0 [lb].
    grade : pint.Quantity or None
        G where it stands, 0 to 100 [percent].
    grade_rate : pint.Quantity
        g for each percent [lbf/short ton], from a limit row.
    holding_force : pint.Quantity or None
        Retarding force shown by a test, 0 where no brake works [lbf].

    Returns
    -------
    Check
        Margin: lb by which the weight may grow; None on level track.

    References
    ----------
    US Army TR0603, Table II: 20 lb/ton for each percent of grade.

    Examples
    --------
    >>> twenty = Quantity(20, "lbf/short_ton")
    >>> found = brake_holding(Quantity(230000, "lb"), Quantity(1.2, "percent"), twenty, Quantity(4000, "lbf"))
    >>> round(found.demand.magnitude), found.status
    (2760, 'pass')
    """
    wanted = {
        "weigh the vehicle": weight,
        "survey the grade where it stands": grade,
        "test the hand brake by a pull": holding_force,
    }
    if lacking := unmeasured("Holding on the grade", "brakes", _SOURCE, wanted):
        return lacking
    note = (
        f"On {show(grade, 'percent', 2)}. Wheels and rail must be dry and clean, and chocks or a derail stand by; the "
        "railroad's qualified person tests the brake before anything is uncoupled."
    )
    demand = slope_resistance(grade, grade_rate).magnitude * positive(weight, "short_ton", "weight")
    holding = not_negative(_force(holding_force), "lbf", "holding force")
    return _pulled("Holding on the grade", "brakes", weight, demand, holding, note)


def _pulled(name: str, subject: str, weight: pint.Quantity, demand: float, capacity: float, note: str) -> Check:
    check = compared(name, subject, demand, capacity, "pound_force", _SOURCE, note)
    return replace(check, margin=weight.to("lb") * (capacity / demand - 1) if demand else None)


def _force(rated: pint.Quantity) -> pint.Quantity:
    # Winches and brakes are rated in pounds; the tables read those as weights.
    return weight_force(rated) if isinstance(rated, pint.Quantity) and rated.check("[mass]") else rated
