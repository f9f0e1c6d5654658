"""What is set over the tables: refused whole, answered, said in words."""

import numpy as np
import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.inputs import Inputs, answer, as_set, budget_in_words, inputs_in_words
from heritagemove.trials.simulation import day_number, draw

UNIT = "foundry_switcher"
SET = Inputs(UNIT, {"crane_hours": 30.0, "axles": 6.0}, 7.5, 10, -40, 250_000.0)


def test_all_that_is_wrong_is_said_at_once(museum):
    with pytest.raises(ValueError, match=r"(?s)vehicle: .*axles: .*weight_tolerance: .*budget_usd: "):
        as_set(museum, Inputs("tram", {"axles": 0.5}, -1, 0, 0, -1))


def test_the_owners_two_dates_move_together(museum):
    moved = as_set(museum, Inputs(UNIT, deadline_moved=-40)).scenario
    for date in ("deadline", "forced_scrap"):
        assert (getattr(museum.scenario, date) - getattr(moved, date)).days == 40
    assert as_set(museum, Inputs(UNIT, budget_usd=1.0)) is museum


def test_a_budget_is_judged_by_the_same_trials(museum):
    plain = compare_paths(museum, UNIT, samples=draw(museum, trials=400))
    played = plain.decision.played
    budget = float(np.median(played.cost_usd))
    both = np.mean((played.cost_usd <= budget) & played.in_time(day_number(museum, museum.scenario.deadline)))
    said = budget_in_words(plain, budget)
    assert f"path {plain.path(plain.choice).number} with a 50% chance" in said
    assert f"within it and off the site in time: {both:.0%}" in said
    assert "with a 100% chance" in budget_in_words(plain, 1e9)


def test_what_is_set_is_said_in_words(museum):
    assert inputs_in_words(museum, Inputs(UNIT)) == ("as the tables say",)
    said = "; ".join(inputs_in_words(museum, SET))
    assert said == (
        "crane hours 30 crane hour; axles 6 axle; weight known to plus or minus 7.5 %; "
        "work begins 11 Mar 2027, 10 days later; deadline 5 Sep 2027, 40 days earlier; budget 250,000 USD"
    )


def test_the_estimating_error_is_switched_off_and_on_and_the_comparison_says_which(museum, thousand):
    off = Inputs(UNIT, estimating_error=False)
    found = answer(as_set(museum, off), off, draw(as_set(museum, off), previous=thousand))
    usual = answer(museum, Inputs(UNIT), thousand)
    assert not found.estimating_error and usual.estimating_error
    assert "without estimating error" in found.spread_in_words and "with estimating error" in usual.spread_in_words
    assert found.as_json()["estimating_error"] is False
    assert inputs_in_words(museum, off) == ("estimating error switched off",)
    assert as_set(as_set(museum, off), Inputs(UNIT, estimating_error=True)) == museum
    with pytest.raises(ValueError, match='estimating_error: found "maybe"'):
        as_set(museum, Inputs(UNIT, estimating_error="maybe"))
