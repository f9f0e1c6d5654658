"""What is told of a decision: the path, its meeting, what turns where, the budget; and its documented form."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from heritagemove.trials.playing import Played

#: What a committee is told of a unit: only the last three are grounds to decline it.
VERDICTS = ("do this", "not yet", "too late", "beyond means", "blocked")


@dataclass(frozen=True)
class Missing:
    """One thing that nobody knows yet, and the paths that wait for it."""

    what: str  # what is unknown
    find: str  # how to find it out
    who: str  # role that finds it out
    by: dt.date | None  # last day that leaves one of the paths its time before the deadline; None where none has it
    opens: tuple[str, ...]  # paths that wait for nothing else
    waits: tuple[str, ...]  # paths that wait for it among other things
    # sum over those paths of the chance to save the unit if all turns out well, each shared among all it waits for
    worth: float


@dataclass(frozen=True)
class Hinge:
    """The open gate whose refusal costs most of the chance."""

    gate: str  # id of the gate; ``as_found``: what the scale or the survey finds
    title: str
    # day on which its answer is in hand, in one, five and eight of ten trials; None for what is found
    answer: tuple[dt.date, dt.date, dt.date] | None
    turns_to: str | None  # path that its refusal turns to


@dataclass(frozen=True)
class BegunBeside:
    """What of the fallback is begun beside the path, on the morning after it is decided on."""

    path: str  # the fallback
    tasks: tuple[str, ...]  # their ids and titles
    titles: tuple[str, ...]
    cost: float  # paid for them on average [USD]
    chance_without: float  # all in, the same decision without them
    saves: float  # what they save on average above their cost; below 0 they cost more than they save [USD]
    begin_by: dt.date | None  # last day on which to begin them brings as much; None while a slider moves


@dataclass(frozen=True)
class AskedOfOwner:
    """More time that the owner is asked for, since it pays."""

    extension: str  # id of the extension, and what is asked of whom
    title: str
    ask_by: dt.date
    days: int  # calendar days by which the deadline and the forced-scrap date come later where it is granted
    price: float  # paid where it is granted [USD]
    granted: float  # chance that it is
    chance: float  # all in, with the owner's answer played out: beside the chance of the decision, not in it
    saves: float  # what it saves on average above its price; below 0 it costs more, and the chance is what it is for [USD]


@dataclass(frozen=True)
class Budget:
    """What the decision costs, all in, decided at its meeting [USD]."""

    likely: float | None  # sum of the likely values of the path: not the mean
    at_confidence: float  # not passed with the museum's confidence
    mean: float
    refused: float  # share of trials in which the path is refused or turned from
    if_refused_mean: float | None  # mean of these trials; None where there are none
    p95: float  # not passed in nineteen of twenty


@dataclass(frozen=True)
class Decision:
    """What is to be done with one unit: every screen, page and table takes it from here."""

    verdict: str  # one of VERDICTS
    path: str | None  # id of the path to take; None unless the verdict is "do this"
    fallback: str | None  # id of the path to turn to; None while it is "not yet"
    # last meeting at which the chance all in still reaches the museum's confidence; None where none does
    decide_by: dt.date | None
    # last day to wait for the hinge's answer: not in hand then turns as a refusal does; None where waiting is better
    switch_by: dt.date | None
    provisional_on: tuple[str, ...]  # what the path rests on and nobody knows yet; none where it is known
    # lowest and highest chance of the path, by what is found of the unknown; None where all is known
    chance: tuple[float, float] | None
    first: tuple[Missing, ...]  # what to find out first, at most three
    why: tuple[str, ...]  # the facts behind any other verdict than "do this", one sentence each
    sentence: str  # all of it in words
    tie_with: tuple[str, ...] = ()  # paths that are as good as the one chosen: the difference is within the error
    decide_why: str = ""  # why there is no such meeting
    # chance all in, decided at that meeting, or at the first that can where there is none; and at the first that can
    chance_if_decided_then: float | None = None
    chance_at_once: float | None = None
    hinge: Hinge | None = None
    on_refusal: Mapping[str, str | None] = field(default_factory=dict)  # by gate: path to turn to; None: decline, record
    fallbacks: Mapping[str, str | None] = field(default_factory=dict)  # by fallback: path that its own refusal turns to
    switch_why: str = ""  # why there is no last day to wait
    needs_meeting: bool | None = None  # whether the committee decides again on the fallback
    budget: Budget | None = None
    # why the budget is beyond the funds or out of proportion, though the likely cost is within; one sentence each
    beyond: tuple[str, ...] = ()
    played: Played | None = field(default=None, compare=False, repr=False)  # the policy in every trial, decided then
    hedge: BegunBeside | None = None
    hedge_why: str = ""  # why nothing is begun beside
    more_time: AskedOfOwner | None = None
    more_time_why: str = ""  # why the owner is asked for no more time
    replayed: bool = False  # whether it is an earlier decision, played as the museum is set now
    otherwise: str = ""  # how a search would now choose otherwise than that

    @property
    def in_short(self) -> str:
        """The verdict in a few words, for titles and cells."""
        provisional = ", provisional" if self.provisional_on else ""
        return self.verdict + provisional + _IN_SHORT.get(self.verdict, "")


_IN_SHORT = {
    "not yet": ": too much is unknown to choose",
    "too late": ": no path is off the site in time",
    "beyond means": ": every path that is in time costs too much",
    "blocked": ": no path that saves it is open",
}


def _more_time_json(asked: AskedOfOwner) -> dict[str, Any]:
    return dataclasses.asdict(asked) | {"ask_by": asked.ask_by.isoformat()}


def decision_json(decision: Decision) -> dict[str, Any]:
    """Return a decision in the documented, stable form of ``compare --format json``."""
    low, high = decision.chance or (None, None)
    hinge, budget = decision.hinge, decision.budget
    return {
        "verdict": decision.verdict,
        "provisional_on": list(decision.provisional_on),
        "path": decision.path,
        "chance": decision.chance and {"low": low, "high": high},
        "find_out_first": [
            {
                "what": row.what,
                "find": row.find,
                "who": row.who,
                "by": row.by and row.by.isoformat(),
                "opens": list(row.opens),
                "waits": list(row.waits),
            }
            for row in decision.first
        ],
        "why": list(decision.why),
        "tie_with": list(decision.tie_with),
        "decide_on": decision.decide_by and decision.decide_by.isoformat(),
        "decide_on_why": decision.decide_why or None,
        "chance_if_decided_then": decision.chance_if_decided_then,
        "chance_at_once": decision.chance_at_once,
        "hinge": hinge
        and {
            "gate": hinge.gate,
            "answer": hinge.answer
            and dict(zip(("p10", "p50", "p80"), (day.isoformat() for day in hinge.answer), strict=True)),
        },
        "on_refusal": dict(decision.on_refusal),
        "fallbacks": [{"path": path, "on_refusal": then} for path, then in decision.fallbacks.items()],
        "fallback": decision.fallback,
        "switch_on": decision.switch_by and decision.switch_by.isoformat(),
        "switch_on_why": decision.switch_why or None,
        "hedge": decision.hedge
        and {
            "path": decision.hedge.path,
            "tasks": list(decision.hedge.tasks),
            "cost": decision.hedge.cost,
            "chance": decision.chance_if_decided_then,
            "chance_without": decision.hedge.chance_without,
            "saves": decision.hedge.saves,
            "begin_by": decision.hedge.begin_by and decision.hedge.begin_by.isoformat(),
        },
        "hedge_why": decision.hedge_why or None,
        "more_time": decision.more_time and _more_time_json(decision.more_time),
        "more_time_why": decision.more_time_why or None,
        "needs_meeting": decision.needs_meeting,
        "beyond": list(decision.beyond),
        "budget": budget
        and {
            "likely": budget.likely,
            "p80": budget.at_confidence,
            "mean": budget.mean,
            "refused": budget.refused,
            "if_refused_mean": budget.if_refused_mean,
            "p95": budget.p95,
        },
    }
