"""Lift site: radius, room for the tail, ground under an outrigger and distance to a power line.

Screening only. The controlling entity tells of buried hazards (29 CFR 1926.1402); a ground
engineer and the utility decide.
"""

from __future__ import annotations

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown, unmeasured
from heritagemove.units.ranges import fraction, not_negative, positive
from heritagemove.units.units import Quantity

_PSF = "pound / foot ** 2"
_GROUND_SOURCE = "p = F/A on one float; 29 CFR 1926.1402; International Building Code 2012, Table 1806.2"
_ROOM_SOURCE = "Geometry of the crane as it stands; 29 CFR 1926.1424(a)"
_LINE_SOURCE = "29 CFR 1926.1408, Table A"


def least_radius(
    half_spread: pint.Quantity, tail_swing: pint.Quantity, clearance: pint.Quantity, load_width: pint.Quantity
) -> pint.Quantity:
    """Return the least radius at which a load hangs clear beside its crane: max(s, t) + c + b / 2.

    Parameters
    ----------
    half_spread, tail_swing : pint.Quantity
        s and t, from the centre of rotation to the outrigger floats and to the tail of the counterweight [ft].
    clearance : pint.Quantity
        c, air between crane and load, at least 0 [ft].
    load_width : pint.Quantity
        b, width of the load, whose length lies beside the crane [ft].

    References
    ----------
    Plan view of the crane: the load may touch neither outriggers nor tail, wherever the crane swings.

    Examples
    --------
    >>> least_radius(Quantity(13.5, "ft"), Quantity(17, "ft"), Quantity(3, "ft"), Quantity(10.1, "ft")).magnitude
    25.05
    """
    reach_ft = max(positive(half_spread, "ft", "outrigger half-spread"), positive(tail_swing, "ft", "tail swing"))
    air_ft = not_negative(clearance, "ft", "clearance")
    return Quantity(reach_ft + air_ft + positive(load_width, "ft", "width of the load") / 2, "ft")


def tail_room(
    tail_swing: pint.Quantity | None, clearance: pint.Quantity | None, obstruction: pint.Quantity | None, subject: str
) -> Check:
    """Check that the tail of the crane swings clear of the nearest obstruction: t + c against the distance there is.

    Parameters
    ----------
    tail_swing, clearance, obstruction : pint.Quantity or None
        t, c, and from the centre of rotation to the obstruction [ft]; None in any is unknown.
    subject : str
        Which place.

    Examples
    --------
    >>> tail_room(Quantity(17, "ft"), Quantity(3, "ft"), Quantity(19, "ft"), "yard").status
    'fail'
    """
    name = "Room for the crane"
    wanted = {
        "enter the crane that lifts it in cranes.csv, with its tail swing": tail_swing,
        "enter the air between crane and anything else in limits.csv": clearance,
        f"measure how far the nearest obstruction at {subject} is from the crane's centre": obstruction,
    }
    blank = unmeasured(name, subject, _ROOM_SOURCE, wanted)
    if blank:
        return blank
    needed_ft = positive(tail_swing, "ft", "tail swing") + not_negative(clearance, "ft", "clearance")
    note = "The crane firm draws the crane on the site plan; barriers keep people out of the swing."
    return compared(name, subject, needed_ft, positive(obstruction, "ft", "distance"), "ft", _ROOM_SOURCE, note)


def ground_pressure(
    crane_weight: pint.Quantity,
    load: pint.Quantity,
    share: float,
    mat_area: pint.Quantity,
    bearing: pint.Quantity | None,
    subject: str = "outrigger mat",
) -> Check:
    """Check the pressure under one outrigger mat, p = share (crane + load) / A, against the ground.

    Parameters
    ----------
    crane_weight, load : pint.Quantity
        Gross weight of the crane and its hook load [lb].
    share : float
        Part of both on one float, above 0 to 1 [-].
    mat_area : pint.Quantity
        A, mat under one float [ft²].
    bearing : pint.Quantity or None
        Presumptive bearing [lb/ft²]; None where the ground is fill, mud or not known.
    subject : str
        Which mat.

    Returns
    -------
    Check
        Margin: lb by which the hook load may grow.

    References
    ----------
    International Building Code 2012, Table 1806.2 (for building foundations); 29 CFR 1926.1402.
    Part on one float: rules of thumb differ (0.65, 0.75 and 1.0 are published); the maker's figure rules.

    Examples
    --------
    >>> ground_pressure(Quantity(80000, "lb"), Quantity(80000, "lb"), 0.75, Quantity(25, "ft**2"),
    ...                 Quantity(3000, "lb/ft**2")).status
    'fail'
    """
    area_ft2 = positive(mat_area, "ft ** 2", "mat area")
    float_load_lb = _float_load_lb(crane_weight, load, share)
    if bearing is None:
        measure = "ask a ground engineer for the allowed bearing; none is presumed for fill, mud or peat"
        return unknown("Ground under the crane", subject, measure, _GROUND_SOURCE)
    bearing_psf = positive(bearing, _PSF, "bearing")
    margin = Quantity((bearing_psf * area_ft2 - float_load_lb) / fraction(share, "share on one float"), "lb")
    note = (
        "Screening only: presumed bearing is for building footings. The crane firm and a ground engineer "
        "confirm float load, mats, drains and fill."
    )
    pressure = float_load_lb / area_ft2
    return compared("Ground under the crane", subject, pressure, bearing_psf, _PSF, _GROUND_SOURCE, note, margin)


def power_line(
    distance: pint.Quantity | None,
    voltage: pint.Quantity | None,
    upto: pint.Quantity,
    clearance: pint.Quantity,
    subject: str = "lift site",
) -> Check:
    """Check the distance to a power line against the clearance that its voltage requires.

    Parameters
    ----------
    distance : pint.Quantity or None
        Closest that crane, line, load or rigging could come, at least 0 [ft].
    voltage : pint.Quantity or None
        Line voltage [kV].
    upto, clearance : pint.Quantity
        Arrays of shape (n,): highest voltage of each row, included [kV], and its clearance [ft].
    subject : str
        Which line.

    Returns
    -------
    Check
        Demand: required clearance; capacity: the distance there is; margin [ft].

    References
    ----------
    29 CFR 1926.1408, Table A: "to" includes the value; above its top row the utility or a
    registered professional engineer decides.

    Examples
    --------
    >>> power_line(Quantity(18, "ft"), Quantity(345, "kV"), Quantity([50, 200, 350], "kV"),
    ...            Quantity([10, 15, 20], "ft")).margin.magnitude
    -2.0
    """
    name = "Power line near the lift"
    upto_kv, clearance_ft = np.atleast_1d(upto.m_as("kilovolt")), np.atleast_1d(clearance.m_as("ft"))
    if upto_kv.shape != clearance_ft.shape or not np.all(np.diff(upto_kv) > 0):
        raise ValueError("voltage rows must rise, lowest first, each with one clearance")
    if distance is None:
        measure = "measure how close crane, load or rigging could come to the line"
        return unknown(name, subject, measure, _LINE_SOURCE)
    distance_ft = not_negative(distance, "ft", "distance to the line")
    if voltage is None:
        return unknown(name, subject, "ask the utility for the voltage of the line", _LINE_SOURCE)
    row = int(np.searchsorted(upto_kv, positive(voltage, "kilovolt", "voltage")))
    if row == upto_kv.size:
        measure = "the voltage is above the table; ask the utility and a registered professional engineer"
        return unknown(name, subject, measure, _LINE_SOURCE)
    note = (
        "Screening only: the utility confirms voltage and distance, and only the utility lifts, moves or "
        "deadens a line."
    )
    return compared(name, subject, float(clearance_ft[row]), distance_ft, "ft", _LINE_SOURCE, note)


def _float_load_lb(crane_weight: pint.Quantity, load: pint.Quantity, share: float) -> float:
    total_lb = positive(crane_weight, "lb", "crane weight") + positive(load, "lb", "load")
    return fraction(share, "share on one float") * total_lb
