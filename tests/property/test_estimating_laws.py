"""Laws of the estimating error: quotes and bookings narrow it, switching it off leaves nothing of it."""

import datetime as dt

import numpy as np
import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.rows.quotes import Quote
from heritagemove.trials import estimating, simulation
from heritagemove.trials.durations import working_days
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity


def line_cost(result, line):
    return next(entry.cost_usd for entry in result.trials.lines if entry.line.line == line)


def width(cost):
    low, high = np.percentile(cost, (10, 90))
    return high / low


def quote(museum, path, lines, /, **changes):
    day = museum.scenario.as_of
    made = Quote(quote="asked", vehicle="caboose", path=path, lines=lines, vendor="a firm", amount=Quantity(1000.0, "USD"),
                 quoted=day, valid_until=day + dt.timedelta(days=200), inclusions=None, exclusions=None, standby=None,
                 cancellation=None, firmness="firm", basis="judgment", source="test", accepted=None)  # fmt: skip
    return made.model_copy(update=changes)


@pytest.mark.parametrize("path", ["trailer", "roll_on", "own_wheels"])
def test_a_quote_narrows_p90_over_p10_of_its_line_and_of_the_path(museum, samples, path):
    before = compare_paths(museum, "caboose", None, samples).path(path)
    costs = {e.line.line: float(np.median(e.cost_usd)) for e in before.trials.lines if e.error is not None}
    line = max(costs, key=costs.get)
    asked = museum.with_changes(quotes=[quote(museum, path, (line,))])
    after = compare_paths(asked, "caboose", None, samples).path(path)
    assert width(line_cost(after, line)) < width(line_cost(before, line))
    assert width(after.trials.cost_usd) < width(before.trials.cost_usd)


def test_a_price_of_basis_quote_is_a_quote(museum, samples):
    before = compare_paths(museum, "caboose", None, samples).path("trailer")
    rates = [row.model_copy(update={"basis": "quote"}) if row.rate == "rigging_crew" else row for row in museum.rates]
    after = compare_paths(museum.with_changes(rates=rates), "caboose", None, samples).path("trailer")
    hit = [e.line.line for e in before.trials.lines if e.line.rate == "rigging_crew"]
    assert hit
    for line in hit:
        assert width(line_cost(after, line)) < width(line_cost(before, line))


@pytest.mark.parametrize("changes", [{"firmness": "budgetary"}, {"vehicle": "coach"}, {"path": "roll_on"}])
def test_a_quote_that_does_not_bind_or_is_for_something_else_narrows_nothing(museum, samples, changes):
    asked = museum.with_changes(quotes=[quote(museum, "trailer", ("crane_hours",), **changes)])
    found, before = (compare_paths(each, "caboose", None, samples).path("trailer") for each in (asked, museum))
    assert np.array_equal(found.trials.cost_usd, before.trials.cost_usd)


def test_an_expired_quote_narrows_nothing(museum, samples):
    day = museum.scenario.as_of - dt.timedelta(days=1)
    old = quote(museum, "trailer", ("crane_hours",), quoted=day, valid_until=day)
    found, before = (
        compare_paths(each, "caboose", None, samples).path("trailer") for each in (museum.with_changes(quotes=[old]), museum)
    )
    assert np.array_equal(found.trials.cost_usd, before.trials.cost_usd)


def test_sum_of_lines_risks_and_lateness_is_the_total_in_every_trial(museum, samples):
    for unit in museum.vehicles:
        for result in compare_paths(museum, unit.vehicle, None, samples).paths:
            if result.cost is not None:
                parts = sum(e.cost_usd for e in result.trials.lines) + sum(result.trials.risk_cost_usd.values())
                total = parts + result.trials.holdover_usd + result.trials.loss_usd
                np.testing.assert_allclose(result.trials.cost_usd, total, rtol=1e-9)


def test_switched_off_the_numbers_are_those_of_rows_without_any_error(museum):
    """Rows of nothing leave a factor of exactly one, but for the least that the class of an estimate asks for."""
    off = estimating.switched(museum, False)
    none = museum.with_changes(
        estimating_errors=[row.model_copy(update={"value": 0.0}) for row in museum.estimating_errors], estimate_classes=[]
    )
    for unit in ("caboose", "foundry_switcher"):
        left, right = (compare_paths(m, unit, None, draw(m, trials=500)) for m in (off, none))
        for one, other in zip(left.paths, right.paths, strict=True):
            assert one.cost == other.cost
            assert one.off_site == other.off_site
            assert np.array_equal(one.trials.closed, other.trials.closed)
    assert left.samples.errors == {} == left.samples.overruns


def test_switching_it_on_and_off_again_gives_the_same_bits(museum):
    on = draw(museum, trials=300)
    off = draw(estimating.switched(museum, False), previous=on)
    again = draw(museum, previous=off)
    assert all(np.array_equal(on.errors[path], again.errors[path]) for path in on.errors)
    assert all(np.array_equal(on.rates[key], off.rates[key]) for key in on.rates)


def test_waits_of_others_booked_days_and_days_on_record_take_no_error(museum):
    tasks = museum.of_path("tasks", "trailer")
    decision = next(row.task for row in tasks if "decision" in row.milestone)
    for changes in ({"waits_for_others": True}, {"basis": "quote"}, {"basis": "measured"}):
        marked = museum.with_changes(
            tasks=[row.model_copy(update=changes) if row.task == "crane_order" else row for row in museum.tasks]
        )
        assert "crane_order" in estimating.estimated_tasks(museum, "trailer")
        assert "crane_order" not in estimating.estimated_tasks(marked, "trailer")
    assert decision not in estimating.estimated_tasks(museum, "trailer")


def test_what_is_paid_by_the_days_of_its_own_task_is_not_off_twice(museum, samples):
    lines = [row for row in museum.cost_lines if "task_days" in (row.driver, row.times)]
    behind = [row for row in lines if row.task in estimating.estimated_tasks(museum, row.path)]
    assert behind
    compared = compare_paths(museum, "caboose", None, samples)
    for row in behind:
        found = [e for e in compared.path(row.path).trials.lines if e.line.line == row.line]
        assert all(entry.error is None for entry in found), row.line


def test_a_credit_falls_where_costs_rise(museum, samples):
    lines = compare_paths(museum, "boxcar", None, samples).path("cut_up").trials.lines
    credit = next(e for e in lines if e.line.line == "scrap_credit")
    costs = sum(e.cost_usd for e in lines if e.line.factor > 0)
    assert np.corrcoef(-credit.cost_usd, costs)[0, 1] < -0.5


def test_dear_trials_are_late_trials(museum, samples):
    result = compare_paths(museum, "caboose", None, samples).path("convert_axles")
    days = working_days(museum, "convert_axles", result.work, samples)["wheel_shop"]
    assert np.corrcoef(days, sum(e.cost_usd for e in result.trials.lines))[0, 1] > 0.5
    assert simulation.milestone(museum, "convert_axles", "decision")


def test_reference_tables_without_estimating_errors_have_none(museum, plain_samples):
    old = museum.with_changes(estimating_errors=[])
    found = draw(old, trials=plain_samples.trials)
    assert found.errors == {} == found.overruns
    one, other = (compare_paths(old, "caboose", None, each).path("trailer").cost for each in (found, plain_samples))
    assert one == other
