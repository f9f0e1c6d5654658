"""Tables a notebook shows: the unit, the paths, the cautions."""

from __future__ import annotations

from html import escape
from typing import Any

from IPython.display import HTML, Javascript, display
from pint import Quantity

from heritagemove.museum.museum import Museum
from heritagemove.panels import markup
from heritagemove.units import units
from heritagemove.units.measures import System, show_measure

#: What a planner asks first of a unit; the other columns of vehicles.csv are there to unfold.
_FIRST = ("kind", "built", "weight", "length", "width", "height", "motors", "journal", "bearing", "hazards")
_PIECE = ("Piece", "Count", "Weight of one", "Length", "Underside above the rail", "Wheels stay on")
_LEFT_OUT = ("vehicle", "name", "source", "basis")


def show_vehicle(museum: Museum, vehicle: str) -> HTML:
    """Show one unit: what vehicles.csv says of it, its axles, and what the survey found."""
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
    return HTML(
        markup.table(unit.name, ("What", "Value"), first)
        + markup.note(f"Basis: {unit.basis}. Source: {unit.source}")
        + markup.unfold("Further measures", markup.table("Further measures", ("What", "Value"), rest))
        + markup.unfold("Pieces", markup.table("Pieces it is moved as", _PIECE, pieces))
        + markup.unfold("Axles", markup.table("Axles from the front", ("Axle", "From the front", "Load", "Role"), axles))
        + markup.unfold("Survey", markup.table("What the survey found", ("Where", "Looked for", "Found", "Date"), found))
        + _every_caution(museum)
    )


def show_paths(museum: Museum) -> HTML:
    """Show every relocation path, blocked or not, with what it does to the historic fabric."""
    rows = [
        (
            markup.marked(row.number, row.title),
            row.summary,
            row.best_for,
            row.end_state,
            f"{museum.intervention(row.path)} of 3, {'can' if museum.reversible(row.path) else 'cannot'} be undone",
            "yes" if row.saves else "no",
        )
        for row in sorted(museum.paths, key=lambda row: row.number)
    ]
    headings = ("Path", "What is done", "Best for", "How it ends up", "Intervention in the fabric", "Saves the unit")
    return HTML(markup.table("Relocation paths", headings, rows) + _every_caution(museum))


#: After Run All JupyterLab stands at the last cell. What is above it moves up while answers grow, so it is told twice.
_TO_THE_TOP = """
const up = () => { for (let at = element; at; at = at.parentElement) at.scrollTop = 0; };
setTimeout(up, 200); setTimeout(up, 900);
"""


class EndOfNotebook(HTML):
    """What a notebook ends with; shown after Run All, it brings the answer at the top back into sight."""

    def _ipython_display_(self) -> None:
        display(HTML(self.data), Javascript(_TO_THE_TOP))


def show_cautions(museum: Museum) -> EndOfNotebook:
    """Show every caution, by topic, with the rule behind it: the last cell of a notebook."""
    return EndOfNotebook(markup.table_of(markup.cautions_table("Cautions", museum.cautions)))


def _every_caution(museum: Museum) -> str:
    return "".join(f"<p>{escape(row.text)}</p>" for row in museum.cautions if "every" in row.screens)


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
