"""The decision in words: what is to be done, by which meeting, for how much, and what then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from heritagemove.compare import decision
from heritagemove.compare.decided import AskedOfOwner, Budget, Decision, Missing
from heritagemove.compare.results import PathResult
from heritagemove.museum.museum import Museum
from heritagemove.trials.playing import AS_FOUND
from heritagemove.units.words import show_a_chance, show_chance, show_date, show_rounded

#: What is said in one sentence: three things to find out first, three paths that are blocked.
FEW = 3


def deed_of(result: PathResult) -> str:
    """Return what is done, and its number behind it."""
    title = result.title
    return f"{title[0].lower() if title[1:2].islower() else title[0]}{title[1:]} (path {result.number})"


def find_out(museum: Museum, first: Sequence[Missing]) -> str:
    """Return what to find out first: what, how, who, by when, and what it opens."""
    number = {row.path: row.number for row in museum.paths}

    def task(row: Missing) -> str:
        by = f" by {show_date(row.by)}" if row.by else " at once"
        opened = row.opens or row.waits
        which = ", ".join(str(number[path]) for path in sorted(opened, key=number.get))
        paths = f"{'path' if len(opened) == 1 else 'paths'} {which}"
        then = f"opens {paths}" if row.opens else f"{paths} {'waits' if len(opened) == 1 else 'wait'} for it"
        return f"{row.what}: {row.find or 'ask or measure'} ({row.who}{by}; {then})"

    return "Find out first: " + ". ".join(f"{n}. {task(row)}" for n, row in enumerate(first, start=1)) + "."


def in_words(museum: Museum, vehicle: str, results: Sequence[PathResult], choice: PathResult, found: Decision) -> str:
    """Return what is to be done in words: what, by which meeting, for how much, and what then."""
    name, deadline = museum.vehicle(vehicle).name, show_date(museum.scenario.deadline)
    named = {result.path: deed_of(result) for result in results}
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
            f"The chance of the path itself is {itself}. {find_out(museum, found.first)}"
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
        f"A toss-up in cost, within the error of the estimate: {deed_of(found[path])}. "
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
    named, hinge, parts = {result.path: deed_of(result) for result in results}, found.hinge, []
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
        which = "; ".join(titles[gate] for gate in others[:FEW])
        more = f" and {len(others) - FEW} more" if len(others) > FEW else ""
        number = next(r.number for r in results if r.path == found.fallback)
        told = hinge and hinge.turns_to == found.fallback
        turn = f"Turn to path {number} too" if told else f"Turn to this: {named[found.fallback]},"
        parts.append(f"{turn} if it is refused: {which}{more}.")
    if open_still and not found.fallback:
        which = ", ".join(map(str, open_still))
        waiting = f"path {which} hangs" if len(open_still) == 1 else f"paths {which} hang"
        parts.append(f"Of the others, {waiting} on what is not known yet: find that out before.")
    return parts
