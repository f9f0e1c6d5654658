"""Close the books: estimate against actual by line, and what the invoices teach the price list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from heritagemove.answers.uncertainty_shares import prices_of
from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.writing import csv_text
from heritagemove.files.saving import save
from heritagemove.following.tracking import Forecast, follow, followed
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.rates import Rate
from heritagemove.trials import simulation
from heritagemove.units.units import PlannerError

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class ClosedLine:
    """One cost line, estimated and invoiced."""

    title: str
    # of the plan [USD]; None where it was unknown
    p10_usd: float | None
    mean_usd: float | None
    p90_usd: float | None
    quoted_usd: float | None  # what the quote that counted, or counts, came to for this line [USD]
    actual_usd: float  # invoiced [USD]
    final: bool  # whether nothing more comes
    # share of the plan's trials below the actual, 0 to 1: near 1 it was dearer than nearly every trial
    below: float | None

    @property
    def difference_usd(self) -> float | None:
        """Actual less estimate [USD]; None while it is not final, or was unknown."""
        return self.actual_usd - self.mean_usd if self.final and self.mean_usd is not None else None


def close_out(forecast: Forecast) -> tuple[ClosedLine, ...]:
    """Return estimate against actual of every line that has been invoiced by the forecast's date."""
    costs = {entry.line.line: entry.cost_usd for entry in forecast.plan.path(forecast.path).trials.lines}
    rows = []
    for entry in forecast.positions:
        if not _invoices(forecast, entry.line.line):
            continue
        cost, final = costs.get(entry.line.line), entry.stands_on == "paid"
        p10, p90 = (None, None) if cost is None else np.percentile(cost, (10, 90))
        rows.append(
            ClosedLine(
                title=entry.line.title,
                p10_usd=p10,
                mean_usd=entry.plan_usd,
                p90_usd=p90,
                quoted_usd=_quoted(forecast, entry),
                actual_usd=entry.invoiced_usd,
                final=final,
                below=float(np.mean(cost < entry.invoiced_usd)) if final and cost is not None else None,
            )
        )
    return tuple(rows)


def _mine(forecast: Forecast, table: str) -> list[Any]:
    key = forecast.plan.vehicle, forecast.path
    return [row for row in getattr(forecast.plan.museum, table) if (row.vehicle, row.path) == key]


def _invoices(forecast: Forecast, line: str) -> list[Any]:
    lines = {row.quote: row.lines for row in _mine(forecast, "quotes")}
    return [
        row
        for row in _mine(forecast, "actuals")
        if row.invoiced <= forecast.on and line in lines.get(row.quote, (row.line,))
    ]


def _quoted(forecast: Forecast, entry: Any) -> float | None:
    named = {row.quote for row in _invoices(forecast, entry.line.line)} | {entry.counted}
    plan = {other.line.line: other.plan_usd or 0.0 for other in forecast.positions}
    for quote in _mine(forecast, "quotes"):
        if quote.quote in named and entry.line.line in quote.lines:
            whole = sum(plan.get(line, 0.0) for line in quote.lines)
            share = plan[entry.line.line] / whole if whole else 1 / len(quote.lines)
            return quote.amount.m_as("USD") * share
    return None


def close_out_table(rows: tuple[ClosedLine, ...], currency: str) -> pd.DataFrame:
    """Return estimate against actual, one row per line; amounts in the museum's currency."""
    import pandas as pd  # here, and not above: most answers need no table

    def whole(usd: float | None) -> int | None:
        return None if usd is None else round(usd)

    return pd.DataFrame(
        {
            "line": row.title,
            f"estimate P10 [{currency}]": whole(row.p10_usd),
            f"estimate, mean [{currency}]": whole(row.mean_usd),
            f"estimate P90 [{currency}]": whole(row.p90_usd),
            f"quoted [{currency}]": whole(row.quoted_usd),
            f"invoiced [{currency}]": whole(row.actual_usd),
            "final": "yes" if row.final else "no",
            f"actual less estimate [{currency}]": whole(row.difference_usd),
            "share of trials below": row.below,
        }
        for row in rows
    )


@dataclass(frozen=True)
class Suggestion:
    """A price range that the invoices suggest."""

    rate: Any  # the row as it stands
    prices: tuple[float, ...]  # what was paid for one unit, in the row's unit and at its price level, without tax
    low: float
    likely: float
    high: float
    # for the row, if it is taken over
    basis: str
    source: str


def suggestions(forecast: Forecast) -> tuple[Suggestion, ...]:
    """Return the price ranges that settled lines suggest, in the order of rates.csv.

    One invoice proves that a price happens, not how far prices spread: low and high are only ever widened to hold
    it, and the new likely value is the mean of the old one and the prices paid. An invoice for several lines has
    no price for one of them, and work given in kind has none at all; neither suggests anything.
    """
    rates = {row.name: row for row in forecast.plan.museum.rates}
    found = _paid(forecast)
    return tuple(_suggestion(row, found[key]) for key, row in rates.items() if key in found)


def moves_begun(museum: Museum) -> tuple[Forecast, ...]:
    """Return the last forecast of each unit of a museum whose move has begun."""
    samples = simulation.draw(museum)
    begun = [(row.vehicle, followed(museum, row.vehicle)) for row in museum.vehicles]
    return tuple(follow(compare_paths(museum, unit, {}, samples), *books)[-1] for unit, books in begun if books)


def merged_prices(forecasts: Sequence[Forecast]) -> tuple[Suggestion, ...]:
    """Return the price ranges that the invoices of several finished moves suggest together, in the order of rates.csv.

    They widen the ranges of the newest of the moves. A price of an older move is brought to that one's price level by
    the row's index; each names its move, its invoice and its date.

    Parameters
    ----------
    forecasts : sequence of Forecast
        The last of each move, in any order; of museums in one currency.

    Raises
    ------
    PlannerError
        If their museums' currencies differ.
    """
    currencies = sorted({forecast.plan.museum.scenario.currency for forecast in forecasts})
    if len(currencies) > 1:
        raise PlannerError(f"currency: found {', '.join(currencies)}; allowed: one; nothing here knows a rate of exchange")
    rates: dict[tuple[Any, ...], Any] = {}
    paid: dict[tuple[Any, ...], list[tuple[float, str]]] = {}
    for forecast in sorted(forecasts, key=lambda each: each.on, reverse=True):
        museum = forecast.plan.museum
        own = {row.name: row for row in museum.rates}
        for key, prices in _paid(forecast).items():
            newest = rates.setdefault(key, own[key])
            if newest.unit != own[key].unit:
                continue
            level = _level(museum, own[key], newest.price_year)
            paid.setdefault(key, []).extend((price * level, f"{museum.scenario.name}: {named}") for price, named in prices)
    return tuple(_suggestion(row, paid[key]) for key, row in rates.items())


def _level(museum: Any, rate: Any, year: int) -> float:
    """Return how much dearer a year is than the one that a price is of, by the price's own index."""
    levels = {row.year: row.value for row in museum.price_indexes if row.price_index == rate.price_index}
    return levels[year] / levels[rate.price_year] if {year, rate.price_year} <= set(levels) else 1.0


def _paid(forecast: Forecast) -> dict[tuple[Any, ...], list[tuple[float, str]]]:
    """Return what was paid for one unit of a price, with the invoices that say so, by the price's key."""
    paid: dict[tuple[Any, ...], list[tuple[float, str]]] = {}
    planned = forecast.plan.path(forecast.path)
    costs = {entry.line.line: entry for entry in planned.trials.lines}
    paid_for = [entry for entry in forecast.positions if entry.stands_on == "paid" and entry.invoiced_usd > 0]
    lines = {row.quote: row.lines for row in _mine(forecast, "quotes")}
    for entry in paid_for:
        name = entry.line.line
        bills = _invoices(forecast, name)
        if name not in costs or any(len(lines.get(row.quote, (name,))) > 1 for row in bills):
            continue
        rows = prices_of(forecast.plan.museum, planned, entry.line)
        if len(rows) != 1:  # between two weights: an invoice has no price for either
            continue
        key = rows[0].name
        units = float(np.mean(costs[name].before_error_usd / forecast.plan.samples.rates[key]))
        if units > 0:
            named = ", ".join(f"{row.invoice} of {row.invoiced.isoformat()}" for row in bills)
            paid.setdefault(key, []).append((entry.invoiced_usd / units, named))
    return paid


def _suggestion(rate: Any, paid: list[tuple[float, str]]) -> Suggestion:
    prices = tuple(price for price, _ in paid)
    likely = (rate.likely + sum(prices)) / (1 + len(prices))
    source = f"{'; '.join(named for _, named in paid)}; earlier range: {rate.source}"
    return Suggestion(rate, prices, min(rate.low, *prices), likely, max(rate.high, *prices), "measured", source)


def write_price_list(place: str | Path, museums: Sequence[Museum]) -> Path:
    """Write what the moves of museums that have begun were billed as one price list, laid out as rates.csv.

    Raises
    ------
    PlannerError
        If no line with an invoice of its own is settled.
    """
    rows = merged_prices([move for museum in museums for move in moves_begun(museum)])
    if not rows:
        allowed = "museums of begun moves with actuals.csv"
        raise PlannerError(f"found no settled line with an invoice of its own; allowed: {allowed}")
    heading = [name for name in Rate.columns if name != "starter"]
    cells = map(as_typed, rows)
    save(place, csv_text([heading, *([row.get(name, "") for name in heading] for row in cells)]))
    return Path(place)


def as_typed(row: Suggestion) -> dict[str, str]:
    """Return a suggested price as a row of rates.csv holds it."""
    rate = row.rate
    cells = {
        "rate": rate.rate, "equipment": rate.equipment or "", "title": rate.title, "range": rate.range, "unit": rate.unit,
        "at_weight": "" if rate.at_weight is None else f"{rate.at_weight.m_as('lb'):.0f} lb", "market": rate.market or "",
        "price_year": str(rate.price_year), "price_index": rate.price_index or "",
        "least": "" if rate.least is None else f"{rate.least:g}", "least_for": rate.least_for or "", "tax": rate.tax or "",
        "basis": row.basis, "source": row.source,
    }  # fmt: skip
    return cells | {name: f"{getattr(row, name):.2f}" for name in ("low", "likely", "high")}


def suggestions_table(rows: tuple[Suggestion, ...]) -> pd.DataFrame:
    """Return suggested price ranges beside those that stand, one row per rate."""
    import pandas as pd  # here, and not above: most answers need no table

    return pd.DataFrame(
        {
            "rate": row.rate.rate,
            "unit": row.rate.unit,
            "low, likely, high now": f"{row.rate.low:,.6g}, {row.rate.likely:,.6g}, {row.rate.high:,.6g}",
            "paid": ", ".join(f"{price:,.6g}" for price in row.prices),
            "low, likely, high suggested": f"{row.low:,.6g}, {row.likely:,.6g}, {row.high:,.6g}",
            "basis": row.basis,
            "source": row.source,
        }
        for row in rows
    )
