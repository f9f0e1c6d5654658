"""Readiness for moving on its own wheels: journal ratings, what is right, wrong or not yet looked at, and who signs.

Nothing here lets a unit move: whether it may is decided, in writing, by those whom each item names.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import pint

from heritagemove.survey.bearings import VehicleBearings, bearings
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity, parse_journal_size, show, value

#: Kinds of unit whose axles count as those of passenger cars.
CARRYING_PEOPLE = ("passenger_car", "railcar", "streetcar")

#: What a planner must know of a rule whose text was not read.
_READ = {
    "source": "",
    "secondary": " (as another page quotes it)",
    "from_memory": " (from memory, text not read)",
    "common_practice": " (practice, no source)",
}


@dataclass(frozen=True)
class JournalClass:
    """The class of a journal and what one axle on it may carry."""

    size: str  # nominal size [in], service of the rating, class
    service: str  # nominal size [in], service of the rating, class
    letter: str  # nominal size [in], service of the rating, class
    rating: pint.Quantity  # load of one axle [lb]
    wear: pint.Quantity  # how far the measured diameter is below the nominal one [in]
    source: str
    confirm_with: str


def journal_class(
    diameter: pint.Quantity, length: pint.Quantity, service: str, ratings: Iterable[Any]
) -> JournalClass | None:
    """Return the class and rating of a journal by its size, as stencilled, cast or measured with calipers.

    Parameters
    ----------
    diameter, length : pint.Quantity
        Of the journal, 2 to 20 in each [in].
    service : {"freight", "passenger", "tender"}
        What it carries: ratings differ.
    ratings : iterable of rows
        Rows of journal_ratings.csv.

    Returns
    -------
    JournalClass or None
        Freight and passenger: the nominal size within half an inch, nearest above the worn diameter. Tender: the
        greatest least diameter that is reached. None: no rating in the table, so unknown.

    Raises
    ------
    ValueError
        If a size is out of its range, or the service has no rating at all.

    References
    ----------
    49 CFR 230.99 (tender), as read in a secondary copy; the rows name the sources of the others.
    """
    sizes = value(diameter, "in", "diameter"), value(length, "in", "length")
    for name, inches in zip(("diameter", "length"), sizes, strict=True):
        if not 2 <= inches <= 20:
            raise ValueError(f"journal {name}: found {inches:g} in; allowed: 2 to 20 in")
    rows = [(parse_journal_size(row.journal), row) for row in ratings if row.service == service]
    if not rows:
        raise ValueError(f'service: found "{service}"; allowed: freight, passenger or tender, with a rating')
    if service == "tender":
        fits = [(-nominal[0], nominal, row) for nominal, row in rows if nominal[0] <= sizes[0] + 1e-9]
    else:
        gaps = [(math.dist(nominal, sizes), nominal, row) for nominal, row in rows if nominal[0] >= sizes[0] - 1 / 16]
        fits = [(gap, nominal, row) for gap, nominal, row in gaps if max(map(abs, _apart(nominal, sizes))) <= 0.5]
    if not fits:
        return None
    _, nominal, row = min(fits, key=lambda entry: entry[0])
    wear = Quantity(max(nominal[0] - sizes[0], 0.0), "in")
    return JournalClass(row.journal, service, row.journal_class, row.axle_rating, wear, row.source, row.confirm_with)


def _apart(one: Sequence[float], other: Sequence[float]) -> tuple[float, ...]:
    return tuple(a - b for a, b in zip(one, other, strict=True))


@dataclass(frozen=True)
class AxleRating:
    """One axle against the rating of its journals."""

    axle: int  # number from the front
    size: str  # journal size [in], with where it comes from
    load: pint.Quantity | None  # load as the unit stands [lb]
    journal: JournalClass | None  # none where the size or a rating for it is unknown, or the box sits inside the frame
    note: str  # what is unknown, or the wear
    inside: bool = False  # whether the box sits inside the frame, where no rating here applies

    @property
    def margin(self) -> pint.Quantity | None:
        """How much more the axle may carry; negative when over; None when unknown [lb]."""
        return None if self.load is None or self.journal is None else self.journal.rating - self.load


def axle_ratings(museum: Any, vehicle: str) -> tuple[AxleRating, ...]:
    """Return each axle of a unit against the rating of its journals.

    Parameters
    ----------
    museum : Museum
    vehicle : str
        Id of the unit. A clue journal_size in the survey, of the box or the unit, comes before vehicles.csv.
    """
    unit, inside = museum.vehicle(vehicle), bearings(museum, vehicle).inside
    return tuple(_axle_rating(museum, unit, axle, str(axle.axle) in inside) for axle in museum.axles_of(vehicle))


def _axle_rating(museum: Any, unit: Any, axle: Any, inside: bool) -> AxleRating:
    if inside:
        return AxleRating(axle.axle, "unknown", axle.load, None, "box inside the frame: the builder's figure governs", True)
    size, origin = journal_size(museum, unit, axle)
    if size is None:
        return AxleRating(axle.axle, "unknown", axle.load, None, "measure diameter and length with calipers")
    diameter, length = (Quantity(inches, "in") for inches in parse_journal_size(size))
    service = "tender" if axle.role == "tender" else "passenger" if unit.kind in CARRYING_PEOPLE else "freight"
    found = journal_class(diameter, length, service, museum.journal_ratings)
    note = f"no {service} rating for this size: ask a wheel shop" if found is None else ""
    if found is not None and found.wear.magnitude > 0:
        worn = show(found.wear, "in", 3) if museum.scenario.units == "US" else show(found.wear, "mm", 1)
        note = f"{worn} under the nominal size: a wheel shop decides"
    return AxleRating(axle.axle, f"{size} ({origin})", axle.load, found, note)


def journal_size(museum: Any, unit: Any, axle: Any) -> tuple[str | None, str]:
    """Return the size of an axle's journals and where it is from: measured at its boxes, at the unit, or in vehicles.csv."""
    seen = [row for row in museum.survey if row.vehicle == unit.vehicle and row.clue == "journal_size"]
    places = (f"{axle.axle}L", f"{axle.axle}R", "vehicle")
    measured = [row.found for place in places for row in seen if row.place == place and row.found != "unknown"]
    return (measured[0], "survey") if measured else (unit.journal, "vehicles.csv")


@dataclass(frozen=True)
class ReadinessItem:
    """One thing that must be right before a unit moves on its own wheels, or brakes, or is coupled."""

    item: str  # id, group, and what must be so
    subject: str  # id, group, and what must be so
    title: str  # id, group, and what must be so
    found: str  # what was found, and where; or what nobody looked at
    status: str
    defect: str  # what counts against it, the rule with the date of its text, who decides and signs
    rule: str  # what counts against it, the rule with the date of its text, who decides and signs
    signs: str  # what counts against it, the rule with the date of its text, who decides and signs
    blocks: tuple[str, ...] = ()  # ids of the paths with a gate that rests on it
    chance: float | None = None  # probability that it is not so, where what was seen leaves it open [-]
    bad: tuple[str, ...] = ()  # boxes, axles or the item itself, as they are counted for repair
    mended_by: str | None = None  # driver that counts them
    planned: bool = True  # whether it holds for the bearing that is planned with; false: for another that is possible


def readiness(museum: Any, vehicle: str) -> tuple[ReadinessItem, ...]:
    """Return what must be right before a unit moves on its own wheels, the bearing type itself first.

    Parameters
    ----------
    museum : Museum
    vehicle : str
        Id of the unit; ValueError lists the known ones otherwise.

    Returns
    -------
    tuple of ReadinessItem
        In the order of readiness.csv; items of a bearing type that no box may have are left out.
    """
    kind_of_box, *others = found_ready(museum, vehicle, bearings(museum, vehicle))
    items = kind_of_box, _rating_item(museum, vehicle), *others
    return tuple(replace(item, blocks=_blocked_by(museum, item)) for item in items)


def found_ready(museum: Any, vehicle: str, boxes: VehicleBearings) -> tuple[ReadinessItem, ...]:
    """Return what hangs on no weight of what must be right, the bearing type first, without the paths that wait for it."""
    unit = museum.vehicle(vehicle)
    possible = {*boxes.possible, *(("plain",) if boxes.inside or not boxes.boxes else ())}
    rows = [row for row in museum.readiness if not row.kinds or unit.kind in row.kinds]
    rows = [row for row in rows if not row.bearings or possible & set(row.bearings)]
    seen = [row for row in museum.survey if row.vehicle == vehicle and row.found != "unknown"]
    seen.sort(key=lambda row: row.observed)
    return _type_item(boxes), *(_item(museum, unit, boxes, row, seen) for row in rows)


def to_mend(museum: Any, items: Iterable[ReadinessItem]) -> dict[str, float | None]:
    """Return how much is to be mended, by the driver that counts it: None where nobody has looked."""
    amounts: dict[str, float | None] = {}
    for driver in dict.fromkeys(row.mended_by for row in museum.readiness if row.mended_by):
        own = [item for item in items if item.mended_by == driver and item.planned]
        bad = {place for item in own for place in item.bad}
        amounts[driver] = None if any(item.status == "unknown" for item in own) else float(len(bad))
    return amounts


def _type_item(boxes: VehicleBearings) -> ReadinessItem:
    agreed = boxes.declared in ("unknown", boxes.likeliest)
    status = "defect" if any(box.contradictions for box in boxes.boxes) or not agreed else "ready"
    if status == "ready" and (boxes.open_boxes or not boxes.boxes):
        status = "unknown"
    defect = "sights that contradict each other, or a survey that contradicts vehicles.csv"
    rule = "the type decides which rules hold: 49 CFR 215.107 to .113 plain, 215.115 and .117 roller"
    found = boxes.sentence + (f" Disputed: {boxes.dispute}." if boxes.dispute else "")
    # Boxes of one unit are alike as a rule: the least certain speaks for all of them.
    looked = boxes.declared != "unknown" and boxes.boxes and all(box.seen for box in boxes.boxes)
    chance = 1 - min(getattr(box, boxes.declared) for box in boxes.boxes) if looked and status != "ready" else None
    signs = "carrier's mechanical officer"
    return ReadinessItem(
        "bearing_type", "bearing_type", "Bearing type known", found, status, defect, rule, signs, chance=chance
    )


def _rating_item(museum: Any, vehicle: str) -> ReadinessItem:
    """Say whether each outside axle is within the rating of its journals; the axle with the least margin speaks."""
    ratings = [rating for rating in axle_ratings(museum, vehicle) if not rating.inside]
    known = [rating for rating in ratings if rating.margin is not None]
    worst = min(known, key=lambda rating: rating.margin, default=None)
    over = worst is not None and worst.margin.magnitude < 0
    status = "defect" if over else "ready" if ratings and len(known) == len(ratings) else "unknown"
    found = f"known for {len(known)} of {len(ratings)} axles with outside boxes"
    if worst is not None:
        room = f"{show_measure(abs(worst.margin), museum.scenario.units)} {'over' if over else 'to spare'}"
        found += f"; axle {worst.axle}: {room}, class {worst.journal.letter}"
    rule = "interchange rules by journal class; tenders 49 CFR 230.99 (journal_ratings.csv says how each is sourced)"
    defect, signs = "an axle load over the rating of its journals", "carrier's mechanical officer"
    return ReadinessItem("journals", "journals", "Journals within their rating", found, status, defect, rule, signs)


def _item(museum: Any, unit: Any, boxes: VehicleBearings, row: Any, survey: list[Any]) -> ReadinessItem:
    bad: tuple[str, ...] = ()
    if row.measure:
        status, found = _measured(museum, unit, row)
        bad = (row.item,) if status == row.otherwise else ()
    else:
        status, found, bad = _surveyed(museum, unit, boxes, row, survey)
    rule = row.rule + (f", text of {row.as_of.isoformat()}" if row.as_of else "") + _READ[row.strength]
    planned = not row.bearings or boxes.in_use in (*row.bearings, "unknown")
    return ReadinessItem(
        row.item, row.subject, row.title, found, status, row.defect, rule, row.signs, bad=bad, mended_by=row.mended_by,
        planned=planned,
    )  # fmt: skip


def _measured(museum: Any, unit: Any, row: Any) -> tuple[str, str]:
    """Compare a column of vehicles.csv, or the age at the start, with its limits; a limit that is missing is unknown."""
    if row.measure == "age":
        found, text = float(museum.scenario.start.year - unit.built), f"built {unit.built}"
    else:
        quantity = getattr(unit, row.measure)
        if quantity is None:
            return "unknown", f"{row.measure.replace('_', ' ')} not measured"
        found, text = float(quantity.magnitude), show(quantity, digits=2)
    bounds = [None if name is None else museum.limit(name) for name in (row.least, row.most)]
    if any(name is not None and bound is None for name, bound in zip((row.least, row.most), bounds, strict=True)):
        return "unknown", f"{text}; the limit is unknown"
    low, high = bounds
    # An age is known by the year alone, so a car that reaches the limit may be past it.
    over = high is not None and (found >= high if row.measure == "age" else found > high)
    allowed = " to ".join(f"{bound:g}" for bound in bounds if bound is not None)
    text += f"; limit {allowed} {'years' if row.measure == 'age' else f'{quantity.units:~P}'}"
    return (row.otherwise if over or (low is not None and found < low) else "ready"), text


def _surveyed(
    museum: Any, unit: Any, boxes: VehicleBearings, row: Any, survey: list[Any]
) -> tuple[str, str, tuple[str, ...]]:
    """Say where a clue was found good, bad or not looked for, and what is bad as it is counted for repair."""
    seen = {entry.place: entry.found.replace("_", " ") for entry in survey if entry.clue == row.clue}
    good = {word.replace("_", " ") for word in row.good}
    bad = {place: found for place, found in seen.items() if found not in good}
    places = [box.place for box in boxes.boxes] or ["vehicle"]
    if bad:
        said = "; ".join(found if place == "vehicle" else f"{place} {found}" for place, found in bad.items())
        return row.otherwise, said, _counted(museum, unit, row, places, bad)
    missing = [place for place in places if place not in seen] if row.each_box and "vehicle" not in seen else []
    if not seen or missing:
        looked = f"seen good at {len(places) - len(missing)} of {len(places)} boxes" if seen else "nobody has looked"
        said = {"brake": unit.brakes, "draft_gear": unit.draft_gear}.get(row.subject, "")
        return "unknown", looked + (f"; vehicles.csv says: {said}" if said else ""), ()
    return "ready", ", ".join(sorted(set(seen.values()))), ()


def _counted(museum: Any, unit: Any, row: Any, boxes: Sequence[str], bad: Iterable[str]) -> tuple[str, ...]:
    """Return the boxes, axles or the one item that is bad; what is said of the whole unit is said of each of them."""
    if row.each_box:
        return tuple(boxes) if "vehicle" in bad else tuple(bad)
    if row.subject == "wheel":
        axles = [str(axle.axle) for axle in museum.axles_of(unit.vehicle)]
        return tuple(axles) if "vehicle" in bad else tuple(dict.fromkeys(place.rstrip("LR") for place in bad))
    return (row.item,)


def _blocked_by(museum: Any, item: ReadinessItem) -> tuple[str, ...]:
    """Return the paths with a gate that rests on an item."""
    checked = {"journals": "journal_rating", "age": "freight_car_age"}.get(item.subject)
    if checked:
        return _checked(museum, checked)
    return _resting(museum, item.subject, *(("bearing",) if item.subject == "bearing_type" else ()))


def _resting(museum: Any, *groups: str) -> tuple[str, ...]:
    return _paths(museum, (gate.path for gate in museum.gates if set(groups) & set(gate.rests_on)))


def _checked(museum: Any, name: str) -> tuple[str, ...]:
    return _paths(museum, (gate.path for gate in museum.gates if gate.check == name))


def _paths(museum: Any, blocked: Iterable[str]) -> tuple[str, ...]:
    found = set(blocked)
    return tuple(row.path for row in museum.paths if row.path in found)


@dataclass(frozen=True)
class Unknown:
    """One thing that nobody knows yet."""

    what: str  # what is unknown
    find: str  # what to look for, measure or ask
    blocks: tuple[str, ...]  # ids of the paths that wait for it


def unknowns(museum: Any, vehicle: str) -> tuple[Unknown, ...]:
    """Return what is still unknown of a unit and which paths wait for it: its bearings, then by number of paths.

    Parameters
    ----------
    museum : Museum
    vehicle : str
        Id of the unit; ValueError lists the known ones otherwise.
    """
    looks: dict[str, list[str]] = {}
    for box in bearings(museum, vehicle).open_boxes:
        looks.setdefault(box.next_clue or "a person who knows journal boxes", []).append(box.place)
    waiting = _resting(museum, "bearing", "bearing_type")
    first = [
        Unknown(f"Bearing of box {', '.join(places)}", f"look for: {clue.replace('_', ' ')}", waiting)
        for clue, places in looks.items()
    ]
    axles: dict[str, list[str]] = {}
    for rating in axle_ratings(museum, vehicle):
        if rating.margin is None:
            axles.setdefault(rating.note or "weigh the unit: its axle load is unknown", []).append(str(rating.axle))
    rated = _checked(museum, "journal_rating")
    rest = [Unknown(f"Journal rating of axle {', '.join(names)}", note, rated) for note, names in axles.items()]
    for item in readiness(museum, vehicle)[2:]:
        if item.status == "unknown":
            rest.append(Unknown(item.title, f"look for: {item.defect}. Decides: {item.signs}", item.blocks))
    facts = {fact: gate for gate in museum.gates for fact in gate.fact if museum.fact(vehicle, fact) is None}
    for fact, gate in facts.items():
        paths = tuple(dict.fromkeys(other.path for other in museum.gates if fact in other.fact))
        rest.append(Unknown(fact.replace("_", " ").capitalize(), f"{gate.title}: {gate.evidence}", paths))
    rest += _of_places(museum)
    return (*first, *sorted(rest, key=lambda entry: -len(entry.blocks)))


#: Column of places.csv -> the checks that wait for it.
_MEASURED = {
    "radius": ("crane",), "headroom": ("sling_angle",), "soil": ("outrigger_ground", "transporter_ground"),
    "pad_area": ("outrigger_ground",), "obstruction": ("crane_access",), "power_lines_cleared": ("power_line",),
    "crane_access": ("crane_access",), "services_located": ("services_located",),
}  # fmt: skip


def _of_places(museum: Any) -> Iterable[Unknown]:
    """Return what is blank of each place, and the paths with a gate there that reads it."""
    for place in museum.places:
        there = {row.path for row in museum.stages if place.place in (row.from_place, row.to_place)}
        waiting = {
            name: {gate.path for gate in museum.gates if gate.path in there and gate.check in checks}
            for name, checks in _MEASURED.items()
            if getattr(place, name) is None and not _told_otherwise(place, name)
        }
        names = [name for name, paths in waiting.items() if paths]
        if names:
            what = f"{place.title}: {', '.join(names).replace('_', ' ')}"
            find = "; ".join(type(place).columns[name].means for name in names)
            yield Unknown(what, find, _paths(museum, {path for name in names for path in waiting[name]}))


def _told_otherwise(place: Any, name: str) -> bool:
    """Return whether another column of a place answers the same: a bearing that was tested, a line that was measured."""
    line = (place.power_line_distance, place.power_line_voltage)
    tested = name == "soil" and place.bearing is not None
    return tested or (name == "power_lines_cleared" and None not in line)
