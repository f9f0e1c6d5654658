"""The true weight of a unit: within its tolerance it moves checks, choices of equipment and money in each trial.

The stated weight is usually a plate's. A path is screened at the lightest, the stated and the heaviest weight
that the tolerance allows; between two of them that ask for other equipment or fail other hard stops, the weight
at which the answer turns is searched for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from heritagemove.checks.gates.screening import Checks, Finding, LoadAnswer, Screening
from heritagemove.museum.drivers import driver_of
from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.simulation import Amount, Samples, Work
from heritagemove.trials.stretches import stretches

#: Into how many steps the tolerance is parted, to either side, for the search of the turning weight.
_STEPS = 16
#: How closely the turning weight is searched for, as a share of the tolerance.
CLOSENESS = 1 / _STEPS

#: Drivers that are the weight itself: they follow it, all others keep to the screening of their band.
_WEIGHTS = ("weight", "body_weight", "truck_load_weight")


@dataclass(frozen=True)
class Band:
    """A range of true weights that one answer of the checks holds for."""

    up_to: float  # upper end, as a ratio of the stated weight; the last band has no end
    equipment: frozenset[str]  # ids of the crane, trailer or flat car chosen
    stops: frozenset[str]  # ids of the hard stops that fail
    amounts: Mapping[str, float | None]  # drivers that engineering computed


@dataclass(frozen=True)
class Weighed:
    """One path screened over the weights that the tolerance allows."""

    stated: Screening  # at the stated weight: the one that statuses and reasons come from
    bands: tuple[Band, ...]  # from light to heavy; one band where the weight changes nothing
    told: Mapping[str, float | None]  # amounts that the unit's and the route's rows tell, by driver


def weigh(museum: Museum, vehicle: str, path: str, checks: Checks | None = None) -> Weighed:
    """Screen a path at the stated weight and over its tolerance.

    An answer that turns and turns back between two weights with the same answer is missed.

    Parameters
    ----------
    museum : Museum
    vehicle, path : str
        Ids.
    checks : Checks, optional
        Of this museum, where several paths are asked.
    """
    checks = checks or Checks(museum)
    row = museum.vehicle(vehicle)
    stated = checks.screen(row, path)
    part, told = row.weight_tolerance.m_as(""), simulation.told_by_rows(museum, vehicle, path, memo=checks.memo)
    failed = failed_stops(stated)
    if row.weight is None or part == 0 or failed:  # blocked as stated: nothing more to tell
        return Weighed(stated, (Band(np.inf, stated.equipment, failed, stated.amounts),), told)

    def ratio(step: int) -> float:
        return 1 + step * part / _STEPS

    marks = (-_STEPS, 0, _STEPS)
    gates = checks.weighing(row, tuple(map(ratio, marks)), path)  # no other one can fail: none does as stated

    def at(step: int) -> LoadAnswer:
        return checks.by_load(row, ratio(step), path, gates)

    found = stretches(at, marks)
    # The whole of the step in which the answer turns counts as the heavier one: the careful side. Within a band the
    # checks answer alike, so what one of its weights needs holds for all.
    ends = [*(ratio(band.last) for band in found[:-1]), np.inf]
    bands = (
        Band(end, band.answer.equipment, band.answer.stops, checks.amounts(row, ratio(band.first), path))
        for end, band in zip(ends, found, strict=True)
    )
    return Weighed(stated, tuple(bands), told)


def failed_stops(screening: Screening) -> frozenset[str]:
    """Return the ids of the hard stops that fail."""
    return frozenset(f.gate.gate for f in screening.findings if f.status == "fail" and f.gate.kind == "hard_stop")


def that_apply(findings: Sequence[Finding], needs: Work, memo: Ask = afresh) -> tuple[Finding, ...]:
    """Return the findings without those of gates whose driver is known to be zero."""
    return tuple(f for f in findings if needs.applies(f.gate.needs, memo, f.gate.stage))


def heavier_stops(weighed: Weighed) -> tuple[str, ...]:
    """Return the ids of the hard stops that some weight within the tolerance fails and the stated weight passes."""
    return tuple(sorted({gate for band in weighed.bands for gate in band.stops - failed_stops(weighed.stated)}))


def work(
    museum: Museum,
    vehicle: str,
    path: str,
    samples: Samples,
    weighed: Weighed,
    settings: Mapping[str, float],
    memo: Ask = afresh,
) -> Work:
    """Return what a path needs in every trial, its true weight drawn within the tolerance.

    Parameters
    ----------
    settings : mapping of str to float
        Amounts set by name; they hold in every trial.
    """
    told = weighed.told
    if "axles" in settings:
        told = simulation.told_by_rows(museum, vehicle, path, settings["axles"], memo)

    def at(amounts: Mapping[str, float | None], equipment: frozenset[str]) -> Work:
        return simulation.work(museum, vehicle, path, samples, amounts, equipment, settings, told, memo)

    stated = at(weighed.stated.amounts, weighed.stated.equipment)
    if vehicle not in samples.weights:
        return stated
    ratio = samples.known("weights", vehicle)
    if not memo(_varies, ratio).value:
        return stated
    given = dict(stated.given)
    weights = {name for name in given if driver_of(name) in _WEIGHTS}
    for name in sorted(weights):
        if given[name] is not None and driver_of(name) not in settings:
            given[name] = memo(np.multiply, given[name], ratio)
    if len(weighed.bands) == 1:
        return Work.of(given, stated.equipment, vehicle=vehicle)
    ends = tuple(band.up_to for band in weighed.bands[:-1])
    needs = [at(band.amounts, band.equipment) for band in weighed.bands]
    for name in set(given) - weights:
        values = tuple(need.given.get(name) for need in needs)
        if any(value != values[0] for value in values):
            given[name] = None if None in values else memo(_of_band, ratio, ends, values)
    others = sorted({need.equipment for need in needs} - {stated.equipment}, key=sorted)
    equipment = tuple(
        (e, memo(_in_bands, ratio, ends, tuple(n for n, need in enumerate(needs) if need.equipment == e))) for e in others
    )
    stops = failed_stops(weighed.stated)
    heavy = memo(_in_bands, ratio, ends, tuple(n for n, band in enumerate(weighed.bands) if band.stops - stops))
    return Work.of(given, stated.equipment, equipment, heavy if heavy.value.any() else None, vehicle=vehicle)


def _varies(ratio: np.ndarray) -> bool:
    return bool(np.ptp(ratio) != 0)


def _of_band(ratio: np.ndarray, ends: tuple[float, ...], values: tuple[Amount, ...]) -> np.ndarray:
    which = np.searchsorted(ends, ratio, side="right")
    return np.choose(which, np.broadcast_arrays(*values, which)[:-1])


def _in_bands(ratio: np.ndarray, ends: tuple[float, ...], numbers: tuple[int, ...]) -> np.ndarray:
    return np.isin(np.searchsorted(ends, ratio, side="right"), numbers)
