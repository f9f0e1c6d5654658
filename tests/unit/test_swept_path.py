"""Off-tracking of wheelbases one behind the other."""

import numpy as np
import pytest

from heritagemove.checks.road.swept_path import off_tracking
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
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message
