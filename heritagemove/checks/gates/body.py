"""The body as it is lifted, apart from its trucks: its size, where its own centre of gravity lies, its side to the wind."""

from __future__ import annotations

from typing import Any

import pint

from heritagemove.checks.running import axle_load
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity


def body_width(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return the width of the body [ft]."""
    own = museum.body(unit.vehicle).width
    return unit.width if own is None else own


def body_height(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return the height of the body from its underside to its top [ft]."""
    piece = museum.body(unit.vehicle)
    if piece.height is not None:
        return piece.height
    return None if None in (unit.height, piece.underside) else unit.height - piece.underside


def sail(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return the side of the body that the wind meets [ft²]."""
    length, tall = museum.body(unit.vehicle).length, body_height(museum, unit)
    return None if None in (length, tall) else (length * tall).to("ft ** 2")


def height_of_centre(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return how high the body's centre of gravity stands above the rail [ft].

    Where nobody entered the body's own: what unit and trucks balance to.
    """
    own, wheel = museum.body(unit.vehicle).centre_of_gravity_height, unit.wheel_diameter
    if own is not None:
        return own
    return _without_trucks(museum, unit, unit.centre_of_gravity_height, None if wheel is None else wheel / 2)


def offset_of_centre(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return how far the body's centre of gravity lies ahead of its middle [ft]; as in :func:`height_of_centre`."""
    own = museum.body(unit.vehicle).centre_of_gravity_offset
    return _without_trucks(museum, unit, unit.centre_of_gravity_offset, Quantity(0.0, "ft")) if own is None else own


def _without_trucks(
    museum: Museum, unit: Any, centre: pint.Quantity | None, of_trucks: pint.Quantity | None
) -> pint.Quantity | None:
    """Return a centre of gravity with the trucks taken out, their own at the axles and at the middle of the body."""
    trucks = museum.pieces_of(unit.vehicle, "truck")
    if not trucks:
        return centre
    if None in (unit.weight, centre, of_trucks, *(row.weight for row in trucks)):
        return None
    together = sum(row.weight.m_as("lb") * row.count for row in trucks)
    if not 0 < together < unit.weight.m_as("lb"):
        return None
    return axle_load.remove_parts(unit.weight, centre, [(Quantity(together, "lb"), of_trucks)]).centre
