"""A policy played in every trial: decided at a meeting, answers heard on their days, a refusal or a late answer turns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Finding
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials import durations, simulation
from heritagemove.trials.refusals import paid_by
from heritagemove.trials.schedule import Dates
from heritagemove.trials.simulation import NEVER, Samples, Work

#: What stops a path besides its gates: the scale, or what the survey finds of the unknown.
AS_FOUND = "as_found"


@dataclass(frozen=True)
class Policy:
    """What a committee is told to do with one unit; days are numbers from the start."""

    path: str
    on_refusal: Mapping[str, str | None]  # by gate, or AS_FOUND: path to turn to; None: decline and record
    then: Mapping[str, str | None] = field(default_factory=dict)  # by fallback: where its own refusal turns to
    meeting: int | None = None  # day of the meeting that decides; None: the first at which the paper is ready
    # gate, and the last day on which its answer is waited for: "not in hand" then turns as a refusal does
    switch: tuple[str, int] | None = None


@dataclass(frozen=True)
class Playable:
    """One path that a policy may take."""

    path: str
    work: Work
    findings: tuple[Finding, ...]

    def asked(self) -> dict[str, Finding]:
        """Return its open gates that may be refused, by id."""
        return {f.gate.gate: f for f in self.findings if f.status == "open" and f.refusal > 0}


@dataclass(frozen=True)
class Played:
    """One policy in every trial, to the end; each array of shape (trials,)."""

    policy: Policy
    saved: np.ndarray  # of bool; whether the unit leaves before the owner scraps what is left
    off_site: np.ndarray  # of int; day number off the site; ``NEVER`` where it is not saved by any path
    cost_usd: np.ndarray | None  # all in: what was sunk included, and what is lost; None where it was not asked for [USD]
    turned: np.ndarray  # of str; the gate whose refusal, or AS_FOUND, ended the path; blank where it went through
    late: np.ndarray  # of bool; whether it turned because an answer was not in hand on the last day for it
    answers: Mapping[str, np.ndarray]  # by gate of the path: of int; day number on which its answer is in hand

    def in_time(self, deadline: int) -> np.ndarray:
        """Return in which trials the unit is off the site by a day number."""
        return self.saved & (self.off_site <= deadline)


def play(
    museum: Museum,
    policy: Policy,
    options: Mapping[str, Playable],
    samples: Samples,
    memo: Ask = afresh,
    costs: bool = True,
) -> Played:
    """Play a policy in every trial.

    A path goes on until its first refusal, which is heard on the evening before the finish of the gate's task; the path
    named for it begins the next morning. A task of the fallback with the id and the title of one that is finished by
    then takes no days and is not paid again; decisions are: another path is another decision. What
    is waiting for an answer on the last day for it turns too, even if the answer would have been yes.

    Parameters
    ----------
    options : mapping of str to Playable
        Every path that the policy names, by id.
    costs : bool
        Whether to price it too.
    """
    table = _Table(museum, policy, options, samples, memo, costs)
    (saved, off_site, cost), trials, turn = table.follow(policy.path, 0, None, ())
    _, which, late = turn.value
    names = np.array(["", *table.heard(policy.path)])
    heard = {gate: trials.dates.value.finish[f.gate.task] - 1 for gate, f in options[policy.path].asked().items()}
    return Played(policy, saved, off_site, cost if costs else None, names[which + 1], late, heard)


@dataclass(frozen=True)
class _Trials:
    """The dates of one path from its start, and what it costs where that is asked for."""

    dates: Made
    off_site: Made
    heavy: Made | None
    steps: Any  # simulation.Steps; None where no cost is asked for


#: Whether it is saved, its day off the site and its cost, in the trials that take a path; and by trial the day on which
#: it turns (``NEVER``: not at all), the number of what turns it (-1: nothing) and whether that was for want of an answer.
_End = tuple[np.ndarray, np.ndarray, np.ndarray]
_Turn = tuple[np.ndarray, np.ndarray, np.ndarray]


@dataclass(frozen=True)
class _Table:
    museum: Museum
    policy: Policy
    options: Mapping[str, Playable]
    samples: Samples
    memo: Ask
    costs: bool

    def heard(self, path: str) -> tuple[str, ...]:
        """Return what may end a path: its gates in order, then what is found."""
        return (*self.options[path].asked(), AS_FOUND)

    def follow(
        self, path: str, level: int, start: Made | None, before: tuple[tuple[str, Made, Made], ...]
    ) -> tuple[_End, _Trials, Made]:
        """Follow one path from its start to the end, with what it turns to.

        Parameters
        ----------
        before : tuple of (str, Made of Dates, Made of turn)
            The paths taken before, and when they were left.
        """
        museum, memo, scenario = self.museum, self.memo, self.museum.scenario
        deadline, forced = (simulation.day_number(museum, day) for day in (scenario.deadline, scenario.forced_scrap))
        trials = self._trials(path, level, start, before)
        asked = tuple(
            (f.gate.task, f.refusal, self.samples.known("gates", gate)) for gate, f in self.options[path].asked().items()
        )
        gates, switch = self.heard(path), self.policy.switch if level == 0 else None
        by = None if switch is None else (gates.index(switch[0]), switch[1])
        turn = memo(_turn, trials.dates, trials.off_site, asked, trials.heavy, by, self.samples.trials)
        day, which, _ = turn.value
        saved, off_site = trials.off_site.value <= forced, trials.off_site.value.copy()
        cost, left, spent = np.zeros(len(day)), np.zeros(len(day)), np.zeros(len(day))
        if self.costs:
            steps = trials.steps
            cost = steps.cost.value.copy()
            left = (forced - deadline) * self.samples.rates[scenario.holdover_rate, None] + steps.agreed_value
            spent = memo(paid_by, trials.dates, steps.lines, steps.risk_rows, steps.risks, memo(_day_of, turn)).value
        turns = which >= 0
        saved[turns], off_site[turns], cost[turns] = False, NEVER, (spent + left)[turns]
        targets = [self._next(path, gate, level) for gate in gates]
        for target in dict.fromkeys(targets):
            taken = np.array([*(each == target for each in targets), False])[which]  # -1, where nothing turns it, is last
            if target is None or not taken.any():
                continue
            begins = memo(_day_of, turn)
            (kept, leaves, paid), _, _ = self.follow(target, level + 1, begins, (*before, (path, trials.dates, begins)))
            saved[taken], off_site[taken], cost[taken] = kept[taken], leaves[taken], (spent + paid)[taken]
        return (saved, off_site, cost), trials, turn

    def _next(self, path: str, gate: str, level: int) -> str | None:
        return self.policy.on_refusal.get(gate) if level == 0 else self.policy.then.get(path) if level == 1 else None

    def _trials(self, path: str, level: int, start: Made | None, before: tuple[tuple[str, Made, Made], ...]) -> _Trials:
        museum, memo, samples, work = self.museum, self.memo, self.samples, self.options[path].work
        done = self._done(path, before)
        meeting = self.policy.meeting if level == 0 else None
        if self.costs:
            made = simulation.simulate(museum, path, work, samples, start, memo, meeting, done).made
            return _Trials(made.dates, made.off_site, made.too_heavy, made)
        dated = durations.scheduled(museum, path, work, samples, start, memo, decided=meeting, done=done)
        return _Trials(dated.dates, dated.off_site, simulation.found_heavy(museum, path, work, dated.dates, memo), None)

    def _done(self, path: str, before: tuple[tuple[str, Made, Made], ...]) -> Mapping[str, Made]:
        """Return in which trials a task of a path was finished on those taken before it."""
        if not before:
            return MappingProxyType({})
        done = {}
        for row in self.museum.of_path("tasks", path):
            same = [(dates, left) for taken, dates, left in before if is_done_by(row, self.museum.of_path("tasks", taken))]
            if same:
                done[row.task] = self.memo(_finished, row.task, tuple(same))
        return done


def is_done_by(row: Any, tasks: Any) -> bool:
    """Return whether a task is the same as one of another path: same id and title, and neither decides nor moves."""
    return not row.milestone and any((other.task, other.title) == (row.task, row.title) for other in tasks)


def _finished(task: str, taken: tuple[tuple[Dates, np.ndarray], ...]) -> np.ndarray:
    return np.logical_or.reduce([dates.finish[task] <= left for dates, left in taken])


def _turn(
    dates: Dates,
    off_site: np.ndarray,
    asked: tuple[tuple[str, float, np.ndarray], ...],
    heavy: np.ndarray | None,
    by: tuple[int, int] | None,
    trials: int,
) -> _Turn:
    day, which, late = np.full(trials, NEVER), np.full(trials, -1), np.zeros(trials, bool)
    for number, (task, probability, drawn) in enumerate(asked):
        sooner = (drawn < probability) & (dates.finish[task] < day)
        day[sooner], which[sooner] = dates.finish[task][sooner], number
    if heavy is not None:
        sooner = heavy < day
        day[sooner], which[sooner] = heavy[sooner], len(asked)
    if by is not None:
        number, last = by
        late = (dates.finish[asked[number][0]] > last + 1) & (off_site > last) & (day > last + 1)
        day[late], which[late] = last + 1, number
    return day, which, late


def _day_of(turn: _Turn) -> np.ndarray:
    """Return the morning on which another path begins; 0 where none does."""
    return np.where(turn[1] >= 0, turn[0], 0)
