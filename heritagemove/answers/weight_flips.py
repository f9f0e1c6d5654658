"""At which weight each gate flips: the weight is the number that is most often wrong."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.gates.screening import Check, Checks, Finding, told_by
from heritagemove.museum.memo import Ask, Memo, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.gates import Gate
from heritagemove.trials.simulation import Samples, work
from heritagemove.trials.stretches import stretches
from heritagemove.units.units import Quantity, value

#: Parts of the weight range that are looked at first. Over plus and minus 10 % a part is 4 % wide: narrower than
#: the 5 % in which a gate is marginal. A gate that flips and flips back within one part is missed.
_PARTS = 5


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
    memo: Ask | None = None,
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
    memo = Memo() if memo is None else memo
    memo.next_answer()
    unit, checks = museum.vehicle(vehicle), Checks(museum, memo)
    if unit.weight is None:
        return ()
    weight_lb = unit.weight.m_as("lb")
    steps = max(round((high_lb - low_lb) / step_lb), _PARTS)
    marks = [round(steps * part / _PARTS) for part in range(_PARTS + 1)]
    each_lb = (high_lb - low_lb) / steps

    def pounds(mark: int) -> float:
        return low_lb + mark * each_lb

    flips = []
    for way in museum.paths:
        for gate in museum.of_path("gates", way.path):

            def ask(mark: int, gate: Gate = gate) -> Check | None:
                return checks.at_weight(unit, pounds(mark) / weight_lb, gate)

            # A gate whose number, reason and status are the same at both ends does not weigh in.
            lightest, heaviest = ask(marks[0]), ask(marks[-1])
            if lightest is None or told_by(lightest) == told_by(heaviest):
                continue
            found = stretches(lambda mark, ask=ask: ask(mark).status, marks)
            for before, after in itertools.pairwise(found):
                weight = Quantity(round(pounds(after.first), 6), "lb")
                flips.append(WeightFlip(way.path, gate.gate, gate.title, weight, before.answer, after.answer))
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
    memo.next_answer()
    screening = Checks(museum, memo).screen(museum.vehicle(vehicle), path)
    amounts = work(museum, vehicle, path, samples, screening.amounts, screening.equipment).amounts
    nothing = {name for name, amount in amounts.items() if amount is not None and not np.any(np.asarray(amount) > 0)}
    return tuple(finding for finding in screening.findings if finding.gate.needs not in nothing)
