"""The unit on the road: detours round weak bridges, days, permits, escorts, wires, chains."""

from __future__ import annotations

from typing import Any

import pint

from heritagemove.checks import permits, road, road_bridge, securement
from heritagemove.checks.by_rail import shared_alike
from heritagemove.checks.check import Check
from heritagemove.checks.lookup import limit
from heritagemove.museum import Museum
from heritagemove.units import Quantity


def road_legs(museum: Museum, trailer: Any, load: pint.Quantity | None) -> tuple[tuple[Any, ...], tuple[str, ...]]:
    """Return the legs with the detours that the loaded trailer needs: a leg that stands for a bridge it may not cross."""
    legs, notes = list(museum.route("road")), []
    for detour in (row for row in museum.route("road", detours=True) if row.detour_for):
        bridge = next(row for row in museum.bridges if row.bridge == detour.detour_for)
        if load is not None and bridge_check(bridge, trailer, load).status == "fail":
            legs.append(detour)
            notes.append(f"Takes {detour.name}: {detour.length.m_as('mile'):.0f} miles more, around {bridge.title}.")
    return tuple(legs), tuple(notes)


def crossed(museum: Museum, legs: tuple[Any, ...]) -> list[Any]:
    """Return the road bridges of the legs, without those that a detour avoids."""
    avoided, names = {leg.detour_for for leg in legs}, {leg.segment for leg in legs}
    return [b for b in museum.bridges if b.segment in names and b.bridge not in avoided and b.rating == "hs20_factor"]


def bridge_check(bridge: Any, trailer: Any, load: pint.Quantity) -> Check:
    """Return the check of one road bridge under a loaded trailer, its axles loaded alike."""
    positions, loads = shared_alike(trailer, load + trailer.tare)
    factors = (None if factor is None else float(factor) for factor in (bridge.normal, bridge.maximum))
    return road_bridge.road_bridge(positions, loads, bridge.span, *factors, bridge.title, trailer.lanes)


def road_amounts(
    museum: Museum, unit: Any, trailer: Any, legs: tuple[Any, ...], load: pint.Quantity | None, height: pint.Quantity | None
) -> dict[str, float | None]:
    """Return miles, days, permits, escorts and crews that a loaded trailer needs on its legs."""
    miles = Quantity(sum(leg.length.m_as("mile") for leg in legs), "mile")
    days, loads = float(permits.haul_days(miles, trailer.miles_per_day).magnitude), float(unit.body_loads)
    gross = None if load is None else load + trailer.tare
    heavy = permits.superload(gross, limit(museum, "superload_weight", "lb"), _sizes(museum, unit, trailer, height))
    police = museum.limit("superload_police_cars")
    escorts = _escorts(museum, unit, trailer, height)
    lifted = _wires(museum, legs, height)
    crews = None if lifted is None or escorts is None else days * (lifted > 0 or escorts.utility > 0)
    return {
        "haul_distance": float(miles.magnitude),
        "body_loads": loads,
        "road_days": days,
        "superloads": None if heavy is None else heavy * loads,
        "escort_days": None if escorts is None else escorts.pilot_cars * days * loads,
        "police_days": None if heavy is None or police is None else police * days * heavy,
        "utility_days": crews,
    }


def _sizes(museum: Museum, unit: Any, trailer: Any, height: pint.Quantity | None) -> list[tuple[Any, pint.Quantity]]:
    """Return width, height and length of the loaded trailer, each with its superload threshold where a row gives one."""
    loaded = {"width": _loaded_width(unit, trailer), "height": height, "length": _loaded_length(unit, trailer)}
    most = {name: limit(museum, f"superload_{name}", "ft") for name in loaded}
    return [(size, most[name]) for name, size in loaded.items() if most[name] is not None]


def _loaded_width(unit: Any, trailer: Any) -> pint.Quantity | None:
    return None if unit.width is None else max(unit.width, trailer.width)


def _loaded_length(unit: Any, trailer: Any) -> pint.Quantity | None:
    """Take the longer of axle base and body: a trailer's overhang is not tabled."""
    return None if unit.body_length is None else max(unit.body_length, Quantity(trailer.axle_positions[-1], "ft"))


def _escorts(museum: Museum, unit: Any, trailer: Any, height: pint.Quantity | None) -> permits.Escorts | None:
    names = {row.limit.removeprefix("escort_"): row.limit for row in museum.limits if row.limit.startswith("escort_")}
    names |= {"high_pole_height": "height_pole_from", "utility_height": "utility_escort_from"}
    found = {key: limit(museum, name, "ft") for key, name in names.items()}
    thresholds = {key: size for key, size in found.items() if size is not None}
    width, length = _loaded_width(unit, trailer), _loaded_length(unit, trailer)
    if not thresholds or width is None or length is None:
        return None
    return permits.escorts(width, height, length, thresholds)


def _wires(museum: Museum, legs: tuple[Any, ...], height: pint.Quantity | None) -> int | None:
    needed = limit(museum, "wire_clearance", "in")
    if needed is None:
        return None
    return road.wires_to_lift(height, [leg.wires for leg in legs], [leg.lowest_wire for leg in legs], needed)


def chains(museum: Museum, weight: pint.Quantity | None, length: pint.Quantity | None, wheeled: bool) -> float | None:
    """Return the chains that hold a road load, blocked forward; None where weight, length or a limit is missing."""
    rules = chain_rules(museum)
    working = limit(museum, "chain_working_load", "lb")
    if rules is None or None in (weight, length, working):
        return None
    return float(securement.tie_downs(weight, length, working, True, True, wheeled, **rules))


def chain_rules(museum: Museum) -> dict[str, Any] | None:
    """Return the limits of 49 CFR 393.106, .110 and .130 by the names the securement functions give them."""
    names = ("weight_share", "direct_credit", "short_length", "light_weight", "spacing", "heavy_minimum")
    rules: dict[str, Any] = {name: museum.limit(f"tie_down_{name}") for name in names}
    if None in rules.values():
        return None
    units = {"short_length": "ft", "light_weight": "lb", "spacing": "ft"}
    return {name: Quantity(rule, units[name]) if name in units else rule for name, rule in rules.items()}
