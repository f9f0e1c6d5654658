"""Outline and balance of a loaded car: clearance plates and the height of the centre of gravity.

Screening only. The railroads' clearance bureaus and loading officers decide.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.checks.rail.curve_geometry import curve_radius, middle_ordinate
from heritagemove.units.ranges import all_positive, positive
from heritagemove.units.units import Quantity, value

_BUREAU = "The railroad's clearance bureau decides from its own file; measure the unit with a tape and a pole."


class Plate(NamedTuple):
    """One clearance outline, as far as width and height tell it."""

    name: str  # name of the outline, such as ``Plate C``
    width: pint.Quantity  # greatest width and height above the rail [in]
    height: pint.Quantity  # greatest width and height above the rail [in]
    truck_centres: pint.Quantity  # longest distance between truck centres at the full width [ft]


def plate(
    width: pint.Quantity | None,
    height: pint.Quantity | None,
    truck_centres: pint.Quantity | None,
    plates: Sequence[Plate],
    curve: pint.Quantity,
) -> Check:
    """Check which is the lowest clearance plate that holds the vehicle.

    Beyond its full-width truck centres L0 a plate narrows: W = W0 - 2 (m(L) - m(L0)) on the reference curve.

    Parameters
    ----------
    width, height : pint.Quantity or None
        Greatest width and height above the rail, as loaded [ft].
    truck_centres : pint.Quantity or None
        L, truck centres of the car that carries it [ft].
    plates : sequence of Plate
        Rows of name, width [in], height [in], truck centres at full width [ft]; at least one, in any order.
    curve : pint.Quantity
        Reference curve of the plates [deg], from a limit row.

    Returns
    -------
    Check
        Subject: the plate, or ``no plate``. Margin: inches that it may still grow in height or width,
        whichever is less; for ``no plate``, of the plate that comes nearest.

    References
    ----------
    AAR plates B, C, E, F and H as quoted (secondary). The narrowing rule is computed; it agrees within
    1.1 in with W = 162 - 0.8 L quoted for Plate B (secondary). Corners of the outline are not compared.

    Examples
    --------
    >>> rows = [Plate(name, Quantity(128, "in"), Quantity(tall, "in"), Quantity(centres, "ft"))
    ...         for name, tall, centres in (("Plate B", 181, 41.25), ("Plate C", 186, 46.25))]
    >>> plate(Quantity(10, "ft"), Quantity(15.3, "ft"), Quantity(40, "ft"), rows, Quantity(13, "deg")).subject
    'Plate C'
    """
    name, source = "Clearance plate", "AAR plates as quoted: greatest width and height, narrowed for long truck centres"
    if width is None or height is None or truck_centres is None:
        return unknown(name, "plate", "measure greatest width, height above the rail and truck centres", source)
    if not plates:
        raise ValueError("give at least 1 clearance plate; found none")
    size_in = positive(width, "in", "width"), positive(height, "in", "height")
    radius = curve_radius(curve)
    by_height = sorted((Plate(*row) for row in plates), key=lambda row: value(row.height, "in", "plate height"))
    margins = [_plate_margin(size_in, truck_centres, row, radius) for row in by_height]
    nearest = next((place for place, margin in enumerate(margins) if margin >= 0), int(np.argmax(margins)))
    row, margin = by_height[nearest], Quantity(margins[nearest], "in")
    found, status = (row.name, "pass") if margins[nearest] >= 0 else ("no plate", "fail")
    note = (
        f"Compared with {row.name}, width and height only. Outside every plate it travels as a high or wide load. {_BUREAU}"
    )
    return Check(name, found, Quantity(size_in[1], "in"), row.height.to("in"), status, margin, source, note)


def combined_centre_of_gravity(weights: pint.Quantity, heights: pint.Quantity) -> pint.Quantity:
    """Return the height of the common centre of gravity: h = Σ(W h)/Σ W [in].

    Parameters
    ----------
    weights : pint.Quantity
        Array of shape (n,): car, load, blocking [lb].
    heights : pint.Quantity
        Array of shape (n,): centre of gravity of each above the rail, at least 0 [in].

    References
    ----------
    Statics, h = (Wc hc + Wl hl)/(Wc + Wl).

    Examples
    --------
    >>> found = combined_centre_of_gravity(Quantity([70000, 180000], "lb"), Quantity([32, 103], "in"))
    >>> round(found.magnitude, 2)
    83.12
    """
    weights_lb = np.atleast_1d(all_positive(weights, "lb", "weight"))
    heights_in = np.atleast_1d(np.asarray(heights.m_as("in"), dtype=float))
    if not np.all((heights_in >= 0) & (heights_in < math.inf)):
        raise ValueError(f"every height must be at least 0; found {heights_in.min():,g} in")
    if weights_lb.shape != heights_in.shape:
        raise ValueError(f"give one height for each weight; found {weights_lb.size} weights, {heights_in.size} heights")
    return Quantity(float((weights_lb * heights_in).sum() / weights_lb.sum()), "in")


def centre_of_gravity_height(height: pint.Quantity | None, limit: pint.Quantity, subject: str) -> Check:
    """Check the combined centre of gravity of car and load against the height the railroads accept.

    Parameters
    ----------
    height : pint.Quantity or None
        Combined centre of gravity above the rail [in].
    limit : pint.Quantity
        Highest accepted without special handling [in], from a limit row.
    subject : str
        Which car and load.

    Returns
    -------
    Check
        Margin: inches that the combined centre of gravity may rise.

    References
    ----------
    AAR open top loading rules; figures differ in what is quoted of them, so the limit is a row.

    Examples
    --------
    >>> centre_of_gravity_height(Quantity(83.12, "in"), Quantity(98, "in"), "flat car").status
    'pass'
    """
    name, source = "Height of the combined centre of gravity", "Limit row: railroad loading rules"
    if height is None:
        return unknown(name, subject, "find weight and centre of gravity of car, load and blocking", source)
    note = "Above the limit a special train or a lower car may be asked for; the carriers' loading officers decide."
    demand, capacity = positive(height, "in", "centre of gravity"), positive(limit, "in", "limit")
    return compared(name, subject, demand, capacity, "in", source, note, margin_of="height")


def _plate_margin(size_in: tuple[float, float], truck_centres: pint.Quantity, row: Plate, radius: pint.Quantity) -> float:
    widest_in, tallest_in = (positive(each, "in", f"size of {row.name}") for each in (row.width, row.height))
    beyond_in = (middle_ordinate(truck_centres, radius) - middle_ordinate(row.truck_centres, radius)).m_as("in")
    return round(min(widest_in - 2 * max(float(beyond_in), 0.0) - size_in[0], tallest_in - size_in[1]), 6)
