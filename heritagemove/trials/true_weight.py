"""The true weight of a unit: within its tolerance it moves checks, choices of equipment and money in each trial.

The stated weight is usually a plate's. A path is screened at the lightest, the stated and the heaviest weight
that the tolerance allows; between two of them that ask for other equipment or fail other hard stops, the weight
at which the answer turns is searched for.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from heritagemove.checks.gates.screening import Screening, screen
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.simulation import Amount, Samples, Work

#: How closely the turning weight is searched for, as a share of the tolerance.
CLOSENESS = 1 / 8

#: Drivers that are the weight itself: they follow it, all others keep to the screening of their band.
_WEIGHTS = ("weight", "body_weight")


@dataclass(frozen=True)
class Band:
    """A range of true weights that one screening answers for."""

    up_to: float  # upper end, as a ratio of the stated weight; the last band has no end
    screening: Screening


@dataclass(frozen=True)
class Weighed:
    """One path screened over the weights that the tolerance allows."""

    stated: Screening  # at the stated weight: the one that statuses and reasons come from
    bands: tuple[Band, ...]  # from light to heavy; one band where the weight changes nothing
    # amounts that the unit's and the route's rows tell, by driver; read anew when left out
    told: Mapping[str, float | None] | None = None


def weigh(museum: Museum, vehicle: str, path: str) -> Weighed:
    """Screen a path at the stated weight and over its tolerance.

    An answer that turns and turns back between two weights with the same answer is missed.
    """
    stated = screen(museum, vehicle, path)
    row = museum.vehicle(vehicle)
    part, told = row.weight_tolerance.m_as(""), simulation.told_by_rows(museum, vehicle, path)
    if row.weight is None or part == 0 or _answer(stated)[1]:  # blocked as stated: nothing more to tell
        return Weighed(stated, (Band(np.inf, stated),), told)
    short_tons = row.weight.m_as("short_ton")

    def at(ratio: float) -> Screening:
        return screen(museum.with_weight(vehicle, short_tons * ratio), vehicle, path)

    found = [(1 - part, at(1 - part)), (1.0, stated), (1 + part, at(1 + part))]
    step = part * CLOSENESS
    bands: list[Band] = []
    for (low, light), (high, heavy) in itertools.pairwise(found):
        for turn, screening in _turns(at, low, light, high, heavy, step):
            if not bands or _answer(bands[-1].screening) != _answer(screening):
                bands.append(Band(turn, screening))
            else:
                bands[-1] = Band(turn, bands[-1].screening)
    bands[-1] = Band(np.inf, bands[-1].screening)
    return Weighed(stated, tuple(bands), told)


def _turns(
    at: Callable[[float], Screening], low: float, light: Screening, high: float, heavy: Screening, step: float
) -> list[tuple[float, Screening]]:
    """Return (upper end, screening) of the one band or the bands between two weights."""
    if _answer(light) == _answer(heavy):
        return [(high, light)]
    if high - low <= step:
        # The whole of the last step counts as the heavier answer: the careful side.
        return [(low, light), (high, heavy)]
    middle = (low + high) / 2
    between = at(middle)
    return _turns(at, low, light, middle, between, step) + _turns(at, middle, between, high, heavy, step)


def _answer(screening: Screening) -> tuple[frozenset[str], frozenset[str], tuple[tuple[str, float | None], ...]]:
    stops = frozenset(f.gate.gate for f in screening.findings if f.status == "fail" and f.gate.kind == "hard_stop")
    return screening.equipment, stops, tuple(sorted(screening.amounts.items()))


def failed_stops(weighed: Weighed) -> tuple[str, ...]:
    """Return the ids of the hard stops that some weight within the tolerance fails and the stated weight passes."""
    stated = _answer(weighed.stated)[1]
    return tuple(sorted({gate for band in weighed.bands for gate in _answer(band.screening)[1] - stated}))


def work(
    museum: Museum, vehicle: str, path: str, samples: Samples, weighed: Weighed, settings: Mapping[str, float]
) -> Work:
    """Return what a path needs in every trial, its true weight drawn within the tolerance.

    Parameters
    ----------
    settings : mapping of str to float
        Amounts set by name; they hold in every trial.
    """
    told = weighed.told
    if told is None or "axles" in settings:
        told = simulation.told_by_rows(museum, vehicle, path, settings.get("axles"))

    def at(screening: Screening) -> Work:
        return simulation.work(museum, vehicle, path, samples, screening.amounts, screening.equipment, settings, told)

    stated = at(weighed.stated)
    ratio = samples.weights.get(vehicle)
    if ratio is None or np.ptp(ratio) == 0:
        return stated
    amounts: dict[str, Amount | None] = dict(stated.amounts)
    for name in _WEIGHTS:
        if amounts.get(name) is not None and name not in settings:
            amounts[name] = amounts[name] * ratio
    if len(weighed.bands) == 1:
        return Work(amounts, stated.equipment)
    which = np.searchsorted([band.up_to for band in weighed.bands[:-1]], ratio, side="right")
    needs = [at(band.screening) for band in weighed.bands]
    for name in set(amounts) - set(_WEIGHTS):
        values = [need.amounts.get(name) for need in needs]
        if len({id(value) if isinstance(value, np.ndarray) else value for value in values}) == 1:
            continue
        known = None not in [value if np.ndim(value) == 0 else 0 for value in values]
        amounts[name] = np.choose(which, np.broadcast_arrays(*values, which)[:-1]) if known else None
    others = {need.equipment for need in needs} - {stated.equipment}
    equipment = [(e, np.isin(which, [n for n, need in enumerate(needs) if need.equipment == e])) for e in others]
    stops = _answer(weighed.stated)[1]
    heavy = [n for n, band in enumerate(weighed.bands) if _answer(band.screening)[1] - stops]
    too_heavy = np.isin(which, heavy)
    return Work(amounts, stated.equipment, tuple(equipment), too_heavy if too_heavy.any() else None)
