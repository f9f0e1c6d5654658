"""The ground of a place under cranes and transporters."""

from __future__ import annotations

from typing import Any

import pint

from heritagemove.checks.gates.lookup import limit
from heritagemove.museum.museum import Museum


def ground_named(place: Any) -> str:
    """Return the ground of a place in words."""
    return (place.soil or "unknown soil").replace("_", " ")


def bearing(museum: Museum, place: Any) -> pint.Quantity | None:
    """Return what the ground of a place may bear: as an engineer allows, else as presumed of its soil [lb/ft²]."""
    if place.bearing is not None or place.soil is None:
        return place.bearing
    return limit(museum, f"bearing_{place.soil}", "lb/ft**2")
