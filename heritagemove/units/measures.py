"""How a measure is shown: in the units a museum's planners think in, US customary or SI."""

from __future__ import annotations

from typing import Literal

import pint

from heritagemove.units.units import REGISTRY, show

#: What ``units`` in museum.toml may say.
System = Literal["US", "SI"]

_FORCE = REGISTRY.Unit("lbf").dimensionality
_FORCE_ON_AREA = REGISTRY.Unit("psi").dimensionality
_MASS_ON_AREA = REGISTRY.Unit("lb/ft**2").dimensionality


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
    ('230,000 lb', '14 ft 6.0 in')
    >>> show_measure(load, "SI"), show_measure(height, "SI")
    ('104.3 t', '4.42 m')
    """
    if quantity.units == "degree":
        return f"{quantity.magnitude:.1f}°"
    if quantity.dimensionless:
        return f"{quantity.m_as(''):.3g}"
    return (_in_si if system == "SI" else _in_us)(quantity)


def _in_us(quantity: pint.Quantity) -> str:
    if quantity.units == "mile":
        return f"{quantity.magnitude:,.1f} miles"
    if quantity.check("[length]"):
        feet, inches = divmod(round(abs(quantity.m_as("in")), 1), 12)
        sign = "-" if quantity.magnitude < 0 else ""
        return sign + (f"{feet:.0f} ft {inches:.1f} in" if feet else f"{inches:.1f} in")
    if quantity.check("[mass]"):
        return show(quantity, "lb")
    return show(quantity, digits=0 if abs(quantity.magnitude) >= 100 else 1)


def _in_si(quantity: pint.Quantity) -> str:
    kind = quantity.dimensionality
    if quantity.check("[length]"):
        metres = abs(quantity.m_as("m"))
        if quantity.units == "mile" or metres >= 1000:
            return show(quantity, "km", 1)
        return show(quantity, "m", 2) if metres >= 1 else show(quantity, "mm")
    if quantity.check("[mass]"):
        return show(quantity, "metric_ton", 1) if abs(quantity.m_as("kg")) >= 1000 else show(quantity, "kg")
    if quantity.check("[length]/[time]"):
        return show(quantity, "km/hour")
    if quantity.check("[length]**2"):
        return show(quantity, "m**2", 1)
    if kind == _FORCE:
        return show(quantity, "kN", 1)
    if kind in (_FORCE_ON_AREA, _MASS_ON_AREA):
        pressure = quantity * REGISTRY.standard_gravity if kind == _MASS_ON_AREA else quantity
        return show(pressure, "kPa")
    return show(quantity, digits=0 if abs(quantity.magnitude) >= 100 else 1)
