"""What a planner is asked of her own museum, and how an answer is understood."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from pydantic import ValidationError

from heritagemove.editing.own_unit import AXLES_ASKED, TRUCKS_ASKED, axle_places
from heritagemove.editing.rows_as_typed import is_own, typed_rows
from heritagemove.editing.writing import Typed
from heritagemove.files.tables import Allowed, Row
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.rows.survey import WORST
from heritagemove.units import units
from heritagemove.units.boxes import as_cell

#: What is asked of the decision.
_DECISION = {
    "name": "the museum's name", "place": "town", "site": "where the unit stands", "owner": "who owns that site",
    "start": "first day anything can be done", "deadline": "day by which the unit must have left",
    "forced_scrap": "day on which it is cut up if it has not",
}  # fmt: skip
DATES = ("start", "deadline", "forced_scrap")
_RAIL = ("name", "owner", "carrier", "length", "track_class", "curve", "grade", "gross_limit", "axle_limit", "bridges",
         "clear_height", "clear_half_width")  # fmt: skip
_ROAD = ("name", "owner", "length", "grade", "bridges", "clear_height", "wires", "lowest_wire", "wire_voltage", "turn_angle",
         "turn_outer_radius", "turn_width", "width_limit", "permit_table")  # fmt: skip
#: What is asked of a row, by the first word of the question's key: its table, its key, its columns.
CELLS: dict[str, tuple[str, tuple[str, ...], tuple[str, ...]]] = {
    "unit": ("vehicles.csv", ("vehicle",), (
        "name", "kind", "built", "weight", "length", "width", "height", "bearing", "journal", "motors", "must_run",
        "insured_value", "truck_centres", "wheel_diameter", "lift_spread", "sharpest_curve", "centre_of_gravity_height",
        "centre_of_gravity_offset")),
    "piece": ("pieces.csv", ("vehicle", "piece"), ("title", "count", "weight", "length", "underside")),
    "place": ("places.csv", ("place",), (
        "title", "owner", "soil", "pad_area", "pad_material", "radius", "headroom", "obstruction", "power_lines_cleared",
        "crane_access", "services_located", "track_length")),
    "leg": ("legs.csv", ("leg",), tuple(dict.fromkeys((*_RAIL, *_ROAD)))),
    "bridge": ("bridges.csv", ("bridge",), ("title", "span", "rating", "normal", "maximum", "posted_limit")),
}  # fmt: skip
#: Others who must agree or give first, as rows of quantities.csv count them.
_WAITS = {
    "owner_votes": "does the owner's council or board vote before it gives the unit away",
    "tenders": "must the museum ask for bids in public",
    "money_to_raise": "must money be raised before work is ordered",
}
#: Who works or meets when, as rows of calendars.csv say it.
DAYS = {
    "meeting": ("committee", "meetings", {"weekdays": "weekday on which the committee meets",
                                          "weeks": "weeks of the month in which it meets"}),
    "volunteers": ("volunteers", "weekdays", {"weekdays": "weekdays on which volunteers work"}),
}  # fmt: skip
#: In which unit a bare number is taken, where a museum thinks in SI.
_SI = {"lb": "kg", "ft": "m", "in": "mm", "mile": "km", "mph": "km/h", "ft2": "m2", "psf": "kPa", "short_ton": "tonne"}
#: What stands beside a box; all that a column means stands under the mouse.
_SHORT = {
    "name": "name", "kind": "kind", "weight": "weight", "length": "length", "width": "greatest width",
    "height": "height above the rail", "bearing": "bearings", "journal": "outside journals", "must_run": "must it run again",
    "insured_value": "agreed value", "truck_centres": "truck centres", "wheel_diameter": "wheel diameter",
    "lift_spread": "between the lift points", "sharpest_curve": "sharpest curve it takes",
    "centre_of_gravity_height": "centre of gravity, height", "centre_of_gravity_offset": "centre of gravity, ahead",
    "axles": "axles behind the front", "loads": "weight on each axle", "trucks": "trucks that come out",
    "underside": "underside above the rail", "soil": "ground under the crane", "pad_area": "area of one mat",
    "pad_material": "mats are of", "radius": "crane's centre to hook", "headroom": "hook above lift points",
    "obstruction": "clear behind the crane", "power_lines_cleared": "power lines cleared",
    "crane_access": "do cranes get in", "services_located": "buried pipes marked",
    "track_length": "clear track", "track_class": "track class",
    "curve": "sharpest curve", "grade": "steepest grade", "gross_limit": "gross limit of a car", "axle_limit": "axle limit",
    "bridges": "its bridges are", "clear_height": "lowest structure", "clear_half_width": "clear beside the centre line",
    "wires": "wires across", "lowest_wire": "lowest wire", "wire_voltage": "their highest voltage",
    "turn_angle": "tightest turn, angle", "turn_outer_radius": "its outer radius", "turn_width": "its clear width",
    "width_limit": "narrowest gate", "permit_table": "state's axle-group table", "rating": "rated in",
    "normal": "normal rating", "maximum": "maximum rating", "posted_limit": "weight sign",
}  # fmt: skip
_LOADS = 'weights with ; between them, an axle each, or "share": the weight in equal parts, each good to 8 %'
SHARED = "the unit's weight shared over its axles; one may carry 8 % more or less"


@dataclass(frozen=True)
class Question:
    """One thing asked."""

    key: str  # such as decision.deadline, unit.our_unit.weight or leg.rail_route.length
    label: str
    allowed: str  # what may be answered, in words
    choices: tuple[str, ...]  # the words to choose from, if there are only a few
    answer: str  # what the tables say now, as typed
    unit: str = ""  # in which a bare number is taken
    of: str = ""  # whose it is, as the planner calls it, where there may be several: a leg, a bridge

    @property
    def named(self) -> str:
        """What is asked, and of whom."""
        return f"{self.of}, {self.label}" if self.of else self.label

    @property
    def short(self) -> str:
        """What is asked, as it stands beside the box."""
        group, name = self.key.partition(".")[0], self.key.rpartition(".")[2]
        return _SHORT.get(name, self.label.split(";")[0]) if group in CELLS else self.label.split(";")[0]

    @property
    def group(self) -> str:
        """What the question belongs to: the key without its last part."""
        return self.key.rpartition(".")[0]


def questions(typed: Typed) -> tuple[Question, ...]:
    """Return what is asked of a museum, with the answers that its tables give now."""
    scenario = typed.scenario
    allowed = {name: "a date as 2027-10-15" if name in DATES else "a text" for name in _DECISION}
    asked = [
        Question(f"decision.{name}", label, allowed[name], (), str(getattr(scenario, name)))
        for name, label in _DECISION.items()
    ]
    for row in typed_rows(typed, "vehicles.csv"):
        asked += _asked_of(typed, "unit", row) + _of_axles(typed, row["vehicle"])
        asked += [
            question
            for piece in typed_rows(typed, "pieces.csv")
            if piece["vehicle"] == row["vehicle"] and piece["kind"] != "whole"
            for question in _asked_of(typed, "piece", piece)
        ]
    for group in ("place", "leg", "bridge"):
        for row in typed_rows(typed, CELLS[group][0]):
            asked += _asked_of(typed, group, row)
    return (*asked, *_facts(typed), *_waits(typed), *_days(typed))


def shown_unit(typed: Typed, unit: str) -> str:
    """Return the unit that stands beside a box: as a museum's planners think."""
    unit = {"money": typed.scenario.currency}.get(unit, unit)
    return _SI.get(unit, unit) if typed.scenario.units == "SI" else unit


def _asked_of(typed: Typed, group: str, row: Mapping[str, str]) -> list[Question]:
    table, key, columns = CELLS[group]
    if group == "leg":
        columns = {"rail": _RAIL, "road": _ROAD}.get(row["mode"], ("name", "length"))
    prefix = ".".join((group, *(row[name] for name in key)))
    return [_question(typed, prefix, MUSEUM_TABLES[table], name, row) for name in columns]


def _question(typed: Typed, prefix: str, model: type[Row], name: str, row: Mapping[str, str]) -> Question:
    field = model.model_fields[name]
    allowed = next(entry for entry in field.metadata if isinstance(entry, Allowed))
    unit = shown_unit(typed, allowed.unit)
    text = allowed.text
    if unit != allowed.unit and allowed.unit != "money":
        text = f"a number of {unit}, or with its unit"
    of = row.get("title") or row.get("name", "")
    return Question(f"{prefix}.{name}", field.description or name, text, words_of(allowed), row.get(name, ""), unit, of)


def words_of(allowed: Allowed) -> tuple[str, ...]:
    """Return the few words that a cell may hold, a blank first where it may be blank; none where any text may be typed."""
    if allowed.text == "yes or no":
        return "yes", "no"
    named = re.fullmatch(r"[a-z0-9_]+(, [a-z0-9_]+)+", allowed.text)
    return (*([""] if allowed.may_be_blank else []), *allowed.text.split(", ")) if named else ()


def _of_axles(typed: Typed, vehicle: str) -> list[Question]:
    axles = [row for row in typed_rows(typed, "axles.csv") if row["vehicle"] == vehicle]
    pieces = [row for row in typed_rows(typed, "pieces.csv") if row["vehicle"] == vehicle]
    trucks = sum(int(row["count"]) for row in pieces if row["kind"] == "truck")
    shared = any(is_own(typed, "axles.csv", row, "load", SHARED) for row in axles)
    loads = "share" if shared else "; ".join(row["load"] for row in axles) if all(row["load"] for row in axles) else ""
    length, weight = shown_unit(typed, "ft"), shown_unit(typed, "lb")
    return [
        Question(f"unit.{vehicle}.axles", *AXLES_ASKED, (), "; ".join(row["position"] for row in axles), length),
        Question(f"unit.{vehicle}.loads", "weight on each axle", _LOADS, (), loads, weight),
        Question(f"unit.{vehicle}.trucks", *TRUCKS_ASKED, (), str(trucks)),
    ]


def _facts(typed: Typed) -> list[Question]:
    """Return what gates ask of the survey that is about the whole unit or the site, each once."""
    gates: dict[str, dict[str, str]] = {}
    for gate in typed_rows(typed, "gates.csv"):
        for clue in filter(None, map(str.strip, gate["fact"].split(";"))):
            gates.setdefault(clue, gate)
    asked = []
    for row in typed_rows(typed, "survey.csv"):
        clue = row["clue"]
        if row["place"] not in ("vehicle", "site") or clue not in gates:
            continue
        met = [word.strip() for word in gates[clue]["allowed"].split(";") if word.strip()] or ["yes"]
        words = tuple(dict.fromkeys(("unknown", *met, WORST.get(clue, "no"), row["found"])))
        label = f"{clue.replace('_', ' ')}; for the condition: {gates[clue]['title']}"
        asked.append(Question(f"fact.{row['vehicle']}.{row['place']}.{clue}", label, ", ".join(words), words, row["found"]))
    return asked


def _waits(typed: Typed) -> list[Question]:
    rows = typed_rows(typed, "quantities.csv")
    counts = {row["driver"]: row for row in rows if (row["vehicle"], row["path"]) == ("any", "any")}
    return [
        Question(f"waits.{driver}", label, "yes or no", ("yes", "no"), "no" if counts[driver]["likely"] == "0" else "yes")
        for driver, label in _WAITS.items()
        if driver in counts
    ]


def _days(typed: Typed) -> list[Question]:
    asked = []
    for group, (calendar, rule, columns) in DAYS.items():
        for row in typed_rows(typed, "calendars.csv"):
            if (row["calendar"], row["rule"]) == (calendar, rule):
                asked += [replace(_question(typed, group, MUSEUM_TABLES["calendars.csv"], name, row), label=label)
                          for name, label in columns.items()]  # fmt: skip
    return asked


def understood(question: Question, text: str, ton: str = "") -> str:
    """Return the cell that an answer makes.

    Raises
    ------
    ValueError
        With what is allowed.
    """
    text, (group, *_, name) = text.strip(), question.key.split(".")
    if name in ("axles", "loads") and text != "share":
        text = "; ".join(as_cell(part, question.unit, ton) for part in text.split(";"))
    elif question.unit:
        text = as_cell(text, question.unit, ton)
    if question.choices and text not in question.choices:
        raise ValueError(question.allowed)
    if group in CELLS and name in MUSEUM_TABLES[CELLS[group][0]].model_fields:
        fine = _reads(MUSEUM_TABLES[CELLS[group][0]], name, text)
    elif group in DAYS:
        fine = bool(text)
    elif group == "decision":
        fine = _is_date(text) if name in DATES else bool(text)
    else:
        fine = {
            "axles": lambda: axle_places(text) is not None,
            "loads": lambda: text in ("", "share") or all(_is_weight(part) for part in text.split(";")),
            "trucks": lambda: re.fullmatch(r"\d{1,2}", text) is not None,
        }.get(name, lambda: True)()
    if not fine:
        raise ValueError(question.allowed)
    return text


def echo(question: Question, text: str, ton: str = "") -> str:
    """Return how an answer was understood, where it was typed otherwise or in another unit; blank where it was not.

    Examples
    --------
    >>> echo(Question("unit.ours.weight", "weight", "a weight", (), "", "lb"), "92 tons", "short_ton")
    '92 short tons = 184,000 lb'
    """
    cell = understood(question, text, ton)
    if not question.unit or ";" in cell or cell in ("", "share"):
        return ""
    said = cell.replace("short_ton", "short tons").replace("long_ton", "long tons")
    try:
        shown = units.show(units.parse(cell, question.unit), digits=0 if question.unit in ("lb", "kg") else 2)
    except ValueError:
        return ""
    short = re.sub(r"\.?0+(?= )", "", shown) if "." in shown else shown
    return "" if short.replace(",", "") == text.strip().replace(",", "") else f"{said} = {short}" if said != short else short


def _reads(model: type[Row], name: str, text: str) -> bool:
    """Return whether a cell can be read by itself; the tables check it against the others."""
    try:
        model.model_validate({name: text})
    except ValidationError as error:
        return not any(entry["loc"] == (name,) for entry in error.errors())
    return True


def _is_date(text: str) -> bool:
    try:
        return dt.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _is_weight(text: str) -> bool:
    try:
        return units.parse(text.strip(), "lb").magnitude >= 0
    except ValueError:
        return False
