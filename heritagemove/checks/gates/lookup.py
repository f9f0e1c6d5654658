"""What the gates look up: limits as quantities, and which of several checks decides."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.museum.museum import Museum

_ORDER = {"pass": 0, "marginal": 1, "open": 2, "unknown": 3, "fail": 4}


def limit(museum: Museum, name: str, unit: str) -> pint.Quantity | None:
    """Return a limit as a quantity in a unit; None where no row gives it.

    What may be asked is listed in museum/rows/limits.py, with the unit and the range of each.
    """
    return museum.limit_quantity(name, unit)


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


def unsaid(museum: Museum, legs: Iterable[Any]) -> list[Any]:
    """Return the legs of which nobody has said whether they have bridges, or whose bridges are not in bridges.csv."""
    listed = {row.leg for row in museum.bridges}
    return [leg for leg in legs if leg.bridges != "none" and (leg.bridges is None or leg.leg not in listed)]


def over_bridges(museum: Museum, legs: tuple[Any, ...], name: str, answers: list[Check]) -> Check:
    """Return the check that decides over the bridges of a route: a pass without any only where every leg says so."""
    open_legs = unsaid(museum, legs)
    if legs and not answers and not open_legs:
        note = "As legs.csv says of every leg; the owners of track and road confirm."
        return Check(name, "no bridge on the route", None, None, "pass", None, "legs.csv", note)
    find = "list its bridges in bridges.csv, or say in legs.csv that it has none"
    blind = [unknown(name, leg.name, f"ask for the bridges of {leg.name}; {find}") for leg in open_legs]
    return worst([*answers, *blind], name, "enter the route in legs.csv")


def over_rail(museum: Museum, field: str, name: str, check: Callable[[Any], Check]) -> Check:
    """Return the check that decides over the legs of the rail route; a leg whose `field` is blank is unknown."""
    answers = [
        check(leg) if getattr(leg, field) is not None else unknown(name, leg.name, f"ask the railroad for {leg.name}")
        for leg in museum.route("rail")
    ]
    return worst(answers, name, "enter the rail route in legs.csv")
