"""What a quote is worth: by how much the spread of a path narrows with its largest lines quoted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heritagemove.compare.comparison import price_path
from heritagemove.compare.results import Comparison, Spread
from heritagemove.museum.rows.quotes import Quote
from heritagemove.units.units import PlannerError


@dataclass(frozen=True)
class WorthOfQuotes:
    """One path as it stands, and with some of its lines under firm quotes at what the rows say."""

    path: str
    titles: tuple[str, ...]  # of the lines, the dearest first
    # cost of the path now and with the quotes [USD]
    now: Spread
    quoted: Spread
    currency: str

    @property
    def narrows_usd(self) -> float:
        """By how much less P80 lies above P50 [USD]."""
        return (self.now.p80 - self.now.p50) - (self.quoted.p80 - self.quoted.p50)

    def in_words(self) -> str:
        """Return what the quotes would narrow."""
        before, after = (each.p80 - each.p50 for each in (self.now, self.quoted))
        return (
            f"With firm quotes for the largest lines ({', '.join(self.titles)}) P80 would lie {after:,.0f} {self.currency} "
            f"above P50, and not {before:,.0f}: that is {self.narrows_usd:,.0f} {self.currency} less to hold in reserve."
        )


def worth_of_quotes(comparison: Comparison, path: str, count: int = 3) -> WorthOfQuotes | None:
    """Return what firm quotes for the largest lines of a path would narrow, the same trials played again.

    The quotes are taken at what the rows say: whether they come dear or cheap nobody knows before they are asked for.

    Parameters
    ----------
    path : str
        Id of a path whose cost is known.
    count : int
        How many lines, at least 1.

    Returns
    -------
    WorthOfQuotes or None
        None where no line is left that a quote would narrow.
    """
    result = comparison.path(path)
    if result.cost is None or count < 1:
        raise PlannerError(f"{path}: found {count} lines, cost {result.status}; allowed: a priced path and at least 1 line")
    open_lines = [entry for entry in result.trials.lines if entry.error is not None and entry.line.factor > 0]
    largest = sorted(open_lines, key=lambda entry: -float(np.median(entry.cost_usd)))[:count]
    if not largest:
        return None
    museum, today = comparison.museum, comparison.museum.scenario.as_of
    asked = Quote.model_construct(
        vehicle=comparison.vehicle, path=path, lines=tuple(entry.line.line for entry in largest), firmness="firm",
        quoted=today, valid_until=today, accepted=None,
    )  # fmt: skip
    quoted = museum.with_rows(quotes=(*museum.quotes, asked))
    direct = {name: amount for name, amount in comparison.settings.items() if name not in ("haul_distance", "weight")}
    again = price_path(quoted, comparison.vehicle, path, direct, comparison.samples)
    titles = tuple(entry.line.title for entry in largest)
    return again.cost and WorthOfQuotes(path, titles, result.cost, again.cost, museum.scenario.currency)


def worth_in_words(comparison: Comparison, path: str) -> str:
    """Return what quotes for the three largest lines would narrow; blank where nothing is left to quote."""
    found = worth_of_quotes(comparison, path) if comparison.estimating_error else None
    return found.in_words() if found else ""
