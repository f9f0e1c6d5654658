"""What carries the unit on a path: cranes, trailer or flat car chosen by engineering, and how much of each.

The amounts computed here are the drivers of origin "check": weight, axles and distance change money
and dates through these choices.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import pint

from heritagemove.checks.check import Check
from heritagemove.checks.gates import body as bodies
from heritagemove.checks.gates import (
    by_rail,
    by_road,
    chains,
    cranes,
    flat_car,
    on_the_deck,
    piece_loads,
    shifts,
    swapped_trucks,
    trailers,
)
from heritagemove.checks.gates.by_rail import axle_train
from heritagemove.checks.gates.lookup import last, limit
from heritagemove.checks.lift import lifting
from heritagemove.checks.road import transporter
from heritagemove.museum.museum import Museum
from heritagemove.survey import bearings, readiness
from heritagemove.units.units import Quantity

__all__ = ["Carriage", "arrange", "axle_train"]


@dataclass(frozen=True)
class Carriage:
    """How one unit travels in one stage of a path."""

    museum: Museum
    vehicle: Any
    path: Any
    stage: Any  # the stage in which it moves; None where the path moves nothing
    load: pint.Quantity | None  # weight that is carried or runs [lb]; None is unknown
    loaded_height: pint.Quantity | None = None  # height of the load on its carrier above rail or road [ft]
    # none where no crane of the tables can lift it, or none is needed
    arrangement: lifting.CraneArrangement | None = None
    trailer: Any = None
    loaded: trailers.LoadedTrailer | None = None  # the hauler's trailer with its load; None off the road
    others: tuple[piece_loads.PieceLoad, ...] = ()  # road loads of the pieces beside the body
    piece: Any = None  # the piece that is asked for, where it is not the body
    flat_car: Any = None
    road: tuple[Any, ...] = ()  # legs of the road route, detours that the load needs included
    bridges: tuple[Check, ...] = ()  # rail bridges of the route under what runs on them
    equipment: frozenset[str] = frozenset()  # ids that pick the rates
    amounts: Mapping[str, float | None] = field(default_factory=dict)  # drivers computed; None is unknown
    notes: tuple[str, ...] = ()  # what a planner must know of the choice
    bearings: str = "unknown"  # type of bearing to plan with; unknown where the clues dispute the one in vehicles.csv
    dispute: str = ""  # what the clues of the survey have against the bearing in vehicles.csv; blank where nothing
    ready: tuple[readiness.ReadinessItem, ...] = ()  # what the survey found of what must be right before it moves

    @property
    def carried_on(self) -> str:
        """What carries the unit, as stages.csv says it; none where the path moves nothing."""
        return "none" if self.stage is None else self.stage.carried_on

    @property
    def mode(self) -> str:
        """Whether it runs by rail or by road, over the ground or by water; none where it moves nowhere."""
        return "none" if self.stage is None else self.stage.mode

    @property
    def legs(self) -> tuple[Any, ...]:
        """The legs of the stage, without detours."""
        return self.museum.route(self.mode)

    @property
    def places(self) -> tuple[Any, ...]:
        """The places where its stage begins and ends."""
        ends = () if self.stage is None else (self.stage.from_place, self.stage.to_place)
        return tuple(row for row in self.museum.places if row.place in ends)

    @property
    def body(self) -> Any:
        """The heaviest piece that is lifted and carried as the unit itself."""
        return self.piece or self.museum.body(self.vehicle.vehicle)

    @property
    def bearing_dispute(self) -> str:
        """What the clues have against the bearing; blank too where the unit does not roll on its own bearings."""
        return self.dispute if self.carried_on in ("own_wheels", "roll_on_trailer") else ""

    @property
    def plain(self) -> bool:
        """Whether it runs on plain bearings: an unknown or disputed one runs as plain until somebody opens a box."""
        return self.carried_on == "own_wheels" and self.bearings in ("plain", "unknown")

    def with_piece(self, load: piece_loads.PieceLoad) -> Carriage:
        """Return how one piece beside the body travels, as if it were all of the unit."""
        piece = load.piece
        sizes = {"weight": load.weight, "length": piece.length, "width": piece.width, "height": piece.height}
        unit = self.vehicle.model_copy(update={"name": piece.title, **sizes})
        stage = self.stage.model_copy(update={"carried_on": "trailer"})
        row = None if load.loaded is None else load.loaded.row
        return replace(
            self, vehicle=unit, stage=stage, load=load.weight, loaded_height=load.height, trailer=row, loaded=load.loaded,
            piece=piece, others=(),
        )  # fmt: skip

    @property
    def hauler(self) -> Any:
        """The trailer chosen, or the largest of its kind where none is large enough; None where none is tabled."""
        return self.trailer or last(row for row in self.museum.trailers if row.used_for == self.carried_on)

    @property
    def car(self) -> Any:
        """The flat car under the body, or the largest where none takes it; None off flat cars and where none is tabled."""
        return self.flat_car or (last(self.museum.flat_cars) if self.carried_on == "flat_car" else None)

    @property
    def lacking(self) -> str:
        """What to enter, and in which table, before anything can carry the unit on this path; blank where nothing."""
        kind = self.carried_on
        if kind == "flat_car" and self.car is None:
            return "enter the flat cars in flat_cars.csv"
        if kind in ("trailer", "transporter", "roll_on_trailer") and self.hauler is None:
            return f"enter what may be used as {kind.replace('_', ' ')} in trailers.csv"
        return ""

    @property
    def lifted(self) -> bool:
        """Whether cranes lift the unit."""
        return self.carried_on in cranes.LIFTED_ONTO


#: What is counted by the type of bearing where the unit runs on its own wheels on the line.
_BY_BEARING = ("exception_requests", "special_trains", "regular_train_cars")


def arrange(museum: Museum, vehicle: str, path: str, stage: str | None = None) -> Carriage:
    """Choose what carries a unit in a stage of a path, and compute how much of everything that needs.

    Parameters
    ----------
    museum : Museum
    vehicle, path : str
        Ids.
    stage : str, optional
        Id of the stage; the first of the path when left out.
    """
    if stage is not None:
        museum = museum.with_rows(stages=tuple(row for row in museum.stages_of(path) if row.stage == stage))
    return along(carry(museum, vehicle, path), museum.legs)


@dataclass(frozen=True)
class Unweighed:
    """What of a unit's carriage hangs on no weight."""

    boxes: bearings.VehicleBearings
    ready: tuple[readiness.ReadinessItem, ...]
    cleared: Mapping[str, str | None] | None = None  # what stops each flat car under the body; None where not asked yet


def unweighed(museum: Museum, vehicle: str, stage: Any) -> Unweighed:
    """Return what of a unit's carriage in a stage hangs on no weight."""
    boxes = bearings.bearings(museum, vehicle)
    known = Unweighed(boxes, readiness.found_ready(museum, vehicle, boxes))
    if stage is None or stage.carried_on != "flat_car":
        return known
    return replace(known, cleared=flat_car.clearing(museum.over(stage), museum.vehicle(vehicle)))


def carry(
    museum: Museum,
    vehicle: str,
    path: str,
    known: Unweighed | None = None,
    crossed: tuple[by_rail.Yardstick, ...] | None = None,
) -> Carriage:
    """Choose what carries a unit in the first stage of a path, and what follows from the load: it reads no leg's length.

    Only detours, which no haul distance scales, say in a note how long they are.

    Parameters
    ----------
    known : Unweighed, optional
        What :func:`unweighed` returns, where it is known already.
    crossed : tuple of Yardstick, optional
        The rail bridges, where their yardsticks are known already; none for one who asks other gates.
    """
    unit, way, stage = museum.vehicle(vehicle), museum.path(path), next(iter(museum.stages_of(path)), None)
    known = unweighed(museum, vehicle, None) if known is None else known
    built, boxes = _built(museum.over(stage), unit, way, stage, known, crossed), known.boxes
    amounts = {**built.amounts, **readiness.to_mend(museum, known.ready)}
    return replace(built, bearings=boxes.in_use, dispute=boxes.dispute, ready=known.ready, amounts=amounts)


def along(carriage: Carriage, legs: tuple[Any, ...]) -> Carriage:
    """Return a carriage with the lengths of its legs: days, miles and what is counted by them.

    Parameters
    ----------
    carriage : Carriage
        As :func:`carry` returns it.
    legs : tuple of rows
        Of legs.csv, with their lengths.
    """
    museum, carried_on = carriage.museum.with_rows(legs=legs).over(carriage.stage), carriage.carried_on
    taken = {leg.leg for leg in carriage.road}
    road = tuple(leg for leg in museum.route("road", detours=True) if leg.leg in taken)
    measured = replace(carriage, museum=museum, road=road)
    counted = {"own_wheels": _days_on_wheels, "other_wheels": _days_on_wheels, "flat_car": _days_on_flat_car,
               "trailer": _days_on_road, "transporter": _days_on_transporter, "roll_on_trailer": _days_on_road,
               "shift": _days_of_shift}  # fmt: skip
    amounts, notes = counted[carried_on](measured) if carried_on in counted else ({}, ())
    amounts, notes = {**amounts, **carriage.amounts}, (*notes, *carriage.notes)
    measured = replace(measured, amounts=amounts, notes=notes)
    return _doubted(measured) if carriage.dispute else measured


def _doubted(carriage: Carriage) -> Carriage:
    """Count nothing by a type of bearing that the clues of the survey dispute, and say so."""
    counted = ("plain_journal_boxes", *(_BY_BEARING if carriage.carried_on == "own_wheels" else ()))
    note = f"Unknown here: {', '.join(counted).replace('_', ' ')}; {carriage.dispute}."
    return replace(carriage, amounts={**carriage.amounts, **dict.fromkeys(counted)}, notes=(*carriage.notes, note))


def _built(museum: Museum, unit: Any, way: Any, stage: Any, known: Unweighed, crossed: _Crossed) -> Carriage:
    build = {
        "own_wheels": partial(_on_wheels, crossed=crossed),
        "other_wheels": partial(_on_wheels, crossed=crossed),
        "flat_car": partial(_on_flat_car, crossed=crossed, cleared=known.cleared),
        "trailer": _on_trailer,
        "transporter": _on_transporter,
        "roll_on_trailer": _roll_on,
        "shift": _on_shift,
    }
    if stage is None or stage.carried_on not in build:
        return Carriage(museum, unit, way, stage, unit.weight)
    return build[stage.carried_on](museum, unit, way, stage)


_Crossed = tuple[by_rail.Yardstick, ...] | None


def _on_wheels(museum: Museum, unit: Any, way: Any, stage: Any, crossed: _Crossed) -> Carriage:
    """Run on the unit's own wheels, or on others with roller bearings."""
    load = unit.weight
    if load is not None and "motors" in way.takes_out:
        load = load - (unit.motor_weight or Quantity(0, "lb")) * unit.motors
    if load is not None and "fluids" in way.takes_out:
        load = load - (unit.fluids_weight or Quantity(0, "lb"))
    if (trucks := swapped_trucks.trucks_under(museum, stage)) is not None:
        out = unit.fluids_weight if "fluids" in way.takes_out else None
        museum, load = swapped_trucks.on_trucks(museum, unit, trucks, Quantity(0, "lb") if out is None else out)
    others = piece_loads.beside(museum, unit, way.path, stage)
    amounts: dict[str, float | None] = {"body_loads": 0.0, **piece_loads.amounts(others)}
    bridges: tuple[Check, ...] = ()
    if stage.mode == "rail":
        coupled = by_rail.on_rails(museum, unit, load)
        bridges = by_rail.bridge_checks(museum, coupled, load, crossed)
        amounts["bridge_reviews"] = by_rail.bridges_to_review(museum, bridges, coupled[1])
        amounts["high_wide_loads"] = by_rail.high_wide_loads(by_rail.plate_of(museum, unit))
    return Carriage(museum, unit, way, stage, load, unit.height, bridges=bridges, amounts=amounts)


def _on_shift(museum: Museum, unit: Any, way: Any, stage: Any) -> Carriage:
    """Shift the whole unit over the ground as it stands."""
    beside = {"body_loads": 0.0, **piece_loads.amounts(())}
    amounts = {**beside, "shift_machines": shifts.machines(museum, unit.weight, stage.shifted_by)}
    return Carriage(museum, unit, way, stage, unit.weight, amounts=amounts)


def _days_of_shift(c: Carriage) -> tuple[dict[str, float | None], tuple[str, ...]]:
    return shifts.shift_amounts(c.museum, c.vehicle, c.stage.shifted_by, c.legs), ()


def _days_on_wheels(c: Carriage) -> tuple[dict[str, float | None], tuple[str, ...]]:
    if c.mode != "rail":
        return {}, ()
    days = by_rail.rail_days(c.museum, c.plain)
    riders = c.museum.limit("riders_plain" if c.plain else "riders_other")
    counted = {"rail_days": days, "rider_days": None if None in (days, riders) else days * riders}
    return counted, by_rail.hot_box_note(c.museum) if c.plain else ()


def _on_flat_car(
    museum: Museum, unit: Any, way: Any, stage: Any, crossed: _Crossed, cleared: Mapping[str, str | None] | None
) -> Carriage:
    load = museum.body(unit.vehicle).weight
    choice = flat_car.choose_flat_car(museum, unit, cleared)
    car, chosen = choice.car, choice.priced
    arrangement, amounts, equipment = cranes.call_cranes(museum, unit, stage)
    loads = float(museum.body(unit.vehicle).count)
    ties = None if chosen is None else on_the_deck.tie_downs_on_car(museum, unit, chosen, load)
    amounts |= {
        "body_loads": loads,
        **piece_loads.amounts(piece_loads.beside(museum, unit, way.path, stage)),
        "flat_cars": loads,
        "special_flat_cars": None if chosen is None else loads * chosen.special,
        "tie_downs": None if ties is None else loads * ties,
        "bridge_reviews": None,
    }
    if chosen is None:
        return Carriage(museum, unit, way, stage, load, None, arrangement, equipment=equipment, amounts=amounts)
    coupled = by_rail.on_rails(museum, unit, load, chosen)
    bridges = by_rail.bridge_checks(museum, coupled, load, crossed)
    amounts["bridge_reviews"] = by_rail.bridges_to_review(museum, bridges, coupled[1])
    height = None if load is None else flat_car.height_on(museum, unit, chosen)
    equipment |= {chosen.flat_car}
    return Carriage(
        museum, unit, way, stage, load, height, arrangement, flat_car=car, bridges=bridges, equipment=equipment,
        amounts=amounts, notes=choice.notes,
    )  # fmt: skip


def _days_on_flat_car(c: Carriage) -> tuple[dict[str, float | None], tuple[str, ...]]:
    days, waiting = by_rail.rail_days(c.museum, plain=False), c.museum.limit("flat_car_hire_extra_days")
    hired = None if None in (days, waiting) else c.body.count * (days + waiting)
    return {"rail_days": days, "flat_car_days": hired}, ()


def _on_trailer(museum: Museum, unit: Any, way: Any, stage: Any) -> Carriage:
    body = museum.body(unit.vehicle)
    carriage = _by_road(museum, unit, way, stage, body.weight)
    arrangement, amounts, equipment = cranes.call_cranes(museum, unit, stage)
    needed = chains.chains(museum, body.weight, body.length, wheeled=body.wheels_on)
    amounts["tie_downs"] = None if needed is None else needed * body.count
    return replace(
        carriage,
        arrangement=arrangement,
        equipment=carriage.equipment | equipment,
        amounts={**carriage.amounts, **amounts},
    )


def _roll_on(museum: Museum, unit: Any, way: Any, stage: Any) -> Carriage:
    carriage = _by_road(museum, unit, way, stage, unit.weight)
    needed = chains.chains(museum, unit.weight, unit.length, wheeled=True)
    return replace(carriage, amounts={**carriage.amounts, "tie_downs": needed})


def _on_transporter(museum: Museum, unit: Any, way: Any, stage: Any) -> Carriage:
    return _by_road(museum, unit, way, stage, museum.body(unit.vehicle).weight)


def _days_on_transporter(c: Carriage) -> tuple[dict[str, float | None], tuple[str, ...]]:
    museum, chosen, (amounts, notes) = c.museum, c.hauler, _days_on_road(c)
    days = amounts["road_days"]
    if days is None:
        return {**amounts, "line_days": None}, notes
    working, idle = limit(museum, "transporter_line_working", "lb"), museum.limit("transporter_set_up_days")
    together = len(chosen.axle_positions) * chosen.lanes  # one line a file
    lines = None if working is None else transporter.axle_lines(c.loaded.payload, working, together)
    extra = {
        "line_days": None if None in (lines, idle) else lines * (days + idle),
        "utility_crews": 1.0,
        "police_cars": museum.limit("superload_police_cars"),
        "pilot_cars": 0.0,
    }
    return {**amounts, **extra}, notes


def _by_road(museum: Museum, unit: Any, way: Any, stage: Any, load: pint.Quantity | None) -> Carriage:
    body = museum.body(unit.vehicle)
    rows = piece_loads.offered(museum, piece_loads.said_of(museum, way.path, stage, body), stage.carried_on)
    whole = stage.carried_on == "roll_on_trailer"
    offset = unit.centre_of_gravity_offset if whole else bodies.offset_of_centre(museum, unit)
    taken, under = piece_loads.choose_trailer(museum, rows, load, offset)
    others = () if whole else piece_loads.beside(museum, unit, way.path, stage)
    legs, notes = by_road.road_legs(museum, under)
    height = None if under is None or load is None else trailers.height_on_trailer(museum, unit, under.row)
    equipment = frozenset() if under is None else frozenset({under.row.trailer})
    over = piece_loads.together_over_legal(museum, float(body.count), under, height, others)
    amounts: dict[str, float | None] = {**piece_loads.amounts(others), **over}
    return Carriage(
        museum, unit, way, stage, load, height, trailer=None if taken is None else taken.row, loaded=under, others=others,
        road=legs, equipment=equipment, amounts=amounts, notes=notes,
    )  # fmt: skip


def _days_on_road(c: Carriage) -> tuple[dict[str, float | None], tuple[str, ...]]:
    of_body = by_road.road_amounts(c.museum, c.vehicle, c.loaded, c.road, c.loaded_height)
    return piece_loads.in_convoy(c.museum, of_body, c.others), ()
