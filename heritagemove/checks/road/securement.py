"""Tie-downs of a road load: forces, working load limits and counts of 49 CFR 393.100 to 393.136.

Screening only: counts are for budgeting. The driver, the carrier and the roadside inspector
hold the load to the regulation itself and to state rules.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import above_zero, at_least, fraction, positive
from heritagemove.units.units import Quantity

_SOURCE = "49 CFR 393.106(d), 393.110 and 393.130"
_DEFER = "Screening only; the carrier secures the load to 49 CFR 393.100-136 and state rules."


def chain_working_load(
    size: pint.Quantity, listed_size: pint.Quantity, listed_limit: pint.Quantity
) -> pint.Quantity | None:
    """Return the working load limit of one chain from a grade's column [lb], or None if not listed.

    A marked limit comes first; an unmarked chain counts as Grade 30; the weakest part of an
    assembly sets its limit (393.108). Sizes between those listed are never interpolated.

    Parameters
    ----------
    size : pint.Quantity
        Nominal chain size [in].
    listed_size, listed_limit : pint.Quantity
        Arrays of shape (n,): sizes [in] and limits [lb] of one grade.

    Returns
    -------
    pint.Quantity or None
        Working load limit [lb].

    References
    ----------
    49 CFR 393.108, Table (read in a secondary source).

    Examples
    --------
    >>> grade_70 = Quantity([0.375, 0.5], "in"), Quantity([6600, 11300], "lb")
    >>> chain_working_load(Quantity(0.5, "in"), *grade_70).magnitude
    11300.0
    """
    size_in = positive(size, "in", "chain size")
    sizes_in, limits_lb = np.atleast_1d(listed_size.m_as("in")), np.atleast_1d(listed_limit.m_as("lb"))
    if sizes_in.shape != limits_lb.shape:
        raise ValueError(f"each size needs one limit; found {sizes_in.size} sizes, {limits_lb.size} limits")
    found = np.flatnonzero(np.isclose(sizes_in, size_in))
    return Quantity(float(limits_lb[found[0]]), "lb") if found.size else None


def aggregate_working_load(
    weight: pint.Quantity,
    working_load: pint.Quantity,
    direct: bool,
    weight_share: float,
    direct_credit: float,
) -> int:
    """Return how many tie-downs reach the aggregate working load limit: n = ceil(share W / credit).

    Parameters
    ----------
    weight : pint.Quantity
        W, weight of the article [lb].
    working_load : pint.Quantity
        Working load limit of one tie-down, its weakest part [lb].
    direct : bool
        True from vehicle to article, or back to the same side; False over to the other side.
    weight_share : float
        Part of the weight that the sum of credits must reach [-].
    direct_credit : float
        Part of its limit that a direct tie-down is credited with, above 0 to 1 [-].

    Returns
    -------
    int
        Tie-downs.

    References
    ----------
    49 CFR 393.106(d), read in a secondary source; half of the weight: 59 FR, 6 July 1994.

    Examples
    --------
    >>> aggregate_working_load(Quantity(200000, "lb"), Quantity(11300, "lb"), True, 0.5, 0.5)
    18
    """
    needed_lb = positive(weight, "lb", "weight") * above_zero(weight_share, "weight share")
    return _round_up(needed_lb / _credit_lb(working_load, direct, direct_credit))


def minimum_tie_downs(
    length: pint.Quantity,
    weight: pint.Quantity,
    blocked: bool,
    short_length: pint.Quantity,
    light_weight: pint.Quantity,
    spacing: pint.Quantity,
) -> int:
    """Return the least number of tie-downs for an article's length, whatever their strength.

    Blocked forward: ceil(L / s). Not blocked: 1 if short and light, 2 up to s, and beyond that
    2 + ceil((L - s) / s), with s the spacing of 10 ft.

    Parameters
    ----------
    length, weight : pint.Quantity
        Of the article [ft] and [lb].
    blocked : bool
        True if a headerboard, bulkhead or other blocking stops it going forward.
    short_length, light_weight : pint.Quantity
        Up to both of these one tie-down does [ft], [lb].
    spacing : pint.Quantity
        s, length that one tie-down covers [ft].

    Returns
    -------
    int
        Tie-downs.

    References
    ----------
    49 CFR 393.110(b) and (c), read in a secondary source.

    Examples
    --------
    >>> limits = Quantity(5, "ft"), Quantity(1100, "lb"), Quantity(10, "ft")
    >>> minimum_tie_downs(Quantity(44, "ft"), Quantity(156000, "lb"), False, *limits)
    6
    """
    length_ft, weight_lb = positive(length, "ft", "length"), positive(weight, "lb", "weight")
    spacing_ft = positive(spacing, "ft", "spacing")
    tens = _round_up(length_ft / spacing_ft)
    if blocked:
        return tens
    short = length_ft <= positive(short_length, "ft", "short length")
    if short and weight_lb <= positive(light_weight, "lb", "light weight"):
        return 1
    return 1 + max(tens, 1)


def tie_downs(
    weight: pint.Quantity,
    length: pint.Quantity,
    working_load: pint.Quantity,
    direct: bool,
    blocked: bool,
    heavy_vehicle: bool,
    *,
    weight_share: float,
    direct_credit: float,
    short_length: pint.Quantity,
    light_weight: pint.Quantity,
    spacing: pint.Quantity,
    heavy_minimum: int,
) -> int:
    """Return how many tie-downs a road load needs: the largest of strength, length and heavy-vehicle rules.

    Parameters
    ----------
    weight, length, working_load, direct, blocked
        As in :func:`aggregate_working_load` and :func:`minimum_tie_downs`.
    heavy_vehicle : bool
        True for a vehicle or machine on wheels or tracks of 10,000 lb or more; take a railroad
        vehicle on its own wheels as one.
    weight_share, direct_credit, short_length, light_weight, spacing
        Limits of the same functions.
    heavy_minimum : int
        Least number for a heavy vehicle.

    Returns
    -------
    int
        Tie-downs.

    References
    ----------
    49 CFR 393.106(d), 393.110 and 393.130(c).

    Examples
    --------
    >>> tie_downs(Quantity(14000, "lb"), Quantity(9, "ft"), Quantity(6600, "lb"), True, False, True,
    ...           weight_share=0.5, direct_credit=0.5, short_length=Quantity(5, "ft"),
    ...           light_weight=Quantity(1100, "lb"), spacing=Quantity(10, "ft"), heavy_minimum=4)
    4
    """
    by_strength = aggregate_working_load(weight, working_load, direct, weight_share, direct_credit)
    by_length = minimum_tie_downs(length, weight, blocked, short_length, light_weight, spacing)
    return max(by_strength, by_length, heavy_minimum if heavy_vehicle else 0)


def securement(
    offered: int,
    weight: pint.Quantity | None,
    length: pint.Quantity | None,
    working_load: pint.Quantity | None,
    direct: bool,
    blocked: bool,
    heavy_vehicle: bool,
    subject: str = "road load",
    **limits: Any,
) -> Check:
    """Check the tie-downs offered for a road load against the strength and number required.

    Parameters
    ----------
    offered : int
        Tie-downs on hand of this working load limit, at least 0.
    weight, length, working_load, direct, blocked, heavy_vehicle
        As in :func:`tie_downs`; None in one of the first three is unknown.
    subject : str
        Which load.
    **limits
        Those of :func:`tie_downs`.

    Returns
    -------
    Check
        Demand and capacity: the weight and what the tie-downs may secure [lb]; margin: lb by which
        the load may still grow. Where their number alone is short, all three count tie-downs.

    References
    ----------
    49 CFR 393.106(d), 393.110 and 393.130(c).

    Examples
    --------
    >>> limits = dict(weight_share=0.5, direct_credit=0.5, short_length=Quantity(5, "ft"),
    ...               light_weight=Quantity(1100, "lb"), spacing=Quantity(10, "ft"), heavy_minimum=4)
    >>> round(securement(4, Quantity(14000, "lb"), Quantity(9, "ft"), Quantity(6600, "lb"), True, False,
    ...                  True, **limits).margin.m_as("lb"))
    12400
    """
    name = "Road tie-downs"
    missing = {
        "weigh the load": weight,
        "measure the length of the load": length,
        "read the working load limit marked on the chain; unmarked counts as Grade 30": working_load,
    }
    for measure, found in missing.items():
        if found is None:
            return unknown(name, subject, measure, _SOURCE)
    at_least(offered, 0, "tie-downs offered")
    needed = tie_downs(weight, length, working_load, direct, blocked, heavy_vehicle, **limits)
    note = f"{needed} such tie-downs needed, {offered} offered. {_DEFER}"
    held_lb = offered * _credit_lb(working_load, direct, limits["direct_credit"]) / limits["weight_share"]
    weight_lb = positive(weight, "lb", "weight")
    if offered < needed and not weight_lb > held_lb:
        return compared(name, subject, float(needed), float(offered), "tie_down", _SOURCE, note)
    return compared(name, subject, weight_lb, held_lb, "lb", _SOURCE, note)


def _credit_lb(working_load: pint.Quantity, direct: bool, direct_credit: float) -> float:
    credit = fraction(direct_credit, "direct credit")
    return positive(working_load, "lb", "working load limit") * (credit if direct else 1.0)


def _round_up(count: float) -> int:
    # Unit conversion may leave 2.0000000000000004 where 20 ft / 10 ft is meant.
    return math.ceil(count - 1e-9)
