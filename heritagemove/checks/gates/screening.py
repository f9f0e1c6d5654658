"""Run the gates of one path for one unit: what each found, and what the path needs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from heritagemove.checks.check import Check
from heritagemove.checks.gates import wiring
from heritagemove.checks.gates.carriage import Carriage, arrange
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import System, show_measure
from heritagemove.units.units import show

__all__ = ["Check", "Finding", "Screening", "findings_of", "screen"]


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

    @property
    def reason(self) -> str:
        """The gate's title and what was found, one line for a planner."""
        return f"{self.gate.title}: {self.found}"


@dataclass(frozen=True)
class Screening:
    """Everything the checks say of one unit on one path."""

    findings: tuple[Finding, ...]  # one a gate, in the order of gates.csv
    amounts: Mapping[str, float | None]  # drivers that engineering computed
    equipment: frozenset[str]  # ids of the crane, trailer or flat car chosen
    notes: tuple[str, ...]  # what a planner must know of the choice


def screen(museum: Museum, vehicle: str, path: str) -> Screening:
    """Run the gates of one path for one unit, and compute what the path needs.

    Parameters
    ----------
    museum : Museum
    vehicle, path : str
        Ids.
    """
    carriage = arrange(museum, vehicle, path)
    findings = tuple(_finding(museum, carriage, gate) for gate in museum.of_path("gates", path))
    return Screening(findings, carriage.amounts, carriage.equipment, carriage.notes)


def findings_of(museum: Museum, vehicle: str, path: str, gates: Iterable[Any]) -> tuple[Finding, ...]:
    """Return what some gates of one path find for one unit; the rail bridges are left out where no gate asks for them.

    Parameters
    ----------
    museum : Museum
    vehicle, path : str
        Ids.
    gates : iterable of rows of gates.csv
        Those to ask.
    """
    gates = tuple(gates)
    carriage = arrange(museum, vehicle, path)
    return tuple(_finding(museum, carriage, gate) for gate in gates)


def _finding(museum: Museum, carriage: Carriage, gate: Any) -> Finding:
    if gate.check:
        return _from_check(gate, wiring.CHECKS[gate.check](carriage), museum.scenario.units)
    if gate.rests_on == "bearing" and carriage.bearing_dispute:
        return _unknown(gate, carriage.bearing_dispute)
    if gate.fact:
        return _from_fact(gate, museum.fact(carriage.vehicle.vehicle, gate.fact))
    if not gate.refusal_probability:
        return Finding(gate, "pass", "settled by a task, no refusal expected.", "", 0.0, None)
    found = f"open, {gate.refusal_probability:.0%} chance of refusal ({gate.signer} signs)."
    return Finding(gate, "open", found, "", gate.refusal_probability, None)


def _from_fact(gate: Any, found: str | None) -> Finding:
    if found is None:
        return _unknown(gate, f"put {gate.fact.replace('_', ' ')} in survey.csv")
    met = found in [allowed.strip() for allowed in gate.allowed.split(";")]
    return Finding(gate, "pass" if met else "fail", f"found {found}.", "", 0.0, None)


def _unknown(gate: Any, find: str) -> Finding:
    return Finding(gate, "unknown", f"unknown; {find}.", "", 0.0, None, find)


def _from_check(gate: Any, check: Check, system: System) -> Finding:
    if check.status == "unknown":
        found = f"{check.note[0].lower()}{check.note[1:]}"
    elif check.demand is None or check.capacity is None:
        found = f"{check.subject}. {check.note}"
    else:
        beyond = check.demand > check.capacity
        word = "over" if beyond else {"fail": "not met by", "marginal": "close to", "pass": "within"}[check.status]
        prefix = _PREFIX.get(gate.check, "")
        demand, capacity = (prefix + show_measure(each, system) for each in (check.demand, check.capacity))
        # What is over and yet no more than a caution must say why.
        why = f" {check.note.split('. ')[0].rstrip('.')}." if beyond and check.status == "marginal" else ""
        found = f"{demand} is {word} {capacity} ({check.subject}).{why}"
    return Finding(gate, check.status, found, _margin(gate.check, check, system), 0.0, check, check.find)


#: What stands before a number that has no unit of its own.
_PREFIX = {"rail_bridge": "Cooper E", "freight_car_age": "age "}


def _margin(name: str, check: Check, system: System) -> str:
    """Say how much more (or less, when it fails) would change the answer."""
    if check.margin is None or name == "freight_car_age":
        return ""
    more = check.status != "fail"
    if more == (check.margin.magnitude < 0):
        return ""  # it fails for another reason than this amount, or a sign over which only a permit decides
    amount = check.margin if more else -check.margin
    if amount.check("[mass]"):
        return f"it weighs {show_measure(amount, system)} {'more' if more else 'less'}"
    if amount.check("[length]"):
        word = ("wider", "narrower") if check.name.startswith(("Side", "Turn")) else ("higher", "lower")
        far = f"{amount.m_as('in'):,.0f} in" if system == "US" else show_measure(amount, system)
        return f"it is {far} {word[0] if more else word[1]}"
    if amount.units == "degree" and name == "curve":
        return f"the curve is {amount.magnitude:.1f}° {'sharper' if more else 'easier'}"
    shown = show(amount, digits=1) if system == "US" else show_measure(amount, system)
    return f"it is {shown} {'more' if more else 'less'}"
