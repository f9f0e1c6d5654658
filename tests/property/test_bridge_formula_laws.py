"""Laws of the bridge formula: heavier never helps, longer never hurts a group, SI gives the same."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.checks.road.bridge_formula import bridge_formula, formula_weight
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
LIMITS = (
    *(Quantity(lb, "lb") for lb in (20000, 34000, 80000)),
    Quantity(40, "in"),
    Quantity(96, "in"),
    Quantity(36, "ft"),
    Quantity(500, "lb"),
)
LENGTHS = st.floats(1, 200)
LAYOUTS = st.lists(st.tuples(st.floats(3, 40), st.floats(2000, 30000)), min_size=2, max_size=9)


def layout(rows):
    gaps, loads = np.array(rows).T
    return Quantity(np.cumsum(gaps), "ft"), Quantity(loads, "lb")


@LAW
@given(LENGTHS, st.integers(2, 12), st.sampled_from(["down", "up"]))
def test_the_answer_is_a_multiple_of_500_within_250_of_the_formula(length_ft, axles, ties):
    found = formula_weight(Quantity(length_ft, "ft"), axles, LIMITS[-1], ties).m_as("lb")
    exact = 500 * (length_ft * axles / (axles - 1) + 12 * axles + 36)
    assert found % 500 == 0
    assert abs(found - exact) <= 250.001


@LAW
@given(LENGTHS, st.integers(2, 12))
def test_rounding_ties_up_never_allows_less(length_ft, axles):
    down, up = (formula_weight(Quantity(length_ft, "ft"), axles, LIMITS[-1], ties).m_as("lb") for ties in ("down", "up"))
    assert up - down in (0, 500)


@LAW
@given(LENGTHS, st.floats(0, 50), st.integers(2, 12))
def test_a_longer_group_may_never_weigh_less(length_ft, more_ft, axles):
    lengths = (Quantity(ft, "ft") for ft in (length_ft, length_ft + more_ft))
    short, long = (formula_weight(length, axles, LIMITS[-1]).m_as("lb") for length in lengths)
    assert long >= short


@LAW
@given(LAYOUTS, st.floats(1, 1.5))
def test_a_heavier_load_never_raises_the_margin(rows, factor):
    positions, loads = layout(rows)
    light, heavy = (bridge_formula(positions, load, *LIMITS).margin for load in (loads, factor * loads))
    assert heavy.m_as("lb") <= light.m_as("lb") + 1e-6


@LAW
@given(LAYOUTS)
def test_loading_up_to_the_margin_meets_the_limit(rows):
    positions, loads = layout(rows)
    found = bridge_formula(positions, loads, *LIMITS)
    factor = 1 + found.margin.m_as("lb") / loads.m_as("lb").sum()
    assert bridge_formula(positions, factor * loads, *LIMITS).utilization == pytest.approx(1)


@LAW
@given(LAYOUTS)
def test_run_backwards_a_layout_has_the_same_answer(rows):
    positions, loads = layout(rows)
    back = Quantity((positions[-1] - positions).m_as("ft")[::-1], "ft")
    ahead = bridge_formula(positions, loads, *LIMITS)
    reverse = bridge_formula(back, loads[::-1], *LIMITS)
    assert reverse.utilization == pytest.approx(ahead.utilization)


@LAW
@given(LAYOUTS)
def test_metres_and_kilograms_give_the_same_answer(rows):
    positions, loads = layout(rows)
    trade = bridge_formula(positions, loads, *LIMITS)
    metric = bridge_formula(positions.to("m"), loads.to("kg"), *(limit.to_base_units() for limit in LIMITS))
    assert metric.margin.m_as("lb") == pytest.approx(trade.margin.m_as("lb"), abs=0.01)
    assert metric.subject == trade.subject
