"""Running on its wheels: the brake and age rules that a move must meet.

Screening only. The rules move: every figure is an argument that the caller reads from a dated row. The
railroad's mechanical and operating officers decide how, and whether, the vehicle runs.
"""

from __future__ import annotations

import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import above_zero, at_least, not_negative, positive
from heritagemove.units.units import Quantity

_OFFICERS = "The railroad's mechanical and operating officers decide."


def transfer_test(distance: pint.Quantity | None, limit: pint.Quantity) -> Check:
    """Check that a move is short enough for the transfer train brake test; beyond, a Class I test is due.

    Parameters
    ----------
    distance : pint.Quantity or None
        From the first to the last point of the move, at least 0 [mile].
    limit : pint.Quantity
        Longest transfer movement, included [mile], from a limit row.

    Returns
    -------
    Check
        Margin: miles that the move may still grow.

    References
    ----------
    49 CFR 232.215 (2007 edition): at most 20 miles; 232.205 for the Class I test.

    Examples
    --------
    >>> transfer_test(Quantity(24.2, "mile"), Quantity(20, "mile")).status
    'fail'
    """
    name, source = "Transfer train brake test", "49 CFR 232.215; Class I test, 49 CFR 232.205"
    if distance is None:
        return unknown(name, "move", "measure the length of the move in miles", source)
    demand, capacity = not_negative(distance, "mile", "distance"), positive(limit, "mile", "limit")
    note = f"{'Too long: a Class I test is due.' if demand > capacity else 'A transfer test may do.'} {_OFFICERS}"
    return compared(name, "move", demand, capacity, "mile", source, note)


def idler_trucks(on_yard_track: bool | None, has_brake_cylinders: bool | None) -> Check:
    """Check that idler trucks have brake cylinders wherever the move leaves yard track.

    Parameters
    ----------
    on_yard_track : bool or None
        Whether the whole move stays on yard track.
    has_brake_cylinders : bool or None
        Whether the trucks carry brake cylinders.

    Returns
    -------
    Check
        Fail on the line without cylinders; marginal in the yard without them. No margin: nothing grows.

    References
    ----------
    49 CFR 232.15(a) (2003 edition): relief is only for a car properly equipped whose brake becomes defective
    in use.

    Examples
    --------
    >>> [idler_trucks(yard, False).status for yard in (True, False)]
    ['marginal', 'fail']
    """
    name, source = "Idler trucks", "49 CFR 232.15(a)"
    if has_brake_cylinders is None:
        return unknown(name, "idler trucks", "look for brake cylinders, levers and piping on each truck", source)
    if has_brake_cylinders:
        status, note = "pass", "The brake must still be piped, tested and operative."
    elif on_yard_track is None:
        return unknown(name, "idler trucks", "find whether any leg leaves yard track", source)
    elif on_yard_track:
        status, note = "marginal", "In the yard only, coupled to an engine whose brakes hold both."
    else:
        status, note = "fail", "A car never equipped with a brake gets no relief for a defective one."
    return Check(name, "idler trucks", None, None, status, None, source, f"{note} {_OFFICERS}")


def over_age(built_year: int | None, move_year: int, limit_years: float) -> Check:
    """Check whether a freight car has passed the age at which its use is restricted.

    Parameters
    ----------
    built_year : int or None
        Year of original construction [-].
    move_year : int
        Year of the move, not before it [-].
    limit_years : float
        Age limit, from a limit row [year].

    Returns
    -------
    Check
        Open from the limit up, for an approval or an inspection lifts the restriction: by the year alone, a car that
        reaches it may be past it. Margin: years left.

    References
    ----------
    49 CFR 215.203 (2004 edition): restricted when more than 50 years old; a proposal of July 2025 would repeal
    the special approval.

    Examples
    --------
    >>> over_age(1957, 2026, 50).status, over_age(1990, 2026, 50).margin.magnitude
    ('open', 14.0)
    """
    name, source = "Age of a freight car", "49 CFR 215.203"
    above_zero(limit_years, "age limit", "year")
    if built_year is None:
        return unknown(name, "car", "find the built date on the body, side frames or builder's card", source)
    age = at_least(move_year, built_year, "year of the move") - built_year
    note = (
        "Restricted until it is approved or inspected. For freight cars, not locomotives. The rule is changing: repeal of "
        "the special approval was proposed in July 2025; read the text in force. Interchange has an age rule of its own. "
        "The railroad's mechanical officer decides."
    )
    counts = Quantity(float(age), ""), Quantity(float(limit_years), "")
    status = "open" if age >= limit_years else "pass"
    return Check(name, f"built {built_year}", *counts, status, Quantity(float(limit_years - age), "year"), source, note)

