"""What the gates look up: limits as quantities, and which of several checks decides."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.museum.museum import Museum
from heritagemove.units.units import REGISTRY, PlannerError, Quantity

_ORDER = {"pass": 0, "marginal": 1, "unknown": 2, "fail": 3}


#: Units in which a limit may be given in place of the one that its check counts in.
_SI = {"m": "meter", "mm": "millimeter", "m2": "meter**2", "km": "kilometer", "km/h": "kilometer/hour", "kg": "kilogram",
       "t": "metric_ton", "N/t": "newton/metric_ton", "kN": "kilonewton", "kPa": "kilopascal"}  # fmt: skip


def limit(museum: Museum, name: str, unit: str) -> pint.Quantity | None:
    """Return a limit row's value as a quantity in a unit; None where no row gives it.

    Raises
    ------
    PlannerError
        If the row's unit measures something else than the check counts.
    """
    row = next((row for row in museum.limits if row.limit == name), None)
    if row is None:
        return None
    given = _SI.get(row.unit or "")
    if given is None:
        return Quantity(row.value, unit)
    found = Quantity(row.value, given)
    if given == "kilopascal" and "lb/ft" in unit:  # what the ground bears is counted as a weight on an area
        found = found / REGISTRY.standard_gravity
    try:
        return found.to(unit)
    except pint.DimensionalityError:
        where = f"limits.csv row {row.row_number}, limit {name}, column unit"
        raise PlannerError(f'{where}: found "{row.unit}"; allowed: a unit that measures the same as {unit}') from None


def last(rows: Iterable[Any]) -> Any:
    """Return the last row, which is the largest of its kind; None where the table has none."""
    return next(reversed(tuple(rows)), None)


def worst(checks: list[Check], name: str, measure: str) -> Check:
    """Return the check that decides: a failure before an unknown before the highest utilization."""
    if not checks:
        return unknown(name, "route", measure)
    most = max(_ORDER[check.status] for check in checks)
    deciding = [check for check in checks if _ORDER[check.status] == most]
    return max(deciding, key=lambda check: check.utilization or 0.0) if len(deciding) > 1 else deciding[0]


def over_rail(museum: Museum, field: str, name: str, check: Callable[[Any], Check]) -> Check:
    """Return the check that decides over the legs of the rail route; a leg whose `field` is blank is unknown."""
    answers = [
        check(leg) if getattr(leg, field) is not None else unknown(name, leg.name, f"ask the railroad for {leg.name}")
        for leg in museum.route("rail")
    ]
    return worst(answers, name, "enter the rail route in segments.csv")
