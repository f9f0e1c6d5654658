"""What a path waits for that others decide: each state or main-line railroad it crosses, and the money in hand."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from typing import Any

from heritagemove.museum.rows.gates import Gate


def states_of(legs: Iterable[Any]) -> tuple[str, ...] | None:
    """Return the states that legs run through, in the order of the way; None where one is not entered, or there is none."""
    through = [leg.state for leg in legs]
    return None if not through or None in through else tuple(dict.fromkeys(through))


def borders_of(legs: Iterable[Any]) -> float | None:
    """Return how often legs cross from one state into another; None where a state is not entered, or there is no leg."""
    through = [leg.state for leg in legs]
    return None if not through or None in through else float(sum(a != b for a, b in itertools.pairwise(through)))


def each_of(museum: Any, task: Any) -> tuple[str, ...] | None:
    """Return for whom a task is done side by side: states or main-line railroads by their ids; None where not known."""
    stages = [row for row in museum.of_path("stages", task.path) if task.stage in (None, row.stage)]
    legs = [leg for stage in stages for leg in museum.legs_of(stage)]
    if task.for_each == "state":
        return states_of(legs)
    carriers = dict.fromkeys(leg.carrier for leg in legs if leg.owner == "class_one")
    return tuple(name for name in carriers if name) if legs else None


def fund_draw(fund: str) -> str:
    """Return the name under which the one draw of a fund is kept among those of the gates."""
    return f"fund/{fund}"


def extension_draw(extension: str) -> str:
    """Return the name under which the draw of an owner's answer is kept among those of the gates."""
    return f"extension/{extension}"


def fund_gates(museum: Any, path: str) -> tuple[Gate, ...]:
    """Return the gate that each fund is for which a task of a path waits: refused where it is not granted."""
    funds = {row.fund: row for row in museum.funds}
    return tuple(_gate(task, funds[task.fund], museum) for task in museum.of_path("tasks", path) if task.fund in funds)


def _gate(task: Any, fund: Any, museum: Any) -> Gate:
    return Gate.model_construct(
        path=task.path, gate=fund_draw(fund.fund), title=f"Money in hand: {fund.title}", kind="hard_stop", needs=task.needs,
        check=None, rests_on=(), fact=(), allowed=None, task=task.task, refusal_probability=1 - fund.probability,
        rule=fund.restriction, evidence="letter of award", signer=task.who, expires=None, as_of=museum.scenario.as_of,
        stage=task.stage, basis=fund.basis, source=fund.source,
    )  # fmt: skip
