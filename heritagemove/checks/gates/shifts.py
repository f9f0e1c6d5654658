"""What a local shift over the ground needs: machines, panels and crew days, by the way in which it is done."""

from __future__ import annotations

from typing import Any

import pint

from heritagemove.checks.gates.lookup import limit
from heritagemove.checks.lift import shifting
from heritagemove.museum.museum import Museum


def machines(museum: Museum, weight: pint.Quantity | None, shifted_by: str | None) -> float | None:
    """Return the side-lifting machines that carry a weight; none in another way, None where that is unknown."""
    if shifted_by != "side_booms":
        return None if shifted_by is None else 0.0
    rated, share = limit(museum, "side_booms_rated_load", "lb"), museum.limit("side_booms_share")
    least = museum.limit("side_booms_least")
    if None in (weight, rated, share, least):
        return None
    return float(shifting.side_machines(weight, rated, share / 100, int(least)))


def shift_amounts(museum: Museum, unit: Any, shifted_by: str | None, legs: tuple[Any, ...]) -> dict[str, float | None]:
    """Return how far a shift goes, its crew days and its panels of track; None is unknown.

    Parameters
    ----------
    legs : tuple of rows
        Of legs.csv, over which it goes.
    """
    distance = sum((leg.length for leg in legs[1:]), legs[0].length).to("ft") if legs else None
    return {
        "shift_distance": None if distance is None else distance.m_as("ft"),
        "shift_days": _crew_days(museum, shifted_by, distance),
        "shift_panels": _panels(museum, unit, shifted_by, distance),
    }


def _crew_days(museum: Museum, shifted_by: str | None, distance: pint.Quantity | None) -> float | None:
    if shifted_by is None:
        return None
    a_day, set_up = limit(museum, f"{shifted_by}_a_day", "ft"), limit(museum, f"{shifted_by}_set_up_days", "day")
    return None if None in (distance, a_day, set_up) else float(shifting.shift_days(distance, a_day, set_up))


def _panels(museum: Museum, unit: Any, shifted_by: str | None, distance: pint.Quantity | None) -> float | None:
    if shifted_by != "panel_track":
        return None if shifted_by is None else 0.0
    panel = limit(museum, "panel_track_panel", "ft")
    return None if None in (distance, unit.length, panel) else float(shifting.track_panels(distance, unit.length, panel))
