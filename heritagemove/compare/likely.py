"""The sum of the likely values: what a planner would write down without a thought for uncertainty."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Screening, screen
from heritagemove.compare.results import PathResult
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.waits import each_of
from heritagemove.trials import simulation, supposing
from heritagemove.trials.draws import RiskDraws, Samples
from heritagemove.trials.needs import Work
from heritagemove.trials.simulation import PathTrials


def likely_sum(
    museum: Museum,
    vehicle: str,
    result: PathResult,
    stated: Screening,
    direct: Mapping[str, float],
    samples: Samples,
    memo: Ask = afresh,
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
    cost = likely_trial(museum, vehicle, result, stated, direct, samples, memo).trials.cost_usd
    return None if cost is None else float(cost[0])


@dataclass(frozen=True)
class LikelyTrial:
    """The one trial of a path in which every row is at its likely value and no risk happens."""

    museum: Museum  # as compared; of a provisional path, what is unknown is in the middle of what is typical
    samples: Samples
    needs: Work
    trials: PathTrials


def likely_trial(
    museum: Museum,
    vehicle: str,
    result: PathResult,
    stated: Screening,
    direct: Mapping[str, float],
    samples: Samples,
    memo: Ask = afresh,
    decided: int | None = None,
) -> LikelyTrial:
    """Return the trial that :func:`likely_sum` sums up; parameters as there.

    Parameters
    ----------
    decided : int, optional
        Day number of the meeting before which the committee does not decide; the first it can when left out.
    """
    path = result.path
    if result.provisional:
        museum = supposing.in_the_middle(museum, vehicle)
        stated = screen(museum, vehicle, path)
    likely = _likely_draws(museum, path, samples)
    needs = simulation.work(museum, vehicle, path, likely, stated.amounts, stated.equipment, direct, memo=memo)
    trials = simulation.simulate(museum, path, needs, likely, memo=memo, decided=decided)
    return LikelyTrial(museum, likely, needs, trials)


def _likely_draws(museum: Museum, path: str, samples: Samples) -> Samples:
    """Return one trial of a path in which every row is at its likely value."""

    def days(row: Any) -> float:
        nobody = row.for_each is not None and each_of(museum, row) == ()
        return 0.0 if nobody else row.likely

    priced = {row.rate for row in museum.of_path("cost_lines", path)} | {museum.scenario.holdover_rate}
    drawn: dict[str, dict[Any, Made]] = {
        "rates": {row.name: _sure("rate", row.likely) for row in museum.rates if row.rate in priced},
        "tasks": {(path, row.task): _sure("task", days(row)) for row in museum.of_path("tasks", path)},
        "quantities": {(row.vehicle, row.path, row.driver): _sure("quantity", row.likely) for row in museum.quantities},
        "risks": {(path, row.risk): _does_not_happen(row) for row in museum.of_path("risks", path)},
        "gates": dict.fromkeys(samples.gates, _sure("gate", 0.5)),
        "weights": dict.fromkeys(samples.weights, _sure("weight", 1.0)),
    }
    calendars = {place: made for place, made in samples.made.items() if place[0] == "calendars"}
    made = {(table, name): each for table, rows in drawn.items() for name, each in rows.items()}
    values = {table: {name: each.value for name, each in rows.items()} for table, rows in drawn.items()}
    return dataclasses.replace(samples, trials=1, errors={}, overruns={}, made=calendars | made, **values)


def _sure(kind: str, value: float) -> Made:
    return Made(("likely", kind, value), np.full(1, value))


def _does_not_happen(row: Any) -> Made:
    """Return draws of a risk that does not happen: what is paid against it is paid all the same."""
    paid, none = float(row.mitigation_cost) if row.bought else 0.0, np.zeros(1)
    season = np.zeros(1, np.int64) if row.stretches else None
    each = (np.ones(1), none, none) if row.for_each else (None, None, None)
    draws = RiskDraws(np.zeros(1, bool), np.full(1, paid), none, season, *each, paid)
    return Made(("likely", "risk", paid, row.stretches, row.for_each), draws)
