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
    if system == "SI" and (margin.check("[mass]") or margin.check("[length]")):
        return _in_si(check, margin, subject)
    if margin.check("[mass]"):
        pounds = margin.m_as("lb")
        step = 100 if abs(pounds) >= 1000 else 10
        return _spared(math.floor(pounds / step) * step, "lb", subject)
    if margin.check("[length]"):
        inches = _floor_inches(margin.m_as("in"))
        if check.margin_of == "height":
            return f"{inches:g} in under it: {subject}" if inches >= 0 else f"{-inches:g} in too high: {subject}"
        if check.margin_of == "width":
            return f"{inches:g} in of room: {subject}" if inches >= 0 else f"{-inches:g} in too wide: {subject}"
        return _spared(inches, "in", subject)
    if system == "SI" and margin.check("[speed]"):
        margin = margin.to("km/hour")
    unit = f"{margin.units:~P}"
    unit = {"deg": "degrees", "a": "years"}.get(unit, unit)
    return _spared(math.floor(margin.magnitude * 10) / 10, unit, subject)


def _in_si(check: Check, margin: pint.Quantity, subject: str) -> str:
    if margin.check("[mass]"):
        tonnes = math.floor(margin.m_as("metric_ton") * 10 + 1e-6) / 10
        return _spared(tonnes, "t", subject)
    mm = math.floor(margin.m_as("mm") + 1e-6)
    words = {"height": ("under it", "too high"), "width": ("of room", "too wide"), "": ("to spare", "over")}
    named = words[check.margin_of]
    return f"{abs(mm):,d} mm {named[0] if mm >= 0 else named[1]}: {subject}"


def _floor_inches(inches: float) -> float:
    # Half a unit of the sixth place is a conversion's last digit, not a missing inch.
    fine = 10 if abs(inches) < 3 else 1
    return math.floor(inches * fine + 1e-6) / fine


def _spared(amount: float, unit: str, subject: str) -> str:
    return f"{amount:,g} {unit} to spare: {subject}" if amount >= 0 else f"{-amount:,g} {unit} over: {subject}"
