"""What differs between two answers, in words."""

from __future__ import annotations

from heritagemove.compare.results import Comparison
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.units.words import show_chance, show_date, show_rounded


def differences(one: Comparison, two: Comparison, names: tuple[str, str] = ("the first", "the second")) -> tuple[str, ...]:
    """Return what differs between two answers, in words, what matters most first; one line where nothing does."""
    first, second = names
    lines = []
    if one.vehicle != two.vehicle:
        pair = (comparison.museum.vehicle(comparison.vehicle).name for comparison in (one, two))
        lines.append("The unit: {} against {}.".format(*pair))
    if one.choice != two.choice:
        lines.append(f"The choice: {_choice(one)} in {first}, {_choice(two)} in {second}.")
    elif one.choice:
        lines += _of_choice(one, two, second)
    meetings = [meeting_in_words(each) for each in (one, two)]
    if meetings[0] != meetings[1]:
        lines.append(f"Last meeting that decides: {meetings[0]} in {first}, {meetings[1]} in {second}.")
    lines += _flipped(one, two, first, second)
    dearer = _price_of_others(one, two, second)
    return tuple(lines + dearer) or (f"Nothing that is shown differs between {first} and {second}.",)


def _choice(comparison: Comparison) -> str:
    if comparison.choice is None:
        return f"none ({comparison.decision.in_short})"
    best = comparison.path(comparison.choice)
    return f"path {best.number}, {best.title}"


def _of_choice(before: Comparison, after: Comparison, second: str) -> list[str]:
    one, two = before.path(before.choice), after.path(after.choice)
    lines = []
    cost = after.decision.budget.at_confidence - before.decision.budget.at_confidence
    if abs(cost) >= 0.5:
        more = "more" if cost > 0 else "less"
        aside = f"{show_rounded(abs(cost))} {one.currency} {more}"
        said = f"Path {one.number} stays the choice; {aside} is to be set aside in {second}."
        lines.append(said)
    chances = [each.decision.chance_if_decided_then for each in (before, after)]
    points = 100 * (chances[1] - chances[0])
    if abs(points) >= 0.05:
        words = f"{abs(points):.1f} points {'higher' if points > 0 else 'lower'}"
        both = f"{show_chance(chances[1])} against {show_chance(chances[0])}"
        lines.append(f"Its chance all in, decided at the last meeting, is {words} in {second}: {both}.")
    if one.off_site and two.off_site and one.off_site.p80 != two.off_site.p80:
        lines.append(f"Its P80 date off the site: {show_date(one.off_site.p80)}, in {second} {show_date(two.off_site.p80)}.")
    if one.arrived and two.arrived and one.arrived.p80 != two.arrived.p80:
        lines.append(f"Its P80 date of arrival: {show_date(one.arrived.p80)}, in {second} {show_date(two.arrived.p80)}.")
    return lines


def _flipped(one: Comparison, two: Comparison, first: str, second: str) -> list[str]:
    others = {result.path: result for result in two.paths}
    pairs = [(result, others[result.path]) for result in one.paths if result.path in others]
    flipped = [(a, b) for a, b in pairs if a.status != b.status]
    return [f"Path {a.number}, {a.title}: {a.status} in {first}, {b.status} in {second}." for a, b in flipped]


def _price_of_others(one: Comparison, two: Comparison, second: str) -> list[str]:
    others = {result.path: result for result in two.paths}
    moved = [
        (f"path {a.number} {others[a.path].cost.p80 - a.cost.p80:+,.0f}", abs(others[a.path].cost.p80 - a.cost.p80))
        for a in one.paths
        if a.path in others and a.cost and others[a.path].cost
    ]
    shown = [words for words, usd in sorted(moved, key=lambda pair: -pair[1]) if usd >= 0.5]
    return [f"P80 cost in {second}, each path alone [{one.museum.scenario.currency}]: {', '.join(shown)}."] if shown else []
