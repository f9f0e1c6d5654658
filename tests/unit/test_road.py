"""Road loads, trailer, axle load, height and wires."""

import numpy as np
import pytest

from heritagemove.checks.road import road
from heritagemove.units.units import Quantity

POUND, FOOT, INCH = Quantity(1, "lb"), Quantity(1, "ft"), Quantity(1, "in")
TRAILERS = {"low-bed": 50000 * POUND, "nine-axle": 110000 * POUND, "dual-lane": 260000 * POUND}


def pounds(*values):
    return Quantity(np.array(values, dtype=float), "lb")


def test_light_trucks_share_a_load_and_heavy_ones_do_not():
    assert road.loads(1, pounds(9000, 9000), 50000 * POUND) == road.RoadLoads(1, 1, 0)
    assert road.loads(1, pounds(37000, 37000), 50000 * POUND) == road.RoadLoads(1, 2, 0)


def test_a_tender_over_the_payload_is_a_load_of_its_own():
    found = road.loads(1, pounds(62000, 30000, 20000), 50000 * POUND)
    assert (found.bodies, found.shared, found.heavy, found.total) == (1, 1, 1, 3)


def test_a_unit_without_loose_pieces_is_its_body_alone():
    assert road.loads(1, pounds(), 50000 * POUND).total == 1


def test_unknown_pieces_make_an_unknown_number_of_loads():
    assert road.loads(1, None, 50000 * POUND) is None


@pytest.mark.parametrize(
    ("payload", "trailer"), [(50000, "low-bed"), (50001, "nine-axle"), (260000, "dual-lane"), (260001, None)]
)
def test_the_first_trailer_that_carries_it_is_taken(payload, trailer):
    assert road.choose_trailer(payload * POUND, TRAILERS) == trailer


def test_an_unknown_payload_chooses_no_trailer():
    assert road.choose_trailer(None, TRAILERS) is None


def test_the_axle_margin_is_payload_and_using_it_up_meets_the_limit():
    found = road.axle_load(150000 * POUND, 118000 * POUND, 13, 22500 * POUND)
    assert found.margin.m_as("lb") == 24500
    full = road.axle_load(150000 * POUND + found.margin, 118000 * POUND, 13, 22500 * POUND)
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
    found = road.axle_load(*arguments)
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


def test_all_wires_of_a_segment_count_once_its_lowest_is_too_low():
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
        (lambda: road.loads(-1, pounds(1), POUND), "bodies must be at least 0; found -1"),
        (lambda: road.loads(1, pounds(0), POUND), "every truck or part must weigh more than 0; found 0 lb"),
        (lambda: road.choose_trailer(-5 * POUND, TRAILERS), "payload must be more than 0; found -5 lb"),
        (lambda: road.choose_trailer(POUND, {"low-bed": 0 * POUND}), "payload of low-bed must be more than 0; found 0 lb"),
        (lambda: road.gross_weight(POUND, 0 * POUND), "tare must be more than 0; found 0 lb"),
        (lambda: road.axle_load(POUND, POUND, 0, POUND), "axles must be at least 1; found 0"),
        (lambda: road.overall_height(FOOT, FOOT, -INCH, "x"), "clearance must be at least 0; found -1 in"),
        (lambda: road.overall_height(0 * FOOT, FOOT, INCH, "x"), "loaded height must be more than 0; found 0 in"),
        (lambda: road.wires_to_lift(FOOT, [-1], [FOOT], INCH), "wires of a segment must be at least 0; found -1"),
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
