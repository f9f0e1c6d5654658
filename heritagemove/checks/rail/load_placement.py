"""Placement of a load on a flat car: concentrated weight and centre of gravity.

Screening only. What is stencilled on the car, its owner's diagram and the railroad come first.
"""

from __future__ import annotations

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import positive
from heritagemove.units.units import value

_SOURCE = "US Army, Transportation Subcourse TR0690, 1.14 and 1.15 (non-fishbelly flat cars)"
_DEFER = "Screening only; the car's owner and the railroad approve the placement and inspect the load."


def load_concentration(
    load: pint.Quantity | None,
    limit: pint.Quantity | None,
    load_length: pint.Quantity | None,
    truck_centres: pint.Quantity | None,
    upto: pint.Quantity,
    shares: tuple[float, ...],
    subject: str = "flat car",
) -> Check:
    """Check a load against the part of the stencilled load limit that its length on the deck allows.

    Parameters
    ----------
    load, limit : pint.Quantity or None
        Weight of the load and stencilled load limit [lb].
    load_length, truck_centres : pint.Quantity or None
        Length that bears on the deck, and distance between truck centres [ft].
    upto : pint.Quantity
        Array of shape (n,): rising lengths, included [ft].
    shares : sequence of float
        n + 2 parts of the limit, above 0 to 1 [-]: one for each length, one for longer loads that
        stay between truck centres, one for loads that reach beyond them.
    subject : str
        Which car.

    Returns
    -------
    Check
        Demand: load; capacity: share x limit; margin: lb of growth left.

    References
    ----------
    US Army, Transportation Subcourse TR0690, 1.14 b: 66.6, 75, 90 and 100 percent (non-fishbelly cars).

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> check = load_concentration(Quantity(75924, "lb"), Quantity(114000, "lb"), Quantity(10, "ft"),
    ...     Quantity(40, "ft"), Quantity([10, 24], "ft"), (0.666, 0.75, 0.90, 1.00))
    >>> round(check.capacity.m_as("lb"))
    75924
    """
    name = "Concentrated load on flat car"
    if load is None or limit is None or load_length is None or truck_centres is None:
        measure = "weigh the load, and read load limit, truck centres and bearing length off car and drawing"
        return unknown(name, subject, measure, _SOURCE)
    lengths_ft = np.atleast_1d(upto.m_as("ft"))
    if len(shares) != lengths_ft.size + 2 or not all(0 < share <= 1 for share in shares):
        raise ValueError(f"give {lengths_ft.size + 2} shares of more than 0 and at most 1; found {shares}")
    length_ft = positive(load_length, "ft", "load length")
    row = int(np.searchsorted(lengths_ft, length_ft - 1e-9))
    if length_ft > positive(truck_centres, "ft", "truck centres") + 1e-9:
        row = -1
    demand, capacity = positive(load, "lb", "load"), shares[row] * positive(limit, "lb", "load limit")
    note = f"{shares[row]:.1%} of the load limit; a stencilled concentrated-load limit comes first. {_DEFER}"
    return compared(name, subject, demand, capacity, "lb", _SOURCE, note)


def load_offset(
    load: pint.Quantity | None,
    limit: pint.Quantity | None,
    offset: pint.Quantity | None,
    truck_centres: pint.Quantity | None,
    load_shares: tuple[float, ...],
    zones: tuple[float, ...],
    subject: str = "flat car",
) -> Check:
    """Check how far a load's centre of gravity lies from the middle of a flat car: |e| <= z C / 2.

    For loads shorter than the truck centres C. The zone z is that of the next heavier row, because
    the published zones are a little narrower than statics, (load / limit)(1 + z) <= 1.

    Parameters
    ----------
    load, limit : pint.Quantity or None
        Weight of the load and stencilled load limit [lb].
    offset, truck_centres : pint.Quantity or None
        e, centre of gravity from the middle of the car, and C [ft].
    load_shares, zones : sequence of float
        Rising load / limit, included, and middle part z of the truck centres allowed [-].
    subject : str
        Which car.

    Returns
    -------
    Check
        Demand: offset; capacity: largest offset; margin [ft]. Above the last row unknown.

    References
    ----------
    US Army, Transportation Subcourse TR0690, 1.15: 66.6 percent of the limit, a quarter of the truck
    centres off a truck; 75 percent, middle third; 87 percent, middle seventh; 90 percent, middle tenth.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> load_offset(Quantity(75924, "lb"), Quantity(114000, "lb"), Quantity(4, "ft"), Quantity(40, "ft"),
    ...             (0.666, 0.75, 0.87, 0.90), (1/2, 1/3, 1/7, 1/10)).capacity.magnitude
    10.0
    """
    name = "Centre of gravity on flat car"
    if load is None or limit is None or offset is None or truck_centres is None:
        measure = "find the load's weight and centre of gravity, the car's load limit and truck centres"
        return unknown(name, subject, measure, _SOURCE)
    if len(load_shares) != len(zones) or not np.all(np.diff(load_shares) > 0):
        raise ValueError("load shares must rise, each with one zone")
    part = positive(load, "lb", "load") / positive(limit, "lb", "load limit")
    row = int(np.searchsorted(load_shares, part - 1e-9))
    half_ft = positive(truck_centres, "ft", "truck centres") / 2
    if row == len(zones):
        measure = f"the load is {part:.1%} of the load limit, above the published rows; ask the car's owner"
        return unknown(name, subject, measure, _SOURCE)
    return compared(name, subject, abs(value(offset, "ft", "offset")), zones[row] * half_ft, "ft", _SOURCE, _DEFER)
