"""Laws of axle loads: loads add up, mirror and scale; heavier never helps; SI gives the same answer."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.checks.running import axle_load
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
WEIGHTS = st.floats(1000, 800000)
LOADS = st.lists(st.floats(5000, 80000), min_size=1, max_size=12)
LIMITS = st.floats(10000, 90000)
PARTS = st.lists(st.tuples(st.floats(10, 900), st.floats(-40, 40)), max_size=6)


def lb(number):
    return Quantity(number, "lb")


def ft(number):
    return Quantity(number, "ft")


@LAW
@given(WEIGHTS, st.floats(5, 80), st.floats(-0.49, 0.49), st.integers(1, 4))
def test_axle_loads_add_up_and_balance_about_the_centre_of_gravity(weight, centres, part, axles):
    loads = axle_load.two_truck_axle_loads(lb(weight), ft(centres), ft(part * centres), axles).m_as("lb")
    arms = np.repeat([centres / 2, -centres / 2], axles)
    assert loads.sum() == pytest.approx(weight)
    assert loads @ arms / weight == pytest.approx(part * centres, abs=1e-6)
    assert (loads > 0).all()


@LAW
@given(WEIGHTS, st.floats(5, 80), st.floats(-0.49, 0.49), st.integers(1, 4))
def test_a_vehicle_turned_end_for_end_has_its_axle_loads_reversed(weight, centres, part, axles):
    there, back = (
        axle_load.two_truck_axle_loads(lb(weight), ft(centres), ft(sign * part * centres), axles).m_as("lb")
        for sign in (1, -1)
    )
    assert there == pytest.approx(back[::-1])


@LAW
@given(WEIGHTS, st.floats(5, 80), st.floats(-0.49, 0.49), st.integers(1, 4))
def test_axle_loads_are_the_same_in_si(weight, centres, part, axles):
    here = lb(weight), ft(centres), ft(part * centres)
    customary = axle_load.two_truck_axle_loads(*here, axles)
    metric = axle_load.two_truck_axle_loads(here[0].to("kg"), here[1].to("m"), here[2].to("m"), axles)
    assert metric.m_as("lb") == pytest.approx(customary.m_as("lb"))


@LAW
@given(LOADS, WEIGHTS, st.floats(0.1, 10))
def test_scaled_axle_loads_add_up_and_are_linear_in_the_weight(loads, weight, factor):
    once = axle_load.scaled_axle_loads(lb(loads), lb(weight)).m_as("lb")
    assert once.sum() == pytest.approx(weight)
    more = axle_load.scaled_axle_loads(lb(loads), lb(factor * weight)).m_as("lb")
    assert more == pytest.approx(factor * once)


@LAW
@given(st.floats(10000, 500000), st.floats(-10, 10), PARTS)
def test_what_stays_and_what_comes_off_balance_the_whole(weight, offset, parts):
    off = [(lb(heavy), ft(place)) for heavy, place in parts]
    left = axle_load.remove_parts(lb(weight), ft(offset), off)
    moment = left.weight.m_as("lb") * left.centre.m_as("ft") + sum(heavy * place for heavy, place in parts)
    assert left.weight.m_as("lb") + sum(heavy for heavy, _ in parts) == pytest.approx(weight)
    assert moment == pytest.approx(weight * offset, abs=1e-3)


@LAW
@given(st.floats(10000, 500000), st.floats(-10, 10), PARTS)
def test_the_order_in_which_parts_come_off_is_irrelevant(weight, offset, parts):
    off = [(lb(heavy), ft(place)) for heavy, place in parts]
    there = axle_load.remove_parts(lb(weight), ft(offset), off)
    back = axle_load.remove_parts(lb(weight), ft(offset), off[::-1])
    assert there.centre.m_as("ft") == pytest.approx(back.centre.m_as("ft"), abs=1e-9)


@LAW
@given(LOADS, LIMITS, st.floats(1, 3))
def test_a_heavier_vehicle_never_has_a_larger_margin(loads, limit, factor):
    for check in (axle_load.journal, axle_load.axle_limit):
        light = check(lb(loads), lb(limit), "place").margin
        heavy = check(lb(np.multiply(loads, factor)), lb(limit), "place").margin
        assert heavy.m_as("lb") <= light.m_as("lb") + 1e-6


@LAW
@given(LOADS, LIMITS, st.floats(0, 20000), st.data())
def test_one_heavier_axle_never_turns_a_failure_into_a_pass(loads, limit, more, data):
    axle = data.draw(st.integers(0, len(loads) - 1))
    heavier = [load + more * (number == axle) for number, load in enumerate(loads)]
    if axle_load.axle_limit(lb(loads), lb(limit), "place").status == "fail":
        assert axle_load.axle_limit(lb(heavier), lb(limit), "place").status == "fail"


@LAW
@given(LOADS, LIMITS)
def test_the_vehicle_with_its_margin_added_stands_exactly_at_the_rating(loads, limit):
    margin = axle_load.journal(lb(loads), lb(limit), "6 x 11").margin
    full = axle_load.scaled_axle_loads(lb(loads), lb(sum(loads)) + margin)
    assert full.m_as("lb").max() == pytest.approx(limit)


@LAW
@given(LOADS, LIMITS)
def test_the_margin_is_negative_exactly_when_the_check_fails(loads, limit):
    check = axle_load.journal(lb(loads), lb(limit), "6 x 11")
    assert (check.margin.m_as("lb") < 0) == (check.status == "fail")


@LAW
@given(WEIGHTS, st.integers(1, 20), st.floats(100000, 400000), st.floats(0, 50000))
def test_weight_added_comes_off_the_gross_margin_pound_for_pound(weight, axles, limit, more):
    light = axle_load.gross_limit(lb(weight), axles, lb(limit), "branch").margin
    heavy = axle_load.gross_limit(lb(weight + more), axles, lb(limit), "branch").margin
    assert (light - heavy).m_as("lb") == pytest.approx(more, abs=1e-6)


@LAW
@given(WEIGHTS, st.integers(1, 20), st.floats(100000, 400000))
def test_gross_margins_are_the_same_in_si(weight, axles, limit):
    customary = axle_load.gross_limit(lb(weight), axles, lb(limit), "branch").margin
    metric = axle_load.gross_limit(lb(weight).to("tonne"), axles, lb(limit).to("tonne"), "branch").margin
    assert metric.m_as("lb") == pytest.approx(customary.m_as("lb"), abs=1e-5)
