"""What a road permit allows and brings with it: axle groups, superload review, escorts, days on the road.

Thresholds are the state's and move often; each comes from a row. Screening only; the permit decides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import pint

from heritagemove.checks.axles import axle_layout
from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import not_negative, positive
from heritagemove.units.units import Quantity

DIMENSIONS = ("width", "height", "length")
#: To a millionth: a limit typed in kilograms or metres is met exactly, not missed by the last digit.
_positive = partial(positive, digits=6)
ESCORTS = ("lead", "rear", "high_pole", "utility", "police")


@dataclass(frozen=True)
class Escorts:
    """Escorts that go with one load, each 0 or 1."""

    lead: int = 0  # car ahead
    rear: int = 0  # car behind
    high_pole: int = 0  # car ahead with a height pole
    utility: int = 0  # utility crew
    police: int = 0  # police car

    @property
    def pilot_cars(self) -> int:
        """Cars to hire; the pole car is the lead car too (common practice; Arkansas and Ohio say so)."""
        return max(self.lead, self.high_pole) + self.rear


def axle_groups(
    positions: pint.Quantity | None,
    loads: pint.Quantity | None,
    wide: Sequence[pint.Quantity],
    close: Sequence[pint.Quantity],
    close_spacing: pint.Quantity,
    group_gap: pint.Quantity,
    subject: str = "trailer",
) -> Check:
    """Check each axle group of a loaded trailer against the state's permit table; the worst group answers.

    A group takes the lower weight as soon as one of its spacings is close: the table does not say which counts.

    Parameters
    ----------
    positions, loads : pint.Quantity or None
        Arrays of shape (n,): place, rising [ft], and load [lb] of each axle; None is unknown.
    wide, close : sequence of pint.Quantity
        Permit weight of a group of 1, 2, ... axles, by spacing [lb]; a longer group is unknown.
    close_spacing : pint.Quantity
        Axles nearer than this stand close [in].
    group_gap : pint.Quantity
        Axles further apart than this are in different groups [in].
    subject : str
        Which trailer.

    Returns
    -------
    Check
        Demand and capacity: weight and limit of the group with the highest ratio [lb]; margin: weight the whole
        layout may gain, every axle in proportion [lb].

    References
    ----------
    Ohio DOT, Superload Vehicle Configuration: single 29,000, tandem 36,000 or 50,000, three axles 47,000 or 60,000,
    four axles 60,000 or 80,000 lb, below and from 4 ft 1 in. Other states have tables of their own.

    Examples
    --------
    >>> table = [[Quantity(n, "lb") for n in row] for row in ([29000, 50000, 60000], [29000, 36000, 47000])]
    >>> check = axle_groups(Quantity([0, 16, 20.5, 25], "ft"), Quantity([12000, 21000, 21000, 21000], "lb"),
    ...                     *table, Quantity(49, "in"), Quantity(96, "in"))
    >>> check.status, check.subject, check.capacity.m_as("lb")
    ('fail', 'trailer, axles 2 to 4', 60000.0)
    """
    name, source = "Permit axle groups", "State permit table, rows permit_ of limits.csv"
    if positions is None or loads is None:
        return unknown(name, subject, "get the axle spacings and axle loads of the loaded trailer from the hauler", source)
    answers = []
    for first, place_ft, load_lb in _groups(positions, loads, _positive(group_gap, "ft", "group gap")):
        count, gaps_ft = len(place_ft), np.diff(place_ft)
        which = f"{subject}, axle{'s' * (count > 1)} {first}" + (f" to {first + count - 1}" if count > 1 else "")
        if count > len(wide):
            return unknown(name, which, f"ask the permit office what a group of {count} axles may carry", source)
        near = count > 1 and gaps_ft.min() < _positive(close_spacing, "ft", "close spacing") - 1e-6
        most_lb = _positive((close if near else wide)[count - 1], "lb", "permit weight")
        answers.append((round(float(load_lb.sum()), 6), most_lb, which))
    weight_lb, most_lb, which = max(answers, key=lambda answer: answer[0] / answer[1])
    margin = loads.to("lb").sum() * (most_lb / weight_lb - 1)
    note = "Axles of a group loaded alike; the state's permit and its bridge analysis decide."
    return compared(name, which, weight_lb, most_lb, "lb", source, note, margin)


def _groups(positions: pint.Quantity, loads: pint.Quantity, gap_ft: float) -> list[tuple[int, np.ndarray, np.ndarray]]:
    """Return each group's first axle, counted from 1, with its positions [ft] and loads [lb]."""
    place_ft, load_lb = axle_layout(positions, loads)
    cuts = np.flatnonzero(np.diff(place_ft) > gap_ft + 1e-6) + 1
    parts = zip((0, *cuts), np.split(place_ft, cuts), np.split(load_lb, cuts), strict=True)
    return [(int(first) + 1, place, load) for first, place, load in parts]


def superload(
    gross: pint.Quantity | None,
    threshold: pint.Quantity | None,
    sizes: Sequence[tuple[pint.Quantity | None, pint.Quantity]] = (),
) -> bool | None:
    """Return whether a load is over one of the state's superload thresholds: weight, width, height or length.

    Parameters
    ----------
    gross, threshold : pint.Quantity or None
        Truck, trailer and load, and the state's threshold [lb]; None is unknown.
    sizes : sequence of (pint.Quantity or None, pint.Quantity)
        Each dimension of the loaded trailer with its own threshold [ft]; a dimension of None is unknown.

    Returns
    -------
    bool or None
        True as soon as one is over; None where none is over and one is unknown.

    References
    ----------
    Ohio DOT, Superload vehicle configuration: over 120,000 lb. Other states: 160,000 to 201,000 lb, 16 to 17 ft
    wide, 14 ft 6 in to 16 ft high, 110 to 160 ft long (a freight broker's summary, undated).

    Examples
    --------
    >>> superload(Quantity(120000, "lb"), Quantity(120000, "lb"))
    False
    >>> superload(Quantity(90000, "lb"), Quantity(120000, "lb"), [(Quantity(17, "ft"), Quantity(16, "ft"))])
    True
    """
    weights = [] if threshold is None else [_over(gross, threshold, "lb", "gross weight")]
    over = [*weights, *(_over(size, most, "ft", "size of the load") for size, most in sizes)]
    if True in over:
        return True
    return None if threshold is None or None in over else False


def _over(found: pint.Quantity | None, threshold: pint.Quantity, unit: str, name: str) -> bool | None:
    if found is None:
        return None
    return _positive(found, unit, name) > _positive(threshold, unit, "superload threshold")


def escorts(
    width: pint.Quantity | None,
    height: pint.Quantity | None,
    length: pint.Quantity | None,
    thresholds: Mapping[str, pint.Quantity],
) -> Escorts | None:
    """Return the escorts a load needs: each whose width, height or length threshold is exceeded.

    Parameters
    ----------
    width, height, length : pint.Quantity or None
        Of the loaded trailer, pulling truck included [ft]. None gives None where a threshold needs it.
    thresholds : mapping of str to pint.Quantity
        ``<escort>_<dimension>`` to the size above which it is needed [ft], such as ``high_pole_height``.
        Escorts are lead, rear, high_pole, utility and police; what is not listed is not required.

    References
    ----------
    Ohio escort rules, as two permit services quote them (secondary); states differ.

    Examples
    --------
    >>> feet = Quantity(1, "ft")
    >>> ohio = {"high_pole_height": 14.5 * feet, "rear_height": 14 * feet + Quantity(10, "in"),
    ...         "lead_width": 13 * feet, "rear_width": 14.5 * feet, "rear_length": 90 * feet}
    >>> escorts(12 * feet, 16 * feet, 124 * feet, ohio).pilot_cars
    2
    """
    sizes = dict(zip(DIMENSIONS, (width, height, length), strict=True))
    sizes_ft = {name: None if size is None else _positive(size, "ft", name) for name, size in sizes.items()}
    needed = dict.fromkeys(ESCORTS, 0)
    for key, threshold in thresholds.items():
        escort, _, dimension = key.rpartition("_")
        if escort not in ESCORTS or dimension not in DIMENSIONS:
            raise ValueError(f'found threshold "{key}"; allowed: {", ".join(ESCORTS)}, each with _{", _".join(DIMENSIONS)}')
        limit_ft = _positive(threshold, "ft", key)
        size_ft = sizes_ft[dimension]
        if size_ft is None:
            return None
        if size_ft > limit_ft:
            needed[escort] = 1
    return Escorts(**needed)


def haul_days(
    distance: pint.Quantity | None,
    miles_per_day: pint.Quantity,
    speeds: pint.Quantity | None = None,
    hours: pint.Quantity | None = None,
) -> pint.Quantity | None:
    """Return the days on the road, n = Σ d / min(v h, m): below 1 that part of a day, from 1 on ceil(n).

    The sum is rounded, no leg of it.

    Parameters
    ----------
    distance : pint.Quantity or None
        d, length of the route or of each leg with detours, at least 0 [mile]; None gives None.
    miles_per_day : pint.Quantity
        m, the most that the hauler makes with this trailer in a day [mile].
    speeds, hours : pint.Quantity, optional
        v, speed of this load on each leg [mph], and h, the hours a day in which it may run there, at most 24 [hour];
        inf where nothing is known. Without them m alone counts.

    Returns
    -------
    pint.Quantity or None
        Days [day].

    References
    ----------
    Pace: a superload made under 50 miles in more than 8 hours (2018 report, secondary). Hours: 49 CFR 395.3(a)(3), and
    the curfews, daylight and escorts' shifts of whoever owns the road.

    Examples
    --------
    >>> haul_days(Quantity(77.7, "mile"), Quantity(45, "mile")).magnitude
    2.0
    >>> haul_days(Quantity(9.0, "mile"), Quantity(45, "mile")).magnitude
    0.2
    >>> legs, speeds, hours = Quantity([12.0, 60], "mile"), Quantity([3.0, 40], "mph"), Quantity([6.0, 8], "hour")
    >>> haul_days(legs, Quantity(120, "mile"), speeds, hours).magnitude
    2.0
    """
    daily_mile = _positive(miles_per_day, "mile", "distance a day")
    if distance is None:
        return None
    miles = np.atleast_1d(np.asarray(distance.m_as("mile"), dtype=float))
    for mile in miles:
        not_negative(Quantity(mile, "mile"), "mile", "distance")
    most = np.full(miles.shape, daily_mile)
    if speeds is not None and hours is not None:
        pace = (speeds.m_as("mph"), hours.m_as("hour"))
        if not all(np.shape(each) == miles.shape and np.all(np.asarray(each) > 0) for each in pace):
            raise ValueError(f"give each of the {miles.size} legs a speed and hours, all more than 0")
        most = np.minimum(most, pace[0] * np.minimum(pace[1], 24.0))
    days = round(math.fsum(miles / most), 9)
    return Quantity(days if days < 1 else float(math.ceil(days)), "day")
