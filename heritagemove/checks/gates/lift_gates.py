"""Gates of the lift: crane, slings, the ground under it, the line above it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.checks.gates.carriage import OF_THE_LIFT, Carriage
from heritagemove.checks.gates.lookup import limit
from heritagemove.checks.lift import lift_site, lifting, slings
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity, parse, show

#: Voltages of 29 CFR 1926.1408, Table A, whose clearances are limit rows [kV].
_VOLTAGES = (50, 200, 350, 500, 750, 1000)


def _crane(c: Carriage) -> Check:
    radius = limit(c.museum, "crane_radius", "ft")
    wanted = [f"{name} in limits.csv" for name in OF_THE_LIFT if c.museum.limit(name) is None]
    wanted += [] if c.museum.cranes else ["the load chart of the hired crane in cranes.csv"]
    if wanted:
        return unknown("Crane capacity", "the heaviest lift", f"enter {', '.join(wanted)}")
    return lifting.crane(c.arrangement, c.body.weight, radius, "the heaviest lift")


def _sling_angle(c: Carriage) -> Check:
    """Take one crane's legs along the body from pick to pick, two cranes' legs across it."""
    name, unit, weight = "Sling angle", c.vehicle, c.body.weight
    headroom, lowest = limit(c.museum, "sling_headroom", "ft"), limit(c.museum, "sling_lowest_angle", "degree")
    tandem = c.arrangement is not None and c.arrangement.cranes == 2
    span = unit.width if tandem else unit.lift_spread
    offset = Quantity(0, "ft") if tandem else unit.centre_of_gravity_offset
    if None in (weight, span, offset, headroom, lowest):
        measure = "weigh the body; measure its lift points and how high the hook stands above them"
        return unknown(name, unit.name, measure)
    weight = c.arrangement.share if tandem else weight
    reaches = span / 2 - offset, span / 2 + offset
    angle = Quantity(math.degrees(math.atan2(headroom.m_as("ft"), max(reaches).m_as("ft"))), "degree")
    note = "A qualified rigger chooses slings, fittings and lift points; the tilt of the hook is not counted."
    source = "29 CFR 1910.184 and ASME B30.9 as quoted; statics of two legs"
    subject = f"flattest leg at {angle.magnitude:.0f}° from the horizontal, allowed {lowest.magnitude:g}° to 90°"
    if angle < lowest:
        return Check(name, subject, lowest, angle, "fail", None, source, f"A spreader or more headroom is needed. {note}")
    tension = slings.unequal_sling_tensions(weight, *reaches, headroom, lowest).m_as("lbf").max()
    subject += f", {_shown(c, Quantity(tension, 'lbf'))} in the tightest"
    return Check(name, subject, lowest, angle, judge(lowest, angle), None, source, note)


def _outrigger_ground(c: Carriage) -> Check:
    """Set the crane chosen, with its hook load, on one mat over the soil that the survey found."""
    name, museum = "Ground under the crane", c.museum
    share, mat = museum.limit("outrigger_share"), limit(museum, "outrigger_mat_area", "ft**2")
    soil, found = museum.fact(c.vehicle.vehicle, "soil_class"), c.arrangement
    points = [row for row in museum.cranes if found is not None and row.crane == found.crane]
    if not points or share is None or mat is None:
        return unknown(name, c.vehicle.name, "weigh the body, enter the crane in cranes.csv and ask for its mats")
    bearing = limit(museum, f"bearing_{soil}", "lb/ft**2")
    subject = f"mat of {_shown(c, mat)} on {soil or 'unknown soil'}"
    check = lift_site.ground_pressure(points[0].crane_weight, found.hook_load, share / 100, mat, bearing, subject)
    if check.margin is None:
        return check
    # The margin is the hook's; the unit may grow by as much more as it weighs more than its hook load.
    margin = check.margin * float(c.body.weight / found.hook_load)
    needed = mat * float(check.demand / check.capacity)
    return replace(check, margin=margin, note=f"{_shown(c, needed)} of mat would do. {check.note}")


def _power_line(c: Carriage) -> Check:
    """Compare the nearest line's distance with its voltage's clearance; both are facts of the site."""
    rows = [limit(c.museum, f"power_line_to_{kv}_kv", "ft") for kv in _VOLTAGES]
    if None in rows:
        return unknown("Power line near the lift", "lift site", "enter the clearances of 29 CFR 1926.1408, Table A")
    clearances = Quantity(np.array([row.magnitude for row in rows]), "ft")
    facts = {"power_line_distance": "ft", "power_line_voltage": "kV"}
    distance, voltage = (_measured(c.museum.fact(c.vehicle.vehicle, clue), unit) for clue, unit in facts.items())
    check = lift_site.power_line(distance, voltage, Quantity(np.array(_VOLTAGES, dtype=float), "kV"), clearances)
    return replace(check, margin=None)


def _shown(c: Carriage, quantity: Quantity) -> str:
    system = c.museum.scenario.units
    return show_measure(quantity, system) if system == "SI" else show(quantity)


def _measured(found: str | None, unit: str) -> Quantity | None:
    """Read a fact that is a quantity, such as 25 ft or 12.5 kV; anything else is not known."""
    try:
        return None if found is None else parse(found, unit)
    except ValueError:
        return None


_OWN = (
    _crane, _outrigger_ground, _power_line, _sling_angle,
)  # fmt: skip
CHECKS: dict[str, Callable[[Carriage], Check]] = {check.__name__[1:]: check for check in _OWN}
