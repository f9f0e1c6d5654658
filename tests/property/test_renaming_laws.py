"""An id carries no meaning: renaming any id in every table changes no number, no status and no choice.

Draws are named by ids (a rate's, a task's, a risk's, a gate's ...), so a renamed one may draw other numbers. There the
museum is renamed with every range collapsed to its likely value and every chance to its likelier end; ids that name no
draw are renamed with the draws as they are, to the last digit.
"""

import random

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.rows import TABLES
from heritagemove.survey.readiness import readiness, unknowns
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity
from heritagemove.whole_site.doing_nothing import doing_nothing

#: Columns that name ids of another table and say so in words only.
IN_WORDS = {
    "funds.units": ("vehicles.vehicle",), "funds.lines": ("cost_lines.line",), "actuals.quote": ("quotes.quote",),
    "inquiries.subject": ("gates.gate", "risks.risk"), 
}  # fmt: skip
#: Ids by which draws are named.
DRAWN = ("paths.path", "tasks.task", "rates.rate", "risks.risk", "gates.gate", "vehicles.vehicle", "calendars.calendar",
         "cranes.crane", "flat_cars.flat_car", "trailers.trailer", "funds.fund", "extensions.extension")  # fmt: skip
DRAWLESS = ("legs.leg", "places.place", "stages.stage", "pieces.piece", "donor_trucks.donor_truck", "bridges.bridge",
            "engines.engine", "trailer_axles.group", "cost_lines.line", "criteria.criterion", "quotes.quote",
            "inquiries.inquiry", "taxes.tax", "upkeep.upkeep", "price_indexes.price_index", "sources.source_id")  # fmt: skip
#: Words of a table that the program itself reads or shows.
READ = {"limits.limit", "clues.clue", "clues.found", "cautions.caution", "readiness.item", "estimate_classes.estimate_class",
        "call_outs.call_out", "actuals.invoice", "typical.what", "typical.kind", "typical.of_unit", "overruns.overrun",
        "bases.column"}  # fmt: skip


def referred():
    """Yield each column that holds ids, with the columns that define them."""
    for table, model in TABLES.items():
        for column in model.columns.values():
            name = f"{table}.{column.name}"
            targets = [target for target in (*column.refers_to, *IN_WORDS.get(name, ())) if "." in target]
            yield table, column.name, targets or ([name] if name in (*DRAWN, *DRAWLESS) else [])


def renamed(museum, kinds, seed=1):
    """Return the museum with every id of some kinds replaced, and the new name of each; order by name is shuffled."""
    columns = [(kind, *kind.split(".")) for kind in kinds]
    ids = {(kind, getattr(row, column)) for kind, table, column in columns for row in getattr(museum, table)}
    numbers = list(range(len(ids)))
    random.Random(seed).shuffle(numbers)
    new = {entry: f"id_{number:04}" for entry, number in zip(sorted(ids), numbers, strict=True)}

    def name(value, targets):
        if isinstance(value, tuple):
            return tuple(name(each, targets) for each in value)
        return next((new[kind, value] for kind in targets if (kind, value) in new), value)

    changes = {}
    for table, column, targets in referred():
        if set(targets) & set(kinds):
            rows = changes.get(table, getattr(museum, table))
            changes[table] = [row.model_copy(update={column: name(getattr(row, column), targets)}) for row in rows]
    holdover = name(museum.scenario.holdover_rate, ["rates.rate"])
    return museum.with_changes(**changes, holdover_rate=holdover), new


def without_chance(museum):
    """Return the museum with every range at its likely value and every chance at 0 or 1."""

    def flat(row, *prefixes):
        return row.model_copy(
            update={prefix + end: getattr(row, prefix + "likely") for prefix in prefixes for end in ("low", "high")}
        )

    sure = [flat(row, "cost_", "delay_") for row in museum.risks]
    return museum.with_changes(
        rates=[flat(row, "") for row in museum.rates],
        tasks=[flat(row, "") for row in museum.tasks],
        quantities=[flat(row, "") for row in museum.quantities],
        risks=[row.model_copy(update={"probability": float(row.probability > 0.2), "bought": False}) for row in sure],
        gates=[
            row.model_copy(update={"refusal_probability": float(row.refusal_probability > 0.5)}) if row.task else row
            for row in museum.gates
        ],
        vehicles=[row.model_copy(update={"weight_tolerance": Quantity(0, "percent")}) for row in museum.vehicles],
        funds=[row.model_copy(update={"probability": float(row.probability > 0.5)}) for row in museum.funds],
        simulation=museum.scenario.simulation.model_copy(update={"estimating_error": False}),
    )


def told(museum, vehicle, new):
    """Return everything that is answered of a unit, its ids put back."""
    old = {number: value for (_, value), number in new.items()}

    def back(name):
        return old.get(name, name)

    found = compare_paths(museum, vehicle, samples=draw(museum, trials=100))
    nothing = doing_nothing(found)
    paths = {
        back(row.path): (
            row.status, row.cost, row.cost_with_fallback, row.off_site, row.closed, row.chance_by_deadline,
            row.chance_of_gates, row.chance_with_fallback, [f.status for f in row.findings],
            {
                "@".join([driver, *map(back, stage)]): amount
                for name, amount in row.work.amounts.items()
                for driver, *stage in [name.split("@")]
                if amount is None or isinstance(amount, float)
            },
        )
        for row in found.paths
    }  # fmt: skip
    choice = found.choice and back(found.choice), found.fallback and back(found.fallback), found.decide_by, found.switch_by
    ready = [(row.status, [back(path) for path in row.blocks]) for row in readiness(museum, vehicle)]
    asked = [[back(path) for path in row.blocks] for row in unknowns(museum, vehicle)]
    return paths, choice, (nothing.museum_pays, nothing.owner_pays, nothing.scrap_value, nothing.parts), ready, sorted(asked)


def test_every_column_that_defines_ids_is_renamed_here_or_names_what_the_program_reads():
    an_id = TABLES["paths"].columns["path"].allowed.text
    keys = {
        f"{table}.{column.name}"
        for table, model in TABLES.items()
        for column in model.columns.values()
        if (column.key or column.name == "calendar") and not column.refers_to and column.allowed.text == an_id
    }
    assert keys - READ == {*DRAWN, *DRAWLESS}


@pytest.mark.parametrize("vehicle", ["foundry_switcher", "road_diesel", "consolidation", "caboose", "coach", "boxcar"])
def test_renaming_every_id_changes_no_number_no_status_and_no_choice(museum, vehicle):
    before = without_chance(museum)
    after, new = renamed(before, (*DRAWN, *DRAWLESS))
    assert told(after, new["vehicles.vehicle", vehicle], new) == told(before, vehicle, {})


@pytest.mark.parametrize("vehicle", ["consolidation", "coach"])
def test_renaming_an_id_that_names_no_draw_changes_nothing_to_the_last_digit(museum, vehicle):
    after, new = renamed(museum, DRAWLESS)
    assert told(after, vehicle, new) == told(museum, vehicle, {})
