"""The survey on screen: the sheet, the bearings, the readiness list, what is unknown, the cautions."""

from __future__ import annotations

from typing import Any

from heritagemove.answers.photographs import photographs_of
from heritagemove.answers.survey_tables import (
    boxes_of,
    table_of_bearings,
    table_of_boxes,
    table_of_facts,
    table_of_journals,
    table_of_readiness,
    table_of_unknowns,
)
from heritagemove.museum.museum import Museum
from heritagemove.panels import markup
from heritagemove.panels.state import Desk
from heritagemove.survey.bearings import bearings
from heritagemove.survey.readiness import axle_ratings

#: Screens whose cautions the survey carries.
SCREENS = ("every", "survey", "hazards")


def show_sheet(desk: Desk) -> str:
    """Show the survey sheet: identity, weight, geometry, wheels, brakes, hazards, places, boxes, photographs."""
    museum, vehicle = desk.comparison.museum, desk.vehicle
    facts = markup.table_of(table_of_facts(museum, vehicle))
    return facts + boxes_table(museum, vehicle) + shown_photographs(museum, vehicle)


def show_journals(desk: Desk) -> str:
    """Show the class of each axle's journals, its rating, its load and the margin between them."""
    return ratings_table(desk.comparison.museum, desk.vehicle)


def show_readiness(desk: Desk) -> str:
    """Show what must be right before a unit moves on its own wheels, what was found, and who signs."""
    return markup.table_of(table_of_readiness(desk.base, desk.vehicle))


def show_unknowns(desk: Desk) -> str:
    """Show what is still unknown of a unit, how to find it out, and the paths that wait for it."""
    museum = desk.base
    legend = "; ".join(f"{row.number} {row.title}" for row in sorted(museum.paths, key=lambda row: row.number))
    return markup.table_of(table_of_unknowns(museum, desk.vehicle)) + markup.note(f"Paths: {legend}.")


def show_survey_cautions(desk: Desk) -> str:
    """Show every caution for those who survey a unit and its hazards: the last cell of a notebook."""
    return markup.table_of(markup.cautions_table("Before anyone goes near it", _cautions(desk.base)))


def shown_photographs(museum: Museum, vehicle: str) -> str:
    """Return the photographs, made small, with what they show; name the boxes without one."""
    found = photographs_of(museum, vehicle)
    shot = {row.place for row in museum.survey if row.vehicle == vehicle and row.photo}
    missing = [place for place in boxes_of(museum, vehicle) if place not in shot]
    said = markup.note(f"No photograph yet of box {', '.join(missing)}.") if missing else ""
    shown = "".join(map(markup.photograph, found[:_SHOWN]))
    if len(found) > _SHOWN:
        said += markup.note(f"Not shown: {'; '.join(each.name for each in found[_SHOWN:])}.")
    return markup.unfold(f"{len(found)} photographs", f"<div>{shown}</div>{said}")


#: More photographs than this are named, not shown: each takes its bytes in the notebook.
_SHOWN = 12


def boxes_table(museum: Museum, vehicle: str) -> str:
    """Return what was seen at each box, one row per box, one column per clue; of the whole unit in the first row."""
    return markup.table_of(table_of_boxes(museum, vehicle))


def bearings_table(museum: Museum, vehicle: str) -> str:
    """Return the probability of each bearing type, one row per box, under the finding as a sentence."""
    found = bearings(museum, vehicle)
    names = f"Axles with driving boxes inside the frame, not shown: {', '.join(found.inside)}." if found.inside else ""
    until = "Its gates stay unknown until then, and it runs as a plain bearing."
    disputed = f"✕ {found.dispute}. {until}" if found.dispute else ""
    notes = "".join(markup.note(text) for text in (disputed, names) if text)
    return markup.table_of(table_of_bearings(museum, vehicle)) + notes


def ratings_table(museum: Museum, vehicle: str) -> str:
    """Return each axle with the class of its journals, its rating and its margin, and the sources of the ratings."""
    found = [row.journal for row in axle_ratings(museum, vehicle) if row.journal is not None]
    sources = dict.fromkeys(f"{one.service} {one.size}: {one.source}; confirm with {one.confirm_with}" for one in found)
    return markup.table_of(table_of_journals(museum, vehicle)) + markup.note(". ".join(sources))


def _cautions(museum: Museum) -> list[Any]:
    return [row for row in museum.cautions if set(row.screens) & set(SCREENS)]
