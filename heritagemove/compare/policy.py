"""The policy for a chosen path: which refusal turns where, the last meeting that keeps the date, the last day to wait."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from heritagemove.compare import decision
from heritagemove.compare.results import PathResult
from heritagemove.museum.calendars import open_days, rules_of
from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials import durations, simulation
from heritagemove.trials.playing import AS_FOUND, Playable, Played, Policy, play
from heritagemove.trials.simulation import Samples

#: A fallback that has the unit off the site in time in less than this share of the trials that turn to it rescues nothing.
RESCUES = 0.05
#: A last day for an answer is told only if the answer comes before it in at least this share of the trials.
ANSWERED = 0.8


@dataclass(frozen=True)
class Searched:
    """A policy found for a path, and what it brings."""

    played: Played  # decided at the stated meeting, priced
    chance: float  # all in, decided then
    at_once: float  # all in, decided at the first meeting at which the paper is ready
    hinge: str | None  # the gate, or AS_FOUND, whose refusal costs most of that chance; None where nothing is refused
    why_no_meeting: str  # blank where a meeting keeps the confidence
    why_no_switch: str  # blank where there is a last day for the answer of the hinge


def search(
    museum: Museum, choice: PathResult, results: Sequence[PathResult], samples: Samples, memo: Ask = afresh
) -> Searched:
    """Find the policy of a chosen path.

    Each refusal turns to the best of the other paths that does not hang on the same answer; to none where that rescues
    nothing. The meeting is the last at which the chance all in still reaches the confidence. A last day for
    the hinge's answer stands in it only where the answer comes before it in four trials of five, and turning then has
    the unit off the site in time more often than waiting on, by more than the sampling error.
    """
    asked = _Search(museum, choice, tuple(results), samples, memo)
    policy, begun = asked.pruned(asked.begin())
    at_once = asked.chance(begun)
    policy, why_no_meeting = asked.last_meeting(policy, at_once)
    hinge = asked.hinge(asked.played(policy))
    policy, why_no_switch = asked.with_switch(policy, hinge)
    played = play(museum, policy, asked.options, samples, memo)
    return Searched(played, asked.chance(played), at_once, hinge, why_no_meeting, why_no_switch)


def meetings(museum: Museum, path: str) -> np.ndarray:
    """Return the day numbers, up to the deadline, on which those who decide on a path sit."""
    task = durations.milestone(museum, path, "decision")
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    if task is None or deadline < 0:
        return np.array([], int)
    row = next(row for row in museum.of_path("tasks", path) if row.task == task)
    rules = (each.rule for each in rules_of(museum.calendars, row.calendar))
    return np.flatnonzero(open_days(rules, museum.scenario.start, deadline + 1))


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

    def in_time(self, played: Played) -> np.ndarray:
        return played.in_time(simulation.day_number(self.museum, self.museum.scenario.deadline))

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
        policy = dataclasses.replace(policy, on_refusal=kept, then=then)
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
