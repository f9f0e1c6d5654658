"""The answer that every check gives: a demand against a capacity, and by how much it passes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import pint

from heritagemove.units.units import Quantity

#: open: over a limit that somebody may let it exceed; the gate says who is asked and how likely the answer is no.
Status = Literal["pass", "marginal", "open", "fail", "unknown"]
MarginOf = Literal["", "height", "width"]

#: From this share of the capacity on, a pass is called marginal: a weight taken from a plate
#: is often a few per cent wrong. Common practice, no source; the museum's own policy may differ.
MARGINAL_FROM = 0.95


@dataclass(frozen=True)
class Check:
    """One demand against one capacity."""

    name: str  # what was checked, in the trade's words
    subject: str  # where: the bridge, leg, axle or lift that governs
    demand: pint.Quantity | None  # both in the same kind of unit; None where unknown
    capacity: pint.Quantity | None  # both in the same kind of unit; None where unknown
    status: Status
    margin: pint.Quantity | None  # how far the weight, height or distance may still grow; negative when over
    source: str  # title, edition, section of the rule or formula, or the row the limit came from
    note: str  # who must confirm, or what to measure when unknown
    margin_of: MarginOf = ""  # what a margin of length is room for; blank: something else
    # what to find out where unknown, such as "measure the lower corner's height"; where open: if no task asks for leave
    find: str = ""

    @property
    def utilization(self) -> float | None:
        """Demand over capacity; above 1 it fails. None when unknown or the capacity is zero."""
        if self.demand is None or self.capacity is None:
            return None
        same = self.capacity.units == self.demand.units
        capacity = self.capacity.magnitude if same else self.capacity.m_as(self.demand.units)
        return float(self.demand.magnitude / capacity) if capacity > 0 else None


def judge(demand: pint.Quantity, capacity: pint.Quantity, marginal_from: float = MARGINAL_FROM) -> Status:
    """Return the status of a demand that must not exceed a capacity.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> judge(Quantity(96, "lb"), Quantity(100, "lb"))
    'marginal'
    """
    return _status(demand.m_as(capacity.units), capacity.magnitude, marginal_from)


def _status(demand: float, capacity: float, marginal_from: float = MARGINAL_FROM) -> Status:
    if demand > capacity:
        return "fail"
    return "marginal" if demand > marginal_from * capacity else "pass"


def compared(
    name: str,
    subject: str,
    demand: float,
    capacity: float,
    unit: str,
    source: str,
    note: str,
    margin: pint.Quantity | None = None,
    margin_of: MarginOf = "",
) -> Check:
    """Return the check of a demand that must not exceed a capacity, plain numbers in one unit.

    The margin is their difference, where nothing else is said of what may still grow.
    """
    margin = Quantity(capacity - demand, unit) if margin is None else margin
    quantities = Quantity(demand, unit), Quantity(capacity, unit)
    return Check(name, subject, *quantities, _status(demand, capacity), margin, source, note, margin_of)


def rated(demand: float, normal: float, maximum: float) -> Status:
    """Return the status of a demand on a bridge: a pass up to the normal rating, marginal up to the maximum."""
    return "pass" if demand <= normal else "marginal" if demand <= maximum else "fail"


def unmeasured(name: str, subject: str, source: str, wanted: Mapping[str, Any]) -> Check | None:
    """Return the check that lacks a quantity, naming how each missing one is found; None where all are there.

    Parameters
    ----------
    wanted : mapping of str to quantity or None
        What to do to find a quantity, and the quantity.
    """
    missing = [measure for measure, found in wanted.items() if found is None]
    return unknown(name, subject, "; ".join(missing), source) if missing else None


def unknown(name: str, subject: str, measure: str, source: str = "") -> Check:
    """Return the check that cannot be made yet, saying what to measure."""
    return Check(name, subject, None, None, "unknown", None, source, f"Unknown: {measure}.", find=measure)
