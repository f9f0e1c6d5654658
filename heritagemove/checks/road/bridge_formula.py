"""Federal bridge formula: what a group of consecutive axles may weigh without an overweight permit.

Screening only. A load that cannot be divided may travel heavier under a permit; states issue it, states
set their own axle groups for it, and the permit office decides.
"""

from __future__ import annotations

from functools import partial
from typing import Literal, NamedTuple

import numpy as np
import pint

from heritagemove.checks.axles import axle_layout
from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import all_positive, at_least, positive
from heritagemove.units.units import Quantity

_SOURCE = "23 U.S.C. 127 and 23 CFR 658.17 as quoted in FHWA, Oversize/Overweight Load Permits"
#: A foot typed in metres comes back a hair off; a thousandth of an inch decides nothing.
_SLACK_FT = 1e-4
#: To a millionth: a limit typed in kilograms or metres is met exactly, not missed by the last digit.
_limit = partial(positive, digits=6)


class _Groups(NamedTuple):
    """All groups of consecutive axles of one layout, arrays of shape (m,), m = n (n + 1) / 2."""

    first: np.ndarray  # number of the first axle of each group, from 1 at the front
    last: np.ndarray  # number of its last axle
    length_ft: np.ndarray  # centre of the first to centre of the last axle
    weight_lb: np.ndarray

    @property
    def axles(self) -> np.ndarray:
        """Axles in each group."""
        return self.last - self.first + 1


def formula_weight(
    length: pint.Quantity, axles: int | np.ndarray, step: pint.Quantity, ties: Literal["down", "up"] = "down"
) -> pint.Quantity:
    """Return what a group of axles may weigh: W = s [L N / (N - 1) + 12 N + 36], to the nearest step s of 500 lb.

    The rule does not say which way half of 500 lb goes, and official tables differ: California's table
    (and, from memory, FHWA's) takes it down, Pennsylvania's takes it up. L is taken as measured; some
    states round it to whole feet first (from memory).

    Parameters
    ----------
    length : pint.Quantity
        L, first to last axle of the group, a number or an array of shape (m,), above 0 [ft].
    axles : int or array of int
        N, at least 2.
    step : pint.Quantity
        s, from a limit row, above 0 [lb].
    ties : {"down", "up"}
        Which way exactly half of a step is rounded.

    Returns
    -------
    pint.Quantity
        W [lb], before the caps on single axles, tandems and the gross weight.

    References
    ----------
    FHWA, Oversize/Overweight Load Permits (formula, caps, exception). Table of California AB 1953 (2023)
    against 67 Pa. Code 185.3.

    Examples
    --------
    >>> step = Quantity(500, "lb")
    >>> [float(formula_weight(Quantity(9, "ft"), 3, step, ties).m_as("lb")) for ties in ("down", "up")]
    [42500.0, 43000.0]
    """
    if ties not in ("down", "up"):
        raise ValueError(f'ties must be "down" or "up"; found "{ties}"')
    at_least(int(np.min(axles, initial=2)), 2, "axles of the group")
    length_ft = all_positive(length, "ft", "length of the axle group") if np.size(axles) else np.zeros(0)
    # A length converted from metres may miss an exact tie by the last digits.
    steps = np.round(length_ft * axles / (axles - 1) + 12 * axles + 36, 6)
    return Quantity(positive(step, "lb", "step") * (np.ceil(steps - 0.5) if ties == "down" else np.floor(steps + 0.5)), "lb")


def bridge_formula(
    positions: pint.Quantity | None,
    loads: pint.Quantity | None,
    single: pint.Quantity,
    tandem: pint.Quantity,
    gross: pint.Quantity,
    single_spread: pint.Quantity,
    tandem_spread: pint.Quantity,
    tandem_pair_length: pint.Quantity,
    step: pint.Quantity,
    ties: Literal["down", "up"] = "down",
    subject: str = "road load",
) -> Check:
    """Check every group of consecutive axles against the federal weight limits; the worst group answers.

    Parameters
    ----------
    positions, loads : pint.Quantity or None
        Arrays of shape (n,): place, rising [ft], and load [lb] of each axle; None is unknown.
    single, tandem, gross : pint.Quantity
        Caps on a single axle, a tandem and the whole layout [lb].
    single_spread, tandem_spread : pint.Quantity
        Axles no further apart count as a single axle, and those no further apart as a tandem; the first at most the
        second [in].
    tandem_pair_length : pint.Quantity
        Two tandems in a row, first to last axle at least this far apart, may carry two tandem caps [ft].
    step, ties
        As in :func:`formula_weight`.
    subject : str
        Which load.

    Returns
    -------
    Check
        Demand and capacity: weight and limit of the group with the highest ratio [lb]; margin: weight
        the whole layout may gain, every axle in proportion [lb]. A fail means that the load needs an
        overweight permit, not that it cannot move.

    References
    ----------
    FHWA, Oversize/Overweight Load Permits; FHWA, FAQ on 23 CFR 658.17 (40 in and 96 in).

    Examples
    --------
    >>> limits = [Quantity(n, "lb") for n in (20000, 34000, 80000)]
    >>> spreads = Quantity(40, "in"), Quantity(96, "in"), Quantity(36, "ft"), Quantity(500, "lb")
    >>> kip = Quantity(1000, "lb")
    >>> check = bridge_formula(
    ...     Quantity([0, 16, 20, 47, 51], "ft"), [12, 17, 17, 17, 17] * kip, *limits, *spreads)
    >>> check.status, check.subject, check.capacity.m_as("lb")
    ('fail', 'road load, axles 2 to 5', 65500.0)
    """
    name = "Legal axle weights"
    if positions is None or loads is None:
        measure = "get the axle spacings and axle loads of the loaded trailer from the hauler"
        return unknown(name, subject, measure, _SOURCE)
    found = _groups(*axle_layout(positions, loads))
    caps_lb = _caps_lb(
        found,
        *(_limit(cap, "lb", word) for cap, word in ((single, "single cap"), (tandem, "tandem cap"))),
        *(_limit(spread, "ft", "spread") for spread in (single_spread, tandem_spread, tandem_pair_length)),
        step,
        ties,
    )
    # Only the whole layout can reach the gross cap first: any other group is part of it.
    whole = int(np.argmax(found.axles))
    caps_lb[whole] = min(caps_lb[whole], _limit(gross, "lb", "gross cap"))
    weights_lb = found.weight_lb
    worst = int(np.argmax(np.round(weights_lb / caps_lb, 9)))  # the front group where two are alike
    demand, capacity = float(weights_lb[worst]), float(caps_lb[worst])
    margin = Quantity(float(weights_lb[whole] * (capacity / demand - 1)), "lb")
    verdict = "Over the limit for travel without a permit." if demand > capacity else "Within the federal limits."
    note = (
        f"{verdict} Margin: weight the whole layout may gain, every axle in proportion. Screening only; "
        "the state's permit office decides, and states have limits of their own."
    )
    first, last = int(found.first[worst]), int(found.last[worst])
    which = f"axle {first}" if first == last else f"axles {first} to {last}"
    return compared(name, f"{subject}, {which}", demand, capacity, "lb", _SOURCE, note, margin)


def _groups(place_ft: np.ndarray, load_lb: np.ndarray) -> _Groups:
    first, last = np.triu_indices(place_ft.size)
    # To a millionth: a load typed in kilograms meets a limit exactly, not missed by the last digit.
    sums_lb = np.append(0.0, np.cumsum(np.round(load_lb, 6)))
    weight_lb = np.round(sums_lb[last + 1] - sums_lb[first], 6)
    return _Groups(first + 1, last + 1, place_ft[last] - place_ft[first], weight_lb)


def _caps_lb(
    found: _Groups,
    single_lb: float,
    tandem_lb: float,
    single_ft: float,
    tandem_ft: float,
    pair_ft: float,
    step: pint.Quantity,
    ties: Literal["down", "up"],
) -> np.ndarray:
    if single_ft > tandem_ft:
        raise ValueError(
            f"single spread must be at most the tandem spread, {12 * tandem_ft:g} in; found {12 * single_ft:g} in"
        )
    length_ft, axles = found.length_ft, found.axles
    several = axles > 1
    caps_lb = np.full(axles.shape, single_lb)
    caps_lb[several] = formula_weight(Quantity(length_ft[several], "ft"), axles[several], step, ties).magnitude
    caps_lb[length_ft <= tandem_ft + _SLACK_FT] = tandem_lb
    caps_lb[length_ft <= single_ft + _SLACK_FT] = single_lb
    at = {(int(i), int(j)): float(x) for i, j, x in zip(found.first, found.last, length_ft, strict=True)}
    tandems = {i for (i, j), x in at.items() if j == i + 1 and single_ft + _SLACK_FT < x <= tandem_ft + _SLACK_FT}
    for group in np.flatnonzero((axles == 4) & (length_ft >= pair_ft - _SLACK_FT)):
        if {found.first[group], found.first[group] + 2} <= tandems:
            caps_lb[group] = max(caps_lb[group], 2 * tandem_lb)
    return caps_lb
