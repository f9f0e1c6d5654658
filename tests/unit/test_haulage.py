"""Haulage and resistance: values, edges, exact messages."""

import pytest

from heritagemove.checks.running import haulage, resistance
from heritagemove.units.units import Quantity

TON, PERCENT, DEGREE, LBF = (Quantity(1, unit) for unit in ("short_ton", "percent", "deg", "lbf"))
RATE = Quantity(1, "lbf/short_ton")
EACH_PERCENT, EACH_DEGREE = 20 * RATE, 0.8 * RATE


def winch(weight=115 * TON, rate=20 * RATE, grade=8 * PERCENT, rating=30000 * LBF):
    return haulage.winch_pull(weight, rate, grade, EACH_PERCENT, rating)


@pytest.mark.parametrize(("bearing", "expected"), [("plain", 20), ("roller", 5), ("converted_roller", 5), (None, 20)])
def test_a_bearing_not_known_starts_as_the_harder_one(bearing, expected):
    assert resistance.starting_rate(bearing, 20 * RATE, 5 * RATE).m_as("lbf/short_ton") == expected


def test_another_bearing_is_refused():
    with pytest.raises(ValueError, match="bearing must be plain, roller, converted_roller or unknown; found ball"):
        resistance.starting_rate("ball", 20 * RATE, 5 * RATE)


def test_a_rate_may_be_a_ratio_of_weights():
    ratio = Quantity(7, "lb/short_ton")
    pulls = [resistance.train_resistance(124 * TON, rate, 28 * RATE) for rate in (ratio, 7 * RATE)]
    assert pulls[0].m_as("lbf") == pytest.approx(pulls[1].m_as("lbf"))


def test_vehicles_of_a_train_add_up_each_with_its_rate():
    weights, rates = Quantity([124, 90], "short_ton"), Quantity([7, 9], "lbf/short_ton")
    found = resistance.train_resistance(weights, rates, 0 * RATE)
    assert found.m_as("lbf") == pytest.approx(124 * 7 + 90 * 9)
    with pytest.raises(ValueError, match="give one rate for all or one for each weight; found 2 weights, 1 rates"):
        resistance.train_resistance(weights, rates[:1], 0 * RATE)


def test_grade_and_curve_out_of_range_are_refused():
    with pytest.raises(ValueError, match="grade must be 0 to 100 percent; found -1 percent"):
        resistance.slope_resistance(-1 * PERCENT, EACH_PERCENT)
    with pytest.raises(ValueError, match="curve must be 0 to 180 degree; found 181 degree"):
        resistance.slope_resistance(1 * PERCENT, EACH_PERCENT, 181 * DEGREE, EACH_DEGREE)
    with pytest.raises(ValueError, match=r"every weight must be more than 0; found -1 short_ton"):
        resistance.train_resistance(Quantity([1, -1], "short_ton"), 7 * RATE, 0 * RATE)


def test_a_bare_number_is_refused():
    with pytest.raises(TypeError, match="rate must be a quantity"):
        resistance.train_resistance(124 * TON, 7, 0 * RATE)


def test_a_locomotive_too_heavy_for_itself_pulls_nothing():
    pull = haulage.drawbar_pull(1000 * LBF, 120 * TON, 20 * RATE)
    assert pull.magnitude == 0


def test_a_winch_fails_by_the_weight_that_is_too_much():
    check = winch(rating=18000 * LBF)
    assert check.status == "fail"
    assert check.margin.m_as("lb") == pytest.approx(-30000)
    assert winch(weight=100 * TON, rating=18000 * LBF).margin.m_as("lb") == pytest.approx(0, abs=1e-6)
    assert "hold-back" in check.note


def test_a_line_rating_in_pounds_is_taken_as_a_force():
    assert winch(rating=Quantity(30000, "lb")).capacity.m_as("lbf") == pytest.approx(30000)


@pytest.mark.parametrize(
    ("name", "measure"),
    [("weight", "weigh the vehicle"), ("grade", "survey the steepest grade"), ("rating", "ask for the rated pull")],
)
def test_a_missing_value_leaves_the_winch_unknown(name, measure):
    check = winch(**{name: None})
    assert check.status == "unknown" and measure in check.note


def test_a_winch_without_rating_is_refused():
    with pytest.raises(ValueError, match="line rating must be more than 0; found 0 lbf"):
        winch(rating=0 * LBF)


def test_a_brake_too_weak_fails_and_one_strong_enough_holds():
    weak = haulage.brake_holding(115 * TON, 1.2 * PERCENT, EACH_PERCENT, 2000 * LBF)
    assert weak.status == "fail" and weak.margin.m_as("lb") == pytest.approx(230000 * (2000 / 2760 - 1))
    assert haulage.brake_holding(115 * TON, 1.2 * PERCENT, EACH_PERCENT, 4000 * LBF).status == "pass"
    assert haulage.brake_holding(115 * TON, 1.2 * PERCENT, EACH_PERCENT, 0 * LBF).status == "fail"


def test_on_level_track_nothing_pulls_and_no_weight_margin_is_claimed():
    check = haulage.brake_holding(115 * TON, 0 * PERCENT, EACH_PERCENT, 4000 * LBF)
    assert (check.status, check.margin) == ("pass", None)


def test_a_brake_not_tested_is_unknown():
    check = haulage.brake_holding(115 * TON, 1 * PERCENT, EACH_PERCENT, None)
    assert check.status == "unknown" and check.note == "Unknown: test the hand brake by a pull."
    with pytest.raises(ValueError, match="holding force must be at least 0; found -1 lbf"):
        haulage.brake_holding(115 * TON, 1 * PERCENT, EACH_PERCENT, -1 * LBF)
