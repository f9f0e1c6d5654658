"""Axle trains on a simple span: the largest moment and shear as they roll across.

Maxima are exact, not stepped: between two axles entering or leaving, the moment under an axle is a
parabola of the train's place, and where an axle enters or leaves it bends upward, so every peak is the
top of such a parabola. A simple span is its own mirror image, so running the train the other way
gives the same maxima. Static loads; axles off the span count nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.axles import axle_layout
from heritagemove.units.ranges import positive
from heritagemove.units.units import Quantity, value


@dataclass(frozen=True)
class Train:
    """Axles of vehicles coupled together."""

    positions: pint.Quantity  # array of shape (n,): distance of each axle behind the first pulling face [ft]
    loads: pint.Quantity  # array of shape (n,): load of each axle [lb]
    vehicle: tuple[int, ...]  # for each axle the number of its vehicle, from 0 at the front
    length: pint.Quantity  # over all couplers [ft]


def train(*vehicles: tuple[pint.Quantity, pint.Quantity, pint.Quantity]) -> Train:
    """Couple vehicles, front first: engine, spacer cars, the unit that is moved.

    Parameters
    ----------
    *vehicles : (pint.Quantity, pint.Quantity, pint.Quantity)
        Of each vehicle: axle positions behind its front pulling face, shape (n,) [ft]; axle loads,
        shape (n,) [lb]; length over couplers [ft].

    Returns
    -------
    Train
        One train; ``np.array(train.vehicle) == 2`` marks the axles of the third vehicle.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> car = Quantity([6, 34], "ft"), Quantity([50000, 50000], "lb"), Quantity(40, "ft")
    >>> train(car, car).positions.m_as("ft").tolist()
    [6.0, 34.0, 46.0, 74.0]
    """
    if not vehicles:
        raise ValueError("give at least 1 vehicle; found none")
    places_ft, loads_kip, owner, face_ft = [], [], [], 0.0
    for number, (positions, loads, length) in enumerate(vehicles):
        place_ft, load_kip, *_ = train_floats(positions, loads)
        length_ft = positive(length, "ft", "length over couplers")
        if place_ft[0] < 0 or place_ft[-1] > length_ft:
            raise ValueError(
                f"the axles of vehicle {number + 1} must stand between 0 and its length, {length_ft:g} ft; "
                f"found {place_ft[0]:g} to {place_ft[-1]:g} ft"
            )
        places_ft.append(face_ft + place_ft)
        loads_kip.append(load_kip)
        owner += [number] * place_ft.size
        face_ft += length_ft
    loads = Quantity(np.concatenate(loads_kip) * 1000, "lb")
    return Train(Quantity(np.concatenate(places_ft), "ft"), loads, tuple(owner), Quantity(face_ft, "ft"))


def maximum_moment(
    positions: pint.Quantity,
    loads: pint.Quantity,
    span: pint.Quantity,
    uniform: pint.Quantity | None = None,
    uniform_from: pint.Quantity | None = None,
) -> pint.Quantity:
    """Return the absolute maximum moment of a train on a simple span.

    Under an axle the moment peaks when midspan halves the distance from that axle to the resultant
    of what stands on the span: x = L/2 - Σ P d / (2 Σ P). All axles and all such groups are tried.

    Parameters
    ----------
    positions, loads : pint.Quantity
        Arrays of shape (n,): place, rising [ft], and load [lb or kip] of each axle, per track or per rail.
    span : pint.Quantity
        L [ft].
    uniform, uniform_from : pint.Quantity, optional
        Load without end behind the axles [lb/ft or kip/ft] and where it begins [ft].

    Returns
    -------
    pint.Quantity
        Moment per track, or per rail if the loads are [kip ft].

    References
    ----------
    Statics. Course sheet CE 331, Spring 2009, Maximum Moment in a Simple Span Due a Set of Moving
    Loads (secondary): 24, 24 and 6 kip on 40 ft give 323 kip ft.

    Examples
    --------
    >>> axles = Quantity([0, 16, 28], "ft"), Quantity([24, 24, 6], "kip")
    >>> round(maximum_moment(*axles, Quantity(40, "ft")).m_as("kip * ft"))
    323
    """
    moment = moment_kip_ft(positive(span, "ft", "span"), *train_floats(positions, loads, uniform, uniform_from))
    return Quantity(moment, "kip * ft")


def moment_kip_ft(
    span_ft: float, place_ft: np.ndarray, load_kip: np.ndarray, uniform_kip_ft: float, start_ft: float
) -> float:
    """Return the absolute maximum moment [kip ft] from plain numbers, for loops.

    Parameters
    ----------
    span_ft : float
        Simple span [ft].
    place_ft, load_kip : np.ndarray
        Axles as in `maximum_moment`, of shape (n,) [ft], [kip].
    uniform_kip_ft, start_ft : float
        Following load and where it begins [kip/ft], [ft]; 0 and infinity for none.
    """
    near = place_ft - place_ft[:, None]  # row: axle under which the moment is taken; column: every axle
    gap = np.clip(start_ft - place_ft, 0, span_ft)[:, None]
    # Places of that axle at which an axle, or the head of the uniform load, enters or leaves the span.
    edges = np.where(near > 0, span_ft - near, -near)
    edges = np.hstack([edges, span_ft - gap, np.full_like(gap, span_ft)])
    edges = np.sort(np.clip(edges, 0, span_ft), axis=1)
    middle = (edges[:, 1:] + edges[:, :-1]) / 2
    ahead = middle[:, :, None] + near[:, None, :]
    on = (ahead >= 0) & (ahead <= span_ft)
    total = on @ load_kip
    first = (on * near[:, None, :]) @ load_kip
    reach = span_ft - gap
    rate = np.where(middle < reach, uniform_kip_ft, 0.0)
    # L dM/dx = c - 2 b x + a x^2 = 0; the smaller root is the peak, in a form that serves a = 0 too.
    a, b, c = 1.5 * rate, rate * reach + total, rate * reach**2 / 2 + total * span_ft - first
    place = c / (b + np.sqrt(np.maximum(b * b - a * c, 0)))
    place = np.clip(place, edges[:, :-1], edges[:, 1:])
    shift, section = (place - place_ft[:, None]).ravel(), place.ravel()
    if uniform_kip_ft > 0:
        shift, section = _under_uniform(shift, section, span_ft, place_ft, load_kip, uniform_kip_ft, start_ft)
    return float(_moments(shift, section, span_ft, place_ft, load_kip, uniform_kip_ft, start_ft).max())


def _under_uniform(
    shift: np.ndarray,
    section: np.ndarray,
    span_ft: float,
    place_ft: np.ndarray,
    load_kip: np.ndarray,
    uniform_kip_ft: float,
    start_ft: float,
) -> tuple[np.ndarray, np.ndarray]:
    # Under the uniform load both conditions have one solution for each group of last axles:
    # Σ P = w s, s being the head of the uniform load, and the section as far from midspan as the resultant.
    rear = np.append(np.cumsum(load_kip[::-1])[::-1], 0.0)
    head = rear / uniform_kip_ft
    lever = np.append(np.cumsum((load_kip * (place_ft - start_ft))[::-1])[::-1], 0.0) + rear * head
    peak = span_ft / 2 + head**2 / (2 * span_ft) - lever / (uniform_kip_ft * span_ft)
    inside = (head <= span_ft) & (peak >= 0) & (peak <= span_ft)
    return np.append(shift, (head - start_ft)[inside]), np.append(section, peak[inside])


def _moments(
    shift: np.ndarray,
    section: np.ndarray,
    span_ft: float,
    place_ft: np.ndarray,
    load_kip: np.ndarray,
    uniform_kip_ft: float,
    start_ft: float,
) -> np.ndarray:
    at = shift[:, None] + place_ft
    side = section[:, None]
    influence = np.maximum(np.minimum(at, side) * (span_ft - np.maximum(at, side)), 0) / span_ft
    moment = influence @ load_kip
    if uniform_kip_ft > 0:
        head = np.clip(start_ft + shift, 0, span_ft)
        behind = section * (span_ft - head) ** 2
        over = span_ft * section * (span_ft - section) - head**2 * (span_ft - section)
        moment = moment + uniform_kip_ft * np.where(head > section, behind, over) / (2 * span_ft)
    return moment


def shear_kip(
    span_ft: float, place_ft: np.ndarray, load_kip: np.ndarray, uniform_kip_ft: float, start_ft: float
) -> float:
    """Return the largest end reaction [kip] from plain numbers, for loops.

    Parameters
    ----------
    span_ft : float
        Simple span [ft].
    place_ft, load_kip : np.ndarray
        Axles as in `maximum_moment`, of shape (n,) [ft], [kip].
    uniform_kip_ft, start_ft : float
        Following load and where it begins [kip/ft], [ft]; 0 and infinity for none.
    """
    shift = np.append(-place_ft, span_ft - place_ft)
    if uniform_kip_ft > 0:
        shift = np.append(shift, -start_ft)  # axles so light that the uniform load alone governs
    at = shift[:, None] + place_ft
    # An axle put exactly on a support must not fall off by rounding.
    on = (at >= -1e-9) & (at <= span_ft + 1e-9)
    front = (on * (span_ft - at)) @ load_kip / span_ft
    back = (on * at) @ load_kip / span_ft
    if uniform_kip_ft > 0:
        head = np.clip(start_ft + shift, 0, span_ft)
        front = front + uniform_kip_ft * (span_ft - head) ** 2 / (2 * span_ft)
        back = back + uniform_kip_ft * (span_ft**2 - head**2) / (2 * span_ft)
    return float(max(front.max(), back.max()))


def train_floats(
    positions: pint.Quantity,
    loads: pint.Quantity,
    uniform: pint.Quantity | None = None,
    uniform_from: pint.Quantity | None = None,
) -> tuple[np.ndarray, np.ndarray, float, float]:
    """Return a train as the plain numbers that `moment_kip_ft` and `shear_kip` take.

    Parameters
    ----------
    positions, loads, uniform, uniform_from : pint.Quantity
        As in `maximum_moment`.

    Returns
    -------
    tuple
        Places [ft] and loads [kip] of shape (n,), uniform load [kip/ft] and its beginning [ft].
    """
    place_ft, load_lb = axle_layout(positions, loads)
    if uniform is None and uniform_from is None:
        return place_ft, load_lb / 1000, 0.0, math.inf
    if uniform is None or uniform_from is None:
        raise ValueError("a uniform load needs both its weight per foot and where it begins; found only one")
    start_ft = value(uniform_from, "ft", "uniform_from")
    if not place_ft[-1] <= start_ft < math.inf:
        allowed = f"the uniform load must begin at or behind the last axle, {place_ft[-1]:g} ft"
        raise ValueError(f"{allowed}; found {start_ft:g} ft")
    unit = "lbf/ft" if uniform.check("[force]/[length]") else "lb/ft"
    uniform_kip_ft = positive(uniform, unit, "uniform load") / 1000
    return place_ft, load_lb / 1000, uniform_kip_ft, start_ft
