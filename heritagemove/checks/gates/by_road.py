"""The unit on the road: detours round weak bridges, days, permits, escorts, wires."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates.lookup import limit
from heritagemove.checks.gates.trailers import LoadedTrailer
from heritagemove.checks.road import bridge_formula, permits, road, road_bridge
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity


def road_legs(museum: Museum, trailer: LoadedTrailer | None) -> tuple[tuple[Any, ...], tuple[str, ...]]:
    """Return the legs with the detours that the loaded trailer needs: a leg that stands for a bridge it may not cross."""
    legs, notes = list(museum.route("road")), []
    for detour in (row for row in museum.route("road", detours=True) if row.detour_for):
        bridge = next(row for row in museum.bridges if row.bridge == detour.detour_for)
        if trailer is not None and bridge_check(bridge, trailer).status == "fail":
            legs.append(detour)
            notes.append(f"Takes {detour.name}: {detour.length.m_as('mile'):.0f} miles more, around {bridge.title}.")
    return tuple(legs), tuple(notes)


def crossed(museum: Museum, legs: tuple[Any, ...]) -> list[Any]:
    """Return the road bridges of the legs, without those that a detour avoids."""
    avoided, names = {leg.detour_for for leg in legs}, {leg.leg for leg in legs}
    return [b for b in museum.bridges if b.leg in names and b.bridge not in avoided and b.rating == "hs20_factor"]


def bridge_check(bridge: Any, trailer: LoadedTrailer) -> Check:
    """Return the check of one road bridge under a loaded trailer, axle by axle."""
    if trailer.axles is None:
        return unknown("Road bridge", bridge.title, trailer.wanted or _MOVE)
    factors = (None if factor is None else float(factor) for factor in (bridge.normal, bridge.maximum))
    return road_bridge.road_bridge(*trailer.axles, bridge.span, *factors, bridge.title, trailer.row.lanes)


def over_legal(
    museum: Museum, loads: float, trailer: LoadedTrailer | None, height: pint.Quantity | None
) -> dict[str, float | None]:
    """Return how many of some loads alike are over the legal weights, and how many over the legal height."""
    if trailer is None:
        return dict.fromkeys(("overweight_loads", "over_height_loads"))
    highest = limit(museum, "legal_height", "ft")
    heavy = {"open": loads, "unknown": None}.get(legal_weight(museum, trailer).status, 0.0)
    high = None if None in (height, highest) else loads * float(height > highest)
    return {"overweight_loads": heavy, "over_height_loads": high}


_MOVE = "have the hauler place the load so that no axle lifts off"
#: What a trailer and a road say; unknown without either.
_ON_THE_ROAD = ("haul_distance", "road_days", "superloads", "pilot_cars", "police_cars", "utility_crews")


def road_amounts(
    museum: Museum, unit: Any, trailer: LoadedTrailer | None, legs: tuple[Any, ...], height: pint.Quantity | None
) -> dict[str, float | None]:
    """Return miles, days, permits, escorts and crews that a loaded trailer needs on its legs."""
    body = museum.body(unit.vehicle)
    loads, size = float(body.count), (unit.width, body.length)
    if trailer is None or not legs:
        return dict.fromkeys(_ON_THE_ROAD) | {"body_loads": loads}
    miles = Quantity(sum(leg.length.m_as("mile") for leg in legs), "mile")
    heavy = is_superload(museum, trailer, size, height)
    police = museum.limit("superload_police_cars")
    escorts = _escorts(museum, size, trailer.row, height)
    days = float(_days(museum, trailer.row, legs, escorts is None or bool(escorts.pilot_cars), bool(heavy and police)))
    lifted = _wires(museum, legs, height)
    return {
        "haul_distance": float(miles.magnitude),
        "body_loads": loads,
        "road_days": days,
        "superloads": None if heavy is None else heavy * loads,
        "pilot_cars": None if escorts is None else float(escorts.pilot_cars),
        "police_cars": None if heavy is None or police is None else police * heavy,
        "utility_crews": None if lifted is None or escorts is None else float(lifted > 0 or escorts.utility > 0),
    }


def _days(museum: Museum, trailer: Any, legs: tuple[Any, ...], wide: bool, policed: bool) -> int:
    """Return the whole days over legs: by each leg's speed and hours, by daylight if oversize, by the escort's shift."""
    rows = ["road_day_hours"] + ["daylight_hours"] * wide + ["police_escort_hours"] * policed
    daily = [found for row in rows if (found := museum.limit(row)) is not None]
    lengths = Quantity(np.array([leg.length.m_as("mile") for leg in legs]), "mile")
    speeds = Quantity(np.array([_or_any(leg.special_speed or leg.speed, "mph") for leg in legs]), "mph")
    hours = Quantity(np.array([min([_or_any(leg.hours_a_day, "hour"), *daily]) for leg in legs]), "hour")
    return permits.haul_days(lengths, trailer.miles_per_day, speeds, hours).magnitude


def _or_any(quantity: pint.Quantity | None, unit: str) -> float:
    return math.inf if quantity is None else float(quantity.m_as(unit))


#: Width and length of what lies on a trailer [ft]; None is unknown.
_Size = tuple[pint.Quantity | None, pint.Quantity | None]


def is_superload(museum: Museum, trailer: LoadedTrailer, size: _Size, height: pint.Quantity | None) -> bool | None:
    """Return whether a loaded trailer is over a superload threshold of weight, width, height or length that a row gives."""
    width, length = size
    loaded = {"width": loaded_width(width, trailer.row), "height": height, "length": loaded_length(length, trailer.row)}
    most = {name: limit(museum, f"superload_{name}", "ft") for name in loaded}
    sizes = [(found, most[name]) for name, found in loaded.items() if most[name] is not None]
    return permits.superload(trailer.gross, limit(museum, "superload_weight", "lb"), sizes)


def loaded_width(width: pint.Quantity | None, trailer: Any) -> pint.Quantity | None:
    """Return the wider of a load and of its trailer [ft]; None is unknown."""
    return None if width is None else max(width, trailer.width)


def loaded_length(length: pint.Quantity | None, trailer: Any) -> pint.Quantity | None:
    """Return the longer of the load and of truck and trailer with what hangs over both ends [ft]; None is unknown."""
    if None in (length, trailer.front_overhang, trailer.rear_overhang):
        return None
    over_all = Quantity(trailer.axle_positions[-1], "ft") + trailer.front_overhang + trailer.rear_overhang
    return max(length, over_all)


def _escorts(museum: Museum, size: _Size, trailer: Any, height: pint.Quantity | None) -> permits.Escorts | None:
    names = {row.limit.removeprefix("escort_"): row.limit for row in museum.limits if row.limit.startswith("escort_")}
    names |= {"high_pole_height": "height_pole_from", "utility_height": "utility_escort_from"}
    found = {key: limit(museum, name, "ft") for key, name in names.items()}
    thresholds = {key: size for key, size in found.items() if size is not None}
    width, length = loaded_width(size[0], trailer), loaded_length(size[1], trailer)
    if not thresholds or width is None or length is None:
        return None
    return permits.escorts(width, height, length, thresholds)


#: Up to which voltage [kV] each row says how much air is kept under a wire; telephone and cable have none.
_WIRES = {
    0.0: "wire_clearance", 0.75: "wire_air_to_750_v", 50.0: "wire_air_to_50_kv", 345.0: "wire_air_to_345_kv",
    750.0: "wire_air_to_750_kv", 1000.0: "wire_air_to_1000_kv",
}  # fmt: skip


def air_under(museum: Museum, leg: Any) -> pint.Quantity | None:
    """Return the air to keep under the wires of a leg by their voltage [in]; None where voltage or rule is not known."""
    if leg.wire_voltage is None:
        return None
    name = next((row for most, row in _WIRES.items() if leg.wire_voltage.m_as("kV") <= most + 1e-9), None)
    return None if name is None else limit(museum, name, "in")


def _wires(museum: Museum, legs: tuple[Any, ...], height: pint.Quantity | None) -> int | None:
    air = [air_under(museum, leg) for leg in legs]
    return road.wires_to_lift(height, [leg.wires for leg in legs], [leg.lowest_wire for leg in legs], air)


def legal_weight(museum: Museum, trailer: LoadedTrailer) -> Check:
    """Return the check of a loaded trailer against what travels without an overweight permit; over it a permit decides."""
    name, title = "Legal axle weights", trailer.row.title
    rows = ("single_axle", "lb"), ("tandem_axle", "lb"), ("gross", "lb"), ("single_spacing", "in"), ("tandem_spacing", "in")
    limits = [limit(museum, f"federal_{row}", unit) for row, unit in rows]
    limits += [limit(museum, "tandem_exception_length", "ft"), limit(museum, "bridge_formula_step", "lb")]
    if None in limits:
        return unknown(name, title, "enter the federal weight limits")
    if trailer.axles is None:
        return unknown(name, title, trailer.wanted or _MOVE)
    check = bridge_formula.bridge_formula(*trailer.axles, *limits, subject=title)
    return replace(check, status="open" if check.status == "fail" else check.status, margin=None)


def permit_groups(museum: Museum, trailer: LoadedTrailer, legs: tuple[Any, ...]) -> Check | None:
    """Return the check of a loaded trailer's axle groups by the permit table; None where no row gives one or none is needed.

    Where the route's state publishes no table, the rows stand for another state's: what is over them its permit office
    decides. A table counts axles within one lane: of a dual-lane trailer it says nothing.
    """
    name, sizes = "Permit axle groups", ("single", "tandem", "tri", "quad")
    wide = [limit(museum, f"permit_{size}_axle", "lb") for size in sizes]
    close = [wide[0], *(limit(museum, f"permit_{size}_axle_close", "lb") for size in sizes[1:])]
    spacing, gap = limit(museum, "permit_close_spacing", "in"), limit(museum, "federal_tandem_spacing", "in")
    if all(row is None for row in (*wide, *close, spacing)) or legal_weight(museum, trailer).status in ("pass", "marginal"):
        return None
    if trailer.axles is None:
        return unknown(name, trailer.row.title, trailer.wanted or _MOVE)
    blank = next((leg for leg in legs if leg.permit_table is None), None)
    if blank is not None:
        ask = f"ask the permit office for the axle-group table of {blank.name} and say so in its permit_table of legs.csv"
        return unknown(name, blank.name, ask)
    if None in (*wide, *close, spacing, gap):
        return unknown(name, trailer.row.title, "enter every row of the state's permit table")
    if trailer.row.lanes > 1:
        check = unknown(name, trailer.row.title, "ask the permit office for its dual-lane axle weights")
    else:
        check = permits.axle_groups(*trailer.axles, wide, close, spacing, gap, trailer.row.title)
    if any(leg.permit_table == "limits" for leg in legs) or check.status not in ("fail", "unknown"):
        return check
    find = check.find or "ask the permit office what this group of axles may carry"
    note = f"By another state's published table: the route's permit office decides. {check.note}"
    return replace(check, status="open", margin=None, note=note, find=find)


def carries(museum: Museum, trailer: LoadedTrailer) -> bool:
    """Return whether a loaded trailer's axles are within its own limits and within the permit table of the route's state."""
    if trailer.own_axles().status == "fail":
        return False
    legs = tuple(leg for leg in museum.route("road") if leg.permit_table == "limits")
    groups = permit_groups(museum, trailer, legs) if legs else None
    return groups is None or groups.status in ("pass", "marginal", "open")


def crawl(museum: Museum, trailer: LoadedTrailer, legs: tuple[Any, ...]) -> Check:
    """Return the check of the days that a transporter keeps streets closed; police on each day is asked for in any case."""
    name, most = "Days of the crawl", limit(museum, "crawl_days", "day")
    if most is None or not legs:
        return unknown(name, trailer.row.title, "enter crawl_days in limits.csv and the road route in legs.csv")
    miles, police = sum(leg.length.m_as("mile") for leg in legs), museum.limit("superload_police_cars")
    days = Quantity(float(_days(museum, trailer.row, legs, True, bool(police))), "day")
    note = f"Streets closed on {days.magnitude:.0f} days over {miles:.0f} miles, police on each; the towns decide."
    if police is None:
        return unknown(name, trailer.row.title, "ask whether police go along on each day")
    asked = days > most or police > 0
    status, margin = ("open", None) if asked else ("pass", most - days)
    return Check(name, trailer.row.title, days, most, status, margin, "limits.csv, crawl_days", note)
