"""What is refused at the door of a formula is named, with its unit and the range that is allowed."""

import numpy as np
import pytest

from heritagemove.checks.axles import axle_layout
from heritagemove.units import ranges
from heritagemove.units.units import Quantity


def lb(number):
    return Quantity(number, "lb")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: ranges.positive(lb(-5), "lb", "weight"), "weight must be more than 0; found -5 lb"),
        (lambda: ranges.positive(lb(np.inf), "lb", "weight"), "weight must be more than 0; found inf lb"),
        (lambda: ranges.positive(lb(np.nan), "lb", "weight"), "weight must be more than 0; found nan lb"),
        (lambda: ranges.positive(Quantity(0, "ft**2"), "ft ** 2", "mat"), "mat must be more than 0; found 0 ft²"),
        (lambda: ranges.not_negative(lb(-1), "lb", "tare"), "tare must be at least 0; found -1 lb"),
        (lambda: ranges.between(lb(3), "lb", "load", 0, 2), "load must be 0 to 2 lb; found 3 lb"),
        (lambda: ranges.all_positive(lb([1, 0, -1]), "lb", "load"), "every load must be more than 0; found 0 lb"),
        (lambda: ranges.all_positive(lb([]), "lb", "load"), "give at least 1 load; found none"),
        (lambda: ranges.above_zero(0, "span"), "span must be more than 0; found 0"),
        (lambda: ranges.fraction(Quantity(120, "percent"), "share"), "share must be more than 0 and at most 1; found 1.2"),
        (lambda: ranges.at_least(np.inf, 1, "factor"), "factor must be at least 1; found inf"),
        (lambda: axle_layout(Quantity([0, 4], "ft"), lb([1])), "give one position for each axle load; found 2 and 1"),
        (
            lambda: axle_layout(Quantity([4, 0], "ft"), lb([1, 1])),
            "axle positions must rise from front to rear; found 4, 0 ft",
        ),
    ],
)
def test_what_is_out_of_its_range_is_named_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message


@pytest.mark.parametrize("reader", [ranges.positive, ranges.not_negative, ranges.all_positive])
def test_a_bare_number_and_another_kind_of_quantity_are_refused(reader):
    with pytest.raises(TypeError, match="weight must be a quantity in lb; found the bare number 5"):
        reader(5, "lb", "weight")
    with pytest.raises(TypeError, match="weight must be a quantity in lb; found 5 ft"):
        reader(Quantity(5, "ft"), "lb", "weight")


def test_a_limit_typed_in_kilograms_is_met_exactly_where_digits_are_asked():
    typed = Quantity(36000 * 0.45359237, "kg")
    assert ranges.positive(typed, "lb", "load", 6) == 36000
    assert ranges.not_negative(typed, "lb", "load", 6) == 36000
