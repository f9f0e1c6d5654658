"""The verdict on a unit: do this, not yet, too late, beyond means or blocked, and the words for it."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Sequence

import numpy as np

from heritagemove.compare import decision
from heritagemove.compare.decided import AskedOfOwner, BegunBeside, Budget, Decision, Hinge, Missing
from heritagemove.compare.decision_words import FEW, deed_of, find_out, in_words
from heritagemove.compare.missing import missing
from heritagemove.compare.policy import MoreTime, Searched, most_turned_to, replay, search
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.memo import Ask, Memo, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.funds import Fund
from heritagemove.trials import durations, simulation
from heritagemove.trials.playing import Played
from heritagemove.trials.simulation import Samples
from heritagemove.units import units
from heritagemove.units.words import show_chance, show_date, show_rounded

#: A path with less than this chance to be off the site in time is too late: a committee does not pay for one in twenty.
HARDLY = 0.05
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
        first = missing(museum, waiting, samples, memo)[:FEW]
        sentence = f"{museum.vehicle(vehicle).name}: not yet. Too much is unknown to choose. {find_out(museum, first)}"
        return Decision("not yet", None, None, None, None, (), None, first, (), sentence)
    declined = next((r.path for r in results if museum.path(r.path).disposal == "declined"), None)
    verdict, why = _no_way(museum, saving, ready, limit_why)
    more = f" {len(why) - FEW} more are blocked too." if len(why) > FEW else ""
    sentence = f"{museum.vehicle(vehicle).name}: {verdict}. {' '.join(why[:FEW])}{more} {_INSTEAD[verdict]}"
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


def funds_for(museum: Museum, vehicle: str) -> list[Fund]:
    """Return the funds that may be spent on a unit; a loan, which is paid back, is none."""
    return [row for row in museum.funds if row.repays != "loan" and (not row.units or vehicle in row.units)]


def _limits(museum: Museum, vehicle: str) -> list[tuple[float, str]]:
    unit, currency, sums = museum.vehicle(vehicle), museum.scenario.currency, []
    if museum.funds:
        fund = sum(units.value(row.amount, "USD") for row in funds_for(museum, vehicle))
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
        return "beyond means", (f"The cheapest way out, to {deed_of(cheapest)}, costs {price}; {limit_why}.",)
    late = [r for r in saving if r.status != "blocked"]
    if late:
        best = max(late, key=lambda r: (r.chance_by_deadline or 0, -r.off_site_days.p50 if r.off_site_days else 0))
        begun = f"even begun on {show_date(museum.scenario.start)}, it is off the site by {deadline} with a"
        chance = f"{show_chance(best.chance_by_deadline or 0)} chance"
        return "too late", (f"The quickest way out is to {deed_of(best)}: {begun} {chance}.",)
    if not saving:
        return "blocked", ("No path of the tables saves it.",)
    return "blocked", tuple(f"{deed_of(r)[0].upper()}{deed_of(r)[1:]}: {r.reasons[0]}" for r in saving)


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
        first=_by_then(missing(museum, [choice], samples, memo)[:FEW], meeting) if choice.provisional else (),
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
        otherwise = f"A search would now choose {deed_of(choice)}."
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
