"""Gates of a local shift: what carries or pulls the unit, and the ground under it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates import cranes, ground, shifts
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.checks.gates.lookup import limit, worst
from heritagemove.checks.lift import shifting

_CHOOSE = "ask the mover how it is shifted, and enter it in stages.csv as shifted_by"


def _shift_capacity(c: Carriage) -> Check:
    """Ask the machines that lift the unit; else the winch that pulls it, and the jacks where it is jacked."""
    name, way, museum = "Local shift", _way(c), c.museum
    if way is None:
        return unknown(name, c.vehicle.name, _CHOOSE, "stages.csv")
    if way == "side_booms":
        rated, share, most = limit(museum, "side_booms_rated_load", "lb"), *map(museum.limit, _MACHINES)
        share, most = None if share is None else share / 100, None if most is None else int(most)
        return shifting.side_lift(c.load, rated, share, most, c.vehicle.name)
    friction, rating = limit(museum, f"{way}_friction", "percent"), limit(museum, "shift_winch_pull", "lbf")
    pulls = [shifting.shift_pull(c.load, friction, leg.grade, rating, leg.name) for leg in c.legs]
    jacks = [shifting.jack(_on_a_jack(c), limit(museum, "jack_and_roll_jack", "lb"), c.vehicle.name)]
    find = "enter the ground it is shifted over in legs.csv"
    pulled = worst(pulls, name, find)
    return worst([pulled, *jacks], name, find) if way == "jack_and_roll" else pulled


def _shift_ground(c: Carriage) -> Check:
    """Stand what carries the most on the ground at both ends."""
    name, way = "Ground under the shift", _way(c)
    if way is None:
        return unknown(name, c.vehicle.name, _CHOOSE, "stages.csv")
    load, area, on = _UNDER[way](c)

    def at(place: Any) -> Check:
        subject = f"{on} on {ground.ground_named(place)}, {place.title}"
        return shifting.shift_pressure(load, area, ground.bearing(c.museum, place), subject)

    answers = [at(place) for place in cranes.places(c.museum, c.stage)] if c.stage is not None else []
    return worst(answers, name, "enter where it is shifted from and to in places.csv")


_MACHINES = ("side_booms_share", "side_booms_most")
_Under = tuple[pint.Quantity | None, pint.Quantity | None, str]


def _way(c: Carriage) -> str | None:
    return c.stage.shifted_by if c.carried_on == "shift" else None


def _on_a_jack(c: Carriage) -> pint.Quantity | None:
    points, uneven = c.museum.limit("jack_and_roll_points"), limit(c.museum, "jack_and_roll_unevenness", "percent")
    return None if None in (c.load, points, uneven) else shifting.jacking_share(c.load, int(points), uneven)


def _under_a_machine(c: Carriage) -> _Under:
    own, part = limit(c.museum, "side_booms_machine_weight", "lb"), limit(c.museum, "side_booms_track_share", "percent")
    count = shifts.machines(c.museum, c.load, "side_booms")
    load = None if None in (own, part, count) else shifting.loaded_track(own, c.load, int(count), part)
    return load, limit(c.museum, "side_booms_mat_area", "ft**2"), "mats under the loaded track of a machine"


def _under_a_crib(c: Carriage) -> _Under:
    return _on_a_jack(c), limit(c.museum, "jack_and_roll_crib_area", "ft**2"), "crib"


def _along(wide: str, on: str) -> Callable[[Carriage], _Under]:
    """Return what asks for the unit's weight on all of its length, times the width of what lies under it."""

    def under(c: Carriage) -> _Under:
        width = limit(c.museum, wide, "ft")
        return c.load, None if None in (width, c.vehicle.length) else width * c.vehicle.length, on

    return under


#: Way of a shift -> load, area and name of what stands on the ground.
_UNDER: dict[str, Callable[[Carriage], _Under]] = {
    "side_booms": _under_a_machine,
    "skid": _along("skid_mat_width", "mats of the skid way"),
    "jack_and_roll": _under_a_crib,
    "panel_track": _along("panel_track_tie_length", "track panels"),
}

CHECKS: dict[str, Callable[[Carriage], Check]] = {"shift_capacity": _shift_capacity, "shift_ground": _shift_ground}
