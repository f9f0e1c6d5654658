"""Gates as branches: a refusal charges what is sunk by then and starts the fallback on that day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heritagemove.checks.gates.screening import Finding
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.schedule import Dates
from heritagemove.trials.simulation import NEVER, PathTrials, Samples, Work


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


def branch(
    museum: Museum,
    trials: PathTrials,
    findings: tuple[Finding, ...],
    samples: Samples,
    fallback: tuple[str, Work, tuple[Finding, ...]] | None = None,
    second_dates: Dates | None = None,
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
    second_dates : Dates, optional
        Dates of the fallback found before for the same refusals and durations.

    Returns
    -------
    Branch
    """
    forced = simulation.day_number(museum, museum.scenario.forced_scrap)
    refused, day = refusals(trials, findings, samples)
    cost = trials.cost_usd.copy()
    cost[refused] = spent_by(trials, day, refused)
    off_site = np.where(refused, NEVER, trials.off_site)
    saved = ~refused & (trials.off_site <= forced)
    left = simulation.left_behind(museum, trials, samples)
    if fallback is None or not refused.any():
        return Branch(fallback and fallback[0], refused, saved, cost + np.where(refused, left, 0.0), off_site)
    path, needs, gates = fallback
    second = simulation.simulate(museum, path, needs, samples, start=np.where(refused, day, 0), dates=second_dates)
    again, day_again = refusals(second, gates, samples)
    again &= refused  # only where it was started
    second_cost = second.cost_usd.copy()
    second_cost[again] = spent_by(second, day_again, again) + left[again]
    return Branch(
        fallback=path,
        refused=refused,
        saved=np.where(refused, ~again & (second.off_site <= forced), saved),
        cost_usd=np.where(refused, cost + second_cost, cost),
        off_site=np.where(refused, np.where(again, NEVER, second.off_site), trials.off_site),
        second=second,
    )


def refusals(
    trials: PathTrials, findings: tuple[Finding, ...], samples: Samples
) -> tuple[np.ndarray, np.ndarray]:
    """Return whether any open gate is refused, and the morning after the first refusal.

    A gate is refused when its named draw falls below its probability. The draw belongs to the gate's
    id, so a title that is refused on one path is refused on its fallback too. A true weight that fails a
    hard stop refuses the path on the day the unit would leave.

    Returns
    -------
    tuple of (ndarray of bool, ndarray of int), each of shape (trials,)
        The day is 0 where nothing is refused.
    """
    day = np.full(samples.trials, NEVER) if trials.too_heavy is None else trials.too_heavy
    for finding in findings:
        if finding.status == "open" and finding.refusal > 0:
            hit = samples.gates[finding.gate.gate] < finding.refusal
            day = np.minimum(day, np.where(hit, trials.dates.finish[finding.gate.task], NEVER))
    refused = day < NEVER
    return refused, np.where(refused, day, 0)


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
    day = day[which]
    on_start: dict[str, np.ndarray] = {}
    on_finish: dict[str, np.ndarray] = {}
    for entry in trials.lines:
        task, payment = entry.line.task, entry.line.payment
        if payment == "later":
            continue
        cost = entry.cost_usd[which] * (0.5 if payment == "half_deposit" else 1.0)
        if payment in ("on_start", "half_deposit"):
            on_start[task] = on_start[task] + cost if task in on_start else cost
        if payment != "on_start":
            on_finish[task] = on_finish[task] + cost if task in on_finish else cost
    for risk, cost in trials.risk_cost_usd.items():
        task = trials.risk_tasks[risk]
        on_finish[task] = on_finish[task] + cost[which] if task in on_finish else cost[which]
    spent = np.zeros(len(day))
    # One comparison a task and moment, however many lines and risks are paid then.
    for task, cost in on_start.items():
        spent += (trials.dates.ready[task][which] < day) * cost
    for task, cost in on_finish.items():
        spent += (trials.dates.finish[task][which] <= day) * cost
    return spent
