"""Laws of off-tracking: wider paths and shorter wheelbases need less road, SI gives the same."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from heritagemove.checks.road.swept_path import RigidBody, least_turn_width, off_tracking, steady_turn_width
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
RADII = st.floats(20, 400)
WHEELBASES = st.lists(st.floats(5, 60), min_size=1, max_size=4)
WIDTHS = st.floats(8, 20)


def feet(values):
    return Quantity(np.array(values), "ft")


def off(radius_ft, wheelbases_ft):
    found = off_tracking(Quantity(radius_ft, "ft"), feet(wheelbases_ft))
    return None if found is None else found.m_as("ft")


@LAW
@given(RADII, WHEELBASES)
def test_off_tracking_is_none_exactly_where_the_root_is_not_real(radius_ft, wheelbases_ft):
    found = off(radius_ft, wheelbases_ft)
    squares = sum(length**2 for length in wheelbases_ft)
    assume(abs(radius_ft**2 - squares) > 1e-6)
    assert (found is None) == (radius_ft**2 < squares)
    if found is not None:
        assert 0 < found < radius_ft


@LAW
@given(RADII, st.floats(0, 100), WHEELBASES)
def test_a_wider_path_off_tracks_no_more(radius_ft, more_ft, wheelbases_ft):
    tight = off(radius_ft, wheelbases_ft)
    assume(tight is not None)
    assert off(radius_ft + more_ft, wheelbases_ft) <= tight + 1e-9


@LAW
@given(RADII, WHEELBASES)
def test_the_order_of_wheelbases_does_not_matter(radius_ft, wheelbases_ft):
    assert off(radius_ft, wheelbases_ft) == pytest.approx(off(radius_ft, wheelbases_ft[::-1]))


def least(length_ft, width_ft, radius_ft, angle):
    found = least_turn_width(*(Quantity(x, "ft") for x in (length_ft, width_ft, radius_ft)), Quantity(angle, "degree"))
    return None if found is None else found.m_as("ft")


@LAW
@given(st.floats(5, 100), WIDTHS, RADII, st.floats(0, 360), st.floats(0, 60))
def test_a_longer_or_wider_body_a_longer_or_tighter_turn_never_needs_less(length_ft, width_ft, radius_ft, angle, more):
    base = least(length_ft, width_ft, radius_ft, angle)
    assume(base is not None)
    assert base >= width_ft - 1e-9
    harder = (
        least(length_ft + more, width_ft, radius_ft, angle),
        least(length_ft, width_ft + more, radius_ft, angle),
        least(length_ft, width_ft, radius_ft, min(angle + more, 360)),
    )
    assert all(found is None or found >= base - 1e-9 for found in harder)
    assert least(length_ft, width_ft, radius_ft + more, angle) <= base + 1e-9


@LAW
@given(st.floats(5, 100), WIDTHS, RADII, st.floats(0, 360))
def test_metres_give_the_same_least_width(length_ft, width_ft, radius_ft, angle):
    assume(abs(length_ft - 2 * radius_ft) > 1e-3)
    given_ft = [Quantity(x, "ft") for x in (length_ft, width_ft, radius_ft)]
    metric = least_turn_width(*(length.to("m") for length in given_ft), Quantity(angle, "degree"))
    trade = least(length_ft, width_ft, radius_ft, angle)
    assert (metric is None) == (trade is None)
    if trade is not None:
        assert metric.m_as("ft") == pytest.approx(trade, abs=1e-6)


@LAW
@given(RADII, st.floats(10, 60), st.floats(8, 12), st.floats(0, 6))
def test_a_long_turn_takes_at_least_what_any_steering_of_its_load_does(radius_ft, length_ft, width_ft, over_ft):
    """The load from its hitch to its axles and as far behind them as given."""
    foot = Quantity(1.0, "ft")
    body = RigidBody((length_ft + over_ft) * foot, width_ft * foot, length_ft * foot)
    steady = steady_turn_width(radius_ft * foot, [15 * foot, length_ft * foot], 8 * foot, 3 * foot, [body])
    assume(steady is not None)
    assert steady.m_as("ft") >= least(length_ft + over_ft, width_ft, radius_ft, 360) - 1e-9
