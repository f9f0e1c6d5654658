"""A planner's first answers, put into the tables of her museum; then checked, and written when she says so."""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from heritagemove.editing.entering import is_starters
from heritagemove.editing.own_unit import axle_places, axles_spread, pieces_of, shared_loads
from heritagemove.editing.questions import CELLS, DAYS, SHARED, questions, shown_unit, understood
from heritagemove.editing.rows_as_typed import OWN, is_own, mark_entered, replaced, typed_rows, with_rows
from heritagemove.editing.writing import Typed, csv_text, write_museum
from heritagemove.files.saving import fingerprint, save_together
from heritagemove.museum.museum import Museum, load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.scenario_file import Scenario, amended_text
from heritagemove.units.units import PlannerError


def answered(typed: Typed, answers: Mapping[str, str], ton: str = "") -> Typed:
    """Return the museum with answers put into its tables; what was not asked keeps its basis and its source.

    Parameters
    ----------
    answers : mapping of str to str
        By the keys of the questions. A bare number is taken in the unit shown.
    ton : str
        Which ton is meant, one of :data:`heritagemove.units.boxes.TONS`; blank where nobody has said.

    Raises
    ------
    PlannerError
        With every answer that cannot be read, by its label; nothing is changed then.
    """
    asked = {question.key: question for question in questions(typed)}
    if unknown := set(answers) - set(asked):
        raise PlannerError(f"found {', '.join(sorted(unknown))}; allowed: the keys of the questions")
    changed, wrong = {}, []
    for key, text in answers.items():
        try:
            cell = understood(asked[key], text, ton)
        except ValueError as error:
            wrong.append(f'{asked[key].named}: found "{text.strip()}"; allowed: {error}')
        else:
            changed |= {key: cell} if cell != asked[key].answer else {}
    if wrong:
        raise PlannerError("\n".join(wrong))
    for key, text in changed.items():
        typed = _put(typed, key, text)
    return replace(typed, scenario=_decided(typed.scenario, changed))


def _put(typed: Typed, key: str, text: str) -> Typed:
    """Return the museum with one answer in its row."""
    group, *ids, name = key.split(".")
    if group in CELLS and name not in ("axles", "loads", "trucks"):
        table, columns, _ = CELLS[group]
        typed = _cell(typed, table, dict(zip(columns, ids, strict=True)), {name: text})
        return _following(typed, ids[0], name) if group == "unit" and name in ("length", "weight") else typed
    if group == "unit":
        return {"axles": _axles, "loads": _loads, "trucks": _trucks}[name](typed, ids[0], text)
    if group == "fact":
        where = dict(zip(("vehicle", "place", "clue"), (*ids, name), strict=True))
        seen = {"found": text, "observed": dt.date.today().isoformat()} | OWN
        return _cell(typed, "survey.csv", where, seen | {"basis": "judgment"})
    if group == "waits":
        where = {"vehicle": "any", "path": "any", "driver": name}
        return _cell(typed, "quantities.csv", where, dict.fromkeys(("low", "likely", "high"), str(int(text == "yes"))))
    if group in DAYS:
        calendar, rule, _ = DAYS[group]
        return _cell(typed, "calendars.csv", {"calendar": calendar, "rule": rule}, {name: text})
    return typed


def _cell(typed: Typed, table: str, where: Mapping[str, str], cells: Mapping[str, str]) -> Typed:
    rows = typed_rows(typed, table)
    for row in rows:
        if all(row[column] == text for column, text in where.items()):
            row |= cells
    return mark_entered(with_rows(typed, {table: rows}), table, where, cells)


def _following(typed: Typed, vehicle: str, name: str) -> Typed:
    """Return the museum with what follows from a unit's length or weight as long as nobody has said it."""
    own = next(row for row in typed_rows(typed, "vehicles.csv") if row["vehicle"] == vehicle)
    axles = [row for row in typed_rows(typed, "axles.csv") if row["vehicle"] == vehicle]
    if name == "length" and own["length"] and not any(is_own(typed, "axles.csv", row, "position") for row in axles):
        places = axles_spread([row["position"] for row in axles], own["length"])
        moved = [row | {"position": place} for row, place in zip(axles, places, strict=True)]
        typed = replaced(typed, "axles.csv", vehicle, moved)
    pieces = [row for row in typed_rows(typed, "pieces.csv") if row["vehicle"] == vehicle]
    if any(row["kind"] == "whole" and not is_own(typed, "pieces.csv", row, name) for row in pieces):
        whole = [row | ({name: own[name]} if row["kind"] == "whole" else {}) for row in pieces]
        typed = replaced(typed, "pieces.csv", vehicle, whole)
    if name == "weight" and any(is_own(typed, "axles.csv", row, "load", SHARED) for row in axles):
        return _loads(typed, vehicle, "share")
    return typed


def _axles(typed: Typed, vehicle: str, text: str) -> Typed:
    """Return the museum with the unit's axles where they are said to be; boxes it has not are not looked at."""
    axles = [row for row in typed_rows(typed, "axles.csv") if row["vehicle"] == vehicle]
    places = axle_places(text) or []
    if len(places) == len(axles):
        own = [row | {"position": place} for row, place in zip(axles, places, strict=True)]
    else:
        new = axles[0] | {"load": "", "role": "truck", "starter": ""} | OWN
        own = [new | {"axle": str(number), "position": place} for number, place in enumerate(places, start=1)]
    boxes = {f"{row['axle']}{side}" for row in own for side in "LR"} | {"vehicle", "site"}
    seen = [row for row in typed_rows(typed, "survey.csv") if row["vehicle"] != vehicle or row["place"] in boxes]
    typed = with_rows(replaced(typed, "axles.csv", vehicle, own), {"survey.csv": seen})
    return mark_entered(typed, "axles.csv", {"vehicle": vehicle}, ["position"])


def _loads(typed: Typed, vehicle: str, text: str) -> Typed:
    axles = [row for row in typed_rows(typed, "axles.csv") if row["vehicle"] == vehicle]
    weight = next(row["weight"] for row in typed_rows(typed, "vehicles.csv") if row["vehicle"] == vehicle)
    if text == "share" and not weight:
        raise PlannerError('weight on each axle: found "share"; allowed: it once the weight of the unit is known')
    source = SHARED if text == "share" else OWN["source"]
    if text == "share":
        loads = shared_loads(weight, len(axles), shown_unit(typed, "lb"))
    else:
        loads = [part.strip() for part in text.split(";")] if text else [""] * len(axles)
    if len(loads) != len(axles):
        raise PlannerError(f"weight on each axle: found {len(loads)}; allowed: {len(axles)} weights, one an axle, or share")
    own = [
        row | {"load": load} | ({} if is_starters(row) else {"source": source})
        for row, load in zip(axles, loads, strict=True)
    ]
    return mark_entered(replaced(typed, "axles.csv", vehicle, own), "axles.csv", {"vehicle": vehicle}, ["load"], source)


def _trucks(typed: Typed, vehicle: str, text: str) -> Typed:
    pieces = [row for row in typed_rows(typed, "pieces.csv") if row["vehicle"] == vehicle]
    kept = [row for row in pieces if row["kind"] not in ("whole", "truck", *(("body",) if text == "0" else ()))]
    wanted = [piece for piece in pieces_of(vehicle, int(text)) if piece["kind"] not in {row["kind"] for row in kept}]
    known = {row["kind"]: row for row in pieces}
    made = [known.get(piece["kind"], piece | OWN) | {"count": piece["count"]} for piece in wanted]
    typed = replaced(typed, "pieces.csv", vehicle, [*made, *kept])
    there = {row["piece"] for row in (*made, *kept)}
    carried = [row for row in typed_rows(typed, "piece_carriage.csv") if row["vehicle"] != vehicle or row["piece"] in there]
    typed = with_rows(typed, {"piece_carriage.csv": carried})
    return mark_entered(typed, "pieces.csv", {"vehicle": vehicle, "kind": "truck"}, ["count"])


def _decided(scenario: Scenario, changed: Mapping[str, str]) -> Scenario:
    given = {key.partition(".")[2]: text for key, text in changed.items() if key.startswith("decision.")}
    try:
        return Scenario.model_validate(scenario.model_dump() | given) if given else scenario
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
