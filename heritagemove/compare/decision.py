"""The dated decision: which path, which fallback, and by which day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np

from heritagemove.compare.results import PathResult
from heritagemove.museum.calendars import open_days, rules_of
from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.tasks import LEAVING
from heritagemove.trials import durations, simulation
from heritagemove.trials.schedule import Calendar, latest_finishes, order_of
from heritagemove.trials.seasons import calendars_of
from heritagemove.trials.simulation import Samples
from heritagemove.units.words import show_chance


def latest_decision(
    museum: Museum, result: PathResult, samples: Samples, confidence: float | None = None, memo: Ask = afresh
) -> dt.date | None:
    """Return the last day on which the committee can commit to a path and still meet the deadline.

    The tasks before the decision begin at the start date; those behind it wait for the decision.

    Parameters
    ----------
    confidence : float, optional
        Chance to be off the site by the deadline; by default museum.toml's.

    Returns
    -------
    datetime.date or None
        None where even the earliest decision does not give that chance, or the committee has committed.
    """
    decision = durations.milestone(museum, result.path, "decision")
    if decision is None or committed_on(museum, result):
        return None
    return _latest(museum, last_commitments(museum, result, samples, memo), confidence)


def committed_on(museum: Museum, result: PathResult) -> dt.date | None:
    """Return the day on which the committee did commit to a path, by the record of its tasks; None while it has not."""
    for row in museum.of_path("tasks", result.path):
        if "decision" in row.milestone and row.calendar == durations.RECORDED:
            return simulation.date_of(museum, int(np.median(result.trials.dates.finish[row.task])) - 1)
    return None


def sitting_by(museum: Museum, path: str, day: dt.date) -> dt.date | None:
    """Return the last day, up to one, on which those who decide on a path sit; None where they do not sit before it."""
    task = next(row for row in museum.of_path("tasks", path) if "decision" in row.milestone)
    rules = (each.rule for each in rules_of(museum.calendars, task.calendar))
    sittings = np.flatnonzero(open_days(rules, museum.scenario.start, simulation.day_number(museum, day) + 1))
    return simulation.date_of(museum, int(sittings[-1])) if len(sittings) else None


def latest_start(
    museum: Museum, result: PathResult, samples: Samples, confidence: float | None = None, memo: Ask = afresh
) -> dt.date | None:
    """Return the last day on which a path can begin, its first task included, and still meet the deadline.

    Parameters and Returns as for :func:`latest_decision`.
    """
    return _latest(museum, _last_days(museum, result, samples, _START, memo=memo), confidence)


def last_commitments(museum: Museum, result: PathResult, samples: Samples, memo: Ask = afresh) -> np.ndarray:
    """Return the last day on which a commitment still lets the unit leave by the deadline, in every trial.

    Returns
    -------
    ndarray of int, shape (trials,)
        Day numbers; -1 where even the earliest is too late.
    """
    decision = durations.milestone(museum, result.path, "decision")
    return _last_days(museum, result, samples, decision, 1, memo)  # the decision is done on the morning after


#: A task of no days that every path begins with.
_START = "the start"


def _last_days(
    museum: Museum, result: PathResult, samples: Samples, task: str, later: int = 0, memo: Ask = afresh
) -> np.ndarray:
    """Pass backward from the deadline to a task: one pass, where trying day after day takes one each."""
    leaves = durations.milestone(museum, result.path, *LEAVING)
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    if leaves is None or deadline < 0:
        return np.full(samples.trials, -1)
    tasks = museum.of_path("tasks", result.path)
    network = tuple((row.task, row.after) for row in tasks)
    lasting = durations.task_durations(museum, result.path, result.work, samples, memo)
    if durations.milestone(museum, result.path, "leaves"):
        lasting[leaves] = memo(_first_of, lasting[leaves])
    days = tuple(lasting.values())
    calendars = calendars_of(museum, result.path, [row.calendar for row in tasks], result.work, samples, memo)
    return memo(_pass_backward, network, days, calendars, leaves, task, deadline, later, result.trials.made.off_site).value


def _first_of(days: np.ndarray) -> np.ndarray:
    """Return what of a task the deadline asks for, where the unit is off the site on its first day."""
    return np.minimum(days, 1)


def _pass_backward(
    network: tuple[tuple[str, tuple[str, ...]], ...],
    days: tuple[np.ndarray, ...],
    calendars: tuple[Calendar, ...],
    leaves: str,
    task: str,
    deadline: int,
    later: int,
    off_site: np.ndarray,
) -> np.ndarray:
    after = {_START: ()} | {name: before or (_START,) for name, before in network}
    needed = {leaves}
    for name in reversed(order_of(after)):
        needed |= set(after[name]) if name in needed else set()
    names, trials = [name for name, _ in network], len(off_site)
    lasting = dict(zip(names, days, strict=True)) | {_START: np.zeros(trials, int)}
    on = dict(zip(names, calendars, strict=True)) | {_START: calendars[0]}
    waits = {name: before for name, before in after.items() if name in needed}
    latest = latest_finishes(waits, lasting, on, deadline + 1).get(task, np.full(trials, deadline + 1))
    return np.where(off_site <= deadline, np.minimum(latest - later, deadline), -1)


def _latest(museum: Museum, last_days: np.ndarray, confidence: float | None) -> dt.date | None:
    """Return the last of days that still gives the confidence."""
    confidence = museum.scenario.simulation.confidence if confidence is None else confidence
    enough = int(np.ceil(round(confidence * len(last_days), 6)))
    day = int(np.partition(last_days, len(last_days) - enough)[len(last_days) - enough])
    return None if day < 0 else simulation.date_of(museum, day)


def able(results: tuple[PathResult, ...]) -> list[PathResult]:
    """Return the paths that save the unit and are priced and dated: none that is blocked, unknown ones if provisional."""
    possible = [r for r in results if r.saves and (r.status in ("clear", "caution") or r.provisional)]
    return [r for r in possible if r.cost and r.chance_by_deadline is not None]


#: What the cost of a path is measured by, all in [USD]: its mean, the mean of its dearest fifth, or its P80.
_MEASURES = {
    "mean": lambda cost: float(cost.mean()),
    "dearest_fifth": lambda cost: float(np.sort(cost)[-max(len(cost) // 5, 1) :].mean()),
    "p80": lambda cost: float(np.quantile(cost, 0.8)),
}
#: Two paths are as good within this share of the dearer one's cost, or where neither is cheaper in so many trials.
_AS_GOOD, _CHEAPER = 0.03, 0.6
#: Chances that differ by less than this are no ground to prefer one of two paths that cost the same.
_SURER = 0.02


def choose(museum: Museum, results: Sequence[PathResult], vehicle: str | None = None) -> PathResult | None:
    """Return the path to take, or None where no path saves the unit in time.

    The cheapest, its fallback and what is lost included, by the museum's own measure, among the paths
    that save the unit by the deadline with its confidence when refusals are played out; among those as good,
    the surest in time, then the one that can be undone and changes least of the historic fabric, then the safest where
    the committee's criteria say what is safe, then the cheapest. Where none has the confidence, the one with the best
    chance. What is unknown counts with the chance that it is found to do.
    """
    ready = [r for r in able(tuple(results)) if r.chance_with_fallback]
    sure = _sure(museum, ready)
    if not sure:
        return max(ready, key=lambda r: r.chance_with_fallback, default=None)
    cheapest = min(sure, key=lambda r: _cost(museum, r))
    good = [r for r in sure if r is cheapest or _as_good(museum, cheapest, r)]
    surest = max(r.chance_with_fallback for r in good)
    good = [r for r in good if surest - r.chance_with_fallback < _SURER]
    return min(good, key=lambda r: (*_fabric(museum, r), _danger(museum, vehicle, r), _cost(museum, r)))


def _fabric(museum: Museum, result: PathResult) -> tuple[bool, float]:
    return not museum.reversible(result.path), museum.intervention(result.path)


def _danger(museum: Museum, vehicle: str | None, result: PathResult) -> float:
    """Return how far a path falls short on the criteria that are of safety, the sum of their scores; less is safer."""
    sign = {row.criterion: -1 if row.better == "higher" else 1 for row in museum.criteria if row.settles == "safety"}
    mine = [row for row in museum.scores if row.path == result.path and row.criterion in sign]
    scores = {(row.criterion, row.vehicle): row.likely for row in mine}
    return sum(way * scores.get((name, vehicle), scores.get((name, "any"), 0.0)) for name, way in sign.items())


def settled_by(museum: Museum, vehicle: str, choice: PathResult, other: PathResult) -> str:
    """Return what put a path before one that costs the same within the error of the estimate, in words."""
    ahead = choice.chance_with_fallback - other.chance_with_fallback
    if ahead >= _SURER:
        chances = (show_chance(r.chance_with_fallback) for r in (choice, other))
        return "it is less sure in time ({1} against {0}, each begun at once)".format(*chances)
    mine, its = _fabric(museum, choice), _fabric(museum, other)
    if mine[0] != its[0]:
        return "it cannot be undone"
    if mine[1] != its[1]:
        return "it changes more of the historic fabric"
    if _danger(museum, vehicle, choice) < _danger(museum, vehicle, other):
        return "it puts more people at risk"
    return "it is a little dearer on average: a coin toss"


def tied(museum: Museum, results: Sequence[PathResult], choice: PathResult) -> tuple[str, ...]:
    """Return the paths that are as good as the one chosen: their costs do not differ by more than the estimate's error."""
    sure = _sure(museum, [r for r in able(tuple(results)) if r.chance_with_fallback])
    if choice not in sure:
        return ()
    cheapest = min(sure, key=lambda r: _cost(museum, r))
    good = (r for r in sure if r is cheapest or _as_good(museum, cheapest, r))
    return tuple(r.path for r in good if r.path != choice.path)


def _sure(museum: Museum, ready: Sequence[PathResult]) -> list[PathResult]:
    return [r for r in ready if r.chance_with_fallback >= museum.scenario.simulation.confidence]


def _cost(museum: Museum, result: PathResult) -> float:
    return _MEASURES[museum.scenario.choose_by](result.branch.cost_usd)


def _as_good(museum: Museum, cheapest: PathResult, other: PathResult) -> bool:
    more, dearer = _cost(museum, other) - _cost(museum, cheapest), other.branch.cost_usd - cheapest.branch.cost_usd
    error = 2 * float(dearer.std()) / np.sqrt(len(dearer))
    within = more <= max(error, _AS_GOOD * abs(_cost(museum, other)))
    return within or max(np.mean(dearer > 0), np.mean(dearer < 0)) < _CHEAPER


#: An open gate whose chance of refusal is at least this is one to plan a way around.
LIKELY_REFUSAL = 0.06


def fall_back(museum: Museum, results: tuple[PathResult, ...], choice: PathResult | None) -> PathResult | None:
    """Return the path to turn to when a path is refused: the first of :func:`fallbacks`, or None."""
    ranked = fallbacks(museum, results, choice) if choice else []
    return ranked[0] if ranked else None


def fallbacks(museum: Museum, results: tuple[PathResult, ...], choice: PathResult) -> list[PathResult]:
    """Return the paths to turn to when a path is refused, the best first.

    The one its row names where that is possible, else the best of the others: first those that do not
    hang on the same likely refusal, then those that rest on nothing unknown, then those with the confidence in date
    and gates by P80 cost, then the rest by joint chance. Empty where there is no other way out.
    """
    confidence = museum.scenario.simulation.confidence
    asked = {f.gate.gate for f in choice.findings if f.status == "open" and f.refusal >= LIKELY_REFUSAL}

    def key(result: PathResult) -> tuple[bool, bool, bool, bool, float]:
        shares = bool(asked & {f.gate.gate for f in result.findings})
        sure = result.chance_by_deadline >= confidence and result.chance_of_gates >= confidence
        named = result.path == museum.path(choice.path).fallback
        worth = result.cost.p80 if sure else -result.chance_by_deadline * result.chance_of_gates
        return not named, shares, result.provisional is not None, not sure, worth

    return sorted((r for r in able(results) if r.path != choice.path and r.chance_by_deadline), key=key)
