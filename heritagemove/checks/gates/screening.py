"""Run the gates of one path for one unit: what each found, and what the path needs."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heritagemove.checks.check import Check
from heritagemove.checks.gates import by_rail, by_stage, wiring
from heritagemove.checks.gates.carriage import Carriage, Unweighed, along, carry, unweighed
from heritagemove.checks.gates.findings import (
    Finding,
    found_by_check,
    found_by_facts,
    found_by_readiness,
    found_by_task,
    found_unknown,
)
from heritagemove.museum.drivers import told_by_rows
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum, Scenario
from heritagemove.museum.waits import fund_gates
from heritagemove.units.units import Quantity

__all__ = ["Check", "Checks", "Finding", "LoadAnswer", "Screening", "screen"]


@dataclass(frozen=True)
class Screening:
    """Everything the checks say of one unit on one path."""

    findings: tuple[Finding, ...]  # one a gate, in the order of gates.csv
    amounts: Mapping[str, float | None]  # drivers that engineering computed
    equipment: frozenset[str]  # ids of the crane, trailer or flat car chosen
    notes: tuple[str, ...]  # what a planner must know of the choice


def screen(museum: Museum, vehicle: str, path: str) -> Screening:
    """Run the gates of one path for one unit, and compute what the path needs.

    Parameters
    ----------
    museum : Museum
    vehicle, path : str
        Ids.
    """
    return Checks(museum).screen(museum.vehicle(vehicle), path)


@dataclass(frozen=True)
class LoadAnswer:
    """What the checks say of a load on one path, however long the path is."""

    equipment: frozenset[str]
    stops: frozenset[str]  # ids of the hard stops that fail
    amounts: Mapping[str, float | None]  # drivers that engineering computed, over legs of one mile each


class Checks:
    """The checks of one museum, each asked with the rows that it reads and nothing else."""

    def __init__(self, museum: Museum, memo: Ask = afresh) -> None:
        self.museum, self.memo = museum, memo
        legs = memo(_without_lengths, museum.legs).value
        tables = tuple((name, legs if name == "legs" else getattr(museum, name)) for name in _TABLES)
        self._read = memo(_excerpt, Made.by_value((tables, (museum.scenario.units, museum.scenario.start.year))))
        self._legs, self._miles = Made.by_value(museum.legs), memo(_of_one_mile, legs)

    def screen(self, unit: Any, path: str) -> Screening:
        """Run the gates of one path for a unit, and compute what the path needs.

        Parameters
        ----------
        unit : row of vehicles.csv
        path : str
            Id.
        """
        carried = self._carried(unit, 1.0, path)
        measured = self._measured(carried, self._legs)
        findings = tuple(self._finding(gate, carried, measured) for gate in self.museum.of_path("gates", path))
        findings += tuple(found_by_task(gate) for gate in fund_gates(self.museum, path))
        return Screening(findings, *self._needed(path, measured))

    def weighing(self, unit: Any, ratios: Sequence[float], path: str) -> tuple[Any, ...]:
        """Return the hard stops to ask between these weights: those that fail at one, where the equipment is the same.

        Where it changes, each whose check is told apart at two of the weights.
        """
        gates = tuple(g for g in self.museum.of_path("gates", path) if _by_load(g) and g.kind == "hard_stop")
        carried = tuple(self._carried(unit, ratio, path) for ratio in ratios)
        answers = tuple(tuple(self._asked(gate, each) for each in carried) for gate in gates)
        same = len({tuple(stage.value.equipment for stage in each) for each in carried}) == 1
        return self.memo(_that_differ, gates, answers, same).value

    def by_load(self, unit: Any, ratio: float, path: str, gates: Iterable[Any]) -> LoadAnswer:
        """Return what the checks, and some hard stops, say of a unit that weighs so many times what its row says."""
        carried = self._carried(unit, ratio, path)
        stops = frozenset(g.gate for g in gates if self._asked(g, carried).value.status == "fail")
        # On rails no load changes the days; on the road it changes trailer, detours, permits and escorts.
        answered = tuple(self.memo(along, each, self._miles) if each.value.road else each for each in carried)
        amounts, equipment, _ = self._needed(path, answered)
        return LoadAnswer(equipment, stops, by_stage.telling_weights_apart(amounts))

    def amounts(self, unit: Any, ratio: float, path: str) -> Mapping[str, float | None]:
        """Return the drivers that engineering computes for a unit that weighs so many times what its row says."""
        return self._needed(path, self._measured(self._carried(unit, ratio, path), self._legs))[0]

    def at_weight(self, unit: Any, ratio: float, gate: Any) -> Check | None:
        """Return the check behind a gate for a unit of so many times its weight; None where no load can move it."""
        if not _by_load(gate):
            return None
        carried = self._carried(unit, ratio, gate.path, bridges=gate.check == "rail_bridge")
        return self._asked(gate, carried).value

    def worded(self, gate: Any, check: Made) -> Finding:
        """Return what a check found, in words."""
        return self.memo(found_by_check, gate, check, self.museum.scenario.units).value

    def season(self, gate: Any, told: wiring.Told) -> Finding:
        """Return what closes the calendars of a gate's path, from what is told of the drivers that the path needs."""
        return self.worded(gate, wiring.season_of(self.museum, gate.path, told, self.memo))

    def _carried(self, unit: Any, ratio: float, path: str, bridges: bool = True) -> tuple[Made, ...]:
        """Return what carries a unit in each stage, from its rows and the tables that checks read."""
        moved = self.museum.stages_of(path) or (None,)
        return tuple(self._carried_in(unit, ratio, path, stage, bridges) for stage in moved)

    def _carried_in(self, unit: Any, ratio: float, path: str, stage: Any, bridges: bool) -> Made:
        museum, axles, pieces = self.museum, self.museum.axles_of(unit.vehicle), self.museum.pieces_of(unit.vehicle)
        named = (path, None if stage is None else stage.stage)
        way, stage = self.memo(_unnamed, museum.path(path), stage).value
        onto_a_car = stage if stage is not None and stage.carried_on == "flat_car" else None
        known = self.memo(_unweighed, self._read, *self.memo(_without_weight, unit, pieces).value, axles, onto_a_car)
        crossed = self.memo(_yardsticks, self._read, stage and stage.legs) if bridges else ()
        said = () if stage is None else self.memo(_unnamed_carriage, museum.piece_carriage, unit.vehicle, *named).value
        return self.memo(_carry, self._read, unit, ratio, pieces, said, axles, way, stage, known, crossed)

    def _measured(self, carried: tuple[Made, ...], legs: Made) -> tuple[Made, ...]:
        return tuple(self.memo(along, each, legs) for each in carried)

    def _needed(self, path: str, carried: tuple[Made, ...]) -> tuple[Any, ...]:
        """Return amounts, equipment and notes of a path: of its one stage, or of all with those of each beside."""
        if len(carried) == 1:
            carriage = carried[0].value
            return carriage.amounts, carriage.equipment, carriage.notes
        return self.memo(by_stage.needed_by_stages, tuple(row.stage for row in self.museum.stages_of(path)), carried).value

    def _asked(self, gate: Any, carried: tuple[Made, ...]) -> Made:
        """Return what the check of a gate says in the stages that it is asked of: the worst of them, by its title."""
        if len(carried) == 1:
            return self.memo(_checked, gate.check, carried[0])
        pairs = tuple(zip(self.museum.stages_of(gate.path), carried, strict=True))
        of = by_stage.stages_asked(gate, tuple(row for row, _ in pairs))
        checks = tuple((row.title, self.memo(_checked, gate.check, each)) for row, each in pairs if row in of)
        return self.memo(by_stage.worst_stage, checks)

    def _finding(self, gate: Any, carried: tuple[Made, ...], measured: tuple[Made, ...]) -> Finding:
        museum, unit = self.museum, carried[0].value.vehicle
        if gate.check == wiring.SEASON:
            told = told_by_rows(museum, unit.vehicle, gate.path, memo=self.memo)
            return self.season(gate, wiring.told_of({**told, **self._needed(gate.path, measured)[0]}))
        if gate.check:
            return self.worded(gate, self._asked(gate, measured if gate.check in wiring.BY_LENGTH else carried))
        dispute = next(filter(None, (each.value.bearing_dispute for each in carried)), "")
        if "bearing" in gate.rests_on and dispute:
            return found_unknown(gate, dispute)
        if gate.fact:
            return found_by_facts(gate, {fact: museum.fact(unit.vehicle, fact) for fact in gate.fact})
        if set(gate.rests_on) - {"bearing"}:
            return found_by_readiness(gate, carried[0].value.ready)
        return found_by_task(gate)


#: Tables that checks read, beside the unit, its axles and the path.
_TABLES = (
    "survey", "places", "legs", "bridges", "engines", "cranes", "flat_cars", "donor_trucks", "tie_down_drawings", "trailers",
    "trailer_axles", "limits", "journal_ratings", "clues", "readiness",
)  # fmt: skip


class _NotHanded:
    """A table that no check reads: one that tries is told so."""

    def __iter__(self) -> Any:
        raise LookupError("a check reads a table that it is not handed: enter it in the tables that checks read")


def _excerpt(read: Any) -> Museum:
    """Return a museum of some tables; of museum.toml it holds the units of measure and the year of the start."""
    tables, (system, year) = read
    scenario = Scenario.model_construct(units=system, start=dt.date(year, 1, 1))
    none = dict.fromkeys((field.name for field in dataclasses.fields(Museum)), _NotHanded())
    return Museum(**(none | {"folder": "", "scenario": scenario} | dict(tables)))


def _without_weight(unit: Any, pieces: tuple[Any, ...]) -> tuple[Any, tuple[Any, ...]]:
    """Return a unit and its pieces whose weight nobody can read."""
    unit, *others = (row.model_copy(update={"weight": None}) for row in (unit, *pieces))
    return unit, tuple(others)


def _unweighed(read: Museum, unit: Any, pieces: tuple[Any, ...], axles: tuple[Any, ...], stage: Any) -> Unweighed:
    return unweighed(read.with_rows(vehicles=(unit,), pieces=pieces, axles=axles), unit.vehicle, stage)


def _yardsticks(read: Museum, legs: tuple[str, ...] | None) -> tuple[by_rail.Yardstick, ...]:
    return by_rail.yardsticks(read.with_rows(legs=tuple(row for row in read.legs if row.leg in (legs or ()))))


def _carry(
    read: Museum,
    unit: Any,
    ratio: float,
    pieces: tuple[Any, ...],
    said: tuple[Any, ...],
    axles: tuple[Any, ...],
    way: Any,
    stage: Any,
    known: Unweighed,
    crossed: tuple[by_rail.Yardstick, ...],
) -> Carriage:
    """Choose what carries a unit of so many times its weight; the carriage hands its checks these rows alone."""
    alone = () if stage is None else (stage,)
    museum = read.with_rows(
        vehicles=(unit,), pieces=pieces, piece_carriage=said, axles=axles, paths=(way,), stages=alone
    )
    if ratio != 1:
        museum = museum.with_weight(unit.vehicle, unit.weight.m_as("short_ton") * ratio)
    return carry(museum, unit.vehicle, way.path, known, crossed)


def _unnamed_carriage(rows: tuple[Any, ...], vehicle: str, path: str, stage: str) -> tuple[Any, ...]:
    """Return what is said of the pieces of a unit in a stage, by no name of path and stage."""
    own = (row for row in rows if (row.vehicle, row.path, row.stage) == (vehicle, path, stage))
    return tuple(row.model_copy(update={"path": "", "stage": "", "basis": "judgment", "source": ""}) for row in own)


def _unnamed(way: Any, stage: Any) -> tuple[Any, Any]:
    """Return a path and its stage by what they do with the unit: two that do the same have the same checks."""
    nameless = {"path": "", "stage": "", "order": 1, "title": "", "basis": "judgment", "source": ""}
    done = None if stage is None else stage.model_copy(update=nameless)
    return type(way).model_construct(path="", takes_out=way.takes_out), done


def _without_lengths(legs: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return legs whose length nobody can read; a detour keeps its own, which no haul distance scales."""
    return tuple(leg if leg.detour_for else leg.model_copy(update={"length": None}) for leg in legs)


def _by_load(gate: Any) -> bool:
    return bool(gate.check) and gate.check != wiring.SEASON and gate.check not in wiring.BY_LENGTH


def _checked(name: str, carriage: Carriage) -> Check:
    return wiring.CHECKS[name](carriage)


def _that_differ(gates: tuple[Any, ...], answers: tuple[tuple[Check, ...], ...], same: bool) -> tuple[Any, ...]:
    def differ(checks: tuple[Check, ...]) -> bool:
        return any(each.status == "fail" for each in checks) if same else len(set(map(told_by, checks))) > 1

    return tuple(gate for gate, checks in zip(gates, answers, strict=True) if differ(checks))


def told_by(check: Check) -> tuple[Any, ...]:
    """Return what a check says, numbers without their units: to see whether two weights are told apart."""
    numbers = (None if each is None else each.magnitude for each in (check.demand, check.capacity, check.margin))
    return check.status, check.subject, check.note, *numbers


def _of_one_mile(legs: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return legs of one mile each: over them a path is told apart from another by its load and not by its length."""
    mile = Quantity(1.0, "mile")
    return tuple(leg if leg.detour_for else leg.model_copy(update={"length": mile}) for leg in legs)
