"""What a heavy hauler carries on a path: the pieces of its trade alone, the trailer assumed under each, and the road.

A railroad vehicle's truck is called a rail truck (bogie) here: to a hauler a truck is something else.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any

import pint

from heritagemove.checks.gates import by_road, piece_loads
from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.lookup import limit
from heritagemove.checks.gates.trailers import LoadedTrailer
from heritagemove.museum.drivers import driver_of
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity
from heritagemove.whole_site.likely_lines import LikelyLine

#: Drivers that only pieces beside the body are counted by.
_BESIDE = {"truck_haul_distance", "truck_loads", "truck_load_weight", "loose_axle_loads"}
_ASK = "not known"


@dataclass(frozen=True)
class RoadLoad:
    """What rides on one trailer, or is shifted over the ground."""

    piece: Any  # row of pieces.csv, or of vehicles.csv where the unit goes whole
    loads: float | None  # trailer loads that all alike make; None is unknown
    loaded: LoadedTrailer | None  # None where nothing is tabled, and in a shift over the ground
    height: pint.Quantity | None  # of the load above the road [ft]; None is unknown
    size: tuple[pint.Quantity | None, pint.Quantity | None]  # its width and length [ft]
    by_road: bool
    small: bool = False  # whether nobody entered its size: its height is that of the deck, its width that of the trailer


def bogies(text: str) -> str:
    """Return a text in which a railroad vehicle's truck is called so that a trucker takes it for no other.

    Examples
    --------
    >>> bogies("Truck with its wheels"), bogies("Own trucks by lowboy")
    ('Rail truck (bogie) with its wheels', 'Own rail trucks (bogies) by lowboy')
    """
    text = re.sub(r"\b(?<!rail )truck(s?)\b", r"rail truck\1 (bogie\1)", text)
    return re.sub(r"\bTruck(s?)\b", r"Rail truck\1 (bogie\1)", text)


def road_loads(museum: Museum, vehicle: str, path: str, lines: Sequence[LikelyLine]) -> tuple[RoadLoad, ...]:
    """Return what a hauler carries on a path by the stages and by the cost lines of its trade, each piece once."""
    unit, found = museum.vehicle(vehicle), {}
    beside = bool(_BESIDE & {driver_of(key) for entry in lines for key, _ in entry.amounts})
    for stage in museum.stages_of(path):
        carriage = arrange(museum, vehicle, path, stage.stage)
        if stage.mode in ("road", "ground"):
            whole = stage.carried_on in ("roll_on_trailer", "shift")
            piece = unit if whole else museum.body(vehicle)
            found[piece.title if not whole else "", stage.mode] = RoadLoad(
                piece, 1.0 if whole else float(piece.count), carriage.loaded, carriage.loaded_height,
                (unit.width, piece.length), stage.mode == "road",
            )  # fmt: skip
        if beside and stage.mode != "ground":
            for each in carriage.others or piece_loads.beside(museum, unit, path, stage):
                load = RoadLoad(each.piece, each.loads, each.loaded, each.top, each.size, True, each.small)
                found[each.piece.piece, "road"] = load
    return tuple(found.values())


def hauled_legs(museum: Museum, path: str, loads: Sequence[RoadLoad]) -> tuple[Any, ...]:
    """Return the legs of a hauler's way: those of the path, else the museum's road between the same two places, if known."""
    stages = museum.stages_of(path)
    own = tuple(leg for stage in stages for leg in museum.legs_of(stage) if leg.mode in ("road", "ground"))
    if own or not any(each.by_road for each in loads):
        return own
    legs = museum.route("road")
    first = next((n for n, leg in enumerate(legs) if leg.from_place == stages[0].from_place), None)
    last = next((n for n, leg in enumerate(legs) if leg.to_place == stages[-1].to_place), None)
    return () if None in (first, last) or last < first else legs[first : last + 1]


def as_assumed(museum: Museum, each: RoadLoad) -> list[tuple[str, str]]:
    """Return the trailer assumed under a load, how large and heavy both are, and what of it is over legal, in words."""
    system, loaded = museum.scenario.units, each.loaded

    def said(quantity: Any) -> str:
        return _ASK if quantity is None else show_measure(quantity, system)

    if loaded is None:
        return [("Trailer", "yours to propose"), ("Support points under the load", "to be agreed")]
    places = [Quantity(place, "ft") for place in loaded.row.axle_positions]
    spacing = ", ".join(said(after - before) for before, after in pairwise(places))
    return [
        ("Trailer assumed: yours may be another", loaded.row.title),
        ("Axles, and from one to the next, from the front", f"{len(places)}: {spacing}"),
        ("Axle loads, from the front", _axle_loads(loaded, said)),
        ("Gross, tractor and trailer included", said(loaded.gross)),
        ("Loaded height", _height(museum, each, said)),
        ("Loaded width", said(by_road.loaded_width(each.size[0], loaded.row))),
        ("Length over all", said(by_road.loaded_length(each.size[1], loaded.row))),
        ("Over legal, by our rows", "; ".join(_over_legal(museum, each, said)) or "nothing found"),
        ("Support points under the load", "to be agreed"),
    ]


def _height(museum: Museum, each: RoadLoad, said: Any) -> str:
    if each.small:
        return f"{_ASK}; the deck is at {said(each.height)}"
    air = limit(museum, "vertical_clearance", "in")
    kept = "" if None in (air, each.height) else f"; {said(each.height + air)} with the air to keep under a structure"
    return said(each.height) + kept


def _axle_loads(loaded: LoadedTrailer, said: Any) -> str:
    if loaded.axles is None:
        return _ASK
    rounded = [Quantity(round(float(load), -2), "lb") for load in loaded.axles[1].m_as("lb")]
    return ", ".join(f"{len(list(alike))} of {said(load)}" for load, alike in groupby(rounded))


def _over_legal(museum: Museum, each: RoadLoad, said: Any) -> list[str]:
    row, found = each.loaded.row, []
    sizes = {"height": each.height, "width": by_road.loaded_width(each.size[0], row)}
    for name, size in sizes.items():
        # No check reads the legal width: the row is only shown, and its own unit counts.
        rows = (row for row in museum.limits if row.limit == f"legal_{name}" and row.value is not None)
        most = next((Quantity(float(row.value), row.unit) for row in rows), None)
        if None in (size, most):
            found.append(f"{name}: {_ASK}")
        elif size > most:
            found.append(f"{name}: {said(size)} against {said(most)}")
    weight, gross = by_road.legal_weight(museum, each.loaded), limit(museum, "federal_gross", "lb")
    if weight.status == "unknown":
        found.append(f"weight: {_ASK}")
    elif weight.status == "open":
        over = gross is not None and each.loaded.gross > gross
        found.append(f"gross weight: {said(each.loaded.gross)} against {said(gross)}" if over else "axle weights")
    if by_road.is_superload(museum, each.loaded, each.size, each.height):
        found.append("a superload")
    return found


def wants_high_pole(museum: Museum, loads: Sequence[RoadLoad]) -> bool:
    """Return whether a load is higher than a row allows without a high-pole car, or is of unknown height."""
    rows = (limit(museum, name, "ft") for name in ("height_pole_from", "legal_height"))
    least = min((row for row in rows if row is not None), default=None)
    return any(row.by_road and (None in (row.height, least) or row.height > least) for row in loads)


def permit_givers(legs: Sequence[Any]) -> str:
    """Return who gives permits for the stretches of a way, as far as their rows tell."""
    states = dict.fromkeys(leg.state.replace("_", " ").capitalize() for leg in legs if leg.state)
    local = [f"the {leg.owner} of {leg.name}" for leg in legs if leg.owner in ("town", "county")]
    return "; ".join([*(f"{state} (state)" for state in states), *local]) or _ASK
