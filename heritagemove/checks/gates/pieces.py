"""The pieces that go beside the body: what each is loaded on, how many loads that makes, and what each load weighs.

A piece goes on what piece_carriage.csv names, else on the first trailer whose payload takes it: one for trucks and parts
before a hauler's for bodies. Pieces under one trailer's payload share a load, the heaviest first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pint

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.checks.gates.lookup import limit
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity

#: What is under a piece that is loaded beside the body -> whether it is a load for the heavy trailer.
_HEAVY = {"truck_load": False, "trailer": True}


@dataclass(frozen=True)
class PieceLoad:
    """One road load of one or several pieces."""

    pieces: tuple[Any, ...]  # rows of pieces.csv, one for each piece on it
    trailer: Any  # row of trailers.csv; None where none of the tables takes it
    weight: pint.Quantity  # of the pieces [lb]

    @property
    def heavy(self) -> bool:
        """Whether it needs a trailer as the body does, with its own permit."""
        return self.trailer is not None and _HEAVY[self.trailer.used_for]

    @property
    def title(self) -> str:
        """What is on it, in a planner's words."""
        counted = dict.fromkeys(piece.title for piece in self.pieces)
        return ", ".join(counted)


def beside_the_body(museum: Museum, unit: Any) -> tuple[Any, ...]:
    """Return the pieces of a unit without the body itself."""
    body = museum.body(unit.vehicle).piece
    return tuple(row for row in museum.pieces_of(unit.vehicle) if row.piece != body)


def piece_loads(museum: Museum, unit: Any, stage: Any = None) -> tuple[PieceLoad, ...] | None:
    """Return the road loads of the pieces beside the body, heaviest first; None where one of them is not weighed.

    Parameters
    ----------
    museum : Museum
    unit : row of vehicles.csv
    stage : row of stages.csv, optional
        In which they are carried: piece_carriage.csv may name another trailer for it.
    """
    single = [piece for piece in beside_the_body(museum, unit) for _ in range(piece.count)]
    if any(piece.weight is None for piece in single):
        return None
    named = {row.piece: row.equipment for row in museum.carriage_of(unit.vehicle, stage) if row.equipment}
    loads: list[PieceLoad] = []
    for piece in sorted(single, key=lambda row: row.weight, reverse=True):
        under = _under(museum, piece, named.get(piece.piece))
        place = next((n for n, load in enumerate(loads) if _takes(load, under, piece)), None)
        if place is None:
            loads.append(PieceLoad((piece,), under, piece.weight.to("lb")))
        else:
            loads[place] = PieceLoad((*loads[place].pieces, piece), under, loads[place].weight + piece.weight)
    return tuple(loads)


def _under(museum: Museum, piece: Any, named: str | None) -> Any:
    rows = sorted((row for row in museum.trailers if row.used_for in _HEAVY), key=lambda row: _HEAVY[row.used_for])
    if named is not None:
        return next((row for row in rows if row.trailer == named), None)
    return next((row for row in rows if piece.weight <= _payload(row)), None)


def _takes(load: PieceLoad, under: Any, piece: Any) -> bool:
    return under is not None and load.trailer is under and load.weight + piece.weight <= _payload(under)


def _payload(row: Any) -> pint.Quantity:
    return row.payload if row.blocking_weight is None else row.payload - row.blocking_weight


def load_amounts(museum: Museum, unit: Any, stage: Any = None) -> dict[str, float | None]:
    """Return how many loads of trucks and parts a unit makes, how many of them heavy, and what one of each weighs."""
    loads = piece_loads(museum, unit, stage)
    if loads is None:
        return dict.fromkeys(("truck_loads", "part_loads", "truck_load_weight", "part_load_weight"))
    light, heavy = ([load for load in loads if load.heavy == wanted] for wanted in (False, True))
    return {
        "truck_loads": float(len(light)),
        "part_loads": float(len(heavy)),
        "truck_load_weight": _mean_tons(light),
        "part_load_weight": _mean_tons(heavy),
    }


def _mean_tons(loads: Sequence[PieceLoad]) -> float:
    return sum(load.weight.m_as("short_ton") for load in loads) / len(loads) if loads else 0.0


def heaviest(museum: Museum, unit: Any) -> pint.Quantity | None:
    """Return the weight of the heaviest piece, which decides the crane [lb]; None where the body is not weighed."""
    known = [row.weight for row in museum.pieces_of(unit.vehicle) if row.weight is not None]
    return None if museum.body(unit.vehicle).weight is None else max(known)


def gross_of(load: PieceLoad) -> pint.Quantity:
    """Return what a load weighs with its trailer and truck [lb]."""
    return load.trailer.tare + load.weight + (load.trailer.blocking_weight or Quantity(0.0, "lb"))


def with_parts(
    museum: Museum, amounts: Mapping[str, float | None], loads: tuple[PieceLoad, ...] | None
) -> dict[str, float | None]:
    """Return amounts of the body's loads with those of the heavy parts that go as it does added to what each counts.

    Parameters
    ----------
    amounts : mapping of str to float or None
        Drivers of the body's loads.
    loads : tuple of PieceLoad or None
        The loads beside it; None is unknown.
    """
    heavy = () if loads is None else tuple(load for load in loads if load.heavy)
    over = {
        "overweight_loads": [_over(gross_of(load), limit(museum, "federal_gross", "lb")) for load in heavy],
        "over_height_loads": [_over(_height_of(load), limit(museum, "legal_height", "ft")) for load in heavy],
        "superloads": [_over(gross_of(load), limit(museum, "superload_weight", "lb")) for load in heavy],
    }
    added = dict(amounts)
    for name, found in over.items():
        if name in added and loads is None:
            added[name] = None
        elif name in added and found:
            added[name] = None if None in (added[name], *found) else added[name] + sum(found)
    return added


def _over(size: pint.Quantity | None, most: pint.Quantity | None) -> float | None:
    return None if None in (size, most) else float(size > most)


def _height_of(load: PieceLoad) -> pint.Quantity | None:
    heights, row = [piece.height for piece in load.pieces], load.trailer
    return None if None in (*heights, row.blocking_height) else row.deck_height + row.blocking_height + max(heights)


def piece_payload(museum: Museum, unit: Any, stage: Any) -> Check:
    """Return the check of the load beside the body that is nearest to what its trailer takes, or over it."""
    name = "Loads beside the body"
    beside = beside_the_body(museum, unit)
    if not beside:
        return Check(name, "nothing goes beside the body", None, None, "pass", None, "pieces.csv", "")
    loads = piece_loads(museum, unit, stage)
    if loads is None:
        titles = ", ".join(dict.fromkeys(row.title for row in beside if row.weight is None))
        return unknown(name, unit.name, f"weigh: {titles}", "pieces.csv")
    alone = next((load for load in loads if load.trailer is None), None)
    if alone is not None:
        most = max((_payload(row) for row in museum.trailers if row.used_for in _HEAVY), default=None)
        if most is None:
            return unknown(name, unit.name, "enter a trailer for trucks and parts in trailers.csv", "trailers.csv")
        note = f"No trailer of trailers.csv takes it: {alone.title}."
        margin = most - alone.weight
        return Check(name, alone.title, alone.weight, most, "fail", margin, "trailers.csv, payload", note)
    worst = max(loads, key=lambda load: float(load.weight / _payload(load.trailer)))
    most = _payload(worst.trailer)
    subject = f"{worst.title} on {worst.trailer.title}"
    status = judge(worst.weight.to("lb"), most.to("lb"))
    note = f"{len(loads)} load{'s' * (len(loads) > 1)} beside the body."
    return Check(name, subject, worst.weight, most, status, most - worst.weight, "trailers.csv, payload", note)
