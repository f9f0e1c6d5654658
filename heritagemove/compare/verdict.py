"""The verdict on a unit: do this, not yet, too late, beyond means or blocked, and the words for it."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from heritagemove.compare import decision
from heritagemove.compare.missing import missing
from heritagemove.compare.results import Decision, Missing, PathResult
from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials.simulation import Samples
from heritagemove.units import units
from heritagemove.units.words import show_chance, show_date

#: A path with less than this chance to be off the site in time is too late: a committee does not pay for one in twenty.
HARDLY = 0.05
#: What is said in one sentence: three things to find out first, three paths that are blocked.
_FIRST = 3
#: How many times its agreed value a move may cost for each point of significance, and be in proportion. Judgment:
#: historic units are often worth less than their move, yet one of a single point is not worth a hundred times its value.
_TIMES_ITS_VALUE = 10


def decide(museum: Museum, vehicle: str, results: Sequence[PathResult], samples: Samples, memo: Ask = afresh) -> Decision:
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
    """
    limit, limit_why = means(museum, vehicle)
    saving = tuple(r for r in results if r.saves)
    ready = tuple(r for r in decision.able(saving) if r.chance_with_fallback >= HARDLY)
    within = tuple(r for r in ready if r.cost_with_fallback.p50 <= limit)
    choice = decision.choose(museum, within)
    if choice:
        return _do(museum, vehicle, results, choice, samples, memo)
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
    unit, currency = museum.vehicle(vehicle), museum.scenario.currency
    sums = [(float("inf"), "")]
    if museum.funds:
        usable = [row for row in museum.funds if row.repays != "loan" and (not row.units or vehicle in row.units)]
        fund = sum(units.value(row.amount, "USD") for row in usable)
        sums.append((fund, f"every fund that may be spent on it, won in full, gives {fund:,.0f} {currency}"))
    if unit.insured_value is not None:
        worth = _TIMES_ITS_VALUE * unit.significance * units.value(unit.insured_value, "USD")
        points = f"{unit.significance} point{'' if unit.significance == 1 else 's'} of significance"
        told = f"with {points} and an agreed value of {units.value(unit.insured_value, 'USD'):,.0f} {currency}"
        sums.append((worth, f"{told} no more than {worth:,.0f} {currency} is in proportion"))
    return min(sums)


def _no_way(
    museum: Museum, saving: Sequence[PathResult], ready: Sequence[PathResult], limit_why: str
) -> tuple[str, tuple[str, ...]]:
    currency, deadline = museum.scenario.currency, show_date(museum.scenario.deadline)
    cheapest = min(ready, key=lambda r: r.cost_with_fallback.p50, default=None)
    if cheapest:
        price = f"as likely as not more than {cheapest.cost_with_fallback.p50:,.0f} {currency}"
        return "beyond means", (f"The cheapest way out, {_named(cheapest)}, costs {price}; {limit_why}.",)
    late = [r for r in saving if r.status != "blocked"]
    if late:
        best = max(late, key=lambda r: (r.chance_by_deadline or 0, -r.off_site_days.p50 if r.off_site_days else 0))
        begun = f"even begun on {show_date(museum.scenario.start)}, it is off the site by {deadline} with a"
        chance = f"{show_chance(best.chance_by_deadline or 0)} chance"
        return "too late", (f"The quickest way out is {_named(best)}: {begun} {chance}.",)
    if not saving:
        return "blocked", ("No path of the tables saves it.",)
    return "blocked", tuple(f"{_named(r)[0].upper()}{_named(r)[1:]}: {r.reasons[0]}" for r in saving)


def _named(result: PathResult) -> str:
    return f"path {result.number}, {result.title}"


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
    samples: Samples,
    memo: Ask,
) -> Decision:
    fallback = decision.fall_back(museum, tuple(results), choice)
    open_still = [r for r in results if r.saves and r.status == "unknown" and r.path != choice.path]
    decide_by = decision.latest_decision(museum, choice, samples, memo=memo)
    switch_by = fallback and decision.latest_start(museum, fallback, samples, memo=memo)
    rests_on = tuple(each.typical for each in choice.waits_for) if choice.provisional else ()
    first = missing(museum, [choice], samples, memo)[:_FIRST] if choice.provisional else ()
    found = Decision(
        verdict="do this",
        path=choice.path,
        fallback=fallback and fallback.path,
        decide_by=decide_by,
        switch_by=switch_by,
        provisional_on=rests_on,
        chance=choice.provisional,
        first=first,
        why=(),
        sentence="",
    )
    return dataclasses.replace(found, sentence=in_words(museum, vehicle, choice, fallback, found, open_still))


def in_words(
    museum: Museum,
    vehicle: str,
    choice: PathResult,
    fallback: PathResult | None,
    found: Decision,
    open_still: Sequence[PathResult] = (),
) -> str:
    """Return what is to be done in words: what, by when, and what then.

    Parameters
    ----------
    open_still : sequence of PathResult
        Other paths that save it if what is unknown of them is found good: with them there is no ground to decline.
    """
    currency = museum.scenario.currency
    name, deadline = museum.vehicle(vehicle).name, show_date(museum.scenario.deadline)
    confidence = museum.scenario.simulation.confidence
    committed = decision.committed_on(museum, choice)
    take = "stay with" if committed else "provisionally choose" if found.provisional_on else "choose"
    parts = [
        f"{name}: {take} path {choice.number}, {choice.title}: {choice.cost_with_fallback.p80:,.0f} {currency} at P80 "
        f"and a {show_chance(choice.chance_with_fallback)} chance off site by {deadline}, refusals and fallback included."
    ]
    if found.provisional_on:
        low, high = map(show_chance, found.chance)
        itself = f"{low} to {high}, by what is found" if low != high else f"{low}, whatever is found"
        parts.append(
            f"Provisional, if these are found: {'; '.join(found.provisional_on)}. "
            f"The chance of the path itself is {itself}. {_find_out(museum, found.first)}"
        )
    if committed:
        parts.append(f"The committee committed on {show_date(committed)}.")
    elif found.decide_by:
        parts.append(f"Commit by {show_date(found.decide_by)} to keep the date at {confidence:.0%}.")
    else:
        parts.append(f"Even an immediate decision does not reach {confidence:.0%}: ask the owner for more time.")
    if fallback:
        when = f" by {show_date(found.switch_by)}" if found.switch_by else ""
        hinge = _hinge(choice, fallback)
        condition = f'If "{hinge}" is not in hand{when}' if hinge else f"If it is refused{when}"
        parts.append(f"{condition}, turn to path {fallback.number}, {fallback.title}.")
    elif open_still:
        which = ", ".join(str(number) for number in sorted(r.number for r in open_still))
        waiting = f"path {which} hangs" if len(open_still) == 1 else f"paths {which} hang"
        parts.append(f"If it is refused, {waiting} on what is not known yet: find that out before.")
    else:
        parts.append("No other path saves it: if this one is refused, decline and record.")
    return " ".join(parts)


def _hinge(choice: PathResult, fallback: PathResult) -> str:
    """Name the likeliest refusal of the choice that would not stop the fallback too; blank where there is none."""
    shared = {finding.gate.gate for finding in fallback.findings}
    asked = [f for f in choice.findings if f.status == "open" and f.refusal > 0 and f.gate.gate not in shared]
    return max(asked, key=lambda finding: finding.refusal).gate.title if asked else ""
