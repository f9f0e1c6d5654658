"""What was found for a gate of a path, in words: by its check, by facts of the survey, by what is ready, by a task."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from heritagemove.checks.check import MARGINAL_FROM, Check
from heritagemove.units.measures import System, show_measure
from heritagemove.units.units import show


@dataclass(frozen=True)
class Finding:
    """What was found for one gate of one path."""

    gate: Any
    # open: a task of the path settles it, with a probability of refusal
    status: Literal["pass", "marginal", "fail", "open", "unknown"]
    found: str  # what was found, one line for a planner
    margin: str  # what would change it, such as "it weighs 6,400 lb more"; blank where nothing is measured
    refusal: float  # probability that it is refused, 0 when it does not hang on anybody's answer
    check: Check | None  # the engineering check behind it
    find: str = ""  # how to find out what is unknown; blank where nothing is
    bad: bool = False  # whether something was found that a task must mend

    @property
    def reason(self) -> str:
        """The gate's title and what was found, one line for a planner."""
        return f"{self.gate.title}: {self.found}"


def found_by_facts(gate: Any, seen: Mapping[str, str | None]) -> Finding:
    """Say which facts meet a gate, and whether a task of the path mends those that do not."""
    allowed = [word.strip() for word in gate.allowed.split(";")]
    bad = {fact: found for fact, found in seen.items() if found not in (None, *allowed)}
    unseen = [fact for fact, found in seen.items() if found is None]
    if unseen and not (bad and gate.task is None):
        return found_unknown(gate, f"put {', '.join(unseen).replace('_', ' ')} in survey.csv")
    shown = bad or seen
    names = {fact: f"{fact.replace('_', ' ')} " if len(seen) > 1 else "" for fact in shown}
    found = "found " + ", ".join(f"{names[fact]}{word.replace('_', ' ')}" for fact, word in shown.items())
    return _bad(gate, found) if bad else Finding(gate, "pass", f"{found}.", "", 0.0, None)


def found_by_readiness(gate: Any, ready: Sequence[Any]) -> Finding:
    """Say what was found bad, and whether a task of the path mends it; nothing mends what nobody has looked at."""
    items = [item for item in ready if item.subject in gate.rests_on and item.planned]
    if not items:
        return Finding(gate, "pass", "nothing of this kind is on the unit.", "", 0.0, None)
    likely = [item for item in items if item.chance is not None and gate.task]
    bad = [item for item in items if item in likely or item.status in ("defect", "caution")]
    unseen = [item for item in items if item.status == "unknown" and item not in likely]
    found = "; ".join(f"{item.title}: {item.found.rstrip('.')}" for item in bad or items)
    stops = any(item.status == "defect" for item in bad) and gate.task is None
    if unseen and not stops:
        return found_unknown(gate, "look for " + "; ".join(f"{item.title}: {item.defect}" for item in unseen))
    if not bad:
        return Finding(gate, "pass", f"{found}.", "", 0.0, None)
    return _bad(gate, found, [item.chance for item in likely], stops)


def _bad(gate: Any, found: str, chances: Sequence[float] = (), stops: bool = True) -> Finding:
    """Return what a task of the path mends, if it can, and what stops the path if none does."""
    if gate.task is None:
        return Finding(gate, "fail" if stops else "marginal", f"{found}.", "", 0.0, None)
    refusal = 1 - (1 - gate.refusal_probability) * math.prod(1 - chance for chance in chances)
    said = f"{found}; {_asked(gate, refusal)}."
    return Finding(gate, "open" if refusal else "pass", said, "", refusal, None, bad=True)


def found_by_task(gate: Any) -> Finding:
    """Say what is open until a task of the path settles it."""
    if not gate.refusal_probability:
        return Finding(gate, "pass", "settled by a task, no refusal expected.", "", 0.0, None)
    return Finding(gate, "open", f"{_asked(gate, gate.refusal_probability)}.", "", gate.refusal_probability, None)


def found_unknown(gate: Any, find: str) -> Finding:
    """Say what is unknown of a gate, and how it is found out."""
    return Finding(gate, "unknown", f"unknown; {find}.", "", 0.0, None, find)


def _asked(gate: Any, refusal: float) -> str:
    return f"open, {refusal:.0%} chance of refusal ({gate.signer} signs)"


def found_by_check(gate: Any, check: Check, system: System) -> Finding:
    """Say what the check behind a gate found; open where a task of the path may settle it."""
    finding = _measured(gate, check, system)
    if check.status != "open":
        return finding
    if gate.task is None and check.find:
        return dataclasses.replace(finding, status="unknown", found=f"{finding.found} Unknown; {check.find}.")
    if gate.task is None:
        return dataclasses.replace(finding, status="fail", found=f"{finding.found} No task of this path asks for leave.")
    found = f"{finding.found} {_asked(gate, gate.refusal_probability).capitalize()}."
    return dataclasses.replace(finding, found=found, refusal=gate.refusal_probability)


def _measured(gate: Any, check: Check, system: System) -> Finding:
    if check.status == "unknown":
        found = f"{check.note[0].lower()}{check.note[1:]}"
    elif check.demand is None or check.capacity is None:
        found = f"{check.subject}. {check.note}"
    else:
        beyond = check.demand > check.capacity
        with_care = check.status == "marginal" and not MARGINAL_FROM < (check.utilization or 1.0) <= 1
        word = "over" if beyond else "within" if with_care else _WORDS[check.status]
        prefix = _PREFIX.get(gate.check, "")
        demand, capacity = (prefix + show_measure(each, system) for each in (check.demand, check.capacity))
        # What is over and yet does not stop must say why, and what is open what somebody must grant.
        why = f" {check.note.split('. ')[0].rstrip('.')}." if with_care or check.status == "open" else ""
        found = f"{demand} is {word} {capacity} ({check.subject}).{why}"
    return Finding(gate, check.status, found, _margin(gate.check, check, system), 0.0, check, check.find)


_WORDS = {"fail": "not met by", "marginal": "close to", "open": "not yet settled within", "pass": "within"}
#: What stands before a number that has no unit of its own.
_PREFIX = {"rail_bridge": "Cooper E", "freight_car_age": "age "}


def _margin(name: str, check: Check, system: System) -> str:
    """Say how much more (or less, when it fails) would change the answer."""
    if check.margin is None or name == "freight_car_age":
        return ""
    if check.status == "open":
        return ""  # somebody's answer changes it, not the amount
    more = check.status != "fail"
    if more == (check.margin.magnitude < 0):
        return ""  # it fails for another reason than this amount, or a sign over which only a permit decides
    amount = check.margin if more else -check.margin
    if amount.check("[mass]"):
        return f"it weighs {show_measure(amount, system)} {'more' if more else 'less'}"
    if amount.check("[length]"):
        word = ("wider", "narrower") if check.margin_of == "width" else ("higher", "lower")
        far = f"{amount.m_as('in'):,.0f} in" if system == "US" else show_measure(amount, system)
        return f"it is {far} {word[0] if more else word[1]}"
    if amount.units == "degree" and name == "curve":
        return f"the curve is {amount.magnitude:.1f}° {'sharper' if more else 'easier'}"
    shown = show(amount, digits=1) if system == "US" else show_measure(amount, system)
    return f"it is {shown} {'more' if more else 'less'}"
