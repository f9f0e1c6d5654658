"""Superload, escorts and days on the road."""

import pytest

from heritagemove.checks.permits import Escorts, escorts, haul_days, superload
from heritagemove.units import Quantity

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


@pytest.mark.parametrize(("miles", "days"), [(0, 0), (1, 1), (45, 1), (45.1, 2), (90, 2)])
def test_days_are_whole(miles, days):
    assert haul_days(miles * MILE, 45 * MILE) == Quantity(days, "day")


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
