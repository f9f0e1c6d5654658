"""A policy played in every trial: decided at a meeting, answers heard on their days, a refusal or a late answer turns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Finding
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials import durations, simulation
from heritagemove.trials.refusals import paid_by
from heritagemove.trials.schedule import Calendar, Dates, forward
from heritagemove.trials.seasons import calendars_of
from heritagemove.trials.simulation import NEVER, Samples, Work

#: What stops a path besides its gates: the scale, or what the survey finds of the unknown.
AS_FOUND = "as_found"


@dataclass(frozen=True)
class Hedge:
    """What of a fallback is begun beside the path, from the morning after the path is decided on."""

    path: str  # the fallback
    tasks: tuple[str, ...]  # their ids; what they wait for is among them, or done by the decision
    begin: int = 0  # day number before which they are not begun


@dataclass(frozen=True)
class Policy:
    """What a committee is told to do with one unit; days are numbers from the start."""

    path: str
    on_refusal: Mapping[str, str | None]  # by gate, or AS_FOUND: path to turn to; None: decline and record
    then: Mapping[str, str | None] = field(default_factory=dict)  # by fallback: where its own refusal turns to
    meeting: int | None = None  # day of the meeting that decides; None: the first at which the paper is ready
    # gate, and the last day on which its answer is waited for: "not in hand" then turns as a refusal does
    switch: tuple[str, int] | None = None
    hedge: Hedge | None = None


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
    hedge_usd: np.ndarray | None = None  # what is paid for what is begun beside; None without a hedge or costs [USD]

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

    What is begun beside goes on where the path turns to its fallback: it takes no days of its own there, is paid once, and
    is not finished sooner. It stops, with what is due by then, when every gate that turns there has its yes, or when the
    path turns elsewhere; what is finished of it counts as done there.

    Parameters
    ----------
    options : mapping of str to Playable
        Every path that the policy names, by id.
    costs : bool
        Whether to price it too.
    """
    table = _Table(museum, policy, options, samples, memo, costs)
    (saved, off_site, cost), trials, turn, hedge_usd = table.follow(policy.path, 0, None, ())
    _, which, late = turn.value
    names = np.array(["", *table.heard(policy.path)])
    heard = {gate: trials.dates.value.finish[f.gate.task] - 1 for gate, f in options[policy.path].asked().items()}
    return Played(policy, saved, off_site, cost if costs else None, names[which + 1], late, heard, hedge_usd)


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
class _Before:
    """What was done before a path is turned to."""

    path: str
    tasks: tuple[Any, ...]  # rows
    dates: Made
    left: Made  # the morning on which it was left
    beside: bool = False  # whether it is what was begun beside the path


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
        self, path: str, level: int, start: Made | None, before: tuple[_Before, ...]
    ) -> tuple[_End, _Trials, Made, np.ndarray | None]:
        """Follow one path from its start to the end, with what it turns to; and what is paid for the hedge."""
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
        begins, hedge, hedge_usd = memo(_day_of, turn), self.policy.hedge if level == 0 else None, None
        saved, off_site = trials.off_site.value <= forced, trials.off_site.value.copy()
        cost, left, spent = np.zeros(len(day)), np.zeros(len(day)), np.zeros(len(day))
        if self.costs:
            steps = trials.steps
            cost = steps.cost.value.copy()
            left = (forced - deadline) * self.samples.rates[scenario.holdover_rate, None] + steps.agreed_value
            spent = memo(paid_by, trials.dates, steps.lines, steps.risk_rows, steps.risks, begins).value
        turns = which >= 0
        saved[turns], off_site[turns], cost[turns] = False, NEVER, (spent + left)[turns]
        targets: dict[str | None, list[int]] = {}
        for number, gate in enumerate(gates):
            targets.setdefault(self._next(path, gate, level), []).append(number)
        after = (*before, _Before(path, museum.of_path("tasks", path), trials.dates, begins))
        if hedge:
            beside = self._beside(hedge, path, trials.dates, turn)
            rows = tuple(row for row in museum.of_path("tasks", hedge.path) if row.task in hedge.tasks)
            after = (*after, _Before(hedge.path, rows, beside, begins, beside=True))
            if self.costs:
                hedge_usd = self._paid_beside(hedge, beside.value, trials, asked, turn.value, targets.get(hedge.path, []))
        for target, numbers in targets.items():
            taken = _among(which, numbers, len(gates))
            if target is None or not taken.any():
                continue
            (kept, leaves, paid), *_ = self.follow(target, level + 1, begins, after)
            saved[taken], off_site[taken], cost[taken] = kept[taken], leaves[taken], (spent + paid)[taken]
        if hedge_usd is not None:
            cost += hedge_usd
        return (saved, off_site, cost), trials, turn, hedge_usd

    def _beside(self, hedge: Hedge, path: str, dates: Made, turn: Made) -> Made:
        """Return the dates of what is begun beside a path; ``NEVER`` where the path is left before."""
        museum, memo, samples = self.museum, self.memo, self.samples
        rows = [row for row in museum.of_path("tasks", hedge.path) if row.task in hedge.tasks]
        work = self.options[hedge.path].work
        lasting = durations.task_durations(museum, hedge.path, work, samples, memo)
        calendars = calendars_of(museum, hedge.path, [row.calendar for row in rows], work, samples, memo)
        network = tuple((row.task, tuple(task for task in row.after if task in hedge.tasks)) for row in rows)
        days = tuple(lasting[row.task] for row in rows)
        decision = durations.milestone(museum, path, "decision")
        return memo(_begun, network, days, calendars, dates, decision, hedge.begin, turn)

    def _paid_beside(
        self,
        hedge: Hedge,
        beside: Dates,
        trials: _Trials,
        asked: tuple[tuple[str, float, Made], ...],
        turn: _Turn,
        turning: list[int],
    ) -> np.ndarray:
        """Return what is paid for what is begun beside: all of it where its path is turned to, else what is due by then."""
        day, which, _ = turn
        steps = simulation.simulate(
            self.museum, hedge.path, self.options[hedge.path].work, self.samples, memo=self.memo
        ).made
        lines = [line.value for line in steps.lines if line.value.line.task in hedge.tasks]
        pairs = zip(steps.risk_rows, steps.risks, strict=True)
        risks = [(row, draws.value) for row, draws in pairs if row.task in hedge.tasks]
        whole = sum((entry.cost_usd for entry in (*lines, *(draws for _, draws in risks))), np.zeros(len(day)))
        heard = [trials.dates.value.finish[asked[n][0]] if n < len(asked) else trials.off_site.value + 1 for n in turning]
        over = np.where(which >= 0, day, np.maximum.reduce([np.zeros(len(day), int), *heard]))
        due = paid_by(beside, lines, [row for row, _ in risks], [draws for _, draws in risks], over)
        return np.where(_among(which, turning, len(asked) + 1), whole * (beside.finish[hedge.tasks[0]] < NEVER), due)

    def _next(self, path: str, gate: str, level: int) -> str | None:
        return self.policy.on_refusal.get(gate) if level == 0 else self.policy.then.get(path) if level == 1 else None

    def _trials(self, path: str, level: int, start: Made | None, before: tuple[_Before, ...]) -> _Trials:
        museum, memo, samples, work = self.museum, self.memo, self.samples, self.options[path].work
        done, begun = self._done(path, level, before)
        meeting = self.policy.meeting if level == 0 else None
        if self.costs:
            made = simulation.simulate(museum, path, work, samples, start, memo, meeting, done, begun).made
            return _Trials(made.dates, made.off_site, made.too_heavy, made)
        dated = durations.scheduled(museum, path, work, samples, start, memo, None, meeting, done, begun)
        return _Trials(dated.dates, dated.off_site, simulation.found_heavy(museum, path, work, dated.dates, memo), None)

    def _done(self, path: str, level: int, before: tuple[_Before, ...]) -> tuple[Mapping[str, Made], Mapping[str, Made]]:
        """Return in which trials a task of a path was done before it, and the earliest finish of what was begun beside."""
        done, begun = {}, {}
        for row in self.museum.of_path("tasks", path) if before else ():
            if level == 1 and before[-1].beside and before[-1].path == path and row in before[-1].tasks:
                done[row.task] = self.memo(_is_begun, row.task, before[-1].dates)
                begun[row.task] = self.memo(_not_sooner, row.task, before[-1].dates)
                continue
            same = [(each.dates, each.left) for each in before if is_done_by(row, each.tasks)]
            if same:
                done[row.task] = self.memo(_finished, row.task, tuple(same))
        return done, begun


def is_done_by(row: Any, tasks: Any) -> bool:
    """Return whether a task is the same as one of another path: same id and title, and neither decides nor moves."""
    return not row.milestone and any((other.task, other.title) == (row.task, row.title) for other in tasks)


def _finished(task: str, taken: tuple[tuple[Dates, np.ndarray], ...]) -> np.ndarray:
    return np.logical_or.reduce([dates.finish[task] <= left for dates, left in taken])


def _begun(
    network: tuple[tuple[str, tuple[str, ...]], ...],
    days: tuple[np.ndarray, ...],
    calendars: tuple[Calendar, ...],
    dates: Dates,
    decision: str | None,
    begin: int,
    turn: _Turn,
) -> Dates:
    names = [task for task, _ in network]
    start = np.maximum(0 if decision is None else dates.finish[decision], begin)
    found = forward(
        dict(network), dict(zip(names, days, strict=True)), dict(zip(names, calendars, strict=True)),
        np.broadcast_to(start, turn[0].shape),
    )  # fmt: skip
    never = start >= turn[0]
    ready, finish = ({t: np.where(never, NEVER, day) for t, day in each.items()} for each in (found.ready, found.finish))
    return Dates(ready, finish)


def _among(which: np.ndarray, numbers: list[int], most: int) -> np.ndarray:
    """Return where a number is one of some; -1 is none."""
    wanted = np.zeros(most + 1, bool)
    wanted[numbers] = True
    return wanted[which]


def _is_begun(task: str, beside: Dates) -> np.ndarray:
    return beside.finish[task] < NEVER


def _not_sooner(task: str, beside: Dates) -> np.ndarray:
    return np.where(beside.finish[task] < NEVER, beside.finish[task], 0)


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
