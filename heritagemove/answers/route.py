"""The way of a path from site to museum, leg by leg, with what each of its gates finds there."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.checks.gates import by_rail, by_road, lift_gates, shift_gates
from heritagemove.checks.gates.by_stage import carriers_of, stages_asked
from heritagemove.checks.gates.carriage import Carriage, arrange
from heritagemove.checks.gates.findings import Finding, found_by_check
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.compare.results import Comparison
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.gates import Gate
from heritagemove.museum.waits import each_of
from heritagemove.units.units import Quantity

#: What a mark is about, in the order of reading, and the checks that are made there for a gate of each name.
_ON_LEGS: dict[str, dict[str, tuple[str, ...]]] = {
    "track": {name: (name,) for name in ("gross_rail_load", "track_axle_limit")},
    "height": {"height_clearance": ("height_clearance",), "flat_car_clearance": ("height_clearance",),
               "road_height": ("road_height",)},
    "side": {"side_clearance": ("side_clearance",), "flat_car_clearance": ("side_clearance",)},
    "curve or turn": {name: (name,) for name in ("curve", "turn")},
    "grade": {name: (name,) for name in ("haul_pull", "starting_pull")},
}  # fmt: skip
_ON_BRIDGES = ("rail_bridge", "road_bridge", "posted_bridge")
_AT_PLACES = (*lift_gates.CHECKS, *shift_gates.CHECKS, "transporter_ground")
#: What a mark may be about, in the order in which it is drawn.
ABOUT = ("lift or shift", "track", "bridge", "height", "side", "wires", "curve or turn", "grade", "permit or letter")


@dataclass(frozen=True)
class WayLeg:
    """A leg of the way, as one stage runs over it."""

    stage: str  # title of the stage, and what carries the unit in it
    carried_on: str  # title of the stage, and what carries the unit in it
    mode: str  # rail, road, ground, water; none where it waits
    title: str
    keeper: str  # who owns or runs it, in words; blank where nobody is entered
    state: str  # the state it runs through; blank where none is entered
    begins: float | None  # where it begins, from the site [mile]; None where a length before it is unknown
    miles: float | None  # how long it is [mile]; None is unknown
    detour: bool  # whether it is only taken to avoid a bridge


@dataclass(frozen=True)
class Mark:
    """What one gate finds at one thing on the way."""

    about: str  # one of ABOUT
    where: str  # title of the bridge, the leg, the place, the state or the carrier
    at: int  # number of its stretch, from 0
    finding: Finding


@dataclass(frozen=True)
class RouteStrip:
    """The way of one path, with all that its gates ask along it."""

    museum: Museum
    path: str
    number: int  # the path's number
    title: str  # the path's title
    stretches: tuple[WayLeg, ...]
    marks: tuple[Mark, ...]  # in the order of ABOUT, then of the way
    whole: tuple[Finding, ...]  # what is asked once for the whole way, or of the unit: papers, waits, what it can bear

    @property
    def miles(self) -> float | None:
        """Length of the way [mile]; None where a part of it is unknown."""
        lengths = [stretch.miles for stretch in self.stretches]
        return None if None in lengths or not lengths else sum(lengths)


def strip(comparison: Comparison, path: str) -> RouteStrip:
    """Return the way of one path of a comparison.

    Parameters
    ----------
    path : str
        Id of the path.
    """
    return strip_of(comparison.museum, comparison.vehicle, path, comparison.path(path).findings)


def strip_of(museum: Museum, vehicle: str, path: str, findings: Sequence[Finding]) -> RouteStrip:
    """Return the way of one path for one unit.

    Parameters
    ----------
    vehicle, path : str
        Ids.
    findings : sequence of Finding
        What the gates of this path found; gates that are not among them are not asked.
    """
    way, stages = museum.path(path), museum.stages_of(path)
    stretches: list[WayLeg] = []
    marks: list[Mark] = []
    for stage in stages:
        carriage, first = arrange(museum, vehicle, path, stage.stage), len(stretches)
        asked = [f for f in findings if _asked_of(f.gate, stage, stages)]
        legs = _in_order(carriage)
        stretches += _stretches(museum, stage, legs, stretches)
        marks += _at_places(carriage, asked, first, len(stretches) - 1)
        for number, leg in enumerate(legs, first):
            marks += _on_leg(carriage, leg, asked, number)
        marks += _papers(museum, legs, asked, first)
    marks.sort(key=lambda mark: (ABOUT.index(mark.about), mark.at))
    shown = {mark.finding.gate.gate for mark in marks}
    whole = tuple(finding for finding in findings if finding.gate.gate not in shown)
    return RouteStrip(museum, path, way.number, way.title, tuple(stretches), tuple(marks), whole)


def _asked_of(gate: Any, stage: Any, stages: tuple[Any, ...]) -> bool:
    """Return whether a gate is asked in a stage: its own, or each that its check is about."""
    if not gate.check:
        return gate.stage in (None, stage.stage)
    return stage in stages_asked(gate, stages) and stage.carried_on in carriers_of(gate.check)


def _in_order(carriage: Carriage) -> list[Any]:
    """Return the legs of a stage in order, each detour behind the leg with the bridge that it avoids."""
    legs = list(carriage.legs)
    for detour in (leg for leg in carriage.road if leg.detour_for):
        bridge = next(row for row in carriage.museum.bridges if row.bridge == detour.detour_for)
        at = next((place for place, leg in enumerate(legs) if leg.leg == bridge.leg), len(legs) - 1)
        legs.insert(at + 1, detour)
    return legs


def _stretches(museum: Museum, stage: Any, legs: Sequence[Any], before: Sequence[WayLeg]) -> Iterator[WayLeg]:
    """Yield what a stage runs over; one stretch of no leg where it waits, or its way is not entered."""
    at = 0.0
    if before:
        last = before[-1]
        at = None if None in (last.begins, last.miles) else last.begins + last.miles
    of = {"stage": stage.title, "carried_on": stage.carried_on}
    if not legs:
        place = next(row.title for row in museum.places if row.place == stage.to_place)
        waits = stage.mode == "none"
        title = f"waits: {place}" if waits else "its way is not entered"
        named = {"title": title, "keeper": "", "state": ""}
        yield WayLeg(**of, **named, mode=stage.mode, begins=at, miles=0.0 if waits else None, detour=False)
    carriers = itertools.accumulate((leg.carrier for leg in legs), lambda before, own: own or before)
    for leg, carrier in zip(legs, carriers, strict=True):
        miles = None if leg.length is None else leg.length.m_as("mile")
        keeper = _named(carrier) if leg.mode == "rail" and carrier else leg.owner.replace("_", " ")
        named = {"title": leg.name, "keeper": keeper, "state": _named(leg.state or "")}
        yield WayLeg(**of, **named, mode=leg.mode, begins=at, miles=miles, detour=bool(leg.detour_for))
        at = None if None in (at, miles) else at + miles


def _on_leg(carriage: Carriage, leg: Any, asked: Sequence[Finding], number: int) -> Iterator[Mark]:
    """Yield what is found on one leg: each check is asked as if the way were this leg alone."""
    crossed = {row.bridge for row in by_road.crossed(carriage.museum, carriage.road)} if carriage.road else None
    bridges = [row for row in carriage.museum.bridges if row.leg == leg.leg and (crossed is None or row.bridge in crossed)]
    alone = _over(carriage, leg, bridges)
    for about, gates in _ON_LEGS.items():
        for finding in asked:
            for name in gates.get(finding.gate.check, ()):
                yield _mark(alone, about, leg.name, number, finding.gate, CHECKS[name](alone))
    for finding in (f for f in asked if f.gate.check in _ON_BRIDGES):
        yield from _on_bridges(alone, leg, bridges, finding.gate, number)
    if leg.mode == "road" and leg.wires:
        yield _mark(carriage, "wires", leg.name, number, _WIRES, _wires(carriage, leg))


def _over(carriage: Carriage, leg: Any, bridges: Iterable[Any]) -> Carriage:
    """Return a carriage that runs over one leg and these bridges alone."""
    museum = carriage.museum.with_rows(legs=(leg,), bridges=tuple(bridges))
    stage = carriage.stage.model_copy(update={"legs": (leg.leg,)})
    checks: tuple[Check, ...] = ()
    if carriage.mode == "rail":
        coupled = by_rail.on_rails(museum, carriage.vehicle, carriage.load, carriage.car)
        checks = by_rail.bridge_checks(museum, coupled, carriage.load)
    # A detour is run over as any other leg.
    road = (leg.model_copy(update={"detour_for": None}),) if carriage.road else ()
    return replace(carriage, museum=museum, stage=stage, road=road, bridges=checks)


def _on_bridges(alone: Carriage, leg: Any, bridges: Sequence[Any], gate: Any, number: int) -> Iterator[Mark]:
    kind = "cooper_e" if gate.check == "rail_bridge" else "hs20_factor"
    mine = [row for row in bridges if row.rating == kind and (gate.check != "posted_bridge" or row.posted_limit is not None)]
    for bridge in mine:
        yield _mark(alone, "bridge", bridge.title, number, gate, CHECKS[gate.check](_over(alone, leg, [bridge])))
    if not mine and leg.bridges is None:
        yield _mark(alone, "bridge", leg.name, number, gate, CHECKS[gate.check](alone))


def _wires(carriage: Carriage, leg: Any) -> Check:
    """Compare the load and the air over it with the lowest wire of a leg; where it is too low, its utility lifts all."""
    air, name = by_road.air_under(carriage.museum, leg), _WIRES.title
    if None in (carriage.loaded_height, air, leg.lowest_wire):
        return unknown(name, leg.name, "measure the load and the lowest wire, and ask for its voltage")
    needed, lowest = (carriage.loaded_height + air).m_as("ft"), leg.lowest_wire.m_as("ft")
    note = f"{leg.wires} wires to lift: the utility sends a crew."
    check = compared(name, leg.name, needed, lowest, "ft", leg.source, note, Quantity(lowest - needed, "ft"), "height")
    return replace(check, status="open") if check.status == "fail" else check


_WIRES = Gate.model_construct(
    path="", gate="", title="Wires over the road", kind="caution", check=None, task="utility", refusal_probability=0.0,
    rule="the utility's rule of air under its wires", signer="utility", stage=None,
)  # fmt: skip


def _at_places(carriage: Carriage, asked: Sequence[Finding], first: int, last: int) -> Iterator[Mark]:
    """Yield what is found where a stage picks the unit up and where it sets it down."""
    at = {row.place: row for row in carriage.places}
    ends = dict.fromkeys((carriage.stage.from_place, carriage.stage.to_place))
    for place, number in zip(ends, (first, last), strict=False):
        there = carriage.stage.model_copy(update={"from_place": place, "to_place": place})
        for finding in (f for f in asked if f.gate.check in _AT_PLACES and place in at):
            check = CHECKS[finding.gate.check](replace(carriage, stage=there))
            yield _mark(carriage, "lift or shift", at[place].title, number, finding.gate, check)


def _papers(museum: Museum, legs: Sequence[Any], asked: Sequence[Finding], first: int) -> Iterator[Mark]:
    """Yield each permit of a state and each letter of a main-line railroad where its state or its track begins."""
    for finding in asked:
        task = next((row for row in museum.of_path("tasks", finding.gate.path) if row.task == finding.gate.task), None)
        if task is None or task.for_each is None or finding.gate.check:
            continue
        for name in each_of(museum, task) or ():
            column = "state" if task.for_each == "state" else "carrier"
            number = next((at for at, leg in enumerate(legs, first) if getattr(leg, column) == name), None)
            if number is not None:
                yield Mark("permit or letter", _named(name), number, finding)


def _named(name: str) -> str:
    """Return the id of a state or a carrier as a name."""
    return name.replace("_", " ").title()


def _mark(carriage: Carriage, about: str, where: str, number: int, gate: Any, check: Check) -> Mark:
    return Mark(about, where, number, found_by_check(gate, check, carriage.museum.scenario.units))
