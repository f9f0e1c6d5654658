"""Sling tension in even and uneven bridles."""

import pytest

from heritagemove.checks.lift import slings
from heritagemove.units.units import Quantity

LOWEST = Quantity(30, "deg")


def lb(number):
    return Quantity(number, "lb")


def test_four_legs_on_a_rigid_body_count_as_two_unless_the_rigger_says_more():
    angle = Quantity(45, "deg")
    two = slings.sling_tension(lb(100000), 4, angle, LOWEST)
    four = slings.sling_tension(lb(100000), 4, angle, LOWEST, carrying_legs=4)
    assert two.m_as("lbf") == pytest.approx(70711, abs=1)
    assert four.m_as("lbf") == pytest.approx(35355, abs=1)


def test_a_single_leg_carries_the_whole_weight():
    assert slings.sling_tension(lb(1000), 1, Quantity(90, "deg"), LOWEST).m_as("lbf") == pytest.approx(1000)


@pytest.mark.parametrize("degrees", [29.9, 0, -60, 90.5])
def test_a_leg_flatter_than_allowed_or_past_upright_is_refused(degrees):
    with pytest.raises(ValueError) as error:
        slings.sling_tension(lb(1000), 2, Quantity(degrees, "deg"), LOWEST)
    assert str(error.value) == (
        f"a sling leg must stand at 30 to 90 deg from the horizontal; found {degrees:.1f} deg"
    )


@pytest.mark.parametrize("carrying", [0, 3, -1])
def test_more_carrying_legs_than_attached_are_refused(carrying):
    with pytest.raises(ValueError, match=f"carrying legs must be 1 to the 2 attached; found {carrying}"):
        slings.sling_tension(lb(1000), 2, Quantity(60, "deg"), LOWEST, carrying)


def test_the_vertical_parts_of_uneven_legs_add_up_to_the_weight():
    tension = slings.unequal_sling_tensions(
        lb(10000), Quantity(3, "ft"), Quantity(5, "ft"), Quantity(6, "ft"), LOWEST
    ).m_as("lbf")
    assert tension[0] * 6 / 45**0.5 + tension[1] * 6 / 61**0.5 == pytest.approx(10000)


def test_one_flat_leg_of_an_uneven_pair_is_refused():
    with pytest.raises(ValueError, match=r"found 26\.6 deg"):
        slings.unequal_sling_tensions(
            lb(10000), Quantity(3, "ft"), Quantity(12, "ft"), Quantity(6, "ft"), LOWEST
        )


def test_a_leg_at_exactly_the_lowest_angle_is_allowed():
    height = Quantity(10, "ft")
    flat = height * 3**0.5
    tension = slings.unequal_sling_tensions(lb(5000), flat, flat, height, LOWEST)
    assert tension.m_as("lbf") == pytest.approx([5000, 5000])
