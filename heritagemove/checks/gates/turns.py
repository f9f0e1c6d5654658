"""Gates and turns of the road route: a pass is sure, a load wider than the gate stops, between them the hauler draws."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pint

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.checks.gates.lookup import limit, worst
from heritagemove.checks.road import swept_path
from heritagemove.units.units import Quantity, show

_NAME = "Turn"
_DRAWN = "A short turn sweeps less than steady state: the hauler's drawing of this turn decides, before a permit is asked."


def turn(c: Carriage) -> Check:
    """Check every turn of the road route: what the loaded trailer or transporter sweeps against the width there is."""
    if c.load is None:
        return unknown(_NAME, c.vehicle.name, "weigh it: the trailer depends on the weight")
    if c.vehicle.width is None:
        return unknown(_NAME, c.vehicle.name, "measure its width")
    answers = [_at(c, leg) for leg in c.road]
    return worst(answers, _NAME, "enter the road route in legs.csv, with its turns")


def _at(c: Carriage, leg: Any) -> Check:
    if leg.turn_radius is None or leg.width_limit is None:
        return unknown(_NAME, leg.name, f"survey the turns of {leg.name}")
    width = max(c.hauler.width, c.vehicle.width)
    beside = limit(c.museum, "turn_clearance", "in")
    if beside is None:
        return unknown(_NAME, leg.name, "enter turn_clearance in limits.csv: the room to keep beside the swept path")
    available = leg.width_limit - beside
    if available.magnitude <= 0 or width > available:
        return replace(_straight(width, leg, available), status="fail")
    if leg.turn_radius < c.hauler.turn_radius:
        note = f"{c.hauler.title} does not turn so tightly; the hauler confirms."
        needed, there = c.hauler.turn_radius, leg.turn_radius
        return Check(_NAME, f"radius of the turn, {leg.name}", needed, there, "fail", None, c.hauler.source, note)
    if limit(c.museum, "axle_group_gap", "ft") is None:
        return unknown(_NAME, leg.name, "enter axle_group_gap in limits.csv: from what gap on axles stand in two groups")
    swing = _transporter if c.hauler.used_for == "transporter" else _trailer
    return swing(c, leg, width, available)


def _straight(width: pint.Quantity, leg: Any, available: pint.Quantity) -> Check:
    note = "Wider than the gate even without a turn; the road's owner decides what may come out."
    return Check(_NAME, leg.name, width, available, "fail", available - width, "width of the load or trailer", note, "width")


def _trailer(c: Carriage, leg: Any, width: pint.Quantity, available: pint.Quantity) -> Check:
    """Judge a trailer by steady state: within it is a pass, beyond it a caution, without an answer unknown."""
    check = swept_path.steady_turn(width, leg.turn_radius, wheelbases(c), available, leg.name)
    if check.status != "fail":
        return check
    subject = f"{leg.name}, in steady state"
    return replace(check, subject=subject, status="marginal", margin=None, note=f"{_DRAWN} {check.note}")


def wheelbases(c: Carriage) -> pint.Quantity:
    """Return the wheelbases of the hauler's truck and trailers, the last one shortened by its steering [ft].

    Steering is credited as the trailer's row states it, but never with more than the limit row allows.
    """
    gap = limit(c.museum, "axle_group_gap", "ft")
    found = swept_path.axle_wheelbases(Quantity(np.array(c.hauler.axle_positions), "ft"), gap).m_as("ft")
    credited = c.museum.limit("trailer_steered_share") or 0.0
    stated = c.hauler.wheelbase.m_as("ft")
    found[-1] = min(max(stated, found[-1] * (1 - credited)), found[-1])
    return Quantity(found, "ft")


def _transporter(c: Carriage, leg: Any, width: pint.Quantity, available: pint.Quantity) -> Check:
    """Judge a self-propelled transporter by the swing of its corners, load included."""
    if c.body.length is None:
        return unknown(_NAME, leg.name, "measure the length of the body")
    length = max(c.body.length, Quantity(c.hauler.axle_positions[-1], "ft"))
    if leg.turn_radius < width / 2:
        return unknown(_NAME, leg.name, f"have the transporter firm draw the turn on {show(leg.turn_radius, 'ft', 1)}")
    demand = swept_path.corner_swing(width, leg.turn_radius, length)
    note = "All lines steer; crabbing may need less. The transporter firm draws the turn."
    source = "Plane geometry of the load's corners"
    status = judge(demand, available)
    return Check(_NAME, leg.name, demand, available, status, available - demand, source, note, "width")
