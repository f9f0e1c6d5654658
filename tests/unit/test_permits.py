"""Superload, escorts and days on the road."""

import pytest

from heritagemove.checks.road.permits import Escorts, axle_groups, escorts, haul_days, superload
from heritagemove.units.units import Quantity

FOOT, POUND, MILE = Quantity(1, "ft"), Quantity(1, "lb"), Quantity(1, "mile")
STATE = {"lead_width": 13 * FOOT, "high_pole_height": 14.5 * FOOT, "rear_length": 90 * FOOT}


def test_the_threshold_itself_is_no_superload():
    assert superload(160000 * POUND, 160000 * POUND) is False
    assert superload(160001 * POUND, 160000 * POUND) is True


def test_an_unknown_weight_or_threshold_is_neither():
    assert superload(None, 160000 * POUND) is None
    assert superload(160000 * POUND, None) is None


def test_the_pole_car_is_the_lead_car_too():
    found = escorts(14 * FOOT, 15 * FOOT, 95 * FOOT, STATE)
    assert found == Escorts(lead=1, rear=1, high_pole=1)
    assert found.pilot_cars == 2


def test_at_the_threshold_no_escort_is_needed_in_feet_or_metres():
    assert escorts(13 * FOOT, 14.5 * FOOT, 90 * FOOT, STATE).pilot_cars == 0
    metres = [Quantity(feet * 0.3048, "m") for feet in (13, 14.5, 90)]
    assert escorts(*metres, STATE).pilot_cars == 0


def test_an_unmeasured_size_is_unknown_only_where_a_threshold_needs_it():
    assert escorts(14 * FOOT, None, 95 * FOOT, STATE) is None
    assert escorts(14 * FOOT, None, None, {"lead_width": 13 * FOOT}) == Escorts(lead=1)


def test_a_mistyped_threshold_is_refused_with_what_is_allowed():
    with pytest.raises(ValueError) as error:
        escorts(14 * FOOT, 15 * FOOT, 95 * FOOT, {"front_width": 13 * FOOT})
    assert str(error.value) == (
        'found threshold "front_width"; allowed: lead, rear, high_pole, utility, police, each with _width, _height, _length'
    )


@pytest.mark.parametrize(("miles", "days"), [(0, 0), (9, 0.2), (45, 1), (45.1, 2), (90, 2)])
def test_a_short_haul_is_a_part_of_a_day_and_a_long_one_whole_days(miles, days):
    assert haul_days(miles * MILE, 45 * MILE) == Quantity(days, "day")


def test_the_days_are_those_of_each_leg_by_its_speed_and_hours_and_only_their_sum_is_rounded():
    legs, speeds, hours = Quantity([12.0, 60.0], "mile"), Quantity([3.0, 40.0], "mph"), Quantity([6.0, 8.0], "hour")
    # 12 / (3 x 6) + 60 / min(40 x 8, 120) = 0.667 + 0.5 = 1.167 days
    assert haul_days(legs, 120 * MILE, speeds, hours) == Quantity(2, "day")
    # the curfew gone: 12 / (3 x 8) + 0.5 = 1 day
    assert haul_days(legs, 120 * MILE, speeds, Quantity([8.0, 8.0], "hour")) == Quantity(1, "day")


def test_a_leg_needs_a_speed_and_hours_of_its_own():
    with pytest.raises(ValueError, match="give each of the 2 legs a speed and hours, all more than 0"):
        haul_days(Quantity([1.0, 2.0], "mile"), 45 * MILE, Quantity([3.0], "mph"), Quantity([8.0, 8.0], "hour"))


def test_a_route_of_unknown_length_takes_unknown_days():
    assert haul_days(None, 45 * MILE) is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: superload(0 * POUND, POUND), "gross weight must be more than 0; found 0 lb"),
        (lambda: escorts(-FOOT, FOOT, FOOT, STATE), "width must be more than 0; found -1 ft"),
        (lambda: haul_days(MILE, 0 * MILE), "distance a day must be more than 0; found 0 mile"),
        (lambda: haul_days(-MILE, MILE), "distance must be at least 0; found -1 mile"),
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message


WIDE, CLOSE = ([Quantity(pounds, "lb") for pounds in row] for row in ((29e3, 50e3, 60e3, 80e3), (29e3, 36e3, 47e3, 60e3)))


def groups(feet, pounds):
    table = WIDE, CLOSE, Quantity(49, "in"), Quantity(96, "in")
    return axle_groups(Quantity(feet, "ft"), Quantity(pounds, "lb"), *table)


@pytest.mark.parametrize(
    ("feet", "pounds", "most", "which"),
    [([0], [29000], 29000, "axle 1"), ([0, 4], [18000] * 2, 36000, "axles 1 to 2"),
     ([0, 4.5], [25000] * 2, 50000, "axles 1 to 2"), ([0, 4, 8.5], [15000] * 3, 47000, "axles 1 to 3"),
     ([0, 4.5, 9], [20000] * 3, 60000, "axles 1 to 3"), ([0, 4, 8, 12], [15000] * 4, 60000, "axles 1 to 4"),
     ([0, 5, 10, 15], [20000] * 4, 80000, "axles 1 to 4")],
)  # fmt: skip
def test_each_group_has_the_weight_of_its_size_and_closest_spacing(feet, pounds, most, which):
    check = groups(feet, pounds)
    assert check.capacity.m_as("lb") == most and check.subject == f"trailer, {which}"
    assert check.status != "fail"
    assert groups(feet, [pound + 1000 for pound in pounds]).demand > check.demand


def test_axles_more_than_eight_feet_apart_are_groups_of_their_own():
    assert groups([0, 8], [25000] * 2).capacity.m_as("lb") == 50000
    assert groups([0, 8.01], [25000] * 2).capacity.m_as("lb") == 29000


def test_the_margin_brings_the_worst_group_to_its_limit():
    check = groups([0, 16, 20.5, 25], [12000, 18000, 18000, 18000])
    grown = 1 + check.margin.m_as("lb") / 66000
    assert groups([0, 16, 20.5, 25], [pounds * grown for pounds in (12000, 18000, 18000, 18000)]).demand.m_as("lb") == (
        pytest.approx(60000)
    )


def test_a_group_longer_than_the_table_is_unknown_and_asks_the_permit_office():
    check = groups([0, 5, 10, 15, 20], [10000] * 5)
    assert check.status == "unknown" and "group of 5 axles" in check.note
    assert axle_groups(None, None, WIDE, CLOSE, Quantity(49, "in"), Quantity(96, "in")).status == "unknown"


def test_a_layout_in_metres_and_kilograms_answers_the_same():
    here = groups([0, 4.5], [20000] * 2)
    spacings = Quantity(1.2446, "m"), Quantity(2.4384, "m")
    metric = axle_groups(Quantity([0, 1.3716], "m"), Quantity([20000 * 0.45359237] * 2, "kg"), WIDE, CLOSE, *spacings)
    assert here.capacity == metric.capacity
    assert metric.demand.m_as("lb") == pytest.approx(40000)


@pytest.mark.parametrize(
    ("feet", "pounds", "says"),
    [([0, 5], [1000], "found 2 and 1"), ([5, 0], [1, 1], "rise"), ([0, 5], [1, 0], "more than 0; found 0 lb")],
)
def test_a_layout_out_of_order_or_without_weight_is_refused(feet, pounds, says):
    with pytest.raises(ValueError, match=says):
        groups(feet, pounds)
