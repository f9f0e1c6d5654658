"""The sum of the likely values: what a planner would write down without a thought for uncertainty."""

from __future__ import annotations

from collections.abc import Mapping

from heritagemove.checks.gates.screening import Screening, screen
from heritagemove.compare.results import PathResult
from heritagemove.museum.museum import Museum
from heritagemove.trials import estimating, simulation, supposing
from heritagemove.units.units import Quantity


def likely_sum(
    museum: Museum, vehicle: str, result: PathResult, stated: Screening, direct: Mapping[str, float], seed: int
) -> float | None:
    """Return the cost of a path with every row at its likely value and no risk happening [USD]; None where unknown.

    Parameters
    ----------
    stated : Screening
        Its checks at the stated weight.
    direct : mapping of str to float
        Amounts set, in the drivers' units.
    """
    path, museum = result.path, _as_likely(museum)
    samples = simulation.draw(museum, seed=seed, trials=1)
    if result.provisional:
        museum = supposing.in_the_middle(museum, vehicle)
        stated = screen(museum, vehicle, path)
    needs = simulation.work(museum, vehicle, path, samples, stated.amounts, stated.equipment, direct)
    cost = simulation.simulate(museum, path, needs, samples).cost_usd
    return None if cost is None else float(cost[0])


def _as_likely(museum: Museum) -> Museum:
    def certain(row: object) -> object:
        return row.model_copy(update={"low": row.likely, "high": row.likely})

    still = Quantity(0.0, "percent")
    return estimating.switched(museum, False).with_changes(
        rates=[certain(row) for row in museum.rates],
        tasks=[certain(row) for row in museum.tasks],
        quantities=[certain(row) for row in museum.quantities],
        risks=[row.model_copy(update={"probability": 0.0, "mitigated_probability": 0.0}) for row in museum.risks],
        vehicles=[row.model_copy(update={"weight_tolerance": still}) for row in museum.vehicles],
    )
