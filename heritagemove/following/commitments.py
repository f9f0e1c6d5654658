"""What each cost line stands on at a date: its invoices, a quote, or still its own range.

The rules, in this order:

1. A last invoice fixes its line. An invoice under a quote that covers several lines is spread over them.
2. A firm quote in force fixes its lines: accepted by the date, or not expired on it. Its amount is spread by the
   lines' mean costs in the plan. Of two that cover a line an accepted one counts, then the later one.
3. A line invoiced in part keeps its rows' range, without the estimating error, and costs at least what has been invoiced.
4. A budgetary quote binds nobody: it moves the line's range so that its mean before the estimating error is the quote,
   and does not narrow it.
5. Everything else keeps its range.

A task whose every line is quoted firmly or invoiced is booked: its days carry no estimating error either.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.compare.results import PathResult
from heritagemove.museum.museum import Museum
from heritagemove.trials.line_costs import LineCost

#: What a position stands on, from firmest to loosest, in words.
STANDS_ON = {
    "paid": "invoiced in full",
    "firm": "firm quote",
    "part": "invoiced in part",
    "budgetary": "budgetary quote",
    "estimate": "own range",
}


@dataclass(frozen=True)
class Position:
    """One cost line of a path at a date."""

    line: Any
    stands_on: str
    # what it counts for [USD]: three equal amounts where it is fixed; for a range the least, the mean and the most of the
    # plan's trials, or of the forecast's once that is made; None where that is unknown
    low_usd: float | None
    likely_usd: float | None
    high_usd: float | None
    plan_usd: float | None  # its mean in the plan [USD]
    rows_usd: float | None  # the same before the estimating error [USD]
    invoiced_usd: float
    quotes: tuple[str, ...]  # every quote in force that covers it
    counted: str | None  # the quote that counts


def positions(museum: Museum, vehicle: str, plan: PathResult, on: dt.date) -> tuple[Position, ...]:
    """Return what each cost line of a path stands on at a date.

    Parameters
    ----------
    plan : PathResult
        The path as planned.

    Returns
    -------
    tuple of Position
        In the order of cost_lines.csv; lines that the unit does not need and nobody quotes or invoices are left out.
    """
    priced = {entry.line.line: entry for entry in plan.trials.lines}
    costs = {line: entry.cost_usd for line, entry in priced.items()}
    quotes = [row for row in museum.quotes if (row.vehicle, row.path) == (vehicle, plan.path)]
    invoices = [row for row in museum.actuals if (row.vehicle, row.path) == (vehicle, plan.path) and row.invoiced <= on]
    shares = {row.quote: _shares(row.lines, costs) for row in quotes}
    found = []
    for line in museum.of_path("cost_lines", plan.path):
        name = line.line
        covering = [row for row in quotes if name in row.lines and row.in_force(on)]
        paid = [(row, _of_line(row, name, shares)) for row in invoices if _of_line(row, name, shares) is not None]
        if name in costs and not np.any(costs[name]) and not covering and not paid:
            continue
        found.append(_position(line, priced.get(name), covering, paid, shares, on))
    return tuple(found)


def spent_or_signed(museum: Museum, vehicle: str) -> tuple[float, dt.date | None]:
    """Return what is invoiced for a unit with what is still to come of the quotes that are accepted, on any path.

    Returns
    -------
    tuple of (float, datetime.date or None)
        [USD], and the day of the last invoice or acceptance; None where there is none.
    """
    invoices = [row for row in museum.actuals if row.vehicle == vehicle]
    accepted = [row for row in museum.quotes if row.vehicle == vehicle and row.accepted]
    usd = sum(row.amount.m_as("USD") for row in invoices)
    for quote in accepted:
        billed = [row for row in invoices if row.quote == quote.quote]
        if not any(row.final for row in billed):
            usd += max(quote.amount.m_as("USD") - sum(row.amount.m_as("USD") for row in billed), 0.0)
    days = [*(row.invoiced for row in invoices), *(row.accepted for row in accepted)]
    return float(usd), max(days, default=None)


def _shares(lines: tuple[str, ...], costs: Mapping[str, np.ndarray]) -> dict[str, float]:
    means = {line: max(float(np.mean(costs.get(line, 0.0))), 0.0) for line in lines}
    total = sum(means.values())
    return {line: mean / total if total else 1 / len(lines) for line, mean in means.items()}


def _of_line(invoice: Any, line: str, shares: Mapping[str, Mapping[str, float]]) -> float | None:
    """Return what an invoice bills for a line [USD], or None where it is not for it."""
    usd = invoice.amount.m_as("USD")
    if invoice.quote in shares:
        share = shares[invoice.quote].get(line)
        return None if share is None else usd * share
    return usd if invoice.line == line else None


def _position(
    line: Any,
    priced: LineCost | None,
    covering: list[Any],
    paid: list[tuple[Any, float]],
    shares: Mapping[str, Mapping[str, float]],
    on: dt.date,
) -> Position:
    invoiced = float(sum(usd for _, usd in paid))
    ranked = sorted(covering, key=lambda row: (row.accepted is not None and row.accepted <= on, row.quoted), reverse=True)
    firm = next((row for row in ranked if row.firmness == "firm"), None)
    rough = next((row for row in ranked if row.firmness == "budgetary"), None)
    own = _range(priced and priced.cost_usd)
    rows = _range(priced and priced.before_error_usd)
    counted = None
    if any(row.final for row, _ in paid):
        stands_on, amounts = "paid", (invoiced,) * 3
    elif firm:
        stands_on, counted = "firm", firm.quote
        amounts = (max(firm.amount.m_as("USD") * shares[firm.quote][line.line], invoiced),) * 3
    elif paid:
        stands_on, amounts = "part", tuple(None if usd is None else max(usd, invoiced) for usd in rows)
    elif rough:
        stands_on, counted = "budgetary", rough.quote
        usd = rough.amount.m_as("USD") * shares[rough.quote][line.line]
        amounts = tuple(usd if not rows[1] else part * usd / rows[1] for part in rows)
    else:
        stands_on, amounts = "estimate", own
    return Position(line, stands_on, *amounts, own[1], rows[1], invoiced, tuple(row.quote for row in covering), counted)


def as_forecast(found: tuple[Position, ...], forecast: PathResult) -> tuple[Position, ...]:
    """Return the positions with the ranges that the trials of a forecast give to what is not fixed.

    The more is quoted, the less is the rest off by: its range is another than in the plan.
    """
    costs = {entry.line.line: entry.cost_usd for entry in forecast.trials.lines}

    def seen(entry: Position) -> Position:
        if entry.stands_on in ("paid", "firm") or entry.likely_usd is None or entry.line.line not in costs:
            return entry
        low, likely, high = _range(costs[entry.line.line])
        return dataclasses.replace(entry, low_usd=low, likely_usd=likely, high_usd=high)

    return tuple(map(seen, found))


def _range(cost: np.ndarray | None) -> tuple[float | None, ...]:
    return (None,) * 3 if cost is None else (float(cost.min()), float(cost.mean()), float(cost.max()))


def with_positions(museum: Museum, found: tuple[Position, ...]) -> Museum:
    """Return the museum in which the lines of one path cost what they stand on.

    A fixed line gets a price of its own and an amount of one, so that the same simulation prices it.
    """
    currency = museum.scenario.currency
    markets = {row.rate: row.market for row in museum.rates}
    model = museum.rates[0]
    changed, prices, asked = {}, [], set()
    for entry in found:
        line, key = entry.line, (entry.line.path, entry.line.line)
        if entry.stands_on == "estimate" or entry.likely_usd is None:
            continue  # what is unknown stays unknown, whatever has been invoiced of it
        if entry.stands_on == "budgetary" and entry.rows_usd:
            changed[key] = line.model_copy(update={"factor": line.factor * entry.likely_usd / entry.rows_usd})
            continue
        rate = f"position_{line.path}_{line.line}"
        update = {"rate": rate, "equipment": None, "title": line.title, "unit": f"{currency}/job", "range": "bounds",
                  "market": markets[line.rate], "basis": "quote", "source": STANDS_ON[entry.stands_on]}  # fmt: skip
        update |= dict.fromkeys(("at_weight", "price_index", "least", "least_for", "tax"))
        update |= {"source_ids": (), "low": entry.low_usd, "likely": entry.likely_usd, "high": entry.high_usd}
        prices.append(model.model_copy(update=update))
        asked.add(key)
        one = {"rate": rate, "load_weight": None, "driver": "jobs", "times": None, "factor": 1.0, "factor_unit": None}
        changed[key] = line.model_copy(update=one | {"above": None, "at_least": None})
    lines = [changed.get((row.path, row.line), row) for row in museum.cost_lines]
    # What is quoted or invoiced is what the museum is asked for: a gift is off it already.
    gifts = [row for row in museum.donations if (row.path, row.line) not in asked]
    open_tasks = {entry.line.task for entry in found if entry.stands_on in ("estimate", "budgetary")}
    booked = {(entry.line.path, entry.line.task) for entry in found if entry.line.task not in open_tasks}
    tasks = [row.model_copy(update={"basis": "quote"}) if (row.path, row.task) in booked else row for row in museum.tasks]
    return museum.with_changes(cost_lines=lines, rates=(*museum.rates, *prices), donations=gifts, tasks=tasks)
