"""Laws of haulage: heavier never helps, resistance is linear in weight, SI gives the same answer."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.checks.running import haulage, resistance
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
TON, PERCENT, DEGREE, LBF = (Quantity(1, unit) for unit in ("short_ton", "percent", "deg", "lbf"))
RATE = Quantity(1, "lbf/short_ton")
TONS, RATES, GRADES, CURVES = st.floats(1, 500), st.floats(1, 100), st.floats(0, 15), st.floats(0, 20)


@LAW
@given(st.lists(TONS, min_size=1, max_size=6), RATES, GRADES, CURVES)
def test_a_train_resists_as_its_vehicles_do_one_by_one(tons, rate, grade, curve):
    slope = resistance.slope_resistance(grade * PERCENT, 20 * RATE, curve * DEGREE, 0.8 * RATE)
    together = resistance.train_resistance(Quantity(np.array(tons), "short_ton"), rate * RATE, slope)
    apart = sum(resistance.train_resistance(each * TON, rate * RATE, slope).m_as("lbf") for each in tons)
    assert together.m_as("lbf") == pytest.approx(apart)


@LAW
@given(TONS, RATES, GRADES, CURVES)
def test_the_same_pull_in_si_units(tons, rate, grade, curve):
    def pull(weight, rate, grade, each_percent, curve, each_degree):
        slope = resistance.slope_resistance(grade, each_percent, curve, each_degree)
        return resistance.train_resistance(weight, rate, slope)

    customary = pull(tons * TON, rate * RATE, grade * PERCENT, 20 * RATE, curve * DEGREE, 0.8 * RATE)
    each = [(number * RATE).to("newton/tonne") for number in (rate, 20, 0.8)]
    metric = pull((tons * TON).to("kg"), each[0], Quantity(grade / 100, ""), each[1], (curve * DEGREE).to("radian"), each[2])
    assert metric.m_as("newton") == pytest.approx(customary.m_as("newton"))


@LAW
@given(TONS, st.floats(0.1, 100), RATES, GRADES, st.floats(100, 1e5))
def test_a_heavier_vehicle_loses_the_winch_margin_pound_for_pound(tons, more, rate, grade, rating):
    def check(weight):
        found = haulage.winch_pull(weight * TON, rate * RATE, grade * PERCENT, 20 * RATE, rating * LBF)
        assert (found.status == "fail") == (found.demand > found.capacity)
        return found.margin.m_as("lb")

    assert check(tons) - check(tons + more) == pytest.approx(2000 * more, rel=1e-6)


@LAW
@given(TONS, st.floats(0.1, 100), st.floats(0.01, 5), st.floats(0, 1e5))
def test_at_the_holding_margin_the_brake_just_holds(tons, more, grade, force):
    found = haulage.brake_holding(tons * TON, grade * PERCENT, 20 * RATE, force * LBF)
    heavier = haulage.brake_holding((tons + more) * TON, grade * PERCENT, 20 * RATE, force * LBF)
    assert heavier.margin < found.margin
    at_limit = (tons + found.margin.m_as("short_ton")) * 20 * grade
    assert at_limit == pytest.approx(force, abs=1e-6 * (1 + force))
