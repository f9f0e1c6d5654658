"""The pieces that go beside the body: which trailer each rides on, how many alike on one, what each load is by law."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import pint

from heritagemove.checks.gates import by_road, trailers
from heritagemove.checks.gates.lookup import last
from heritagemove.museum.drivers import of_piece
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.stages import MODES
from heritagemove.units.units import Quantity


@dataclass(frozen=True)
class PieceLoad:
    """The road loads of one row of pieces.csv."""

    piece: Any
    loads: float | None  # trailer loads that all alike of it make; None is unknown
    weight: pint.Quantity | None  # of what lies on one trailer [lb]; None is unknown
    trailer: Any  # row of trailers.csv that takes it; None where none does
    loaded: trailers.LoadedTrailer | None  # that trailer, or the largest, under the load; None where none is tabled
    height: pint.Quantity | None  # of the load on it above the road [ft]; None is unknown

    @property
    def small(self) -> bool:
        """Whether it is a truck of which nobody entered a size: on a low deck it is lower and shorter than its body."""
        return self.piece.kind == "truck" and None in (self.piece.length, self.piece.width, self.piece.height)

    @property
    def size(self) -> tuple[pint.Quantity | None, pint.Quantity | None]:
        """Width and length of what lies on the trailer [ft]: a small one reaches nowhere over it."""
        row = None if self.loaded is None else self.loaded.row
        return (row.width, row.width) if self.small and row else (self.piece.width, self.piece.length)

    @property
    def top(self) -> pint.Quantity | None:
        """Height of the load above the road [ft]; of a small one, that of its deck."""
        return self.loaded.row.deck_height if self.small and self.loaded else self.height


def said_of(museum: Museum, path: str, stage: Any, piece: Any) -> Any:
    """Return what piece_carriage.csv says of a piece in a stage of a path; None where nothing."""
    key = path, stage.stage, piece.vehicle, piece.piece
    rows = (row for row in museum.piece_carriage if (row.path, row.stage, row.vehicle, row.piece) == key)
    return next(rows, None)


def offered(museum: Museum, said: Any, *kinds: str) -> tuple[Any, ...]:
    """Return the trailers that may carry a piece: the one that its row names, else every one of the kinds, in order."""
    if said is not None and said.equipment:
        return tuple(row for row in museum.trailers if row.trailer == said.equipment)
    return tuple(row for kind in kinds for row in museum.trailers if row.used_for == kind)


def choose_trailer(
    museum: Museum, rows: Iterable[Any], load: pint.Quantity | None, offset: pint.Quantity | None
) -> tuple[trailers.LoadedTrailer | None, trailers.LoadedTrailer | None]:
    """Return the first trailer that takes a load, None where none does; and that one, or the largest, under it.

    One of which too little is known may be the one: what is larger is not taken behind the planner's back.
    """
    fleet = [trailers.loaded(museum, row, load, offset) for row in rows]
    unknown = [each for each in fleet if each.payload is None or each.own_axles().status == "unknown"]
    carrying = [each for each in fleet if each in unknown or each.payload <= each.row.payload] if load is not None else []
    may = (each for each in carrying if each in unknown or by_road.carries(museum, each))
    taken = next(may, next(iter(carrying), None))
    return taken, taken or last(fleet)


def beside(museum: Museum, unit: Any, path: str, stage: Any) -> tuple[PieceLoad, ...]:
    """Return the road loads of the pieces that go beside the body of a unit.

    On as many of a trailer as its payload takes, alike on one; a lowboy for parts first, then the trailers for bodies. What
    piece_carriage.csv sends by rail is no road load.
    """
    body, loads = museum.body(unit.vehicle).piece, []
    kinds = "truck_load", "trailer"
    for piece in museum.pieces_of(unit.vehicle):
        said = said_of(museum, path, stage, piece)
        if piece.piece == body or (said is not None and MODES[said.carried_on] != "road"):
            continue
        own = kinds if said is None or said.carried_on == "trailer" else (said.carried_on,)
        loads.append(_load(museum, piece, offered(museum, said, *own)))
    return tuple(loads)


def _load(museum: Museum, piece: Any, rows: tuple[Any, ...]) -> PieceLoad:
    middle = Quantity(0.0, "ft") if piece.kind == "truck" else None
    offset = middle if piece.centre_of_gravity_offset is None else piece.centre_of_gravity_offset
    taken, under = choose_trailer(museum, rows, piece.weight, offset)
    if piece.weight is None or under is None:
        return PieceLoad(piece, None, piece.weight, None, under, None)
    together = 1
    if taken is not None and taken.payload is not None:
        free = (taken.row.payload - taken.row.blocking_weight).m_as("lb")
        together = min(piece.count, max(int(free / piece.weight.m_as("lb") + 1e-9), 1))
    loads = math.ceil(piece.count / together)
    weight = piece.weight * math.ceil(piece.count / loads)
    under = trailers.loaded(museum, under.row, weight, offset)
    row = None if taken is None else taken.row
    return PieceLoad(piece, float(loads), weight, row, under, trailers.piece_height(piece, under.row))


def amounts(others: tuple[PieceLoad, ...]) -> dict[str, float | None]:
    """Return how many loads the pieces beside the body make, and what one weighs on average [short ton].

    Of several pieces, those of each stand beside, as :func:`heritagemove.museum.drivers.of_piece` names them.
    """
    loads = [each.loads for each in others]
    if None in loads:
        return {"truck_loads": None, "truck_load_weight": None}
    weights = [each.piece.weight.m_as("short_ton") * each.piece.count for each in others]
    counted = {"truck_loads": float(sum(loads)), "truck_load_weight": sum(weights) / sum(loads) if loads else 0.0}
    if len(others) > 1:
        for each, count, weight in zip(others, loads, weights, strict=True):
            counted |= {of_piece("truck_loads", each.piece.piece): count}
            counted |= {of_piece("truck_load_weight", each.piece.piece): weight / count}
    return counted


def together_over_legal(
    museum: Museum,
    bodies: float,
    trailer: trailers.LoadedTrailer | None,
    height: pint.Quantity | None,
    others: tuple[PieceLoad, ...],
) -> dict[str, float | None]:
    """Return the road loads of body and pieces that are over the legal weights, and those over the legal height."""
    counted = by_road.over_legal(museum, bodies, trailer, height)
    for each in others:
        own = by_road.over_legal(museum, each.loads or 0.0, each.loaded, each.top)
        counted = {name: _plus(counted[name], None if each.loads is None else own[name]) for name in counted}
    return counted


def in_convoy(museum: Museum, of_body: dict[str, float | None], others: tuple[PieceLoad, ...]) -> dict[str, float | None]:
    """Return what a convoy needs on the road: the superloads of all, the escorts and crews of the body."""
    heavy = of_body["superloads"]
    for each in others:
        if each.loaded is None or each.loads is None:
            heavy = None
            continue
        over = by_road.is_superload(museum, each.loaded, each.size, each.top)
        heavy = _plus(heavy, None if over is None else over * each.loads)
    return {**of_body, "superloads": heavy}


def _plus(one: float | None, other: float | None) -> float | None:
    return None if None in (one, other) else one + other
