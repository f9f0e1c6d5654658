"""The dated decision: which path, which fallback, by which day."""

import datetime as dt

import numpy as np
import pytest

from heritagemove import charts
from heritagemove.compare import comparison, decision
from heritagemove.trials import durations, simulation

VEHICLES = ("foundry_switcher", "road_diesel", "consolidation", "caboose", "coach", "boxcar")


@pytest.fixture(scope="module")
def compared(museum, samples):
    return {vehicle: comparison.compare_paths(museum, vehicle, None, samples) for vehicle in VEHICLES}


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_the_chance_never_rises_as_the_committee_waits(compared, vehicle):
    whole = compared[vehicle]
    for result in decision.able(whole.paths):
        commits, chances = decision.order_curve(whole.museum, result, whole.samples)
        assert (np.diff(commits) > 0).all()
        assert (np.diff(chances) <= 0).all()
        assert chances[0] == pytest.approx(result.chance_by_deadline, abs=1e-12)


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_the_latest_decision_keeps_the_confidence_and_the_next_day_does_not(compared, vehicle):
    whole = compared[vehicle]
    confidence = whole.museum.scenario.simulation.confidence
    chosen = whole.path(whole.choice)
    day = simulation.day_number(whole.museum, whole.decide_by)
    days = durations.working_days(whole.museum, chosen.path, chosen.work, whole.samples)
    task = durations.milestone(whole.museum, chosen.path, "decision")
    deadline = simulation.day_number(whole.museum, whole.museum.scenario.deadline)

    def chance(held):
        dates = durations.date_tasks(whole.museum, chosen.path, days, chosen.work, whole.samples, {task: held + 1})
        off_site = durations.off_site_days(whole.museum, chosen.path, days, dates, chosen.work, whole.samples).value
        return np.mean(off_site <= deadline)

    assert chance(day) >= confidence > chance(day + 1)


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_the_choice_is_the_cheapest_at_p80_that_keeps_the_confidence(compared, vehicle):
    whole = compared[vehicle]
    confidence = whole.museum.scenario.simulation.confidence
    sure = [r for r in decision.able(whole.paths) if r.chance_with_fallback >= confidence]
    chosen = whole.path(whole.choice)
    if sure:
        assert chosen.cost_with_fallback.p80 == min(r.cost_with_fallback.p80 for r in sure)
    else:
        assert chosen.chance_with_fallback == max(r.chance_with_fallback for r in decision.able(whole.paths))


def test_the_six_vehicles_give_different_pictures(compared):
    told = {(whole.choice, whole.fallback, tuple(r.status for r in whole.paths)) for whole in compared.values()}
    assert len(told) >= 5
    assert {r.status for whole in compared.values() for r in whole.paths} >= {"clear", "caution", "blocked"}


def test_a_blocked_path_stays_visible_with_its_reason(compared):
    for whole in compared.values():
        assert len(whole.paths) == 11
        for result in whole.paths:
            if result.status == "blocked":
                assert result.reasons
                assert result.chance_of_gates == 0


def test_a_deadline_that_is_pulled_forward_changes_the_decision(museum, samples):
    june = museum.with_changes(deadline=dt.date(2027, 4, 15), forced_scrap=dt.date(2027, 5, 1))
    early, usual = (comparison.compare_paths(m, "foundry_switcher", None, samples) for m in (june, museum))
    assert early.sentence != usual.sentence
    assert early.choice is None or early.path(early.choice).chance_with_fallback < 0.8


def test_the_chart_of_order_dates_tells_every_path_that_could_be_chosen(compared):
    chart = charts.order_dates(compared["coach"])
    for result in decision.able(compared["coach"].paths):
        assert f"Path {result.number}, {result.title}" in chart.alt
    assert charts.svg(chart) == charts.svg(charts.order_dates(compared["coach"]))
