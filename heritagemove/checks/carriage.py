"""What carries the unit on a path: cranes, trailer or flat car chosen by engineering, and how much of each.

The amounts computed here are the drivers of origin "check": weight, axles and distance change money
and dates through these choices.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pint

from heritagemove.checks import clearance, lifting, rail_bridge, road_bridge
from heritagemove.checks.check import Check
from heritagemove.museum import Museum
from heritagemove.units import Quantity


@dataclass(frozen=True)
class Carriage:
    """How one unit travels on one path.

    Attributes
    ----------
    museum : Museum
    vehicle, path : rows
    load : pint.Quantity or None
        Weight that is carried or runs [lb]; None is unknown.
    loaded_height : pint.Quantity or None
        Height of the load on its carrier above rail or road [ft].
    arrangement : CraneArrangement or None
        None where no crane of the tables can lift it, or none is needed.
    trailer, flat_car : row or None
    road : tuple of segment rows
        Legs of the road route, detours that the load needs included.
    equipment : frozenset of str
        Ids that pick the rates.
    amounts : dict of str to float or None
        Drivers computed; None is unknown.
    notes : tuple of str
        What a planner must know of the choice.
    """

    museum: Museum
    vehicle: Any
    path: Any
    load: pint.Quantity | None
    loaded_height: pint.Quantity | None = None
    arrangement: lifting.CraneArrangement | None = None
    trailer: Any = None
    flat_car: Any = None
    road: tuple[Any, ...] = ()
    equipment: frozenset[str] = frozenset()
    amounts: Mapping[str, float | None] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    @property
    def lifted(self) -> bool:
        """Whether cranes lift the unit."""
        return self.path.carried_on in ("flat_car", "trailer")


def limit(museum: Museum, name: str, unit: str) -> pint.Quantity | None:
    """Return a limit row's value as a quantity; None where no row gives it."""
    value = museum.limit(name)
    return None if value is None else Quantity(value, unit)


def arrange(museum: Museum, vehicle: str, path: str) -> Carriage:
    """Choose what carries a unit on a path, and compute how much of everything that needs."""
    unit, way = museum.vehicle(vehicle), museum.path(path)
    build = {
        "own_wheels": _on_wheels,
        "other_wheels": _on_wheels,
        "flat_car": _on_flat_car,
        "trailer": _on_trailer,
        "transporter": _on_transporter,
        "roll_on_trailer": _roll_on,
    }.get(way.carried_on)
    return build(museum, unit, way) if build else Carriage(museum, unit, way, unit.weight)


def _on_wheels(museum: Museum, unit: Any, way: Any) -> Carriage:
    load = unit.weight
    if way.path == "freight_wheelsets" and load is not None:
        load = load - (unit.motor_weight or Quantity(0, "lb")) * unit.motors - (unit.fluids_weight or Quantity(0, "lb"))
    amounts: dict[str, float | None] = {"body_loads": 0.0, "truck_loads": float(unit.truck_loads)}
    if way.mode == "rail":
        riders = 2.0 if unit.bearing == "plain" and way.carried_on == "own_wheels" else 1.0
        amounts["rider_days"] = riders * rail_days(museum)
        amounts["bridge_reviews"] = _bridges_to_review(museum, *axle_train(museum, unit, load), load)
    return Carriage(museum, unit, way, load, unit.height, amounts=amounts)


def _on_flat_car(museum: Museum, unit: Any, way: Any) -> Carriage:
    load = unit.body_weight
    car = next(
        (row for row in museum.flat_cars if load is not None and row.load_limit >= load and _fits_deck(unit, row)), None
    )
    chosen = car or museum.flat_cars[-1]
    arrangement, amounts, equipment = _cranes(museum, unit)
    days = rail_days(museum) + (museum.limit("flat_car_hire_extra_days") or 0.0)
    loads = float(unit.body_loads)
    amounts |= {
        "body_loads": loads,
        "truck_loads": float(unit.truck_loads),
        "flat_cars": loads,
        "special_flat_cars": loads * chosen.special,
        "flat_car_days": loads * days,
    }
    height = None
    if load is not None and unit.height is not None and unit.underside is not None:
        blocking = limit(museum, "flat_car_blocking", "in")
        height = clearance.loaded_height(
            unit.height, unit.underside, chosen.deck_height, blocking or Quantity(0, "in"), Quantity(0, "in")
        )
    return Carriage(museum, unit, way, load, height, arrangement, None, car, (), equipment | {chosen.flat_car}, amounts)


def _fits_deck(unit: Any, car: Any) -> bool:
    """A body of unknown length is not held back here; its side clearance is unknown then."""
    return unit.body_length is None or unit.body_length <= car.deck_length


def _on_trailer(museum: Museum, unit: Any, way: Any) -> Carriage:
    carriage = _by_road(museum, unit, way, unit.body_weight, unit.underside, float(unit.truck_loads))
    arrangement, amounts, equipment = _cranes(museum, unit)
    return Carriage(
        museum, unit, way, carriage.load, carriage.loaded_height, arrangement, carriage.trailer, None, carriage.road,
        carriage.equipment | equipment, {**carriage.amounts, **amounts}, carriage.notes,
    )  # fmt: skip


def _roll_on(museum: Museum, unit: Any, way: Any) -> Carriage:
    return _by_road(museum, unit, way, unit.weight, Quantity(0, "ft"), 0.0)


def _on_transporter(museum: Museum, unit: Any, way: Any) -> Carriage:
    carriage = _by_road(museum, unit, way, unit.body_weight, unit.underside, float(unit.truck_loads))
    days = carriage.amounts["road_days"]
    trailers = [row for row in museum.trailers if row.used_for == "transporter"]
    chosen = carriage.trailer or trailers[-1]
    lines = len(chosen.axle_positions) * chosen.lanes  # one line a file
    idle = museum.limit("transporter_set_up_days") or 0.0
    extra = {
        "line_days": None if days is None else lines * (days + idle),
        "utility_days": None if days is None else days + 1,
        "police_days": None if days is None else 2 * days,
        "escort_days": 0.0,
    }
    return Carriage(
        museum, unit, way, carriage.load, carriage.loaded_height, None, carriage.trailer, None, carriage.road,
        carriage.equipment, {**carriage.amounts, **extra}, carriage.notes,
    )  # fmt: skip


def _by_road(
    museum: Museum, unit: Any, way: Any, load: pint.Quantity | None, underside: pint.Quantity | None, trucks: float
) -> Carriage:
    trailers = [row for row in museum.trailers if row.used_for == way.carried_on]
    trailer = next((row for row in trailers if load is not None and row.payload >= load), None)
    chosen = trailer or trailers[-1]
    legs, notes = _road_legs(museum, chosen, load)
    miles = sum(leg.length.m_as("mile") for leg in legs)
    days = float(math.ceil(round(miles / chosen.miles_per_day.m_as("mile"), 9)))
    known = load is not None and unit.height is not None and underside is not None
    height = unit.height - underside + chosen.deck_height if known else None
    threshold = limit(museum, "superload_weight", "lb")
    loads = float(unit.body_loads)
    heavy = None if load is None or threshold is None else float(load + chosen.tare > threshold)
    amounts = {
        "haul_distance": miles,
        "body_loads": loads,
        "truck_loads": trucks,
        "road_days": days,
        "superloads": None if heavy is None else heavy * loads,
        "escort_days": 2 * days * loads,
        "police_days": None if heavy is None else 2 * days * heavy,
        "utility_days": _utility_days(museum, legs, height, days),
    }
    return Carriage(museum, unit, way, load, height, None, trailer, None, legs, frozenset({chosen.trailer}), amounts, notes)


def _road_legs(museum: Museum, trailer: Any, load: pint.Quantity | None) -> tuple[tuple[Any, ...], tuple[str, ...]]:
    """Add the detours that the loaded trailer needs: a leg that stands for a bridge it may not cross."""
    legs, notes = list(museum.route("road")), []
    for detour in (row for row in museum.route("road", detours=True) if row.detour_for):
        bridge = next(row for row in museum.bridges if row.bridge == detour.detour_for)
        if load is not None and road_bridge_check(bridge, trailer, load).status == "fail":
            legs.append(detour)
            notes.append(f"Takes {detour.name}: {detour.length.m_as('mile'):.0f} miles more, around {bridge.title}.")
    return tuple(legs), tuple(notes)


def road_bridge_check(bridge: Any, trailer: Any, load: pint.Quantity) -> Check:
    """Return the check of one road bridge under a loaded trailer, its axles loaded alike."""
    positions = np.array(trailer.axle_positions)
    gross = load + trailer.tare
    loads = np.full(len(positions), gross.m_as("lb") / len(positions))
    factors = (None if factor is None else float(factor) for factor in (bridge.normal, bridge.maximum))
    normal, maximum = factors
    return road_bridge.road_bridge(
        Quantity(positions, "ft"), Quantity(loads, "lb"), bridge.span, normal, maximum, bridge.title, trailer.lanes
    )


def _utility_days(museum: Museum, legs: tuple[Any, ...], height: pint.Quantity | None, days: float) -> float | None:
    needed = limit(museum, "wire_clearance", "in")
    if height is None or needed is None:
        return None
    wired = [leg for leg in legs if leg.wires]
    if any(leg.lowest_wire is None for leg in wired):
        return None
    return days if any(leg.lowest_wire - height < needed for leg in wired) else 0.0


def _cranes(museum: Museum, unit: Any) -> tuple[lifting.CraneArrangement | None, dict[str, float | None], frozenset[str]]:
    charts: dict[str, tuple[pint.Quantity, pint.Quantity]] = {}
    for crane in dict.fromkeys(row.crane for row in museum.cranes):
        points = [row for row in museum.cranes if row.crane == crane]
        charts[crane] = (
            Quantity(np.array([row.radius.m_as("ft") for row in points]), "ft"),
            Quantity(np.array([row.capacity.m_as("short_ton") for row in points]), "short_ton"),
        )
    shares = {name: museum.limit(f"crane_{name}_share") for name in ("single", "tandem")}
    known = None not in shares.values() and museum.limit("lift_factor") is not None and charts
    if unit.body_weight is None or not known:
        none = dict.fromkeys(("lifts", "crane_hours", "crane_calls", "rigging_days"))
        return None, none, frozenset()
    rigging = unit.body_weight * (museum.limit("rigging_weight_share") or 0.0) / 100
    arrangement = lifting.choose_cranes(
        unit.body_weight, unit.lift_spread, unit.centre_of_gravity_offset, limit(museum, "crane_radius", "ft"), charts,
        rigging, museum.limit("lift_factor"), shares["single"] / 100, shares["tandem"] / 100, interpolate=False,
    )  # fmt: skip
    # Where no crane of the tables can lift it, the path is blocked and priced as two of the largest: at least that.
    cranes = arrangement.cranes if arrangement else 2
    crane = arrangement.crane if arrangement else list(charts)[-1]
    times = [limit(museum, name, "hour") for name in ("crane_set_up", "crane_per_lift", "crane_minimum_hire")]
    hours = lifting.crane_hours(max(unit.lifts, 1), cranes, *times).m_as("crane_hour")
    days = math.ceil(hours / cranes / (museum.limit("crew_day_hours") or 10.0))
    amounts = {
        "lifts": float(unit.lifts),
        "crane_hours": 2 * hours,
        "crane_calls": 2.0 * cranes,
        "rigging_days": 2.0 * days,
    }
    return arrangement, amounts, frozenset({crane})


def axle_train(museum: Museum, unit: Any, load: pint.Quantity | None) -> tuple[pint.Quantity, pint.Quantity | None]:
    """Return a unit's axle positions [ft] and loads [lb], the surveyed loads scaled to `load`."""
    axles = museum.axles_of(unit.vehicle)
    positions = Quantity(np.array([axle.position.m_as("ft") for axle in axles]), "ft")
    if load is None or any(axle.load is None for axle in axles):
        return positions, None
    loads = np.array([axle.load.m_as("lb") for axle in axles])
    return positions, Quantity(loads * load.m_as("lb") / loads.sum(), "lb")


def flat_car_train(car: Any, load: pint.Quantity) -> tuple[pint.Quantity, pint.Quantity]:
    """Return a loaded flat car's axle positions [ft] and loads [lb], shared alike."""
    positions = np.array(car.axle_positions)
    each = (load + car.light_weight).m_as("lb") / len(positions)
    return Quantity(positions, "ft"), Quantity(np.full(len(positions), each), "lb")


def rail_bridge_checks(
    museum: Museum, positions: pint.Quantity, loads: pint.Quantity | None, load: pint.Quantity | None
) -> list[tuple[Any, Check | None]]:
    """Return each rail bridge of the route with its check; None where the loads are unknown."""
    legs = {leg.segment for leg in museum.route("rail")}
    answers = []
    for bridge in (row for row in museum.bridges if row.segment in legs and row.rating == "cooper_e"):
        known = loads is not None and bridge.span is not None
        check = (
            rail_bridge.rail_bridge(positions, loads, bridge.span, bridge.normal, bridge.maximum, load, bridge.title)
            if known
            else None
        )
        answers.append((bridge, check))
    return answers


def _bridges_to_review(
    museum: Museum, positions: pint.Quantity, loads: pint.Quantity | None, load: pint.Quantity | None
) -> float | None:
    """Count the bridges that are not a plain pass: an engineer must look at each."""
    checks = [check for _, check in rail_bridge_checks(museum, positions, loads, load)]
    return None if None in checks else float(sum(check.status != "pass" for check in checks))


def rail_days(museum: Museum) -> float:
    """Return whole days on the rails at the speeds of this move, with a day's wait at each interchange [day]."""
    hours = sum(
        leg.length.m_as("mile") / (leg.special_speed or leg.speed).m_as("mph")
        for leg in museum.route("rail")
        if leg.special_speed is not None or leg.speed is not None
    )
    carriers = [leg.carrier for leg in museum.route("rail") if leg.carrier]
    changes = sum(before != after for before, after in itertools.pairwise(carriers))
    dwell = museum.limit("interchange_dwell_days") or 0.0
    return math.ceil(hours / (museum.limit("crew_day_hours") or 10.0)) + changes * dwell
