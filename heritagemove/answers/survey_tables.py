"""The tables of a survey: the sheet, the boxes, the bearings, the journals, readiness to roll, and what is unknown."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.pieces import BODIES
from heritagemove.survey.bearings import TYPES, BearingAnswer, VehicleBearings, bearings
from heritagemove.survey.readiness import axle_ratings, readiness, unknowns
from heritagemove.units.described import Described, Heading, Marked, described
from heritagemove.units.measures import System, show_measure
from heritagemove.units.units import Quantity, show

READY_WORDS = {"ready": "✓ ready", "caution": "! caution", "defect": "✕ defect", "unknown": "? unknown"}

_OTHER = "Hazards and other facts"
_GROUPS = {
    "Identity": ("kind", "built", "journal", "journal_position", "bearing"),
    "Weight": ("weight", "weight_tolerance", "fluids_weight", "centre_of_gravity_height"),
    "Geometry": ("length", "width", "height", "truck_centres", "rigid_wheelbase", "sharpest_curve"),
    "Wheels": ("wheel_diameter",),
    "Brakes": ("brakes",),
    "Draft gear": ("coupler_height", "draft_gear"),
    _OTHER: ("hazards",),
}
_OF_A_PLACE = (
    "owner", "soil", "bearing", "pad_area", "pad_material", "radius", "headroom", "obstruction", "power_line_voltage",
    "power_line_distance", "power_lines_cleared", "crane_access", "services_located", "track_length", "storage_rate",
)  # fmt: skip
_SUBJECTS = {"wheel": "Wheels", "brake": "Brakes", "draft_gear": "Draft gear", "safety_appliance": "Safety appliances"}


def id_in_words(text: str | None) -> str:
    """Return an id in words, or unknown."""
    return "unknown" if text is None else text.replace("_", " ").replace("pcb", "PCB")


def table_of_facts(museum: Museum, vehicle: str) -> Described:
    """Return what vehicles.csv and survey.csv say of a unit and its site, by group; the boxes have their own table."""
    unit, clues = museum.vehicle(vehicle), {row.clue for row in museum.clues}
    seen = [row for row in museum.survey if row.vehicle in (vehicle, "any")]
    system = museum.scenario.units
    groups = {
        name: [(_label(unit, field), _value(getattr(unit, field), system)) for field in fields]
        for name, fields in _GROUPS.items()
    }
    for piece in museum.pieces_of(vehicle):
        named = piece.title if piece.count == 1 else f"{piece.title}, each of {piece.count}"
        groups["Weight"].append((f"Weight: {named}", _value(piece.weight, system)))
        if piece.kind in BODIES:
            groups["Geometry"].append((f"Underside above the rail: {named}", _value(piece.underside, system)))
    groups["Weight"].append(("Basis", f"{unit.basis}: {unit.source}"))
    subject = {row.clue: _SUBJECTS.get(row.subject, _OTHER) for row in museum.readiness if row.clue}
    for row in seen:
        if row.clue not in clues:
            group = "Site" if row.place == "site" else subject.get(row.clue, _OTHER)
            what = first_large(id_in_words(row.clue)) + ("" if row.place in ("site", "vehicle") else f", {row.place}")
            groups.setdefault(group, []).append((what, f"{id_in_words(row.found)} ({row.observed.isoformat()})"))
    for name in (*_SUBJECTS.values(), "Site"):
        groups.setdefault(name, [("Seen", "nobody has looked")])
    for place in museum.places:
        groups[place.title] = [(_label(place, field), _value(getattr(place, field), system)) for field in _OF_A_PLACE]
    return described(
        f"Survey sheet of {unit.name}",
        (
            Heading("Group", lambda row: row[0], "strong"),
            Heading("What", lambda row: row[1]),
            Heading("Found", lambda row: row[2]),
        ),
        # A group is named once, over its rows.
        [(name if not at else "", *pair) for name, pairs in groups.items() for at, pair in enumerate(pairs)],
    )


def table_of_boxes(museum: Museum, vehicle: str) -> Described:
    """Return what was seen at each box, one row per box, one column per clue; of the whole unit in the first row."""
    clues = [clue for clue in dict.fromkeys(row.clue for row in museum.clues) if clue != "prior"]
    seen: dict[tuple[str, str], str] = {}
    for row in sorted(museum.survey, key=lambda row: row.observed):
        if row.vehicle == vehicle and row.clue in clues:
            seen[row.place, row.clue] = id_in_words(row.found)

    def of_clue(clue: str) -> Heading:
        return Heading(id_in_words(clue), lambda place: seen.get((place, clue), "–"))

    return described(
        "Journal boxes (– means not looked at)",
        (Heading("Box", lambda place: "whole unit" if place == "vehicle" else place), *map(of_clue, clues)),
        ["vehicle", *boxes_of(museum, vehicle)],
    )


def boxes_of(museum: Museum, vehicle: str) -> list[str]:
    """Return the names of a unit's journal boxes."""
    return [f"{axle.axle}{side}" for axle in museum.axles_of(vehicle) for side in "LR"]


def table_of_bearings(museum: Museum, vehicle: str) -> Described:
    """Return the probability of each bearing type, one row per box."""
    found = bearings(museum, vehicle)

    def chance(kind: str) -> Heading:
        return Heading(first_large(id_in_words(kind)), lambda box: getattr(box, kind), "share")

    return described(
        found.sentence,
        (
            Heading("Box", lambda box: box.place, "strong"),
            Heading("Type", lambda box: _known(found, box)),
            *map(chance, TYPES),
            Heading("Look for next", _telling),
            Heading("Contradictions", lambda box: tuple(map(id_in_words, box.contradictions))),
        ),
        found.boxes,
    )


def table_of_effect(caption: str, now: BearingAnswer, then: BearingAnswer) -> Described:
    """Return what one more observation makes of the probability of each bearing type of a box."""
    return described(
        caption,
        (
            Heading("Bearing", lambda kind: first_large(id_in_words(kind))),
            Heading("Now", lambda kind: getattr(now, kind), "share"),
            Heading("With it", lambda kind: getattr(then, kind), "share"),
        ),
        TYPES,
    )


def table_of_journals(museum: Museum, vehicle: str) -> Described:
    """Return each axle with the class of its journals, its rating and its margin."""
    system = museum.scenario.units

    def margin(row: Any) -> str | None:
        return None if row.margin is None else show_measure(row.margin, system) + (
            " – over" if row.margin.magnitude < 0 else "")  # fmt: skip

    def of_journal(row: Any, read: Any) -> str | None:
        return None if row.journal is None else read(row.journal)

    return described(
        "Journals: class, rating and load of each axle",
        (
            Heading("Axle", lambda row: row.axle),
            Heading("Journal [in]" if system == "US" else "Journal, as designated", lambda row: row.size),
            Heading("Class", lambda row: of_journal(row, lambda journal: journal.letter)),
            Heading("Rating of the axle", lambda row: of_journal(
                row, lambda journal: f"{show_measure(journal.rating, system)} ({journal.service})")),
            Heading("Load", lambda row: None if row.load is None else show_measure(row.load, system)),
            Heading("Margin", margin),
            Heading("Note", lambda row: row.note),
        ),
        axle_ratings(museum, vehicle),
    )  # fmt: skip


def table_of_readiness(museum: Museum, vehicle: str) -> Described:
    """Return what must be right before a unit moves on its own wheels, what was found, and who signs."""
    items = readiness(museum, vehicle)
    counts = ", ".join(f"{sum(item.status == status for item in items)} {status}" for status in READY_WORDS)
    return described(
        f"{museum.vehicle(vehicle).name} on its own wheels: {counts}",
        (
            Heading("Status", lambda item: READY_WORDS[item.status]),
            Heading("Group", lambda item: id_in_words(item.subject)),
            Heading("What must be true", lambda item: item.title, "strong"),
            Heading("Found", lambda item: item.found),
            Heading("Counts against it", lambda item: item.defect),
            Heading("Rule", lambda item: item.rule),
            Heading("Who signs", lambda item: item.signs),
        ),
        items,
    )


def table_of_unknowns(museum: Museum, vehicle: str) -> Described:
    """Return what is still unknown of a unit, how to find it out, and the paths that wait for it."""
    found = unknowns(museum, vehicle)
    return described(
        f"{museum.vehicle(vehicle).name}: {len(found)} things still unknown, and the paths that wait for them",
        (
            Heading("Unknown", lambda row: row.what),
            Heading("How to find out", lambda row: row.find),
            Heading("Paths that wait for it", lambda row: numbers_of(museum, row.blocks)),
        ),
        found,
    )


def numbers_of(museum: Museum, paths: Iterable[str]) -> tuple[Marked, ...]:
    """Return the numbers of paths in their order."""
    return tuple(map(Marked, sorted(museum.path(path).number for path in paths)))


def first_large(text: str) -> str:
    """Return a text with its first letter large, the others as they are."""
    return text[:1].upper() + text[1:]


def _known(found: VehicleBearings, box: BearingAnswer) -> str:
    return "✕ disputed" if box in found.disputed else "✓ known" if box.known else "? open"


def _telling(box: BearingAnswer) -> str:
    if box.next_clue is None:
        return "nothing that would tell much"
    return id_in_words(box.next_clue) + ("" if not box.left_out else " (open the lid)")


def _label(unit: Any, field: str) -> str:
    return first_large(type(unit).model_fields[field].description.split(";")[0])


def _value(found: Any, system: System) -> str:
    if isinstance(found, Quantity) and system == "SI" and not found.dimensionless:
        return show_measure(found, system)
    if isinstance(found, Quantity):
        shown = f"{float(found.magnitude):.2f}".rstrip("0").rstrip(".")
        return show(found, digits=len(shown.partition(".")[2]))
    return id_in_words(None if found is None else str(found))
