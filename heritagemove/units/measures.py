"""How a measure is shown: in the units a museum's planners think in, US customary or SI."""

from __future__ import annotations

import functools
import itertools
from typing import Literal

import pint

from heritagemove.units.units import REGISTRY, show

#: What ``units`` in museum.toml may say.
System = Literal["US", "SI"]

#: A unit of each kind that is shown in a way of its own.
_KINDS = {
    "plain": "", "length": "ft", "mass": "lb", "speed": "mph", "area": "ft**2", "force": "lbf", "force on area": "psi",
    "mass on area": "lb/ft**2",
}  # fmt: skip


@functools.cache
def _kind(unit: pint.Unit) -> str:
    """Return what a unit measures; degree and mile by name, for they are shown as they are."""
    same = (name for name in ("degree", "mile") if unit == REGISTRY.Unit(name))
    alike = (kind for kind, one in _KINDS.items() if unit.dimensionality == REGISTRY.Unit(one).dimensionality)
    return next(itertools.chain(same, alike), "")


def show_measure(quantity: pint.Quantity, system: System = "US") -> str:
    """Show a length, weight, speed or pressure in one system of units; anything else as it is.

    Parameters
    ----------
    quantity : pint.Quantity
        A scalar.
    system : {"US", "SI"}
        US: miles, feet and inches, pounds. SI: km, m, mm, t, kg, km/h, kN, kPa; what a weight on an
        area presses is shown as the pressure under standard gravity.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> load, height = Quantity(230000, "lb"), Quantity(14.5, "ft")
    >>> show_measure(load), show_measure(height)
    ('230,000 lb', '14 ft 6 in')
    >>> show_measure(load, "SI"), show_measure(height, "SI")
    ('104.3 t', '4.42 m')
    """
    kind = _kind(quantity.units)
    if kind == "degree":
        return f"{quantity.magnitude:.1f}°"
    if kind == "plain":
        return f"{quantity.m_as(''):.3g}"
    return (_in_si if system == "SI" else _in_us)(quantity, kind)


def _feet(feet: float, inches: float) -> str:
    """Say feet and inches, a tenth of an inch only where there is one."""
    said = [f"{feet:.0f} ft"] * bool(feet) + [f"{inches:.1f}".removesuffix(".0") + " in"] * bool(inches or not feet)
    return " ".join(said)


def _in_us(quantity: pint.Quantity, kind: str) -> str:
    if kind == "mile":
        return f"{quantity.magnitude:,.1f} miles"
    if kind == "length":
        feet, inches = divmod(round(abs(quantity.m_as("in")), 1), 12)
        sign = "-" if quantity.magnitude < 0 else ""
        return sign + _feet(feet, inches)
    if kind == "mass":
        return show(quantity, "lb")
    return show(quantity, digits=0 if abs(quantity.magnitude) >= 100 else 1)


def _in_si(quantity: pint.Quantity, kind: str) -> str:
    if kind in ("mile", "length"):
        metres = abs(quantity.m_as("m"))
        if kind == "mile" or metres >= 1000:
            return show(quantity, "km", 1)
        return show(quantity, "m", 2) if metres >= 1 else show(quantity, "mm")
    if kind == "mass":
        return show(quantity, "metric_ton", 1) if abs(quantity.m_as("kg")) >= 1000 else show(quantity, "kg")
    if kind == "speed":
        return show(quantity, "km/hour")
    if kind == "area":
        return show(quantity, "m**2", 1)
    if kind == "force":
        return show(quantity, "kN", 1)
    if kind.endswith("on area"):
        return show(quantity * REGISTRY.standard_gravity if kind == "mass on area" else quantity, "kPa")
    return show(quantity, digits=0 if abs(quantity.magnitude) >= 100 else 1)
