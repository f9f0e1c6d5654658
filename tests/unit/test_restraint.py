"""Chains against both sets of accelerations of 49 CFR 393.102."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.checks.road.restraint import chains_to_hold, restraint
from heritagemove.units.units import Quantity

BREAKING, WORKING = (0.8, 0.5, 0.5, 0.2), (0.435, 0.5, 0.25, 0.2)
DIAGONAL = Quantity(45, "deg"), Quantity(45, "deg")
CHAIN = Quantity(11300, "lb")


def held(offered, pounds=47000.0, chain=CHAIN, angles=DIAGONAL):
    strengths = {"breaking strength": 4 * chain, "working load limit": chain}
    shares = {"breaking strength": BREAKING, "working load limit": WORKING}
    return restraint(offered, Quantity(pounds, "lb"), strengths, shares, *angles)


def test_each_direction_may_decide():
    """Of 10,000 lb along and across, 14,142 lb down a chain of 20,000 lb at 45 and 45 degrees."""
    weight, strength = Quantity(100000, "lb"), Quantity(20000, "lb")
    found = [chains_to_hold(weight, strength, shares, *DIAGONAL)
             for shares in ((1, 0, 0, 0), (0, 0.5, 0, 0), (0, 0, 0.25, 0), (0, 0, 0, 1))]  # fmt: skip
    assert found == [20, 10, 6, 8]


def test_a_force_that_is_just_held_needs_no_further_chain():
    assert chains_to_hold(Quantity(50000, "lb"), Quantity(20000, "lb"), (1, 0, 0, 0), *DIAGONAL) == 10
    assert chains_to_hold(Quantity(50001, "lb"), Quantity(20000, "lb"), (1, 0, 0, 0), *DIAGONAL) == 12


def test_the_worst_direction_and_set_answer_and_the_margin_reaches_the_limit():
    """6 chains one way x 5,650 lb / 0.5 = 67,800 lb; 4 times as strong at 0.8 g they hold 169,500 lb."""
    check = held(12)
    assert check.capacity.m_as("lb") == pytest.approx(67800)
    assert check.subject == "road load, rearward against working load limit"
    assert (held(12, 67800).status, held(12, 67801).status) == ("marginal", "fail")
    assert held(12, 67801).margin.m_as("lb") == pytest.approx(-1)


def test_a_weak_chain_is_judged_by_its_breaking_strength():
    strengths = {"breaking strength": 1.1 * CHAIN, "working load limit": CHAIN}
    shares = {"breaking strength": BREAKING, "working load limit": WORKING}
    check = restraint(12, Quantity(40000, "lb"), strengths, shares, *DIAGONAL)
    assert check.subject.endswith("forward against breaking strength")
    assert check.capacity.m_as("lb") == pytest.approx(6 * 1.1 * 5650 / 0.8)


def test_an_odd_chain_is_left_over():
    assert held(13).capacity == held(12).capacity


def test_an_unknown_weight_is_unknown():
    check = restraint(12, None, {}, {}, *DIAGONAL)
    assert check.status == "unknown" and "weigh the load" in check.note


@settings(max_examples=40, deadline=None)
@given(st.floats(1000, 400000), st.floats(0, 50000), st.integers(2, 60), st.floats(5, 85), st.floats(5, 85))
def test_the_count_that_is_asked_for_passes_and_two_chains_fewer_fail(weight, more, _, angle, bearing):
    angles = Quantity(angle, "deg"), Quantity(bearing, "deg")
    count = max(chains_to_hold(Quantity(weight, "lb"), strength, shares, *angles)
                for strength, shares in ((4 * CHAIN, BREAKING), (CHAIN, WORKING)))  # fmt: skip
    assert held(count, weight * (1 - 1e-9), angles=angles).status != "fail"
    assert held(count - 2, weight * (1 + 1e-6), angles=angles).status == "fail"
    assert chains_to_hold(Quantity(weight + more, "lb"), CHAIN, WORKING, *angles) >= chains_to_hold(
        Quantity(weight, "lb"), CHAIN, WORKING, *angles
    )


@pytest.mark.parametrize(
    ("weight", "chain", "shares", "angle", "bearing", "says"),
    [(0, 1, WORKING, 45, 45, "weight"), (1, 0, WORKING, 45, 45, "strength"), (1, 1, (1, 1, 1), 45, 45, "four shares"),
     (1, 1, (1, -1, 1, 1), 45, 45, "at least 0"), (1, 1, (0, 0, 0, 0), 45, 45, "more than 0"),
     (1, 1, WORKING, 0, 45, "angle must be more than 0 and less than 90 deg; found 0"),
     (1, 1, WORKING, 45, 90, "bearing must be more than 0 and less than 90 deg; found 90")],
)  # fmt: skip
def test_bad_input_is_refused_with_what_is_allowed(weight, chain, shares, angle, bearing, says):
    with pytest.raises(ValueError, match=says):
        chains_to_hold(
            Quantity(weight, "lb"), Quantity(chain, "lb"), shares, Quantity(angle, "deg"), Quantity(bearing, "deg")
        )


def test_a_number_of_chains_below_zero_is_refused():
    with pytest.raises(ValueError, match="at least 0; found -1"):
        held(-1)
