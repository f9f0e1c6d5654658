"""What holds a load on a flat car, by the railroad's drawing for it; without a drawing nothing is known."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pint

from heritagemove.checks.check import Check
from heritagemove.checks.rail import rail_securement
from heritagemove.museum.museum import Museum

_ASKED = ("strength", "longitudinal", "lateral", "vertical", "angle", "bearing")


def drawing_of(museum: Museum, unit: Any, car: Any) -> Any:
    """Return the railroad's drawing for a unit on a flat car, or for any unit on it; None where none is entered."""
    found = {row.vehicle: row for row in museum.tie_down_drawings if row.flat_car == car.flat_car}
    return found.get(unit.vehicle, found.get("any"))


def tie_downs_on_car(museum: Museum, unit: Any, car: Any, load: pint.Quantity | None) -> float | None:
    """Return the tie-downs that hold a load on a flat car by the railroad's drawing; None where it is not entered."""
    drawing = drawing_of(museum, unit, car)
    asked = {name: getattr(drawing, name, None) for name in _ASKED}
    if load is None or None in asked.values():
        return None
    return float(rail_securement.rail_tie_downs(load, **asked))


def drawn(museum: Museum, unit: Any, car: Any, load: pint.Quantity | None) -> Check:
    """Check the tie-downs of the railroad's drawing against its own factors, published design strengths beside them."""
    drawing, subject = drawing_of(museum, unit, car), f"{unit.name} on the {car.title}"
    asked = {name: getattr(drawing, name, None) for name in _ASKED}
    offered = getattr(drawing, "tie_downs", None)
    check = rail_securement.rail_securement(None if offered is None else int(offered), load, **asked, subject=subject)
    beside = rail_securement.design_strength(load, asked["strength"], asked["angle"], asked["bearing"])
    return replace(check, note=f"{check.note} {beside}")
