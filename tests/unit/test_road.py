"""Axle load, height and wires."""

import pytest

from heritagemove.checks.road import road
from heritagemove.units.units import Quantity

POUND, FOOT, INCH = Quantity(1, "lb"), Quantity(1, "ft"), Quantity(1, "in")


def test_the_axle_margin_is_payload_and_using_it_up_meets_the_limit():
    found = road.trailer_axle_load(150000 * POUND, 118000 * POUND, 13, 22500 * POUND)
    assert found.margin.m_as("lb") == 24500
    full = road.trailer_axle_load(150000 * POUND + found.margin, 118000 * POUND, 13, 22500 * POUND)
    assert (full.status, full.margin.m_as("lb")) == ("marginal", 0)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((None, POUND, 13, POUND), "weigh the load"),
        ((POUND, None, 13, POUND), "from the hauler"),
        ((POUND, POUND, None, POUND), "from the hauler"),
        ((POUND, POUND, 13, None), "ask the permit office"),
    ],
)
def test_an_axle_load_that_cannot_be_judged_is_unknown(arguments, words):
    found = road.trailer_axle_load(*arguments)
    assert found.status == "unknown"
    assert words in found.note


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


def test_all_wires_of_a_leg_count_once_its_lowest_is_too_low():
    lowest = [17.8 * FOOT, 18.5 * FOOT, 19.5 * FOOT]
    for height, wires in ((17.0, 0), (17.3, 0), (17.4, 6), (18.1, 15), (19.5, 19)):
        assert road.wires_to_lift(height * FOOT, [6, 9, 4], lowest, 6 * INCH) == wires


def test_unknown_wires_are_not_counted_as_none():
    assert road.wires_to_lift(17 * FOOT, [6, 4], [19 * FOOT, None], 6 * INCH) is None
    assert road.wires_to_lift(17 * FOOT, [6, None], [19 * FOOT, 17 * FOOT], 6 * INCH) is None
    assert road.wires_to_lift(None, [6], [19 * FOOT], 6 * INCH) is None


def test_a_segment_without_wires_or_with_high_ones_needs_no_further_measurement():
    assert road.wires_to_lift(17 * FOOT, [0, None], [None, 19 * FOOT], 6 * INCH) == 0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: road.trailer_axle_load(POUND, 0 * POUND, 1, POUND), "tare must be more than 0; found 0 lb"),
        (lambda: road.trailer_axle_load(POUND, POUND, 0, POUND), "axles must be at least 1; found 0"),
        (lambda: road.overall_height(FOOT, FOOT, -INCH, "x"), "clearance must be at least 0; found -1 in"),
        (lambda: road.overall_height(0 * FOOT, FOOT, INCH, "x"), "loaded height must be more than 0; found 0 in"),
        (lambda: road.wires_to_lift(FOOT, [-1], [FOOT], INCH), "wires of a leg must be at least 0; found -1"),
        (
            lambda: road.wires_to_lift(FOOT, [1, 2], [FOOT], INCH),
            "give one lowest wire for each count; found 2 counts and 1 heights",
        ),
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message
