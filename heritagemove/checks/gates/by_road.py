"""The unit on the road: detours round weak bridges, days, permits, escorts, wires, chains."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates.by_rail import shared_alike
from heritagemove.checks.gates.lookup import limit
from heritagemove.checks.road import bridge_formula, permits, restraint, road, road_bridge, securement
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity


def road_legs(museum: Museum, trailer: Any, load: pint.Quantity | None) -> tuple[tuple[Any, ...], tuple[str, ...]]:
    """Return the legs with the detours that the loaded trailer needs: a leg that stands for a bridge it may not cross."""
    legs, notes = list(museum.route("road")), []
    for detour in (row for row in museum.route("road", detours=True) if row.detour_for):
        bridge = next(row for row in museum.bridges if row.bridge == detour.detour_for)
        if None not in (load, trailer) and bridge_check(bridge, trailer, load).status == "fail":
            legs.append(detour)
            notes.append(f"Takes {detour.name}: {detour.length.m_as('mile'):.0f} miles more, around {bridge.title}.")
    return tuple(legs), tuple(notes)


def crossed(museum: Museum, legs: tuple[Any, ...]) -> list[Any]:
    """Return the road bridges of the legs, without those that a detour avoids."""
    avoided, names = {leg.detour_for for leg in legs}, {leg.leg for leg in legs}
    return [b for b in museum.bridges if b.leg in names and b.bridge not in avoided and b.rating == "hs20_factor"]


def bridge_check(bridge: Any, trailer: Any, load: pint.Quantity) -> Check:
    """Return the check of one road bridge under a loaded trailer, its axles loaded alike."""
    positions, loads = shared_alike(trailer, load + trailer.tare)
    factors = (None if factor is None else float(factor) for factor in (bridge.normal, bridge.maximum))
    return road_bridge.road_bridge(positions, loads, bridge.span, *factors, bridge.title, trailer.lanes)


def legal_weight(museum: Museum, trailer: Any, load: pint.Quantity | None) -> Check:
    """Return the check of a loaded trailer by the weights that are legal without an overweight permit."""
    rows = ("single_axle", "lb"), ("tandem_axle", "lb"), ("gross", "lb"), ("single_spacing", "in"), ("tandem_spacing", "in")
    limits = [limit(museum, f"federal_{row}", unit) for row, unit in rows]
    limits += [limit(museum, "tandem_exception_length", "ft"), limit(museum, "bridge_formula_step", "lb")]
    if load is None or None in limits:
        return unknown("Legal axle weights", trailer.title, "weigh it and enter the federal weight limits")
    positions, loads = shared_alike(trailer, load + trailer.tare)
    return replace(bridge_formula.bridge_formula(positions, loads, *limits, subject=trailer.title), margin=None)


def over_legal(
    museum: Museum, unit: Any, trailer: Any, load: pint.Quantity | None, height: pint.Quantity | None
) -> dict[str, float | None]:
    """Return the road loads of a unit that are over the legal weights, and those over the legal height."""
    if trailer is None:
        return dict.fromkeys(("overweight_loads", "over_height_loads"))
    loads, highest = float(unit.body_loads), limit(museum, "legal_height", "ft")
    heavy = {"fail": loads, "unknown": None}.get(legal_weight(museum, trailer, load).status, 0.0)
    high = None if None in (height, highest) else loads * float(height > highest)
    return {"overweight_loads": heavy, "over_height_loads": high}


#: What a trailer and a road say; unknown without either.
_ON_THE_ROAD = ("haul_distance", "road_days", "superloads", "escort_days", "police_days", "utility_days")


def road_amounts(
    museum: Museum, unit: Any, trailer: Any, legs: tuple[Any, ...], load: pint.Quantity | None, height: pint.Quantity | None
) -> dict[str, float | None]:
    """Return miles, days, permits, escorts and crews that a loaded trailer needs on its legs."""
    loads = float(unit.body_loads)
    if trailer is None or not legs:
        return dict.fromkeys(_ON_THE_ROAD) | {"body_loads": loads}
    miles = Quantity(sum(leg.length.m_as("mile") for leg in legs), "mile")
    days = float(permits.haul_days(miles, trailer.miles_per_day).magnitude)
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
    loaded = {"width": _loaded_width(unit, trailer), "height": height, "length": _loaded_length(museum, unit, trailer)}
    most = {name: limit(museum, f"superload_{name}", "ft") for name in loaded}
    return [(size, most[name]) for name, size in loaded.items() if most[name] is not None]


def _loaded_width(unit: Any, trailer: Any) -> pint.Quantity | None:
    return None if unit.width is None else max(unit.width, trailer.width)


def _loaded_length(museum: Museum, unit: Any, trailer: Any) -> pint.Quantity | None:
    """Take the longer of axle base and body: a trailer's overhang is not tabled."""
    length = museum.body(unit.vehicle).length
    return None if length is None else max(length, Quantity(trailer.axle_positions[-1], "ft"))


def _escorts(museum: Museum, unit: Any, trailer: Any, height: pint.Quantity | None) -> permits.Escorts | None:
    names = {row.limit.removeprefix("escort_"): row.limit for row in museum.limits if row.limit.startswith("escort_")}
    names |= {"high_pole_height": "height_pole_from", "utility_height": "utility_escort_from"}
    found = {key: limit(museum, name, "ft") for key, name in names.items()}
    thresholds = {key: size for key, size in found.items() if size is not None}
    width, length = _loaded_width(unit, trailer), _loaded_length(museum, unit, trailer)
    if not thresholds or width is None or length is None:
        return None
    return permits.escorts(width, height, length, thresholds)


def _wires(museum: Museum, legs: tuple[Any, ...], height: pint.Quantity | None) -> int | None:
    needed = limit(museum, "wire_clearance", "in")
    if needed is None:
        return None
    return road.wires_to_lift(height, [leg.wires for leg in legs], [leg.lowest_wire for leg in legs], needed)


def permit_groups(museum: Museum, trailer: Any, load: pint.Quantity) -> Check | None:
    """Return the check of a loaded trailer's axle groups by the permit table; None where no row gives a table.

    A table that is not that of the route's state cautions and does not stop. It counts axles within one lane: of a
    dual-lane trailer it says nothing.
    """
    sizes = ("single", "tandem", "tri", "quad")
    wide = [limit(museum, f"permit_{size}_axle", "lb") for size in sizes]
    close = [wide[0], *(limit(museum, f"permit_{size}_axle_close", "lb") for size in sizes[1:])]
    spacing, gap = limit(museum, "permit_close_spacing", "in"), limit(museum, "federal_tandem_spacing", "in")
    binding = museum.limit("permit_table_of_route")
    table = (*wide, *close, spacing, binding)
    if all(row is None for row in table):
        return None
    if None in (*table, gap):
        return unknown("Permit axle groups", trailer.title, "enter every row of the state's permit table")
    if trailer.lanes > 1:
        check = unknown("Permit axle groups", trailer.title, "ask the permit office for its dual-lane axle weights")
    else:
        check = permits.axle_groups(*shared_alike(trailer, load + trailer.tare), wide, close, spacing, gap, trailer.title)
    if binding or check.status not in ("fail", "unknown"):
        return check
    if check.status == "unknown":
        note = f"No published group table answers: {check.find}."
        return replace(check, subject="no permit table at hand", status="marginal", note=note, find="")
    note = f"By another state's published table: ask the route's permit office, or add axles. {check.note}"
    return replace(check, status="marginal", margin=None, note=note)


def within_permit(museum: Museum, trailer: Any, load: pint.Quantity) -> bool:
    """Return whether no permit table of the route's state keeps a loaded trailer off the road."""
    if not museum.limit("permit_table_of_route"):
        return True
    check = permit_groups(museum, trailer, load)
    return check is not None and check.status in ("pass", "marginal")


def chain(museum: Museum) -> pint.Quantity | None:
    """Return the working load limit of the hauler's chain [lb]: the one entered, never more than 49 CFR 393.108 lists."""
    entered, size = limit(museum, "chain_working_load", "lb"), limit(museum, "hauler_chain_size", "in")
    grade = museum.limit("hauler_chain_grade")
    if None in (entered, size, grade):
        return None
    prefix = f"chain_grade_{grade:g}_"
    names = [row.limit for row in museum.limits if row.limit.startswith(prefix)]
    sizes = np.array([_inches(name.removeprefix(prefix)) for name in names])
    limits = np.array([limit(museum, name, "lb").m_as("lb") for name in names])
    listed = securement.chain_working_load(size, Quantity(sizes, "in"), Quantity(limits, "lb")) if names else None
    return None if listed is None else min(entered, listed)


def _inches(name: str) -> float:
    """Read the size in a limit's id, such as 5_16_in, as inches."""
    over, _, under = name.removesuffix("_in").partition("_")
    return float(over) / float(under or 1)


def chains(museum: Museum, weight: pint.Quantity | None, length: pint.Quantity | None, wheeled: bool) -> float | None:
    """Return the chains that hold a road load by the rule that asks for most; None where something is missing."""
    rules, forces, working = chain_rules(museum), chain_forces(museum), chain(museum)
    if None in (rules, forces, weight, length, working):
        return None
    by_rule = securement.tie_downs(weight, length, working, True, True, wheeled, **rules)
    angles = forces["angle"], forces["bearing"]
    strengths, shares = forces["strengths"], forces["shares"]
    by_force = (restraint.chains_to_hold(weight, strengths[kind], shares[kind], *angles) for kind in strengths)
    return float(max(by_rule, *by_force))


def chain_forces(museum: Museum) -> dict[str, Any] | None:
    """Return strengths, accelerations and angles of 49 CFR 393.102 by the names that restraint gives them."""
    working, ratio = chain(museum), museum.limit("chain_breaking_ratio")
    angles = {name: limit(museum, f"road_tie_down_{name}", "degree") for name in ("angle", "bearing")}
    sets = {"breaking strength": "breaking", "working load limit": "working"}
    down = museum.limit("restraint_downward")
    shares = {
        kind: (*(museum.limit(f"restraint_{short}_{way}") for way in ("forward", "rearward", "sideways")), down)
        for kind, short in sets.items()
    }
    if None in (working, ratio, *angles.values(), *(share for row in shares.values() for share in row)):
        return None
    strengths = {"breaking strength": working * ratio, "working load limit": working}
    return {"strengths": strengths, "shares": shares, **angles}


def chain_rules(museum: Museum) -> dict[str, Any] | None:
    """Return the limits of 49 CFR 393.106, .110 and .130 by the names the securement functions give them."""
    names = ("weight_share", "direct_credit", "short_length", "light_weight", "spacing", "heavy_minimum")
    rules: dict[str, Any] = {name: museum.limit(f"tie_down_{name}") for name in names}
    if None in rules.values():
        return None
    units = {"short_length": "ft", "light_weight": "lb", "spacing": "ft"}
    return {name: Quantity(rule, units[name]) if name in units else rule for name, rule in rules.items()}
