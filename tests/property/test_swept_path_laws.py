"""Laws of off-tracking: wider paths and shorter wheelbases need less road, SI gives the same."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from heritagemove.checks.road.swept_path import off_tracking, steady_turn
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


@LAW
@given(RADII, WHEELBASES, WIDTHS, st.floats(0, 5), st.floats(15, 60))
def test_a_wider_load_never_raises_the_margin(radius_ft, wheelbases_ft, width_ft, more_ft, available_ft):
    radius, wheelbases, available = Quantity(radius_ft, "ft"), feet(wheelbases_ft), Quantity(available_ft, "ft")
    widths = Quantity(width_ft, "ft"), Quantity(width_ft + more_ft, "ft")
    narrow, wide = (steady_turn(width, radius, wheelbases, available, "gate") for width in widths)
    assert (narrow.status == "unknown") == (wide.status == "unknown")
    if narrow.status != "unknown":
        assert (narrow.margin - wide.margin).m_as("ft") == pytest.approx(more_ft, abs=1e-9)


@LAW
@given(RADII, WHEELBASES, WIDTHS, st.floats(15, 60))
def test_metres_give_the_same_margin(radius_ft, wheelbases_ft, width_ft, available_ft):
    assume(abs(radius_ft**2 - sum(length**2 for length in wheelbases_ft)) > 1e-3)
    given_ft = [Quantity(width_ft, "ft"), Quantity(radius_ft, "ft"), feet(wheelbases_ft), Quantity(available_ft, "ft")]
    trade = steady_turn(*given_ft, "gate")
    metric = steady_turn(*(length.to("m") for length in given_ft), "gate")
    if trade.status == "unknown":
        assert metric.status == "unknown"
    else:
        assert metric.margin.m_as("ft") == pytest.approx(trade.margin.m_as("ft"), abs=1e-6)
