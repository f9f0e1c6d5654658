"""Laws of securement: heavier never helps, more tie-downs never hurt, SI gives the same answer."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from heritagemove.checks.rail import load_placement, rail_securement
from heritagemove.checks.road import securement
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
WEIGHTS, LENGTHS, CHAINS = st.floats(500, 400000), st.floats(1, 90), st.floats(1000, 25000)
LENGTH_RULE = {
    "short_length": Quantity(5, "ft"),
    "light_weight": Quantity(1100, "lb"),
    "spacing": Quantity(10, "ft"),
}
LIMITS = {"weight_share": 0.5, "direct_credit": 0.5, "heavy_minimum": 4, **LENGTH_RULE}
ROWS = (Quantity([10, 24], "ft"), (0.666, 0.75, 0.90, 1.00))
ZONES = ((0.666, 0.75, 0.87, 0.90), (1 / 2, 1 / 3, 1 / 7, 1 / 10))


def road(offered, weight_lb, length_ft, chain_lb):
    weight, chain = Quantity(weight_lb, "lb"), Quantity(chain_lb, "lb")
    return securement.securement(
        offered, weight, Quantity(length_ft, "ft"), chain, True, False, True, **LIMITS
    )


@LAW
@given(WEIGHTS, st.floats(0, 50000), LENGTHS, CHAINS, st.booleans(), st.booleans())
def test_a_heavier_load_never_needs_fewer_tie_downs(weight, more, length, chain, direct, blocked):
    def count(weight_lb):
        return securement.tie_downs(
            Quantity(weight_lb, "lb"), Quantity(length, "ft"), Quantity(chain, "lb"), direct, blocked, True,
            **LIMITS,
        )  # fmt: skip

    assert 4 <= count(weight) <= count(weight + more)


@LAW
@given(WEIGHTS, LENGTHS, CHAINS, st.booleans())
def test_the_count_needed_passes_and_one_fewer_fails(weight, length, chain, direct):
    args = (Quantity(weight, "lb"), Quantity(length, "ft"), Quantity(chain, "lb"), direct, False, True)
    needed = securement.tie_downs(*args, **LIMITS)
    assert securement.securement(needed, *args, **LIMITS).status in ("pass", "marginal")
    assert securement.securement(needed - 1, *args, **LIMITS).status == "fail"


@LAW
@given(st.integers(0, 60), WEIGHTS, st.floats(0, 50000), LENGTHS, CHAINS)
def test_a_heavier_load_never_raises_the_margin(offered, weight, more, length, chain):
    light, heavy = road(offered, weight, length, chain), road(offered, weight + more, length, chain)
    assume(light.margin.units == heavy.margin.units)
    assert heavy.margin <= light.margin
    assert not (light.status == "fail" and heavy.status != "fail")


@LAW
@given(LENGTHS, st.floats(0, 30), WEIGHTS)
def test_blocking_never_asks_for_more_and_length_never_for_fewer(length, more, weight):
    def count(length_ft, blocked):
        return securement.minimum_tie_downs(
            Quantity(length_ft, "ft"), Quantity(weight, "lb"), blocked, **LENGTH_RULE
        )

    assert count(length, True) <= count(length, False)
    assert count(length, False) <= count(length + more, False)


@LAW
@given(WEIGHTS, st.integers(1, 89), CHAINS, st.booleans(), st.booleans())
def test_the_same_road_load_in_si_units_needs_the_same_count(weight, length, chain, direct, blocked):
    load, feet, limit = Quantity(weight, "lb"), Quantity(length, "ft"), Quantity(chain, "lb")
    customary = securement.tie_downs(load, feet, limit, direct, blocked, False, **LIMITS)
    metric = securement.tie_downs(
        load.to("kg"), feet.to("m"), limit.to("tonne"), direct, blocked, False, **LIMITS
    )
    assert customary == metric


@LAW
@given(
    WEIGHTS,
    CHAINS,
    st.floats(0.1, 4),
    st.floats(0, 1.5),
    st.floats(0, 2),
    st.floats(10, 80),
    st.floats(10, 80),
)
def test_the_rail_count_needed_passes_and_two_fewer_fail(weight, strength, along, across, down, alpha, beta):
    args = (
        Quantity(weight, "lb"), Quantity(strength, "lb"), along, across, down,
        Quantity(alpha, "deg"), Quantity(beta, "deg"),
    )  # fmt: skip
    needed = rail_securement.rail_tie_downs(*args)
    assert rail_securement.rail_securement(needed, *args).status in ("pass", "marginal")
    assert rail_securement.rail_securement(needed - 2, *args).status == "fail"
    swapped = (args[0], args[1], across, along, down, args[5], Quantity(90 - beta, "deg"))
    assert rail_securement.rail_tie_downs(*swapped) == needed


@LAW
@given(st.floats(1, 20), st.floats(0.5, 6), st.floats(0.1, 2), st.floats(0, 5))
def test_a_higher_centre_of_gravity_lowers_the_tipping_margin_by_itself(height, base, lateral, more):
    low = rail_securement.tipping(Quantity(height, "ft"), Quantity(base, "ft"), lateral)
    high = rail_securement.tipping(Quantity(height + more, "ft"), Quantity(base, "ft"), lateral)
    metric = rail_securement.tipping(Quantity(height, "ft").to("m"), Quantity(base, "ft").to("m"), lateral)
    assert (low.margin - high.margin).m_as("ft") == pytest.approx(more, abs=1e-9)
    assert metric.margin.m_as("ft") == pytest.approx(low.margin.m_as("ft"), abs=1e-9)


@LAW
@given(WEIGHTS, st.floats(0, 50000), st.floats(1, 60), st.floats(0, 30))
def test_a_longer_or_lighter_load_is_never_worse_concentrated(load, more, length, longer):
    def margin(load_lb, length_ft):
        return load_placement.load_concentration(
            Quantity(load_lb, "lb"),
            Quantity(140000, "lb"),
            Quantity(length_ft, "ft"),
            Quantity(40, "ft"),
            *ROWS,
        ).margin.m_as("lb")

    assert margin(load, length + longer) >= margin(load, length)
    assert margin(load, length) - margin(load + more, length) == pytest.approx(more, abs=1e-6)


@LAW
@given(st.floats(1000, 125000), st.floats(0, 40000), st.floats(-20, 20))
def test_a_heavier_load_never_widens_the_zone_and_sides_are_alike(load, more, offset):
    def check(load_lb, offset_ft):
        return load_placement.load_offset(
            Quantity(load_lb, "lb"),
            Quantity(140000, "lb"),
            Quantity(offset_ft, "ft"),
            Quantity(40, "ft"),
            *ZONES,
        )

    light, heavy = check(load, offset), check(load + more, offset)
    assert heavy.status == "unknown" or heavy.margin <= light.margin
    assert check(load, -offset).margin == light.margin
