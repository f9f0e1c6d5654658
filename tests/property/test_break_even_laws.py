"""Laws of break-evens and of joint confidence over any numbers."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.answers.break_even import Curve, break_even
from heritagemove.answers.joint_confidence import Outcomes, joint_frontier, joint_map
from heritagemove.trials.sampling_error import chance_interval

costs = st.lists(st.integers(0, 9), min_size=2, max_size=12)


def _curve(values, number):
    found = np.array(values, float)
    words = ("clear",) * len(found)
    return Curve(f"p{number}", number, "p", True, np.arange(len(found)) * 5.0, found, found * 0, found * 0 + 1, words, words)


@given(costs, st.data())
@settings(max_examples=60, deadline=None)
def test_outside_the_range_the_order_never_changes_and_swapping_the_paths_changes_nothing(first, data):
    second = data.draw(st.lists(st.integers(0, 9), min_size=len(first), max_size=len(first)))
    pair = break_even(_curve(first, 1), _curve(second, 2))
    swapped = break_even(_curve(second, 2), _curve(first, 1))
    assert pair.flips == swapped.flips
    sign = np.sign(np.array(first) - np.array(second))
    before = sign[: pair.flips[0]] if pair.flips else sign
    assert not ({-1, 1} <= set(before.tolist()))
    if pair.flips:
        assert not ({-1, 1} <= set(sign[pair.flips[-1] :].tolist()))
        assert (pair.before is pair.after) == (len(pair.flips) % 2 == 0)


@given(st.lists(st.tuples(st.integers(0, 50), st.integers(0, 50)), min_size=1, max_size=40), st.floats(0.05, 0.95))
@settings(max_examples=60, deadline=None)
def test_more_money_or_time_never_lowers_the_joint_chance_and_the_frontier_keeps_it(trials, confidence):
    found = Outcomes("p", *(np.array(part) for part in zip(*trials, strict=True)), False)
    chance = joint_map(found, np.arange(0, 51, 5), np.arange(0, 51, 5)).chance
    assert (np.diff(chance, axis=0) >= 0).all() and (np.diff(chance, axis=1) >= 0).all()
    for day, budget in zip(*joint_frontier(found, confidence), strict=True):
        assert found.chance(budget, day) >= confidence - 1e-9


@given(st.integers(1, 5000), st.data())
@settings(max_examples=60, deadline=None)
def test_the_interval_holds_the_counted_chance_and_mirrors(trials, data):
    hits = data.draw(st.integers(0, trials))
    low, high = chance_interval(hits, trials)
    assert 0 <= low <= hits / trials <= high <= 1
    mirrored = chance_interval(trials - hits, trials)
    assert np.allclose((1 - mirrored[1], 1 - mirrored[0]), (low, high))
