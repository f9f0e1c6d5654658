"""Laws of lifting: heavier never helps, SI gives the same answer, shares add up and mirror."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from heritagemove.checks.lift import lift_site, lifting, slings
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
WEIGHTS = st.floats(1000, 400000)
CHARTS = {
    "C90": (Quantity([15, 20, 30, 50], "ft"), Quantity([62, 46, 29, 14], "short_ton")),
    "C165": (Quantity([15, 20, 30, 50], "ft"), Quantity([120, 95, 65, 34], "short_ton")),
    "C300": (Quantity([20, 30, 50], "ft"), Quantity([230, 160, 85], "short_ton")),
}
ORDER = {"C90": 0, "C165": 1, "C300": 2}
TABLE_A = Quantity([50, 200, 350, 500, 750, 1000], "kV"), Quantity([10, 15, 20, 25, 35, 45], "ft")
FOOT = Quantity(1, "ft")


def choose(weight, radius, offset=FOOT, charts=CHARTS):
    rigging = dict.fromkeys(charts, Quantity(3000, "lb"))
    return lifting.choose_cranes(weight, 40 * FOOT, offset, radius, charts, rigging, 1.05, 0.85, 0.75)


def choose_both(weight_lb, more_lb, radius_ft):
    return [choose(Quantity(lb, "lb"), radius_ft * FOOT) for lb in (weight_lb, weight_lb + more_lb)]


@LAW
@given(WEIGHTS, st.floats(10, 80), st.floats(-0.49, 0.49))
def test_shares_add_up_to_the_weight_and_mirror_with_the_offset(weight_lb, spread_ft, part):
    weight, spread = Quantity(weight_lb, "lb"), Quantity(spread_ft, "ft")
    shares = lifting.crane_shares(weight, spread, part * spread).m_as("lb")
    mirrored = lifting.crane_shares(weight, spread, -part * spread).m_as("lb")
    assert shares.sum() == pytest.approx(weight_lb)
    assert shares == pytest.approx(mirrored[::-1])
    assert np.all(shares > 0)


@LAW
@given(WEIGHTS, st.floats(1, 50000), st.floats(15, 50))
def test_a_heavier_lift_never_needs_a_cheaper_arrangement(weight_lb, more_lb, radius_ft):
    light, heavy = choose_both(weight_lb, more_lb, radius_ft)
    if heavy is not None:
        rank = [ORDER[found.crane] + found.cranes for found in (light, heavy)]
        assert rank[0] <= rank[1]


@LAW
@given(WEIGHTS, st.floats(1, 50000), st.floats(15, 50))
def test_a_heavier_lift_never_raises_the_margin_of_one_arrangement(weight_lb, more_lb, radius_ft):
    light, heavy = choose_both(weight_lb, more_lb, radius_ft)
    assume(heavy is not None and (light.crane, light.cranes) == (heavy.crane, heavy.cranes))
    gained = (light.spare_weight - heavy.spare_weight).m_as("lb")
    assert gained == pytest.approx(more_lb, abs=1e-4)


@LAW
@given(WEIGHTS, st.floats(15.01, 49.99))
def test_the_same_lift_in_si_units_takes_the_same_cranes(weight_lb, radius_ft):
    weight, radius = Quantity(weight_lb, "lb"), Quantity(radius_ft, "ft")
    customary = choose(weight, radius)
    metric = choose(
        weight.to("tonne"), radius.to("m"), Quantity(0.3048, "m"),
        {crane: (radii.to("m"), capacities.to("tonne")) for crane, (radii, capacities) in CHARTS.items()},
    )  # fmt: skip
    assert (customary is None) == (metric is None)
    if customary is not None:
        assert (customary.crane, customary.cranes) == (metric.crane, metric.cranes)
        assert customary.spare_weight.m_as("lb") == pytest.approx(metric.spare_weight.m_as("lb"), abs=1e-3)


@LAW
@given(st.floats(15, 50), st.floats(0, 10))
def test_a_chart_never_rises_with_the_radius(radius_ft, more_ft):
    near = lifting.chart_capacity(*CHARTS["C90"], Quantity(radius_ft, "ft"))
    far = lifting.chart_capacity(*CHARTS["C90"], Quantity(radius_ft + more_ft, "ft"))
    assert far is None or far <= near


@LAW
@given(WEIGHTS, st.floats(1, 20), st.floats(1, 20), st.floats(12, 60))
def test_uneven_legs_balance_the_weight_and_each_other(weight_lb, first_ft, second_ft, height_ft):
    distances = Quantity(first_ft, "ft"), Quantity(second_ft, "ft")
    tension = slings.unequal_sling_tensions(
        Quantity(weight_lb, "lb"), *distances, Quantity(height_ft, "ft"), Quantity(30, "deg")
    ).m_as("lbf")
    angle = np.arctan2(height_ft, [first_ft, second_ft])
    assert (tension * np.sin(angle)).sum() == pytest.approx(weight_lb)
    assert np.ptp(tension * np.cos(angle)) == pytest.approx(0, abs=1e-6 * weight_lb)


@LAW
@given(st.integers(0, 12), st.integers(1, 2), st.floats(0, 12), st.floats(0, 8), st.floats(0, 10))
def test_more_lifts_never_take_fewer_crane_hours(lifts, cranes, set_up, per_lift, minimum):
    times = Quantity(set_up, "hour"), Quantity(per_lift, "hour"), Quantity(minimum, "hour")
    assert lifting.crane_hours(lifts, cranes, *times) <= lifting.crane_hours(lifts + 1, cranes, *times)


@LAW
@given(WEIGHTS, st.floats(1, 50000), st.floats(4, 200), st.floats(500, 12000))
def test_a_heavier_load_lowers_the_ground_margin_by_itself_in_any_units(load_lb, more_lb, area, psf):
    mat, ground = Quantity(area, "ft**2"), Quantity(psf, "lb/ft**2")

    def margin_lb(load, area=mat, bearing=ground):
        check = lift_site.ground_pressure(Quantity(120000, "lb"), load, 0.75, area, bearing)
        assert (check.status == "fail") == (check.margin.magnitude < 0)
        return check.margin.m_as("lb")

    light = Quantity(load_lb, "lb")
    assert margin_lb(light) - margin_lb(Quantity(load_lb + more_lb, "lb")) == pytest.approx(more_lb, abs=1e-3)
    metric = margin_lb(light.to("kg"), mat.to("m**2"), ground.to("kg/m**2"))
    assert metric == pytest.approx(margin_lb(light), abs=1e-3)


@LAW
@given(st.floats(0, 100), st.floats(0.1, 1000), st.floats(0, 500))
def test_a_higher_voltage_or_a_shorter_distance_never_raises_the_margin(distance_ft, kilovolt, more):
    there = Quantity(distance_ft, "ft")
    low = lift_site.power_line(there, Quantity(kilovolt, "kV"), *TABLE_A)
    high = lift_site.power_line(there, Quantity(kilovolt + more, "kV"), *TABLE_A)
    assert high.status == "unknown" or high.margin <= low.margin
    farther = lift_site.power_line(Quantity(distance_ft + more, "ft"), Quantity(kilovolt, "kV"), *TABLE_A)
    assert farther.margin >= low.margin
