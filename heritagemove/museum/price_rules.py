"""Rules between the tables of prices: rows of one rate that belong together, indexes that reach far enough."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from heritagemove.files.tables import Problem
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.references import problem, same_kind, shown

#: What the rows of one rate and equipment at several weights must agree in.
_ALIKE = ("unit", "range", "market", "price_year", "price_index", "least", "least_for", "tax")
#: What the owner's charge cannot have: it is a term of an agreement, not a price of work.
_NOT_OF_HOLDOVER = ("at_weight", "price_index", "least", "tax")


def rows_together(museum: Any) -> Iterable[Problem]:
    """Check that the rows of one rate go together, and that what they name is there when it is needed."""
    first_of: dict[Any, Any] = {}
    for row in museum.rates:
        rate, first = row.rate, first_of.setdefault(row.name[:2], row)
        if row is not first:
            if (row.at_weight is None) != (first.at_weight is None):
                allowed = f"{rate} priced either at weights or whatever the weight; row {first.row_number} is otherwise"
                yield problem("rates", row, "at_weight", allowed)
            for name in _ALIKE if row.at_weight is not None else ():
                found, wanted = getattr(row, name), getattr(first, name)
                if found != wanted:
                    has = shown(wanted) or "nothing"
                    allowed = f"one {name} for all weights of {rate}; row {first.row_number} has {has}"
                    yield problem("rates", row, name, allowed, shown(found))
    for row in museum.rates:
        if row.least_for and row.least is None:
            yield problem("rates", row, "least_for", "blank where least is blank")
        if row.rate == museum.scenario.holdover_rate:
            for name in _NOT_OF_HOLDOVER:
                if getattr(row, name) is not None:
                    allowed = "blank for the rate that museum.toml names in holdover_rate: a term of an agreement"
                    yield problem("rates", row, name, allowed)


def load_weights(museum: Any) -> Iterable[Problem]:
    """Check that a line names the weight of its load only where its rate hangs on it, and a weight it is."""
    weighed = {row.rate for row in museum.rates if row.at_weight is not None}
    for line in museum.cost_lines:
        if line.load_weight in DRIVERS and not same_kind(DRIVERS[line.load_weight].unit, "lb"):
            yield problem("cost_lines", line, "load_weight", "a driver that is a weight")
        elif line.load_weight and line.rate not in weighed:
            yield problem("cost_lines", line, "load_weight", f"blank, as no row of {line.rate} has at_weight")


def index_years(museum: Any) -> Iterable[Problem]:
    """Check that an index knows every year from a price's own to that in which the last unit may be moved."""
    years: dict[str, list[int]] = {}
    for row in museum.price_indexes:
        years.setdefault(row.price_index, []).append(row.year)
    last = museum.scenario.forced_scrap
    named = {row.price_index for row in museum.rates if row.price_index in years}
    for name in sorted(name for name in named if max(years[name]) < last.year):
        allowed = f"a day up to 31 Dec {max(years[name])}: price_indexes.csv has no later year of {name}; add one"
        yield Problem("museum.toml", 0, "forced_scrap", last.isoformat(), allowed)
    for row in museum.rates:
        known = years.get(row.price_index or "")
        if known and row.price_year < min(known):
            yield problem("rates", row, "price_index", f"an index with a row of {row.price_year}; it begins in {min(known)}")


PRICE_RULES = (rows_together, load_weights, index_years)
