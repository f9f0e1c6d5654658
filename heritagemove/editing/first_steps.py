"""The first answers of a planner about her own museum: what is asked, and the tables that the answers make."""

from __future__ import annotations

import datetime as dt
import re
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import ValidationError

from heritagemove.editing.entering import entered
from heritagemove.editing.own_unit import AXLES, TRUCKS, axle_places, pieces_of
from heritagemove.editing.writing import Lines, Typed, csv_text, write_museum
from heritagemove.files.saving import fingerprint, save_together
from heritagemove.files.tables import Allowed, Row, heading_of
from heritagemove.museum.museum import Museum, load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.rows.legs import Leg
from heritagemove.museum.rows.vehicles import Vehicle
from heritagemove.museum.scenario_file import Scenario, amended_text
from heritagemove.units.units import PlannerError

#: What is asked of the decision, the unit and each leg of the route; the tables hold everything else.
_DECISION = {
    "name": "the museum's name", "place": "town", "site": "where the unit stands", "owner": "who owns that site",
    "start": "first day anything can be done", "deadline": "day by which the unit must have left",
    "forced_scrap": "day on which it is cut up if it has not",
}  # fmt: skip
_UNIT = ("name", "kind", "built", "weight", "length", "width", "height", "motors", "journal", "bearing",
         "must_run", "insured_value")  # fmt: skip
_LEG = ("name", "length", "clear_height", "lowest_wire")
_AXLES, _TRUCKS = "unit.axles", "unit.trucks"
_SOURCE = "entered by form; not confirmed"


@dataclass(frozen=True)
class Question:
    """One thing asked."""

    key: str  # such as decision.deadline, unit.weight or leg.yard_lead.length
    label: str
    allowed: str  # what may be answered, in words
    choices: tuple[str, ...]  # the words to choose from, if there are only a few
    answer: str  # what the tables say now, as typed


def questions(typed: Typed) -> tuple[Question, ...]:
    """Return what is asked of a museum, with the answers that its tables give now."""
    scenario = typed.scenario
    allowed = {name: "a date as 2027-10-15" if name in _DATES else "a text" for name in _DECISION}
    asked = [
        Question(f"decision.{name}", label, allowed[name], (), str(getattr(scenario, name)))
        for name, label in _DECISION.items()
    ]
    unit, *_ = _rows(typed, "vehicles.csv")
    asked += [_question("unit", Vehicle, name, unit) for name in _UNIT]
    places = [row["position"] for row in _rows(typed, "axles.csv") if row["vehicle"] == unit["vehicle"]]
    asked.append(Question(_AXLES, *AXLES, (), "; ".join(places)))
    asked.append(Question(_TRUCKS, *TRUCKS, (), str(_trucks(_pieces(typed, unit["vehicle"])))))
    for leg in _rows(typed, "legs.csv"):
        asked += [_question(f"leg.{leg['leg']}", Leg, name, leg) for name in _LEG]
    return tuple(asked)


_DATES = ("start", "deadline", "forced_scrap")


def _question(prefix: str, model: type[Row], name: str, row: Mapping[str, str]) -> Question:
    field = model.model_fields[name]
    allowed = next(entry.text for entry in field.metadata if isinstance(entry, Allowed))
    choices = {"yes or no": ("yes", "no")}.get(allowed, ())
    if name in ("kind", "bearing"):
        choices = tuple(allowed.split(", "))
    return Question(f"{prefix}.{name}", field.description or name, allowed, choices, row[name])


def _rows(typed: Typed, file: str) -> list[dict[str, str]]:
    lines = typed.tables[file]
    return [dict(zip(heading_of(lines), line, strict=False)) for line in lines[1:] if any(line)]


def answered(typed: Typed, answers: Mapping[str, str]) -> Typed:
    """Return the museum with answers put into its tables.

    The first unit becomes the planner's own: what is not asked of it and may be blank becomes unknown,
    since the measures of another unit say nothing of hers.

    Raises
    ------
    PlannerError
        With every answer that cannot be read, by its label; nothing is changed then.
    """
    asked = {question.key: question for question in questions(typed)}
    unknown = set(answers) - set(asked)
    if unknown:
        raise PlannerError(f"found {', '.join(sorted(unknown))}; allowed: the keys of the questions")
    changed = {key: text.strip() for key, text in answers.items() if text.strip() != asked[key].answer}
    wrong = [f'{asked[key].label}: found "{text}"; allowed: {asked[key].allowed}' for key, text in changed.items()
             if not _reads(key, text)]  # fmt: skip
    if wrong:
        raise PlannerError("\n".join(wrong))
    tables = dict(typed.tables)
    unit = {key.partition(".")[2]: text for key, text in changed.items() if key.startswith("unit.")}
    if unit:
        tables |= _own_unit(typed, unit)
    legs: dict[str, dict[str, str]] = {}
    for key, text in changed.items():
        if key.startswith("leg."):
            _, leg, name = key.split(".")
            legs.setdefault(leg, {})[name] = text
    if legs:
        rows = _rows(typed, "legs.csv")
        mine = [row | legs.get(row["leg"], {}) for row in rows]
        tables["legs.csv"] = _lines("legs.csv", mine)
        for row in mine:
            tables = entered(tables, "legs.csv", row, legs.get(row["leg"], ()), _SOURCE)
    return replace(typed, scenario=_decided(typed.scenario, changed), tables=tables)


def _reads(key: str, text: str) -> bool:
    """Return whether an answer can be read by itself; the tables check it against the others."""
    group, _, name = key.partition(".")
    if group == "decision":
        return _is_date(text) if name in _DATES else bool(text)
    if key == _AXLES:
        return axle_places(text) is not None
    if key == _TRUCKS:
        return re.fullmatch(r"\d{1,2}", text) is not None
    model, name = (Vehicle, name) if group == "unit" else (Leg, name.partition(".")[2])
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


def _of_own(cells: Mapping[str, str]) -> dict[str, str]:
    return {**cells, "basis": "judgment", "source": _SOURCE, "starter": ""}


def _own_unit(typed: Typed, answers: Mapping[str, str]) -> dict[str, Lines]:
    """Return vehicles.csv, pieces.csv, axles.csv and survey.csv with the planner's unit in the first one's place."""
    first, *others = _rows(typed, "vehicles.csv")
    cells = {name: text for name, text in answers.items() if name not in ("axles", "trucks")}
    if first["source"] != _SOURCE:
        fields = Vehicle.model_fields.items()
        optional = {name for name, field in fields if any(_may_be_blank(entry) for entry in field.metadata)}
        said = dict.fromkeys(("brakes", "draft_gear", "hazards"), "unknown")
        cells = dict.fromkeys(optional - set(_UNIT), "") | said | cells
    vehicles = [first | _of_own(cells), *others]
    pieces = _pieces(typed, first["vehicle"])
    trucks = int(answers.get("trucks", _trucks(pieces)))
    if first["source"] != _SOURCE:
        pieces = [_of_own(piece) for piece in pieces_of(first["vehicle"], trucks)]
    elif trucks != _trucks(pieces):
        pieces = [row for row in pieces if row["kind"] != "truck"]
        pieces += [_of_own(piece) for piece in pieces_of(first["vehicle"], trucks) if piece["kind"] == "truck"]
    pieces += [row for row in _rows(typed, "pieces.csv") if row["vehicle"] != first["vehicle"]]
    axles, survey = _rows(typed, "axles.csv"), _rows(typed, "survey.csv")
    own = [row for row in axles if row["vehicle"] == first["vehicle"]]
    if "axles" in answers:
        places = axle_places(answers["axles"]) or []
        own = [own[0] | _of_own({"axle": str(number), "position": place, "load": "", "role": "truck"})
               for number, place in enumerate(places, start=1)]  # fmt: skip
    elif first["source"] != _SOURCE:
        own = [row | _of_own({"load": ""}) for row in own]
    boxes = {f"{row['axle']}{side}" for row in own for side in "LR"} | {"vehicle", "site"}
    survey = [row for row in survey if row["vehicle"] != first["vehicle"] or row["place"] in boxes]
    axles = own + [row for row in axles if row["vehicle"] != first["vehicle"]]
    tables = {"vehicles.csv": vehicles, "pieces.csv": pieces, "axles.csv": axles, "survey.csv": survey}
    return {file: _lines(file, rows) for file, rows in tables.items()}


def _pieces(typed: Typed, vehicle: str) -> list[dict[str, str]]:
    return [row for row in _rows(typed, "pieces.csv") if row["vehicle"] == vehicle]


def _trucks(pieces: list[dict[str, str]]) -> int:
    return sum(int(row["count"]) for row in pieces if row["kind"] == "truck")


def _may_be_blank(entry: object) -> bool:
    return isinstance(entry, Allowed) and entry.may_be_blank


def _lines(file: str, rows: list[dict[str, str]]) -> Lines:
    heading = list(MUSEUM_TABLES[file].model_fields)
    return [heading, *([row.get(name, "") for name in heading] for row in rows)]


def _decided(scenario: Scenario, changed: Mapping[str, str]) -> Scenario:
    given = {key.partition(".")[2]: text for key, text in changed.items() if key.startswith("decision.")}
    try:
        return Scenario.model_validate(scenario.model_dump() | given)
    except ValidationError as error:
        raise PlannerError("\n".join(entry["msg"].removeprefix("Value error, ") for entry in error.errors())) from error


def checked(typed: Typed, reference: str | Path | None = None) -> Museum:
    """Return the museum that tables would make, by writing them aside and reading them as any others.

    Raises
    ------
    TableProblems
        With every problem of every table.
    """
    with tempfile.TemporaryDirectory() as folder:
        place = write_museum(typed, Path(folder) / "tables")
        return replace(load_museum(place, reference), folder="your museum")


def prints(place: Path) -> dict[str, str | None]:
    """Return the fingerprint of each file of a museum's folder, to see later whether somebody changed it."""
    return {file: fingerprint(place / file) for file in (*MUSEUM_TABLES, "museum.toml")}


def write_answers(before: Typed, after: Typed, place: Path, read: Mapping[str, str | None]) -> tuple[str, ...]:
    """Write the files of a folder that answers have changed; what each held before is kept beside it.

    Raises
    ------
    Changed
        If a file is not as it was read; then none is written.
    """
    files = {file: csv_text(after.tables[file]) for file in MUSEUM_TABLES if after.tables[file] != before.tables[file]}
    if after.scenario != before.scenario:
        files["museum.toml"] = amended_text(before.toml, after.scenario)
    if files:
        contents = {file: text.encode() for file, text in files.items()}
        save_together(place, contents, {file: read[file] for file in files}, keep_previous=True)
    return tuple(files)
