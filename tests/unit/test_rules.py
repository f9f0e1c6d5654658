"""The rules between tables, one change of the demo museum at a time."""

import dataclasses

import pytest

from heritagemove.compare.comparison import price_path
from heritagemove.files.tables import MOST_SHOWN, TableProblems
from heritagemove.museum.museum import SliderRange
from heritagemove.museum.rows import TABLES
from heritagemove.museum.rules import cross_table_problems


def lines(museum):
    return [str(problem) for problem in cross_table_problems(museum)]


def changed(museum, table, column, value, **where):
    """Return the museum with one cell changed, and the row number of that cell."""
    rows = list(getattr(museum, table))
    at = next(i for i, row in enumerate(rows) if all(getattr(row, name) == want for name, want in where.items()))
    number = rows[at].row_number
    rows[at] = rows[at].model_copy(update={column: value})
    assert rows[at].row_number == number
    return dataclasses.replace(museum, **{table: tuple(rows)}), number


def without(museum, table, **where):
    rows = getattr(museum, table)
    kept = tuple(row for row in rows if not all(getattr(row, name) == want for name, want in where.items()))
    assert len(kept) < len(rows)
    return dataclasses.replace(museum, **{table: kept})


def test_the_demo_museum_breaks_no_rule(museum):
    assert lines(museum) == []


REFERENCES = [
    (table, column.name) for table, model in TABLES.items() for column in model.columns.values() if column.refers_to
]


@pytest.mark.parametrize(("table", "column"), REFERENCES)
def test_an_id_that_nothing_defines_is_reported_at_its_cell(museum, table, column):
    is_list = isinstance(getattr(getattr(museum, table)[0], column), tuple)
    damaged, number = changed(museum, table, column, ("nowhere",) if is_list else "nowhere")
    start = f'{table}.csv row {number}, column {column}: found "nowhere"; allowed: '
    assert any(line.startswith(start) for line in lines(damaged))


@pytest.mark.parametrize(
    ("table", "column", "wrong", "meant"),
    [
        ("cost_lines", "driver", "crane hr", "crane_hours"),
        ("tasks", "calendar", "Office", "office"),
        ("gates", "path", "cut-up", "cut_up"),
    ],
)
def test_a_slip_of_the_pen_is_answered_with_the_id_that_was_meant(museum, table, column, wrong, meant):
    damaged, _ = changed(museum, table, column, wrong)
    assert any(line.endswith(f"(did you mean {meant}?)") for line in lines(damaged))


def test_an_unknown_path_is_one_problem_and_not_one_more_for_each_task_in_it(museum):
    damaged, _ = changed(museum, "risks", "path", "barge")
    assert len(lines(damaged)) == 1


@pytest.mark.parametrize("table", [t for t, model in TABLES.items() if any(c.key for c in model.columns.values())])
def test_a_row_given_twice_is_reported_with_the_row_that_has_it_already(museum, table):
    rows = getattr(museum, table)
    damaged = dataclasses.replace(museum, **{table: (*rows, rows[0])})
    assert any(f"once; row {rows[0].row_number} has it already" in line for line in lines(damaged))


def test_a_loop_among_the_tasks_is_named_task_by_task(museum):
    first, second = (row.task for row in museum.of_path("tasks", "cut_up")[:2])
    assert first in museum.of_path("tasks", "cut_up")[1].after
    damaged, _ = changed(museum, "tasks", "after", (second,), path="cut_up", task=first)
    (line,) = lines(damaged)
    assert f"{first} -> {second} -> {first}" in line or f"{second} -> {first} -> {second}" in line
    assert line.endswith("allowed: no loop among the tasks")


@pytest.mark.parametrize(("table", "column", "value"), [("tasks", "after", ("survey",)), ("paths", "fallback", "cut_up")])
def test_a_row_that_names_itself_is_answered_with_the_others(museum, table, column, value):
    own = {"tasks": {"path": "cut_up", "task": "survey"}, "paths": {"path": "cut_up"}}[table]
    damaged, number = changed(museum, table, column, value, **own)
    (line,) = lines(damaged)
    name = value if isinstance(value, str) else value[0]
    assert line.startswith(f'{table}.csv row {number}, column {column}: found "{name}"; allowed: ')
    assert name not in line.partition("allowed: ")[2].split(" (did")[0].split(", ")


def test_a_path_that_saves_the_unit_has_one_task_that_takes_it_off_the_site(museum):
    leaving = next(row.task for row in museum.of_path("tasks", "trailer") if "leaves" in row.milestone)
    damaged, _ = changed(museum, "tasks", "milestone", (), path="trailer", task=leaving)
    (line,) = lines(damaged)
    assert line.startswith("paths.csv row ") and line.endswith("a task of this path with the milestone leaves or off_site")
    damaged, _ = changed(museum, "tasks", "milestone", ("off_site",), path="trailer", milestone=())
    assert any("one leaves or off_site task a path" in line for line in lines(damaged))


def test_a_price_that_fits_no_line_is_the_rates_fault(museum):
    damaged, number = changed(museum, "rates", "unit", "USD/day", unit="USD/crane_hour")
    (line,) = lines(damaged)
    assert line.startswith(f'rates.csv row {number}, column unit: found "USD/day"; allowed: a unit that gives USD, such as ')
    assert "USD/crane_hour (used with driver crane_hours in cost_lines.csv row " in line


def test_a_driver_that_does_not_fit_a_price_other_lines_use_is_the_lines_fault(museum):
    line = next(row for row in museum.cost_lines if row.rate == "skilled_labor" and row.driver == "jobs")
    damaged, number = changed(museum, "cost_lines", "driver", "axles", path=line.path, line=line.line)
    (line,) = lines(damaged)
    assert line.startswith(f'cost_lines.csv row {number}, column driver: found "axles"; allowed: a driver and a factor_unit')


@pytest.mark.parametrize(
    ("table", "column", "allowed"),
    [
        ("rates", "unit", "a unit such as USD/crane_hour, USD/mile/load, USD or percent"),
        ("cost_lines", "factor_unit", "a unit such as labor_hour/axle, or blank"),
    ],
)
def test_a_unit_that_is_none_is_refused_with_examples(museum, table, column, allowed):
    damaged, number = changed(museum, table, column, "USD/furlong")
    assert f'{table}.csv row {number}, column {column}: found "USD/furlong"; allowed: {allowed}' in lines(damaged)


def test_a_rate_is_priced_for_all_equipment_or_by_each(museum):
    damaged, _ = changed(museum, "rates", "equipment", None, unit="USD/crane_hour")
    assert any(line.endswith("priced either for all equipment or by each") for line in lines(damaged))


def test_the_holdover_rate_must_exist(museum):
    damaged = museum.with_changes(holdover_rate="hold_over")
    (line,) = lines(damaged)
    assert line.startswith('museum.toml, key holdover_rate: found "hold_over"; allowed: ')
    assert line.endswith("(did you mean holdover?)")


def test_a_driver_that_is_not_computed_needs_a_row_in_quantities(museum):
    damaged = without(museum, "quantities", driver="hazard_surveys")
    found = lines(damaged)
    assert found and all('column driver: found "hazard_surveys"; allowed: a driver with a row in' in line for line in found)


def test_a_calendar_that_never_opens_is_refused(museum):
    rule = next(row for row in museum.calendars if row.rule == "closed" and row.needs is None).model_copy(
        update={"calendar": "committee", "first": museum.scenario.start, "last": museum.scenario.start.replace(year=2099)}
    )
    damaged = dataclasses.replace(museum, calendars=(*museum.calendars, rule))
    (line,) = lines(damaged)
    assert line.endswith('column calendar: found "committee"; allowed: a calendar with a working day after the start date')


def test_a_unit_stands_on_axles_in_order(museum):
    (line,) = lines(without(museum, "axles", vehicle="boxcar"))
    assert line.endswith('found "boxcar"; allowed: a unit with at least one row in axles.csv')
    first = museum.axles_of("boxcar")[0].position
    damaged, number = changed(museum, "axles", "position", first, vehicle="boxcar", axle=2)
    (line,) = lines(damaged)
    assert line.startswith(f"axles.csv row {number}, column position: found ")
    assert line.endswith(f"allowed: more than the axle before it, {first:~P}")


def test_axle_loads_that_do_not_add_up_need_a_reason(museum):
    heavier = museum.vehicle("boxcar").weight * 1.03
    damaged, number = changed(museum, "vehicles", "weight", heavier, vehicle="boxcar")
    (line,) = lines(damaged)
    assert line.startswith(f"vehicles.csv row {number}, column weight: found ") and "within 2 %" in line
    told, _ = changed(damaged, "vehicles", "loads_differ", "weighed on jacks; the axles as built", vehicle="boxcar")
    assert lines(told) == []


def test_a_slider_moves_a_driver_in_its_unit_between_two_ends(museum):
    ranges = dict(museum.scenario.sliders)
    wrong = {"crane_hour": ranges["crane_hours"], "axles": SliderRange(low=8, high=8, step=1, unit="motor")}
    found = lines(museum.with_changes(sliders=wrong))
    assert any(line.endswith("(did you mean crane_hours?)") for line in found)
    assert 'museum.toml, key sliders.axles.unit: found "motor"; allowed: axle' in found
    assert 'museum.toml, key sliders.axles.low: found "8"; allowed: less than high, 8' in found


def test_a_museum_without_units_is_refused(museum):
    assert any(line.startswith('vehicles.csv: found "no rows"') for line in lines(dataclasses.replace(museum, vehicles=())))


def test_at_most_thirty_problems_are_shown_and_the_rest_counted(museum):
    strange = tuple(row.model_copy(update={"calendar": "moon"}) for row in museum.tasks)
    error = TableProblems("here", cross_table_problems(dataclasses.replace(museum, tasks=strange)))
    assert len(error.problems) == len(museum.tasks)
    assert str(error).splitlines()[-1] == f"  and {len(museum.tasks) - MOST_SHOWN} more"


def test_a_path_that_ends_at_no_museum_is_interim_and_no_choice(museum):
    short = dict(to_place="lead_siding", legs=("industrial_lead",))
    stages = [row.model_copy(update=short) if row.path == "own_wheels" else row for row in museum.stages]
    changed_museum = museum.with_changes(stages=stages)
    assert [each.interim("own_wheels") for each in (museum, changed_museum)] == [False, True]
    found = price_path(changed_museum, "caboose", "own_wheels")
    assert not found.saves
    assert any(reason.startswith("Interim only: it ends at Siding on the Drossley") for reason in found.reasons)
