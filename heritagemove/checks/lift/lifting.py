"""Lifting by mobile crane: shares of two hooks, hook load, chart, crane class, hired hours.

Screening only. A lift needs the hired crane's own chart, a plan by a qualified person and a
lift director (29 CFR 1926.1402, .1417, .1432); nothing here replaces any of them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.units.ranges import at_least, fraction, not_negative, positive
from heritagemove.units.units import Quantity, show, value

_SOURCE = "Hired crane's own load chart; the museum's policy on its share; 29 CFR 1926.1417 and .1432"
_DEFER = "Screening only; the crane firm's chart, a qualified person's lift plan and a lift director decide."


@dataclass(frozen=True)
class CraneArrangement:
    """One or two cranes of one class that lift a load within the allowed share of their chart."""

    crane: str  # crane class, the key of its chart
    cranes: int  # 1, or 2 for a tandem lift
    share: pint.Quantity  # part of the lifted weight on the worst hook [lb]
    hook_load: pint.Quantity  # that part with rigging and factor [lb]
    rated_capacity: pint.Quantity  # chart capacity at the radius, one crane [lb]
    utilization: float  # hook load over chart capacity, and the most the policy allows [-]
    allowed_utilization: float  # hook load over chart capacity, and the most the policy allows [-]
    spare_weight: pint.Quantity  # how much heavier the lifted weight may be before the worst hook is over [lb]


def crane_shares(
    weight: pint.Quantity,
    spread: pint.Quantity,
    offset: pint.Quantity,
    hook_height: pint.Quantity | None = None,
    tilt: pint.Quantity | None = None,
) -> pint.Quantity:
    """Return what hooks A and B each take of a weight: R_A = W (L - a + h tan φ) / L, R_B = W - R_A.

    Parameters
    ----------
    weight : pint.Quantity
        W, lifted weight [lb].
    spread : pint.Quantity
        L, distance between the two picks [ft].
    offset : pint.Quantity
        Centre of gravity from the middle of the picks, positive towards A, between them [ft]; a = L/2 - offset.
    hook_height, tilt : pint.Quantity, optional
        h, picks above the centre of gravity [ft], and φ, out of level [deg], positive loading A.

    Returns
    -------
    pint.Quantity
        Array of shape (2,): R_A and R_B [lb].

    References
    ----------
    Statics of a beam on two supports.

    Examples
    --------
    >>> [round(share) for share in crane_shares(
    ...     Quantity(200000, "lb"), Quantity(50, "ft"), Quantity(3, "ft")).m_as("lb")]
    [112000, 88000]
    """
    weight_lb, spread_ft = positive(weight, "lb", "weight"), positive(spread, "ft", "spread of the picks")
    towards_a_ft = value(offset, "ft", "offset")
    if hook_height is not None and tilt is not None:
        towards_a_ft += value(hook_height, "ft", "hook height") * math.tan(value(tilt, "radian", "tilt"))
    if not abs(towards_a_ft) < spread_ft / 2:
        raise ValueError(
            f"the centre of gravity must lie between the picks, less than {spread_ft / 2:g} ft "
            f"from their middle; found {towards_a_ft:g} ft"
        )
    share_a_lb = weight_lb * (0.5 + towards_a_ft / spread_ft)
    return Quantity(np.array([share_a_lb, weight_lb - share_a_lb]), "lb")


def hook_load(weight: pint.Quantity, rigging: pint.Quantity, factor: float) -> pint.Quantity:
    """Return what one hook carries: (share of the weight + rigging) x factor [lb].

    Parameters
    ----------
    weight : pint.Quantity
        Part of the lifted weight on this hook [lb].
    rigging : pint.Quantity
        All that hangs there besides and that the chart deducts, at least 0: hook block, slings, spreader [lb].
    factor : float
        Allowance for motion, at least 1 [-].

    References
    ----------
    Load-chart practice quiz of a provincial crane-safety body: 10,000 lb with hook block 380, stowed
    boom extension 930 and rigging 225 is a gross load of 11,535 lb (no factor).

    Examples
    --------
    >>> show(hook_load(Quantity(10000, "lb"), Quantity(1535, "lb"), 1.0))
    '11,535 lb'
    """
    carried_lb = positive(weight, "lb", "weight") + not_negative(rigging, "lb", "rigging")
    return Quantity(carried_lb * at_least(factor, 1, "lift factor"), "lb")


def chart_capacity(
    chart_radius: pint.Quantity, chart_capacity: pint.Quantity, radius: pint.Quantity
) -> pint.Quantity | None:
    """Return the chart capacity at a radius: that of the next larger radius listed, or None outside the chart [lb].

    Parameters
    ----------
    chart_radius, chart_capacity : pint.Quantity
        Arrays of shape (n,): rising radii [ft] and their capacities, which do not rise with them [lb].
    radius : pint.Quantity
        Hook to centre of rotation [ft].

    References
    ----------
    Load-chart practice quiz of a provincial crane-safety body: between listed values use the next
    larger radius, and nothing is extrapolated; the hired crane's chart notes rule.

    Examples
    --------
    >>> radii, tons = Quantity([20, 25, 30], "ft"), Quantity([46, 36, 29], "short_ton")
    >>> show(chart_capacity(radii, tons, Quantity(22, "ft")), "short_ton", 1)
    '36.0 short tons'
    >>> chart_capacity(radii, tons, Quantity(31, "ft")) is None
    True
    """
    radii_ft, capacity_lb = np.atleast_1d(chart_radius.m_as("ft")), np.atleast_1d(chart_capacity.m_as("lb"))
    if radii_ft.shape != capacity_lb.shape or not (radii_ft[0] > 0 and np.all(np.diff(radii_ft) > 0)):
        raise ValueError("chart radii must rise from above 0 ft, each with one capacity")
    if not (np.all(capacity_lb > 0) and np.all(np.diff(capacity_lb) <= 0)):
        raise ValueError("chart capacities must be above 0 lb and may not rise with the radius")
    radius_ft = positive(radius, "ft", "radius")
    # A radius typed in metres comes back a hair off the listed feet.
    radius_ft = next((float(listed) for listed in radii_ft if math.isclose(listed, radius_ft)), radius_ft)
    if not radii_ft[0] <= radius_ft <= radii_ft[-1]:
        return None
    return Quantity(float(capacity_lb[np.searchsorted(radii_ft, radius_ft)]), "lb")


def choose_cranes(
    weight: pint.Quantity | None,
    spread: pint.Quantity | None,
    offset: pint.Quantity | None,
    radius: pint.Quantity | None,
    charts: Mapping[str, tuple[pint.Quantity, pint.Quantity]],
    rigging: Mapping[str, pint.Quantity],
    factor: float,
    single_share: float,
    tandem_share: float,
    hook_height: pint.Quantity | None = None,
    tilt: pint.Quantity | None = None,
    least: int = 1,
) -> CraneArrangement | None:
    """Return the cheapest arrangement that lifts a weight within the allowed share, or None.

    Two cranes are taken to cost about as much as one of the next class, so the order tried is: one
    of the first class, one of the second, two of the first, one of the third, two of the second ...
    One crane goes first where they tie, because a tandem lift is a planned critical lift. The order
    is a judgment; compare quotes.

    Parameters
    ----------
    weight, radius : pint.Quantity or None
        Lifted weight [lb] and radius [ft]; None in either gives None.
    spread, offset : pint.Quantity or None
        As in :func:`crane_shares`; None in either leaves tandem lifts out.
    charts : mapping
        Crane class to (radii [ft], capacities [lb]), smallest class first.
    rigging : mapping
        Crane class to what hangs on each hook beside the load: hook block, slings, spreader [lb].
    factor : float
        Lift factor of at least 1 [-].
    single_share, tandem_share : float
        Most of the chart capacity to use, above 0 to 1 [-].
    hook_height, tilt : pint.Quantity, optional
        As in :func:`crane_shares`: two cranes may come out of level either way.
    least : int, optional
        Cranes that the trade lifts it with, 1 or 2: two keep a long body level where one could carry it [-].

    References
    ----------
    Shares of the chart: museum's policy; OSHA sets none for tandem lifts. US Army, TM 5-3810-302-10,
    advises against multi-crane lifts.

    Examples
    --------
    >>> charts = {"C90": (Quantity([15, 20], "ft"), Quantity([62, 46], "short_ton"))}
    >>> choose_cranes(Quantity(30000, "lb"), None, None, Quantity(20, "ft"), charts,
    ...               {"C90": Quantity(2000, "lb")}, 1.05, 0.85, 0.75).cranes
    1
    """
    if weight is None or radius is None:
        return None
    shares = {1: weight.to("lb")}
    if spread is not None and offset is not None:
        ways = (tilt, -tilt) if tilt is not None else (None,)
        shares[2] = max(crane_shares(weight, spread, offset, hook_height, way).max() for way in ways)
    allowed = {1: fraction(single_share, "single-crane share"), 2: fraction(tandem_share, "tandem share")}
    hooks = {(crane, n): hook_load(share, rigging[crane], factor) for crane in charts for n, share in shares.items()}
    may = [cranes for cranes in shares if cranes >= least]
    order = sorted((place + cranes, cranes, crane) for place, crane in enumerate(charts) for cranes in may)
    rated = {crane: chart_capacity(*chart, radius) for crane, chart in charts.items()}
    rated_lb = {crane: capacity.m_as("lb") for crane, capacity in rated.items() if capacity is not None}
    for _, cranes, crane in order:
        if crane not in rated_lb or hooks[crane, cranes].m_as("lb") > allowed[cranes] * rated_lb[crane]:
            continue
        heaviest_lb = allowed[cranes] * rated_lb[crane] / factor - rigging[crane].m_as("lb")
        spare_lb = heaviest_lb * float(weight / shares[cranes]) - weight.m_as("lb")
        return CraneArrangement(
            crane=crane,
            cranes=cranes,
            share=shares[cranes],
            hook_load=hooks[crane, cranes],
            rated_capacity=rated[crane],
            utilization=hooks[crane, cranes].m_as("lb") / rated_lb[crane],
            allowed_utilization=allowed[cranes],
            spare_weight=Quantity(spare_lb, "lb"),
        )
    return None


def crane(
    arrangement: CraneArrangement | None,
    weight: pint.Quantity | None,
    radius: pint.Quantity | None,
    subject: str = "main lift",
) -> Check:
    """Check the worst hook against the allowed share of the chart.

    Parameters
    ----------
    arrangement : CraneArrangement or None
        What :func:`choose_cranes` found; None with weight and radius known fails.
    weight, radius : pint.Quantity or None
        Lifted weight [lb] and radius [ft]; None in either is unknown.
    subject : str
        Which lift.

    Returns
    -------
    Check
        Demand: load on the worst hook [lb]; margin: lb by which the lifted weight may grow.

    References
    ----------
    29 CFR 1926.1417 and .1432; share of the chart: the museum's policy, not a regulation.

    Examples
    --------
    >>> crane(None, None, Quantity(20, "ft")).note
    'Unknown: weigh the body with jacks and gauges, or find its weight on the plate or builder card.'
    """
    name = "Crane capacity"
    if weight is None:
        measure = "weigh the body with jacks and gauges, or find its weight on the plate or builder card"
        return unknown(name, subject, measure, _SOURCE)
    if radius is None:
        measure = "measure the largest distance from crane centre to hook on the site sketch"
        return unknown(name, subject, measure, _SOURCE)
    positive(weight, "lb", "weight")
    if arrangement is None:
        note = (
            f"No crane in the table does this lift at {show(radius, 'ft', 1)}, nor a pair where the "
            f"spread and offset of the picks are known. {_DEFER}"
        )
        return Check(name, subject, weight.to("lb"), None, "fail", None, _SOURCE, note)
    capacity = arrangement.allowed_utilization * arrangement.rated_capacity
    count = "one crane" if arrangement.cranes == 1 else "two cranes, a planned critical lift"
    note = f"Class {arrangement.crane}, {count}. {_DEFER}"
    status = judge(arrangement.hook_load, capacity)
    margin = arrangement.spare_weight
    return Check(name, subject, arrangement.hook_load, capacity, status, margin, _SOURCE, note)


def crane_hours(
    lifts: int, cranes: int, set_up: pint.Quantity, per_lift: pint.Quantity, minimum_hire: pint.Quantity
) -> pint.Quantity:
    """Return the hired time at one site: cranes x max(minimum hire, set-up + lifts x time per lift).

    Parameters
    ----------
    lifts, cranes : int
        Main lifts at the site and cranes called, at least 0; no lift needs no crane.
    set_up, per_lift, minimum_hire : pint.Quantity
        Rigging the crane in and out, each lift, and the shortest hire of one crane, at least 0 [hour].

    Returns
    -------
    pint.Quantity
        Hired time of all cranes [crane_hour].

    References
    ----------
    Hire terms of crane firms, e.g. 4 h at least for 50 to 125 tons and 8 h for 200 tons (secondary).

    Examples
    --------
    >>> hour = Quantity(1, "hour")
    >>> crane_hours(2, 2, 3 * hour, 2 * hour, 8 * hour).magnitude
    16.0
    """
    names = {"set-up time": set_up, "time per lift": per_lift, "minimum hire": minimum_hire}
    hours = [not_negative(quantity, "hour", name) for name, quantity in names.items()]
    each = max(hours[2], hours[0] + hours[1] * lifts) if at_least(lifts, 0, "lifts") else 0.0
    return Quantity(float(at_least(cranes, 0, "cranes") * each), "crane_hour")
