"""The start page: the museum at a glance."""

from __future__ import annotations

from heritagemove.museum.museum import Museum
from heritagemove.panels import markup
from heritagemove.panels.state import Desk
from heritagemove.units.described import Marked
from heritagemove.units.measures import show_measure
from heritagemove.units.words import show_date


def show_museum(desk: Desk) -> str:
    """Show what a museum's tables hold: its dates, its units, its paths, its money."""
    museum = desk.museum
    scenario = museum.scenario
    facts = (
        ("Museum", f"{scenario.name}, {scenario.place}"),
        ("Where the units stand", f"{scenario.site}; owner {scenario.owner}"),
        ("Work may begin", show_date(scenario.start)),
        ("Must be off the site by", show_date(scenario.deadline)),
        ("What is left is scrapped on", show_date(scenario.forced_scrap)),
        ("Planned at", f"{scenario.simulation.confidence:.0%} confidence, {scenario.simulation.trials:,} trials"),
        ("Tables as of", f"{show_date(scenario.as_of)}, prices of {scenario.price_year}"),
    )
    rows = [(name, value) for name, value in facts]
    at_a_glance = markup.table(scenario.name, ("What", "As the tables have it"), rows)
    return at_a_glance + _units(museum) + _paths(museum)


def _units(museum: Museum) -> str:
    rows = [
        (
            row.name,
            row.kind.replace("_", " "),
            "unknown" if row.weight is None else show_measure(row.weight, museum.scenario.units),
            f"{len(museum.axles_of(row.vehicle))}",
            f"{row.significance} of 5",
            row.vehicle,
        )
        for row in museum.vehicles
    ]
    headings = ("Unit", "Kind", "Weight", "Axles", "Significance", "Its name in the tables")
    return markup.table(f"{len(rows)} units", headings, rows)


def _paths(museum: Museum) -> str:
    ordered = sorted(museum.paths, key=lambda row: row.number)
    rows = [(Marked(row.number, row.title), row.best_for, "yes" if row.saves else "no") for row in ordered]
    table = markup.table("Paths", ("Path", "Best for", "Saves the unit"), rows)
    return markup.unfold(f"{len(rows)} relocation paths", table)
