"""Contingency, joint confidence, moved deadlines, correlation and half-widths against counts by hand and beta quantiles."""

import datetime as dt
import math

import numpy as np
import pytest
from scipy import stats

from heritagemove.answers.correlation import merge_effect, with_and_without, without_correlation
from heritagemove.answers.joint_confidence import (
    Outcomes,
    chance_by,
    chances_by,
    contingency,
    contingency_curve,
    each_unit,
    frontier,
    joint,
    joint_map,
    outcomes,
    point_estimate,
)
from heritagemove.answers.money_tables import cost_lines, half_widths, risks
from heritagemove.charts import joint_confidence as drawn
from heritagemove.compare.comparison import compare_paths
from heritagemove.panels import money_and_risk
from heritagemove.trials import simulation
from heritagemove.trials.sampling_error import (
    chance_interval,
    half_width_of_chance,
    half_width_of_percentile,
    order_ranks,
)
from heritagemove.trials.simulation import NEVER
from heritagemove.units.units import PlannerError


@pytest.fixture(scope="module")
def samples(museum):
    return simulation.draw(museum, trials=1000)


@pytest.fixture(scope="module")
def switcher(museum, samples):
    return compare_paths(museum, "foundry_switcher", None, samples)


@pytest.fixture(scope="module")
def by_hand():
    """Ten futures: the dear ones are the late ones, and one saves nothing."""
    costs = np.array([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], float)
    days = np.array([10, 10, 10, 20, 20, 20, 30, 30, 40, NEVER])
    return Outcomes("by_hand", costs, days, True)


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
    days, budgets = frontier(by_hand, 0.6)
    assert days.tolist() == [20] and budgets.tolist() == [6.0]  # later dates do not make it cheaper
    dear_early = Outcomes("x", np.array([9.0, 8, 1, 2, 3]), np.array([1, 1, 5, 5, 5]), False)
    assert [list(part) for part in frontier(dear_early, 0.4)] == [[1, 5], [9.0, 2.0]]
    assert len(frontier(by_hand, 0.95)[0]) == 0


def test_every_point_of_the_frontier_keeps_both_and_a_dollar_less_does_not(switcher):
    for path, fallback in (("trailer", False), ("own_wheels", True)):
        found = outcomes(switcher, path, fallback)
        days, budgets = frontier(found, 0.8)
        assert len(days) > 2 and (np.diff(budgets) < 0).all()
        for day, budget in zip(days, budgets, strict=True):
            assert found.chance(budget, day) >= 0.8 > found.chance(budget - 0.01, day)


def test_two_promises_at_the_confidence_are_kept_together_less_often(switcher):
    for fallback in (True, False):
        both = joint(switcher, "own_wheels", fallback)
        assert both.outcomes.chance(both.budget_usd) <= 1
        assert np.mean(both.outcomes.cost_usd <= both.budget_usd) >= 0.8
        assert both.outcomes.chance(day=both.day) >= 0.8
        assert 0.6 - 1e-9 <= both.chance < 0.8  # Boole: at least 0.8 + 0.8 - 1
        assert both.both <= min(both.in_time, 0.8 + 1e-3)


def test_with_refusals_played_out_the_chance_in_time_is_that_of_the_comparison(switcher):
    result = switcher.path("own_wheels")
    assert joint(switcher, "own_wheels").in_time == pytest.approx(result.chance_with_fallback)
    assert joint(switcher, "own_wheels", with_fallback=False).in_time == pytest.approx(result.chance_by_deadline)


def test_a_path_that_cannot_be_chosen_has_no_joint_chance_with_refusals(switcher):
    with pytest.raises(PlannerError, match="found blocked"):
        joint(switcher, "donor_trucks")
    with pytest.raises(PlannerError, match="no cost or no date"):
        joint(switcher, "decline", with_fallback=False)


def test_the_point_estimate_is_the_sum_of_the_likely_values(museum, switcher):
    """Decline by hand: its lines at likely prices, and the owner's charge is no part of a path that never leaves."""
    rates = {(row.rate, row.equipment): row.likely for row in museum.rates}
    result = switcher.path("decline")
    expected = sum(rates[e.line.rate, None] * float(np.mean(e.quantity)) for e in result.trials.lines)
    assert point_estimate(switcher, "decline") == pytest.approx(expected) and expected > 0


def test_contingency_is_what_lies_between_the_likely_sum_and_the_budget(switcher):
    found = contingency(switcher, "trailer")
    cost = switcher.path("trailer").trials.cost_usd
    assert found.budget_usd == pytest.approx(np.percentile(cost, 80)) and found.confidence == 0.8
    assert found.point_usd + found.over_point_usd == pytest.approx(found.budget_usd)
    assert found.over_p50_usd == pytest.approx(found.budget_usd - np.percentile(cost, 50))
    assert found.chance_of_point == np.mean(cost <= found.point_usd) < 0.5


def test_more_confidence_needs_more_contingency(switcher):
    curve = contingency_curve(switcher, "trailer")
    assert (np.diff(curve.over_point_usd) > 0).all() and len(curve) == 19
    assert curve[curve.confidence == 0.5].over_p50_usd.iloc[0] == pytest.approx(0)


@pytest.mark.parametrize("confidence", [0.0, 1.0, 80.0])
def test_a_confidence_out_of_range_is_refused(switcher, confidence):
    with pytest.raises(PlannerError, match="confidence: found"):
        contingency(switcher, "trailer", confidence)


def test_the_chance_by_the_museums_own_deadline_is_that_of_the_comparison(museum, switcher):
    found = chance_by(switcher, museum.scenario.deadline)
    for result in switcher.paths:
        wanted = 0.0 if result.status == "blocked" else result.chance_by_deadline
        assert found[result.path] == wanted, result.path
    assert chance_by(switcher, museum.scenario.start - dt.timedelta(days=9))["trailer"] == 0


def test_a_later_date_never_lowers_a_chance_and_refusals_never_raise_it(museum, switcher):
    dates = [museum.scenario.start + dt.timedelta(days=days) for days in range(60, 260, 20)]
    for path in ("own_wheels", "trailer", "flat_car"):
        chances = [chance_by(switcher, date)[path] for date in dates]
        assert (np.diff(chances) >= 0).all() and chances[-1] > chances[0]
        assert chance_by(switcher, dates[-1], with_fallback=True)[path] <= chances[-1] + 1e-9


@pytest.fixture(scope="module")
def every(switcher):
    return each_unit(switcher)


def test_the_table_has_a_row_for_each_unit_and_marks_what_is_no_number(museum, every):
    table = chances_by(every, museum.scenario.deadline)
    assert list(table.index) == [row.vehicle for row in museum.vehicles] and table.shape[1] == len(museum.paths)
    assert math.isnan(table.loc["coach", "decline"]) and table.loc["coach", "transporter"] == 0
    chart = drawn.deadline_table(every, museum.scenario.deadline)
    words = [text.get_text() for text in chart.figure.axes[0].texts]
    assert words.count("S") == 6 and words.count("B") == sum(r.status == "blocked" for e in every for r in e.paths)


@pytest.mark.parametrize(("hits", "trials"), [(0, 50), (3, 50), (800, 1000), (1000, 1000)])
def test_the_interval_of_a_chance_is_that_of_the_beta_quantiles(hits, trials):
    low, high = chance_interval(hits, trials)
    assert low == pytest.approx(stats.beta.ppf(0.025, hits, trials - hits + 1) if hits else 0.0)
    assert high == pytest.approx(stats.beta.ppf(0.975, hits + 1, trials - hits) if hits < trials else 1.0)
    assert half_width_of_chance(hits / trials, trials) == pytest.approx((high - low) / 2)


@pytest.mark.parametrize(("share", "trials"), [(0.5, 100), (0.8, 1000), (0.8, 10000), (0.95, 2000)])
def test_the_order_ranks_enclose_the_quantile_with_the_stated_confidence_and_no_tighter_pair_would(share, trials):
    """The k-th of n uniform draws is Beta(k, n - k + 1): the chance that it lies below the quantile is exact."""

    def covered(low, high):
        return stats.beta.cdf(share, low, trials - low + 1) - stats.beta.cdf(share, high, trials - high + 1)

    low, high = order_ranks(share, trials)
    assert covered(low, high) >= 0.95 > covered(low + 1, high - 1)


def test_the_half_width_of_a_percentile_covers_the_true_one_as_often_as_it_says():
    """Two hundred samples of a normal: at 95 %, about ten miss the true P80."""
    random, true = np.random.default_rng(5), stats.norm.ppf(0.8)
    low, high = order_ranks(0.8, 400)
    hits = 0
    for _ in range(200):
        values = np.sort(random.standard_normal(400))
        hits += values[low - 1] <= true <= values[high - 1]
        assert half_width_of_percentile(values, 80) == pytest.approx((values[high - 1] - values[low - 1]) / 2)
    assert 182 <= hits <= 199


def test_a_percentile_of_too_few_trials_may_be_anything():
    assert half_width_of_percentile(np.arange(5.0), 95) == math.inf


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: chance_interval(5, 4), "hits: found 5"),
        (lambda: chance_interval(0, 0), "trials: found 0"),
        (lambda: half_width_of_chance(1.2, 10), "chance: found 1.2"),
        (lambda: order_ranks(1.0, 10), "share: found 1"),
        (lambda: order_ranks(0.5, 10, 1.0), "level: found 1"),
    ],
)
def test_half_widths_refuse_what_is_no_chance(call, said):
    with pytest.raises(PlannerError, match=said):
        call()


def test_without_correlation_each_row_keeps_its_values_and_the_total_its_mean(museum, samples, switcher):
    alone = simulation.draw(without_correlation(museum), samples.seed, samples.trials)
    key = next(k for k, v in samples.rates.items() if np.ptp(v) > 0)
    assert np.sort(alone.rates[key]) == pytest.approx(np.sort(samples.rates[key]))
    found = with_and_without(switcher, "trailer", alone)
    assert found.alone.cost.mean == pytest.approx(found.together.cost.mean, rel=0.01)
    assert found.missed_usd > 0
    assert found.alone.cost.p90 - found.alone.cost.p10 < found.together.cost.p90 - found.together.cost.p10


def test_the_merge_of_chains_makes_the_mean_date_later_than_the_date_of_the_means(museum, samples, switcher):
    assert merge_effect(museum, switcher.path("trailer"), samples) > 0
    assert math.isnan(merge_effect(museum, switcher.path("decline"), samples))


def test_the_cost_lines_risks_and_late_days_add_up_to_the_mean(switcher):
    result = switcher.path("own_wheels")
    lines, register = cost_lines(result), risks(switcher, "own_wheels")
    lateness = result.trials.holdover_usd.mean() + result.trials.loss_usd.mean()
    assert lines.mean_usd.sum() + register.mean_usd.sum() + lateness == pytest.approx(result.cost.mean)
    assert (np.diff(lines.mean_usd) <= 0).all()
    happening = register[register.share > 0]
    assert len(happening) > 2 and (happening.share * happening.when_usd <= happening.mean_usd + 1e-6).all()


def test_each_reported_number_has_its_half_width(switcher):
    table = half_widths(switcher).set_index("number")
    assert table.loc[8, "p80_half_usd"] > 0 and math.isnan(table.loc[11, "chance"])
    assert table.loc[2, "fallback_half"] == pytest.approx(half_width_of_chance(table.loc[2, "chance_with_fallback"], 1000))


def test_the_charts_say_their_numbers_in_words(switcher):
    point = contingency(switcher, "own_wheels")
    assert f"{point.over_point_usd:,.0f} USD above the sum" in drawn.contingency_curve(switcher, "own_wheels").alt
    both = joint(switcher, "own_wheels")
    assert f"together only {both.chance:.0%}" in drawn.joint_chances(switcher, "own_wheels").alt
    found = with_and_without(switcher, "trailer")
    assert f"{found.missed_usd:,.0f} USD too low" in drawn.correlation_pairs([found]).alt


def test_every_screen_shows_its_numbers_and_the_cautions_on_money(switcher):
    for show in (money_and_risk.show_cost_lines, money_and_risk.show_contingency, money_and_risk.show_joint,
                 money_and_risk.show_correlation, money_and_risk.show_risks, money_and_risk.show_half_widths):  # fmt: skip
        page = show(switcher).value
        assert "<table" in page and "Planning aid only" in page and "may not value a gift" in page, show.__name__
    assert "so there is nothing" not in money_and_risk.show_contingency(switcher, "trailer").value
    assert "no chance of both" in money_and_risk.show_joint(switcher, "decline").value


def test_choosing_a_date_draws_the_table_again_and_an_empty_date_is_answered(museum, switcher, every, monkeypatch):
    monkeypatch.setattr(money_and_risk, "each_unit", lambda comparison: every)
    screen = money_and_risk.show_deadlines(switcher)
    before = screen.picture.value
    screen.date.value = museum.scenario.start + dt.timedelta(days=120)
    assert screen.picture.value != before and screen.alert.value == ""
    screen.date.value = None
    assert "found no date" in screen.alert.value
