"""Laws of sharing: every split adds up to the joint cost, and company never makes a call-out dearer."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.whole_site import call_outs

TRIALS = 5
amounts = st.lists(st.floats(0, 1e5), min_size=TRIALS, max_size=TRIALS).map(np.array)
parts = st.dictionaries(st.sampled_from([("crane", "calls", "a"), ("crane", "calls", "b"), ("trip", "survey", "")]), amounts)
units = st.lists(st.tuples(amounts, parts), min_size=1, max_size=5)


def split(members):
    return [own for own, _ in members], [shared for _, shared in members]


@settings(max_examples=30, deadline=None)
@given(units)
def test_both_splits_add_up_to_the_joint_cost_in_every_trial(members):
    own, shared = split(members)
    joint = call_outs.joint_cost(own, shared)
    np.testing.assert_allclose(call_outs.one_more(own, shared).sum(axis=0), joint, rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(call_outs.equal_shares(own, shared).sum(axis=0), joint, rtol=1e-9, atol=1e-6)


@settings(max_examples=30, deadline=None)
@given(units, st.randoms(use_true_random=False))
def test_the_joint_cost_does_not_hang_on_the_order_of_the_units(members, shuffle):
    mixed = list(members)
    shuffle.shuffle(mixed)
    np.testing.assert_allclose(call_outs.joint_cost(*split(members)), call_outs.joint_cost(*split(mixed)), rtol=1e-9)


@settings(max_examples=30, deadline=None)
@given(units)
def test_together_costs_no_more_than_apart_and_no_less_than_the_dearest_alone(members):
    own, shared = split(members)
    alone = [call_outs.joint_cost([o], [s]) for o, s in members]
    joint = call_outs.joint_cost(own, shared)
    assert np.all(joint <= np.sum(alone, axis=0) + 1e-6)
    assert np.all(joint >= np.max(alone, axis=0) - 1e-6)


@settings(max_examples=30, deadline=None)
@given(units)
def test_no_unit_pays_a_negative_share_and_equal_users_pay_the_same(members):
    own, shared = split(members)
    assert np.all(call_outs.one_more(own, shared) >= -1e-6)
    assert np.all(call_outs.equal_shares(own, shared) >= np.array(own) - 1e-6)
    twins = call_outs.equal_shares([own[0], own[0]], [shared[0], shared[0]])
    np.testing.assert_allclose(twins[0], twins[1])


lists = st.lists(st.floats(0, 1e6), min_size=5, max_size=40)


@settings(max_examples=100, deadline=None)
@given(lists, st.floats(0.05, 0.95))
def test_the_lower_mean_is_never_above_the_percentile(values, confidence):
    from heritagemove.whole_site.set_search import lower_mean

    values = np.array(values)
    assert lower_mean(values, confidence) <= np.quantile(values, confidence) + 1e-6
