"""The one unit registry: pint's, with the conversions that are asked many thousands of times kept beside it.

pint works each conversion out through eight calls. What it finds hangs on the two units alone: it is asked once.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import pint
from pint.util import UnitsContainer

from heritagemove.units.definitions import LINES

#: Magnitudes that pint keeps as they are.
_NUMBERS = frozenset((float, int, np.float64, np.ndarray))


class _Quantity(pint.UnitRegistry.Quantity):
    """A quantity whose conversion is one multiplication."""

    def __new__(cls, value: Any, units: Any = None) -> _Quantity:
        """Make a quantity; of a number or an array and a unit without pint's search for what else they could be."""
        if type(value) not in _NUMBERS or type(units) not in (str, UnitsContainer):
            return super().__new__(cls, value, units)
        quantity, registry = object.__new__(cls), cls._REGISTRY
        quantity._magnitude = value
        quantity._units = registry.parse_units(units)._units if type(units) is str else registry.one(units)
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
        self._ones: dict[Any, Any] = {}
        super().__init__(lines, cache_folder=None)

    def factor(self, units: Any, wanted: Any) -> Any:
        """Return by what a number in some units is multiplied to be in others; None where they are the same."""
        key = units, wanted
        if key not in self._factors:
            same = units == (self.parse_units(wanted)._units if isinstance(wanted, str) else wanted)
            self._factors[key] = None if same else self.convert(1, units, wanted)
        return self._factors[key]

    def one(self, units: Any) -> Any:
        """Return the first of all units that are the same: a look-up knows it at sight and need not compare."""
        return self._ones.setdefault(units, units)

    def parse_units(self, input_string: str, *how: Any, **given: Any) -> pint.Unit:
        """Return the unit of a name, which is read once."""
        if how or given:
            return super().parse_units(input_string, *how, **given)
        if input_string not in self._parsed:
            unit = self._parsed[input_string] = super().parse_units(input_string)
            unit._units = self.one(unit._units)
        return self._parsed[input_string]


REGISTRY = Registry(LINES)
REGISTRY.formatter.default_format = "~P"

Quantity = REGISTRY.Quantity
