"""The one unit registry: pint's, with the conversions that are asked many thousands of times kept beside it.

pint works each conversion out through eight calls. What it finds hangs on the two units alone: it is asked once.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pint

from heritagemove.units.definitions import LINES


class _Quantity(pint.UnitRegistry.Quantity):
    """A quantity whose conversion is one multiplication."""

    def __new__(cls, value: Any, units: Any = None) -> _Quantity:
        """Make a quantity; of a plain number and the name of a unit without pint's search for what else they could be."""
        if type(value) is not float or type(units) is not str:
            return super().__new__(cls, value, units)
        quantity = object.__new__(cls)
        quantity._magnitude, quantity._units = value, cls._REGISTRY.parse_units(units)._units
        return quantity

    def m_as(self, units: str | pint.Unit) -> Any:
        """Return the magnitude in a unit."""
        factor = self._REGISTRY.factor(self._units, units if isinstance(units, str) else units._units)
        return self._magnitude if factor is None else self._magnitude * factor

    def to(self, other: Any = None, *contexts: Any, **given: Any) -> pint.Quantity:
        """Return the quantity in another unit."""
        if contexts or given or not isinstance(other, str | pint.Unit):
            return super().to(other, *contexts, **given)
        return self.__class__(self.m_as(other), other)


class Registry(pint.UnitRegistry):
    """pint's registry of the units in a list, none of which has an offset as a temperature has."""

    Quantity = _Quantity

    def __init__(self, lines: Iterable[str]) -> None:
        self._factors: dict[tuple[Any, Any], Any] = {}
        self._parsed: dict[str, pint.Unit] = {}
        super().__init__(lines, cache_folder=None)

    def factor(self, units: Any, wanted: Any) -> Any:
        """Return by what a number in some units is multiplied to be in others; None where they are the same."""
        key = units, wanted
        if key not in self._factors:
            same = units == (self.parse_units(wanted)._units if isinstance(wanted, str) else wanted)
            self._factors[key] = None if same else self.convert(1, units, wanted)
        return self._factors[key]

    def parse_units(self, input_string: str, *how: Any, **given: Any) -> pint.Unit:
        """Return the unit of a name, which is read once."""
        if how or given:
            return super().parse_units(input_string, *how, **given)
        if input_string not in self._parsed:
            self._parsed[input_string] = super().parse_units(input_string)
        return self._parsed[input_string]


REGISTRY = Registry(LINES)
REGISTRY.formatter.default_format = "~P"

Quantity = REGISTRY.Quantity
