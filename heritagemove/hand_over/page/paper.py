"""The paper that a chair reads aloud: what the board is asked to resolve, why, for how much, and what may go wrong."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.answers.motion import deed, gate_titles, motion
from heritagemove.compare import decision
from heritagemove.compare.decided import AskedOfOwner
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.compare.verdict import funds_for, means
from heritagemove.following.commitments import spent_or_signed
from heritagemove.following.tracking import Forecast
from heritagemove.hand_over.page.plain import figure, of_100, short_day
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.units import units
from heritagemove.units.words import lowered, show_chance, show_date, show_rounded, without_brackets

#: Paths that are told why not, things that can go wrong, and what is done next.
_RIVALS, _WRONG, _ACTIONS = 2, 3, 5
#: Words on the paper, its headings left out: three minutes, read aloud.
_LONGEST = 330
#: Two sums to set aside that differ by no more than this share of the dearer are about the same.
_ABOUT = 0.03
#: A remedy that names the task in which it is done.
_AT_THE = re.compile(r"\bat the (\w+)")
#: Words before a comma that say enough of a title.
_ENOUGH = 2


@dataclass(frozen=True)
class BoardPaper:
    """What stands on the first sheet, in the order of reading; what has nothing to say is blank."""

    meeting: str  # which meeting it is for
    heading: str  # what the board is asked
    motion: str  # what it is asked to resolve
    warnings: list[str]  # what it must know of that: beyond the funds, not likely enough, the books say otherwise
    why: list[str]  # why this way, and why not the next ones
    find_first: list[str]  # what to find out before anything else
    money: list[dict[str, str]]  # each with its name and figure
    date: tuple[str, ...]
    wrong: list[str]  # what can go wrong, what lowers it, its price, who and by when
    refused: list[str]  # what is done if they say no
    actions: list[str]  # what is done next, by whom and by when
    rests_on: tuple[str, ...]


def paper(comparison: Comparison, rests_on: Mapping[str, Any] | None, forecasts: Sequence[Forecast] = ()) -> BoardPaper:
    """Return the paper of one unit.

    Parameters
    ----------
    rests_on : mapping or None
        What the money of the choice rests on: ``quoted`` and ``lapsed`` (shares), ``estimate_class`` (title),
        ``low_percent`` and ``high_percent`` (how far such an estimate may be off) and ``ask_first`` (titles of lines to have
        quoted), and where somebody counted them ``starter`` of the ``prices`` that are still the starter's; None where
        nobody knows.
    forecasts : sequence of Forecast
        What follows from the books of the unit; none where nothing has happened.
    """
    found, name = comparison.decision, without_brackets(comparison.museum.vehicle(comparison.vehicle).name)
    find_first, resolution = _find_first(comparison), motion(comparison).in_full()
    if found.path is None:
        why = list(found.why[:_WRONG]) or ["Too much is unknown to choose a way."]
        heading, none = f"{name}: what the board must know first", []
        money = _spent(comparison)
        return BoardPaper(
            "For the next meeting", heading, resolution, none, why, find_first, money, none, none, none, none, none
        )
    choice, at = comparison.path(found.path), _Dated.of(comparison, forecasts)
    resolved = _resolved(comparison, choice, forecasts)
    told = BoardPaper(
        meeting=_meeting(comparison, choice, resolved),
        heading=f"{name}: what the board resolved" if resolved else f"{name}: the board is asked to resolve",
        motion=resolution,
        warnings=_warnings(comparison, forecasts, resolved),
        why=[_why(comparison, choice), *(_why_not(comparison, choice, other) for other in _rivals(comparison, choice))],
        find_first=find_first,
        money=[*_money(comparison), *_spent(comparison)],
        date=_date(comparison),
        wrong=_wrong(comparison, choice, at),
        refused=_refused(comparison, choice),
        actions=at.actions(choice.path, found.more_time),
        rests_on=_rests_on(rests_on) if rests_on else [],
    )
    return fitted(told)


def fitted(told: BoardPaper) -> BoardPaper:
    """Return a paper that is read in three minutes: steps that lie far are left out, the whole list stands behind it."""
    while _words(told) > _LONGEST and len(told.actions) > 1:
        told.actions.pop()
    return told


def _words(told: BoardPaper) -> int:
    return sum(len(text.split()) for value in vars(told).values() for text in _texts(value))


def _texts(value: str | list[Any]) -> list[str]:
    """Return the texts of one field of a paper."""
    if isinstance(value, str):
        return [value]
    return [text for part in value for text in (part.values() if isinstance(part, dict) else [part])]


@dataclass(frozen=True)
class _Dated:
    """The tasks of the choice, decided at its meeting; by the books where these follow it."""

    museum: Museum
    dates: Any  # of schedule.Dates
    done: frozenset[str]  # tasks that are finished
    on: dt.date  # last day of the books; before them the start
    meeting: dt.date | None = None  # at which the board is to decide; None where it has, or the books say how far it is

    @classmethod
    def of(cls, comparison: Comparison, forecasts: Sequence[Forecast]) -> _Dated:
        found, museum = comparison.decision, comparison.museum
        if forecasts and forecasts[-1].path == found.path:
            last = forecasts[-1]
            done = frozenset(task for task, row in last.known.items() if row.finished and row.finished <= last.on)
            return cls(last.museum, last.result.trials.dates, done, last.on)
        work, meeting = comparison.path(found.path).work, found.played.policy.meeting
        trials = simulation.simulate(museum, found.path, work, comparison.samples, decided=meeting)
        due = None if decision.committed_on(museum, comparison.path(found.path)) else found.decide_by
        return cls(museum, trials.dates, frozenset(), museum.scenario.start, due)

    def by(self, risk: Any) -> str:
        """Return the last day on which what lowers a risk still helps, as likely as not.

        What says that it is done "at the survey" is done while that task lasts; all else before the task of the risk begins.
        """
        named = _AT_THE.search(risk.mitigation)
        rows = self.museum.of_path("tasks", risk.path)
        own = next((row.task for row in rows if named and named[1] in (row.task, *row.milestone)), None)
        at = self.dates.finish[own] - 1 if own else self.dates.ready[risk.task]
        day = simulation.date_of(self.museum, float(np.median(at)))
        return "at once" if day <= self.on else short_day(self.museum, day)

    def actions(self, path: str, asked: AskedOfOwner | None) -> list[str]:
        """Return what is done next, by whom and by when, as likely as not; what takes no days here is left out."""
        ready, finish = self.dates.ready, self.dates.finish
        last = {task: float(np.median(days)) - 1 for task, days in finish.items()}
        rows = [row for row in self.museum.of_path("tasks", path) if row.task not in self.done]
        rows = [row for row in rows if row.milestone or np.any(finish[row.task] > ready[row.task])]
        rows = sorted(rows, key=lambda row: (float(np.median(ready[row.task])), last[row.task]))[:_ACTIONS]
        steps = [
            (simulation.date_of(self.museum, last[row.task]), f"{_first_part(self.museum.titled(row))}: {row.who}")
            for row in rows
        ]
        if asked:
            then = f"then {of_100(asked.chance)}"
            steps.append((asked.ask_by, f"Ask the owner for {asked.days} more days ({then}): museum"))
        steps = sorted(steps, key=lambda step: step[0])[:_ACTIONS]
        return [f"{what}, {short_day(self.museum, day)}." for day, what in self._told_apart(steps)]

    def _told_apart(self, steps: list[tuple[dt.date, str]]) -> list[tuple[dt.date, str]]:
        """Say of the first step before the meeting that it is, and of the first one after it."""
        if self.meeting is None:
            return steps
        before = any(day < self.meeting for day, _ in steps)
        after = sum(day <= self.meeting for day, _ in steps)
        said = {0: "Before the meeting: ", after: "After it: "} if before else {}
        return [(day, said[n] + lowered(what) if n in said else what) for n, (day, what) in enumerate(steps)]


def _resolved(comparison: Comparison, choice: PathResult, forecasts: Sequence[Forecast]) -> dt.date | None:
    """Return the day on which the board resolved on this path, by its tasks or by the books; None while it has not."""
    if forecasts and forecasts[-1].path == choice.path:
        made = next((row for row in comparison.museum.of_path("tasks", choice.path) if "decision" in row.milestone), None)
        record = made and forecasts[-1].known.get(made.task)
        if record and record.finished:
            return record.finished
    return decision.committed_on(comparison.museum, choice)


def _meeting(comparison: Comparison, choice: PathResult, resolved: dt.date | None) -> str:
    by = comparison.decision.decide_by
    if resolved:
        return f"Resolved on {show_date(resolved)}"
    return f"For the meeting of {show_date(by)} at the latest" if by else "For the first meeting that can decide"


def _warnings(comparison: Comparison, forecasts: Sequence[Forecast], resolved: dt.date | None) -> list[str]:
    found, museum = comparison.decision, comparison.museum
    confidence, told = museum.scenario.simulation.confidence, []
    if found.beyond:
        told.append(f"That is more than it can afford: {means(museum, comparison.vehicle)[1]}.")
    if found.decide_by is None and found.chance_if_decided_then < confidence:
        ask = "" if found.more_time else " Ask the owner for more time."
        chance = of_100(found.chance_if_decided_then)
        asked = show_chance(confidence).removesuffix("%")
        told.append(f"Even decided at once it is in time only in {chance}, and {asked} are asked for.{ask}")
    if forecasts:
        last = forecasts[-1]
        if last.path != found.path:
            told.append(f"The books follow another way: {deed(last.result)}.")
        begun = "The work has begun" if resolved else f"Begun by {short_day(museum, last.on)}, say the books"
        told.append(f"{begun}; figures are the plan's.{_by_the_books(museum, last)}")
    return told


def _by_the_books(museum: Museum, last: Forecast) -> str:
    """Return what the books now forecast of the path that they follow."""
    money, gone = last.result.cost, last.result.off_site
    if money is None or gone is None:
        return ""
    p80 = f"{show_rounded(money.p80)} {museum.scenario.currency}"
    return f" By the books of {short_day(museum, last.on)}: {p80}, off by {short_day(museum, gone.p80)}."


def _why(comparison: Comparison, choice: PathResult) -> str:
    confidence = comparison.museum.scenario.simulation.confidence
    if (choice.chance_with_fallback or 0) < confidence:
        return "No way is sure enough. This one has the best chance."
    if comparison.decision.tie_with:
        return "It is the best of the cheapest ways."
    return "It is the cheapest way that is sure enough."


def _rivals(comparison: Comparison, choice: PathResult) -> list[PathResult]:
    """Return the next paths: those as good, the fallback, the cheapest that can be taken, then those that cannot."""
    found, others = comparison.decision, [r for r in comparison.paths if r.saves and r.path != choice.path]
    able = decision.able(tuple(others))

    def key(result: PathResult) -> tuple[Any, ...]:
        can = result in able and result.cost_with_fallback is not None
        cost = result.cost_with_fallback.p80 if can else 0.0
        return result.path not in found.tie_with, result.path != found.fallback, not can, cost, result.number

    return sorted(others, key=key)[:_RIVALS]


def _why_not(comparison: Comparison, choice: PathResult, other: PathResult) -> str:
    """Return why not another path: what it asks to have set aside more or less, each of the two begun at once."""
    museum, way = comparison.museum, _upper(deed(other))
    if other in decision.able((other,)) and other.cost_with_fallback:
        mine, its = choice.cost_with_fallback.p80, other.cost_with_fallback.p80
        near = abs(its - mine) <= _ABOUT * max(abs(its), abs(mine))
        apart = f"{show_rounded(abs(its - mine))} {other.currency} {'dearer' if its > mine else 'cheaper'}"
        money = "about as dear" if near else apart
        if other.path in comparison.decision.tie_with and (near or its < mine):  # what is dearer needs no more reason
            settled = decision.settled_by(museum, comparison.vehicle, choice, other)
            return f"{way}: {money}, but {settled.replace(', each begun at once', '')}."
        ahead = other.chance_with_fallback - choice.chance_with_fallback
        mine, its = (show_chance(r.chance_with_fallback) for r in (choice, other))
        sure = f"{'surer' if ahead > 0 else 'less sure'} in time ({its} against {mine})"
        return f"{way}: {money}, {f'as sure in time ({its})' if mine == its else sure}."
    status = {"blocked": "fail"}.get(other.status, "unknown")
    stop = next((f.gate.title for f in other.findings if f.status == status), "its date")
    return f"{way}: not possible, “{stop}” is not met." if status == "fail" else f"{way}: not known yet, “{stop}”."


def _find_first(comparison: Comparison) -> list[str]:
    museum, found = comparison.museum, comparison.decision
    if found.verdict == "too late":
        asked = [row for row in museum.extensions if not row.units or comparison.vehicle in row.units]
        return [f"{row.title}: {row.days} days more, asked by {short_day(museum, row.ask_by)}." for row in asked]
    return [
        f"{_first_part(row.what)}: {row.find or 'ask or measure'} ({row.who}, "
        f"{f'by {short_day(museum, row.by)}' if row.by else 'at once'})."
        for row in found.first
    ]


def _money(comparison: Comparison) -> list[dict[str, str]]:
    budget, confidence = comparison.decision.budget, comparison.museum.scenario.simulation.confidence
    currency = comparison.museum.scenario.currency
    told = [figure("Set aside", f"{show_rounded(budget.at_confidence)} {currency}, enough in {of_100(confidence)} cases")]
    if budget.likely is not None:
        told.insert(0, figure("Likely", f"{show_rounded(budget.likely)} {currency}"))
    if budget.if_refused_mean is not None:
        refused = f"{show_rounded(budget.if_refused_mean)} {currency} on average, in {of_100(budget.refused)}"
        told.append(figure("Refused, in all", refused))
    return [*told, *_in_hand(comparison, budget.at_confidence)]


def _in_hand(comparison: Comparison, asked: float) -> list[dict[str, str]]:
    """Return what is certain of the funds that this unit may draw on, what is not, and what is missing of what is asked."""
    museum, currency = comparison.museum, comparison.museum.scenario.currency
    funds = funds_for(museum, comparison.vehicle)
    if not funds:
        return [figure("In hand", "no fund is listed")]
    sure = [row for row in funds if row.probability == 1 and row.repays == "no" and not row.condition]
    have, every = (sum(units.value(row.amount, "USD") for row in rows) for rows in (sure, funds))
    shared = " for all units" if have and not all(row.units for row in sure) and len(museum.vehicles) > 1 else ""
    gap = f"{show_rounded(asked - have)} short" if have < asked else "covered"
    hoped = f", {show_rounded(every - have)} hoped for" if every > have else ""
    return [figure("In hand", f"{show_rounded(have)} {currency}{shared}: {gap}{hoped}")]


def _spent(comparison: Comparison) -> list[dict[str, str]]:
    usd, last = spent_or_signed(comparison.museum, comparison.vehicle)
    if last is None:
        return []
    scenario = comparison.museum.scenario
    return [figure("Spent or signed", f"{show_rounded(usd)} {scenario.currency} by {short_day(comparison.museum, last)}")]


def _date(comparison: Comparison) -> list[str]:
    found, museum, told = comparison.decision, comparison.museum, []
    confidence = museum.scenario.simulation.confidence
    day = comparison.gone_all_in(comparison.path(comparison.choice))
    if day != simulation.NEVER:
        told.append(f"Off the site by {short_day(museum, simulation.date_of(museum, day))} in {of_100(confidence)}.")
    deadline = short_day(museum, museum.scenario.deadline)
    told.append(f"By the deadline, {deadline}: {of_100(found.chance_if_decided_then)}, refusals counted.")
    return told


def _wrong(comparison: Comparison, choice: PathResult, at: _Dated) -> list[str]:
    """Return the risks that cost most on average, with what lowers each."""
    costs, currency = choice.trials.risk_cost_usd, comparison.museum.scenario.currency
    rows = [row for row in comparison.museum.of_path("risks", choice.path) if row.risk in costs and row.task not in at.done]
    told = []
    for row in sorted(rows, key=lambda row: -float(np.mean(costs[row.risk])))[:_WRONG]:
        chance = show_chance(row.mitigated_probability if row.bought else row.probability)
        cost = row.mitigation_cost
        price = "unpriced" if cost is None else f"{show_rounded(cost)} {currency}" if cost else "free"
        paid = " in the plan" if row.bought else ""
        action = f"{lowered(row.mitigation.replace(';', ','))}, {price}{paid}, {row.owner}, {at.by(row)}"
        told.append(f"{_first_part(row.title)} ({chance}): {action}.")
    return told


def _refused(comparison: Comparison, choice: PathResult) -> list[str]:
    museum, found, titles = comparison.museum, comparison.decision, gate_titles(choice)
    told, hinge = [], found.hinge
    turned = comparison.path(hinge.turns_to) if hinge and hinge.turns_to else None
    if hinge:
        heard = f" (known by {short_day(museum, hinge.answer[2])})" if hinge.answer else ""
        then = deed(turned) if turned else "decline, and record the unit"
        told.append(f"“{titles[hinge.gate]}”{heard}: {then}.")
    others = [gate for gate in found.on_refusal if not hinge or gate != hinge.gate]
    to = [gate for gate in others if found.fallback and found.on_refusal[gate] == found.fallback]
    if to:
        also = "that way too" if turned and turned.path == found.fallback else deed(comparison.path(found.fallback))
        asked = f"Any of {len(to)} others" if len(to) > 1 else f"“{titles[to[0]]}”"
        told.append(f"{asked}: {also}.")
    if found.switch_by:
        told.append(f"No answer by {short_day(museum, found.switch_by)} counts as no.")
    if found.hedge:
        by = f" by {short_day(museum, found.hedge.begin_by)}" if found.hedge.begin_by else ""
        cost = f"{show_rounded(found.hedge.cost)} {comparison.museum.scenario.currency}"
        told.append(f"So that it still works, begin{by}: {'; '.join(found.hedge.titles)} ({cost}).")
    return told


def _rests_on(of: Mapping[str, Any]) -> list[str]:
    which = "but" if of["lapsed"] == of["quoted"] else show_chance(of["lapsed"])
    lapsed = f", {which} lapse before the meeting" if of["lapsed"] else ""
    quoted = f"Quotes cover {show_chance(of['quoted'])} of the money{lapsed}." if of["quoted"] else "No price is quoted yet."
    grade, low, high = lowered(of["estimate_class"].partition(",")[0]), -of["low_percent"], of["high_percent"]
    told = [f"{quoted} It may end {low:.0f}% lower or {high:.0f}% higher ({grade} estimate)."]
    if of.get("starter"):
        told.append(f"{of['starter']} of {of['prices']} prices are the starter's: nobody was asked.")
    if of["ask_first"]:
        told.append(f"Have quoted first: {'; '.join(lowered(_first_part(title)) for title in of['ask_first'])}.")
    return told


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _first_part(title: str) -> str:
    """Return a title up to what explains it, or up to its first comma where that leaves two words.

    Examples
    --------
    >>> [_first_part(title) for title in ("Right of entry: people let in", "Title, access", "Lift and load, tie down")]
    ['Right of entry', 'Title, access', 'Lift and load']
    """
    part = title.partition(":")[0].partition(";")[0].rstrip(".")
    first = part.partition(",")[0]
    return first if len(first.split()) >= _ENOUGH else part
