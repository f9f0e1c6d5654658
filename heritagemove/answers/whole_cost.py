"""What the work costs whole: what is given of it, tax and the rise of prices in it, and what comes every year after it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.answers.uncertainty_shares import prices_of
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.trials.simulation import simulate


@dataclass(frozen=True)
class Gift:
    """What somebody gives of one cost line."""

    title: str  # of the line
    given_by: str
    mean_usd: float


@dataclass(frozen=True)
class WholeCost:
    """The means of a path's cost over the trials, the path without its fallback, and the upkeep of its unit."""

    currency: str
    # what the museum pays, and of that what is tax and what the rise of prices up to the year of spending [USD]
    museum_usd: float
    tax_usd: float
    rise_usd: float
    gifts: tuple[Gift, ...]
    taxes: tuple[Any, ...]  # rows of taxes.csv that its lines bear
    upkeep: tuple[Any, ...]  # rows of upkeep.csv; none for a path that brings nothing to a museum

    @property
    def donated_usd(self) -> float:
        """What is given [USD]."""
        return sum(gift.mean_usd for gift in self.gifts)

    @property
    def whole_usd(self) -> float:
        """What the work costs, whoever pays [USD]."""
        return self.museum_usd + self.donated_usd

    @property
    def yearly(self) -> tuple[float, float, float]:
        """Low, likely and high of all upkeep together [USD/year]; lows and highs of all at once are rarer than of each."""
        low, likely, high = (sum(getattr(row, name) for row in self.upkeep) for name in ("low", "likely", "high"))
        return low, likely, high

    def in_words(self) -> str:
        """Return who pays what of the work, and what the upkeep is."""
        said = f"The museum pays {self.museum_usd:,.0f} {self.currency} on average"
        if self.gifts:
            given = "; ".join(f"{gift.given_by}: {gift.title}, {gift.mean_usd:,.0f}" for gift in self.gifts)
            said += f"; the work costs {self.whole_usd:,.0f}, of which {self.donated_usd:,.0f} are given ({given})"
        said += f". Of the museum's money {self.rise_usd:,.0f} is the rise of prices up to the year of spending"
        if self.taxes:
            named = (f"{row.title}, {row.share.m_as('percent'):g} %" for row in self.taxes)
            said += f", and {self.tax_usd:,.0f} is tax ({'; '.join(named)})"
        said += "." + "".join(f" Exempt of it: {row.exempt}." for row in self.taxes if row.exempt)
        if self.upkeep:
            low, likely, high = self.yearly
            said += (
                f" After the arrival it needs {likely:,.0f} {self.currency} a year ({low:,.0f} to {high:,.0f}): "
                "housing and upkeep stand beside the move, never in its cost."
            )
        return said


def whole_cost(comparison: Comparison, path: str) -> WholeCost | None:
    """Return what the work of a path costs whole, and the upkeep after it; None where its cost is unknown."""
    result, museum = comparison.path(path), comparison.museum
    if result.trials.cost_usd is None:
        return None
    unindexed = museum.with_changes(rates=[row.model_copy(update={"price_index": None}) for row in museum.rates])
    level = simulate(unindexed, path, result.work, comparison.samples).cost_usd
    names = (comparison.vehicle, "any") if result.saves and not museum.interim(path) else ()
    taxed = list(_taxed(comparison, result))
    return WholeCost(
        currency=result.currency,
        museum_usd=float(result.trials.cost_usd.mean()),
        tax_usd=sum(usd for _, usd in taxed),
        rise_usd=float(np.mean(result.trials.cost_usd - level)),
        gifts=tuple(_gifts(comparison, result)),
        taxes=tuple({row.tax: row for row, _ in taxed}.values()),
        upkeep=tuple(row for row in museum.upkeep if row.vehicle in names),
    )


def _gifts(comparison: Comparison, result: PathResult) -> Iterator[Gift]:
    gifts = comparison.museum.gifts(comparison.vehicle, result.path)
    for entry in result.trials.lines:
        if np.any(entry.donated_usd):
            yield Gift(entry.line.title, gifts[entry.line.line].given_by, float(np.mean(entry.donated_usd)))


def _taxed(comparison: Comparison, result: PathResult) -> Iterator[tuple[Any, float]]:
    """Yield the tax of each line that bears one, with what it comes to on average [USD]."""
    for entry in result.trials.lines:
        rows = prices_of(comparison.museum, result, entry.line) if entry.line.factor > 0 else ()
        if rows and rows[0].tax and np.any(entry.cost_usd):
            tax = comparison.museum.tax(rows[0].tax)
            share = tax.share.m_as("")
            yield tax, float(np.mean(entry.cost_usd)) * share / (1 + share)
