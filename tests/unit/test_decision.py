"""The dated decision: which path, which fallback, by which day."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from heritagemove import charts
from heritagemove.compare import comparison, decision, policy
from heritagemove.museum.museum import load_museum
from heritagemove.trials import playing, simulation

VEHICLES = ("foundry_switcher", "road_diesel", "consolidation", "caboose", "coach", "boxcar")


@pytest.fixture(scope="module")
def compared(museum, samples):
    return {vehicle: comparison.compare_paths(museum, vehicle, None, samples) for vehicle in VEHICLES}


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_the_decision_is_due_at_the_last_meeting_that_keeps_the_confidence(compared, vehicle):
    whole, told = compared[vehicle], compared[vehicle].decision
    confidence, museum = whole.museum.scenario.simulation.confidence, whole.museum
    chances = dict(_by_meeting(whole))
    if told.decide_by is None:
        assert told.decide_why and told.chance_at_once < confidence
        return
    day = simulation.day_number(museum, told.decide_by)
    assert told.chance_if_decided_then == chances[day] >= confidence
    assert all(chance < confidence for later, chance in chances.items() if later > day)
    assert told.decide_by.strftime("%a") == "Tue" and (told.decide_by.day <= 7 or 15 <= told.decide_by.day <= 21)


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_deciding_a_meeting_later_never_raises_the_chance(compared, vehicle):
    chances = [chance for _, chance in _by_meeting(compared[vehicle])]
    assert (np.diff(chances) <= 0).all() and chances[0] > chances[-1]


def _by_meeting(whole):
    """Return the chance all in of the printed policy at each meeting."""
    told, deadline = whole.decision, simulation.day_number(whole.museum, whole.museum.scenario.deadline)
    options = {r.path: playing.Playable(r.path, r.work, r.findings) for r in decision.able(whole.paths)}
    switch = told.switch_by and (told.hinge.gate, simulation.day_number(whole.museum, told.switch_by))
    found = []
    for day in map(int, policy.meetings(whole.museum, told.path)):
        asked = playing.Policy(told.path, told.on_refusal, told.fallbacks, day, switch)
        played = playing.play(whole.museum, asked, options, whole.samples, costs=False)
        found.append((day, float(np.mean(played.in_time(deadline)))))
    return found


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_a_day_to_turn_comes_after_most_answers_and_each_fallback_is_turned_to(compared, vehicle):
    told = compared[vehicle].decision
    assert (told.switch_by is None) == bool(told.switch_why)
    assert told.switch_by is None or told.hinge.answer[2] <= told.switch_by
    assert set(told.fallbacks) == {path for path in told.on_refusal.values() if path}
    assert told.fallback is None or told.fallback in told.fallbacks


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_the_choice_is_the_cheapest_on_average_that_keeps_the_confidence_or_as_good(compared, vehicle):
    whole = compared[vehicle]
    confidence = whole.museum.scenario.simulation.confidence
    sure = [r for r in decision.able(whole.paths) if r.chance_with_fallback >= confidence]
    chosen = whole.path(whole.choice)
    if sure:
        cheapest = min(sure, key=lambda r: r.cost_with_fallback.mean)
        assert cheapest.path in (chosen.path, *whole.decision.tie_with)
    else:
        assert chosen.chance_with_fallback == max(r.chance_with_fallback for r in decision.able(whole.paths))


@pytest.mark.parametrize("measure", ["mean", "dearest_fifth", "p80"])
def test_the_museum_says_what_of_the_cost_decides(museum, samples, measure):
    found = comparison.compare_paths(museum.with_changes(choose_by=measure), "boxcar", None, samples)
    sure = [r for r in decision.able(found.paths) if r.chance_with_fallback >= 0.8]
    costs = {r.path: np.sort(r.branch.cost_usd) for r in sure}
    fifth = samples.trials // 5
    amounts = {"mean": np.mean, "dearest_fifth": lambda c: c[-fifth:].mean(), "p80": lambda c: np.quantile(c, 0.8)}
    cheapest = min(costs, key=lambda path: amounts[measure](costs[path]))
    assert cheapest in (found.choice, *found.decision.tie_with)


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


def test_the_chart_of_order_dates_tells_the_choice_and_what_it_turns_to(compared):
    chart, whole = charts.order_dates(compared["coach"]), compared["coach"]
    for path in (whole.choice, whole.fallback):
        assert f"Path {whole.path(path).number}, {whole.path(path).title}" in chart.alt
    assert charts.svg(chart) == charts.svg(charts.order_dates(compared["coach"]))


def test_the_cheapest_way_of_a_unit_may_miss_the_date_too_often_and_a_dearer_one_is_chosen(compared):
    """The boxcar would roll for less; it waits for the petition for a car over the age limit."""
    whole = compared["boxcar"]
    rolls, chosen = whole.path("own_wheels"), whole.path(whole.decision.path)
    assert rolls.cost_with_fallback.p80 < chosen.cost_with_fallback.p80
    assert rolls.chance_with_fallback < whole.museum.scenario.simulation.confidence < chosen.chance_with_fallback


def test_what_is_begun_beside_is_only_what_others_answer_and_what_it_waits_for(museum, compared):
    whole = compared["caboose"]
    work = whole.path("trailer").work
    whole_set, *answers = policy.may_begin_beside(museum, "roll_on", "trailer", work)
    rows = {row.task: row for row in museum.of_path("tasks", "trailer")}
    assert {"state_permit"} < set(whole_set) and not {"crane_order", "make_safe", "lift_and_load"} & set(whole_set)
    assert all(rows[tasks[-1]].waits_for_others for tasks in answers)
    shared = {row.task for row in museum.of_path("tasks", "roll_on") if playing.is_done_by(row, rows.values())}
    assert not shared & set(whole_set)


def test_what_pays_is_begun_beside_and_without_it_the_chance_is_as_told():
    museum = load_museum(Path(__file__).parents[2] / "data" / "elsewhere" / "melderbach")
    samples = simulation.draw(museum)
    whole = comparison.compare_paths(museum, "tank_engine", None, samples)
    told = whole.decision.hedge
    assert told.path == "trailer" and told.tasks == ("road_permit",) and told.chance_without < 0.85
    assert whole.decision.chance_if_decided_then > told.chance_without
    assert told.begin_by > whole.decision.decide_by and "Begin beside it by" in whole.sentence
    assert whole.as_json()["decision"]["hedge"]["begin_by"] == told.begin_by.isoformat()


def test_a_decision_that_stands_is_played_again_and_says_when_a_search_would_choose_otherwise(museum, samples, compared):
    standing = compared["caboose"].decision
    again = comparison.compare_paths(museum, "caboose", None, samples, standing=standing)
    same = ("path", "decide_by", "on_refusal", "fallbacks", "switch_by", "hedge", "chance_if_decided_then", "budget")
    assert again.decision.replayed and not again.decision.otherwise
    assert [getattr(again.decision, name) for name in same] == [getattr(standing, name) for name in same]
    heavy = {"weight": 1.05 * museum.vehicle("caboose").weight.m_as("short_ton")}
    moved = comparison.compare_paths(museum, "caboose", heavy, samples, standing=standing)
    assert moved.decision.replayed is (moved.choice == standing.path)
    sooner = museum.with_changes(deadline=museum.scenario.deadline - dt.timedelta(days=20))
    late = comparison.compare_paths(sooner, "caboose", None, samples, standing=standing)
    assert late.decision.replayed and late.decision.otherwise in late.sentence
    assert "A search would" in late.decision.otherwise or "a search would" in late.decision.otherwise
