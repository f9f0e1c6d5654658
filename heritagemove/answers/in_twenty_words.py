"""The answers that a committee looks at on a wall, each in one sentence of at most twenty words."""

from __future__ import annotations

from heritagemove.answers.budget_steps import budget_steps
from heritagemove.answers.motion import deed, gate_titles, motion
from heritagemove.answers.route import RouteStrip
from heritagemove.compare.decision import settled_by
from heritagemove.compare.results import Comparison
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity
from heritagemove.units.words import show_chance, show_date, show_rounded

#: Words of a sentence that is read from the back of the room.
MOST_WORDS = 20


def within_words(*variants: str) -> str:
    """Return the first of some sentences that has at most twenty words; else the last, cut there.

    Examples
    --------
    >>> within_words("One two three.")
    'One two three.'
    >>> within_words(" ".join(["word"] * 30))[-6:]
    'word …'
    """
    short = next((text for text in variants if len(text.split()) <= MOST_WORDS), None)
    return short or " ".join(variants[-1].split()[: MOST_WORDS - 1]).rstrip(",;:") + " …"


def motion_in_brief(comparison: Comparison) -> str:
    """Return what the board is asked to resolve."""
    return within_words(*motion(comparison).variants())


def comparison_in_brief(comparison: Comparison) -> str:
    """Return why this way: a tie is told as one."""
    found = comparison.decision
    if found.path is None:
        return within_words(*found.why[:1], f"{found.in_short.capitalize()}.")
    choice, confidence = comparison.path(found.path), comparison.museum.scenario.simulation.confidence
    if found.tie_with:
        others = [comparison.path(path) for path in found.tie_with]
        numbers = ", ".join(str(row.number) for row in others)
        tie = f"A tie: paths {choice.number} and {numbers} cost the same within the error"
        settled = settled_by(comparison.museum, comparison.vehicle, choice, others[0]).partition(" (")[0]
        return within_words(*((f"{tie}; of {numbers}, {settled}.",) if len(others) == 1 else ()), f"{tie}.")
    chance = _of_100(found.chance_if_decided_then)
    if (choice.chance_with_fallback or 0.0) < confidence:
        return f"No way is sure enough; path {choice.number} comes closest, off the site in time in {chance} cases."
    return f"The cheapest way that is sure enough: path {choice.number} is off the site in time in {chance} cases."


def money_in_brief(comparison: Comparison) -> str:
    """Return what is set aside, for how many cases."""
    found = comparison.decision
    if found.budget is None:
        return within_words(f"{found.in_short.capitalize()}; there is nothing to pay for.")
    currency, confidence = comparison.museum.scenario.currency, comparison.museum.scenario.simulation.confidence
    aside = f"Set aside {show_rounded(found.budget.at_confidence)} {currency}, enough in {_of_100(confidence)} cases"
    likely = "" if found.budget.likely is None else f"; the likely sum is {show_rounded(found.budget.likely)}"
    beyond = "; more than the museum can afford" if found.beyond else ""
    return within_words(f"{aside}{likely}{beyond}.", f"{aside}{beyond}.")


def worst_case_in_brief(comparison: Comparison) -> str:
    """Return what one case of twenty costs, and how often the unit is not gone in time."""
    steps, found = budget_steps(comparison), comparison.decision
    if steps is None:
        return within_words(f"{found.in_short.capitalize()}.")
    late = _of_100(1 - (found.chance_if_decided_then or 0.0))
    costs = f"One case of twenty costs more than {show_rounded(steps.p95_usd)} {steps.currency}"
    return within_words(f"{costs}; in {late} cases it is not gone by the deadline.", f"{costs}.")


def refusal_in_brief(comparison: Comparison) -> str:
    """Return what is done if the answer on which most hangs is no."""
    found = comparison.decision
    if found.path is None:
        return within_words(f"{found.in_short.capitalize()}.")
    if found.hinge is None:
        return "No answer that is still open can stop this way."
    title = gate_titles(comparison.path(found.path))[found.hinge.gate]
    turned = found.hinge.turns_to and comparison.path(found.hinge.turns_to)
    then = deed(turned) if turned else "decline, and record the unit"
    by = f", known by {show_date(found.hinge.answer[2])}" if found.hinge.answer else ""
    brief = f"path {turned.number}" if turned else "decline and record it"
    refused = f"If “{title}” is refused"
    return within_words(f"{refused}{by}: {then}.", f"{refused}: {then}.", f"No to “{title}”: {brief}.")


def waiting_in_brief(comparison: Comparison) -> str:
    """Return the last meeting that can decide."""
    found, deadline = comparison.decision, show_date(comparison.museum.scenario.deadline)
    if found.decide_by:
        return within_words(f"Decide by {show_date(found.decide_by)}: later it is not sure enough to be gone by {deadline}.")
    return within_words(f"No meeting is early enough to be sure that it is gone by {deadline}.")


def way_in_brief(way: RouteStrip) -> str:
    """Return how much of what is asked along a way passes."""
    count = {status: sum(mark.finding.status == status for mark in way.marks) for status in _ASKED}
    told = [f"{count[status]} {word}" for status, word in _ASKED.items() if count[status]]
    far = "" if way.miles is None else f" on {show_measure(Quantity(way.miles, 'mile'), way.museum.scenario.units)}"
    return within_words(f"Of {len(way.marks)} checks{far}: {', '.join(told)}.") if told else "Nothing on the way is asked."


_ASKED = {"fail": "over the limit", "unknown": "unknown", "open": "to be granted", "marginal": "close", "pass": "pass"}


def account_in_brief(chance: float) -> str:
    """Return how surely the money lasts, for one unit alone.

    Parameters
    ----------
    chance : float
        That the account never falls below zero, 0 to 1.
    """
    return within_words(f"For this unit alone, the money lasts in every month in {_of_100(chance)} cases.")


def _of_100(chance: float | None) -> str:
    return f"{show_chance(chance).removesuffix('%')} of 100"
