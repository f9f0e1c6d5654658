"""The body as it is lifted and carried, without what stays behind: its size, its own centre of gravity, its side."""

from __future__ import annotations

from typing import Any

import numpy as np
import pint

from heritagemove.checks.running import axle_load
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity


def body_width(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return the width of the body [ft]."""
    return museum.body(unit.vehicle).width


def body_height(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return the height of the body from what it stands on, its wheels or its underside, to its top [ft]."""
    return museum.body(unit.vehicle).height


def body_side(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return the side of the body that the wind meets [ft²]."""
    length, tall = museum.body(unit.vehicle).length, body_height(museum, unit)
    return None if None in (length, tall) else (length * tall).to("ft ** 2")


def height_of_centre(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return how high the body's centre of gravity stands above the rail, as it stands in its unit [ft].

    Where nobody entered the body's own: what unit and trucks balance to, W h = W_b h_b + Σ w d / 2, each truck half a
    wheel above the rail. Where more than trucks stays behind, as a tender does, it is unknown.
    """
    body, wheel = museum.body(unit.vehicle), unit.wheel_diameter
    if body.centre_of_gravity_height is not None:
        return body.centre_of_gravity_height
    return _without_trucks(museum, unit, unit.centre_of_gravity_height, None if wheel is None else wheel / 2)


def offset_of_centre(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return how far the body's centre of gravity lies ahead of its middle [ft].

    As in :func:`height_of_centre`, W e = W_b e_b + Σ w x, the trucks at the middle of the unit's axles.
    """
    body, axles = museum.body(unit.vehicle), museum.axles_of(unit.vehicle)
    if body.centre_of_gravity_offset is not None:
        return body.centre_of_gravity_offset
    trucks = None
    if unit.length is not None and axles:
        behind = Quantity(float(np.mean([axle.position.m_as("ft") for axle in axles])), "ft")
        trucks = unit.length / 2 - behind
    return _without_trucks(museum, unit, unit.centre_of_gravity_offset, trucks)


def _without_trucks(
    museum: Museum, unit: Any, centre: pint.Quantity | None, of_trucks: pint.Quantity | None
) -> pint.Quantity | None:
    """Return a unit's centre of gravity with its trucks, whose own centre is given, taken out."""
    trucks, pieces = museum.pieces_of(unit.vehicle, "truck"), museum.pieces_of(unit.vehicle)
    if len(pieces) == 1:
        return centre
    if len(pieces) > len(trucks) + 1 or None in (unit.weight, centre, of_trucks, *(row.weight for row in trucks)):
        return None
    together = sum(row.weight.m_as("lb") * row.count for row in trucks)
    if not 0 < together < unit.weight.m_as("lb"):
        return None
    return axle_load.remove_parts(unit.weight, centre, [(Quantity(together, "lb"), of_trucks)]).centre
