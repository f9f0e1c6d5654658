"""Joint confidence against counts by hand."""

import numpy as np
import pytest

from heritagemove import charts
from heritagemove.answers.contingency import contingency
from heritagemove.answers.correlation import with_and_without
from heritagemove.answers.joint_confidence import Outcomes, joint_confidence, joint_frontier, joint_map, outcomes
from heritagemove.compare.comparison import compare_paths
from heritagemove.trials.simulation import NEVER, draw
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_rounded


@pytest.fixture(scope="module")
def by_hand():
    """Ten futures: the dear ones are the late ones, and one saves nothing."""
    costs = np.array([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], float)
    days = np.array([10, 10, 10, 20, 20, 20, 30, 30, 40, NEVER])
    return Outcomes("by_hand", costs, days, True)


@pytest.fixture(scope="module")
def sure(plain, thousand):
    """Without the estimating error: both promises can be kept at the confidence."""
    return compare_paths(plain, "foundry_switcher", None, draw(plain, previous=thousand))


def test_the_joint_chance_counts_trials_that_keep_both(by_hand):
    assert by_hand.chance(5, 20) == 0.5
    assert by_hand.chance(5, 10) == 0.3
    assert by_hand.chance(day=40) == 0.9  # the tenth is never off the site
    assert by_hand.chance() == 0.9


def test_the_map_is_the_joint_chance_at_each_budget_and_day(by_hand):
    budgets, days = np.array([0.5, 2.0, 5.0, 20.0]), np.array([5, 10, 25, 50])
    found = joint_map(by_hand, budgets, days)
    expected = [[by_hand.chance(budget, day) for day in days] for budget in budgets]
    assert found.chance == pytest.approx(np.array(expected)) and found.chance[-1, -1] == 0.9


def test_a_map_over_budgets_that_do_not_grow_is_refused(by_hand):
    with pytest.raises(PlannerError, match="budgets_usd: found values that do not grow"):
        joint_map(by_hand, np.array([2.0, 1.0]), np.array([1, 2]))


def test_the_frontier_has_the_smallest_budget_for_each_date(by_hand):
    days, budgets = joint_frontier(by_hand, 0.6)
    assert days.tolist() == [20] and budgets.tolist() == [6.0]  # later dates do not make it cheaper
    dear_early = Outcomes("x", np.array([9.0, 8, 1, 2, 3]), np.array([1, 1, 5, 5, 5]), False)
    assert [list(part) for part in joint_frontier(dear_early, 0.4)] == [[1, 5], [9.0, 2.0]]
    assert len(joint_frontier(by_hand, 0.95)[0]) == 0


def test_every_point_of_the_frontier_keeps_both_and_a_dollar_less_does_not(sure):
    for path, fallback in (("trailer", False), ("own_wheels", True)):
        found = outcomes(sure, path, fallback)
        days, budgets = joint_frontier(found, 0.8)
        assert len(days) > 2 and (np.diff(budgets) < 0).all()
        for day, budget in zip(days, budgets, strict=True):
            assert found.chance(budget, day) >= 0.8 > found.chance(budget - 0.01, day)


def test_two_promises_at_the_confidence_are_kept_together_less_often(sure):
    for fallback in (True, False):
        both = joint_confidence(sure, "own_wheels", fallback)
        assert both.outcomes.chance(both.budget_usd) <= 1
        assert np.mean(both.outcomes.cost_usd <= both.budget_usd) >= 0.8
        assert both.outcomes.chance(day=both.day) >= 0.8
        assert 0.6 - 1e-9 <= both.chance < 0.8  # Boole: at least 0.8 + 0.8 - 1
        assert both.both <= min(both.in_time, 0.8 + 1e-3)


def test_with_refusals_played_out_the_chance_in_time_is_that_of_the_comparison(switcher):
    result = switcher.path("own_wheels")
    assert joint_confidence(switcher, "own_wheels").in_time == pytest.approx(result.chance_with_fallback)
    assert joint_confidence(switcher, "own_wheels", with_fallback=False).in_time == pytest.approx(result.chance_by_deadline)


def test_a_path_that_cannot_be_chosen_has_no_joint_chance_with_refusals(switcher):
    with pytest.raises(PlannerError, match="found blocked"):
        joint_confidence(switcher, "donor_trucks")
    with pytest.raises(PlannerError, match="no cost or no date"):
        joint_confidence(switcher, "decline", with_fallback=False)


def test_the_charts_say_their_numbers_in_words(sure):
    point = contingency(sure, "own_wheels")
    assert f"{show_rounded(point.over_point_usd)} USD above the sum" in charts.chance_by_budget(sure, "own_wheels").alt
    both = joint_confidence(sure, "own_wheels")
    assert f"together only {both.chance:.0%}" in charts.joint_chances(sure, "own_wheels").alt
    found = with_and_without(sure, "trailer")
    assert f"{found.missed_usd:,.0f} USD too low" in charts.correlation_pairs([found]).alt
