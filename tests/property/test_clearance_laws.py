"""Laws of clearance: bigger never helps, SI gives the same answer, throws grow with the curve."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.checks.rail import clearance, curve_geometry, load_outline
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
FOOT, INCH, DEGREE = Quantity(1, "ft"), Quantity(1, "in"), Quantity(1, "deg")
LENGTHS, CURVES = st.floats(5, 100), st.floats(0.1, 25)
PLATES = [
    (name, 128 * INCH, tall * INCH, centres * FOOT)
    for name, tall, centres in (("B", 181, 41.25), ("C", 186, 46.25), ("F", 204, 46.25))
]
ORDER = {"B": 0, "C": 1, "F": 2, "no plate": 3}


def side_margin_in(width, centres, length, curve, clear=7 * FOOT):
    return clearance.side(width, centres, length, curve, clear, "post").margin.m_as("in")


@LAW
@given(st.floats(6, 12), LENGTHS, LENGTHS, CURVES, st.floats(0, 5))
def test_wider_longer_or_on_a_sharper_curve_never_raises_the_side_margin(width, centres, length, curve, more):
    base = side_margin_in(width * FOOT, centres * FOOT, length * FOOT, curve * DEGREE)
    wider = side_margin_in((width + more) * FOOT, centres * FOOT, length * FOOT, curve * DEGREE)
    assert base - wider == pytest.approx(6 * more, abs=1e-5)
    assert side_margin_in(width * FOOT, centres * FOOT, (length + more) * FOOT, curve * DEGREE) <= base + 1e-5
    if length >= centres:
        # A load shorter than its truck centres never swings out, and then only the middle counts.
        assert side_margin_in(width * FOOT, centres * FOOT, length * FOOT, (curve + more) * DEGREE) <= base + 1e-5


@LAW
@given(st.floats(6, 12), LENGTHS, LENGTHS, CURVES)
def test_the_same_vehicle_in_metres_has_the_same_side_margin(width, centres, length, curve):
    customary = width * FOOT, centres * FOOT, length * FOOT
    metric = [each.to("m") for each in customary]
    assert side_margin_in(*metric, (curve * DEGREE).to("radian"), (7 * FOOT).to("m")) == pytest.approx(
        side_margin_in(*customary, curve * DEGREE), abs=1e-5
    )


@LAW
@given(LENGTHS, LENGTHS, CURVES)
def test_throws_agree_with_points_turned_about_the_centre_of_the_curve(centres, length, curve):
    radius = curve_geometry.curve_radius(curve * DEGREE)
    radius_ft = radius.m_as("ft")
    half_angle = np.arcsin(centres / 2 / radius_ft)
    trucks = radius_ft * np.array([[np.cos(half_angle), np.sin(half_angle)], [np.cos(half_angle), -np.sin(half_angle)]])
    middle = trucks.mean(axis=0)
    end = middle + (trucks[0] - middle) * length / centres
    found = (
        curve_geometry.middle_ordinate(centres * FOOT, radius),
        curve_geometry.end_throw(centres * FOOT, length * FOOT, radius),
    )
    expected = radius_ft - np.hypot(*middle), np.hypot(*end) - radius_ft
    assert [float(each.m_as("ft")) for each in found] == pytest.approx(expected, abs=1e-6)


@LAW
@given(LENGTHS, CURVES)
def test_a_vehicle_as_long_as_its_truck_centres_does_not_swing_out(centres, curve):
    radius = curve_geometry.curve_radius(curve * DEGREE)
    assert curve_geometry.end_throw(centres * FOOT, centres * FOOT, radius).m_as("in") == pytest.approx(0)


@LAW
@given(st.floats(6, 12), LENGTHS, LENGTHS, CURVES)
def test_half_width_plus_throw_never_understates_the_swept_corner(width, centres, length, curve):
    radius = curve_geometry.curve_radius(curve * DEGREE)
    ordinate = curve_geometry.middle_ordinate(centres * FOOT, radius).m_as("ft")
    inside = radius.m_as("ft") - ordinate
    corner_in = 12 * (np.hypot(inside + width / 2, length / 2) - radius.m_as("ft"))
    assert 84 - side_margin_in(width * FOOT, centres * FOOT, length * FOOT, curve * DEGREE) >= corner_in - 1e-5


@LAW
@given(st.floats(10, 18), st.floats(0, 3), st.floats(0, 12))
def test_every_inch_of_load_or_clearance_wanted_costs_an_inch_of_margin(tall, more, needed):
    def margin_in(height, wanted):
        return clearance.height(height * FOOT, 17.3 * FOOT, wanted * INCH, "tunnel").margin.m_as("in")

    assert margin_in(tall, 0) - margin_in(tall + more, needed) == pytest.approx(12 * more + needed, abs=1e-5)


@LAW
@given(st.floats(60, 140), st.floats(100, 220), st.floats(20, 70), st.floats(0, 20))
def test_a_bigger_vehicle_never_fits_a_lower_plate(width, tall, centres, more):
    def rank(width_in, tall_in, centres_ft):
        found = load_outline.plate(width_in * INCH, tall_in * INCH, centres_ft * FOOT, PLATES, 13 * DEGREE)
        assert (found.status == "fail") == (found.margin.magnitude < 0)
        return ORDER[found.subject]

    base = rank(width, tall, centres)
    assert base <= min(rank(width + more, tall, centres), rank(width, tall + more, centres))
    assert base <= rank(width, tall, centres + more)


@LAW
@given(st.lists(st.tuples(st.floats(1, 1e5), st.floats(0, 150)), min_size=1, max_size=6), st.floats(0.1, 10))
def test_the_common_centre_of_gravity_lies_between_and_scales(parts, factor):
    weights, heights = np.array(parts).T
    found = load_outline.combined_centre_of_gravity(Quantity(weights, "lb"), Quantity(heights, "in")).m_as("in")
    assert heights.min() - 1e-9 <= found <= heights.max() + 1e-9
    scaled = load_outline.combined_centre_of_gravity(Quantity(weights * factor, "kg"), Quantity(heights, "in"))
    assert scaled.m_as("in") == pytest.approx(found)


@LAW
@given(st.floats(25, 40), st.floats(0, 1.4))
def test_a_coupler_too_high_and_one_too_low_have_the_same_margin(height, off):
    def margin_in(inches):
        return clearance.coupler_height(inches * INCH, 31.5 * INCH, 34.5 * INCH).margin.m_as("in")

    assert margin_in(height) == pytest.approx(margin_in(66 - height), abs=1e-5)
    assert margin_in(33 + off) == pytest.approx(1.5 - off, abs=1e-5)
