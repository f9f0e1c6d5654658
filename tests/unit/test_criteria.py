"""The decision table and the regrets: textbook tables, and what weights can and cannot do."""

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from heritagemove.answers import criteria, regret
from heritagemove.answers.decision_analysis import expected_costs, expected_regrets, scaled
from heritagemove.charts.criteria import weighted_values
from heritagemove.compare import comparison
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError


@pytest.fixture(scope="module")
def samples(museum):
    return draw(museum, trials=1000)


@pytest.fixture(scope="module")
def switcher(museum, samples):
    return comparison.compare_paths(museum, "foundry_switcher", None, samples)


@pytest.fixture(scope="module")
def caboose(museum, samples):
    return comparison.compare_paths(museum, "caboose", None, samples)


def _scales(*ends):
    return tuple(SimpleNamespace(worst=worst, best=best, better=better) for worst, best, better in ends)


#: Four cars valued on style, reliability, economy and cost: a textbook exercise, read in a published problem set.
CARS = np.array([[7, 9, 9, 8], [8, 7, 8, 7], [9, 6, 8, 9], [6, 7, 8, 6]], dtype=float)
CAR_WEIGHTS = np.array([0.1, 0.4, 0.3, 0.2])


def test_four_cars_of_a_textbook_have_their_weighted_sums():
    scales = _scales((0, 10, "higher"), (0, 10, "higher"), (0, 10, "higher"), (10, 0, "lower"))
    totals = scaled(CARS, scales, CARS) @ CAR_WEIGHTS
    assert 10 * totals == pytest.approx([7.4, 6.6, 5.9, 6.6])


def test_scales_from_the_worst_to_the_best_car_give_the_textbook_s_other_sums():
    scales = _scales((None, None, "higher"), (None, None, "higher"), (None, None, "higher"), (None, None, "lower"))
    totals = scaled(CARS, scales, CARS) @ CAR_WEIGHTS
    assert totals == pytest.approx([0.8, 1 / 3, 0.1, 1 / 3])


def test_a_measure_beyond_its_scale_is_worth_no_more_than_its_end():
    scales = _scales((0.5, 1, "higher"))
    values = scaled(np.array([[0.2], [0.75], [1.5]]), scales, np.zeros((1, 1)))
    assert values.ravel() == pytest.approx([0, 0.5, 1])


def test_every_path_is_in_the_table_or_left_out_with_a_reason(museum, switcher):
    table = criteria.value_paths(switcher, saving_only=False)
    numbers = [option.number for option in table.options] + [number for number, _, _ in table.left_out]
    assert sorted(numbers) == sorted(row.number for row in museum.paths)
    assert all(reason for _, _, reason in table.left_out)


def test_the_choice_has_the_highest_weighted_sum_of_its_own_values(switcher):
    table = criteria.value_paths(switcher)
    for option in table.options:
        by_hand = sum(table.weights[name] * value for name, value in option.values.items()) / sum(table.weights.values())
        assert option.total == pytest.approx(by_hand)
    assert table.choice.total == max(option.total for option in table.options)
    assert f"Path {table.choice.number}" in table.in_words()


def test_paths_of_the_same_score_are_not_told_to_be_worth_most(switcher):
    table = criteria.value_paths(switcher)
    second = next(option for option in table.options if option is not table.choice)
    equal = dataclasses.replace(second, total=table.choice.total - 0.004)
    tied = dataclasses.replace(table, options=(table.choice, equal), choice=table.choice)
    said = f"Paths {table.choice.number}, {second.number} score the same"
    assert tied.choice_in_words().startswith(said) and weighted_values(tied).alt.startswith(said)
    apart = dataclasses.replace(tied, options=(table.choice, dataclasses.replace(equal, total=table.choice.total - 0.01)))
    assert "is worth most" in apart.choice_in_words()


def test_beyond_each_turn_the_named_path_is_chosen_and_before_it_the_choice_stays(switcher):
    table = criteria.value_paths(switcher)
    assert table.turns
    for turn in table.turns:
        if turn.weight > 1000:
            continue
        away = 1 if turn.weight > table.weights[turn.criterion] else -1
        beyond = criteria.value_paths(switcher, {turn.criterion: max(turn.weight + away * 1e-4, 0)})
        before = criteria.value_paths(switcher, {turn.criterion: turn.weight - away * 1e-4})
        assert beyond.choice.number == turn.number
        assert before.choice.number == table.choice.number


def test_a_path_that_is_worse_on_every_criterion_is_named_whatever_the_weights(caboose):
    table = criteria.value_paths(caboose)
    dominated = {option.number: option.dominated_by for option in table.options if option.dominated_by}
    assert dominated
    for name in table.weights:
        only = criteria.value_paths(caboose, {other: float(other == name) for other in table.weights})
        assert {option.number: option.dominated_by for option in only.options if option.dominated_by} == dominated
        best = max(option.total for option in only.options)
        for option in only.options:
            for number in option.dominated_by:
                better = next(o for o in only.options if o.number == number)
                assert better.total >= option.total - 1e-12
        assert only.choice.total == best and not only.choice.dominated_by


def test_paths_that_save_nothing_are_valued_only_when_asked(switcher):
    saving = {option.path for option in criteria.value_paths(switcher).options}
    every = {option.path for option in criteria.value_paths(switcher, saving_only=False).options}
    assert every - saving == {"cut_up", "decline"}
    decline = next(o for o in criteria.value_paths(switcher, saving_only=False).options if o.path == "decline")
    assert decline.measures["date"] == 0


def test_a_missing_score_leaves_the_path_out_and_is_never_zero(museum, switcher):
    scores = [row for row in museum.scores if (row.path, row.criterion) != ("trailer", "safety_exposure")]
    table = criteria.value_paths(dataclasses.replace(switcher, museum=museum.with_changes(scores=scores)))
    assert "trailer" not in {option.path for option in table.options}
    title = next(row.title for row in museum.criteria if row.criterion == "safety_exposure")
    assert (8, museum.path("trailer").title, f"unknown: {title}") in table.left_out


def test_the_least_and_most_of_a_path_hold_its_total_between_them(switcher):
    table = criteria.value_paths(switcher)
    assert all(option.least <= option.total <= option.most for option in table.options)
    assert any(option.least < option.most for option in table.options)
    assert table.sure == all(table.choice.least >= o.most for o in table.options if o is not table.choice)


@pytest.mark.parametrize(
    ("weights", "said"),
    [
        ({"cots": 3}, 'found "cots"; allowed: cost, date'),
        ({"cost": -1}, "weight of cost: found -1; allowed: at least 0"),
        ({"cost": float("nan")}, "found nan"),
    ],
)
def test_a_wrong_weight_is_refused_in_a_planner_s_words(switcher, weights, said):
    with pytest.raises(PlannerError, match="allowed") as caught:
        criteria.value_paths(switcher, weights)
    assert said in str(caught.value)


def test_weights_that_are_all_zero_are_refused(switcher, museum):
    with pytest.raises(PlannerError, match="at least one above 0"):
        criteria.value_paths(switcher, {row.criterion: 0 for row in museum.criteria})


def test_a_unit_with_one_path_left_says_that_weights_cannot_matter(museum, samples):
    table = criteria.value_paths(comparison.compare_paths(museum, "road_diesel", None, samples))
    assert len(table.options) == 1 and not table.turns
    assert "only one left" in table.in_words()


def test_the_states_share_out_the_trials_and_their_costs_average_to_the_mean(switcher):
    table = regret.regret_table(switcher)
    assert table.shares.sum() == pytest.approx(1)
    means = [option.branch.cost_usd.mean() for option in table.options]
    assert expected_costs(table.costs_usd, table.shares) == pytest.approx(means)


def test_a_refusal_state_is_where_the_gate_s_own_draw_is_refused(switcher):
    table = regret.regret_table(switcher)
    finding = max((f for o in table.options for f in o.findings if f.status == "open"), key=lambda finding: finding.refusal)
    share = sum(s for s, state in zip(table.shares, table.states, strict=True) if finding.gate.title in state.refused)
    assert share == pytest.approx(finding.refusal, abs=1e-9)


def test_expected_regret_of_the_best_is_what_the_state_would_be_worth_and_hindsight_is_worth_more(switcher):
    table = regret.regret_table(switcher)
    expected = expected_regrets(table.costs_usd, table.shares)
    assert table.least_expected is table.options[int(np.argmin(expected))]
    assert (table.hindsight_usd >= expected - 1e-6).all()
    assert (table.regrets_usd >= 0).all() and (table.regrets_usd.min(axis=0) == 0).all()


def test_a_path_that_saves_nothing_loses_the_agreed_value(museum, switcher):
    decline = switcher.path("decline")
    value = museum.vehicle("foundry_switcher").insured_value.m_as("USD")
    assert regret.cost_of(switcher, decline) == pytest.approx(decline.trials.cost_usd + value)
    assert "decline" in {option.path for option in regret.regret_table(switcher, saving_only=False).options}
    assert "decline" not in {option.path for option in regret.regret_table(switcher).options}


def test_probabilities_that_are_none_are_refused():
    with pytest.raises(PlannerError, match="adding up to 1"):
        expected_costs([[1, 2]], [0.5, 0.6])
