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
    slope = grade * PERCENT, curve * DEGREE
    together = resistance.train_resistance(Quantity(np.array(tons), "short_ton"), rate * RATE, *slope)
    apart = sum(resistance.train_resistance(each * TON, rate * RATE, *slope).m_as("lbf") for each in tons)
    assert together.m_as("lbf") == pytest.approx(apart)


@LAW
@given(TONS, RATES, GRADES, CURVES)
def test_the_same_pull_in_si_units(tons, rate, grade, curve):
    customary = resistance.starting_pull(tons * TON, rate * RATE, grade * PERCENT, curve * DEGREE)
    metric = resistance.starting_pull(
        (tons * TON).to("kg"), (rate * RATE).to("newton/tonne"), Quantity(grade / 100, ""), (curve * DEGREE).to("radian")
    )
    assert metric.m_as("newton") == pytest.approx(customary.m_as("newton"))


@LAW
@given(TONS, st.floats(0.1, 100), RATES, GRADES, st.floats(100, 1e5))
def test_a_heavier_vehicle_loses_the_winch_margin_pound_for_pound(tons, more, rate, grade, rating):
    def check(weight):
        found = haulage.winch_pull(weight * TON, rate * RATE, grade * PERCENT, rating * LBF)
        assert (found.status == "fail") == (found.demand > found.capacity)
        return found.margin.m_as("lb")

    assert check(tons) - check(tons + more) == pytest.approx(2000 * more, rel=1e-6)


@LAW
@given(TONS, st.floats(0.1, 100), st.floats(0.01, 5), st.floats(0, 1e5))
def test_at_the_holding_margin_the_brake_just_holds(tons, more, grade, force):
    found = haulage.brake_holding(tons * TON, grade * PERCENT, force * LBF)
    heavier = haulage.brake_holding((tons + more) * TON, grade * PERCENT, force * LBF)
    assert heavier.margin < found.margin
    at_limit = (tons + found.margin.m_as("short_ton")) * 20 * grade
    assert at_limit == pytest.approx(force, abs=1e-6 * (1 + force))


@LAW
@given(st.floats(0, 1e5), st.floats(0.1, 1), RATES, GRADES, CURVES)
def test_the_rated_tonnage_resists_just_what_the_pull_gives(pull, weather, rate, grade, curve):
    slope = grade * PERCENT, curve * DEGREE
    rating = haulage.tonnage_rating(pull * LBF, weather, rate * RATE, *slope)
    back = rating.m_as("short_ton") * resistance.train_resistance(TON, rate * RATE, *slope).m_as("lbf")
    assert back == pytest.approx(pull * weather)


@LAW
@given(TONS, st.floats(0, 100), RATES)
def test_the_pull_by_percent_never_understates_the_exact_one(tons, grade, rate):
    pull = haulage.ramp(tons * TON, grade * PERCENT, rate * RATE)
    assert pull.exact <= pull.approximate * (1 + 1e-12)
    angle = np.arctan(grade / 100)
    expected = 2000 * tons * (np.sin(angle) + rate / 2000 * np.cos(angle))
    assert pull.exact.m_as("lbf") == pytest.approx(expected)


@LAW
@given(st.floats(5, 40), st.integers(2, 8), st.floats(0, 60), st.floats(0.1, 20))
def test_running_faster_or_lighter_on_the_axle_never_lowers_resistance(load, axles, speed, more):
    area = Quantity(85, "ft**2")
    forms = (
        lambda w, v: resistance.davis(w * TON, axles, Quantity(v, "mph"), area),
        lambda w, v: resistance.modified_davis(w * TON, axles, Quantity(v, "mph")),
        lambda w, v: resistance.manual_davis(w * TON, axles, Quantity(v, "mph")),
    )
    for form in forms:
        assert form(load, speed) <= form(load, speed + more)
        assert form(load + more, speed) <= form(load, speed)
