"""Our short list of units against pint's own: the same factors to the last digit, the same signs."""

import pint
import pytest

from heritagemove.units.names import COUNTED_UNITS, CURRENCIES
from heritagemove.units.units import _SPELLINGS, REGISTRY

THEIRS = pint.UnitRegistry(cache_folder=None)
OWN = {*CURRENCIES, *COUNTED_UNITS}
# Whatever the package names beside the spellings of a cell, with what it is measured in.
NAMES = {name for name in _SPELLINGS if name not in OWN} | {
    "lbf", "lbf/short_ton", "kip*ft", "lb/ft**2", "psi", "kPa", "kN", "N", "km/hour", "mph", "m**2", "ft**2", "tonne/m**2",
    "radian", "standard_gravity", "month", "year", "pound_force", "horsepower", "volt", "mm", "lbf/ft", "watt", "week",
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(NAMES))
def test_a_unit_is_worth_what_pint_says(name):
    ours, theirs = REGISTRY.Quantity(1.0, name).to_base_units(), THEIRS.Quantity(1.0, name).to_base_units()
    # Grams stand where pint's own list has kilograms.
    assert ours.m_as(str(theirs.units)) == pytest.approx(theirs.magnitude, rel=1e-15)


@pytest.mark.parametrize("name", sorted(NAMES - {"short_ton", "lbf/short_ton"}))
def test_a_unit_is_shown_as_pint_shows_it(name):
    assert f"{REGISTRY.Unit(name):~P}" == f"{THEIRS.Unit(name):~P}"


def test_a_unit_that_no_table_uses_is_not_known():
    with pytest.raises(pint.UndefinedUnitError):
        REGISTRY.Unit("furlong")
