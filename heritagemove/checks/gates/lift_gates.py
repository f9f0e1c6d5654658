"""Gates of the lift: cranes, slings, wind, and at both ends of the way the ground, the room and the lines above."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from heritagemove.checks.check import Check, Status, judge, unknown
from heritagemove.checks.gates import body, cranes, ground, on_the_deck
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.checks.gates.lookup import limit, worst
from heritagemove.checks.lift import lift_site, lifting, slings, wind
from heritagemove.checks.rail import rail_securement
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity, show

#: Voltages of 29 CFR 1926.1408, Table A, whose clearances are limit rows [kV].
_VOLTAGES = (50, 200, 350, 500, 750, 1000)


def _crane(c: Carriage) -> Check:
    """Let the hook carry its part, at the larger radius of pick and set, with every crane clear of the load."""
    name, subject, museum, unit = "Crane capacity", "the heaviest lift", c.museum, c.vehicle
    wanted = cranes.lacking(museum)
    if wanted:
        return unknown(name, subject, f"enter {', '.join(wanted)}")
    blind = [place.title for place in cranes.places(museum, c.stage) if place.radius is None]
    if blind:
        return unknown(name, subject, f"measure from crane centre to hook at {' and '.join(blind)}")
    if body.body_width(museum, unit) is None:
        return unknown(name, subject, "measure the body's width: half of it is part of the radius")
    radius = cranes.radius(museum, c.stage)
    check = lifting.crane(c.arrangement, c.body.weight, radius, subject)
    if check.status != "fail":
        return check
    standing = {row.crane for row in cranes.standing(museum, unit, c.stage)}
    near = {row.crane: cranes.clear_radius(museum, unit, row) for row in museum.cranes if row.crane not in standing}
    if near:
        nearest = min((place for place in cranes.places(museum, c.stage)), key=lambda place: place.radius)
        words = ", ".join(f"{crane} {_shown(c, least)}" for crane, least in near.items())
        far = f"{_shown(c, nearest.radius)} at {nearest.title} is nearer than this load lets these stand: {words}. "
        return replace(check, note=far + check.note)
    if None in (unit.lift_spread, body.offset_of_centre(c.museum, unit), cranes.hooks_above_centre(museum, unit)):
        find = "measure the picks and the body's centre of gravity: one crane does not lift it, and two are not known"
        return unknown(name, subject, find)
    return check


def _sling_angle(c: Carriage) -> Check:
    """Take one crane's legs along the body from pick to pick, two cranes' legs across it, under the lower hook."""
    name, unit = "Sling angle", c.vehicle
    headroom = [place.headroom for place in cranes.places(c.museum, c.stage)]
    lowest = limit(c.museum, "sling_lowest_angle", "degree")
    tandem = c.arrangement is not None and c.arrangement.cranes == 2
    span = body.body_width(c.museum, unit) if tandem else unit.lift_spread
    offset = Quantity(0, "ft") if tandem else body.offset_of_centre(c.museum, unit)
    if not headroom or None in (c.body.weight, span, offset, lowest, *headroom):
        measure = "weigh the body; measure its lift points and how high the hook stands above them at both ends"
        return unknown(name, unit.name, measure)
    place = min(cranes.places(c.museum, c.stage), key=lambda row: row.headroom)
    weight = c.arrangement.share if tandem else c.body.weight
    reaches = span / 2 - offset, span / 2 + offset
    flattest = math.atan2(place.headroom.m_as("ft"), max(reaches).m_as("ft"))
    angle = Quantity(math.degrees(flattest), "degree")
    note = "A qualified rigger chooses slings, fittings and lift points; the tilt of the hook is not counted."
    source = "29 CFR 1910.184 and ASME B30.9 as quoted; statics of two legs"
    subject = f"flattest leg at {angle.magnitude:.0f}° from the horizontal, allowed {lowest.magnitude:g}° to 90°"
    if min(reaches) <= Quantity(0, "ft"):
        text = "The body's centre of gravity lies outside its picks: it would turn over. Other lift points are needed."
        return Check(name, subject, None, None, "fail", None, source, text)
    if angle < lowest:
        return Check(name, subject, lowest, angle, "fail", None, source, f"A spreader or more headroom is needed. {note}")
    tension = slings.unequal_sling_tensions(weight, *reaches, place.headroom, lowest).m_as("lbf").max()
    subject += f", {_shown(c, Quantity(tension, 'lbf'))} in the tightest"
    return Check(name, subject, lowest, angle, judge(lowest, angle), None, source, note)


def _outrigger_ground(c: Carriage) -> Check:
    """Set the crane chosen, with its hook load, on one mat over the ground of each place."""
    name, museum = "Ground under the crane", c.museum
    share, found = museum.limit("outrigger_share"), c.arrangement
    if found is None or share is None:
        return unknown(name, c.vehicle.name, "weigh the body, and enter the crane that lifts it in cranes.csv")
    weight = cranes.class_of(museum, found.crane).crane_weight

    def at(place: Any) -> Check:
        if place.pad_area is None:
            return unknown(name, place.title, f"measure the pad or mats under one outrigger at {place.title}")
        pad = f"{_shown(c, place.pad_area)} of {place.pad_material or 'mats'}"
        subject = f"{pad} on {ground.ground_named(place)}, {place.title}"
        bearing = ground.bearing(museum, place)
        check = lift_site.ground_pressure(weight, found.hook_load, share / 100, place.pad_area, bearing, subject)
        if check.margin is None:
            return check
        # The margin is the hook's, allowance and all; the unit may grow by as much more as it weighs more than its share.
        margin = check.margin * float(c.body.weight / found.share) / museum.limit("lift_factor")
        needed = place.pad_area * float(check.demand / check.capacity)
        return replace(check, margin=margin, note=f"{_shown(c, needed)} of mat would do. {check.note}")

    return _at_both_ends(c, name, at)


def _power_line(c: Carriage) -> Check:
    """Let the utility's word on a line answer, else its distance against the clearance of its voltage."""
    name = "Power line near the lift"
    rows = [limit(c.museum, f"power_line_to_{kv}_kv", "ft") for kv in _VOLTAGES]
    said = {"yes": "the utility has lifted, moved or deadened the line", "not_needed": "no line within reach"}

    def at(place: Any) -> Check:
        if place.power_lines_cleared in said:
            note = "The utility confirms it in writing for the day of the lift."
            subject = f"{said[place.power_lines_cleared]}, {place.title}"
            return Check(name, subject, None, None, "pass", None, "29 CFR 1926.1408(a)", note)
        if None in rows:
            return unknown(name, place.title, "enter the clearances of 29 CFR 1926.1408, Table A")
        clearances = Quantity(np.array([row.magnitude for row in rows]), "ft")
        kilovolts = Quantity(np.array(_VOLTAGES, dtype=float), "kV")
        line = place.power_line_distance, place.power_line_voltage
        return replace(lift_site.power_line(*line, kilovolts, clearances, place.title), margin=None)

    return _at_both_ends(c, name, at)


def _crane_access(c: Carriage) -> Check:
    """Ask at each place whether cranes get in, and whether the tail of the crane chosen swings clear."""
    name, clearance = "Room for the crane", limit(c.museum, "crane_clearance", "ft")
    tail = None if c.arrangement is None else cranes.class_of(c.museum, c.arrangement.crane).tail_swing

    def at(place: Any) -> Check:
        said = _said(name, place, "crane_access", "cranes get in, and their pad is clear")
        if said.status != "pass":
            return said
        return replace(lift_site.tail_room(tail, clearance, place.obstruction, place.title), margin=None)

    return _at_both_ends(c, name, at)


def _services_located(c: Carriage) -> Check:
    """Ask at each place whether what is buried there is located: mats stand on it; a call has it marked."""
    name, words = "Buried services", "buried drains, pipes and cables are located and marked"
    return _at_both_ends(c, name, lambda place: _said(name, place, "services_located", words, "open"))


def _said(name: str, place: Any, column: str, words: str, otherwise: Status = "fail") -> Check:
    found, source = getattr(place, column), f"places.csv, {column}"
    if found is None:
        return unknown(name, place.title, f"find out at {place.title} whether {words}", source)
    subject, note = f"{words}: {found}, {place.title}", "Whoever controls the place tells."
    return Check(name, subject, None, None, "pass" if found == "yes" else otherwise, None, source, note)


def _wind(c: Carriage) -> Check:
    """Compare the wind in which the lift director stops with what the crane allows for this body's side."""
    unit, museum = c.vehicle, c.museum
    if c.arrangement is None:
        return unknown("Wind on the load", unit.name, "weigh the body, and enter the crane that lifts it in cranes.csv")
    crane = cranes.class_of(museum, c.arrangement.crane)
    area, counted = body.body_side(museum, unit), limit(museum, "sail_area_counted", "ft**2/lb")
    subject = "side of the body" if area is None else f"{_shown(c, area)} of side on {_shown(c, c.body.weight)}"
    stop, drag = limit(museum, "lift_wind_stop", "mph"), museum.limit("sail_drag")
    check = wind.wind(stop, crane.wind_limit, c.body.weight, area, drag, counted, subject)
    return replace(check, margin=None)


def _tipping(c: Carriage) -> Check:
    """Stand the body on its sills, or on its wheels, with no tie-down: what tips so hangs on who draws what holds it."""
    museum, unit, flat = c.museum, c.vehicle, c.carried_on == "flat_car"
    drawing = on_the_deck.drawing_of(museum, unit, c.car) if flat and c.car else None
    aside = getattr(drawing, "lateral", None) if flat else museum.limit("restraint_breaking_sideways")
    if not aside:
        find = "ask the railroad for its sideways factor" if flat else "enter the sideways restraint in limits.csv"
        return unknown("Tipping", unit.name, find)
    height, resting = body.height_of_centre(museum, unit), c.body.resting
    wide = limit(museum, "deck_rails_apart", "ft") if c.body.wheels_on else body.body_width(museum, unit)
    above = None if None in (height, resting) else height - resting
    on = f"{'on its wheels' if c.body.wheels_on else 'on its sills'}, {aside:g} g sideways"
    if above is not None and above <= Quantity(0, "ft"):
        note = "Its centre of gravity hangs below what it stands on."
        return Check("Tipping", on, None, None, "pass", None, "Statics", note)
    check = rail_securement.tipping(above, None if wide is None else wide / 2, aside, on)
    if check.status != "fail":
        return check
    note = f"It tips before its sideways factor unless side tie-downs or shoring hold it. {check.note}"
    return replace(check, status="open", margin=None, note=note)


def _at_both_ends(c: Carriage, name: str, check: Callable[[Any], Check]) -> Check:
    """Return the check of the place that decides."""
    answers = [check(place) for place in cranes.places(c.museum, c.stage)]
    return worst(answers, name, "enter where the cranes stand in places.csv")


def _shown(c: Carriage, quantity: Quantity) -> str:
    system = c.museum.scenario.units
    return show_measure(quantity, system) if system == "SI" else show(quantity)


_OWN = (
    _crane, _crane_access, _outrigger_ground, _power_line, _services_located, _sling_angle, _tipping, _wind,
)  # fmt: skip
CHECKS: dict[str, Callable[[Carriage], Check]] = {check.__name__[1:]: check for check in _OWN}
