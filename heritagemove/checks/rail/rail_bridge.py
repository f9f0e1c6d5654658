"""Rail bridges: the axle train of a move against the Cooper E rating of a simple span.

Static loads, per track. Screening only: impact, speed, condition, curves and every member but the
span belong to the railroad's bridge engineer (49 CFR Part 237).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.rail.moving_loads import moment_kip_ft, shear_kip, train_floats
from heritagemove.units.ranges import positive
from heritagemove.units.units import Quantity, show, value

# Cooper E1, kip a track: two engines with tenders and then 1/10 kip a foot. This is what "Cooper E"
# means, not a limit that moves. The alternate load of four axles is left out on purpose: a rating
# given as E means this train, and a heavier yardstick would make every vehicle look lighter.
_E1_KIP = np.tile([0.5, 1, 1, 1, 1, 0.65, 0.65, 0.65, 0.65], 2)
_E1_FT = np.array([0, 8, 13, 18, 23, 32, 37, 43, 48, 56, 64, 69, 74, 79, 88, 93, 99, 104], dtype=float)
_E1 = _E1_FT, _E1_KIP, 0.1, 109.0

_SOURCE = (
    "Cooper E loading: AREMA Manual for Railway Engineering, Chapter 15, Part 1 (axles as published in "
    "Unsworth, Design of Modern Steel Railway Bridges); exact statics of a simple span"
)
_DEFER = (
    "Static screening of the span alone; the railroad's bridge engineer decides (49 CFR Part 237), and "
    "sets the speed above the normal rating."
)


class Strain(NamedTuple):
    """What a train puts on a simple span, per track, in plain numbers for loops."""

    moment: float  # largest moment [kip ft]
    shear: float  # largest end shear [kip]


def cooper_one(span: pint.Quantity) -> Strain:
    """Return what the Cooper E1 train puts on a simple span, per track; E is proportional to it.

    Parameters
    ----------
    span : pint.Quantity
        Simple span, above 0 [ft].

    References
    ----------
    AREMA Manual for Railway Engineering, Chapter 15, Part 1, section 1.15 (table from memory), which prints half a
    track; proportional to E: WisDOT Bridge Manual, 38.2.2. The alternate load is not included.

    Examples
    --------
    >>> found = cooper_one(Quantity(10, "ft"))
    >>> 80 * found.moment / 2, 80 * found.shear / 2
    (112.5, 60.0)
    """
    return _cooper_one(positive(span, "ft", "span"))


def equivalent_cooper(
    positions: pint.Quantity,
    loads: pint.Quantity,
    span: pint.Quantity,
    uniform: pint.Quantity | None = None,
    uniform_from: pint.Quantity | None = None,
    one: Strain | None = None,
) -> pint.Quantity:
    """Return the Cooper E train that strains a span as much: E = max(M / M_E1, V / V_E1).

    Parameters
    ----------
    positions, loads : pint.Quantity
        Arrays of shape (n,): place, rising [ft], and load per track [lb or kip] of each axle.
    span : pint.Quantity
        Simple span [ft].
    uniform, uniform_from : pint.Quantity, optional
        Load without end behind the axles [lb/ft or kip/ft] and where it begins [ft].
    one : Strain, optional
        What :func:`cooper_one` says of the span, where several trains cross it.

    Returns
    -------
    pint.Quantity
        Cooper E number [-], the larger of moment and end shear.

    References
    ----------
    AREMA Manual for Railway Engineering, Chapter 15: loads are proportional to E. Ratio: common practice.

    Examples
    --------
    >>> diesel = Quantity([0, 9, 31, 40], "ft"), Quantity([64930] * 4, "lb")
    >>> round(equivalent_cooper(*diesel, Quantity(10, "ft")).magnitude, 1)
    57.7
    """
    span_ft = positive(span, "ft", "span")
    rating = _cooper(span_ft, one or _cooper_one(span_ft), *train_floats(positions, loads, uniform, uniform_from))
    return Quantity(rating, "dimensionless")


def rail_bridge(
    positions: pint.Quantity | None,
    loads: pint.Quantity | None,
    span: pint.Quantity | None,
    normal: float | None,
    maximum: float | None,
    weight: pint.Quantity | None,
    name: str,
    scaled: np.ndarray | None = None,
    one: Strain | None = None,
) -> Check:
    """Check an axle train against the normal and maximum Cooper E ratings of a bridge.

    Parameters
    ----------
    positions, loads : pint.Quantity or None
        Arrays of shape (n,): place, rising [ft], and load per track [lb] of each axle of the train.
    span : pint.Quantity or None
        Simple span that governs [ft].
    normal, maximum : float or None
        Cooper E ratings [-]; 0 says that the bridge is closed.
    weight : pint.Quantity or None
        Weight of the vehicle or load whose margin is asked, at most what the marked axles carry [lb].
    name : str
        Which bridge.
    scaled : array of bool, optional
        Shape (n,), True for that vehicle's axles. Left out: all axles.
    one : Strain, optional
        As in :func:`equivalent_cooper`.

    Returns
    -------
    Check
        Demand: equivalent Cooper E; capacity: maximum rating. Pass up to the normal rating, open up to the
        maximum, where the bridge's engineer answers, fail above. Margin: weight [lb] the marked axles may gain,
        in proportion, until the demand is the maximum rating; below 0 what must come off, at most all they carry.

    References
    ----------
    Normal and maximum rating: AREMA Manual for Railway Engineering, Chapter 15, Part 7 (from memory).
    49 CFR 237.71 and 237.73: the track owner knows the capacity and keeps heavier loads off.

    Examples
    --------
    >>> switcher = Quantity([0, 8, 22, 30], "ft"), Quantity([57500] * 4, "lb")
    >>> check = rail_bridge(*switcher, Quantity(14, "ft"), 40, 46, Quantity(230000, "lb"), "timber trestle")
    >>> check.status, round(check.demand.magnitude, 1), round(check.margin.m_as("lb"))
    ('open', 42.6, 18400)
    """
    title = "Rail bridge, Cooper E"
    if positions is None or loads is None or weight is None:
        measure = "weigh the vehicle and measure the distances between its axles and couplers"
        return unknown(title, name, measure, _SOURCE)
    if span is None or normal is None or maximum is None:
        measure = "ask the bridge's owner for span and for normal and maximum Cooper E ratings"
        return unknown(title, name, measure, _SOURCE)
    if not 0 <= normal <= maximum < math.inf:
        found = f"normal {normal:g}, maximum {maximum:g}"
        raise ValueError(f"ratings must be at least 0 and normal at most maximum; found {found}")
    place_ft, load_kip, *_ = train_floats(positions, loads)
    mask = np.ones(load_kip.size, bool) if scaled is None else np.asarray(scaled, bool)
    marked_kip = _marked_kip(weight, load_kip, mask)
    span_ft = positive(span, "ft", "span")
    factor, demand = _factor(span_ft, one or _cooper_one(span_ft), place_ft, load_kip, maximum, mask)
    status = "pass" if demand <= normal else "open" if demand <= maximum else "fail"
    margin = Quantity(1000 * marked_kip * (factor - 1), "lb")
    over = "The bridge's engineer is asked above the normal rating: " if status == "open" else ""
    note = f"{over}E{demand:.1f} against normal E{normal:g} and maximum E{maximum:g}. {_DEFER}"
    if factor == 0:
        note = f"The rating is used up before any part of this vehicle is added. {note}"
    capacity = Quantity(float(maximum), "dimensionless")
    return Check(title, name, Quantity(demand, "dimensionless"), capacity, status, margin, _SOURCE, note)


def _factor(
    span_ft: float, one: Strain, place_ft: np.ndarray, load_kip: np.ndarray, maximum: float, mask: np.ndarray
) -> tuple[float, float]:
    # By what the marked loads may be multiplied until the rating is reached, and the demand as it is.
    demand = _cooper(span_ft, one, place_ft, load_kip)
    if mask.all():
        return maximum / demand, demand

    def excess(factor: float) -> float:
        return _cooper(span_ft, one, place_ft, np.where(mask, factor * load_kip, load_kip)) - maximum

    if excess(1e-9) >= 0:
        return 0.0, demand
    # Alone the vehicle may grow at least as far as in company: both ends of this chord lie beyond the rating. The demand
    # is the largest of straight lines, one for each place of the train, so that chords come down to it from beyond.
    near = maximum / _cooper(span_ft, one, place_ft[mask], load_kip[mask])
    far = 2 * near
    over_near, over_far = excess(near), excess(far)
    while over_near > 1e-12 * maximum and over_far > over_near:
        chord = near - over_near * (far - near) / (over_far - over_near)
        near, over_near, far, over_far = chord, excess(chord), near, over_near
    return near, demand


def _cooper_one(span_ft: float) -> Strain:
    return Strain(moment_kip_ft(span_ft, *_E1), shear_kip(span_ft, *_E1))


def _cooper(
    span_ft: float,
    one: Strain,
    place_ft: np.ndarray,
    load_kip: np.ndarray,
    uniform_kip_ft: float = 0.0,
    start_ft: float = math.inf,
) -> float:
    loads = place_ft, load_kip, uniform_kip_ft, start_ft
    return max(moment_kip_ft(span_ft, *loads) / one.moment, shear_kip(span_ft, *loads) / one.shear)


def _marked_kip(weight: pint.Quantity, load_kip: np.ndarray, mask: np.ndarray) -> float:
    if mask.shape != load_kip.shape or not mask.any():
        raise ValueError(f"mark at least 1 of {load_kip.size} axles as the vehicle's; found {mask.tolist()}")
    marked_kip = float(load_kip[mask].sum())
    # The axles may carry more than the weight asked about, as a flat car's do; less would be a wrong row.
    if not 0 < value(weight, "lb", "weight") <= 1010 * marked_kip:
        allowed = f"more than 0 and at most what its axles carry, {1000 * marked_kip:,.0f} lb"
        raise ValueError(f"weight must be {allowed}; found {show(weight, 'lb')}")
    return marked_kip
