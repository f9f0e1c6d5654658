"""Gates of the road: trailer, axles, bridges, heights, turns, pulls, chains, crawl."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.checks.gates import by_road, chains, cranes, ground, turns
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.checks.gates.lookup import limit, over_bridges, unsaid, worst
from heritagemove.checks.gates.piece_loads import PieceLoad
from heritagemove.checks.gates.running_gates import starting_rate_of
from heritagemove.checks.road import restraint, road, road_bridge, securement, transporter
from heritagemove.checks.running import haulage
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity


def _trailer_payload(c: Carriage) -> Check:
    """Compare the load, with the blocking, chains and spreader that ride with it, with what the trailer may carry."""
    payload, row = c.loaded.payload, c.loaded.row
    if c.load is None:
        return unknown("Trailer payload", c.vehicle.name, "weigh it")
    if payload is None:
        return unknown("Trailer payload", row.title, "ask what blocking, chains and spreader on it weigh")
    blocking = show_measure(row.blocking_weight, c.museum.scenario.units)
    note = f"{blocking} of blocking and chains included. The hauler confirms."
    margin = row.payload - payload
    return Check("Payload", row.title, payload, row.payload, judge(payload, row.payload), margin, row.source, note)


def _trailer_axle_load(c: Carriage) -> Check:
    own = c.loaded.own_axles(c.museum.scenario.units)
    by_table = by_road.permit_groups(c.museum, c.loaded, c.road)
    return own if by_table is None else worst([own, by_table], own.name, "weigh it")


def _road_bridge(c: Carriage) -> Check:
    answers = [by_road.bridge_check(bridge, c.loaded) for bridge in by_road.crossed(c.museum, c.road)]
    return over_bridges(c.museum, c.road, "Road bridge", answers)


def _posted_bridge(c: Carriage) -> Check:
    """Compare the loaded trailer with the weight signs; a blank cell says that no sign stands there."""
    name, note = "Posted weight", "The bridges' owners confirm that no sign was put up since."
    bridges = by_road.crossed(c.museum, c.road)
    signs = [bridge for bridge in bridges if bridge.posted_limit is not None]
    if bridges and not signs and not unsaid(c.museum, c.road):
        return Check(name, "no posted bridge on the way", None, None, "pass", None, "bridges.csv", note)
    answers = [road_bridge.posted(c.loaded.gross, bridge.posted_limit, bridge.title) for bridge in signs]
    return over_bridges(c.museum, c.road, name, answers)


def _road_height(c: Carriage) -> Check:
    if c.loaded_height is None:
        return unknown("Road height", c.vehicle.name, "measure height and underside, and ask for the height of the blocking")
    needed = limit(c.museum, "vertical_clearance", "in")
    if needed is None:
        return unknown("Road height", "limits.csv", "enter the vertical clearance the hauler asks for")
    answers = [road.overall_height(c.loaded_height, leg.clear_height, needed, leg.name) for leg in c.road]
    return worst(answers, "Road height", "enter the road route in legs.csv, with its lowest structures")


def _transporter_ground(c: Carriage) -> Check:
    name, allowed = "Transporter ground pressure", limit(c.museum, "transporter_ground_pressure", "lb/ft**2")
    if c.loaded.payload is None or allowed is None:
        return unknown(name, c.vehicle.name, "weigh it with its packing and test the ground by plate")
    answers = [_transporter_at(c, place, allowed) for place in cranes.places(c.museum, c.stage)]
    return worst(answers, name, "enter where the transporter loads and unloads in places.csv")


def _transporter_at(c: Carriage, place: Any, allowed: Quantity) -> Check:
    """Roll the transporter over the ground of a place: what it bears, at most what is planned with on the way."""
    bearing, row, lines = ground.bearing(c.museum, place), c.hauler, len(c.hauler.axle_positions)
    pitch = Quantity(float(np.diff(row.axle_positions).mean()), "ft")
    own = row.tare / lines, Quantity(0, "lb"), pitch, row.width
    subject = f"transporter on {ground.ground_named(place)}, {place.title}"
    allowed = None if bearing is None else min(bearing, allowed)
    return transporter.transporter_ground_pressure(c.load, lines, *own, allowed, subject, row.blocking_weight)


def _crawl(c: Carriage) -> Check:
    return by_road.crawl(c.museum, c.loaded, c.road)


def _winch_pull(c: Carriage) -> Check:
    rating = limit(c.museum, "winch_line_rating", "lbf")
    start = starting_rate_of(c)
    grade, each = limit(c.museum, "ramp_grade", "percent"), limit(c.museum, "grade_resistance", "lbf/short_ton")
    if None in (c.vehicle.weight, rating, start, grade, each):
        return unknown("Winch pull", c.vehicle.name, "weigh it; ask the hauler for ramp grade and winch line rating")
    return haulage.winch_pull(c.vehicle.weight, start, grade, each, rating)


def _cargo_securement(c: Carriage) -> Check:
    """Let the strictest of 49 CFR 393.102, 393.106 and the least numbers of 393.110 and 393.130 answer.

    As many chains as the load needs are priced, however few the hauler brings: what stops is where to hook them.
    """
    name, points, rolls = "Cargo securement", c.hauler.tie_down_points, c.carried_on == "roll_on_trailer"
    chain, rules, forces = chains.chain(c.museum), chains.chain_rules(c.museum), chains.chain_forces(c.museum)
    if None in (chain, rules, forces):
        return unknown(name, c.vehicle.name, "ask for the hauler's chains, size and grade, and enter the securement limits")
    if points is None:
        return unknown(name, c.hauler.title, f"count the points of {c.hauler.title} that take a chain")
    length, offered = turns.load_length(c), int(points)
    by_rule = securement.securement(offered, c.load, length, chain, True, True, rolls, **rules)
    return worst([by_rule, restraint.restraint(offered, c.load, **forces)], name, "weigh it")


def _brake_holding(c: Carriage) -> Check:
    """Hold the unit on the ramp by second line and chocks: its own brake counts for nothing."""
    grade, hold = limit(c.museum, "ramp_grade", "percent"), limit(c.museum, "hold_back_force", "lbf")
    each = limit(c.museum, "grade_resistance", "lbf/short_ton")
    if each is None:
        return unknown("Holding on the grade", "loading ramp", "enter the grade resistance for each per cent in limits.csv")
    return replace(haulage.brake_holding(c.vehicle.weight, grade, each, hold), subject="loading ramp")


def _legal_weight(c: Carriage) -> Check:
    """Say whether the loaded trailer is legal without an overweight permit; over it the permit office decides."""
    return by_road.legal_weight(c.museum, c.loaded)


def _haul_pull(c: Carriage) -> Check:
    """Pull the loaded trailer up the steepest leg on a firm road."""
    name, pull = "Pull on the steepest grade", limit(c.museum, "tractor_pull", "lbf")
    rolling = limit(c.museum, "tyre_rolling", "percent")
    legs = [leg for leg in c.road if leg.grade is not None]
    gross = c.loaded.gross
    if None in (gross, pull, rolling) or not legs:
        measure = "weigh it; enter the grades of the route in legs.csv and the pull of the hauler's truck in limits.csv"
        return unknown(name, c.vehicle.name, measure)
    steepest = max(legs, key=lambda leg: leg.grade)
    demand = transporter.haul_pull(gross, steepest.grade, Quantity(0, "in"), rolling).to("lbf")
    margin = gross.to("lb") * float(pull / demand - 1)
    note = "The hauler decides on a second truck. Steady pull on a firm road, truck included."
    source = f"Rolling {rolling.magnitude:g} % and the grade"
    found = judge(demand, pull)
    return Check(name, steepest.name, demand, pull, "open" if found == "fail" else found, margin, source, note)


_OWN = (
    _brake_holding, _cargo_securement, _crawl, _haul_pull, _legal_weight, _posted_bridge, _road_bridge, _road_height,
    _trailer_payload, _trailer_axle_load, _transporter_ground, _winch_pull,
)  # fmt: skip
_ALL = {**{check.__name__[1:]: check for check in _OWN}, "roll_on_payload": _trailer_payload, "turn": turns.turn}
#: What is asked of each piece on its own trailer: of a truck of no entered size, no height and no turn.
_OF_EACH_PIECE = (
    "haul_pull", "legal_weight", "posted_bridge", "road_bridge", "road_height", "trailer_axle_load", "trailer_payload",
    "turn",
)  # fmt: skip
_BY_SIZE = ("road_height", "turn")


def _of_pieces(name: str, check: Callable[[Carriage], Check]) -> Callable[[Carriage], Check]:
    """Return a check of the body and of each piece beside it: the worst answer counts, of equal ones the body's."""

    def ask(c: Carriage) -> Check:
        asked = [each for each in c.others if not (each.small and name in _BY_SIZE)]
        body = check(c)
        pieces = [_of_piece(c, each, check) for each in asked]
        same = [found for found in pieces if found.status == body.status]
        return worst([body, *(found for found in pieces if found not in same)], name, "weigh it")

    return ask


def _of_piece(c: Carriage, load: PieceLoad, check: Callable[[Carriage], Check]) -> Check:
    title = load.piece.title
    if load.loaded is None:
        return unknown("Trailer of a piece", title, "enter the trailer that takes it in trailers.csv")
    # How much the unit may grow is told by its body: a piece grows by its own share of it.
    found = check(c.with_piece(load))
    return replace(found, subject=found.subject if title in found.subject else f"{title}: {found.subject}", margin=None)


CHECKS: dict[str, Callable[[Carriage], Check]] = {
    name: _of_pieces(name, check) if name in _OF_EACH_PIECE else check for name, check in _ALL.items()
}
