"""Restraint and tipping of a load on a flat car."""

import pytest

from heritagemove.checks.rail import rail_securement
from heritagemove.units.units import Quantity

WEIGHT, STRENGTH, HALF = Quantity(100000, "lb"), Quantity(50000, "lb"), Quantity(45, "deg")


def check(offered=8, weight=WEIGHT, strength=STRENGTH, longitudinal=1.0, lateral=0.5, vertical=0.3):
    return rail_securement.rail_securement(
        offered, weight, strength, longitudinal, lateral, vertical, HALF, HALF
    )


def test_tie_downs_pull_only_one_way_along_and_across_the_car():
    count = rail_securement.rail_tie_downs(
        WEIGHT, STRENGTH, 1.0, 0, 0, Quantity(0, "deg"), Quantity(0, "deg")
    )
    assert count == 4


def test_the_count_is_even_where_hold_down_governs():
    count = rail_securement.rail_tie_downs(WEIGHT, STRENGTH, 0, 0, 1.5, Quantity(90, "deg"), HALF)
    assert count == 4


def test_the_number_needed_just_passes_and_two_fewer_fail():
    assert check(8).status == "marginal"
    assert check(6).status == "fail"
    assert check(6).margin.m_as("lb") == pytest.approx(-25000)


def test_an_odd_tie_down_adds_nothing_along_the_car():
    assert check(9).capacity.m_as("lb") == pytest.approx(check(8).capacity.m_as("lb"))


@pytest.mark.parametrize("missing", ["offered", "weight", "strength", "longitudinal", "lateral", "vertical"])
def test_no_factor_is_ever_assumed(missing):
    result = check(**{missing: None})
    assert result.status == "unknown"
    assert ("weigh the load" if missing == "weight" else "approved drawing") in result.note


def test_design_strengths_are_told_beside_and_know_no_uplift():
    """4 x 100,000 / 25,000 = 16 each way; 1.5 across asks for 6; upward nothing."""
    told = rail_securement.design_strength(WEIGHT, STRENGTH, HALF, HALF)
    assert told.startswith("For comparison only") and "none upward" in told and "32 such tie-downs" in told
    assert "such tie-downs" not in rail_securement.design_strength(WEIGHT, None, HALF, HALF)


def test_tie_downs_square_to_the_car_cannot_hold_it_lengthwise():
    with pytest.raises(ValueError, match="hold nothing in a direction that has a factor"):
        rail_securement.rail_tie_downs(WEIGHT, STRENGTH, 1.0, 0.5, 0.3, HALF, Quantity(90, "deg"))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"longitudinal": -1}, "restraint factors must be at least 0 g; found -1, 0.5 and 0.3"),
        (
            {"longitudinal": 0, "lateral": 0, "vertical": 0},
            "at least one restraint factor must be more than 0 g; found 0, 0 and 0",
        ),
        ({"offered": -2}, "tie-downs offered must be at least 0; found -2"),
        ({"strength": Quantity(0, "lb")}, "tie-down strength must be more than 0; found 0 lb"),
        ({"weight": Quantity(-1, "lb")}, "weight must be more than 0; found -1 lb"),
    ],
)
def test_bad_values_are_refused_in_a_planners_words(change, message):
    with pytest.raises(ValueError) as error:
        check(**change)
    assert str(error.value) == message


def test_an_angle_beyond_upright_is_refused():
    with pytest.raises(ValueError, match="angle above the deck must be 0 to 90 degree; found 95 degree"):
        rail_securement.rail_tie_downs(WEIGHT, STRENGTH, 1.0, 0, 0, Quantity(95, "deg"), HALF)


def test_the_tipping_margin_is_the_height_that_is_left():
    result = rail_securement.tipping(Quantity(8, "ft"), Quantity(5, "ft"), 0.5)
    assert result.status == "pass"
    assert result.margin.m_as("ft") == pytest.approx(2)
    assert rail_securement.tipping(Quantity(11, "ft"), Quantity(5, "ft"), 0.5).margin.m_as("ft") < 0


def test_tipping_is_unknown_without_a_height_and_refuses_no_acceleration():
    assert rail_securement.tipping(None, Quantity(5, "ft"), 0.5).status == "unknown"
    with pytest.raises(ValueError, match="sideways acceleration must be more than 0; found 0 g"):
        rail_securement.tipping(Quantity(8, "ft"), Quantity(5, "ft"), 0)
