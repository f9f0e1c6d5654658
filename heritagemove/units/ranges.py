"""The door from quantities to plain numbers: what is refused is named, with its unit and the range that is allowed."""

from __future__ import annotations

import math

import numpy as np
import pint

from heritagemove.units.units import REGISTRY, value


def positive(quantity: pint.Quantity, unit: str, name: str = "value", digits: int | None = None) -> float:
    """Return the magnitude of a quantity that must be more than zero.

    Parameters
    ----------
    quantity : pint.Quantity
    unit : str
        Unit of the number that is returned.
    name : str
        What it is, for the message.
    digits : int, optional
        Rounded to as many: what is typed in kilograms or metres then meets a limit exactly, not missed by the last digit.

    Raises
    ------
    TypeError
        If a bare number is given, or the quantity measures something else.
    ValueError
        If it is zero, negative, not a number or infinite.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> positive(Quantity(0, "lb"), "lb", "weight")
    Traceback (most recent call last):
    ...
    ValueError: weight must be more than 0; found 0 lb
    """
    number = above_zero(value(quantity, unit, name), name, unit)
    return number if digits is None else round(number, digits)


def not_negative(quantity: pint.Quantity, unit: str, name: str = "value", digits: int | None = None) -> float:
    """Return the magnitude of a quantity that must be at least zero; otherwise as :func:`positive`."""
    number = value(quantity, unit, name)
    if not 0 <= number < math.inf:
        raise ValueError(f"{name} must be at least 0; found {number:,g} {_shown(unit)}")
    return number if digits is None else round(number, digits)


def between(quantity: pint.Quantity, unit: str, name: str, low: float, high: float) -> float:
    """Return the magnitude of a quantity that must lie between two numbers, both included.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> between(Quantity(120, "percent"), "percent", "grade", 0, 100)
    Traceback (most recent call last):
    ...
    ValueError: grade must be 0 to 100 percent; found 120 percent
    """
    number = value(quantity, unit, name)
    if not low <= number <= high:
        raise ValueError(f"{name} must be {low:g} to {high:g} {unit}; found {number:g} {unit}")
    return number


def all_positive(quantity: pint.Quantity, unit: str, name: str) -> np.ndarray:
    """Return the magnitudes of a quantity, a number or an array with at least one, that must all be more than zero."""
    if not isinstance(quantity, pint.Quantity) or np.ndim(quantity.magnitude) == 0:
        return np.asarray(positive(quantity, unit, name))
    numbers = np.asarray(quantity.m_as(unit), dtype=float)
    if not numbers.size:
        raise ValueError(f"give at least 1 {name}; found none")
    bad = numbers[~((numbers > 0) & (numbers < math.inf))]
    if bad.size:
        raise ValueError(f"every {name} must be more than 0; found {bad[0]:,g} {_shown(unit)}")
    return numbers


def above_zero(number: float, name: str, unit: str = "") -> float:
    """Return a plain number that must be more than zero."""
    if not 0 < number < math.inf:
        raise ValueError(f"{name} must be more than 0; found {number:,g} {_shown(unit)}".rstrip())
    return number


def fraction(number: float | pint.Quantity, name: str) -> float:
    """Return a part of a whole, a plain number or a per cent, that must be more than 0 and at most 1."""
    part = value(number, "dimensionless", name) if isinstance(number, pint.Quantity) else float(number)
    if not 0 < part <= 1:
        raise ValueError(f"{name} must be more than 0 and at most 1; found {part:g}")
    return part


def at_least(number: float, least: float, name: str) -> float:
    """Return a plain number that must not be less than another, nor infinite."""
    if not least <= number < math.inf:
        raise ValueError(f"{name} must be at least {least}; found {number}")
    return number


def _shown(unit: str) -> str:
    return f"{REGISTRY.Unit(unit):~P}" if "*" in unit else unit
