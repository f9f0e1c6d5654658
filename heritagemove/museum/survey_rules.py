"""Rules of what is looked for and what was found: clues, the survey, readiness, typical ranges, limits."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args

from heritagemove.files.cells import Allowed
from heritagemove.files.tables import Problem
from heritagemove.museum.references import listed, problem, read_or_none, same_kind, shown
from heritagemove.museum.rows import TABLES
from heritagemove.museum.rows.gates import CHECKS
from heritagemove.museum.rows.limits import asked_of
from heritagemove.museum.rows.survey import FACTS
from heritagemove.museum.rows.vehicles import Vehicle
from heritagemove.units import units


def _clues(museum: Any) -> Iterable[Problem]:
    """Check that shares are shares of one whole: down a clue's column, along the row prior."""
    clues: dict[str, list[Any]] = {}
    for row in museum.clues:
        clues.setdefault(row.clue, []).append(row)
    columns = ("plain", "roller", "converted_roller")
    priors = clues.pop("prior", [])
    if len(priors) != 1:
        yield Problem("clues.csv", 0, "clue", f"{len(priors)} rows prior", "one row prior")
    for row in priors:
        if row.found != "any":
            yield problem("clues", row, "found", "any: the prior stands before anything is found")
        total = sum(getattr(row, column) for column in columns)
        if abs(total - 1) > 1e-6:
            yield problem("clues", row, "plain", f"three shares that add up to 1; this row adds up to {total:g}")
    for clue, group in clues.items():
        if sum(row.worst for row in group) != 1:
            yield problem("clues", group[-1], "worst", f"yes in one row of {clue}, no in the others")
        for column in columns:
            total = sum(getattr(row, column) for row in group)
            if abs(total - 1) > 1e-6:
                yield problem("clues", group[0], column, f"shares that add up to 1 over {clue}; found {total:g} in all")


def _survey(museum: Any) -> Iterable[Problem]:
    """Check that what was seen is a clue's own word or a measure, at a box that the unit has."""
    words: dict[str, set[str]] = {}
    for row in museum.clues:
        words.setdefault(row.clue, {"unknown"}).add(row.found)
    boxes: dict[str, set[str]] = {}
    for axle in museum.axles:
        boxes.setdefault(axle.vehicle, {"vehicle", "site"}).update(f"{axle.axle}{side}" for side in "LR")
    for row in museum.survey:
        places = {"site"} if row.vehicle == "any" else boxes.get(row.vehicle, {row.place})
        if row.place not in places:
            yield problem("survey", row, "place", ", ".join(sorted(places)))
        if row.clue in words and row.found not in words[row.clue]:
            yield problem("survey", row, "found", listed(row.found, words[row.clue]))
        unit = FACTS.get(row.clue)
        measured = unit and read_or_none(lambda text, unit=unit: units.parse(text, unit), row.found)
        if unit and row.found != "unknown" and measured is None:
            yield problem("survey", row, "found", f"a measure such as 12 {unit}, or unknown")


def _limits(museum: Any) -> Iterable[Problem]:
    """Check that a low limit is not above the high one of the same thing."""
    by_id = {row.limit: row for row in museum.limits}
    for low, high in (("federal_single_spacing", "federal_tandem_spacing"), ("coupler_height_low", "coupler_height_high")):
        if {low, high} <= set(by_id) and by_id[low].quantity > by_id[high].quantity:
            yield problem("limits", by_id[low], "value", f"at most {high}, {shown(by_id[high].quantity)}")


#: A journal is typical by its diameter; the nearest rated size stands for it.
_DIAMETER = Allowed("a diameter", may_be_blank=True, unit="in")


def _typical(museum: Any) -> Iterable[Problem]:
    """Check that a typical range is one of a column that may be blank, in a unit of its kind."""
    named = {"survey": {*FACTS, *(row.clue for row in (*museum.clues, *museum.readiness) if row.clue)}, "gates": CHECKS}
    for row in museum.typical:
        if row.table in named:
            if row.what not in named[row.table]:
                yield problem("typical", row, "what", listed(row.what, named[row.table]))
            continue
        model = TABLES[row.table]
        blank = {n: c.allowed for n, c in model.columns.items() if c.allowed.may_be_blank}
        columns = {n: a for n, a in blank.items() if a.unit or {float, int} & {*get_args(model.model_fields[n].annotation)}}
        columns |= {"journal": _DIAMETER} if row.table == "vehicles" else {}
        whole = {n: c.allowed.unit for n, c in Vehicle.columns.items() if c.allowed.unit}
        if row.what not in columns:
            yield problem("typical", row, "what", listed(row.what, columns))
        elif row.share_of is not None and row.share_of not in whole:
            yield problem("typical", row, "share_of", listed(row.share_of, whole))
        elif row.share_of is not None and not same_kind(whole[row.share_of], columns[row.what].unit):
            yield problem("typical", row, "share_of", f"a column in {columns[row.what].unit}, as {row.what} is")
        elif row.share_of is None and not _of_its_unit(row.unit, columns[row.what].unit):
            yield problem("typical", row, "unit", columns[row.what].unit or "blank, for a plain number")


def _of_its_unit(unit: str | None, wanted: str) -> bool:
    return same_kind(unit or "", wanted) if wanted else unit is None


def _readiness(museum: Any) -> Iterable[Problem]:
    measures = {"age": "year"} | {name: column.allowed.unit for name, column in Vehicle.columns.items()}
    for row in museum.readiness:
        unit = measures.get(row.measure, "")
        if row.measure is not None and not unit:
            yield problem("readiness", row, "measure", listed(row.measure, (name for name in measures if measures[name])))
        for column in ("least", "most"):
            limit = getattr(row, column)
            if limit is not None and unit and (asked := asked_of(limit)) and asked.unit != unit:
                yield problem("readiness", row, column, f"a limit in {unit}, as {row.measure} is")
        if (row.clue is None) == (row.measure is None):
            yield problem("readiness", row, "clue", "either a clue or a measure, not both")


RULES = (_clues, _survey, _readiness, _typical, _limits)
