"""What loads and yet looks like a slip of the pen: `check` tells it beside the problems, and nothing is refused for it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from string import digits
from typing import Any

from heritagemove.museum.calendars import undated_years
from heritagemove.units.words import nearest

#: How alike two names are, 0 to 1, of which one is perhaps the other misspelt: two letters changed about in a short one.
_ALIKE = 0.75
#: The same for the short words of a finding: yse for yes.
_ALIKE_IN_SHORT = 0.65
_PLAIN_WORDS = {"yes", "no", "unknown"}
#: Names that stand for something outside the tables, so that no other row defines them.
_FREE_NAMES = (("rates", "market"), ("tasks", "market"), ("legs", "carrier"))


def slips(museum: Any) -> list[str]:
    """Return in one line each what is allowed and still looks wrong, by table."""
    found = (_lone_names, _findings, _soils, _price_years, _years)
    return [slip for find in found for slip in find(museum)]


def _lone_names(museum: Any) -> Iterable[str]:
    """Find names that one row only holds and that are nearly another row's: they would be taken for two things."""
    for table, column in _FREE_NAMES:
        named = [row for row in getattr(museum, table) if getattr(row, column) is not None]
        counts = Counter(getattr(row, column) for row in named)
        for row in reversed(named):
            name = getattr(row, column)
            # yard_1 and yard_2 are two yards.
            others = (other for other in counts if other.strip(digits) != name.strip(digits))
            if counts[name] == 1 and (meant := nearest(name, others, _ALIKE)):
                said = f'found "{name}" in this row only; did you mean {meant}?'
                yield f"{table}.csv row {row.row_number}, column {column}: {said}"
                del counts[name]  # of two that are alike and alone one is told


def _findings(museum: Any) -> Iterable[str]:
    """Find words of a finding, or of what a gate allows, that are nearly a word its clue is answered with."""
    words: dict[str, set[str]] = {}
    for row in museum.clues:
        words.setdefault(row.clue, set()).add(row.found)
    for row in museum.readiness:
        words.setdefault(row.clue, set()).update(row.good)
    for row in museum.gates:
        for fact in row.fact:
            words.setdefault(fact, set()).update(_allowed(row))
    for row in museum.survey:
        yield from _misspelt("survey", row, "found", row.found, words.get(row.clue, set()))
    for row in museum.gates:
        for word in _allowed(row) if row.fact else ():
            yield from _misspelt("gates", row, "allowed", word, set())


def _allowed(gate: Any) -> list[str]:
    return [word.strip() for word in gate.allowed.split(";")]


def _misspelt(table: str, row: Any, column: str, word: str, known: set[str]) -> Iterable[str]:
    known = known | _PLAIN_WORDS
    if word not in known | {"none"} and (meant := nearest(word, known, _ALIKE_IN_SHORT)):
        yield f'{table}.csv row {row.row_number}, column {column}: found "{word}"; did you mean {meant}?'


def _soils(museum: Any) -> Iterable[str]:
    """Find grounds that nearly have a presumptive bearing in limits.csv; fill and mud have none."""
    known = {row.limit.removeprefix("bearing_") for row in museum.limits if row.limit.startswith("bearing_")}
    for row in museum.places:
        if row.soil is not None and row.soil not in known and (meant := nearest(row.soil, known, _ALIKE)):
            yield f'places.csv row {row.row_number}, column soil: found "{row.soil}"; did you mean {meant}?'


def _years(museum: Any) -> Iterable[str]:
    """Find calendars that close by date in other years than those in which the unit may be moved."""
    scenario = museum.scenario
    for name, years in undated_years(museum.calendars, scenario.start, scenario.forced_scrap).items():
        last = next(row for row in reversed(museum.calendars) if row.calendar == name and isinstance(row.first, dt.date))
        said = f"found closures of {name} by date, none of them in {' and '.join(map(str, years))}"
        said += "; a closure of every year has a month and a day, as 03-01"
        yield f"calendars.csv row {last.row_number}, column first: {said}"


def _price_years(museum: Any) -> Iterable[str]:
    """Find prices of another year than museum.toml's that no index brings to its level."""
    own = museum.scenario.price_year
    others: dict[int, list[int]] = {}
    for row in museum.rates:
        if row.price_year != own and row.price_index is None and row.basis != "quote":
            others.setdefault(row.price_year, []).append(row.row_number)
    for year, numbers in sorted(others.items()):
        more = f" and {len(numbers) - 1} more" if len(numbers) > 1 else ""
        said = f"found {year}; museum.toml has {own}, and without a price_index the price stays as it is"
        yield f"rates.csv row {numbers[0]}{more}, column price_year: {said}"
