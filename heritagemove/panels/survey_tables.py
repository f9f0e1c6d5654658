"""The survey on screen: the sheet, the bearings, the readiness list, what is unknown, the cautions."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import Any

from IPython.display import HTML

from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.pieces import BODIES
from heritagemove.panels import markup
from heritagemove.panels.markup import Html
from heritagemove.panels.screens import EndOfNotebook
from heritagemove.survey.bearings import TYPES, BearingAnswer, VehicleBearings, bearings, show_share
from heritagemove.survey.readiness import axle_ratings, readiness, unknowns
from heritagemove.units.measures import System, show_measure
from heritagemove.units.units import Quantity, show

#: Screens whose cautions the survey carries.
SCREENS = ("every", "survey", "hazards")
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


def show_sheet(museum: Museum, vehicle: str) -> HTML:
    """Show the survey sheet: identity, weight, geometry, wheels, brakes, hazards, places, boxes, photographs."""
    parts = (
        facts_table(museum, vehicle),
        boxes_table(museum, vehicle),
        photographs(museum, vehicle),
        survey_cautions(museum),
    )
    return HTML("".join(parts))


def show_journals(museum: Museum, vehicle: str) -> HTML:
    """Show the class of each axle's journals, its rating, its load and the margin between them."""
    return HTML(ratings_table(museum, vehicle) + survey_cautions(museum))


def show_readiness(museum: Museum, vehicle: str) -> HTML:
    """Show what must be right before a unit moves on its own wheels, what was found, and who signs."""
    items = readiness(museum, vehicle)
    rows = [
        (
            Html(f'<span style="white-space:nowrap">{READY_WORDS[item.status]}</span>'),
            id_in_words(item.subject),
            Html(f"<b>{escape(item.title)}</b>"),
            item.found,
            item.defect,
            item.rule,
            item.signs,
        )
        for item in items
    ]
    counts = ", ".join(f"{sum(item.status == status for item in items)} {status}" for status in READY_WORDS)
    caption = f"{museum.vehicle(vehicle).name} on its own wheels: {counts}"
    headings = ("Status", "Group", "What must be true", "Found", "Counts against it", "Rule", "Who signs")
    return HTML(markup.table(caption, headings, rows) + survey_cautions(museum))


def show_unknowns(museum: Museum, vehicle: str) -> HTML:
    """Show what is still unknown of a unit, how to find it out, and the paths that wait for it."""
    found = unknowns(museum, vehicle)
    rows = [(row.what, row.find, _paths(museum, row.blocks)) for row in found]
    caption = f"{museum.vehicle(vehicle).name}: {len(found)} things still unknown, and the paths that wait for them"
    legend = "; ".join(f"{row.number} {row.title}" for row in sorted(museum.paths, key=lambda row: row.number))
    table = markup.table(caption, ("Unknown", "How to find out", "Paths that wait for it"), rows)
    return HTML(table + markup.note(f"Paths: {legend}.") + survey_cautions(museum))


def show_survey_cautions(museum: Museum) -> EndOfNotebook:
    """Show every caution for those who survey a unit and its hazards: the last cell of a notebook."""
    rows = [(row.topic, row.text, row.source) for row in _cautions(museum)]
    return EndOfNotebook(markup.table("Before anyone goes near it", ("Topic", "Caution", "Rule behind it"), rows))


def survey_cautions(museum: Museum) -> str:
    """Return the cautions of a survey screen: that of every screen in sight, the others to unfold."""
    every, others = [], []
    for row in _cautions(museum):
        (every if "every" in row.screens else others).append(f"<b>{escape(row.topic.capitalize())}.</b> {escape(row.text)}")
    shown = "".join(f'<p style="margin:6px 0;line-height:1.4">{text}</p>' for text in every)
    items = "".join(f"<li>{text}</li>" for text in others)
    more = markup.unfold(f"Before anyone goes near it: {len(others)} cautions", f"<ul>{items}</ul>") if others else ""
    return shown + more


def facts_table(museum: Museum, vehicle: str) -> str:
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
            what = _first_large(id_in_words(row.clue)) + ("" if row.place in ("site", "vehicle") else f", {row.place}")
            groups.setdefault(group, []).append((what, f"{id_in_words(row.found)} ({row.observed.isoformat()})"))
    for name in (*_SUBJECTS.values(), "Site"):
        groups.setdefault(name, [("Seen", "nobody has looked")])
    for place in museum.places:
        groups[place.title] = [(_label(place, field), _value(getattr(place, field), system)) for field in _OF_A_PLACE]
    rows = [
        (Html(f"<b>{escape(name)}</b>") if not at else "", *pair)
        for name, pairs in groups.items()
        for at, pair in enumerate(pairs)
    ]
    return markup.table(f"Survey sheet of {unit.name}", ("Group", "What", "Found"), rows)


def photographs(museum: Museum, vehicle: str) -> str:
    """Return the photographs by place and file name, and the boxes without one."""
    photos = {f"{row.place}: {row.photo}" for row in museum.survey if row.vehicle in (vehicle, "any") and row.photo}
    shot = {text.partition(":")[0] for text in photos}
    missing = [place for place in _places(museum, vehicle) if place not in shot]
    text = "; ".join(sorted(photos)) + (f". No photograph yet of box {', '.join(missing)}." if missing else ".")
    return markup.unfold(f"{len(photos)} photographs, by file name", markup.note(text))


def boxes_table(museum: Museum, vehicle: str) -> str:
    """Return what was seen at each box, one row per box, one column per clue; of the whole unit in the first row."""
    clues = [clue for clue in dict.fromkeys(row.clue for row in museum.clues) if clue != "prior"]
    seen: dict[tuple[str, str], str] = {}
    for row in sorted(museum.survey, key=lambda row: row.observed):
        if row.vehicle == vehicle and row.clue in clues:
            seen[row.place, row.clue] = id_in_words(row.found)
    places = ["vehicle", *_places(museum, vehicle)]
    rows = [
        ("whole unit" if place == "vehicle" else place, *(seen.get((place, clue), "–") for clue in clues))
        for place in places
    ]
    return markup.table("Journal boxes (– means not looked at)", ("Box", *(id_in_words(clue) for clue in clues)), rows)


def _places(museum: Museum, vehicle: str) -> list[str]:
    return [f"{axle.axle}{side}" for axle in museum.axles_of(vehicle) for side in "LR"]


def bearings_table(museum: Museum, vehicle: str) -> str:
    """Return the probability of each bearing type, one row per box, under the finding as a sentence."""
    found = bearings(museum, vehicle)
    rows = [
        (
            Html(f"<b>{box.place}</b>"),
            Html(f'<span style="white-space:nowrap">{_known(found, box)}</span>'),
            *(bar(getattr(box, kind)) for kind in TYPES),
            _telling(box),
            "; ".join(map(id_in_words, box.contradictions)) or "none",
        )
        for box in found.boxes
    ]
    headings = ("Box", "Type", *(id_in_words(kind).capitalize() for kind in TYPES), "Look for next", "Contradictions")
    names = f"Axles with driving boxes inside the frame, not shown: {', '.join(found.inside)}." if found.inside else ""
    until = "Its gates stay unknown until then, and it runs as a plain bearing."
    disputed = f"✕ {found.dispute}. {until}" if found.dispute else ""
    notes = "".join(markup.note(text) for text in (disputed, names) if text)
    return markup.table(found.sentence, headings, rows) + notes


def _known(found: VehicleBearings, box: BearingAnswer) -> str:
    return "✕ disputed" if box in found.disputed else "✓ known" if box.known else "? open"


def ratings_table(museum: Museum, vehicle: str) -> str:
    """Return each axle with the class of its journals, its rating and its margin."""
    rows, system = [], museum.scenario.units
    for row in axle_ratings(museum, vehicle):
        journal = row.journal
        over = " – over" if row.margin is not None and row.margin.magnitude < 0 else ""
        margin = "unknown" if row.margin is None else show_measure(row.margin, system) + over
        rating = "unknown" if journal is None else f"{show_measure(journal.rating, system)} ({journal.service})"
        load = "unknown" if row.load is None else show_measure(row.load, system)
        letter = "unknown" if journal is None else journal.letter
        cells = (str(row.axle), row.size, letter, rating, load, margin)
        short = (Html(f'<span style="white-space:nowrap">{escape(text)}</span>') for text in cells)
        rows.append((*short, row.note))
    size = "Journal [in]" if system == "US" else "Journal, as designated"
    headings = ("Axle", size, "Class", "Rating of the axle", "Load", "Margin", "Note")
    found = [row.journal for row in axle_ratings(museum, vehicle) if row.journal is not None]
    sources = dict.fromkeys(f"{one.service} {one.size}: {one.source}; confirm with {one.confirm_with}" for one in found)
    return markup.table("Journals: class, rating and load of each axle", headings, rows) + markup.note(". ".join(sources))


def bar(share: float) -> Html:
    """Return a probability as a bar with its number."""
    look = "display:inline-block;height:12px;border:1px solid currentColor;background:#3f90da;vertical-align:middle"
    width = max(round(share * 80), 1)
    return Html(f'<span style="white-space:nowrap"><span style="{look};width:{width}px"></span> {show_share(share)}</span>')


def _telling(box: BearingAnswer) -> str:
    if box.next_clue is None:
        return "nothing that would tell much"
    return id_in_words(box.next_clue) + ("" if not box.left_out else " (open the lid)")


def _paths(museum: Museum, paths: Iterable[str]) -> Html:
    return Html(" ".join(map(markup.numbered, sorted(museum.path(path).number for path in paths))) or "none")


def _cautions(museum: Museum) -> list[Any]:
    return [row for row in museum.cautions if set(row.screens) & set(SCREENS)]


def _label(unit: Any, field: str) -> str:
    meaning = type(unit).model_fields[field].description.split(";")[0]
    return _first_large(meaning)


def _first_large(text: str) -> str:
    return text[:1].upper() + text[1:]


def _value(found: Any, system: System) -> str:
    if isinstance(found, Quantity) and system == "SI" and not found.dimensionless:
        return show_measure(found, system)
    if isinstance(found, Quantity):
        shown = f"{float(found.magnitude):.2f}".rstrip("0").rstrip(".")
        return show(found, digits=len(shown.partition(".")[2]))
    return id_in_words(None if found is None else str(found))
