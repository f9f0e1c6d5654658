"""Axle loads by statics, and against journal ratings, track limits and gross rail load."""

import numpy as np
import pytest

from heritagemove.checks.running import axle_load
from heritagemove.units.units import Quantity


def lb(number):
    return Quantity(number, "lb")


def ft(number):
    return Quantity(number, "ft")


def test_a_centred_vehicle_loads_every_axle_the_same():
    loads = axle_load.two_truck_axle_loads(lb(259720), ft(31), ft(0), 2)
    assert loads.m_as("lb") == pytest.approx([64930] * 4)


def test_a_centre_of_gravity_toward_the_front_loads_the_front_truck():
    loads = axle_load.two_truck_axle_loads(lb(10000), ft(10), ft(3), 1)
    assert loads.m_as("lb") == pytest.approx([8000, 2000])


def test_three_axle_trucks_share_their_load_in_three():
    loads = axle_load.two_truck_axle_loads(lb(360000), ft(35), ft(0.6), 3).m_as("lb")
    assert loads == pytest.approx([62057.14] * 3 + [57942.86] * 3, abs=0.01)


@pytest.mark.parametrize("offset", [11, -11, 12.5])
def test_a_centre_of_gravity_at_or_beyond_a_truck_centre_is_refused(offset):
    expected = f"must lie between the truck centres, less than 11 ft from their middle; found {offset:g} ft"
    with pytest.raises(ValueError, match=expected):
        axle_load.two_truck_axle_loads(lb(230000), ft(22), ft(offset), 2)


@pytest.mark.parametrize(
    ("weight", "centres", "axles", "message"),
    [
        (0, 22, 2, "weight must be more than 0; found 0 lb"),
        (-5, 22, 2, "weight must be more than 0; found -5 lb"),
        (np.inf, 22, 2, "weight must be more than 0; found inf lb"),
        (np.nan, 22, 2, "weight must be more than 0; found nan lb"),
        (1000, 0, 2, "truck centres must be more than 0; found 0 ft"),
        (1000, 22, 0, "axles per truck must be at least 1; found 0"),
    ],
)
def test_bad_vehicles_are_refused_with_the_value_found(weight, centres, axles, message):
    with pytest.raises(ValueError, match=f"^{message}$"):
        axle_load.two_truck_axle_loads(lb(weight), ft(centres), ft(0), axles)


def test_a_bare_number_is_refused():
    with pytest.raises(TypeError, match="weight must be a quantity in lb; found the bare number 1000"):
        axle_load.two_truck_axle_loads(1000, ft(22), ft(0), 2)


def test_surveyed_steam_axle_loads_keep_their_shares_at_another_weight():
    surveyed = lb([18000, 37500, 37500, 37500, 37500])
    scaled = axle_load.scaled_axle_loads(surveyed, lb(151200)).m_as("lb")
    assert scaled == pytest.approx([16200, 33750, 33750, 33750, 33750])


@pytest.mark.parametrize(
    ("loads", "found"),
    [([1000, 0], "found 0 lb"), ([1000, -2], "found -2 lb"), ([np.nan, 1], "found nan lb")],
)
def test_an_axle_load_that_is_not_above_zero_is_refused(loads, found):
    with pytest.raises(ValueError, match=f"every axle load must be more than 0; {found}"):
        axle_load.scaled_axle_loads(lb(loads), lb(1000))


def test_no_axle_loads_at_all_are_refused():
    with pytest.raises(ValueError, match="at least 1 axle load; found none"):
        axle_load.scaled_axle_loads(lb([]), lb(1000))


def test_taking_parts_off_the_front_moves_the_balance_to_the_rear():
    left = axle_load.remove_parts(lb(100000), ft(0), [(lb(10000), ft(9)), (lb(10000), ft(-1))])
    assert left.weight.m_as("lb") == pytest.approx(80000)
    assert left.centre.m_as("ft") == pytest.approx(-1)


def test_taking_nothing_off_changes_nothing():
    left = axle_load.remove_parts(lb(100000), ft(0.7), [])
    assert (left.weight.m_as("lb"), left.centre.m_as("ft")) == pytest.approx((100000, 0.7))


def test_parts_that_weigh_as_much_as_the_vehicle_are_refused():
    with pytest.raises(ValueError, match="less than the vehicle, 10,000 lb; found 10,000 lb"):
        axle_load.remove_parts(lb(10000), ft(0), [(lb(6000), ft(1)), (lb(4000), ft(2))])


def test_a_part_of_no_weight_is_refused():
    with pytest.raises(ValueError, match="weight of a part must be more than 0; found 0 lb"):
        axle_load.remove_parts(lb(10000), ft(0), [(lb(0), ft(1))])


def test_the_heaviest_axle_is_checked_and_named():
    check = axle_load.journal(lb([40000, 44000, 40000, 36000]), lb(44250), "5-1/2 x 10")
    assert check.subject == "5-1/2 x 10 journals, axle 2 of 4"
    assert check.demand.m_as("lb") == 44000
    assert check.status == "marginal"


def test_the_margin_is_the_whole_vehicle_s_weight_at_which_the_heaviest_axle_is_full():
    loads = lb([40000, 44000, 40000, 36000])
    check = axle_load.journal(loads, lb(55000), "6 x 11")
    grown = axle_load.scaled_axle_loads(loads, lb(160000) + check.margin)
    assert grown.m_as("lb").max() == pytest.approx(55000)


def test_an_axle_at_exactly_its_rating_is_not_over_it():
    check = axle_load.journal(lb([44250] * 4), lb(44250), "5-1/2 x 10")
    assert check.status == "marginal"
    assert check.margin.m_as("lb") == 0
    assert axle_load.journal(lb([44251] * 4), lb(44250), "5-1/2 x 10").status == "fail"


def test_passenger_service_rates_the_same_axle_lower_and_fails_it():
    loads = lb([35000] * 4)
    assert axle_load.journal(loads, lb(44250), "5-1/2 x 10").status == "pass"
    assert axle_load.journal(loads, lb(34000), "5-1/2 x 10").status == "fail"


def test_an_unknown_rating_says_what_to_measure():
    check = axle_load.journal(lb([40000] * 4), None, "5-1/2 x 10")
    assert check.status == "unknown"
    assert check.margin is None
    assert "measure journal diameter and length" in check.note


@pytest.mark.parametrize("check", [axle_load.journal, axle_load.axle_limit])
def test_unknown_loads_say_that_the_vehicle_must_be_weighed(check):
    found = check(None, lb(44250), "mill spur")
    assert found.status == "unknown"
    assert "weigh the vehicle" in found.note


def test_an_unknown_track_limit_says_whom_to_ask():
    found = axle_load.axle_limit(lb([40000] * 4), None, "mill spur")
    assert (found.status, found.subject) == ("unknown", "mill spur")
    assert "ask the track's owner" in found.note


@pytest.mark.parametrize("check", [axle_load.journal, axle_load.axle_limit])
@pytest.mark.parametrize("limit", [0, -1])
def test_a_limit_that_is_not_above_zero_is_refused(check, limit):
    with pytest.raises(ValueError, match=f"must be more than 0; found {limit} lb"):
        check(lb([40000]), lb(limit), "mill spur")


def test_the_axle_limit_names_the_track_and_defers_to_its_owner():
    check = axle_load.axle_limit(lb([50000, 66000]), lb(65750), "mill spur", "legs.csv R1")
    assert check.status == "fail"
    assert check.subject == "mill spur, axle 2 of 2"
    assert check.source == "legs.csv R1"
    assert "the track's owner confirms" in check.note


def test_a_six_axle_locomotive_is_compared_with_six_quarters_of_the_limit():
    check = axle_load.gross_limit(lb(394000), 6, lb(263000), "branch")
    assert check.capacity.m_as("lb") == 394500
    assert check.margin.m_as("lb") == 500
    assert check.status == "marginal"
    assert check.note.startswith("6 axles at 65,750 lb each.")


def test_the_average_axle_may_pass_where_the_heaviest_fails():
    loads = lb([62000, 62000, 70000, 70000])
    assert axle_load.gross_limit(loads.sum(), 4, lb(268000), "branch").status != "fail"
    assert axle_load.axle_limit(loads, lb(67000), "branch").status == "fail"


@pytest.mark.parametrize(
    ("weight", "axles", "limit", "measure"),
    [
        (None, 4, 263000, "weigh the vehicle"),
        (250000, None, 263000, "count its axles"),
        (250000, 4, None, "ask the railroad"),
    ],
)
def test_what_the_gross_limit_lacks_is_asked_for(weight, axles, limit, measure):
    check = axle_load.gross_limit(
        None if weight is None else lb(weight), axles, None if limit is None else lb(limit), "branch"
    )
    assert check.status == "unknown"
    assert measure in check.note


def test_no_axles_are_refused():
    with pytest.raises(ValueError, match="axles must be at least 1; found 0"):
        axle_load.gross_limit(lb(250000), 0, lb(263000), "branch")
