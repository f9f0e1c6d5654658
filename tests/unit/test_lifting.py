"""Crane shares, hook load, chart, choice of crane and hired hours."""

import math

import pytest

from heritagemove.checks.lift import lifting
from heritagemove.units.units import Quantity


def lb(number):
    return Quantity(number, "lb")


def ft(number):
    return Quantity(number, "ft")


CHARTS = {
    "C90": (ft([15, 20, 25, 30]), Quantity([62, 46, 36, 29], "short_ton")),
    "C165": (ft([15, 20, 25, 30]), Quantity([120, 95, 78, 65], "short_ton")),
    "C300": (ft([20, 25, 30]), Quantity([230, 190, 160], "short_ton")),
    "C500": (ft([20, 25, 30]), Quantity([360, 290, 250], "short_ton")),
}


SPREAD, CENTRED = ft(40), ft(0)


def choose(weight_lb, radius_ft=20, charts=CHARTS, spread=SPREAD, offset=CENTRED):
    return lifting.choose_cranes(
        lb(weight_lb), spread, offset, ft(radius_ft), charts, dict.fromkeys(charts, lb(2000)), 1.05, 0.85, 0.75
    )


def test_both_hooks_together_carry_the_whole_weight_even_out_of_level():
    shares = lifting.crane_shares(lb(200000), ft(50), ft(3), ft(5), Quantity(3, "deg"))
    assert shares.m_as("lb") == pytest.approx([113048, 86952], abs=1)
    assert shares.sum().m_as("lb") == pytest.approx(200000)


def test_a_centre_of_gravity_outside_the_picks_is_refused_with_both_distances():
    with pytest.raises(ValueError, match=r"less than 20 ft from their middle; found 20 ft"):
        lifting.crane_shares(lb(1000), ft(40), ft(20))


def test_an_out_of_level_load_that_would_unload_a_hook_is_refused():
    with pytest.raises(ValueError, match="between the picks"):
        lifting.crane_shares(lb(1000), ft(10), ft(4.9), ft(20), Quantity(5, "deg"))


@pytest.mark.parametrize(
    ("weight", "rigging", "factor", "message"),
    [
        (0, 0, 1, "weight must be more than 0; found 0 lb"),
        (-5, 0, 1, "weight must be more than 0; found -5 lb"),
        (math.nan, 0, 1, "weight must be more than 0; found nan lb"),
        (10, -1, 1, "rigging must be at least 0; found -1 lb"),
        (10, 0, 0.9, "lift factor must be at least 1; found 0.9"),
        (10, 0, math.inf, "lift factor must be at least 1; found inf"),
    ],
)
def test_a_hook_load_refuses_values_a_planner_cannot_mean(weight, rigging, factor, message):
    with pytest.raises(ValueError) as error:
        lifting.hook_load(lb(weight), lb(rigging), factor)
    assert str(error.value) == message


def test_a_bare_number_is_not_taken_for_a_weight():
    with pytest.raises(TypeError, match="bare number"):
        lifting.hook_load(156000, lb(0), 1.05)


@pytest.mark.parametrize("radius_ft", [14.9, 30.1])
def test_a_chart_says_nothing_outside_its_radii(radius_ft):
    assert lifting.chart_capacity(*CHARTS["C90"], ft(radius_ft)) is None


def test_between_two_radii_the_capacity_is_that_of_the_next_larger_one():
    assert lifting.chart_capacity(*CHARTS["C90"], ft(22)).m_as("short_ton") == pytest.approx(36)


def test_a_listed_radius_typed_in_metres_reads_its_own_row_and_not_the_next():
    radius = Quantity(25 * 0.3048, "m")
    stepped = lifting.chart_capacity(*CHARTS["C90"], radius)
    assert stepped.m_as("short_ton") == pytest.approx(36)
    assert lifting.chart_capacity(*CHARTS["C90"], Quantity(30 * 0.3048, "m")) is not None


@pytest.mark.parametrize(
    ("radii", "capacities", "message"),
    [
        ([20, 15], [46, 62], "radii must rise"),
        ([0, 15], [62, 46], "radii must rise"),
        ([15, 20], [62], "each with one capacity"),
        ([15, 20], [46, 62], "may not rise with the radius"),
        ([15, 20], [46, 0], "above 0 lb"),
    ],
)
def test_a_mistyped_chart_is_refused(radii, capacities, message):
    with pytest.raises(ValueError, match=message):
        lifting.chart_capacity(ft(radii), Quantity(capacities, "short_ton"), ft(15))


def test_the_smallest_single_crane_is_chosen_for_a_light_body():
    found = choose(29000)
    assert (found.crane, found.cranes) == ("C90", 1)
    assert found.hook_load.m_as("lb") == pytest.approx((29000 + 2000) * 1.05)


def test_one_crane_of_the_next_class_goes_before_two_of_the_smaller():
    found = choose(110000)
    assert (found.crane, found.cranes) == ("C165", 1)
    two_small = choose(110000, charts={"C90": CHARTS["C90"]})
    assert (two_small.crane, two_small.cranes) == ("C90", 2)


def test_two_smaller_cranes_go_before_one_crane_two_classes_up():
    heavy = {name: CHARTS[name] for name in ("C165", "C300", "C500")}
    found = choose(250000, radius_ft=25, charts=heavy)
    assert (found.crane, found.cranes) == ("C300", 1)
    weak = {**heavy, "C300": (ft([20, 25]), Quantity([98, 97], "short_ton"))}
    found = choose(215000, radius_ft=25, charts=weak)
    assert (found.crane, found.cranes) == ("C165", 2)
    assert choose(215000, radius_ft=25, charts=weak, spread=None).crane == "C500"


def test_a_load_off_centre_needs_a_bigger_crane_than_a_centred_one():
    pair = {"C90": CHARTS["C90"]}
    assert choose(124000, charts=pair) is not None
    assert choose(124000, charts=pair, offset=ft(4)) is None


def test_unknown_picks_leave_the_pair_out():
    assert choose(110000, charts={"C90": CHARTS["C90"]}, spread=None) is None


def test_nothing_is_chosen_before_weight_and_radius_are_known():
    args = (CHARTS, dict.fromkeys(CHARTS, lb(2000)), 1.05, 0.85, 0.75)
    assert lifting.choose_cranes(None, ft(40), ft(0), ft(20), *args) is None
    assert lifting.choose_cranes(lb(1000), ft(40), ft(0), None, *args) is None


@pytest.mark.parametrize("share", [0, 1.01, -0.5])
def test_a_share_of_the_chart_outside_nought_to_one_is_refused(share):
    with pytest.raises(ValueError, match="single-crane share must be more than 0 and at most 1"):
        lifting.choose_cranes(lb(1000), None, None, ft(20), CHARTS, dict.fromkeys(CHARTS, lb(0)), 1.0, share, 0.75)


def test_shares_may_come_from_a_limit_row_in_percent():
    percent = Quantity(85, "percent"), Quantity(75, "percent")
    found = lifting.choose_cranes(lb(29000), None, None, ft(20), CHARTS, dict.fromkeys(CHARTS, lb(2000)), 1.05, *percent)
    assert found == choose(29000, spread=None)


@pytest.mark.parametrize(("weight_lb", "cranes"), [(60000, 1), (110000, 2)])
def test_the_spare_weight_is_just_what_the_arrangement_may_still_take(weight_lb, cranes):
    charts = {"C90": CHARTS["C90"]}
    found = choose(weight_lb, charts=charts, offset=ft(2))
    assert found.cranes == cranes
    limit_lb = weight_lb + found.spare_weight.m_as("lb")
    assert choose(limit_lb - 1, charts=charts, offset=ft(2)).cranes == cranes
    heavier = choose(limit_lb + 1, charts=charts, offset=ft(2))
    assert heavier is None or heavier.cranes > cranes


def test_the_crane_check_fails_when_no_crane_in_the_table_does_the_lift():
    check = lifting.crane(None, lb(2000000), ft(20))
    assert check.status == "fail"
    assert check.margin is None
    assert check.note.startswith("No crane in the table does this lift at 20.0 ft")


def test_the_crane_check_compares_the_worst_hook_with_the_allowed_share():
    found = choose(110000)
    check = lifting.crane(found, lb(110000), ft(20), "body of the switcher")
    assert check.status == "pass"
    assert check.utilization == pytest.approx(found.utilization / 0.85)
    assert check.margin == found.spare_weight
    assert "lift director" in check.note


def test_a_pair_of_cranes_is_named_as_a_critical_lift():
    found = choose(110000, charts={"C90": CHARTS["C90"]})
    assert "two cranes, a planned critical lift" in lifting.crane(found, lb(110000), ft(20)).note


def test_an_unknown_weight_or_radius_is_never_a_pass():
    assert lifting.crane(None, None, ft(20)).status == "unknown"
    check = lifting.crane(None, lb(1000), None)
    assert check.status == "unknown"
    assert check.note == "Unknown: measure the largest distance from crane centre to hook on the site sketch."


def test_the_minimum_hire_counts_for_each_crane():
    hour = Quantity(1, "hour")
    assert lifting.crane_hours(1, 2, 3 * hour, 2 * hour, 8 * hour) == Quantity(16, "crane_hour")
    assert lifting.crane_hours(4, 1, 3 * hour, 2 * hour, 8 * hour) == Quantity(11, "crane_hour")
    assert lifting.crane_hours(0, 1, 3 * hour, 2 * hour, 8 * hour) == Quantity(0, "crane_hour")


def test_negative_lifts_or_hours_are_refused():
    hour = Quantity(1, "hour")
    with pytest.raises(ValueError, match="at least 0"):
        lifting.crane_hours(-1, 1, hour, hour, hour)
    with pytest.raises(ValueError, match="at least 0"):
        lifting.crane_hours(1, 1, -hour, hour, hour)
