"""What a check says in words: the sign of its status, and by how much it passes or fails."""

from __future__ import annotations

import math

import pint

from heritagemove.checks.check import Check
from heritagemove.units.measures import System

#: A sign for each status of a gate, so that it does not hang on a colour.
SIGNS = {"pass": "✓", "marginal": "!", "fail": "✕", "unknown": "?", "open": "…"}
#: What each status of a gate is called on a screen.
GATE_WORDS = {"pass": "pass", "marginal": "close, or with care", "fail": "fail", "unknown": "unknown", "open": "open"}


def status_of_gate(status: str) -> str:
    """Return a gate's status with its sign, in words.

    Examples
    --------
    >>> status_of_gate("fail")
    '✕ fail'
    """
    return f"{SIGNS[status]} {GATE_WORDS[status]}"


def margin_in_words(check: Check, system: System = "US") -> str:
    """Return by how much a check passes or fails, rounded toward the worse; what to measure where it is unknown.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> load, limit = Quantity(95000, "lb"), Quantity(101450, "lb")
    >>> margin_in_words(Check("Rail bridge", "the trestle", load, limit, "pass", limit - load, "", ""))
    '6,400 lb to spare: the trestle'
    """
    if check.status == "unknown":
        return check.note
    margin, subject = check.margin, check.subject
    if margin is None or (check.status == "fail" and margin.magnitude > 0):
        return subject if check.utilization is None or check.status != "fail" else f"not met: {subject}"
    amount, unit = _rounded_down(margin, system)
    if check.margin_of:
        inside, outside = {"height": ("under it", "too high"), "width": ("of room", "too wide")}[check.margin_of]
        return f"{abs(amount):,g} {unit} {inside if amount >= 0 else outside}: {subject}"
    return f"{amount:,g} {unit} to spare: {subject}" if amount >= 0 else f"{-amount:,g} {unit} over: {subject}"


def margin_briefly(check: Check, system: System = "US") -> str:
    """Return a margin in a few characters, its sign left to the word before it; else the share of the limit used.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> load, limit = Quantity(95000, "lb"), Quantity(101450, "lb")
    >>> margin_briefly(Check("Rail bridge", "the trestle", load, limit, "pass", limit - load, "", ""))
    'by 6,400 lb'
    """
    margin = check.margin
    if margin is None or check.status == "unknown" or (check.status in ("fail", "open") and margin.magnitude > 0):
        return share_used(check)
    amount, unit = _rounded_down(margin, system)
    return f"by {abs(amount):,g}{'°' if unit == 'degrees' else f' {unit}'}"


def share_used(check: Check) -> str:
    """Return how much of its limit a check uses, rounded toward the worse; blank where that is not known.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> load, limit = Quantity(101400, "lb"), Quantity(101450, "lb")
    >>> share_used(Check("Rail bridge", "the trestle", load, limit, "marginal", limit - load, "", ""))
    '99% used'
    """
    used = check.utilization
    return "" if used is None else f"{percent_used(used)}% used"


def percent_used(used: float) -> int:
    """Return a share of a limit in whole per cent: what is within the limit is never shown as all of it."""
    return math.floor(used * 100) if used < 1 else math.ceil(used * 100)


def _rounded_down(margin: pint.Quantity, system: System) -> tuple[float, str]:
    """Return a margin rounded toward the worse, and its unit."""
    if margin.check("[mass]"):
        if system == "SI":
            return math.floor(margin.m_as("metric_ton") * 10 + 1e-6) / 10, "t"
        pounds = margin.m_as("lb")
        step = 100 if abs(pounds) >= 1000 else 10
        return math.floor(pounds / step) * step, "lb"
    if margin.check("[length]"):
        return (math.floor(margin.m_as("mm") + 1e-6), "mm") if system == "SI" else (_floor_inches(margin.m_as("in")), "in")
    if system == "SI" and margin.check("[speed]"):
        margin = margin.to("km/hour")
    unit = f"{margin.units:~P}"
    return math.floor(margin.magnitude * 10) / 10, {"deg": "degrees", "a": "years"}.get(unit, unit)


def _floor_inches(inches: float) -> float:
    # Half a unit of the sixth place is a conversion's last digit, not a missing inch.
    fine = 10 if abs(inches) < 3 else 1
    return math.floor(inches * fine + 1e-6) / fine
