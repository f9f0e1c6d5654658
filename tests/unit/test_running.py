"""Running rules and transit: values, edges, exact messages."""

import pytest

from heritagemove.checks.running import running, transit
from heritagemove.units.units import Quantity

MILE, MPH, HOUR, DAY, PERCENT = (Quantity(1, unit) for unit in ("mile", "mph", "hour", "day", "percent"))


def days(lengths, speeds, hours=8, dwell=0, daylight=None):
    lengths, speeds = Quantity(lengths, "mile"), Quantity(speeds, "mph")
    return transit.transit_days(lengths, speeds, hours * HOUR, dwell * DAY, daylight).m_as("day")


def test_days_are_whole_and_the_dwell_adds():
    assert days([80], [10]) == 1
    assert days([80.1], [10]) == 2
    assert days([80], [10], dwell=1.5) == 3


def test_a_day_filled_exactly_stays_one_day_in_kilometres():
    lengths, speeds = Quantity([80], "mile").to("km"), Quantity([10], "mph").to("km/h")
    assert transit.transit_days(lengths, speeds, 8 * HOUR, 0 * DAY).m_as("day") == 1


def test_daylight_shortens_the_day_only_where_it_is_shorter():
    assert days([80], [10], daylight=5 * HOUR) == 2
    assert days([80], [10], daylight=14 * HOUR) == 1


def test_a_speed_not_known_is_refused_with_its_leg():
    with pytest.raises(ValueError, match="every speed must be more than 0; found nan mph"):
        days([1, 2], [10, float("nan")])
    with pytest.raises(ValueError, match="every length must be more than 0; found 0 mile"):
        days([0, 2], [10, 10])
    with pytest.raises(ValueError, match="give one speed for each leg; found 2 legs, 1 speeds"):
        days([1, 2], [10])


def test_hours_and_dwell_out_of_range_are_refused():
    with pytest.raises(ValueError, match="crew hours must be more than 0 and at most 24 hour; found 25 hour"):
        days([1], [10], hours=25)
    with pytest.raises(ValueError, match="dwell must be at least 0; found -1 day"):
        days([1], [10], dwell=-1)


def test_no_distance_makes_no_hot_box():
    assert transit.hot_box_chance(0 * MILE, 84195 * MILE).magnitude == 0
    with pytest.raises(ValueError, match="car-miles per set-off must be more than 0; found 0 mile"):
        transit.hot_box_chance(100 * MILE, 0 * MILE)


def test_beyond_the_transfer_limit_a_class_one_test_is_due():
    check = running.transfer_test(24.2 * MILE, 20 * MILE)
    assert check.status == "fail" and check.margin.m_as("mile") == pytest.approx(-4.2)
    assert check.note.startswith("Too long: a Class I test is due.")
    assert running.transfer_test(20 * MILE, 20 * MILE).status == "marginal"
    assert running.transfer_test(None, 20 * MILE).note == "Unknown: measure the length of the move in miles."


@pytest.mark.parametrize(
    ("yard", "cylinders", "status"),
    [
        (True, True, "pass"),
        (False, True, "pass"),
        (None, True, "pass"),
        (True, False, "marginal"),
        (False, False, "fail"),
        (None, False, "unknown"),
        (True, None, "unknown"),
        (False, None, "unknown"),
    ],
)
def test_idler_trucks_without_cylinders_never_leave_the_yard(yard, cylinders, status):
    assert running.idler_trucks(yard, cylinders).status == status


@pytest.mark.parametrize(("built", "status", "left"), [(1957, "open", -19), (1976, "open", 0), (1977, "pass", 1)])
def test_an_old_car_asks_for_an_approval_or_an_inspection(built, status, left):
    check = running.over_age(built, 2026, 50)
    assert (check.status, check.margin.magnitude) == (status, left)
    assert "The rule is changing" in check.note


def test_an_age_that_makes_no_sense_is_refused():
    assert running.over_age(None, 2026, 50).status == "unknown"
    with pytest.raises(ValueError, match="year of the move must be at least 2030; found 2026"):
        running.over_age(2030, 2026, 50)
    with pytest.raises(ValueError, match="age limit must be more than 0; found 0 year"):
        running.over_age(1957, 2026, 0)
