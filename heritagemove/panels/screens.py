"""The tables of a museum that every notebook may show: the unit, the paths, the cautions."""

from __future__ import annotations

from typing import Any

from pint import Quantity

from heritagemove.panels import markup
from heritagemove.panels.state import Desk
from heritagemove.units import units
from heritagemove.units.described import Marked
from heritagemove.units.measures import System, show_measure

#: What a planner asks first of a unit; the other columns of vehicles.csv are there to unfold.
_FIRST = ("kind", "built", "weight", "length", "width", "height", "motors", "journal", "bearing", "hazards")
_PIECE = ("Piece", "Count", "Weight of one", "Length", "Underside above the rail", "Wheels stay on")
_LEFT_OUT = ("vehicle", "name", "source", "basis")


def show_vehicle(desk: Desk) -> str:
    """Show the unit: what vehicles.csv says of it, its axles, and what the survey found."""
    museum, vehicle = desk.comparison.museum, desk.vehicle
    unit = museum.vehicle(vehicle)
    system = museum.scenario.units
    facts = {name: (_label(unit, name), _words(value, system)) for name, value in unit if name not in _LEFT_OUT}
    first, rest = [facts[name] for name in _FIRST], [fact for name, fact in facts.items() if name not in _FIRST]
    axles = [
        (str(row.axle), _words(row.position, system), _words(row.load, system), _words(row.role))
        for row in museum.axles_of(vehicle)
    ]
    pieces = [
        (row.title, *(_words(each, system) for each in (row.count, row.weight, row.length, row.underside, row.wheels_on)))
        for row in museum.pieces_of(vehicle)
    ]
    found = [
        (row.place, _words(row.clue), _words(row.found), row.observed.isoformat())
        for row in museum.survey
        if row.vehicle in (vehicle, "any")
    ]
    return (
        markup.table(unit.name, ("What", "Value"), first)
        + markup.note(f"Basis: {unit.basis}. Source: {unit.source}")
        + markup.unfold("Further measures", markup.table("Further measures", ("What", "Value"), rest))
        + markup.unfold("Pieces", markup.table("Pieces it is moved as", _PIECE, pieces))
        + markup.unfold("Axles", markup.table("Axles from the front", ("Axle", "From the front", "Load", "Role"), axles))
        + markup.unfold("Survey", markup.table("What the survey found", ("Where", "Looked for", "Found", "Date"), found))
    )


def show_paths(desk: Desk) -> str:
    """Show every relocation path, blocked or not, with what it does to the historic fabric."""
    museum = desk.base
    rows = [
        (
            Marked(row.number, row.title),
            row.summary,
            row.best_for,
            row.end_state,
            f"{museum.intervention(row.path)} of 3, {'can' if museum.reversible(row.path) else 'cannot'} be undone",
            "yes" if row.saves else "no",
        )
        for row in sorted(museum.paths, key=lambda row: row.number)
    ]
    headings = ("Path", "What is done", "Best for", "How it ends up", "Intervention in the fabric", "Saves the unit")
    return markup.table("Relocation paths", headings, rows)


def show_cautions(desk: Desk) -> str:
    """Show every caution, by topic, with the rule behind it: the last cell of a notebook."""
    return markup.table_of(markup.cautions_table("Cautions", desk.base.cautions))


def _label(unit: Any, name: str) -> str:
    meaning = type(unit).model_fields[name].description.split(";")[0]
    return meaning[:1].upper() + meaning[1:]


def _words(value: Any, system: System = "US") -> str:
    if value is None or value == "":
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Quantity):
        if system == "SI" and not units.currencies(value.units):
            return show_measure(value, system)
        return units.show(value, digits=0 if float(value.magnitude).is_integer() else 1)
    return str(value).replace("_", " ")
