"""The sum of the likely values: what a planner would write down without a thought for uncertainty."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Screening, screen
from heritagemove.compare.results import PathResult
from heritagemove.museum.museum import Museum
from heritagemove.museum.waits import each_of
from heritagemove.trials import simulation, supposing
from heritagemove.trials.draws import RiskDraws, Samples


def likely_sum(
    museum: Museum, vehicle: str, result: PathResult, stated: Screening, direct: Mapping[str, float], samples: Samples
) -> float | None:
    """Return the cost of a path with every row at its likely value and no risk happening [USD]; None where unknown.

    Parameters
    ----------
    stated : Screening
        Its checks at the stated weight.
    direct : mapping of str to float
        Amounts set, in the drivers' units.
    samples : Samples
        Of the museum: its calendars and units of prices are taken from there.
    """
    path = result.path
    if result.provisional:
        museum = supposing.in_the_middle(museum, vehicle)
        stated = screen(museum, vehicle, path)
    likely = _likely_trial(museum, path, samples)
    needs = simulation.work(museum, vehicle, path, likely, stated.amounts, stated.equipment, direct)
    cost = simulation.simulate(museum, path, needs, likely).cost_usd
    return None if cost is None else float(cost[0])


def _likely_trial(museum: Museum, path: str, samples: Samples) -> Samples:
    """Return one trial of a path in which every row is at its likely value."""

    def days(row: Any) -> float:
        nobody = row.for_each is not None and each_of(museum, row) == ()
        return 0.0 if nobody else row.likely

    return dataclasses.replace(
        samples,
        trials=1,
        rates={row.name: np.array([row.likely]) for row in museum.rates},
        tasks={(path, row.task): np.array([days(row)]) for row in museum.of_path("tasks", path)},
        risks={(path, row.risk): _does_not_happen(row) for row in museum.of_path("risks", path)},
        quantities={(row.vehicle, row.path, row.driver): np.array([row.likely]) for row in museum.quantities},
        weights=dict.fromkeys(samples.weights, np.ones(1)),
        gates=dict.fromkeys(samples.gates, np.full(1, 0.5)),
        errors={},
        overruns={},
    )


def _does_not_happen(row: Any) -> RiskDraws:
    """Return draws of a risk that does not happen: what is paid against it is paid all the same."""
    paid, none = float(row.mitigation_cost) if row.bought else 0.0, np.zeros(1)
    season = np.zeros(1, np.int64) if row.stretches else None
    each = (np.ones(1), none, none) if row.for_each else (None, None, None)
    return RiskDraws(np.zeros(1, bool), np.full(1, paid), none, season, *each, paid)
