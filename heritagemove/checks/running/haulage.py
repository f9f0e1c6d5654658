"""Haulage: what a locomotive or winch can pull, and what holds a vehicle on a grade.

Screening only. Bearings that stood for years break away far harder than any figure here, and locked
wheels slide; the railroad's mechanical officer and the winch crew decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pint

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.checks.running.resistance import slope_resistance, starting_pull, train_resistance
from heritagemove.units.units import Quantity, positive, show, value, weight_force

_SOURCE = "R = W (r + 20 G + 0.8 D), US Army TR0603, pages 76-83 (20 lb/ton per percent, 0.8 lb/ton per degree)"
_STRAIGHT = Quantity(0, "deg")
_LEVEL = Quantity(0, "percent")
_TON = Quantity(1, "short_ton")


@dataclass(frozen=True)
class RampPull:
    """Pull along a ramp, by the sine of its angle and by its percent."""

    exact: pint.Quantity  # W (sin θ + f cos θ) and W (G + f) [lbf]; the second is never less
    approximate: pint.Quantity  # W (sin θ + f cos θ) and W (G + f) [lbf]; the second is never less


def drawbar_pull(tractive_effort: pint.Quantity, weight: pint.Quantity, start_rate: pint.Quantity) -> pint.Quantity:
    """Return what a locomotive has left for its train: DBP = TE - r₀ W, not below 0 [lbf].

    Parameters
    ----------
    tractive_effort : pint.Quantity
        TE, starting [lbf].
    weight : pint.Quantity
        W of the locomotive [short ton].
    start_rate : pint.Quantity
        r₀, its own starting resistance [lbf/short ton].

    Raises
    ------
    ValueError
        If a value is not more than 0.

    References
    ----------
    US Army TR0603, pages 76, 81 and 83: DBP = TE - 20 W.

    Examples
    --------
    >>> twenty = Quantity(20, "lbf/short_ton")
    >>> round(drawbar_pull(Quantity(36000, "lbf"), Quantity(120, "short_ton"), twenty).magnitude)
    33600
    """
    own = train_resistance(weight, start_rate, _LEVEL, _STRAIGHT).magnitude
    return Quantity(max(0.0, _force(tractive_effort, "tractive effort") - own), "pound_force")


def tonnage_rating(
    drawbar_pull: pint.Quantity,
    weather: float,
    rolling_rate: pint.Quantity,
    grade: pint.Quantity,
    curve: pint.Quantity,
) -> pint.Quantity:
    """Return the gross trailing load: GTL = DBP W/(RR + GR + CR) [short ton].

    Parameters
    ----------
    drawbar_pull : pint.Quantity
        DBP, may be 0 [lbf].
    weather : float
        W, weather factor, more than 0 to 1 [-].
    rolling_rate : pint.Quantity
        RR [lbf/short ton].
    grade : pint.Quantity
        Ruling grade [percent]; GR = 20 for each percent.
    curve : pint.Quantity
        Sharpest curve [deg]; CR = 0.8 for each degree.

    Raises
    ------
    ValueError
        If the pull is negative, the weather factor not more than 0 to 1, the rate not more than 0, or grade or
        curve out of range as in :func:`train_resistance`.

    References
    ----------
    US Army TR0603, pages 81 to 83. The source rounds up to a whole ton; this does not, for it is a capacity.

    Examples
    --------
    >>> pull, rate = Quantity(33600, "lbf"), Quantity(7, "lbf/short_ton")
    >>> rating = tonnage_rating(pull, 0.8, rate, Quantity(1.5, "percent"), Quantity(10, "deg"))
    >>> round(rating.magnitude, 1)
    597.3
    """
    if not 0 < weather <= 1:
        raise ValueError(f"weather factor must be more than 0 and at most 1; found {weather:g}")
    pull = _force(drawbar_pull, "drawbar pull", zero=True)
    each_ton = train_resistance(_TON, rolling_rate, grade, curve).magnitude
    return Quantity(pull * weather / each_ton, "short_ton")


def winch_pull(
    weight: pint.Quantity | None,
    rolling_rate: pint.Quantity,
    grade: pint.Quantity | None,
    line_rating: pint.Quantity | None,
    curve: pint.Quantity | None = None,
) -> Check:
    """Check the pull of a single winch line, W (r + 20 G + 0.8 D), against its rated pull.

    Parameters
    ----------
    weight : pint.Quantity or None
        W of what is pulled [lb].
    rolling_rate : pint.Quantity
        r at the start, the harder case [lbf/short ton].
    grade : pint.Quantity or None
        G of the ramp [percent].
    line_rating : pint.Quantity or None
        Rated pull of winch, line and anchor at the layer in use, whichever is least [lbf].
    curve : pint.Quantity or None
        D [deg]; straight where not given.

    Returns
    -------
    Check
        Margin: lb by which the vehicle may be heavier.

    Raises
    ------
    ValueError
        As :func:`train_resistance`, or if the rating is not more than 0.

    References
    ----------
    US Army TR0603, as :func:`train_resistance`.

    Examples
    --------
    >>> rate, ramp_grade = Quantity(20, "lbf/short_ton"), Quantity(8, "percent")
    >>> found = winch_pull(Quantity(230000, "lb"), rate, ramp_grade, Quantity(30000, "lbf"))
    >>> round(found.demand.magnitude), found.status, round(found.margin.magnitude)
    (20700, 'pass', 103333)
    """
    missing = [
        measure
        for measure, given in (
            ("weigh the vehicle", weight),
            ("survey the steepest grade of the ramp", grade),
            ("ask for the rated pull of winch, line and anchor", line_rating),
        )
        if given is None
    ]
    if missing:
        return unknown("Winch pull", "winch line", "; ".join(missing), _SOURCE)
    demand = starting_pull(weight, rolling_rate, grade, _STRAIGHT if curve is None else curve)
    note = (
        "One straight line, wheels free to turn. Bearings that stood for years break away several times harder; "
        "the winch crew confirms line, blocks, anchor and a hold-back."
    )
    return _pulled("Winch pull", "winch line", weight, demand, _force(line_rating, "line rating"), note)


def ramp(weight: pint.Quantity, grade: pint.Quantity, rolling_rate: pint.Quantity | None = None) -> RampPull:
    """Return the pull along a ramp, exact and by percent: W (sin θ + f cos θ) and W (G + f), tan θ = G.

    Parameters
    ----------
    weight : pint.Quantity
        W [lb].
    grade : pint.Quantity
        G, rise over level length [percent].
    rolling_rate : pint.Quantity or None
        f [lbf/short ton]; None for the grade alone.

    Returns
    -------
    RampPull
        Both pulls [lbf].

    Raises
    ------
    ValueError
        If weight or rate is not more than 0 or the grade outside 0 to 100 percent.

    References
    ----------
    Statics of a body on an incline.

    Examples
    --------
    >>> pull = ramp(Quantity(200000, "lb"), Quantity(10, "percent"))
    >>> round(pull.exact.magnitude, 1), round(pull.approximate.magnitude)
    (19900.7, 20000)
    """
    force = weight_force(Quantity(positive(weight, "lb", "weight"), "lb")).m_as("pound_force")
    slope = slope_resistance(grade, _STRAIGHT).magnitude / 2000
    friction = 0.0
    if rolling_rate is not None:
        friction = train_resistance(_TON, rolling_rate, _LEVEL, _STRAIGHT).magnitude / 2000
    exact = force * (slope + friction) / math.hypot(1, slope)
    return RampPull(Quantity(exact, "pound_force"), Quantity(force * (slope + friction), "pound_force"))


def brake_holding(weight: pint.Quantity | None, grade: pint.Quantity | None, holding_force: pint.Quantity | None) -> Check:
    """Check that brakes or chocks hold a vehicle on a grade: 20 G W against the holding force.

    No credit is taken for bearing friction: rollers start to roll at almost nothing.

    Parameters
    ----------
    weight : pint.Quantity or None
        W of all that must be held [lb].
    grade : pint.Quantity or None
        G where it stands [percent].
    holding_force : pint.Quantity or None
        Retarding force shown by a test [lbf]; 0 where no brake works.

    Returns
    -------
    Check
        Margin: lb by which the weight may grow; None on level track.

    Raises
    ------
    ValueError
        If the weight is not more than 0, the grade outside 0 to 100 percent, or the force negative.

    References
    ----------
    US Army TR0603, Table II: 20 lb/ton for each percent of grade.

    Examples
    --------
    >>> found = brake_holding(Quantity(230000, "lb"), Quantity(1.2, "percent"), Quantity(4000, "lbf"))
    >>> round(found.demand.magnitude), found.status
    (2760, 'pass')
    """
    wanted = {
        "weigh the vehicle": weight,
        "survey the grade where it stands": grade,
        "test the hand brake by a pull": holding_force,
    }
    missing = [measure for measure, given in wanted.items() if given is None]
    if missing:
        return unknown("Holding on the grade", "brakes", "; ".join(missing), _SOURCE)
    holding = _force(holding_force, "holding force", zero=True)
    note = (
        f"On {show(grade, 'percent', 2)}. Wheels and rail must be dry and clean, and chocks or a derail stand by; the "
        "railroad's qualified person tests the brake before anything is uncoupled."
    )
    each_ton = slope_resistance(grade, _STRAIGHT).magnitude
    demand = Quantity(each_ton * positive(weight, "short_ton", "weight"), "pound_force")
    return _pulled("Holding on the grade", "brakes", weight, demand, holding, note)


def _pulled(name: str, subject: str, weight: pint.Quantity, demand: pint.Quantity, capacity_lbf: float, note: str) -> Check:
    capacity = Quantity(capacity_lbf, "pound_force")
    growth = capacity_lbf / demand.magnitude - 1 if demand.magnitude else None
    margin = None if growth is None else weight.to("lb") * growth
    return Check(name, subject, demand, capacity, judge(demand, capacity), margin, _SOURCE, note)


def _force(force: pint.Quantity, name: str, zero: bool = False) -> float:
    # Winches and brakes are rated in pounds; the tables read those as weights.
    if isinstance(force, pint.Quantity) and force.check("[mass]"):
        force = weight_force(force)
    pounds = value(force, "pound_force", name)
    if not (0 < pounds < math.inf or (zero and pounds == 0)):
        raise ValueError(f"{name} must be {'0 or more' if zero else 'more than 0'}; found {pounds:,g} lbf")
    return pounds
