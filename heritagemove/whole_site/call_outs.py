"""Call-outs: what several units of one site pay for once, and how the sum is shared out.

A call-out (a crane brought to both sites, the lead repaired, the survey trip) is charged once for the units that
use it: in each trial the dearest unit's amount. What is charged once is split two ways, and both add up to the
joint cost in every trial: unit by unit in a given order, or in equal shares.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.compare.results import PathResult
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.prices import at_hand
from heritagemove.trials.seasons import calendar_of
from heritagemove.trials.simulation import Samples

#: Call-out, cost line, equipment (blank where the call-out is for any).
SharedPart = tuple[str, str, str]


@dataclass(frozen=True)
class Turn:
    """When one unit needs a call-out that takes its units in turn, at the planning confidence [day number, day]."""

    call_out: tuple[str, str]  # call-out and equipment
    ready: float  # day from which the unit can be taken
    days: float  # calendar days it is busy with the unit
    last: float  # day by which it must be done with the unit, so that the unit still leaves by the deadline


@dataclass(frozen=True)
class Visit:
    """One call-out on the site: from the day its last unit is ready until it has taken all of them."""

    call_out: tuple[str, str]
    # [day number]
    begins: float
    ends: float
    last: float  # day by which it must be done [day number]


def shared_parts(museum: Museum, result: PathResult, samples: Samples) -> dict[SharedPart, np.ndarray]:
    """Return what one unit's path would pay for each part of a call-out, if it paid alone.

    In trials in which a gate is refused nothing is shared: what was sunk by then and the fallback are the
    unit's own, which is the careful side.

    Returns
    -------
    dict of SharedPart to ndarray, shape (trials,)
        [USD]
    """
    goes_through = 1.0 if result.branch is None else ~result.branch.refused
    rows = {(row.path, row.line): row for row in museum.call_outs}
    parts: dict[SharedPart, np.ndarray] = {}
    for entry in result.trials.lines:
        row = rows.get((result.path, entry.line.line)) or rows.get(("any", entry.line.line))
        if row is None or not np.any(entry.cost_usd > 0):
            continue
        equipment = _equipment(museum, result, entry.line) if row.each_equipment else ""
        cost = np.broadcast_to(entry.cost_usd * goes_through, (samples.trials,))
        parts[row.call_out, row.line, equipment] = np.maximum(cost, 0.0)
    return parts


def _equipment(museum: Museum, result: PathResult, line: Any) -> str:
    """Return the piece of the path's equipment that the rate of a line is priced for."""
    rows = museum.price_list(line.rate, at_hand(line, result.work.equipment)).rows
    return (rows[0].equipment if rows else None) or ""


def turn_of(museum: Museum, result: PathResult, parts: Mapping[SharedPart, np.ndarray], samples: Samples) -> Turn | None:
    """Return when a unit needs the call-out that takes its units in turn, or None where it needs none.

    Each of the three figures is taken at the museum's confidence, which is the careful side for their sum. Days behind the
    call-out keep their length when it comes later: a closed season that begins in between is not seen.
    """
    in_turn = {row.call_out for row in museum.call_outs if row.in_turn}
    part = next((part for part in parts if part[0] in in_turn), None)
    if part is None or result.off_site is None:
        return None
    task = next(entry.line.task for entry in result.trials.lines if entry.line.line == part[1])
    calendar = next(row.calendar for row in museum.of_path("tasks", result.path) if row.task == task)
    done = result.trials.dates.finish[task]
    # It is ready on the first working morning: a season that is still closed keeps nobody busy.
    works = calendar_of(museum, result.path, calendar, result.work, samples)
    ready = works.finish(result.trials.dates.ready[task], np.ones_like(done)) - 1
    confidence = museum.scenario.simulation.confidence
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    ready_day, days, behind = (
        float(np.quantile(values, confidence)) for values in (ready, done - ready, result.trials.off_site - done)
    )
    return Turn((part[0], part[2]), ready_day, days, deadline - behind)


def visits(turns: Sequence[Turn]) -> tuple[Visit, ...] | None:
    """Return when each call-out is on the site, or None where they do not fit before the deadline.

    A call-out comes when the last of its units is ready and takes them one after the other; two call-outs are
    never on the site on the same day. Every order is tried, and the one that is done first is taken.

    Examples
    --------
    >>> crane = ("crane", "crane_300_ton")
    >>> visits([Turn(crane, 10, 2, 40), Turn(crane, 20, 3, 30)])
    (Visit(call_out=('crane', 'crane_300_ton'), begins=20, ends=25, last=30),)
    >>> visits([Turn(crane, 10, 2, 40), Turn(crane, 20, 3, 24)]) is None
    True
    """
    by_call_out: dict[tuple[str, str], list[Turn]] = {}
    for entry in turns:
        by_call_out.setdefault(entry.call_out, []).append(entry)
    jobs = [
        (name, max(t.ready for t in entries), sum(t.days for t in entries), min(t.last for t in entries))
        for name, entries in sorted(by_call_out.items())
    ]
    best: tuple[Visit, ...] | None = None
    for order in itertools.permutations(jobs):
        free, plan = -np.inf, []
        for name, ready, days, last in order:
            begins = max(ready, free)
            free = begins + days
            plan.append(Visit(name, begins, free, last))
        if all(v.ends <= v.last for v in plan) and (best is None or (plan and free < best[-1].ends)):
            best = tuple(plan)
    return best


def charged_once(shared: Sequence[Mapping[SharedPart, np.ndarray]]) -> dict[SharedPart, np.ndarray]:
    """Return what each part of a call-out costs the units together: in each trial the dearest unit's amount [USD]."""
    charged: dict[SharedPart, np.ndarray] = {}
    for parts in shared:
        for part, cost in parts.items():
            charged[part] = np.maximum(charged[part], cost) if part in charged else cost
    return charged


def joint_cost(own: Sequence[np.ndarray], shared: Sequence[Mapping[SharedPart, np.ndarray]]) -> np.ndarray:
    """Return what the units cost together in each trial: each one's own cost, and each call-out once.

    Parameters
    ----------
    own : sequence of ndarray, each of shape (trials,)
        Cost of each unit without the parts of call-outs [USD].
    shared : sequence of dict of Part to ndarray
        As :func:`shared_parts` gives it, one per unit.

    Examples
    --------
    >>> crane = {("crane", "crane_calls", "crane_300_ton"): np.array([40.0])}
    >>> float(joint_cost([np.array([100.0]), np.array([90.0])], [crane, crane])[0])
    230.0
    """
    return np.sum([*own, *charged_once(shared).values()], axis=0)


def one_more(own: Sequence[np.ndarray], shared: Sequence[Mapping[SharedPart, np.ndarray]]) -> np.ndarray:
    """Return what each unit adds to those before it, in the order given.

    Returns
    -------
    ndarray, shape (units, trials)
        [USD]; the sum over the units is the joint cost.
    """
    so_far = [joint_cost(own[: n + 1], shared[: n + 1]) for n in range(len(own))]
    return np.diff(np.array([np.zeros_like(so_far[0]), *so_far]), axis=0)


def equal_shares(own: Sequence[np.ndarray], shared: Sequence[Mapping[SharedPart, np.ndarray]]) -> np.ndarray:
    """Return each unit's cost when every call-out is split evenly among the units that use it in a trial.

    Returns
    -------
    ndarray, shape (units, trials)
        [USD]; the sum over the units is the joint cost.
    """
    costs = [np.array(cost, dtype=float) for cost in own]
    for part, charge in charged_once(shared).items():
        uses = [(unit, parts[part] > 0) for unit, parts in enumerate(shared) if part in parts]
        count = np.maximum(np.sum([used for _, used in uses], axis=0), 1)
        for unit, used in uses:
            costs[unit] += np.where(used, charge / count, 0.0)
    return np.array(costs)
