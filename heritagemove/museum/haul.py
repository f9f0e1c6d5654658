"""How far the unit is hauled: one setting makes the longest leg of each path longer or shorter, and no other leg."""

from __future__ import annotations

import math
from typing import Any

from heritagemove.units.units import PlannerError


def haul_legs(museum: Any) -> tuple[Any, ...]:
    """Return the legs whose length together is the haul distance: of the first path to the museum that goes by road alone.

    Where none does, of the first path that moves the unit; where no stage has a leg, every leg of the road, or else of the
    railroad.
    """
    ways = sorted(_ways(museum), key=lambda legs: any(leg.mode != "road" for leg in legs))
    return next(iter(ways), None) or museum.route("road") or museum.route("rail")


def longest_legs(museum: Any) -> tuple[Any, ...]:
    """Return the longest leg of each path that ends at a museum, each once: of every path where none does."""
    ways = _ways(museum) or [haul_legs(museum)] * bool(haul_legs(museum))
    return tuple({leg.leg: leg for leg in map(_longest, ways)}.values())


def haul_miles(museum: Any) -> float:
    """Return the haul distance [mile]."""
    return sum(leg.length.m_as("mile") for leg in haul_legs(museum))


def least_haul(museum: Any) -> float:
    """Return what the haul distance is always above: the other legs, which keep their length [mile]."""
    legs = haul_legs(museum)
    return haul_miles(museum) - (_longest(legs).length.m_as("mile") if legs else 0.0)


def scaled_legs(museum: Any, miles: float) -> tuple[Any, ...]:
    """Return all legs with a haul distance of so many miles [mile]; the longest legs keep their proportion to each other.

    Raises
    ------
    PlannerError
        Where it is not above the length of the legs that keep theirs, or where there is no leg.
    """
    legs = haul_legs(museum)
    if not legs or not haul_miles(museum):
        raise PlannerError("legs.csv: found no leg; allowed: the road or rail route, whose length is to be changed")
    longest, least = _longest(legs), least_haul(museum)
    if not miles > least or math.isclose(miles, least):
        only = f": only its longest leg, {longest.name}, is made longer or shorter" if least else ""
        raise PlannerError(f"haul_distance: found {miles:,.4g} mile; allowed: more than {least:,.4g} mile{only}")
    ratio = (miles - least) / longest.length.m_as("mile")
    names = {leg.leg for leg in longest_legs(museum)}
    return tuple(leg.model_copy(update={"length": leg.length * ratio}) if leg.leg in names else leg for leg in museum.legs)


def haul_in_words(museum: Any) -> str:
    """Return which legs a haul distance makes longer or shorter."""
    names = [leg.name for leg in longest_legs(museum)]
    return f"longest leg{'s' * (len(names) > 1)}: {'; '.join(names)}"


def _ways(museum: Any) -> list[tuple[Any, ...]]:
    """Return the legs of each path that ends at a museum, in the order of its number; of every path where none does."""
    ordered = sorted(museum.paths, key=lambda row: row.number)
    arriving = [row for row in ordered if not museum.interim(row.path)]
    found = [_legs(museum, row.path) for row in arriving]
    return [legs for legs in found if legs] or [legs for row in ordered if (legs := _legs(museum, row.path))]


def _legs(museum: Any, path: str) -> tuple[Any, ...]:
    return tuple(leg for stage in museum.stages_of(path) for leg in museum.legs_of(stage) if not leg.detour_for)


def _longest(legs: tuple[Any, ...]) -> Any:
    return max(legs, key=lambda leg: leg.length.m_as("mile"))
