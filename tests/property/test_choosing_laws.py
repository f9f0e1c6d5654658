"""Laws of choosing: weights, dominance, regret and information, on tables nobody made up."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from heritagemove.answers.decision_analysis import (
    dominance,
    expected_costs,
    expected_regrets,
    expected_value_of_information,
    regrets,
    turning_shares,
    worst_regrets,
)

few = settings(max_examples=60, deadline=None)
unit = st.floats(0, 1, width=32)


def tables(elements=unit):
    return st.tuples(st.integers(2, 5), st.integers(2, 5)).flatmap(lambda shape: arrays(float, shape, elements=elements))


def _shares(table, seed):
    weights = np.random.default_rng(seed).random(table.shape[1]) + 0.01
    return weights / weights.sum()


@few
@given(values=tables(), seed=st.integers(0, 1000))
def test_a_dominated_path_is_never_above_the_one_that_dominates_it(values, seed):
    better = dominance(values)
    totals = values @ _shares(values, seed)
    for one, other in np.argwhere(better):
        assert totals[one] >= totals[other] - 1e-9
    assert not (better & better.T).any() and not better.diagonal().any()


@few
@given(values=tables(), seed=st.integers(0, 1000), k=st.integers(0, 1))
def test_between_the_turning_shares_the_best_stays_best(values, seed, k):
    shares = _shares(values, seed)
    best = int(np.argmax(values @ shares))
    turns = turning_shares(values, shares, k, best)
    below = max([share for share, _ in turns if share <= shares[k] + 1e-12], default=0.0)
    above = min([share for share, _ in turns if share >= shares[k] - 1e-12], default=1.0)
    for mark in np.linspace(below, above, 7):
        moved = shares * (1 - mark) / (1 - shares[k])
        moved[k] = mark
        totals = values @ moved
        assert totals[best] >= totals.max() - 1e-7
    for share, rival in turns:
        moved = shares * (1 - share) / (1 - shares[k])
        moved[k] = share
        totals = values @ moved
        assert abs(totals[best] - totals[rival]) < 1e-7


@few
@given(costs=tables(st.floats(-1000, 1000, width=32)), seed=st.integers(0, 1000))
def test_the_least_expected_regret_is_the_value_of_certain_knowledge(costs, seed):
    shares = _shares(costs, seed)
    perfect = expected_value_of_information(costs, shares, np.eye(costs.shape[1]))
    assert abs(perfect - expected_regrets(costs, shares).min()) < 1e-6
    assert np.argmin(expected_regrets(costs, shares)) == np.argmin(expected_costs(costs, shares)) or perfect >= 0


@few
@given(costs=tables(st.floats(-1000, 1000, width=32)), seed=st.integers(0, 1000))
def test_a_doubtful_answer_is_worth_between_nothing_and_certainty(costs, seed):
    shares = _shares(costs, seed)
    answers = np.random.default_rng(seed + 1).random((3, costs.shape[1])) + 1e-6
    worth = expected_value_of_information(costs, shares, answers / answers.sum(axis=0))
    assert 0 <= worth <= expected_value_of_information(costs, shares, np.eye(costs.shape[1])) + 1e-6


@few
@given(costs=tables(st.floats(-1000, 1000, width=32)), more=st.floats(-500, 500))
def test_regret_does_not_change_when_a_state_costs_everyone_more(costs, more):
    shifted = costs.copy()
    shifted[:, 0] += more
    assert np.allclose(regrets(shifted), regrets(costs), atol=1e-6)
    assert (worst_regrets(costs) >= 0).all() and (regrets(costs).min(axis=0) == 0).all()
