"""Concentrated weight and centre of gravity on a flat car."""

import pytest

from heritagemove.checks.rail import load_placement
from heritagemove.units.units import Quantity

ROWS = (Quantity([10, 24], "ft"), (0.666, 0.75, 0.90, 1.00))
ZONES = ((0.666, 0.75, 0.87, 0.90), (1 / 2, 1 / 3, 1 / 7, 1 / 10))


LIMIT = Quantity(100000, "lb")


def concentration(load_lb=60000, length_ft=18, centres_ft=40, limit=LIMIT, rows=ROWS):
    return load_placement.load_concentration(
        Quantity(load_lb, "lb"), limit, Quantity(length_ft, "ft"), Quantity(centres_ft, "ft"), *rows
    )


def offset(load_lb=75924, offset_ft=4.0, limit_lb=114000, zones=ZONES):
    return load_placement.load_offset(
        Quantity(load_lb, "lb"),
        Quantity(limit_lb, "lb"),
        Quantity(offset_ft, "ft"),
        Quantity(40, "ft"),
        *zones,
    )


@pytest.mark.parametrize(
    ("length_ft", "capacity_lb"),
    [(9, 66600), (10, 66600), (10.1, 75000), (24, 75000), (24.1, 90000), (40, 90000), (40.1, 100000)],
)
def test_a_longer_load_may_use_more_of_the_load_limit(length_ft, capacity_lb):
    assert concentration(length_ft=length_ft).capacity.m_as("lb") == pytest.approx(capacity_lb)


def test_a_short_heavy_body_fails_by_the_pounds_over():
    check = concentration(load_lb=80000)
    assert check.status == "fail"
    assert check.margin.m_as("lb") == pytest.approx(-5000)


def test_an_unread_stencil_is_unknown():
    check = concentration(limit=None)
    assert check.status == "unknown"
    assert "load limit" in check.note


def test_shares_that_do_not_fit_the_lengths_are_refused():
    with pytest.raises(ValueError, match="give 4 shares of more than 0 and at most 1"):
        concentration(rows=(ROWS[0], (0.666, 0.75, 0.90)))
    with pytest.raises(ValueError, match="give 4 shares of more than 0 and at most 1"):
        concentration(rows=(ROWS[0], (0.666, 0.75, 0.90, 1.5)))


@pytest.mark.parametrize("change", [{"load_lb": 0}, {"length_ft": -1}, {"centres_ft": 0}])
def test_weights_and_lengths_must_be_above_nought(change):
    with pytest.raises(ValueError, match="must be more than 0; found"):
        concentration(**change)


def test_the_worked_example_leaves_ten_feet_to_the_truck_centre():
    check = offset()
    assert check.capacity.m_as("ft") == pytest.approx(10)
    assert check.margin.m_as("ft") == pytest.approx(6)


def test_a_centre_of_gravity_counts_the_same_on_either_side():
    assert offset(offset_ft=-11).margin == offset(offset_ft=11).margin
    assert offset(offset_ft=-11).status == "fail"


@pytest.mark.parametrize("part", [0.3, 0.666, 0.7, 0.75, 0.8, 0.87, 0.88, 0.9])
def test_no_published_zone_is_wider_than_statics_allows(part):
    allowed_ft = offset(load_lb=part * 100000, limit_lb=100000).capacity.m_as("ft")
    assert part * (1 + allowed_ft / 20) <= 1 + 1e-3


def test_above_the_published_rows_it_is_unknown():
    check = offset(load_lb=95000, limit_lb=100000)
    assert check.status == "unknown"
    assert "95.0% of the load limit" in check.note


def test_missing_data_are_unknown_and_shuffled_rows_refused():
    missing = load_placement.load_offset(
        None, Quantity(1, "lb"), Quantity(1, "ft"), Quantity(1, "ft"), *ZONES
    )
    assert missing.status == "unknown"
    with pytest.raises(ValueError, match="load shares must rise, each with one zone"):
        offset(zones=((0.9, 0.75), (0.1, 0.3)))
