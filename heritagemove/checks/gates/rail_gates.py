"""Gates of the rail route: track, bridges, clearances, and the flat car under the load."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates import by_rail, flat_car, on_the_deck
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.checks.gates.lookup import limit, over_bridges, over_rail, worst
from heritagemove.checks.rail import clearance, load_outline
from heritagemove.checks.running import axle_load
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity


def _on_rails(c: Carriage) -> by_rail.Coupling:
    return by_rail.on_rails(c.museum, c.vehicle, c.load, c.car)


def _over_rail(c: Carriage, field: str, name: str, check: Callable[[Any], Check]) -> Check:
    return over_rail(c.museum, field, name, check)


def _track_axle_limit(c: Carriage) -> Check:
    _, loads, _ = _on_rails(c)
    return _over_rail(c, "axle_limit", "Track axle limit", lambda leg: axle_load.axle_limit(loads, leg.axle_limit, leg.name))


def _gross_rail_load(c: Carriage) -> Check:
    positions, loads, _ = _on_rails(c)
    gross = None if loads is None else Quantity(float(loads.m_as("lb").sum()), "lb")
    axles = len(positions.magnitude)
    shown = partial(show_measure, system=c.museum.scenario.units)
    return _over_rail(
        c,
        "gross_limit",
        "Gross rail load",
        lambda leg: axle_load.gross_limit(gross, axles, leg.gross_limit, leg.name, shown=shown),
    )


def _rail_bridge(c: Carriage) -> Check:
    check = over_bridges(c.museum, c.legs, "Rail bridge", list(c.bridges))
    if check.status in ("fail", "unknown") or c.museum.engines or not c.bridges:
        return check
    return unknown(check.name, check.subject, "enter the towing engine in engines.csv: the train crosses with it")


def _curve(c: Carriage) -> Check:
    allowed = (c.car or c.vehicle).sharpest_curve
    if allowed is None:
        return unknown("Curve", c.vehicle.name, "find the sharpest curve it may take")
    return _over_rail(c, "curve", "Curve", lambda leg: clearance.curve_limit(leg.curve, allowed, leg.name))


def _side_clearance(c: Carriage) -> Check:
    unit = c.vehicle
    if c.carried_on == "flat_car":
        if c.load is None:
            return unknown("Side clearance", unit.name, "weigh it: the flat car depends on the weight")
        return flat_car.side_check(c.museum, unit, c.car)
    # An engine is judged without its tender: the drawbar lets the two turn.
    length = unit.length if c.museum.trucks(unit.vehicle) else c.body.length
    return flat_car.side_on(c.museum, unit.name, unit.width, unit.truck_centres, length)


def _height_clearance(c: Carriage) -> Check:
    if c.loaded_height is None:
        blocking = ", and enter the blocking on the deck" if c.car else ""
        return unknown("Height", c.vehicle.name, f"measure height and underside{blocking}")
    return flat_car.height_check(c.museum, c.loaded_height)


def _flat_car_clearance(c: Carriage) -> Check:
    return worst([_height_clearance(c), _side_clearance(c)], "Clearance on the flat car", "measure it")


def _flat_car_load(c: Carriage) -> Check:
    if c.load is None:
        return unknown("Flat car load", c.vehicle.name, "weigh the body")
    check = flat_car.load_check(c.museum, c.vehicle, c.car)
    if c.flat_car is not None or check.status == "fail":
        return check
    return Check(check.name, "no flat car of the table takes it", None, None, "fail", None, "flat_cars.csv", c.notes[0])


def _centre_of_gravity(c: Carriage) -> Check:
    """Ask for authority where the load's centre is high, and compare car and load together with the limit."""
    name, car = "Centre of gravity on the flat car", c.car
    alone, together = (limit(c.museum, f"centre_of_gravity_{word}", "in") for word in ("authority", "high"))
    if alone is None or together is None:
        return unknown(name, car.title, "enter the limits of the centre of gravity's height")
    heights = by_rail.centre_of_gravity_on_car(c.museum, c.vehicle, car, c.load)
    if heights is None:
        return unknown(name, car.title, "find weight and centre of gravity of the body, and measure its underside")
    load, combined = (
        load_outline.centre_of_gravity_height(height, most, f"{what} on the {car.title}")
        for height, most, what in ((heights[0], alone, "load"), (heights[1], together, "car and load"))
    )
    if load.status == "fail":
        load = replace(load, status="open", note=f"The railroad's authority is needed. {load.note}")
    return replace(worst([load, combined], name, "measure it"), margin=None)


def _plate(c: Carriage) -> Check:
    """Name the lowest clearance plate that holds the unit; outside every plate the clearance bureau answers."""
    return by_rail.plate_of(c.museum, c.vehicle)


def _rail_securement(c: Carriage) -> Check:
    return on_the_deck.drawn(c.museum, c.vehicle, c.car, c.load)


_OWN = (
    _centre_of_gravity, _curve, _flat_car_clearance, _flat_car_load, _gross_rail_load, _height_clearance, _plate,
    _rail_bridge, _rail_securement, _side_clearance, _track_axle_limit,
)  # fmt: skip
CHECKS: dict[str, Callable[[Carriage], Check]] = {check.__name__[1:]: check for check in _OWN}
