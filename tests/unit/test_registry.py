"""The short way of a conversion gives what pint's own long way gives, to the last digit."""

import copy
import itertools

import numpy as np
import pint
import pytest

from heritagemove.units.registry import REGISTRY, Quantity
from heritagemove.units.units import _SPELLINGS

NAMES = sorted({*_SPELLINGS, "", "lbf", "lbf/short_ton", "kip*ft", "lb/ft**2", "psi", "km/hour", "mph", "USD/crane_hour"})
ALIKE = [
    (name, other)
    for name, other in itertools.permutations(NAMES, 2)
    if REGISTRY.Unit(name).dimensionality == REGISTRY.Unit(other).dimensionality
]


@pytest.mark.parametrize("amount", [3.7, 12, np.array([0.1, 2.0, -3.3]), np.array([1, 2])], ids=repr)
def test_a_number_in_another_unit_is_what_pint_says_each_time_it_is_asked(amount):
    assert len(ALIKE) > 50
    for name, other in ALIKE:
        theirs, unit = REGISTRY.convert(amount, name, other), REGISTRY.Unit(other)
        for _ in range(2):
            found = Quantity(amount, name)
            assert np.array_equal(found.m_as(other), theirs) and np.array_equal(found.m_as(unit), theirs)
            assert found.to(other).units == unit and np.array_equal(found.to(found.to(unit)).magnitude, theirs)


def test_a_conversion_leaves_the_quantity_as_it_was():
    lengths = Quantity(np.array([1.0, 2.0]), "ft")
    assert lengths.to("in").magnitude.tolist() == [12.0, 24.0] and lengths.magnitude.tolist() == [1.0, 2.0]
    assert copy.deepcopy(lengths).m_as("in").tolist() == [12.0, 24.0]


def test_another_kind_of_unit_is_refused_each_time_it_is_asked():
    for _ in range(2):
        with pytest.raises(pint.DimensionalityError, match=r"Cannot convert from 'foot' .* to 'pound'"):
            Quantity(1.0, "ft").to("lb")
        with pytest.raises(pint.UndefinedUnitError):
            Quantity(1.0, "furlong")


def test_a_number_in_its_own_unit_stays_the_same_number():
    assert type(Quantity(3, "ft").m_as("foot")) is int and Quantity(0.1, "ft").m_as("ft") == 0.1
