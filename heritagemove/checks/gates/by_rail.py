"""The unit on the rails: coupled behind the towing engine, over bridges, for days, balanced on a flat car."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates import body
from heritagemove.checks.gates.lookup import limit, unsaid
from heritagemove.checks.rail import load_outline, rail_bridge
from heritagemove.checks.rail.moving_loads import train
from heritagemove.checks.running import axle_load, resistance, transit
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity

#: Axle positions [ft], axle loads [lb] and length over couplers [ft] of what is coupled together.
Coupling = tuple[pint.Quantity, pint.Quantity | None, pint.Quantity | None]


def axle_train(museum: Museum, unit: Any, load: pint.Quantity | None) -> tuple[pint.Quantity, pint.Quantity | None]:
    """Return a unit's axle positions [ft] and loads [lb], the surveyed loads scaled to `load`."""
    axles = museum.axles_of(unit.vehicle)
    positions = Quantity(np.array([axle.position.magnitude for axle in axles]), "ft")  # a column has one unit
    if load is None or any(axle.load is None for axle in axles):
        return positions, None
    loads = Quantity(np.array([axle.load.magnitude for axle in axles]), "lb")
    return positions, axle_load.scaled_axle_loads(loads, load)


def shared_alike(row: Any, weight: pint.Quantity) -> tuple[pint.Quantity, pint.Quantity]:
    """Return axle positions [ft] and loads [lb] of a flat car, engine or trailer, its axles loaded alike."""
    positions = np.array(row.axle_positions)
    return Quantity(positions, "ft"), Quantity(np.full(len(positions), weight.m_as("lb") / len(positions)), "lb")


def on_rails(museum: Museum, unit: Any, load: pint.Quantity | None, flat_car: Any = None) -> Coupling:
    """Return the axles that the rails carry: the unit's own, or those of the flat car under the load."""
    if flat_car is None or load is None:
        return *axle_train(museum, unit, load), unit.length
    return *shared_alike(flat_car, load + flat_car.light_weight), flat_car.length


def towed_by(museum: Museum) -> list[Coupling]:
    """Return the towing engine and the empty flat cars behind it; nothing where no engine is tabled."""
    if not museum.engines:
        return []
    engine, cars = museum.engines[0], museum.flat_cars[:1] * int(museum.limit("spacer_cars") or 0)
    ahead = [(engine, engine.weight)] + [(car, car.light_weight) for car in cars]
    return [(*shared_alike(row, weight), row.length) for row, weight in ahead]


@dataclass(frozen=True)
class Yardstick:
    """A rail bridge of the route with what no unit changes."""

    bridge: Any
    one: Any  # what Cooper E1 does to its span; None where the span is not known
    engine: pint.Quantity | None  # the towing engine and its spacers as a Cooper rating; None without one


def yardsticks(museum: Museum) -> tuple[Yardstick, ...]:
    """Return each rail bridge of the route with its yardstick and the rating of the towing engine on it."""
    legs, ahead = {leg.leg for leg in museum.route("rail")}, towed_by(museum)
    engine, found = train(*ahead) if ahead else None, []
    for row in museum.bridges:
        if row.leg in legs and row.rating == "cooper_e":
            one = None if row.span is None else rail_bridge.cooper_one(row.span)
            known = engine is not None and one is not None
            rating = rail_bridge.equivalent_cooper(engine.positions, engine.loads, row.span, one=one) if known else None
            found.append(Yardstick(row, one, rating))
    return tuple(found)


def bridge_checks(
    museum: Museum, coupled: Coupling, load: pint.Quantity | None, crossed: tuple[Yardstick, ...] | None = None
) -> tuple[Check, ...]:
    """Return the check of each rail bridge of the route, the unit alone and behind its towing engine.

    Parameters
    ----------
    crossed : tuple of Yardstick, optional
        What :func:`yardsticks` returns, where it is known already.
    """
    ahead, crossed = towed_by(museum), yardsticks(museum) if crossed is None else crossed
    # Of unknown loads or length nothing is coupled: the unit is checked alone.
    whole = train(*ahead, coupled) if ahead and all(part is not None for part in coupled) else None
    return tuple(_bridge(yardstick, coupled, load, whole) for yardstick in crossed)


def _bridge(yardstick: Yardstick, coupled: Coupling, load: pint.Quantity | None, whole: Any) -> Check:
    """Answer for the unit: an engine too heavy for the bridge stops nothing, but another engine must be granted."""
    (positions, loads, _), bridge, one, engine_rating = coupled, yardstick.bridge, yardstick.one, yardstick.engine
    ratings = bridge.span, bridge.normal, bridge.maximum, load, bridge.title
    alone = rail_bridge.rail_bridge(positions, loads, *ratings, one=one)
    if alone.status in ("unknown", "fail") or engine_rating is None or whole is None:
        return alone
    together = rail_bridge.equivalent_cooper(whole.positions, whole.loads, bridge.span, one=one)
    heavier = together > engine_rating * (1 + 1e-9)
    above_normal = engine_rating.magnitude > bridge.normal and alone.status == "pass" and not heavier
    if engine_rating > alone.capacity or above_normal:
        subject = f"towing engine on {bridge.title}"
        note = f"A lighter engine is needed, or its owner's engineer is asked. {alone.note}"
        return replace(alone, subject=subject, demand=engine_rating, status="open", margin=None, note=note)
    if heavier:
        unit = np.array(whole.vehicle) == max(whole.vehicle)
        return rail_bridge.rail_bridge(whole.positions, whole.loads, *ratings, unit, one)
    return replace(alone, note=f"{alone.note} The towing engine and its spacers are E{engine_rating.magnitude:.1f}.")


def bridges_to_review(museum: Museum, checks: tuple[Check, ...], loads: pint.Quantity | None) -> float | None:
    """Count the bridges whose engineer must look: each that is no plain pass, and at least the weakest for a heavy axle."""
    if any(check.status == "unknown" for check in checks) or unsaid(museum, museum.route("rail")):
        return None
    heavy = limit(museum, "bridge_review_axle_load", "lb")
    asked = sum(check.status != "pass" for check in checks)
    if checks and heavy is not None and loads is not None and loads.max() > heavy:
        return float(max(asked, 1))
    return float(asked)


def plate_of(museum: Museum, unit: Any) -> Check:
    """Name the lowest clearance plate that holds a unit on its wheels; open where none does."""
    curve, width = limit(museum, "plate_reference_curve", "degree"), limit(museum, "plate_width", "in")
    centres = {name: limit(museum, f"plate_{name}_truck_centres", "ft") for name in "bc"}
    heights = {name: limit(museum, f"plate_{name}_height", "ft") for name in "bcef"}
    if None in (curve, width, *centres.values(), *heights.values()):
        return unknown("Clearance plate", unit.name, "enter the outlines of the clearance plates")
    plates = [
        load_outline.Plate(f"Plate {name.upper()}", width, height, centres["b" if name == "b" else "c"])
        for name, height in heights.items()
    ]
    check = load_outline.plate(unit.width, unit.height, unit.truck_centres, plates, curve)
    if check.status != "fail":
        return replace(check, margin=None)
    note = "It travels as a high or wide load, by the clearance bureau's letter."
    return replace(
        check, subject="no plate holds it", demand=None, capacity=None, status="open", margin=None, note=note
    )


def high_wide_loads(check: Check) -> float | None:
    """Count the loads that travel by the clearance bureau's letter."""
    return None if check.status == "unknown" else float(check.status == "open")


def slope(museum: Museum, leg: Any) -> pint.Quantity | None:
    """Return what grade and curve of a leg add [lbf/short_ton]; None where one of them or its rate is not entered."""
    rates = [limit(museum, f"{name}_resistance", "lbf/short_ton") for name in ("grade", "curve")]
    if None in (leg.grade, leg.curve, *rates):
        return None
    return resistance.slope_resistance(leg.grade, rates[0], leg.curve, rates[1])


def rail_miles(museum: Museum) -> pint.Quantity:
    """Return the length of the rail route [mile]."""
    return Quantity(sum(leg.length.m_as("mile") for leg in museum.route("rail")), "mile")


def rail_days(museum: Museum, plain: bool) -> float | None:
    """Return whole days on the rails, carrier by carrier, with the wait at each interchange [day].

    Parameters
    ----------
    museum : Museum
    plain : bool
        Whether the unit runs on plain bearings, which caps its speed and keeps it to daylight.
    """
    daylight = limit(museum, "daylight_hours", "hour") if plain else None
    hours, dwell = limit(museum, "crew_day_hours", "hour"), limit(museum, "interchange_dwell_days", "day")
    legs, table = museum.route("rail"), _class_speeds(museum)
    speeds = [_speed(museum, leg, table, plain) for leg in legs]
    if None in (hours, dwell, *speeds) or not legs:
        return None
    # A leg without a carrier of its own is run by the railroad before it.
    carriers = list(itertools.accumulate((leg.carrier for leg in legs), lambda before, own: own or before))
    days = 0.0
    for number, (_, group) in enumerate(itertools.groupby(zip(carriers, legs, speeds, strict=True), lambda row: row[0])):
        _, run, mph = zip(*group, strict=True)
        lengths = Quantity(np.array([leg.length.m_as("mile") for leg in run]), "mile")
        wait = dwell if number else Quantity(0, "day")
        days += transit.transit_days(lengths, Quantity(np.array(mph), "mph"), hours, wait, daylight).magnitude
    return days


def _class_speeds(museum: Museum) -> dict[str, pint.Quantity]:
    names = {"excepted": "track_excepted_freight"} | {str(n): f"track_class_{n}_freight" for n in range(1, 6)}
    speeds = {track: limit(museum, name, "mph") for track, name in names.items()}
    return {track: speed for track, speed in speeds.items() if speed is not None}


def _speed(museum: Museum, leg: Any, table: dict[str, pint.Quantity], plain: bool) -> float | None:
    allowed = table.get(leg.track_class)
    speed = leg.special_speed or leg.speed or allowed
    caps = [speed, allowed, limit(museum, "plain_bearing_speed", "mph") if plain else None]
    return None if speed is None else min(each.m_as("mph") for each in caps if each is not None)


def hot_box_note(museum: Museum) -> tuple[str, ...]:
    """Return what fleet records say of hot boxes over the route, as a note."""
    between, miles = limit(museum, "hot_box_car_miles", "mile"), rail_miles(museum)
    if between is None or not miles:
        return ()
    chance = transit.hot_box_chance(miles, between).magnitude
    return (
        f"Hot box on plain bearings: at least {chance:.1f} % in {miles.magnitude:.0f} miles from fleet records, a lower "
        "bound for a unit that stood.",
    )


def centre_of_gravity_on_car(
    museum: Museum, unit: Any, car: Any, load: pint.Quantity | None
) -> tuple[pint.Quantity, pint.Quantity] | None:
    """Return how high the load's centre and that of car and load together stand above the rail [in]."""
    empty, blocking = limit(museum, "flat_car_centre_of_gravity", "in"), limit(museum, "flat_car_blocking", "in")
    height, resting = body.height_of_centre(museum, unit), museum.body(unit.vehicle).resting
    if None in (load, empty, blocking, height, resting):
        return None
    raised = (height - resting + car.deck_height + blocking).to("in")
    weights = Quantity(np.array([car.light_weight.m_as("lb"), load.m_as("lb")]), "lb")
    heights = Quantity(np.array([empty.magnitude, raised.magnitude]), "in")
    return raised, load_outline.combined_centre_of_gravity(weights, heights)
