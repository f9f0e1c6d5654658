"""Off-tracking, swept width, the turn check."""

import numpy as np
import pytest

from heritagemove.checks.road.swept_path import off_tracking, steady_turn
from heritagemove.units.units import Quantity

FOOT = Quantity(1, "ft")


def feet(*values):
    return Quantity(np.array(values, dtype=float), "ft")


def test_contributions_of_wheelbases_add_as_squares():
    two = off_tracking(100 * FOOT, feet(30, 40)).m_as("ft")
    assert two == pytest.approx(off_tracking(100 * FOOT, feet(50)).m_as("ft"))


def test_a_kingpin_ahead_of_the_drive_axle_lessens_off_tracking():
    plain = off_tracking(100 * FOOT, feet(18, 40)).m_as("ft")
    offset = off_tracking(100 * FOOT, feet(18, -1.5, 40)).m_as("ft")
    assert offset < plain
    assert offset == pytest.approx(100 - (100**2 - 18**2 + 1.5**2 - 40**2) ** 0.5)


def test_a_list_of_wheelbases_is_read_as_an_array():
    assert off_tracking(100 * FOOT, [18 * FOOT, 40 * FOOT]) == off_tracking(100 * FOOT, feet(18, 40))


def test_a_transporter_that_steers_every_line_does_not_off_track():
    assert off_tracking(30 * FOOT, feet(0)).m_as("ft") == 0


@pytest.mark.parametrize("radius", [41, 49.5])
def test_no_real_root_is_none_and_not_a_crash(radius):
    wheelbases = feet(19.5, 45.5)
    assert off_tracking(radius * FOOT, wheelbases) is None


def test_a_wide_enough_turn_passes_with_the_feet_to_spare():
    found = steady_turn(10 * FOOT, 100 * FOOT, feet(18, 60), 40 * FOOT, "gate")
    assert found.status == "pass"
    assert found.margin.m_as("ft") == pytest.approx(40 - 10 - 22.051, abs=1e-3)


def test_a_narrow_turn_fails_by_what_is_missing():
    found = steady_turn(10 * FOOT, 100 * FOOT, feet(18, 60), 30 * FOOT, "gate")
    assert found.status == "fail"
    assert found.margin.m_as("ft") == pytest.approx(30 - 32.051, abs=1e-3)


def test_a_turn_too_tight_for_steady_state_is_unknown_in_words():
    found = steady_turn(8.5 * FOOT, 41 * FOOT, feet(19.5, 45.5), 60 * FOOT, "gate")
    assert (found.status, found.margin) == ("unknown", None)
    assert found.note == (
        "Unknown: steady state is not reached on 41.0 ft, so the formula gives no width; have the hauler draw "
        "the swept path of this trailer, steered axles included."
    )


def test_the_radius_in_that_note_is_not_rounded_to_one_that_would_do():
    note = steady_turn(8.5 * FOOT, 49.5 * FOOT, feet(19.5, 45.5), 60 * FOOT, "gate").note
    assert "not reached on 49.5 ft" in note
    assert off_tracking(50 * FOOT, feet(19.5, 45.5)) is not None


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ({"width": None}, "get the loaded width"),
        ({"wheelbases": None}, "axle spacings from the hauler"),
        ({"radius": None}, "measure the turn"),
        ({"available_width": None}, "measure the turn"),
    ],
)
def test_missing_measurements_are_unknown_and_say_what_to_measure(missing, words):
    given = {"width": FOOT, "radius": 100 * FOOT, "wheelbases": feet(20), "available_width": 20 * FOOT}
    found = steady_turn(**{**given, **missing}, subject="gate")
    assert found.status == "unknown"
    assert words in found.note


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: off_tracking(0 * FOOT, feet(20)), "turning radius must be more than 0; found 0 ft"),
        (lambda: off_tracking(50 * FOOT, feet()), "give at least 1 wheelbase, the first at least 0; found none"),
        (
            lambda: off_tracking(50 * FOOT, feet(-2, 20)),
            "give at least 1 wheelbase, the first at least 0; found -2 ft, 20 ft",
        ),
        (
            lambda: off_tracking(50 * FOOT, feet(2, -20)),
            "hitch offsets must be shorter than the wheelbases; found them longer",
        ),
        (lambda: steady_turn(-1 * FOOT, 50 * FOOT, feet(20), 20 * FOOT, "gate"), "width must be more than 0; found -1 ft"),
        (
            lambda: steady_turn(8 * FOOT, 50 * FOOT, feet(20), 0 * FOOT, "gate"),
            "available width must be more than 0; found 0 ft",
        ),
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message
