"""Off-tracking and swept width of a trailer in a turn, against the width there is.

Steady state: the rear has swung in as far as it ever will, as on a long circle. A short turn through
a right angle needs less, so a pass here is on the safe side. Screening only; the hauler's swept-path
drawing or a drive with the empty trailer decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import positive
from heritagemove.units.units import Quantity, show, value

_SOURCE = "Steady-state off-tracking, sum of squared wheelbases (NCHRP Report 505; formula from memory)"
_DEFER = "Screening only; the hauler's swept-path drawing and the road's owner decide."


def off_tracking(radius: pint.Quantity, wheelbases: pint.Quantity | Sequence[pint.Quantity]) -> pint.Quantity | None:
    """Return how far the last axle runs inside the first: OT = R - √(R² - Σ L²).

    Parameters
    ----------
    radius : pint.Quantity
        R, path of the middle of the front axle [ft].
    wheelbases : pint.Quantity or sequence of them
        L, array of shape (n,): front axle to drive axles, hitch to the next axle, and so on [ft]. A
        negative length is a hitch offset whose square is taken away: a kingpin ahead of the drive
        axle, or a hitch behind it, swings the trailer out. Of a steered trailer the last length is the one that
        steering leaves, as its owner states it.

    Returns
    -------
    pint.Quantity or None
        OT [ft]; None where R² is not above Σ L²: steady state is not reached on so tight a path.

    References
    ----------
    NCHRP Report 505, Review of Truck Characteristics as Factors in Roadway Design: contributions add,
    kingpin offset with the other sign. The square-root form is from memory.

    Examples
    --------
    >>> show(off_tracking(Quantity(38, "ft"), Quantity([20], "ft")), digits=2)
    '5.69 ft'
    >>> off_tracking(Quantity(41, "ft"), Quantity([19.5, 45.5], "ft")) is None
    True
    """
    radius_ft = positive(radius, "ft", "turning radius")
    rear_ft = _rear_radius_ft(radius_ft, _lengths_ft(wheelbases))
    return None if rear_ft is None else Quantity(radius_ft - rear_ft, "ft")


def axle_wheelbases(positions: pint.Quantity, group_gap: pint.Quantity) -> pint.Quantity:
    """Return the wheelbases of a truck and its trailers: from the middle of one axle group to that of the next.

    Everything behind the widest gap carries one end of the load and counts as one group.

    Parameters
    ----------
    positions : pint.Quantity
        Array of shape (n,), rising: axles from the first [ft].
    group_gap : pint.Quantity
        Axles further apart than this belong to different groups [ft].

    Returns
    -------
    pint.Quantity
        Array of shape (groups - 1,) [ft]: the truck's own, then one for each trailer; a hitch counts as over the
        middle of the group before it, which leaves out the small gain of a hitch offset.

    References
    ----------
    Plane geometry; fixed axle groups turn about their middle, as in NCHRP Report 505.

    Examples
    --------
    >>> axle_wheelbases(Quantity([0, 15, 19.5, 52, 56.5, 61], "ft"), Quantity(10, "ft")).m_as("ft").tolist()
    [17.25, 39.25]
    """
    axles_ft, gap_ft = np.atleast_1d(positions.m_as("ft")).astype(float), positive(group_gap, "ft", "group gap")
    gaps_ft = np.diff(axles_ft)
    if not np.all(gaps_ft > 0):
        raise ValueError(f"axles must rise from the first; found {', '.join(f'{x:g}' for x in axles_ft)} ft")
    cuts = [cut for cut in np.flatnonzero(gaps_ft > gap_ft) if cut <= np.argmax(gaps_ft)]
    if not cuts:
        raise ValueError(f"give axles in at least 2 groups more than {gap_ft:g} ft apart; found 1")
    groups = np.split(axles_ft, np.array(cuts) + 1)
    return Quantity(np.diff([group.mean() for group in groups]), "ft")


def corner_swing(width: pint.Quantity, radius: pint.Quantity, length: pint.Quantity) -> pint.Quantity:
    """Return the width of road that a self-propelled transporter takes: √[(R + w/2)² + (l/2)²] - (R - w/2).

    Every line steers, so its middle stays on the path and both its ends swing out by the same amount.

    Parameters
    ----------
    width, length : pint.Quantity
        w and l, over transporter or load, whichever is larger [ft].
    radius : pint.Quantity
        R, path of its middle, at least w/2 [ft].

    References
    ----------
    Plane geometry of one rectangle that turns about a point beside it.

    Examples
    --------
    >>> corner_swing(Quantity(10, "ft"), Quantity(10, "ft"), Quantity(16, "ft"))
    <Quantity(12.0, 'foot')>
    """
    width_ft, length_ft, radius_ft = (
        positive(each, "ft", name) for each, name in ((width, "width"), (length, "length"), (radius, "turning radius"))
    )
    if radius_ft < width_ft / 2:
        raise ValueError(f"turning radius must be at least half the width, {width_ft / 2:g} ft; found {radius_ft:g} ft")
    return Quantity(math.hypot(radius_ft + width_ft / 2, length_ft / 2) - (radius_ft - width_ft / 2), "ft")


def steady_turn(
    width: pint.Quantity | None,
    radius: pint.Quantity | None,
    wheelbases: pint.Quantity | Sequence[pint.Quantity] | None,
    available_width: pint.Quantity | None,
    subject: str,
) -> Check:
    """Check the width of road that a turn takes, w + OT, against the width between curbs, posts or gate jambs.

    Parameters
    ----------
    width : pint.Quantity or None
        w, over load or trailer, whichever is wider, without front or rear overhang [ft]; None is unknown.
    radius, wheelbases : pint.Quantity or None
        As in :func:`off_tracking`; None is unknown.
    available_width : pint.Quantity or None
        Clear width at the turn [ft]; None is unknown.
    subject : str
        Which turn or gate.

    Returns
    -------
    Check
        Demand: swept width; capacity: clear width; margin: by how much the load may be wider [ft].
        Unknown where steady state is not reached: then the formula says nothing, neither pass nor fail.

    References
    ----------
    NCHRP Report 505 (additive contributions); formula from memory. City-delivery off-tracking chart of a Minnesota
    suburb's file: maximum off-track + maximum vehicle width = maximum track width.

    Examples
    --------
    >>> ten, wheelbases = Quantity(10, "ft"), Quantity([19.5, 45.5], "ft")
    >>> steady_turn(ten, Quantity(100, "ft"), wheelbases, Quantity(24, "ft"), "Main at First").status
    'marginal'
    >>> steady_turn(ten, Quantity(41, "ft"), wheelbases, Quantity(24, "ft"), "Main at First").status
    'unknown'
    """
    name = "Turn"
    if radius is None or available_width is None:
        return unknown(name, subject, "measure the turn: centre-line radius and clear width", _SOURCE)
    if width is None or wheelbases is None:
        return unknown(name, subject, "get the loaded width and the axle spacings from the hauler", _SOURCE)
    capacity_ft = positive(available_width, "ft", "available width")
    width_ft, off = positive(width, "ft", "width"), off_tracking(radius, wheelbases)
    if off is None:
        measure = (
            f"steady state is not reached on {show(radius, 'ft', 1)}, so the formula gives no width; have the "
            "hauler draw the swept path of this trailer, steered axles included"
        )
        return unknown(name, subject, measure, _SOURCE)
    note = (
        f"Steady state without overhangs: a short turn sweeps less, a long front or rear overhang swings out more. {_DEFER}"
    )
    return compared(name, subject, width_ft + off.m_as("ft"), capacity_ft, "ft", _SOURCE, note, margin_of="width")


def _rear_radius_ft(radius_ft: float, lengths_ft: np.ndarray) -> float | None:
    """Return √(R² - Σ L²) [ft], or None where there is no real root."""
    squares = float(np.sum(np.sign(lengths_ft) * lengths_ft**2))
    if squares < 0:
        raise ValueError("hitch offsets must be shorter than the wheelbases; found them longer")
    return math.sqrt(radius_ft**2 - squares) if radius_ft**2 > squares else None


def _lengths_ft(wheelbases: pint.Quantity | Sequence[pint.Quantity]) -> np.ndarray:
    if isinstance(wheelbases, pint.Quantity):
        lengths_ft = np.atleast_1d(np.array(wheelbases.m_as("ft"), dtype=float))
    else:
        lengths_ft = np.array([value(length, "ft", "wheelbase") for length in wheelbases])
    if lengths_ft.size == 0 or not (np.all(np.isfinite(lengths_ft)) and lengths_ft[0] >= 0):
        found = ", ".join(f"{x:g} ft" for x in lengths_ft) or "none"
        raise ValueError(f"give at least 1 wheelbase, the first at least 0; found {found}")
    return lengths_ft
