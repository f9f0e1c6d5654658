"""Tables of a request for quotation: what is to be moved, what it runs on, the places and the way, as their rows tell."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from heritagemove.compare.results import PathResult
from heritagemove.following.hauler_loads import bogies
from heritagemove.museum.museum import Museum
from heritagemove.units.described import Described, Heading, described, facts
from heritagemove.units.measures import show_measure

#: What stands where nobody knows: the firm is asked for it.
ASK = "not known"


def worded(trade: str, text: str) -> str:
    """Return a text in the words of a trade."""
    return bogies(text) if trade == "hauler" else text


def all_pieces(museum: Museum, vehicle: str) -> list[Any]:
    """Return a unit and the pieces that it may be moved in."""
    body = museum.body(vehicle)
    pieces = (body if row.piece == body.piece else row for row in museum.pieces_of(vehicle) if row.kind != "whole")
    return [museum.vehicle(vehicle), *pieces]


def load_table(museum: Museum, unit: Any, carried: Sequence[Any], trade: str) -> Described:
    """Return what is to be moved: the unit, pieces of it, or both."""
    shown = _shown(museum)

    def weight(row: Any) -> str:
        if row.weight is None:
            return ASK
        tolerance = unit.weight_tolerance.m_as("percent")
        return f"{shown(row.weight)}, give or take {tolerance:g} %"

    def centre(row: Any) -> str:
        height, offset = row.centre_of_gravity_height, row.centre_of_gravity_offset
        if height is None and row is not unit:
            own = row.piece == museum.body(unit.vehicle).piece and unit not in carried
            return f"{ASK} for the piece" + (f"; of the unit as it stands: {centre(unit)}" if own else "")
        where = "ahead of" if offset is not None and offset.m_as("ft") >= 0 else "behind"
        ahead = f"along its length {ASK}" if offset is None else f"{shown(abs(offset))} {where} its middle"
        return f"{shown(height)} above the rail; {ahead}"

    spread = f", lift points {shown(unit.lift_spread)} apart" if unit.lift_spread is not None else ""
    centres = f", truck centres {shown(unit.truck_centres)}{spread}"
    whole = any(row is unit or row.piece == museum.body(unit.vehicle).piece for row in carried)
    of = unit.name + (worded(trade, centres) if whole else ": these pieces alone")
    return described(
        f"What is to be moved: {of}",
        (
            Heading("Piece", lambda row: "The unit as it stands" if row is unit else worded(trade, row.title)),
            Heading("Count", lambda row: 1 if row is unit else row.count, "whole"),
            Heading("Weight of one", weight),
            Heading("Length", lambda row: shown(row.length)),
            Heading("Width", lambda row: shown(row.width)),
            Heading("Height", lambda row: shown(row.height)),
            Heading("Underside", lambda row: "on its wheels" if row is unit or row.wheels_on else shown(row.underside)),
            Heading("Centre of gravity", centre),
        ),
        carried,
    )


def running_gear_table(museum: Museum, vehicle: str) -> Described:
    """Return what a unit runs on."""
    unit, shown, axles = museum.vehicle(vehicle), _shown(museum), museum.axles_of(vehicle)
    loads = [row.load for row in axles]
    heaviest = ASK if not loads or None in loads else shown(max(loads))
    return facts(
        "What it runs on",
        [
            ("Axles, and the heaviest axle load as it stands", f"{len(axles)}; {heaviest}"),
            ("Bearings, as found", unit.bearing.replace("_", " ")),
            ("Journals, inches", f"{unit.journal}, {unit.journal_position} boxes" if unit.journal else ASK),
            ("Wheel diameter; coupler height", f"{shown(unit.wheel_diameter)}; {shown(unit.coupler_height)}"),
            ("Sharpest curve it may take", shown(unit.sharpest_curve)),
            ("Brakes", unit.brakes),
            ("Couplers and draft gear", unit.draft_gear),
            ("Hazards", unit.hazards),
        ],
    )


def places_table(museum: Museum, path: str) -> Described:
    """Return the places of a path, as a firm must find them."""
    stages, shown = museum.stages_of(path), _shown(museum)
    names = dict.fromkeys(place for stage in stages for place in (stage.from_place, stage.to_place))
    yes = {"yes": "yes", "no": "no", "not_needed": "no line within reach", None: ASK}

    def line(row: Any) -> str:
        if row.power_lines_cleared == "not_needed":
            return "no line within reach"
        cleared = yes[row.power_lines_cleared]
        return f"{shown(row.power_line_voltage)} at {shown(row.power_line_distance)}; cleared: {cleared}"

    return described(
        "From where to where",
        (
            Heading("Place", lambda row: row.title),
            Heading("Owner", lambda row: row.owner),
            Heading("Ground", lambda row: row.soil.replace("_", " ") if row.soil else ASK),
            Heading("Pad under a float", lambda row: shown(row.pad_area)),
            Heading("Radius to the hook", lambda row: shown(row.radius)),
            Heading("Headroom", lambda row: shown(row.headroom)),
            Heading("Power line", line),
            Heading("Crane gets in", lambda row: yes[row.crane_access]),
            Heading("Buried services marked", lambda row: yes[row.services_located]),
        ),
        [row for name in names for row in museum.places if row.place == name],
    )


def legs_by(museum: Museum, result: PathResult, modes: Sequence[str]) -> tuple[Any, ...]:
    """Return the legs of a path by some modes, in order."""
    return tuple(leg for stage in museum.stages_of(result.path) for leg in museum.legs_of(stage) if leg.mode in modes)


def _detours(museum: Museum, legs: Sequence[Any]) -> list[Any]:
    taken, modes = {leg.leg for leg in legs}, {leg.mode for leg in legs}
    avoided = {row.bridge for row in museum.bridges if row.leg in taken}
    return [leg for leg in museum.legs if leg.detour_for in avoided and leg.mode in modes]


def way_tables(museum: Museum, legs: Sequence[Any], road: bool) -> Iterable[Described]:
    """Yield the stretches of a way and the bridges on it; nothing where no leg is known."""
    taken, shown, detours = {leg.leg for leg in legs}, _shown(museum), _detours(museum, legs)

    def wires(leg: Any) -> str:
        return "none" if leg.wires == 0 else f"{leg.wires or ASK}, {shown(leg.lowest_wire)}"

    def turn(leg: Any) -> str:
        if leg.turn_angle is not None and not leg.turn_angle.magnitude:
            return "none"
        return f"{shown(leg.turn_angle)}, outer radius {shown(leg.turn_outer_radius)}, {shown(leg.turn_width)} wide"

    own = (Heading("Wires: how many, the lowest", wires), Heading("Tightest turn", turn)) if road else (
        Heading("Sharpest curve", lambda leg: shown(leg.curve)),
        Heading("Gross limit", lambda leg: shown(leg.gross_limit)),
        Heading("Side clearance", lambda leg: shown(leg.clear_half_width)),
    )  # fmt: skip
    if not legs:
        return
    miles = shown(sum(leg.length for leg in legs))
    yield described(
        f"Route as we know it, {miles}{_only_if(detours, shown)}: the way is yours to confirm",
        (
            Heading("Stretch", lambda leg: leg.name + (" (detour, if a bridge asks for it)" if leg.detour_for else "")),
            Heading("Length", lambda leg: shown(leg.length)),
            Heading("Lowest structure, wires apart", lambda leg: shown(leg.clear_height)),
            *own,
            Heading("Owner's rules", lambda leg: leg.policy),
        ),
        [*legs, *detours],
    )
    bridges = [row for row in museum.bridges if row.leg in taken]
    if bridges:
        yield described(
            "Bridges on it",
            (
                Heading("Bridge", lambda row: row.title),
                Heading("Span", lambda row: shown(row.span)),
                Heading("Rating, normal and maximum", lambda row: f"{row.normal or '?'} and {row.maximum or '?'} "
                        + ("Cooper E" if row.rating == "cooper_e" else "x HS20")),
                Heading("Weight sign", lambda row: "none seen" if row.posted_limit is None else shown(row.posted_limit)),
                Heading("Note", lambda row: row.note or ""),
            ),
            bridges,
        )  # fmt: skip


def _only_if(detours: Sequence[Any], shown: Any) -> str:
    more = ", ".join(shown(leg.length) for leg in detours)
    return f" and {more} of detour only if a bridge asks for it" if detours else ""


def _shown(museum: Museum) -> Any:
    def shown(quantity: Any) -> str:
        if quantity is None:
            return ASK
        unit = "" if quantity.dimensionless else f"{quantity.units:~}"
        plain = f"{quantity.magnitude:g} {unit}"
        return plain if unit in ("kV",) else show_measure(quantity, museum.scenario.units)

    return shown
