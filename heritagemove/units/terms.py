"""The words of the trade and of the trials, each with one line for a board member: what screens and glossary explain."""

from __future__ import annotations

import re
from dataclasses import dataclass

from heritagemove.units.described import Described, Heading, described


@dataclass(frozen=True)
class Term:
    """One word, and what it means in one line."""

    name: str
    says: str
    also: tuple[str, ...] = ()  # other ways in which it is written


TERMS = (
    Term("P10", "one future in ten stays below it"),
    Term("P50", "as likely to turn out above as below: promise nobody a P50"),
    Term("P80", "four futures in five stay within it: what to raise and to announce"),
    Term("P90", "nine futures in ten stay within it"),
    Term("all in", "with refusals, and what is done after them, played out"),
    Term("arrives", "stands at the museum where its path ends", ("arrival",)),
    Term("axle load", "what one axle puts on the rail or road", ("axle loads",)),
    Term("basis", "what a number rests on: a quote, a publication, a measurement, custom, or somebody's judgment"),
    Term("blocked", "something that it needs is not so, and nobody can grant it"),
    Term("bolster", "cross beam of body or truck on which the weight of the body rests", ("bolsters",)),
    Term("break-even", "the amount at which two paths cost alike"),
    Term("brass", "bearing metal that a plain journal turns under", ("brasses",)),
    Term("call-out", "what is charged once for all units that use it, such as bringing a crane to the site", ("call-outs",)),
    Term("centre plate", "round seat on which the body turns on its truck", ("centre plates",)),
    Term("clearance", "room between a load and what stands beside or over its way", ("clearances",)),
    Term("confidence", "how sure the museum wants to be: in how many of a hundred futures a promise holds"),
    Term("contingency", "money above the sum of the likely values, for what may turn out dearer"),
    Term("Cooper", "strength of a rail bridge by the axle load of a reference engine: E60 carries more than E46"),
    Term("correlation", "how far prices rise and fall together"),
    Term("critical", "sets the date: a day lost on it is a day lost for all"),
    Term("driver", "what says how much of something a path needs, such as crane hours", ("drivers",)),
    Term("estimating error", "how far estimates of such work have turned out to be off beyond their own ranges"),
    Term("fallback", "the path that is turned to when somebody says no"),
    Term("flat car", "railroad car with a floor and no sides, for loads", ("flat cars",)),
    Term("frost law", "season in which thawing roads bear less", ("frost laws",)),
    Term("gate", "a condition of a path: a hard stop or a caution", ("gates",)),
    Term("hard stop", "a condition that must hold before anything moves", ("hard stops",)),
    Term("hedge", "what of the fallback is begun beside the choice", ("hedges",)),
    Term("holdover", "what the owner charges for each day after the deadline"),
    Term("interim", "ends short of a museum: the way on is not in its cost"),
    Term("journal", "the end of an axle that turns in its bearing", ("journals",)),
    Term("leg", "a stretch of rail or road between two places", ("legs",)),
    Term("likely sum", "the likely values, summed: not the mean", ("sum of the likely values", "sum of likely values")),
    Term("margin", "how much more there may be before a check fails"),
    Term("mean", "the average over all trials"),
    Term("mitigation", "what is done against a risk", ("mitigations",)),
    Term("permit", "leave of an authority to move over its road or line", ("permits",)),
    Term("provisional", "rests on typical values of something that nobody has found out yet"),
    Term("regret", "what a choice costs more than the best one would have"),
    Term("sampling error", "what counting a limited number of trials may be off by"),
    Term("set aside", "money to raise: enough in four futures of five, refusals included"),
    Term("shoofly", "temporary track"),
    Term("side bearing", "where the body leans on its truck when it rolls", ("side bearings",)),
    Term("tie-down", "what holds a load on its car or trailer", ("tie-downs",)),
    Term("toss-up", "paths whose costs differ by less than the estimate may be off"),
    Term("trial", "one future, drawn from the ranges of all rows", ("trials",)),
    Term("truck", "frame with two or three axles under the end of a car: a bogie", ("trucks",)),
    Term("utilization", "demand as a share of what is allowed"),
    Term("value of information", "what knowing an answer before the decision saves on average"),
    Term("wheelset", "two wheels on their axle", ("wheelsets",)),
)

_BY_WORDS = {words.lower(): term for term in TERMS for words in (term.name, *term.also)}
_WORDS = re.compile(
    rf"(?<![\w-])({'|'.join(sorted(map(re.escape, _BY_WORDS), key=len, reverse=True))})(?![\w-])", re.IGNORECASE
)


def terms_in(text: str) -> list[tuple[str, Term | None]]:
    """Return a text in parts, each a term with its explanation or what stands between two terms.

    Examples
    --------
    >>> [(part, term and term.name) for part, term in terms_in("Cost at P80, gates met")]
    [('Cost at ', None), ('P80', 'P80'), (', ', None), ('gates', 'gate'), (' met', None)]
    """
    return [(part, _BY_WORDS.get(part.lower())) for part in _WORDS.split(text) if part]


def table_of_terms() -> Described:
    """Return every term with its explanation, by name."""
    headings = (Heading("Term", lambda term: term.name, "strong"), Heading("What it means", lambda term: term.says))
    return described("The words explained", headings, sorted(TERMS, key=lambda term: term.name.lower()))
