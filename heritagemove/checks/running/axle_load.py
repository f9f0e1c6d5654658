"""Axle loads: from weight and centre of gravity, and against journal, track and gross-weight limits.

Screening only. A scale ticket for each truck or axle beats any calculation; the railroad's mechanical
and track officers decide. Trucks are taken to share their load evenly among their axles.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import all_positive, at_least, positive
from heritagemove.units.units import Quantity, show, value

_GROSS_SOURCE = (
    "Gross rail load of a four-axle car divided by its four axles: AAR Interchange Rule 86 journal "
    "table, as quoted (secondary)"
)
_WEIGH = "weigh the vehicle on a track scale or with jack gauges, truck by truck"


@dataclass(frozen=True)
class Balance:
    """What a vehicle weighs and where it balances."""

    weight: pint.Quantity  # total weight [lb]
    centre: pint.Quantity  # centre of gravity from the datum that it was reckoned from [ft]


def two_truck_axle_loads(
    weight: pint.Quantity, truck_centres: pint.Quantity, offset: pint.Quantity, axles_per_truck: int
) -> pint.Quantity:
    """Return the axle loads of a vehicle on two trucks: R = W (1/2 ± e/L), shared evenly in each truck.

    Parameters
    ----------
    weight : pint.Quantity
        W, body and trucks, above 0 [lb].
    truck_centres : pint.Quantity
        L, distance between the truck centres, above 0 [ft].
    offset : pint.Quantity
        e, centre of gravity from the middle of the truck centres, positive toward the front; within them, where
        the vehicle does not tip [ft].
    axles_per_truck : int
        Axles in each truck, at least 1.

    Returns
    -------
    pint.Quantity
        Array of shape (2 x axles_per_truck,), front axle first [lb].

    References
    ----------
    Statics of two supports. Even axles in a truck: common practice, no source.

    Examples
    --------
    >>> loads = two_truck_axle_loads(Quantity(230000, "lb"), Quantity(22, "ft"), Quantity(-0.4, "ft"), 2)
    >>> [round(load) for load in loads.m_as("lb")]
    [55409, 55409, 59591, 59591]
    """
    weight_lb, centres_ft = positive(weight, "lb", "weight"), positive(truck_centres, "ft", "truck centres")
    offset_ft = value(offset, "ft", "offset")
    at_least(axles_per_truck, 1, "axles per truck")
    if not abs(offset_ft) < centres_ft / 2:
        raise ValueError(
            f"the centre of gravity must lie between the truck centres, less than {centres_ft / 2:g} ft "
            f"from their middle; found {offset_ft:g} ft"
        )
    trucks_lb = weight_lb * (0.5 + np.array([1, -1]) * offset_ft / centres_ft)
    return Quantity(np.repeat(trucks_lb / axles_per_truck, axles_per_truck), "lb")


def scaled_axle_loads(surveyed_loads: pint.Quantity, weight: pint.Quantity) -> pint.Quantity:
    """Return the surveyed axle loads brought to another total weight: P_i' = P_i W / Σ P.

    This serves steam wheel arrangements, whose equalizers keep the shares of engine truck, drivers,
    trailing truck and tender about the same.

    Parameters
    ----------
    surveyed_loads : pint.Quantity
        P, array of shape (n,), one load an axle, above 0 [lb].
    weight : pint.Quantity
        W, total weight to bring them to, above 0 [lb].

    References
    ----------
    Proportion. That the shares stay the same is an assumption: common practice, no source.

    Examples
    --------
    >>> scaled_axle_loads(Quantity([20000, 40000, 40000], "lb"), Quantity(90000, "lb")).m_as("lb").tolist()
    [18000.0, 36000.0, 36000.0]
    """
    loads_lb = all_positive(surveyed_loads, "lb", "axle load")
    return Quantity(loads_lb * positive(weight, "lb", "weight") / loads_lb.sum(), "lb")


def remove_parts(
    weight: pint.Quantity, centre: pint.Quantity, parts: Sequence[tuple[pint.Quantity, pint.Quantity]]
) -> Balance:
    """Return weight and centre of gravity after parts come off: W' = W - Σ w, e' = (W e - Σ w x) / W'.

    Parameters
    ----------
    weight : pint.Quantity
        W, with all parts, above 0 [lb].
    centre : pint.Quantity
        e, centre of gravity with all parts, along or above one datum, such as the rail [ft].
    parts : sequence of (pint.Quantity, pint.Quantity)
        w and x: weight of each part, above 0 and together less than W [lb], and its own centre from the same datum [ft].

    References
    ----------
    Statics: moments of weights about the datum.

    Examples
    --------
    >>> parts = [(Quantity(31200, "lb"), Quantity(5, "ft"))]
    >>> left = remove_parts(Quantity(259720, "lb"), Quantity(0, "ft"), parts)
    >>> round(left.weight.m_as("lb")), round(left.centre.m_as("ft"), 3)
    (228520, -0.683)
    """
    weight_lb = positive(weight, "lb", "weight")
    part_lb = np.array([positive(part, "lb", "weight of a part") for part, _ in parts])
    part_ft = np.array([value(position, "ft", "position of a part") for _, position in parts])
    rest_lb = weight_lb - part_lb.sum()
    if not rest_lb > 0:
        raise ValueError(
            f"the parts must weigh less than the vehicle, {weight_lb:,.0f} lb; found {part_lb.sum():,.0f} lb"
        )
    moment_lb_ft = weight_lb * value(centre, "ft", "centre of gravity") - part_lb @ part_ft
    return Balance(Quantity(float(rest_lb), "lb"), Quantity(float(moment_lb_ft / rest_lb), "ft"))


def journal(
    loads: pint.Quantity | None,
    rating_per_axle: pint.Quantity | None,
    size_label: str,
    source: str = "Journal rating row",
) -> Check:
    """Check the heaviest axle against the rating of its journals: P_max <= R.

    Parameters
    ----------
    loads : pint.Quantity or None
        P, array of shape (n,), one load an axle, above 0 [lb].
    rating_per_axle : pint.Quantity or None
        R, rating of one axle with journals of this size and this service, above 0 [lb].
    size_label : str
        Journal size, e.g. ``5-1/2 x 10``.
    source : str
        Where the rating comes from: that of its row.

    Returns
    -------
    Check
        Demand: heaviest axle; capacity: rating; margin: weight [lb] that the whole vehicle may still
        gain, every axle in proportion, before the heaviest reaches the rating, W (R / P_max - 1).

    References
    ----------
    AAR Interchange Rule 86 journal table, as quoted (secondary): rating of an axle = gross rail load / 4.
    Passenger service rates the same axle lower (US Army, Transportation Subcourse TR0655, Table I).

    Examples
    --------
    >>> loads = Quantity([64930] * 4, "lb")
    >>> journal(loads, Quantity(65750, "lb"), "6-1/2 x 12").status
    'marginal'
    >>> journal(loads, Quantity(55000, "lb"), "6 x 11").margin.m_as("lb")
    -39720.0
    """
    name, subject = "Journal load", f"{size_label} journals"
    if rating_per_axle is None:
        measure = "measure journal diameter and length and find the rating for that size and service"
        return unknown(name, subject, measure, source)
    note = "Screening only; the railroad's mechanical officer confirms journals, bearings and service."
    return _heaviest_axle(name, subject, loads, positive(rating_per_axle, "lb", "rating"), source, note)


def axle_limit(
    loads: pint.Quantity | None,
    limit_per_axle: pint.Quantity | None,
    leg: str,
    source: str = "row of legs.csv",
) -> Check:
    """Check the heaviest axle against the axle limit of a track: P_max <= R.

    Parameters
    ----------
    loads : pint.Quantity or None
        P, array of shape (n,), one load an axle, above 0 [lb].
    limit_per_axle : pint.Quantity or None
        R, what the track's owner allows on one axle, above 0 [lb].
    leg, source : str
        Which track, and where the limit comes from.

    Returns
    -------
    Check
        Demand: heaviest axle; capacity: limit; margin: weight [lb] that the whole vehicle may still
        gain, every axle in proportion.

    References
    ----------
    The limit is the track owner's; comparison only.

    Examples
    --------
    >>> axle_limit(Quantity([50000, 60000], "lb"), Quantity(65750, "lb"), "mill spur").status
    'pass'
    """
    name = "Axle load on track"
    if limit_per_axle is None:
        return unknown(name, leg, "ask the track's owner for the axle limit of this leg", source)
    note = "Screening only; the track's owner confirms the limit and walks doubtful ties."
    return _heaviest_axle(name, leg, loads, positive(limit_per_axle, "lb", "axle limit"), source, note)


def gross_limit(
    weight: pint.Quantity | None,
    axles: int | None,
    limit_four_axle: pint.Quantity | None,
    leg: str = "leg",
    source: str = _GROSS_SOURCE,
    shown: Callable[[pint.Quantity], str] = show,
) -> Check:
    """Check a vehicle against a gross rail load limit given for four-axle cars: W / n <= G / 4.

    It compares the average axle; `axle_limit` compares the heaviest.

    Parameters
    ----------
    weight : pint.Quantity or None
        W, on the rails, with everything that travels on it, above 0 [lb].
    axles : int or None
        n, axles under it, at least 1.
    limit_four_axle : pint.Quantity or None
        G, gross rail load limit of a four-axle car on this leg, above 0 [lb].
    leg, source : str
        Which track, and where the rule comes from.
    shown : callable
        How the note writes a measure; by default in US customary units.

    Returns
    -------
    Check
        Demand: W; capacity: n G / 4; margin: weight [lb] that may be added.

    References
    ----------
    AAR Interchange Rule 86 journal table, as quoted (secondary). Comparing other than four axles by
    the axle: common practice, no source; short heavy vehicles also need `rail_bridge`.

    Examples
    --------
    >>> check = gross_limit(Quantity(368000, "lb"), 6, Quantity(263000, "lb"))
    >>> check.status, check.margin.m_as("lb")
    ('pass', 26500.0)
    """
    name = "Gross rail load"
    if weight is None or axles is None:
        return unknown(name, leg, f"{_WEIGH}, and count its axles", source)
    if limit_four_axle is None:
        return unknown(name, leg, "ask the railroad for the gross rail load limit of this leg", source)
    per_axle = positive(limit_four_axle, "lb", "gross rail load limit") / 4
    note = (
        f"{axles} axles at {shown(Quantity(per_axle, 'lb'))} each. Screening only; the railroad sets weight and speed, "
        "and bridges are checked apart."
    )
    return compared(
        name, leg, positive(weight, "lb", "weight"), at_least(axles, 1, "axles") * per_axle, "lb", source, note
    )


def _heaviest_axle(
    name: str, place: str, loads: pint.Quantity | None, limit_lb: float, source: str, note: str
) -> Check:
    if loads is None:
        return unknown(name, place, _WEIGH, source)
    loads_lb = np.atleast_1d(all_positive(loads, "lb", "axle load"))
    heaviest = int(np.argmax(loads_lb))
    demand_lb = float(loads_lb[heaviest])
    margin = Quantity(float(loads_lb.sum()) * (limit_lb - demand_lb) / demand_lb, "lb")
    subject = f"{place}, axle {heaviest + 1} of {loads_lb.size}"
    note = f"Margin: weight the whole vehicle may gain, every axle in proportion. {note}"
    return compared(name, subject, demand_lb, limit_lb, "lb", source, note, margin)
