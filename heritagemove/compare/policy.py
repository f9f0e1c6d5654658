"""The policy for a chosen path: which refusal turns where, the last meeting that keeps the date, the last day to wait."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from heritagemove.compare import decision
from heritagemove.compare.decided import Decision
from heritagemove.compare.results import PathResult
from heritagemove.museum.calendars import open_days, rules_of
from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.extensions import Extension
from heritagemove.museum.waits import extension_draw
from heritagemove.trials import durations, simulation
from heritagemove.trials.needs import Work
from heritagemove.trials.playing import AS_FOUND, Hedge, Playable, Played, Policy, is_done_by, play
from heritagemove.trials.schedule import order_of
from heritagemove.trials.simulation import NEVER, Samples
from heritagemove.units import units

#: A fallback that has the unit off the site in time in less than this share of the trials that turn to it rescues nothing.
RESCUES = 0.05
#: A last day for an answer is told only if the answer comes before it in at least this share of the trials.
ANSWERED = 0.8


@dataclass(frozen=True)
class Beside:
    """What is begun of a fallback beside the path, and what it brings."""

    cost: float  # paid for it on average [USD]
    chance_without: float  # all in, the same policy without it
    saves: float  # what it saves on average above its cost; below 0 it costs more, and the chance is what it is for [USD]
    begin_by: int | None  # last day number on which to begin it brings as much; None where it was not searched


@dataclass(frozen=True)
class MoreTime:
    """More time asked of the owner, and what asking brings."""

    row: Extension
    chance: float  # all in, with the owner's answer played out
    saves: float  # what it saves on average above its price; below 0 it costs more than it saves [USD]
    pays: bool


@dataclass(frozen=True)
class Searched:
    """A policy found for a path, and what it brings."""

    played: Played  # decided at the stated meeting, priced
    chance: float  # all in, decided then
    at_once: float | None  # all in, decided at the first meeting at which the paper is ready; None where it was not searched
    hinge: str | None  # the gate, or AS_FOUND, whose refusal costs most of that chance; None where nothing is refused
    why_no_meeting: str  # blank where a meeting keeps the confidence
    why_no_switch: str  # blank where there is a last day for the answer of the hinge
    beside: Beside | None  # None where nothing is begun beside
    why_no_hedge: str  # blank where something is
    more_time: tuple[MoreTime, ...] = ()  # what the owner may be asked for, the best first
    replayed: bool = False  # whether it was found before, and only played


def search(
    museum: Museum, choice: PathResult, results: Sequence[PathResult], samples: Samples, memo: Ask = afresh
) -> Searched:
    """Find the policy of a chosen path.

    Each refusal turns to the best of the other paths that does not hang on the same answer; to none where that rescues
    nothing. The meeting is the last at which the chance all in still reaches the confidence. A last day for
    the hinge's answer stands in it only where the answer comes before it in four trials of five, and turning then has
    the unit off the site in time more often than waiting on, by more than the sampling error. Of the fallback, what pays is
    begun beside.
    """
    asked = _Search(museum, choice, tuple(results), samples, memo)
    start = asked.begin()
    policy, begun = asked.pruned(start)
    policy, why_no_meeting = asked.last_meeting(policy, asked.chance(begun))
    policy, why_no_hedge = asked.with_hedge(start, policy)
    if policy.hedge:
        policy, begun = asked.pruned(dataclasses.replace(policy, meeting=None))
        policy, why_no_meeting = asked.last_meeting(policy, asked.chance(begun))
    hinge = asked.hinge(asked.played(policy))
    policy, why_no_switch = asked.with_switch(policy, hinge)
    played = asked.priced(policy)
    return Searched(
        played, asked.chance(played), asked.chance(begun), hinge, why_no_meeting, why_no_switch,
        asked.beside(played, searched=True), why_no_hedge, more_time(museum, played, asked.options, samples, memo),
    )  # fmt: skip


def replay(
    museum: Museum, choice: PathResult, results: Sequence[PathResult], samples: Samples, told: Decision, memo: Ask = afresh
) -> Searched:
    """Play a decision that was found before, as the museum is set now; nothing is searched."""
    asked = _Search(museum, choice, tuple(results), samples, memo)
    meeting, last = (date and simulation.day_number(museum, date) for date in (told.decide_by, told.switch_by))
    hinge, hedge = told.hinge and told.hinge.gate, told.hedge and Hedge(told.hedge.path, told.hedge.tasks)
    switch = None if hinge is None or last is None else (hinge, last)
    played = asked.priced(Policy(choice.path, told.on_refusal, told.fallbacks, meeting, switch, hedge))
    return Searched(
        played, asked.chance(played), None, hinge, told.decide_why, told.switch_why,
        asked.beside(played, searched=False), told.hedge_why, replayed=True,
    )  # fmt: skip


def meetings(museum: Museum, path: str) -> np.ndarray:
    """Return the day numbers, up to the deadline, on which those who decide on a path sit."""
    task = durations.milestone(museum, path, "decision")
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    if task is None or deadline < 0:
        return np.array([], int)
    row = next(row for row in museum.of_path("tasks", path) if row.task == task)
    rules = (each.rule for each in rules_of(museum.calendars, row.calendar))
    return np.flatnonzero(open_days(rules, museum.scenario.start, deadline + 1))


def more_time(
    museum: Museum, played: Played, options: Mapping[str, Playable], samples: Samples, memo: Ask = afresh
) -> tuple[MoreTime, ...]:
    """Play a policy with each extension that the owner may still be asked for; where it is granted, all dates move."""
    scenario, found, policy = museum.scenario, [], played.policy
    for row in museum.extensions:
        if row.ask_by < scenario.as_of or (row.units and options[policy.path].work.vehicle not in row.units):
            continue
        longer = dt.timedelta(days=row.days)
        there = museum.with_changes(deadline=scenario.deadline + longer, forced_scrap=scenario.forced_scrap + longer)
        later = play(there, policy, options, samples, memo)
        granted = ~(samples.gates[extension_draw(row.extension)] < 1 - row.probability)
        asked = dataclasses.replace(
            played,
            saved=np.where(granted, later.saved, played.saved),
            off_site=np.where(granted, np.where(later.saved, later.off_site - row.days, NEVER), played.off_site),
            cost_usd=np.where(granted, later.cost_usd + units.value(row.price, "USD"), played.cost_usd),
        )
        saves = float((played.cost_usd - asked.cost_usd).mean())
        found.append(MoreTime(row, float(np.mean(_in_time(museum, asked))), saves, pays(museum, played, asked)))
    return tuple(sorted(found, key=lambda each: (not each.pays, -each.saves)))


def pays(museum: Museum, before: Played, after: Played) -> bool:
    """Return whether more is worth doing: it keeps the confidence, or saves money, or makes surer for nothing."""
    confidence, then, now = museum.scenario.simulation.confidence, _in_time(museum, before), _in_time(museum, after)
    if then.mean() < confidence <= now.mean():
        return True
    won, error = _mean(before.cost_usd - after.cost_usd)
    surer, error_of_chance = _mean(now.astype(float) - then)
    return won > error or (won > -error and surer > error_of_chance)


def _in_time(museum: Museum, played: Played) -> np.ndarray:
    return played.in_time(simulation.day_number(museum, museum.scenario.deadline))


def most_turned_to(played: Played) -> str | None:
    """Return the path that is turned to in most trials; None where none is."""
    counts: dict[str, int] = {}
    for gate, path in played.policy.on_refusal.items():
        if path:
            counts[path] = counts.get(path, 0) + np.count_nonzero(played.turned == gate)
    return max(counts, key=counts.get) if any(counts.values()) else None


def may_begin_beside(museum: Museum, path: str, fallback: str, work: Work) -> tuple[tuple[str, ...], ...]:
    """Return what of a fallback may be begun once a path is decided on: sets of tasks, each with what it waits for.

    Somebody else's answers, each with the survey and the paper that it waits for: nothing that is booked, built or moved,
    no money asked for, and nothing that the path does itself. The committee that decides on the path decides on them.

    Returns
    -------
    tuple of tuple of str
        All of them first, then each answer alone, in the order of the tables; empty where there is none.
    """
    rows, own = museum.of_path("tasks", fallback), museum.of_path("tasks", path)
    decision = durations.milestone(museum, path, "decision")
    by_then = _before({row.task: row.after for row in own}, decision)
    paper = _before({row.task: row.after for row in rows}, durations.milestone(museum, fallback, "decision"))
    shared = {row.task for row in rows if is_done_by(row, own)}
    known = {row.task for row in rows if "decision" in row.milestone} | (shared & by_then)
    needed: dict[str, tuple[str, ...]] = {}
    for name in order_of({row.task: row.after for row in rows}):
        row = next(row for row in rows if row.task == name)
        answer = row.waits_for_others or name in paper
        if row.milestone or row.fund or name in shared or not answer or not work.applies(row.needs, stage=row.stage):
            continue
        if all(task in known or task in needed for task in row.after):
            needed[name] = (*dict.fromkeys(each for task in row.after for each in needed.get(task, ())), name)
    answers = [tasks for name, tasks in needed.items() if any(r.task == name and r.waits_for_others for r in rows)]
    whole = tuple(name for name in needed if any(name in tasks for tasks in answers))
    return tuple(dict.fromkeys((whole, *answers))) if whole else ()


def _before(after: Mapping[str, Sequence[str]], task: str | None) -> set[str]:
    """Return all that a task waits for."""
    found: set[str] = set()
    waiting = list(after.get(task, ())) if task else []
    while waiting:
        found.add(name := waiting.pop())
        waiting += [each for each in after[name] if each not in found]
    return found


@dataclass(frozen=True)
class _Search:
    museum: Museum
    choice: PathResult
    results: tuple[PathResult, ...]
    samples: Samples
    memo: Ask

    @property
    def options(self) -> Mapping[str, Playable]:
        return {r.path: Playable(r.path, r.work, r.findings) for r in decision.able(self.results)}

    def begin(self) -> Policy:
        ranked = [r.path for r in decision.fallbacks(self.museum, self.results, self.choice)]
        options, path = self.options, self.choice.path
        first = {
            gate: next((other for other in ranked if gate not in options[other].asked()), None)
            for gate in (*options[path].asked(), AS_FOUND)
        }
        then = {
            other: next((third for third in ranked if third != other), None)
            for other in dict.fromkeys(first.values())
            if other
        }
        return Policy(path, first, then)

    def played(self, policy: Policy) -> Played:
        return play(self.museum, policy, self.options, self.samples, self.memo, costs=False)

    def priced(self, policy: Policy) -> Played:
        return play(self.museum, policy, self.options, self.samples, self.memo)

    def in_time(self, played: Played) -> np.ndarray:
        return _in_time(self.museum, played)

    def chance(self, played: Played) -> float:
        return float(np.mean(self.in_time(played)))

    def pruned(self, policy: Policy) -> tuple[Policy, Played]:
        """Return the policy without fallbacks that rescue nothing."""
        played = self.played(policy)
        in_time, turned = self.in_time(played), played.turned
        kept = {
            gate: path if path and (turned == gate).any() and np.mean(in_time[turned == gate]) >= RESCUES else None
            for gate, path in policy.on_refusal.items()
        }
        if kept == policy.on_refusal:
            return policy, played
        then = {path: policy.then.get(path) for path in dict.fromkeys(kept.values()) if path}
        hedge = policy.hedge if policy.hedge and policy.hedge.path in then else None
        policy = dataclasses.replace(policy, on_refusal=kept, then=then, hedge=hedge)
        return policy, self.played(policy)

    def last_meeting(self, policy: Policy, at_once: float) -> tuple[Policy, str]:
        """Return the policy decided at the last meeting that keeps the confidence, or at once and why."""
        confidence = self.museum.scenario.simulation.confidence
        if decision.committed_on(self.museum, self.choice):
            return policy, "The committee has committed."
        if at_once < confidence:
            return policy, f"Decided at the first meeting that can, it does not reach {confidence:.0%}."
        days = [int(day) for day in meetings(self.museum, policy.path)]
        if not days:
            return policy, "No committee decides on it before the deadline."

        def at(day: int) -> tuple[Policy, Played]:
            return self.pruned(dataclasses.replace(policy, meeting=day))

        low, high = 0, len(days)  # the first meeting of the calendar is no later than at once
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self.chance(at(days[middle])[1]) >= confidence else (low, middle)
        return at(days[low])[0], ""

    def hinge(self, played: Played) -> str | None:
        """Return what costs most of the chance by being refused."""
        lost = played.turned[~self.in_time(played) & (played.turned != "")]
        lost = lost if len(lost) else played.turned[played.turned != ""]
        counts = {gate: np.count_nonzero(lost == gate) for gate in played.policy.on_refusal}
        return max(counts, key=counts.get) if len(lost) else None

    def with_switch(self, policy: Policy, hinge: str | None) -> tuple[Policy, str]:
        """Return the policy with the last day to wait for the hinge's answer, or without and why."""
        target = policy.on_refusal.get(hinge) if hinge else None
        if hinge is None:
            return policy, "Nothing of it may be refused."
        if hinge == AS_FOUND or target is None:
            return policy, "No other path rescues it when that is refused."
        without = self.played(policy)
        before, answers = self.in_time(without), without.answers[hinge]
        days = np.quantile(answers, (ANSWERED, 0.85, 0.9, 0.95, 0.99), method="higher")
        best, gain = None, 0.0
        for day in dict.fromkeys(map(int, days)):
            trial = dataclasses.replace(policy, switch=(hinge, day))
            played = self.played(trial)
            after = self.in_time(played)
            won, lost = np.count_nonzero(after & ~before), np.count_nonzero(before & ~after)
            saves = played.late.any() and np.mean(after[played.late]) >= RESCUES
            if saves and won - lost > max(gain, 2 * np.sqrt(won + lost)):
                best, gain = trial, won - lost
        if best:
            return best, ""
        return policy, "Turning before the answer is there saves it no more often than waiting for it."

    def with_hedge(self, start: Policy, policy: Policy) -> tuple[Policy, str]:
        """Return the policy with what of a fallback pays to be begun beside the path, or without and why.

        Parameters
        ----------
        start : Policy
            With every fallback, those too that rescue nothing as long as nothing of them is begun before.
        """
        whole = dataclasses.replace(start, meeting=policy.meeting)
        path = most_turned_to(self.played(whole))
        if path is None:
            return policy, "No other path is turned to."
        number = next(result.number for result in self.results if result.path == path)
        sets = may_begin_beside(self.museum, policy.path, path, self.options[path].work)
        if not sets:
            return policy, f"Nothing of path {number} can be begun before it is decided on."
        tried = [dataclasses.replace(whole, hedge=Hedge(path, tasks)) for tasks in sets]
        whole_set, *_ = played = list(map(self.priced, tried))
        best = min(played, key=lambda each: each.cost_usd.mean())
        before, hedged = self.priced(policy), self.pruned(best.policy)[0]
        if hedged.hedge and pays(self.museum, before, self.priced(hedged)):
            return hedged, ""
        paid, more = whole_set.hedge_usd.mean(), (whole_set.cost_usd - before.cost_usd).mean()
        told = f"all that may be would cost {paid:,.0f} {self.museum.scenario.currency} on average and save"
        return policy, f"Nothing of path {number} pays to be begun beside it: {told} {max(paid - more, 0):,.0f}."

    def as_good(self, one: Played, other: Played) -> bool:
        """Return whether another policy is as sure, and costs no more, within the sampling error."""
        less_sure, error = _mean(self.in_time(one).astype(float) - self.in_time(other))
        dearer, error_of_cost = _mean(other.cost_usd - one.cost_usd)
        return less_sure <= error and dearer <= error_of_cost

    def beside(self, played: Played, searched: bool) -> Beside | None:
        """Return what is begun beside and what it brings; with its last day where that is searched."""
        policy = played.policy
        if policy.hedge is None:
            return None
        without = self.priced(dataclasses.replace(policy, hedge=None))
        low = high = 0
        if searched:
            heard = [day for gate, day in played.answers.items() if policy.on_refusal[gate] == policy.hedge.path]
            low = policy.meeting or 0
            high = max(int(np.quantile(np.stack(heard), 0.99)) if heard else 0, low + 1)
        while high - low > 1:
            middle = (low + high) // 2
            later = dataclasses.replace(policy, hedge=dataclasses.replace(policy.hedge, begin=middle))
            low, high = (middle, high) if self.as_good(played, self.priced(later)) else (low, middle)
        saves = float((without.cost_usd - played.cost_usd).mean())
        return Beside(float(played.hedge_usd.mean()), self.chance(without), saves, low if searched else None)


def _mean(values: np.ndarray) -> tuple[float, float]:
    """Return the mean of what differs trial by trial, and twice its sampling error."""
    return float(values.mean()), 2 * float(values.std()) / np.sqrt(len(values))
