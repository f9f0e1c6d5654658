"""Rules of a path's stages: they follow each other from place to place, and each joins over legs of its own kind."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from typing import Any

from heritagemove.files.tables import Problem
from heritagemove.museum.references import problem


def stages_in_order(museum: Any) -> Iterable[Problem]:
    """Check that the stages of each path follow each other in order, and that each runs from end to end."""
    for path in museum.paths:
        ordered = museum.stages_of(path.path)
        if path.saves and not ordered:
            yield problem("paths", path, "path", "a path that saves the unit with a row in stages.csv")
        if path.takes_out and not any(stage.carried_on in ("own_wheels", "other_wheels") for stage in ordered):
            yield problem("paths", path, "takes_out", "blank where the unit does not roll on own_wheels or other_wheels")
        for before, after in itertools.pairwise(ordered):
            if after.from_place != before.to_place:
                allowed = f"{before.to_place}, where the stage before it ends (row {before.row_number})"
                yield problem("stages", after, "from_place", allowed)
            if before.interim:
                allowed = f"no: the unit goes on from there in the stage behind it (row {after.row_number})"
                yield problem("stages", before, "interim", allowed, "yes")
    for stage in museum.stages:
        yield from _stored(stage) if stage.mode == "none" else _over_legs(museum, stage)


def _stored(stage: Any) -> Iterable[Problem]:
    """Check that what is stored stays where it is."""
    if stage.to_place != stage.from_place:
        yield problem("stages", stage, "to_place", f"{stage.from_place}, as the unit is in storage")
    if stage.legs:
        yield problem("stages", stage, "legs", "blank where the unit is in storage", "; ".join(stage.legs))


def _over_legs(museum: Any, stage: Any) -> Iterable[Problem]:
    legs = museum.legs_of(stage)
    if any(leg.mode != stage.mode or leg.detour_for for leg in legs):
        allowed = f"{stage.mode} legs without detours, where the unit is carried on {stage.carried_on.replace('_', ' ')}"
        yield problem("stages", stage, "legs", allowed, "; ".join(stage.legs))
    elif legs and (gap := _gap(museum, stage, legs)):
        allowed = f"legs that join each other from {stage.from_place} to {stage.to_place}; {gap}"
        yield problem("stages", stage, "legs", allowed, "; ".join(stage.legs))


def _gap(museum: Any, stage: Any, legs: tuple[Any, ...]) -> str:
    """Say where the legs of a stage do not join: at one place, or where neither names one, next to each other in order."""
    left = [stage.from_place, *(leg.to_place for leg in legs)]
    right = [*(leg.from_place for leg in legs), stage.to_place]
    following = {one.leg: other.leg for one, other in itertools.pairwise(museum.route(stage.mode))}
    for number, (ends, begins) in enumerate(zip(left, right, strict=True)):
        last = number == len(legs)
        neighbours = 0 < number < len(legs) and following.get(legs[number - 1].leg) == legs[number].leg
        if ends != begins and not (neighbours and None in (ends, begins)):
            leg, column = legs[number - last], "to_place" if last else "from_place"
            return f"legs.csv row {leg.row_number} has {getattr(leg, column) or 'nothing'} in {column}"
        if ends is begins is None and not neighbours:
            return f"legs.csv rows {legs[number - 1].row_number} and {legs[number].row_number} do not follow each other"
    return ""
