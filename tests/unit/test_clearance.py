"""Clearance, curve geometry and the outline of a loaded car: values, edges, exact messages."""

import numpy as np
import pytest

from heritagemove.checks.rail import clearance, curve_geometry, load_outline
from heritagemove.units.units import Quantity

FOOT, INCH, DEGREE = Quantity(1, "ft"), Quantity(1, "in"), Quantity(1, "deg")
NOTHING = 0 * FOOT
PLATES = [
    load_outline.Plate(name, 128 * INCH, tall * INCH, centres * FOOT)
    for name, tall, centres in (("Plate F", 204, 46.25), ("Plate B", 181, 41.25), ("Plate C", 186, 46.25))
]


def side(width=10 * FOOT, centres=22 * FOOT, length=44.5 * FOOT, curve=16 * DEGREE, clear=6.67 * FOOT):
    return clearance.side(width, centres, length, curve, clear, "canopy post")


def plate(width, height, centres):
    return load_outline.plate(width * INCH, height * INCH, centres * FOOT, PLATES, 13 * DEGREE)


def test_radius_and_throws_take_arrays():
    radii = curve_geometry.curve_radius(Quantity([10, 16], "deg"))
    assert radii.m_as("ft") == pytest.approx([573.69, 359.26], abs=0.01)
    assert curve_geometry.middle_ordinate(31 * FOOT, radii).shape == (2,)
    assert curve_geometry.end_throw(31 * FOOT, Quantity([31, 55.75], "ft"), radii).m_as("in")[0] == pytest.approx(0)


def test_a_load_that_ends_inside_the_truck_centres_never_swings_outside():
    assert curve_geometry.end_throw(60 * FOOT, 40 * FOOT, 500 * FOOT).m_as("in") < 0


@pytest.mark.parametrize("degrees", [0, -1, 180, np.nan])
def test_a_curve_out_of_range_is_refused(degrees):
    with pytest.raises(ValueError, match=rf"curve must be (more than 0|less than 180 deg); found {degrees:g} deg"):
        curve_geometry.curve_radius(degrees * DEGREE)


def test_a_chord_longer_than_the_circle_is_refused():
    with pytest.raises(ValueError, match=r"chord must be at most twice the radius, 100\.0 ft; found 101\.0 ft"):
        curve_geometry.middle_ordinate(101 * FOOT, 50 * FOOT)
    with pytest.raises(ValueError, match="chord must be more than 0; found 0 ft"):
        curve_geometry.middle_ordinate(NOTHING, 50 * FOOT)


def test_a_bare_number_is_refused():
    with pytest.raises(TypeError, match="curve must be a quantity in degree; found the bare number 10"):
        curve_geometry.curve_radius(10)


def test_on_its_own_wheels_only_removed_parts_change_the_height():
    height = clearance.loaded_height(14.5 * FOOT, NOTHING, NOTHING, NOTHING, 6 * INCH)
    assert height.m_as("ft") == pytest.approx(14.0)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_height_that_is_not_known_gives_no_loaded_height(place):
    lengths = [14.5 * FOOT, 3.5 * FOOT, 3.6 * FOOT]
    lengths[place] = None
    assert clearance.loaded_height(*lengths, NOTHING, NOTHING) is None


def test_a_loaded_height_that_makes_no_sense_is_refused():
    with pytest.raises(ValueError, match="height must be more than 0; found -1 ft"):
        clearance.loaded_height(-1 * FOOT, NOTHING, NOTHING, NOTHING, NOTHING)
    with pytest.raises(ValueError, match="blocking must be at least 0; found -1 ft"):
        clearance.loaded_height(14 * FOOT, NOTHING, NOTHING, -1 * FOOT, NOTHING)
    with pytest.raises(ValueError, match=r"less than the height, 14\.00 ft; found underside 15\.00 ft and removed"):
        clearance.loaded_height(14 * FOOT, 15 * FOOT, NOTHING, NOTHING, NOTHING)


def test_height_fails_by_the_inches_it_is_over():
    check = clearance.height(17 * FOOT, 17.3 * FOOT, 6 * INCH, "tunnel")
    assert check.status == "fail"
    assert check.margin.m_as("in") == pytest.approx(-2.4)
    assert "6.0 in of air" in check.note and "clearance bureau" in check.note


def test_a_height_met_exactly_passes_in_either_unit():
    assert clearance.height(16.8 * FOOT, 17.3 * FOOT, 6 * INCH, "tunnel").status == "marginal"
    metric = [(feet * FOOT).to("m") for feet in (16.8, 17.3, 0.5)]
    assert clearance.height(*metric, "tunnel").status == "marginal"


def test_an_unknown_height_says_what_to_measure():
    load = clearance.height(None, 17 * FOOT, 6 * INCH, "tunnel")
    line = clearance.height(15 * FOOT, None, 6 * INCH, "tunnel")
    assert load.note == "Unknown: measure the top, the underside and the loaded deck above the rail."
    assert line.note == "Unknown: ask the railroad for the lowest structure on this leg."
    assert load.status == line.status == "unknown" and load.margin is line.margin is None


def test_the_larger_throw_governs_the_side():
    assert "throw of the ends governs: 6.2 in on 16.0 deg" in side().note
    assert "throw of the middle governs" in side(centres=44 * FOOT).note


def test_on_straight_track_only_the_width_counts():
    check = side(curve=0 * DEGREE)
    assert check.margin.m_as("in") == pytest.approx(20.04)
    assert "straight track" in check.note


def test_side_fails_where_the_post_stands_inside_the_throw():
    check = side(clear=5.4 * FOOT)
    assert check.status == "fail" and check.margin.m_as("in") < 0


@pytest.mark.parametrize("name", ["width", "centres", "length", "curve", "clear"])
def test_a_missing_measure_leaves_the_side_unknown(name):
    check = side(**{name: None})
    assert check.status == "unknown" and check.note.startswith("Unknown: ")


def test_side_values_out_of_range_are_refused():
    with pytest.raises(ValueError, match="truck centres must be more than 0; found 0 ft"):
        side(centres=NOTHING, curve=0 * DEGREE)
    with pytest.raises(ValueError, match="width must be more than 0; found -120 in"):
        side(width=-10 * FOOT)


def test_the_lowest_plate_that_holds_is_found_in_any_order_of_rows():
    assert [plate(120, tall, 40).subject for tall in (181, 181.1, 186.1)] == ["Plate B", "Plate C", "Plate F"]


def test_long_truck_centres_narrow_the_plate():
    assert plate(127, 181, 50).subject == "no plate"
    assert plate(122, 181, 50).subject == "Plate B"
    assert plate(125, 181, 50).subject == "Plate C"


def test_outside_every_plate_the_nearest_is_named_with_what_is_over():
    check = plate(120, 210, 40)
    assert (check.subject, check.status) == ("no plate", "fail")
    assert check.margin.m_as("in") == pytest.approx(-6)
    assert "Compared with Plate F" in check.note


def test_a_plate_needs_measures_and_rows():
    check = load_outline.plate(None, 15 * FOOT, 40 * FOOT, PLATES, 13 * DEGREE)
    assert check.status == "unknown" and "greatest width" in check.note
    with pytest.raises(ValueError, match="give at least 1 clearance plate; found none"):
        load_outline.plate(10 * FOOT, 15 * FOOT, 40 * FOOT, [], 13 * DEGREE)


def test_combined_centre_of_gravity_refuses_what_cannot_be_weighed():
    with pytest.raises(ValueError, match="every weight must be more than 0; found 0 lb"):
        load_outline.combined_centre_of_gravity(Quantity([0, 1], "lb"), Quantity([1, 1], "in"))
    with pytest.raises(ValueError, match="every height must be at least 0; found -1 in"):
        load_outline.combined_centre_of_gravity(Quantity([1, 1], "lb"), Quantity([-1, 1], "in"))
    with pytest.raises(ValueError, match="give one height for each weight; found 2 weights, 1 heights"):
        load_outline.combined_centre_of_gravity(Quantity([1, 1], "lb"), Quantity([1], "in"))


def test_a_high_centre_of_gravity_fails_and_a_missing_one_is_unknown():
    assert load_outline.centre_of_gravity_height(99 * INCH, 98 * INCH, "load").margin.m_as("in") == pytest.approx(-1)
    assert load_outline.centre_of_gravity_height(None, 98 * INCH, "load").status == "unknown"


def test_a_curve_too_sharp_fails_by_its_degrees():
    check = clearance.curve_limit(16 * DEGREE, 14 * DEGREE, "rigid frame")
    assert check.status == "fail" and check.margin.m_as("degree") == pytest.approx(-2)
    assert clearance.curve_limit(0 * DEGREE, 14 * DEGREE, "rigid frame").status == "pass"
    assert clearance.curve_limit(None, 14 * DEGREE, "lead").note.startswith("Unknown: ask for the track chart")
    assert clearance.curve_limit(9 * DEGREE, None, "lead").status == "unknown"


@pytest.mark.parametrize(("inches", "status"), [(33, "pass"), (34.5, "marginal"), (31.4, "fail"), (34.6, "fail")])
def test_a_coupler_outside_its_band_fails_on_either_side(inches, status):
    assert clearance.coupler_height(inches * INCH, 31.5 * INCH, 34.5 * INCH).status == status


def test_a_coupler_not_measured_is_unknown_and_a_band_upside_down_is_refused():
    assert clearance.coupler_height(None, 31.5 * INCH, 34.5 * INCH).status == "unknown"
    with pytest.raises(ValueError, match=r"lowest must be less than the highest, 31\.5 in; found 34\.5 in"):
        clearance.coupler_height(33 * INCH, 34.5 * INCH, 31.5 * INCH)
