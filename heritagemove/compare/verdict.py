"""The verdict on a unit: do this, not yet, too late, beyond means or blocked, and the words for it."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from heritagemove.compare import decision
from heritagemove.compare.decided import AskedOfOwner, BegunBeside, Budget, Decision, Hinge, Missing
from heritagemove.compare.missing import missing
from heritagemove.compare.policy import MoreTime, Searched, most_turned_to, replay, search
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.memo import Ask, Memo, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials import durations, simulation
from heritagemove.trials.playing import AS_FOUND, Played
from heritagemove.trials.simulation import Samples
from heritagemove.units import units
from heritagemove.units.words import show_a_chance, show_chance, show_date, show_rounded

#: A path with less than this chance to be off the site in time is too late: a committee does not pay for one in twenty.
HARDLY = 0.05
#: What is said in one sentence: three things to find out first, three paths that are blocked.
_FIRST = 3
#: How many times its agreed value a move may cost for each point of significance, and be in proportion. Judgment:
#: historic units are often worth less than their move, yet one of a single point is not worth a hundred times its value.
_TIMES_ITS_VALUE = 10


def _untold(result: PathResult) -> None:
    """Tell nothing of the likely sum."""


def decide(
    museum: Museum,
    vehicle: str,
    results: Sequence[PathResult],
    samples: Samples,
    memo: Ask = afresh,
    likely: Callable[[PathResult], float | None] = _untold,
    standing: Decision | None = None,
) -> Decision:
    """Return the verdict on a unit, with the facts behind it.

    - *do this*: a path saves it in time and within the museum's means.
    - *not yet*: none does, but one may once something is known that is not known now.
    - *beyond means*: paths save it in time, and each costs, as likely as not, more than :func:`means` allows.
    - *too late*: a path could save it, and hardly any trial has it off the site by the deadline.
    - *blocked*: every path that saves it is stopped by what is known.

    Parameters
    ----------
    results : sequence of PathResult
        All paths of the unit, with their branches.
    likely : callable, optional
        Tells the sum of the likely values of a path [USD].
    standing : Decision, optional
        Found before: it is played as the museum is set now, as long as its paths are possible and within the means.
    """
    limit, limit_why = means(museum, vehicle)
    saving, ready, within = _possible(results, limit)
    choice = decision.choose(museum, within, vehicle)
    if choice and standing and _stands(standing, results, within):
        return _again(museum, vehicle, results, choice, samples, memo, likely, standing)
    if choice:
        found, ties = search(museum, choice, results, samples, memo), decision.tied(museum, within, choice)
        return _do(museum, vehicle, results, choice, ties, samples, memo, likely, found)
    waiting = [r for r in saving if r.status == "unknown" and (r.chance_by_deadline or 0) >= HARDLY]
    waiting = [r for r in waiting if r.cost is None or r.cost.p10 <= limit]
    if waiting:
        first = missing(museum, waiting, samples, memo)[:_FIRST]
        sentence = f"{museum.vehicle(vehicle).name}: not yet. Too much is unknown to choose. {_find_out(museum, first)}"
        return Decision("not yet", None, None, None, None, (), None, first, (), sentence)
    declined = next((r.path for r in results if museum.path(r.path).disposal == "declined"), None)
    verdict, why = _no_way(museum, saving, ready, limit_why)
    more = f" {len(why) - _FIRST} more are blocked too." if len(why) > _FIRST else ""
    sentence = f"{museum.vehicle(vehicle).name}: {verdict}. {' '.join(why[:_FIRST])}{more} {_INSTEAD[verdict]}"
    return Decision(verdict, None, declined, None, None, (), None, (), why, sentence)


def chosen(museum: Museum, vehicle: str, results: Sequence[PathResult]) -> PathResult | None:
    """Return the path that the verdict names, without the policy for it; None where there is none to take."""
    return decision.choose(museum, _possible(results, means(museum, vehicle)[0])[2])


_Paths = tuple[PathResult, ...]


def _possible(results: Sequence[PathResult], limit: float) -> tuple[_Paths, _Paths, _Paths]:
    """Return the paths that save the unit, those of them that may do so in time, and those of them within the means."""
    saving = tuple(r for r in results if r.saves)
    ready = tuple(r for r in decision.able(saving) if r.chance_with_fallback >= HARDLY)
    return saving, ready, tuple(r for r in ready if r.cost_with_fallback.p50 <= limit)


def _stands(standing: Decision, results: Sequence[PathResult], within: _Paths) -> bool:
    """Return whether every path that a decision names can still be taken."""
    able = {r.path for r in decision.able(tuple(results))}
    named = {*standing.on_refusal.values(), *standing.fallbacks.values()} - {None}
    return standing.path in {r.path for r in within} and named <= able


_INSTEAD = {
    "too late": "Ask the owner for more time; without it, decline and record.",
    "beyond means": "Decline and record, unless more money is found for it.",
    "blocked": "Decline and record, unless one of these can be changed.",
}


def means(museum: Museum, vehicle: str) -> tuple[float, str]:
    """Return the most that saving a unit may cost, and what sets it.

    The lower of two sums. What the museum has: every fund of funds.csv that may be spent on this unit, won in full,
    without loans, which are paid back; no rows in funds.csv say nothing. What is in proportion: ten times the agreed
    value of the unit for each point of its significance; an unknown value says nothing.

    Returns
    -------
    tuple of (float, str)
        [USD]; infinite where neither is known.
    """
    return min(_limits(museum, vehicle), default=(float("inf"), ""))


def _limits(museum: Museum, vehicle: str) -> list[tuple[float, str]]:
    unit, currency, sums = museum.vehicle(vehicle), museum.scenario.currency, []
    if museum.funds:
        usable = [row for row in museum.funds if row.repays != "loan" and (not row.units or vehicle in row.units)]
        fund = sum(units.value(row.amount, "USD") for row in usable)
        sums.append((fund, f"every fund that may be spent on it, won in full, gives {fund:,.0f} {currency}"))
    if unit.insured_value is not None:
        worth = _TIMES_ITS_VALUE * unit.significance * units.value(unit.insured_value, "USD")
        points = f"{unit.significance} point{'' if unit.significance == 1 else 's'} of significance"
        told = f"with {points} and an agreed value of {units.value(unit.insured_value, 'USD'):,.0f} {currency}"
        sums.append((worth, f"{told} no more than {worth:,.0f} {currency} is in proportion"))
    return sums


def _beyond(museum: Museum, vehicle: str, budget: Budget) -> tuple[str, ...]:
    """Say where what is to be set aside is beyond the funds or out of proportion, though the likely cost is not."""
    return tuple(f"That is beyond it: {why}." for limit, why in _limits(museum, vehicle) if budget.at_confidence > limit)


def _no_way(
    museum: Museum, saving: Sequence[PathResult], ready: Sequence[PathResult], limit_why: str
) -> tuple[str, tuple[str, ...]]:
    currency, deadline = museum.scenario.currency, show_date(museum.scenario.deadline)
    cheapest = min(ready, key=lambda r: r.cost_with_fallback.p50, default=None)
    if cheapest:
        price = f"as likely as not more than {show_rounded(cheapest.cost_with_fallback.p50)} {currency}"
        return "beyond means", (f"The cheapest way out, to {_named(cheapest)}, costs {price}; {limit_why}.",)
    late = [r for r in saving if r.status != "blocked"]
    if late:
        best = max(late, key=lambda r: (r.chance_by_deadline or 0, -r.off_site_days.p50 if r.off_site_days else 0))
        begun = f"even begun on {show_date(museum.scenario.start)}, it is off the site by {deadline} with a"
        chance = f"{show_chance(best.chance_by_deadline or 0)} chance"
        return "too late", (f"The quickest way out is to {_named(best)}: {begun} {chance}.",)
    if not saving:
        return "blocked", ("No path of the tables saves it.",)
    return "blocked", tuple(f"{_named(r)[0].upper()}{_named(r)[1:]}: {r.reasons[0]}" for r in saving)


def _named(result: PathResult) -> str:
    """Return what is done, and its number behind it."""
    title = result.title
    return f"{title[0].lower() if title[1:2].islower() else title[0]}{title[1:]} (path {result.number})"


def _find_out(museum: Museum, first: Sequence[Missing]) -> str:
    number = {row.path: row.number for row in museum.paths}

    def task(row: Missing) -> str:
        by = f" by {show_date(row.by)}" if row.by else " at once"
        opened = row.opens or row.waits
        which = ", ".join(str(number[path]) for path in sorted(opened, key=number.get))
        paths = f"{'path' if len(opened) == 1 else 'paths'} {which}"
        then = f"opens {paths}" if row.opens else f"{paths} {'waits' if len(opened) == 1 else 'wait'} for it"
        return f"{row.what}: {row.find or 'ask or measure'} ({row.who}{by}; {then})"

    return "Find out first: " + ". ".join(f"{n}. {task(row)}" for n, row in enumerate(first, start=1)) + "."


def _do(
    museum: Museum,
    vehicle: str,
    results: Sequence[PathResult],
    choice: PathResult,
    ties: tuple[str, ...],
    samples: Samples,
    memo: Ask,
    likely: Callable[[PathResult], float | None],
    found: Searched,
    otherwise: str = "",
) -> Decision:
    played, policy = found.played, found.played.policy
    turns_to = policy.on_refusal.get(found.hinge) if found.hinge else None
    hinge = found.hinge and _hinge(museum, choice, found.hinge, played, turns_to)
    # The path that is turned to most, where the hinge's own refusal turns to none.
    fallback = turns_to or most_turned_to(played)

    def date(day: int | None) -> dt.date | None:
        return None if day is None else simulation.date_of(museum, day)

    meeting, budget = date(policy.meeting), _budget(museum, played, likely(choice))
    told = Decision(
        verdict="do this",
        path=choice.path,
        fallback=fallback,
        decide_by=meeting,
        switch_by=date(policy.switch and policy.switch[1]),
        provisional_on=tuple(each.typical for each in choice.waits_for) if choice.provisional else (),
        chance=choice.provisional,
        first=_by_then(missing(museum, [choice], samples, memo)[:_FIRST], meeting) if choice.provisional else (),
        why=(),
        sentence="",
        tie_with=ties,
        decide_why=found.why_no_meeting,
        chance_if_decided_then=found.chance,
        chance_at_once=found.at_once,
        hinge=hinge,
        on_refusal=policy.on_refusal,
        fallbacks=policy.then,
        switch_why=found.why_no_switch,
        needs_meeting=None if fallback is None else durations.milestone(museum, fallback, "decision") is not None,
        budget=budget,
        beyond=_beyond(museum, vehicle, budget),
        played=played,
        hedge=_begun_beside(museum, found),
        hedge_why=found.why_no_hedge,
        more_time=_asked(found.more_time),
        more_time_why=_not_asked(museum, found.more_time),
        replayed=found.replayed,
        otherwise=otherwise,
    )
    return dataclasses.replace(told, sentence=in_words(museum, vehicle, results, choice, told))


def _by_then(first: Sequence[Missing], meeting: dt.date | None) -> tuple[Missing, ...]:
    """Return what to find out, none of it later than the meeting that decides."""
    return tuple(dataclasses.replace(row, by=min(row.by, meeting)) if row.by and meeting else row for row in first)


def _again(
    museum: Museum,
    vehicle: str,
    results: Sequence[PathResult],
    choice: PathResult,
    samples: Samples,
    memo: Ask,
    likely: Callable[[PathResult], float | None],
    standing: Decision,
) -> Decision:
    """Play a decision found before, and say where a search would choose otherwise."""
    path = next(r for r in results if r.path == standing.path)
    found = replay(museum, path, results, samples, standing, memo)
    confidence = museum.scenario.simulation.confidence
    otherwise = ""
    if choice.path not in (path.path, *standing.tie_with):
        otherwise = f"A search would now choose {_named(choice)}."
    elif standing.decide_by and found.chance < confidence:
        otherwise = f"That is below {confidence:.0%}: a search would name another meeting."
    return _do(museum, vehicle, results, path, standing.tie_with, samples, memo, likely, found, otherwise)


def _begun_beside(museum: Museum, found: Searched) -> BegunBeside | None:
    hedge, told = found.played.policy.hedge, found.beside
    if hedge is None or told is None:
        return None
    titles = {row.task: row.title for row in museum.of_path("tasks", hedge.path)}
    by = None if told.begin_by is None else simulation.date_of(museum, told.begin_by)
    named = tuple(titles[task] for task in hedge.tasks)
    return BegunBeside(hedge.path, hedge.tasks, named, told.cost, told.chance_without, told.saves, by)


def _asked(more_time: Sequence[MoreTime]) -> AskedOfOwner | None:
    if not more_time or not more_time[0].pays:
        return None
    best, row = more_time[0], more_time[0].row
    price = units.value(row.price, "USD")
    return AskedOfOwner(row.extension, row.title, row.ask_by, row.days, price, row.probability, best.chance, best.saves)


def _not_asked(museum: Museum, more_time: Sequence[MoreTime]) -> str:
    if not more_time:
        return "No row of extensions.csv says what the owner may still be asked for."
    best = more_time[0]
    told = f"{best.row.title} would make the chance {show_chance(best.chance)}"
    return "" if best.pays else f"{told} and cost {show_rounded(-best.saves)} {museum.scenario.currency} on average."


def _hinge(museum: Museum, choice: PathResult, gate: str, played: Played, turns_to: str | None) -> Hinge:
    title = next((f.gate.title for f in choice.findings if f.gate.gate == gate), "what is found of it")
    answers = played.answers.get(gate)
    if answers is None:
        return Hinge(gate, title, None, turns_to)
    days = np.quantile(answers, (0.1, 0.5, 0.8), method="higher")
    return Hinge(gate, title, tuple(simulation.date_of(museum, int(day)) for day in days), turns_to)


def _budget(museum: Museum, played: Played, likely: float | None) -> Budget:
    cost, turned = played.cost_usd, played.turned != ""
    held, p95 = np.quantile(cost, (museum.scenario.simulation.confidence, 0.95))
    if_refused = float(cost[turned].mean()) if turned.any() else None
    return Budget(likely, float(held), float(cost.mean()), float(turned.mean()), if_refused, float(p95))


def if_chosen(comparison: Comparison, path: str) -> Decision | None:
    """Return the decision if a path is taken: that of the comparison where it is the choice, else found for that path.

    None where it cannot be taken.
    """
    if path == comparison.choice:
        return comparison.decision
    museum, result = comparison.museum, comparison.path(path)
    if result not in decision.able(comparison.paths):
        return None
    memo = Memo()
    found = search(museum, result, comparison.paths, comparison.samples, memo)
    return _do(museum, comparison.vehicle, comparison.paths, result, (), comparison.samples, memo, _untold, found)


def in_words(museum: Museum, vehicle: str, results: Sequence[PathResult], choice: PathResult, found: Decision) -> str:
    """Return what is to be done in words: what, by which meeting, for how much, and what then."""
    name, deadline = museum.vehicle(vehicle).name, show_date(museum.scenario.deadline)
    named = {result.path: _named(result) for result in results}
    committed = decision.committed_on(museum, choice)
    take = "stay with it: " if committed else "provisionally, " if found.provisional_on else ""
    parts = [f"{name}: {take}{named[choice.path]}."]
    then = f"{show_a_chance(found.chance_if_decided_then)} chance to be off the site by {deadline}, all in"
    if committed:
        parts.append(f"The committee committed on {show_date(committed)}: {then}.")
    elif found.decide_by:
        sooner, at_once = "", found.chance_at_once
        if at_once is not None and show_chance(at_once) != show_chance(found.chance_if_decided_then):
            sooner = f" ({show_chance(at_once)} if decided at the first meeting that can)"
        parts.append(f"Decide at the meeting of {show_date(found.decide_by)} at the latest: then {then}{sooner}.")
    else:
        ask = " Ask the owner for more time." if found.more_time is None else ""
        parts.append(f"Decide at once: {then}. {found.decide_why}{ask}")
    if found.otherwise:
        parts.append(found.otherwise)
    if found.provisional_on:
        low, high = map(show_chance, found.chance)
        itself = f"{low} to {high}, by what is found" if low != high else f"{low}, whatever is found"
        parts.append(
            f"Provisional, if these are found: {'; '.join(found.provisional_on)}. "
            f"The chance of the path itself is {itself}. {_find_out(museum, found.first)}"
        )
    parts += [_money(museum, found.budget), *found.beyond, *_turning(museum, results, choice, found)]
    parts += [*_beside(museum, named, found), *_ask_for(museum, found.more_time)]
    if found.tie_with:
        parts += _toss_up(museum, vehicle, results, choice, found.tie_with)
    return " ".join(parts)


def _toss_up(
    museum: Museum, vehicle: str, results: Sequence[PathResult], choice: PathResult, ties: Sequence[str]
) -> list[str]:
    """Say that several paths cost the same within the error of the estimate, and what each was settled by."""
    found = {result.path: result for result in results}
    return [
        f"A toss-up in cost, within the error of the estimate: {_named(found[path])}. "
        f"It comes second because {decision.settled_by(museum, vehicle, choice, found[path])}."
        for path in ties
    ]


def _beside(museum: Museum, named: Mapping[str, str], found: Decision) -> list[str]:
    hedge = found.hedge
    if hedge is None:
        return []
    by = f" by {show_date(hedge.begin_by)} at the latest" if hedge.begin_by else ""
    surer = f"without it the chance is {show_chance(hedge.chance_without)}"
    money = f"it costs {show_rounded(hedge.cost)} {museum.scenario.currency} on average; {surer}"
    return [f"Begin beside it{by}, of {named[hedge.path]}: {'; '.join(hedge.titles)}. {money[0].upper()}{money[1:]}."]


def _ask_for(museum: Museum, asked: AskedOfOwner | None) -> list[str]:
    if asked is None:
        return []
    price = f"{show_rounded(asked.price)} {museum.scenario.currency} if granted, {show_chance(asked.granted)} likely"
    ask = f"Ask the owner by {show_date(asked.ask_by)} for {asked.days} days more ({price})"
    return [f"{ask}: the chance is then {show_chance(asked.chance)}."]


def _money(museum: Museum, budget: Budget) -> str:
    currency, confidence = museum.scenario.currency, museum.scenario.simulation.confidence
    parts = [f"Set aside {show_rounded(budget.at_confidence)} {currency}, enough in {confidence:.0%} of cases"]
    if budget.likely is not None:
        parts.append(f"the likely values sum to {show_rounded(budget.likely)}, which is not the mean")
    if budget.if_refused_mean is not None:
        refused = f"in {budget.refused * 100:.0f} of 100 something is refused"
        parts.append(f"{refused} and it then costs {show_rounded(budget.if_refused_mean)} on average, with what is lost")
    return f"{'; '.join(parts)}; nineteen of twenty cases stay within {show_rounded(budget.p95)}."


def _turning(museum: Museum, results: Sequence[PathResult], choice: PathResult, found: Decision) -> list[str]:
    """Say what turns to which path, and when; what rescues nothing is not told as a way out."""
    named, hinge, parts = {result.path: _named(result) for result in results}, found.hinge, []
    open_still = sorted(r.number for r in results if r.saves and r.status == "unknown" and r.path != choice.path)
    heard = ""
    if hinge and hinge.answer:
        heard = f" (known between {show_date(hinge.answer[0])} and {show_date(hinge.answer[2])}, seven times of ten)"
    if hinge and hinge.turns_to:
        late = f", or is not in hand on {show_date(found.switch_by)}" if found.switch_by else ""
        parts.append(f'If "{hinge.title}" is refused{heard}{late}, turn at once: {named[hinge.turns_to]}.')
    elif hinge and open_still:
        parts.append(f'If "{hinge.title}" is refused{heard}, no path that is known to be possible rescues it.')
    elif hinge:
        parts.append(f'If "{hinge.title}" is refused{heard}, no other path rescues it: decline and record.')
    others = [
        gate for gate, path in found.on_refusal.items() if path == found.fallback and not (hinge and gate == hinge.gate)
    ]
    if found.fallback and others:
        titles = {f.gate.gate: f.gate.title for f in choice.findings} | {AS_FOUND: "what is found of it"}
        which = "; ".join(titles[gate] for gate in others[:_FIRST])
        more = f" and {len(others) - _FIRST} more" if len(others) > _FIRST else ""
        number = next(r.number for r in results if r.path == found.fallback)
        told = hinge and hinge.turns_to == found.fallback
        turn = f"Turn to path {number} too" if told else f"Turn to this: {named[found.fallback]},"
        parts.append(f"{turn} if it is refused: {which}{more}.")
    if open_still and not found.fallback:
        which = ", ".join(map(str, open_still))
        waiting = f"path {which} hangs" if len(open_still) == 1 else f"paths {which} hang"
        parts.append(f"Of the others, {waiting} on what is not known yet: find that out before.")
    return parts
