"""The cranes that lift a unit: which stand clear of it at both ends of its way, which lift it, and how long they stay."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint

from heritagemove.checks.gates import body
from heritagemove.checks.gates.lookup import limit
from heritagemove.checks.lift import lift_site, lifting
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity

#: Policy of the lift, without which no crane is chosen.
OF_THE_LIFT = ("crane_single_share", "crane_tandem_share", "lift_factor", "crane_clearance")
#: Paths on which cranes lift the unit, by what carries it.
LIFTED_ONTO = ("flat_car", "trailer")


def places(museum: Museum, stage: Any) -> tuple[Any, ...]:
    """Return where a stage picks the unit up and where it sets it down."""
    rows = {row.place: row for row in museum.places}
    return tuple(rows[place] for place in dict.fromkeys((stage.from_place, stage.to_place)))


def radius(museum: Museum, stage: Any) -> pint.Quantity | None:
    """Return the radius of the lift, the larger of pick and set [ft]; None where a place has none."""
    entered = [place.radius for place in places(museum, stage)]
    return max(entered) if entered and None not in entered else None


def class_of(museum: Museum, crane: str) -> Any:
    """Return what one class of crane is: the first point of its chart."""
    return next(row for row in museum.cranes if row.crane == crane)


def rigging(row: Any) -> pint.Quantity | None:
    """Return what hangs on each hook of a class of crane beside the load [lb]; None where a part of it is unknown."""
    return None if None in (row.hook_block, row.rigging_weight) else row.hook_block + row.rigging_weight


def clear_radius(museum: Museum, unit: Any, row: Any) -> pint.Quantity | None:
    """Return the least radius at which a unit hangs clear beside a class of crane [ft]; None where that is unknown."""
    clearance = limit(museum, "crane_clearance", "ft")
    wanted = (row.outrigger_half_spread, row.tail_swing, clearance, body.body_width(museum, unit))
    return None if None in wanted else lift_site.least_radius(*wanted)


def lacking(museum: Museum) -> list[str]:
    """Return what of the lift's policy and of the cranes nobody has entered, with the table it belongs in."""
    wanted = [f"{name} in limits.csv" for name in OF_THE_LIFT if museum.limit(name) is None]
    wanted += [] if museum.cranes else ["the load chart of the hired crane in cranes.csv"]
    blank = {
        name.replace("_", " ")
        for row in museum.cranes
        for name in ("outrigger_half_spread", "tail_swing", "hook_block", "rigging_weight")
        if getattr(row, name) is None
    }
    wanted += [f"{', '.join(sorted(blank))} of each crane in cranes.csv"] if blank else []
    return wanted


def standing(museum: Museum, unit: Any, stage: Any) -> tuple[Any, ...]:
    """Return the classes of crane that stand clear of a unit where the smaller radius is."""
    nearest = min((place.radius for place in places(museum, stage) if place.radius is not None), default=None)
    classes = tuple(class_of(museum, crane) for crane in dict.fromkeys(row.crane for row in museum.cranes))
    if nearest is None:
        return classes
    needed = {row.crane: clear_radius(museum, unit, row) for row in classes}
    return tuple(row for row in classes if needed[row.crane] is not None and needed[row.crane] <= nearest)


def call_cranes(
    museum: Museum, unit: Any, stage: Any
) -> tuple[lifting.CraneArrangement | None, dict[str, float | None], frozenset[str]]:
    """Choose the cranes of a lift, and count what they cost at both ends.

    Returns
    -------
    tuple
        The cranes, None where none lifts it or something is unknown; the drivers; the id of the class.
    """
    weight, far = museum.body(unit.vehicle).weight, radius(museum, stage)
    if None in (weight, far, body.body_width(museum, unit)) or lacking(museum):
        return None, dict.fromkeys(("lifts", "lift_days", "crane_hours", "crane_calls", "rigging_days")), frozenset()
    single, tandem, factor = (museum.limit(name) for name in OF_THE_LIFT[:3])
    classes = standing(museum, unit, stage)
    charts = {row.crane: _chart(museum, row.crane) for row in classes}
    arrangement = lifting.choose_cranes(
        weight, unit.lift_spread, between_picks(museum, unit), far, charts,
        {row.crane: rigging(row) for row in classes}, factor, single / 100, tandem / 100,
        hooks_above_centre(museum, unit), limit(museum, "tandem_tilt", "degree"), 1 + (unit.two_cranes == "yes"),
    )  # fmt: skip
    # Where no crane of the tables can lift it, the path is blocked and priced as two of the largest: at least that.
    cranes = arrangement.cranes if arrangement else 2
    crane = arrangement.crane if arrangement else museum.cranes[-1].crane
    lifts, of_a_lift, day = max(unit.lifts, 1), limit(museum, "crane_per_lift", "hour"), museum.limit("crew_day_hours")
    at_a_site = _hired(museum, crane, cranes, lifts)
    amounts = {
        "lifts": float(unit.lifts),
        "lift_days": None if None in (of_a_lift, day) else lifts * of_a_lift.m_as("hour") / day,
        **{name: None if found is None else 2.0 * found for name, found in at_a_site.items()},
    }
    return arrangement, amounts, frozenset({crane})


def _hired(museum: Museum, crane: str, cranes: int, lifts: int) -> dict[str, float | None]:
    """Return calls, hours and crew days of some cranes of one class at one place; None is unknown."""
    times = [limit(museum, name, "hour") for name in ("crane_set_up", "crane_per_lift", "crane_minimum_hire")]
    times[0] = class_of(museum, crane).set_up or times[0]
    hours = None if None in times else lifting.crane_hours(lifts, cranes, *times).m_as("crane_hour")
    day = museum.limit("crew_day_hours")
    crew = None if None in (hours, day) else float(math.ceil(hours / cranes / day))
    return {"crane_hours": hours, "crane_calls": float(cranes), "rigging_days": crew}


def saved_at_transfer(
    museum: Museum, unit: Any, off: lifting.CraneArrangement | None, on: lifting.CraneArrangement | None
) -> dict[str, float]:
    """Return what is not hired a second time where the same cranes lift a unit off one carrier and on to the next.

    They are called and rigged once, and lift twice; nothing is saved where the next lift asks for other cranes.
    """
    if None in (off, on) or off.crane != on.crane:
        return {}
    lifts, cranes = max(unit.lifts, 1), min(off.cranes, on.cranes)
    once, both = _hired(museum, on.crane, cranes, lifts), _hired(museum, on.crane, cranes, 2 * lifts)
    calls = {"crane_calls": float(cranes)}
    return calls | {
        name: 2 * once[name] - both[name] for name in ("crane_hours", "rigging_days") if None not in (once[name], both[name])
    }


def hooks_above_centre(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return how far the picks, slung under the body, stand above its own centre of gravity [ft]; below 0 under it."""
    height, underside = body.height_of_centre(museum, unit), museum.body(unit.vehicle).underside
    return None if None in (height, underside) else underside - height


def between_picks(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return where the body's centre of gravity lies, if two cranes out of level still both carry; else None [ft]."""
    offset, picks = body.offset_of_centre(museum, unit), hooks_above_centre(museum, unit)
    tilt = limit(museum, "tandem_tilt", "degree")
    if None in (offset, picks, tilt, unit.lift_spread):
        return None
    moved = abs(picks.m_as("ft")) * math.tan(tilt.m_as("radian"))
    return offset if abs(offset.m_as("ft")) + moved < unit.lift_spread.m_as("ft") / 2 else None


def _chart(museum: Museum, crane: str) -> tuple[pint.Quantity, pint.Quantity]:
    points = [row for row in museum.cranes if row.crane == crane]
    return (
        Quantity(np.array([row.radius.magnitude for row in points]), "ft"),
        Quantity(np.array([row.capacity.magnitude for row in points]), "short_ton"),
    )
