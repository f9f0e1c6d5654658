"""At which weight each gate flips: the weight is the number that is most often wrong."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.check import Check
from heritagemove.checks.gates.screening import Checks, Finding, told_by
from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.gates import Gate
from heritagemove.trials.simulation import Samples, work
from heritagemove.units.units import Quantity, value

#: Parts of the weight range that are looked at first. Over plus and minus 10 % a part is 4 % wide: narrower than
#: the 5 % in which a gate is marginal. A gate that flips and flips back within one part is missed.
_PARTS = 5

#: What was found by gate.
Answers = Mapping[str, Check]
#: Asks gates by name at one mark of the weight range.
Find = Callable[[int, Iterable[str]], Answers]


@dataclass(frozen=True)
class WeightFlip:
    """One gate of one path that changes its answer while the unit's weight grows."""

    path: str  # ids of path and gate, and the gate's title
    gate: str  # ids of path and gate, and the gate's title
    title: str  # ids of path and gate, and the gate's title
    weight: pint.Quantity  # the unit's weight from which on the new answer holds [lb]
    before: str  # status below that weight, and from it on
    after: str  # status below that weight, and from it on


def weight_flips(
    museum: Museum,
    vehicle: str,
    low: pint.Quantity,
    high: pint.Quantity,
    step: pint.Quantity | None = None,
    memo: Ask = afresh,
) -> tuple[WeightFlip, ...]:
    """Return every gate of every path that flips between two weights of the unit, the lightest flip first.

    Body and trucks keep their shares of the weight. Gates that hang on somebody's answer do not weigh in.

    Parameters
    ----------
    museum : Museum
    vehicle : str
        Id of the unit.
    low, high : pint.Quantity
        From and to which weight of the whole unit [lb].
    step : pint.Quantity, optional
        How closely to look [lb]; 100 lb when left out.
    memo : Memo, optional
        Of one who asks more than once.

    Returns
    -------
    tuple of WeightFlip
        Empty where the unit's weight is unknown.

    Raises
    ------
    ValueError
        If `low` is not above 0 and below `high`, or `step` is not above 0.
    """
    low_lb, high_lb = value(low, "lb", "low"), value(high, "lb", "high")
    step_lb = 100.0 if step is None else value(step, "lb", "step")
    if not 0 < low_lb < high_lb:
        raise ValueError(f"low must be above 0 lb and below high, {high_lb:,.0f} lb; found {low_lb:,.0f} lb")
    if not step_lb > 0:
        raise ValueError(f"step must be above 0 lb; found {step_lb:,.0f} lb")
    unit, checks = museum.vehicle(vehicle), Checks(museum, memo)
    if unit.weight is None:
        return ()
    weight_lb = unit.weight.m_as("lb")
    steps = max(round((high_lb - low_lb) / step_lb), _PARTS)
    marks = [round(steps * part / _PARTS) for part in range(_PARTS + 1)]
    each_lb = (high_lb - low_lb) / steps
    flips = []
    for way in museum.paths:
        gates = {gate.gate: gate for gate in museum.of_path("gates", way.path) if gate.check}

        def find(mark: int, names: Iterable[str], path: str = way.path, gates: Mapping[str, Gate] = gates) -> Answers:
            return checks.at_weight(unit, (low_lb + mark * each_lb) / weight_lb, path, [gates[name] for name in names])

        at = _at_marks(find, marks, gates) if gates else []
        for (left, before), (right, after) in itertools.pairwise(at):
            for mark, name, was, then in _changes(find, left, before, right, after):
                weight = Quantity(round(low_lb + mark * each_lb, 6), "lb")
                flips.append(WeightFlip(way.path, name, gates[name].title, weight, was, then))
    number = {way.path: way.number for way in museum.paths}
    return tuple(sorted(flips, key=lambda flip: (flip.weight.magnitude, number[flip.path])))


def statuses_at(flips: Sequence[WeightFlip], weight: pint.Quantity) -> dict[tuple[str, str], str]:
    """Return the status of each gate that flips, by path and gate, at one weight of the unit [lb]."""
    found: dict[tuple[str, str], str] = {}
    # A weight that was scaled to stand at a flip must not miss it by its last digit.
    reached = weight + Quantity(1e-3, "lb")
    for flip in flips:
        if flip.weight <= reached:
            found[flip.path, flip.gate] = flip.after
        else:
            found.setdefault((flip.path, flip.gate), flip.before)
    return found


def needed_findings(museum: Museum, vehicle: str, path: str, samples: Samples, memo: Ask = afresh) -> tuple[Finding, ...]:
    """Screen one path and return what its gates found, without those whose driver this unit has none of.

    Parameters
    ----------
    museum : Museum
    vehicle, path : str
        Ids.
    samples : Samples
        Draws of the quantities, for drivers that quantities.csv gives.
    memo : Memo, optional
        Of one who asks more than once.
    """
    screening = Checks(museum, memo).screen(museum.vehicle(vehicle), path)
    amounts = work(museum, vehicle, path, samples, screening.amounts, screening.equipment).amounts
    nothing = {name for name, amount in amounts.items() if amount is not None and not np.any(np.asarray(amount) > 0)}
    return tuple(finding for finding in screening.findings if finding.gate.needs not in nothing)


def _at_marks(find: Find, marks: Sequence[int], gates: Iterable[str]) -> list[tuple[int, Answers]]:
    """Ask all gates at both ends, and between them those that weigh in: whose number, reason or status differs."""
    low, high = find(marks[0], gates), find(marks[-1], gates)
    weighing = [name for name, found in low.items() if told_by(found) != told_by(high[name])]
    low, high = ({name: ends[name] for name in weighing} for ends in (low, high))
    between = [(mark, find(mark, weighing)) for mark in marks[1:-1]] if weighing else []
    return [(marks[0], low), *between, (marks[-1], high)]


def _changes(find: Find, left: int, before: Answers, right: int, after: Answers) -> list[tuple[int, str, str, str]]:
    """Halve an interval whose ends differ down to one step; (mark, gate, before, after) of each change in it."""
    changed = [name for name in before if before[name].status != after[name].status]
    if not changed:
        return []
    if right - left == 1:
        return [(right, name, before[name].status, after[name].status) for name in changed]
    middle = (left + right) // 2
    between = find(middle, changed)
    first = _changes(find, left, {name: before[name] for name in changed}, middle, between)
    return first + _changes(find, middle, between, right, {name: after[name] for name in changed})
