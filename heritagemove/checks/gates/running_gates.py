"""Gates of a unit on its own wheels: journals, couplers, age, brakes, the pull that starts it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.checks.gates import by_rail, swapped_trucks
from heritagemove.checks.gates.carriage import Carriage, axle_train
from heritagemove.checks.gates.lookup import limit, worst
from heritagemove.checks.rail import clearance
from heritagemove.checks.running import axle_load, haulage, resistance, running
from heritagemove.survey import readiness
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity, parse_journal_size


def _journal_rating(c: Carriage) -> Check:
    """Rate the outside journals; driving journals inside the frame are the builder's, not in any table here."""
    _, loads = axle_train(c.museum, c.vehicle, c.load)
    if (trucks := swapped_trucks.trucks_under(c.museum, c.stage)) is not None:
        return _rated(c, trucks.journal, "freight", loads)
    service = "passenger" if c.vehicle.kind in readiness.CARRYING_PEOPLE else "freight"
    axles = c.museum.axles_of(c.vehicle.vehicle)
    outside = np.ones(len(axles), dtype=bool)
    if c.vehicle.journal_position == "mixed":
        service = "tender"
        outside = np.array([axle.role in ("tender", "engine_truck") for axle in axles])
    sizes = np.array([readiness.journal_size(c.museum, c.vehicle, axle)[0] for axle in axles], dtype=object)
    groups = {size: outside & (sizes == size) for size in dict.fromkeys(sizes[outside])}
    rated = [_rated(c, size, service, None if loads is None else loads[group]) for size, group in groups.items()]
    return worst(rated, "Journal rating", "enter the axles with outside boxes in axles.csv")


def _rated(c: Carriage, label: str | None, service: str, loads: Quantity | None) -> Check:
    """Rate the axles whose journals are of one size."""
    if label is None:
        return unknown("Journal rating", c.vehicle.name, "measure the journals' diameter and length")
    size = parse_journal_size(label)
    ratings = [r for r in c.museum.journal_ratings if r.journal and parse_journal_size(r.journal) == size]
    row = next((r for r in ratings if r.service == service), None)
    if row is None:
        return unknown("Journal rating", c.vehicle.name, f"find the rating of a {label} journal in {service} service")
    return axle_load.journal(loads, row.axle_rating, f"{label} in, {service}", row.source)


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
    if swapped_trucks.trucks_under(c.museum, c.stage) is not None and c.museum.trucks(c.vehicle.vehicle) != 2:
        note = "Other trucks are put under a body that stands on two of its own; pieces.csv has another number."
        return Check("Trucks to swap", c.vehicle.name, None, None, "fail", None, "physical; pieces.csv", note)
    return Check(name, f"{position} boxes", None, None, status, None, "physical; common practice, no source", note)


def _plain_bearings(c: Carriage) -> Check:
    """Convert what runs on plain bearings; wheelsets without motors may be worth it for any heavy engine."""
    name, kind = "Bearings to convert", c.bearings.replace("_", " ")
    if c.bearings == "unknown":
        return unknown(name, c.vehicle.name, c.dispute or "open a journal box and put what is seen in survey.csv")
    lighter = "motors" in c.path.takes_out and c.vehicle.motors > 0
    status = "pass" if c.bearings == "plain" or lighter else "fail"
    note = "It already rolls on roller bearings." if status == "fail" else "The mechanical officer confirms."
    return Check(name, f"{kind} bearings", None, None, status, None, "the path's purpose; the survey of the boxes", note)


def _freight_car_age(c: Carriage) -> Check:
    age = c.museum.limit("freight_car_age")
    row = next((row for row in c.museum.limits if row.limit == "freight_car_age"), None)
    if age is None or row is None:
        return unknown("Age of a freight car", c.vehicle.name, "enter the age limit in force")
    return running.over_age(c.vehicle.built, c.museum.scenario.start.year, age)


def _yard_only(c: Carriage) -> Check:
    if not c.legs:
        return unknown("Idler trucks", c.vehicle.name, "enter the legs of the yard move in stages.csv")
    return running.idler_trucks(all(leg.owner in ("site", "museum") for leg in c.legs), False)


def _brake_test(c: Carriage) -> Check:
    """Say which brake test is due and what stands against it: no unit that is offered with a dead brake may leave."""
    name, longest = "Brake test", limit(c.museum, "transfer_test_distance", "mile")
    if longest is None:
        return unknown(name, "move", "enter the longest move on a transfer test")
    miles = by_rail.rail_miles(c.museum)
    if not miles:
        return unknown(name, "move", "enter the rail route in legs.csv")
    far = running.transfer_test(miles, longest).status == "fail"
    which = "a Class I test, 49 CFR 232.205" if far else "at least a transfer test, 49 CFR 232.215"
    shown = show_measure(miles, c.museum.scenario.units)
    found = [c.museum.fact(c.vehicle.vehicle, clue) for clue in ("brake_complete", "train_line_holds")]
    works = all(seen == "yes" for seen in found)
    state = "works as found" if works else "is repaired first" if "no" in found else "is not known to work"
    note = (
        f"Its own brake {state}: each car's must work where a train is made up (49 CFR 232.103(d)); the rule for a brake "
        "that fails on the way (232.15) does not cover a unit offered with a dead one. The carrier's own rule may ask more."
    )
    status = "pass" if works else "open"
    return Check(name, f"{shown} ask for {which}", None, None, status, None, "49 CFR 232.103, .15, .205, .215", note)


def starting_rate_of(c: Carriage) -> Quantity | None:
    """Return the starting resistance of the unit's bearings [lb/short_ton]; None where no limit gives it."""
    plain, roller = (limit(c.museum, f"starting_resistance_{kind}", "lbf/short_ton") for kind in ("plain", "roller"))
    bearing = "unknown" if c.bearing_dispute else c.vehicle.bearing
    return None if plain is None or roller is None else resistance.starting_rate(bearing, plain, roller)


def _starting_pull(c: Carriage) -> Check:
    """Start the unit and its spacers on the steepest leg with what the towing engine has at the drawbar."""
    name, museum = "Starting pull", c.museum
    adhesion, rate = limit(museum, "starting_adhesion", "percent"), starting_rate_of(c)
    rollers = limit(museum, "starting_resistance_roller", "lbf/short_ton")
    slopes = [(slope, leg.name) for leg in museum.route("rail") if (slope := by_rail.slope(museum, leg)) is not None]
    cars = int(museum.limit("spacer_cars") or 0)
    tables = {"engines": museum.engines, "legs": slopes, "flat_cars": museum.flat_cars or not cars}
    empty = [f"{table}.csv" for table, rows in tables.items() if not rows]
    if c.load is None or empty or None in (adhesion, rate, rollers):
        measure = "weigh it; enter towing engine and spacer cars, adhesion, grades and curves of the route"
        return unknown(name, c.vehicle.name, measure + (f" ({', '.join(empty)})" if empty else ""))
    engine = museum.engines[0]
    effort = Quantity(engine.weight.m_as("lb") * adhesion.m_as("percent") / 100, "lbf")
    drawbar = haulage.drawbar_pull(effort, engine.weight, rollers)

    slope, steepest = max(slopes, key=lambda pair: pair[0])
    demand = resistance.train_resistance(c.load, rate, slope)
    if cars:
        demand += resistance.train_resistance(museum.flat_cars[0].light_weight * cars, rollers, slope)
    note = "Bearings that stood for years start several times harder; the mechanical officer and the carrier decide."
    note += f" Engine planned with: {engine.title}."
    source = "US Army TR0603, pages 76 to 83; adhesion from its limit row"
    status = judge(demand, drawbar)
    if status == "fail":
        status, note = "open", f"The carrier must send a heavier engine or a second one. {note}"
    return Check(name, steepest, demand, drawbar, status, None, source, note)


_OWN = (
    _brake_test, _coupler_height, _freight_car_age, _journal_rating, _outside_boxes, _plain_bearings, _starting_pull,
    _yard_only,
)  # fmt: skip
CHECKS: dict[str, Callable[[Carriage], Check]] = {check.__name__[1:]: check for check in _OWN}
