"""Road bridges: the loaded trailer's own axles against the HS20 rating factors, and weight postings.

A comparison of simple-span moments with a rating that the bridge's owner has on file. Screening only:
it is no bridge rating, shear and the deck are not looked at, and the owner's engineer decides.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, rated, unknown
from heritagemove.checks.rail.moving_loads import maximum_moment
from heritagemove.units.ranges import at_least, positive
from heritagemove.units.units import Quantity

_SOURCE = "HS20-44 truck and lane load, AASHTO Standard Specifications 3.7 (from memory); rating factors from the row"
# HS20-44 from memory: 8, 32 and 32 kip; the rear spacing of 14 to 30 ft is worst at 14 ft on a simple
# span. Lane: 0.64 kip/ft with one load of 18 kip for moment. These define the unit that a rating
# factor is written in, so they are no limits that move.
_TRUCK = Quantity(np.array([0.0, 14.0, 28.0]), "ft"), Quantity(np.array([8000.0, 32000.0, 32000.0]), "lb")
_LANE_KIP_FT, _LANE_LOAD_KIP = 0.64, 18.0
_WITHIN = "Within the sign; screening only, the bridge's owner confirms the posting still holds."


def hs20_moment(span: pint.Quantity) -> pint.Quantity:
    """Return the HS20-44 moment of one lane on a simple span: max(M_truck, 0.64 L²/8 + 18 L/4).

    Parameters
    ----------
    span : pint.Quantity
        L [ft].

    Returns
    -------
    pint.Quantity
        Moment of one lane, without impact [kip ft].

    References
    ----------
    AASHTO, Standard Specifications for Highway Bridges, 3.7.6 and Appendix A, from memory: 806.5 kip ft
    on 60 ft, 2475.1 kip ft (lane load) on 150 ft.

    Examples
    --------
    >>> round(hs20_moment(Quantity(60, "ft")).m_as("kip * ft"), 1)
    806.5
    """
    span_ft = positive(span, "ft", "span")
    truck_kip_ft = maximum_moment(*_TRUCK, span).m_as("kip * ft")
    lane_kip_ft = _LANE_KIP_FT * span_ft**2 / 8 + _LANE_LOAD_KIP * span_ft / 4
    return Quantity(max(truck_kip_ft, lane_kip_ft), "kip * ft")


def road_bridge(
    positions: pint.Quantity | None,
    loads: pint.Quantity | None,
    span: pint.Quantity | None,
    normal: float | None,
    maximum: float | None,
    subject: str,
    lanes: int = 1,
) -> Check:
    """Check the moment of a trailer on a bridge: M / lanes <= rating factor x M_HS20.

    Parameters
    ----------
    positions, loads : pint.Quantity or None
        Arrays of shape (n,): place, rising [ft], and load [lb] of each axle; None is unknown.
    span : pint.Quantity or None
        Simple span, or the longest one [ft]; None is unknown.
    normal, maximum : float or None
        Inventory and operating rating factor for HS20, the first at most the second [-]; None is unknown.
    subject : str
        Which bridge.
    lanes : int
        Lanes that the trailer loads at once, at least 1: 2 for a dual-lane trailer. Its load is taken to split
        evenly between them: common practice, no source.

    Returns
    -------
    Check
        Demand: moment in one lane; capacity: operating factor x M_HS20 [kip ft]; marginal above the
        inventory factor; margin: weight the load may gain, every axle in proportion [lb].

    References
    ----------
    AASHTO, Manual for Bridge Evaluation: inventory and operating ratings (from memory).

    Examples
    --------
    >>> from heritagemove.units.units import show
    >>> truck = Quantity([0, 14, 28], "ft"), Quantity([8000, 32000, 32000], "lb")
    >>> check = road_bridge(*truck, Quantity(52, "ft"), 0.9, 1.25, "creek bridge")
    >>> check.status, show(check.margin)
    ('marginal', '18,000 lb')
    """
    name = "Road bridge"
    if positions is None or loads is None:
        return unknown(name, subject, "get the axle spacings and axle loads from the hauler", _SOURCE)
    if span is None:
        return unknown(name, subject, "measure the longest span between supports", _SOURCE)
    if normal is None or maximum is None:
        measure = "ask the bridge's owner for its HS20 inventory and operating rating factors"
        return unknown(name, subject, measure, _SOURCE)
    if not 0 < normal <= maximum < math.inf:
        raise ValueError(
            f"the inventory factor must be more than 0 and at most the operating factor; found {normal:g} and {maximum:g}"
        )
    demand = maximum_moment(positions, loads, span).m_as("kip * ft") / at_least(lanes, 1, "lanes")
    design = hs20_moment(span).m_as("kip * ft")
    capacity = maximum * design
    margin = Quantity(float(np.sum(loads.m_as("lb"))) * (capacity / demand - 1), "lb")
    factor = demand / design
    note = (
        f"Needs {factor:.2f} x HS20 per lane; inventory {normal:g}, operating {maximum:g}. Screening by "
        "moment only; the bridge owner's engineer decides on the permit, its speed and its place on the deck."
    )
    moments = Quantity(demand, "kip * ft"), Quantity(capacity, "kip * ft")
    return Check(name, subject, *moments, rated(demand, normal * design, capacity), margin, _SOURCE, note)


def posted(gross: pint.Quantity | None, posted_limit: pint.Quantity | None, subject: str = "bridge") -> Check:
    """Check a gross weight against the weight sign at a bridge.

    Parameters
    ----------
    gross : pint.Quantity or None
        Truck, trailer and load [lb]; None is unknown.
    posted_limit : pint.Quantity or None
        What the sign allows [lb]; None is unknown.
    subject : str
        Which bridge.

    Returns
    -------
    Check
        Margin: weight to spare [lb]. Over the sign the status is open, without a margin: only a permit based on an
        analysis of this bridge may allow it, and :func:`road_bridge` says how likely that is.

    References
    ----------
    The sign. State law on posted bridges varies; confirm with the bridge's owner.

    Examples
    --------
    >>> posted(Quantity(230000, "lb"), Quantity(40, "short_ton")).status
    'open'
    """
    name, source = "Posted weight", "Sign at the bridge; state law"
    if gross is None:
        return unknown(name, subject, "get the gross weight of the loaded trailer from the hauler", source)
    if posted_limit is None:
        return unknown(name, subject, "read the weight sign, or ask the bridge's owner if there is one", source)
    # To a millionth: a limit typed in kilograms is met exactly, not missed by the last digit.
    found, allowed = positive(gross, "lb", "gross weight", 6), positive(posted_limit, "lb", "posted limit", 6)
    check = compared(name, subject, found, allowed, "lb", source, _WITHIN)
    if check.status != "fail":
        return check
    note = (
        "Never cross without a permit from the owner that rests on an engineer's analysis of this bridge, or go round it."
    )
    return replace(check, status="open", margin=None, note=note)
