"""Clearance on the line: loaded height and side throw against structures, curves, couplers.

Screening only. The railroad's clearance bureau decides from its own file of structures; outline corners,
leaning on superelevated curves, spring movement and track irregularity are not counted here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pint

from heritagemove.checks.check import Check, MarginOf, compared, unknown, unmeasured
from heritagemove.checks.rail.curve_geometry import curve_radius, end_throw, middle_ordinate
from heritagemove.units.ranges import not_negative, positive
from heritagemove.units.units import Quantity, show

_BUREAU = "The railroad's clearance bureau decides from its own file; measure the unit with a tape and a pole."
_NOTHING = Quantity(0, "in")
_GEOMETRY = "Geometry of a rigid body on a circular curve; chord definition R = 50/sin(D/2), MIL-HDBK-1005/6, 6.2.1"


def _in_inches(length: pint.Quantity) -> str:
    return show(length, "in", 1)


def loaded_height(
    height: pint.Quantity | None,
    underside: pint.Quantity | None,
    deck_height: pint.Quantity | None,
    blocking: pint.Quantity,
    removed: pint.Quantity,
) -> pint.Quantity | None:
    """Return the height above the rail as loaded: height - underside + deck + blocking - removed [ft].

    On its own wheels nothing changes but what is taken off: underside, deck and blocking are all 0.

    Parameters
    ----------
    height : pint.Quantity or None
        Height of the vehicle on its own wheels, above the rail [ft].
    underside : pint.Quantity or None
        Where the blocking touches it, above the rail, at least 0 [ft].
    deck_height : pint.Quantity or None
        Deck of the carrying car above the rail, loaded [ft].
    blocking, removed : pint.Quantity
        Blocking on the deck; parts taken off the top, at least 0; with the underside less than the height [ft].

    Returns
    -------
    pint.Quantity or None
        Height as loaded [ft]; None where a height is not known.

    References
    ----------
    Addition of lengths. Design deck of 51 in is the worst case for flat cars (US Army SDDC planning page).

    Examples
    --------
    >>> lengths = [Quantity(feet, "ft") for feet in (14.5, 3.5, 3.6, 0.5, 0)]
    >>> round(loaded_height(*lengths).magnitude, 2)
    15.1
    """
    if height is None or underside is None or deck_height is None:
        return None
    height_ft, underside_ft = positive(height, "ft", "height"), not_negative(underside, "ft", "underside")
    removed_ft = not_negative(removed, "ft", "removed height")
    if underside_ft + removed_ft >= height_ft:
        found = f"underside {underside_ft:.2f} ft and removed {removed_ft:.2f} ft"
        raise ValueError(f"underside and parts removed must be less than the height, {height_ft:.2f} ft; found {found}")
    raised_ft = not_negative(deck_height, "ft", "deck height") + not_negative(blocking, "ft", "blocking")
    return Quantity(float(height_ft - underside_ft + raised_ft - removed_ft), "ft")


def height(
    loaded_height: pint.Quantity | None,
    clear_height: pint.Quantity | None,
    needed: pint.Quantity,
    subject: str,
    shown: Callable[[pint.Quantity], str] = _in_inches,
) -> Check:
    """Check the height as loaded, and the vertical clearance the railroad wants, under a structure.

    Parameters
    ----------
    loaded_height : pint.Quantity or None
        Top above the rail as loaded [ft].
    clear_height : pint.Quantity or None
        Lowest structure above the rail [ft].
    needed : pint.Quantity
        Vertical clearance wanted between them, at least 0 [in], from a limit row.
    subject : str
        Which structure or leg.
    shown : callable
        How the note writes a measure; by default in US customary units.

    Returns
    -------
    Check
        Margin: inches by which the load may grow taller.

    References
    ----------
    Addition of lengths; the clearance wanted is the railroad's own figure.

    Examples
    --------
    >>> found = height(Quantity(15.1, "ft"), Quantity(17.3, "ft"), Quantity(6, "in"), "tunnel")
    >>> found.status, round(found.margin.magnitude, 1)
    ('pass', 20.4)
    """
    name, source = "Height under structures", "Loaded height plus the clearance wanted, against the lowest structure"
    if loaded_height is None:
        return unknown(name, subject, "measure the top, the underside and the loaded deck above the rail", source)
    if clear_height is None:
        return unknown(name, subject, "ask the railroad for the lowest structure on this leg", source)
    demand_in = float(positive(loaded_height, "in", "loaded height") + not_negative(needed, "in", "clearance wanted"))
    capacity_in = positive(clear_height, "in", "clear height")
    note = f"Demand counts {shown(needed)} of air above the load. {_BUREAU}"
    return _within(name, subject, demand_in, capacity_in, source, note, "height")


def side(
    width: pint.Quantity | None,
    truck_centres: pint.Quantity | None,
    length: pint.Quantity | None,
    curve: pint.Quantity | None,
    clear_half_width: pint.Quantity | None,
    subject: str,
    shown: Callable[[pint.Quantity], str] = _in_inches,
    tolerance: pint.Quantity = _NOTHING,
) -> Check:
    """Check half the width, the larger throw on a curve and the tolerance kept against the clear half width.

    Parameters
    ----------
    width : pint.Quantity or None
        Greatest width of the vehicle or load [ft].
    truck_centres : pint.Quantity or None
        Truck centres of the car that carries it [ft]; the rigid wheelbase of a rigid frame.
    length : pint.Quantity or None
        Length of the vehicle or load, centred between the trucks [ft].
    curve : pint.Quantity or None
        Sharpest curve at the obstruction [deg of a 100-ft chord]; 0 on straight track.
    clear_half_width : pint.Quantity or None
        From the track's centre line to the obstruction [ft].
    subject : str
        Which obstruction or leg.
    shown : callable
        How the note writes a measure; by default in US customary units.
    tolerance : pint.Quantity
        Room kept on the side, at least 0 [in], from a limit row.

    Returns
    -------
    Check
        Open where it passes the obstruction but not the tolerance: the clearance bureau answers. Margin: inches by
        which the load may grow on its side.

    References
    ----------
    Tolerance on each side in overhang tables: Rule 16(j) as in US Army TM 55-2200-001-12. Geometry, as
    :func:`~heritagemove.checks.rail.curve_geometry.end_throw`. Half width plus throw slightly overstates the swept
    corner, hypot(R - m + w/2, length/2) - R.

    Examples
    --------
    >>> feet = [Quantity(number, "ft") for number in (10, 22, 44.5)]
    >>> found = side(*feet, Quantity(16, "deg"), Quantity(6.67, "ft"), "canopy post")
    >>> found.status, round(found.margin.magnitude, 1)
    ('pass', 13.8)
    """
    name = "Side clearance on the curve"
    wanted = {
        "measure the greatest width at all heights": width,
        "measure the distance between truck centres": truck_centres,
        "measure the length over couplers or of the load": length,
        "ask for the sharpest curve on this leg": curve,
        "measure from the track's centre line to the nearest obstruction": clear_half_width,
    }
    if lacking := unmeasured(name, subject, _GEOMETRY, wanted):
        return lacking
    positive(truck_centres, "ft", "truck centres"), positive(length, "ft", "length")
    throw_in, part = 0.0, "straight track"
    if not_negative(curve, "degree", "curve"):
        radius = curve_radius(curve)
        middle, ends = middle_ordinate(truck_centres, radius), end_throw(truck_centres, length, radius)
        throw, part = (middle, "throw of the middle") if middle >= ends else (ends, "throw of the ends")
        throw_in = float(throw.m_as("in"))
    kept_in = not_negative(tolerance, "in", "tolerance")
    demand_in = positive(width, "in", "width") / 2 + throw_in + kept_in
    capacity_in = positive(clear_half_width, "in", "clear half width")
    note = f"The {part} governs: {shown(Quantity(throw_in, 'in'))} on {show(curve, 'degree', 1)}. {_BUREAU}"
    if kept_in:
        note = f"With {shown(Quantity(kept_in, 'in'))} kept on the side. {note}"
    check = _within(name, subject, demand_in, capacity_in, _GEOMETRY, note, "width")
    tight = check.status == "fail" and round(demand_in - kept_in, 6) <= round(capacity_in, 6)
    return replace(check, status="open", note=f"It passes, but not with the tolerance. {note}") if tight else check


def curve_limit(curve: pint.Quantity | None, sharpest_allowed: pint.Quantity | None, subject: str) -> Check:
    """Check that a vehicle can take the sharpest curve of a leg.

    Parameters
    ----------
    curve : pint.Quantity or None
        Sharpest curve of the leg [deg of a 100-ft chord]; 0 on straight track.
    sharpest_allowed : pint.Quantity or None
        Sharpest curve that the vehicle or carrying car may take, loaded [deg].
    subject : str
        Which vehicle on which leg.

    Returns
    -------
    Check
        Margin: degrees by which the curve may be sharper.

    References
    ----------
    The vehicle's or the car owner's diagram.

    Examples
    --------
    >>> curve_limit(Quantity(16, "deg"), Quantity(18, "deg"), "flat car on the lead").margin.magnitude
    2.0
    """
    name, source = "Sharpest curve", "Vehicle's or car owner's diagram against the railroad's track chart"
    if curve is None:
        return unknown(name, subject, "ask for the track chart, or string-line the curve with a 62-ft chord", source)
    if sharpest_allowed is None:
        return unknown(name, subject, "find the sharpest curve on the vehicle's or car owner's diagram", source)
    demand, capacity = not_negative(curve, "degree", "curve"), positive(sharpest_allowed, "degree", "sharpest curve allowed")
    note = "Coupler swing with the next car and worn or wide track are not counted; the railroad's officers decide."
    return compared(name, subject, demand, capacity, "degree", source, note)


def coupler_height(height: pint.Quantity | None, low: pint.Quantity, high: pint.Quantity) -> Check:
    """Check that a coupler stands between the lowest and highest height allowed.

    Parameters
    ----------
    height : pint.Quantity or None
        Rail top to coupler centre line, on level track [in].
    low, high : pint.Quantity
        Lowest and highest allowed, the first less than the second [in], from limit rows.

    Returns
    -------
    Check
        Demand: distance from the middle of the band; capacity: half the band. Margin: inches that it may
        still sink or rise.

    References
    ----------
    49 CFR 231.31 (2006 edition), drawbars for freight cars: 31-1/2 to 34-1/2 in on standard gage.

    Examples
    --------
    >>> coupler_height(Quantity(31, "in"), Quantity(31.5, "in"), Quantity(34.5, "in")).margin.magnitude
    -0.5
    """
    name, source = "Coupler height", "49 CFR 231.31, drawbars for freight cars"
    if height is None:
        return unknown(name, "coupler", "measure rail top to coupler centre line at each end, on level track", source)
    height_in, low_in, high_in = (
        positive(each, "in", what) for each, what in ((height, "height"), (low, "low"), (high, "high"))
    )
    if not low_in < high_in:
        raise ValueError(f"lowest must be less than the highest, {high_in:g} in; found {low_in:g} in")
    off_in = round(abs(height_in - (low_in + high_in) / 2), 6)
    where = f"coupler at {height_in:g} in; allowed {low_in:g} to {high_in:g} in"
    note = "Measured from the middle of the band. Shim, wheel or spring work is the railroad mechanical officer's call."
    return _within(name, where, off_in, (high_in - low_in) / 2, source, note)


def _within(
    name: str, subject: str, demand_in: float, capacity_in: float, source: str, note: str, margin_of: MarginOf = ""
) -> Check:
    # A limit met exactly must not fail on the last digit of a conversion from feet or metres.
    margin = Quantity(round(capacity_in - demand_in, 6), "in")
    return compared(name, subject, round(demand_in, 6), round(capacity_in, 6), "in", source, note, margin, margin_of)
