"""What the gates look up: limits as quantities, and which of several checks decides."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.museum import Museum
from heritagemove.units import Quantity

_ORDER = {"pass": 0, "marginal": 1, "unknown": 2, "fail": 3}


def limit(museum: Museum, name: str, unit: str) -> pint.Quantity | None:
    """Return a limit row's value as a quantity; None where no row gives it."""
    value = museum.limit(name)
    return None if value is None else Quantity(value, unit)


def worst(checks: list[Check], name: str, measure: str) -> Check:
    """Return the check that decides: a failure before an unknown before the highest utilization."""
    if not checks:
        return unknown(name, "route", measure)
    return max(checks, key=lambda check: (_ORDER[check.status], check.utilization or 0.0))


def over_rail(museum: Museum, field: str, name: str, check: Callable[[Any], Check]) -> Check:
    """Return the check that decides over the legs of the rail route; a leg whose `field` is blank is unknown."""
    answers = [
        check(leg) if getattr(leg, field) is not None else unknown(name, leg.name, f"ask the railroad for {leg.name}")
        for leg in museum.route("rail")
    ]
    return worst(answers, name, "enter the rail route")
