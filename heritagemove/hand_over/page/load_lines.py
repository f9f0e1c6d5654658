"""How an axle load comes about: the weight as it stands, what is taken out and put under, line by line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from heritagemove.checks.gates.carriage import Carriage, arrange, axle_train
from heritagemove.compare.results import PathResult
from heritagemove.hand_over.page.plain import named, row_in
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity


def load_lines(museum: Museum, vehicle: str, results: Sequence[PathResult]) -> list[dict[str, Any]]:
    """Return for each path the lines from the weight of the unit to its heaviest axle, or to what is carried.

    Parameters
    ----------
    results : sequence of PathResult
        Paths, each in the stage in which it goes the farthest.
    """
    told = []
    for result in results:
        carriage = arrange(museum, vehicle, result.path)
        if carriage.stage is not None:
            told.append({"number": result.number, "title": result.title, "lines": _lines(museum, carriage)})
    return told


def _lines(museum: Museum, carriage: Carriage) -> list[dict[str, Any]]:
    unit, load = museum.vehicle(carriage.vehicle.vehicle), carriage.load
    where = f"{row_in('vehicles', unit)} ({unit.basis}, ± {unit.weight_tolerance.magnitude:g} %)"
    lines = [_line(museum, "The unit as it stands", unit.weight, where)]
    if carriage.carried_on not in ("own_wheels", "other_wheels"):
        return [*lines, _line(museum, f"Carried: {named(carriage.carried_on)}", load, "pieces.csv")]
    out = []
    if "motors" in carriage.path.takes_out and unit.motors:
        each = unit.motor_weight
        out.append((f"Less {unit.motors} motors, taken out first", None if each is None else each * -unit.motors))
    if "fluids" in carriage.path.takes_out:
        out.append(("Less fuel, oil and water, drained first", None if unit.fluids_weight is None else -unit.fluids_weight))
    lines += [_line(museum, what, weight, where) for what, weight in out]
    if carriage.carried_on == "other_wheels" and None not in (load, unit.weight):
        counted = unit.weight + sum((weight for _, weight in out if weight is not None), Quantity(0, "lb"))
        change = load - counted
        if abs(change.m_as("lb")) >= 1:
            lines.append(_line(museum, "Other wheels against its own", change, "pieces.csv"))
    lines.append(_line(museum, "What runs on the rails", load, "the sum"))
    positions, loads = axle_train(carriage.museum, carriage.vehicle, load)
    heaviest = None if loads is None else loads.max()
    return [*lines, _line(museum, f"The heaviest of its {len(positions)} axles", heaviest, "axles.csv")]


def _line(museum: Museum, what: str, weight: Any, source: str) -> dict[str, Any]:
    pounds = None if weight is None else float(weight.m_as("lb"))
    shown = "unknown: weigh it" if weight is None else show_measure(weight, museum.scenario.units)
    return {"what": what, "weight_lb": pounds, "weight": shown, "from": source}
