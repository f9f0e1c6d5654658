"""The engineering check behind each gate: which subject is asked, with which rows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pint

from heritagemove.checks import axle_load, clearance, haulage, lifting, road, running, securement, swept_path, transporter
from heritagemove.checks import carriage as carriages
from heritagemove.checks.carriage import Carriage, limit
from heritagemove.checks.check import Check, judge, unknown
from heritagemove.units import Quantity, parse_journal_size

_ORDER = {"pass": 0, "marginal": 1, "unknown": 2, "fail": 3}


def worst(checks: list[Check], name: str, measure: str) -> Check:
    """Return the check that decides: a failure before an unknown before the highest utilization."""
    if not checks:
        return unknown(name, "route", measure)
    return max(checks, key=lambda check: (_ORDER[check.status], check.utilization or 0.0))


def _loads(c: Carriage) -> tuple[pint.Quantity, pint.Quantity | None]:
    if c.path.carried_on == "flat_car" and c.load is not None:
        return carriages.flat_car_train(c.flat_car or c.museum.flat_cars[-1], c.load)
    return carriages.axle_train(c.museum, c.vehicle, c.load)


def _journal_rating(c: Carriage) -> Check:
    """Rate the outside journals; driving journals inside the frame are the builder's, not in any table here."""
    _, loads = carriages.axle_train(c.museum, c.vehicle, c.load)
    label, service = c.vehicle.journal, "passenger" if c.vehicle.kind == "passenger_car" else "freight"
    if c.vehicle.journal_position == "mixed":
        service = "tender"
        outside = [axle.role in ("tender", "engine_truck") for axle in c.museum.axles_of(c.vehicle.vehicle)]
        loads = None if loads is None or not any(outside) else loads[np.array(outside)]
    if label is None:
        return unknown("Journal rating", c.vehicle.name, "measure the journals' diameter and length")
    size = parse_journal_size(label)
    ratings = [r for r in c.museum.journal_ratings if r.journal and parse_journal_size(r.journal) == size]
    row = next((r for r in ratings if r.service == service), None)
    if row is None:
        return unknown("Journal rating", c.vehicle.name, f"find the rating of a {label} journal in {service} service")
    return axle_load.journal(loads, row.axle_rating, f"{label} in, {service}", row.source)


def _over_rail(c: Carriage, field: str, name: str, check: Callable[[Any], Check]) -> Check:
    answers = [
        check(leg) if getattr(leg, field) is not None else unknown(name, leg.name, f"ask the railroad for {leg.name}")
        for leg in c.museum.route("rail")
    ]
    return worst(answers, name, "enter the rail route")


def _track_axle_limit(c: Carriage) -> Check:
    _, loads = _loads(c)
    return _over_rail(c, "axle_limit", "Track axle limit", lambda leg: axle_load.axle_limit(loads, leg.axle_limit, leg.name))


def _gross_rail_load(c: Carriage) -> Check:
    positions, loads = _loads(c)
    gross = None if loads is None else Quantity(float(loads.m_as("lb").sum()), "lb")
    axles = len(positions.magnitude)
    return _over_rail(
        c, "gross_limit", "Gross rail load", lambda leg: axle_load.gross_limit(gross, axles, leg.gross_limit, leg.name)
    )


def _rail_bridge(c: Carriage) -> Check:
    positions, loads = _loads(c)
    answers = []
    for bridge, check in carriages.rail_bridge_checks(c.museum, positions, loads, c.load):
        missing = "weigh it and measure the span"
        answers.append(check or unknown("Rail bridge", bridge.title, missing))
    return worst(answers, "Rail bridge", "enter the bridges of the rail route")


def _curve(c: Carriage) -> Check:
    allowed = c.flat_car.sharpest_curve if c.flat_car else c.vehicle.sharpest_curve
    if allowed is None:
        return unknown("Curve", c.vehicle.name, "find the sharpest curve it may take")
    return _over_rail(c, "curve", "Curve", lambda leg: clearance.curve_limit(leg.curve, allowed, leg.name))


def _side_clearance(c: Carriage) -> Check:
    unit = c.vehicle
    # An engine is judged without its tender: the drawbar lets the two turn.
    whole = unit.length if unit.trucks else unit.body_length
    centres, length = unit.truck_centres, whole
    if c.path.carried_on == "flat_car":
        if c.load is None:
            return unknown("Side clearance", unit.name, "weigh it: the flat car depends on the weight")
        centres, length = (c.flat_car or c.museum.flat_cars[-1]).truck_centres, unit.body_length
    if unit.width is None or length is None or centres is None:
        return unknown("Side clearance", unit.name, "measure width, length and truck centres")
    length = max(length, centres)

    def side(leg: Any) -> Check:
        if leg.curve is None:
            return unknown("Side clearance", leg.name, f"ask the railroad for the sharpest curve of {leg.name}")
        return clearance.side(unit.width, centres, length, leg.curve, leg.clear_half_width, leg.name)

    return _over_rail(c, "clear_half_width", "Side clearance", side)


def _height_clearance(c: Carriage) -> Check:
    if c.loaded_height is None:
        return unknown("Height", c.vehicle.name, "measure height and underside")
    needed = limit(c.museum, "vertical_clearance", "in")
    if needed is None:
        return unknown("Height", "limits.csv", "enter the vertical clearance the railroad asks for")
    return _over_rail(
        c, "clear_height", "Height", lambda leg: clearance.height(c.loaded_height, leg.clear_height, needed, leg.name)
    )


def _flat_car_clearance(c: Carriage) -> Check:
    return worst([_height_clearance(c), _side_clearance(c)], "Clearance on the flat car", "measure it")


def _flat_car_load(c: Carriage) -> Check:
    if c.load is None:
        return unknown("Flat car load", c.vehicle.name, "weigh the body")
    car = c.flat_car or c.museum.flat_cars[-1]
    status = "fail" if c.flat_car is None else judge(c.load, car.load_limit)
    note = "The car owner's diagram and the railroad's load engineer decide."
    return Check("Flat car load", car.title, c.load, car.load_limit, status, car.load_limit - c.load, car.source, note)


def _crane(c: Carriage) -> Check:
    radius = limit(c.museum, "crane_radius", "ft")
    return lifting.crane(c.arrangement, c.vehicle.body_weight, radius, "the heaviest lift")


def _coupler_height(c: Carriage) -> Check:
    if c.vehicle.coupler_height is None:
        return unknown("Coupler height", c.vehicle.name, "measure the couplers above the rail")
    low, high = (limit(c.museum, f"coupler_height_{end}", "in") for end in ("low", "high"))
    if low is None or high is None:
        return unknown("Coupler height", c.vehicle.name, "enter the limits of coupler height")
    return clearance.coupler_height(c.vehicle.coupler_height, low, high)


def _outside_boxes(c: Carriage) -> Check:
    name = "Bearings can be converted"
    position = c.vehicle.journal_position
    note = "Inside driving boxes cannot take roller-bearing adapters; the mechanical officer confirms."
    status = "pass" if position == "outside" else "fail"
    return Check(name, f"{position} boxes", None, None, status, None, "physical; common practice, no source", note)


def _freight_car_age(c: Carriage) -> Check:
    age = c.museum.limit("freight_car_age")
    row = next((row for row in c.museum.limits if row.limit == "freight_car_age"), None)
    if age is None or row is None:
        return unknown("Age of a freight car", c.vehicle.name, "enter the age limit in force")
    return running.over_age(c.vehicle.built, c.museum.scenario.start.year, age)


def _yard_only(c: Carriage) -> Check:
    return running.idler_trucks(c.path.mode == "yard", False)


def _season(c: Carriage) -> Check:
    """Name the long closures of the calendars this path's tasks work on; the schedule already keeps out of them."""
    used = {task.calendar for task in c.museum.of_path("tasks", c.path.path)}
    start, end = c.museum.scenario.start, c.museum.scenario.deadline
    closures = [r for r in c.museum.calendars if r.rule == "closed" and r.calendar in used]
    long = [r for r in closures if r.last >= start and r.first <= end and (r.last - r.first).days > 14]
    subject = "; ".join(f"{r.reason}, {r.first} to {r.last}" for r in long) or "no season closes the route"
    note = "The state and county confirm the dates each year."
    return Check("Season", subject, None, None, "marginal" if long else "pass", None, "calendars.csv", note)


def _trailer(c: Carriage) -> Any:
    return c.trailer or [row for row in c.museum.trailers if row.used_for == c.path.carried_on][-1]


def _trailer_payload(c: Carriage) -> Check:
    if c.load is None:
        return unknown("Trailer payload", c.vehicle.name, "weigh it")
    trailer = _trailer(c)
    status = "fail" if c.trailer is None else judge(c.load, trailer.payload)
    margin = trailer.payload - c.load
    note = "The hauler confirms."
    return Check("Payload", trailer.title, c.load, trailer.payload, status, margin, trailer.source, note)


def _trailer_axle_load(c: Carriage) -> Check:
    if c.load is None:
        return unknown("Trailer axle load", c.vehicle.name, "weigh it")
    trailer = _trailer(c)
    return road.axle_load(c.load, trailer.tare, len(trailer.axle_positions), trailer.axle_limit)


def _road_bridge(c: Carriage) -> Check:
    if c.load is None:
        return unknown("Road bridge", c.vehicle.name, "weigh it")
    avoided = {leg.detour_for for leg in c.road}
    legs = {leg.segment for leg in c.road}
    crossed = [b for b in c.museum.bridges if b.segment in legs and b.bridge not in avoided and b.rating == "hs20_factor"]
    answers = [
        carriages.road_bridge_check(b, _trailer(c), c.load)
        if b.span is not None
        else unknown("Road bridge", b.title, "ask the owner for span and rating")
        for b in crossed
    ]
    return worst(answers, "Road bridge", "enter the bridges of the road route")


def _road_height(c: Carriage) -> Check:
    if c.loaded_height is None:
        return unknown("Road height", c.vehicle.name, "measure height and underside")
    needed = limit(c.museum, "vertical_clearance", "in")
    if needed is None:
        return unknown("Road height", "limits.csv", "enter the vertical clearance the hauler asks for")
    answers = [road.overall_height(c.loaded_height, leg.clear_height, needed, leg.name) for leg in c.road]
    return worst(answers, "Road height", "survey the route for its lowest structure")


def _turn(c: Carriage) -> Check:
    if c.load is None:
        return unknown("Turn", c.vehicle.name, "weigh it: the trailer depends on the weight")
    trailer = _trailer(c)
    wheelbase = Quantity(np.array([trailer.wheelbase.m_as("ft")]), "ft")
    beside = limit(c.museum, "turn_clearance", "in") or Quantity(0, "in")
    answers = []
    for leg in c.road:
        if leg.turn_radius is None or leg.width_limit is None:
            answers.append(unknown("Turn", leg.name, f"survey the turns of {leg.name}"))
            continue
        width = max(trailer.width, c.vehicle.width) if c.vehicle.width is not None else trailer.width
        answers.append(swept_path.turn(width, leg.turn_radius, wheelbase, leg.width_limit - beside, leg.name))
    return worst(answers, "Turn", "survey the turns")


def _transporter_ground(c: Carriage) -> Check:
    allowed = limit(c.museum, "transporter_ground_pressure", "lb/ft**2")
    if c.load is None or allowed is None:
        return unknown("Transporter ground pressure", c.vehicle.name, "weigh it and test the ground by plate")
    trailer = _trailer(c)
    lines = len(trailer.axle_positions)
    pitch = Quantity(float(np.diff(trailer.axle_positions).mean()), "ft")
    tare = trailer.tare / lines
    return transporter.transporter_ground_pressure(c.load, lines, tare, Quantity(0, "lb"), pitch, trailer.width, allowed)


def _winch_pull(c: Carriage) -> Check:
    rating = limit(c.museum, "winch_line_rating", "lbf")
    # An unknown bearing is pulled as a plain one, which starts harder.
    bearing = "roller" if c.vehicle.bearing in ("roller", "converted_roller") else "plain"
    start = limit(c.museum, f"starting_resistance_{bearing}", "lb/short_ton")
    grade = limit(c.museum, "ramp_grade", "percent")
    if None in (c.vehicle.weight, rating, start, grade):
        return unknown("Winch pull", c.vehicle.name, "weigh it; ask the hauler for ramp grade and winch line rating")
    return haulage.winch_pull(c.vehicle.weight, start, grade, rating)


def _cargo_securement(c: Carriage) -> Check:
    names = ("weight_share", "direct_credit", "short_length", "light_weight", "spacing", "heavy_minimum")
    values = {name: c.museum.limit(f"tie_down_{name}") for name in names}
    offered, chain = c.museum.limit("tie_downs_carried"), limit(c.museum, "chain_working_load", "lb")
    if offered is None or chain is None or None in values.values():
        return unknown("Cargo securement", c.vehicle.name, "list the hauler's chains and enter the securement limits")
    return securement.securement(
        int(offered), c.vehicle.weight, c.vehicle.length, chain, True, True, True,
        weight_share=values["weight_share"], direct_credit=values["direct_credit"],
        short_length=Quantity(values["short_length"], "ft"), light_weight=Quantity(values["light_weight"], "lb"),
        spacing=Quantity(values["spacing"], "ft"), heavy_minimum=int(values["heavy_minimum"]),
    )  # fmt: skip


#: Check name in gates.csv -> the function that runs it.
CHECKS: dict[str, Callable[[Carriage], Check]] = {
    "cargo_securement": _cargo_securement,
    "coupler_height": _coupler_height,
    "crane": _crane,
    "curve": _curve,
    "flat_car_clearance": _flat_car_clearance,
    "flat_car_load": _flat_car_load,
    "freight_car_age": _freight_car_age,
    "gross_rail_load": _gross_rail_load,
    "height_clearance": _height_clearance,
    "journal_rating": _journal_rating,
    "outside_boxes": _outside_boxes,
    "rail_bridge": _rail_bridge,
    "road_bridge": _road_bridge,
    "road_height": _road_height,
    "roll_on_payload": _trailer_payload,
    "season": _season,
    "side_clearance": _side_clearance,
    "track_axle_limit": _track_axle_limit,
    "trailer_axle_load": _trailer_axle_load,
    "trailer_payload": _trailer_payload,
    "transporter_ground": _transporter_ground,
    "turn": _turn,
    "winch_pull": _winch_pull,
    "yard_only": _yard_only,
}
