"""Height under structures and wires."""

import pytest

from heritagemove.checks.road import road
from heritagemove.units.units import Quantity

FOOT, INCH = Quantity(1, "ft"), Quantity(1, "in")


@pytest.mark.parametrize(
    ("inches", "status", "margin"),
    [(190, "pass", 11), (198, "pass", 3), (199, "marginal", 2), (201, "marginal", 0), (202, "fail", -1)],
)
def test_the_height_margin_is_in_inches_and_close_is_less_than_the_clearance_again(inches, status, margin):
    found = road.overall_height(inches * INCH, 17 * FOOT, 3 * INCH, "overpass")
    assert (found.status, found.margin) == (status, margin * INCH)


def test_a_load_that_would_touch_is_no_pass_even_where_no_clearance_is_asked_for():
    found = road.overall_height(17 * FOOT, 17 * FOOT, 0 * INCH, "overpass")
    assert (found.status, found.margin.m_as("in")) == ("marginal", 0)


def test_a_height_typed_in_metres_meets_one_in_feet():
    found = road.overall_height(Quantity(16.75 * 0.3048, "m"), 17 * FOOT, 3 * INCH, "overpass")
    assert (found.status, found.margin.m_as("in")) == ("marginal", 0)


def test_an_unmeasured_height_is_unknown():
    assert road.overall_height(None, 17 * FOOT, 3 * INCH, "overpass").status == "unknown"
    assert road.overall_height(16 * FOOT, None, 3 * INCH, "overpass").note == (
        "Unknown: measure the lowest structure of this leg."
    )


def lifted(height, counts, lowest, *air):
    feet = [None if each is None else each * FOOT for each in lowest]
    return road.wires_to_lift(None if height is None else height * FOOT, counts, feet, air or [6 * INCH] * len(counts))


def test_all_wires_of_a_leg_count_once_its_lowest_is_too_low():
    for height, wires in ((17.0, 0), (17.3, 0), (17.4, 6), (18.1, 15), (19.5, 19)):
        assert lifted(height, [6, 9, 4], [17.8, 18.5, 19.5]) == wires


def test_a_power_line_asks_for_more_air_than_a_telephone_line_of_the_same_height():
    """17 ft under 19 ft: 1 ft of air is left over, 4 ft are not."""
    assert lifted(17, [3, 5], [19, 19], 12 * INCH, 4 * FOOT) == 5


def test_unknown_wires_are_not_counted_as_none():
    assert lifted(17, [6, 4], [19, None]) is None
    assert lifted(17, [6, None], [19, 17]) is None
    assert lifted(None, [6], [19]) is None
    assert lifted(17, [6, 4], [19, 30], 6 * INCH, None) is None


def test_a_segment_without_wires_or_with_high_ones_needs_no_further_measurement():
    assert lifted(17, [0, None], [None, 19]) == 0
    assert lifted(17, [0], [19], None) == 0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: road.overall_height(FOOT, FOOT, -INCH, "x"), "clearance must be at least 0; found -1 in"),
        (lambda: road.overall_height(0 * FOOT, FOOT, INCH, "x"), "loaded height must be more than 0; found 0 in"),
        (lambda: road.wires_to_lift(FOOT, [-1], [FOOT], [INCH]), "wires of a leg must be at least 0; found -1"),
        (
            lambda: road.wires_to_lift(FOOT, [1, 2], [FOOT], [INCH] * 2),
            "give one lowest wire and one clearance for each count; found 2 counts, 1 heights and 2 clearances",
        ),
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message
