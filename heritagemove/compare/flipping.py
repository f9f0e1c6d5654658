"""What measured amount would block a path, or clear it: weights are those of the unit, and tried on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from heritagemove.checks.gates.screening import Checks, Finding
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity

#: How often the weight between two answers is halved: to less than a hundredth of what it may grow.
_HALVINGS = 7
#: Shares of its weight by which a unit is tried heavier, or lighter: nobody is further off.
_TRIED = (0.05, 0.1, 0.15, 0.2)


def flips_in_words(checks: Checks, unit: Any, findings: Sequence[Finding]) -> str:
    """Return the nearest amounts that change a path's answer, in words; blank where nothing is measured.

    A weight is that of the whole unit, at which the gate is asked again: where a larger crane or another trailer takes it,
    the gate does not flip.
    """
    stops = [f for f in findings if f.status == "fail" and f.gate.kind == "hard_stop"]
    if stops:
        told = [_weighs(checks, unit, weight_to_flip(checks, unit, f)) if _of_weight(f, unit) else f.margin for f in stops]
        none = "Nothing that can be measured would clear it."
        return f"Clears if {' and '.join(dict.fromkeys(told))}." if all(told) else none
    failing = [f for f in findings if f.status == "fail" and f.margin]
    if failing:
        return f"Better if {failing[0].margin}."
    held = [f for f in findings if f.check and f.gate.kind == "hard_stop" and f.status in ("pass", "marginal", "open")]
    heavier = [weight_to_flip(checks, unit, f) for f in held if _of_weight(f, unit) or f.status == "open"]
    nearest = _weighs(checks, unit, min(filter(None, heavier), default=None))
    tight = [f for f in held if f.check.utilization and f.status != "open" and f.margin and not _of_weight(f, unit)]
    other = max(tight, key=lambda f: f.check.utilization).margin if tight else ""
    if nearest or other:
        return f"Blocked if {' or '.join(filter(None, (other, nearest)))}."
    asked = [f for f in findings if f.status == "open" and f.refusal > 0]
    return f"Blocked if “{max(asked, key=lambda f: f.refusal).gate.title}” is refused." if asked else ""


def _of_weight(finding: Finding, unit: Any) -> bool:
    margin = finding.check and finding.check.margin
    return bool(finding.margin and margin is not None and margin.check("[mass]") and unit.weight is not None)


def _weighs(checks: Checks, unit: Any, pounds: float | None) -> str:
    if pounds is None:
        return ""
    shown = show_measure(Quantity(abs(pounds), "lb"), checks.museum.scenario.units)
    return f"it weighs {shown} {'more' if pounds > 0 else 'less'}"


def weight_to_flip(checks: Checks, unit: Any, finding: Finding) -> float | None:
    """Return by how much heavier, or lighter, the unit flips a gate between failing and not; None where it does not [lb]."""
    if unit.weight is None:
        return None
    fails = finding.status == "fail"
    way = -1 if fails else 1

    def flipped(part: float) -> bool:
        asked = checks.at_weight(unit, 1 + way * part, finding.gate)
        return asked is not None and (asked.status == "fail") != fails

    low, high = 0.0, next(filter(flipped, _TRIED), None)
    if high is None:
        return None
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if flipped(middle) else (middle, high)
    return way * round(high * unit.weight.m_as("lb"), -2)
