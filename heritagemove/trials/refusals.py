"""Gates as branches: a refusal charges what is sunk by then and starts the fallback on that day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Finding
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.draws import RiskDraws
from heritagemove.trials.schedule import Dates
from heritagemove.trials.simulation import NEVER, LineCost, PathTrials, Samples, Work


@dataclass(frozen=True)
class Branch:
    """One path with its gates as branches, in every trial."""

    fallback: str | None  # path that a refusal starts; None where there is no other way out
    # of bool, shape (trials,); whether a gate of the path itself was refused, or the true weight stopped it
    refused: np.ndarray
    # of bool, shape (trials,); whether the unit leaves before the owner scraps what is left, on the path or on its
    # fallback
    saved: np.ndarray
    # shape (trials,); cost of the path, or of what was sunk in it and of its fallback; where neither saves the unit,
    # with the owner's charge up to the forced-scrap date and the loss at agreed value
    cost_usd: np.ndarray
    off_site: np.ndarray  # of int, shape (trials,); day number off the site; ``NEVER`` where the unit is not saved
    # the fallback, begun on the day of the refusal; in trials without one it is not used
    second: PathTrials | None = None
    made_cost: Made | None = None  # the cost, with what it was made from


def branch(
    museum: Museum,
    trials: PathTrials,
    findings: tuple[Finding, ...],
    samples: Samples,
    fallback: tuple[str, Work, tuple[Finding, ...]] | None = None,
    memo: Ask = afresh,
) -> Branch:
    """Play the gates of a path in every trial, and its fallback where one is refused.

    The fallback starts on the day of the refusal with its own tasks, costs and gates, nothing handed
    on: a survey that is good for both is paid twice, which is the careful side. A second refusal ends
    the matter: the unit is not saved.

    Parameters
    ----------
    trials : PathTrials
        The path without its gates; its cost and off-site date must be known.
    findings : tuple of Finding
        Its gates.
    fallback : tuple of (str, Work, tuple of Finding), optional
        Path, needs and gates of the fallback.

    Returns
    -------
    Branch
    """
    scenario, made = museum.scenario, trials.made
    deadline, forced = (simulation.day_number(museum, date) for date in (scenario.deadline, scenario.forced_scrap))
    refusal = _refusal(trials, findings, samples, memo)
    refused = refusal.value[0]
    spent = memo(_spent_on_refusal, made.dates, made.lines, made.risk_rows, made.risks, refusal)
    left = memo(_left, forced - deadline, samples.known("rates", (scenario.holdover_rate, None)), made.agreed_value)
    first = made.cost, made.off_site, refusal, spent, forced
    if fallback is None or not refused.any():
        return _branch(fallback and fallback[0], refused, memo(_alone, *first, left), None, memo)
    path, needs, gates = fallback
    second = simulation.simulate(museum, path, needs, samples, memo(_day_of, refusal), memo)
    then, again = second.made, _refusal(second, gates, samples, memo)
    spent_again = memo(_spent_on_refusal, then.dates, then.lines, then.risk_rows, then.risks, again, refusal)
    played = memo(_with_second, *first, then.cost, then.off_site, again, spent_again, left)
    return _branch(path, refused, played, second, memo)


def _branch(fallback: str | None, refused: np.ndarray, played: Made, second: PathTrials | None, memo: Ask) -> Branch:
    saved, cost, off_site = played.value
    return Branch(fallback, refused, saved, cost, off_site, second, memo(_cost_of, played))


def _cost_of(played: tuple[np.ndarray, np.ndarray, np.ndarray]) -> np.ndarray:
    return played[1]


#: Whether each trial is refused, and the morning after: the day is 0 where nothing is refused.
Refusal = tuple[np.ndarray, np.ndarray]


def _left(days: int, rate: np.ndarray, value: float) -> np.ndarray:
    return days * rate + value


def _day_of(refusal: Refusal) -> np.ndarray:
    return refusal[1]


def _alone(
    cost: np.ndarray, off_site: np.ndarray, refusal: Refusal, spent: np.ndarray, forced: int, left: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return whether the unit is saved, the cost and the day off the site, where no other path takes over."""
    refused, cost = refusal[0], cost.copy()
    cost[refused] = spent + left[refused]
    return ~refused & (off_site <= forced), cost, np.where(refused, NEVER, off_site)


def _with_second(
    cost: np.ndarray,
    off_site: np.ndarray,
    refusal: Refusal,
    spent: np.ndarray,
    forced: int,
    second_cost: np.ndarray,
    second_off_site: np.ndarray,
    refused_again: Refusal,
    spent_again: np.ndarray,
    left: np.ndarray,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return whether the unit is saved, the cost and the day off the site, with the fallback after a refusal."""
    on_second = np.flatnonzero(refusal[0])
    again = refused_again[0][on_second]
    then_cost, then_off_site = second_cost[on_second], np.where(again, NEVER, second_off_site[on_second])
    then_cost[again] = spent_again + left[on_second[again]]
    saved, cost, off_site = off_site <= forced, cost.copy(), off_site.copy()
    saved[on_second], cost[on_second], off_site[on_second] = then_off_site <= forced, spent + then_cost, then_off_site
    return saved, cost, off_site


def refusals(trials: PathTrials, findings: tuple[Finding, ...], samples: Samples) -> Refusal:
    """Return whether any open gate is refused, and the morning after the first refusal.

    A gate is refused when its named draw falls below its probability. The draw belongs to the gate's
    id, so a title that is refused on one path is refused on its fallback too. A true weight that fails a
    hard stop refuses the path on the day the unit would leave.

    Returns
    -------
    tuple of (ndarray of bool, ndarray of int), each of shape (trials,)
        The day is 0 where nothing is refused.
    """
    return _refusal(trials, findings, samples, afresh).value


def _refusal(trials: PathTrials, findings: tuple[Finding, ...], samples: Samples, memo: Ask) -> Made:
    asked = tuple(
        (finding.gate.task, finding.refusal, samples.known("gates", finding.gate.gate))
        for finding in findings
        if finding.status == "open" and finding.refusal > 0
    )
    return memo(_first_refusal, trials.made.dates, asked, trials.made.too_heavy, samples.trials)


def _first_refusal(
    dates: Dates, asked: tuple[tuple[str, float, np.ndarray], ...], too_heavy: np.ndarray | None, trials: int
) -> Refusal:
    day = np.full(trials, NEVER) if too_heavy is None else too_heavy.copy()
    for task, probability, drawn in asked:
        hit = np.flatnonzero(drawn < probability)
        day[hit] = np.minimum(day[hit], dates.finish[task][hit])
    refused = day < NEVER
    return refused, np.where(refused, day, 0)


def _spent_on_refusal(
    dates: Dates,
    lines: Sequence[LineCost],
    risk_rows: Sequence[Any],
    risks: Sequence[RiskDraws],
    refusal: Refusal,
    first: Refusal | None = None,
) -> np.ndarray:
    """Return what is spent by the refusal, in the trials in which it is refused and, on a fallback, was begun [USD]."""
    refused, day = refusal
    among = np.flatnonzero(refused if first is None else refused & first[0])
    costs = [(row.task, risk.cost_usd) for row, risk in zip(risk_rows, risks, strict=True)]
    return _spent(dates, lines, costs, day[among], among)


def paid_by(
    dates: Dates, lines: Sequence[LineCost], risk_rows: Sequence[Any], risks: Sequence[RiskDraws], day: np.ndarray
) -> np.ndarray:
    """Return what a path has cost by a day of each trial, from its steps, shape (trials,) [USD]."""
    costs = [(row.task, risk.cost_usd) for row, risk in zip(risk_rows, risks, strict=True)]
    return _spent(dates, lines, costs, day, slice(None))


def spent_by(trials: PathTrials, day: np.ndarray, among: np.ndarray | None = None) -> np.ndarray:
    """Return what a path has cost by a day of each trial: what is paid on start or finish by then [USD].

    A risk's cost, and that of a mitigation bought, falls with the finish of its task.

    Parameters
    ----------
    day : ndarray of int, shape (trials,)
    among : ndarray of bool, shape (trials,), optional
        The trials asked for; all by default.

    Returns
    -------
    ndarray, shape (trials asked for,)
    """
    which = slice(None) if among is None else np.flatnonzero(among)
    risks = [(trials.risk_tasks[risk], cost) for risk, cost in trials.risk_cost_usd.items()]
    return _spent(trials.dates, trials.lines, risks, day[which], which)


def _spent(
    dates: Dates,
    lines: Sequence[LineCost],
    risks: Sequence[tuple[str, np.ndarray]],
    day: np.ndarray,
    which: np.ndarray | slice,
) -> np.ndarray:
    on_start: dict[str, np.ndarray] = {}
    on_finish: dict[str, np.ndarray] = {}
    for entry in lines:
        task, payment = entry.line.task, entry.line.payment
        if payment == "later":
            continue
        cost = entry.cost_usd[which] * (0.5 if payment == "half_deposit" else 1.0)
        if payment in ("on_start", "half_deposit"):
            on_start[task] = on_start[task] + cost if task in on_start else cost
        if payment != "on_start":
            on_finish[task] = on_finish[task] + cost if task in on_finish else cost
    for task, cost in risks:
        on_finish[task] = on_finish[task] + cost[which] if task in on_finish else cost[which]
    spent = np.zeros(len(day))
    # One comparison a task and moment, however many lines and risks are paid then.
    for task, cost in on_start.items():
        spent += (dates.ready[task][which] < day) * cost
    for task, cost in on_finish.items():
        spent += (dates.finish[task][which] <= day) * cost
    return spent
