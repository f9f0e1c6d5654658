"""Tension in the two legs of a sling, even or uneven."""

import pytest

from heritagemove.checks.lift import slings
from heritagemove.units.units import Quantity

LOWEST = Quantity(30, "deg")


def lb(number):
    return Quantity(number, "lb")


def test_the_vertical_parts_of_uneven_legs_add_up_to_the_weight():
    tension = slings.unequal_sling_tensions(
        lb(10000), Quantity(3, "ft"), Quantity(5, "ft"), Quantity(6, "ft"), LOWEST
    ).m_as("lbf")
    assert tension[0] * 6 / 45**0.5 + tension[1] * 6 / 61**0.5 == pytest.approx(10000)


def test_one_flat_leg_of_an_uneven_pair_is_refused():
    with pytest.raises(ValueError, match=r"^a sling leg must stand at 30 to 90 deg from the horizontal; found 26\.6 deg$"):
        slings.unequal_sling_tensions(
            lb(10000), Quantity(3, "ft"), Quantity(12, "ft"), Quantity(6, "ft"), LOWEST
        )


def test_a_leg_at_exactly_the_lowest_angle_is_allowed():
    height = Quantity(10, "ft")
    flat = height * 3**0.5
    tension = slings.unequal_sling_tensions(lb(5000), flat, flat, height, LOWEST)
    assert tension.m_as("lbf") == pytest.approx([5000, 5000])
