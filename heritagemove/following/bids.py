"""Bids for the same work side by side, levelled: what one leaves out is added at the price of the museum's own rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from heritagemove.compare.results import Comparison
from heritagemove.units.described import Described, Heading, described
from heritagemove.whole_site.likely_lines import likely_lines


@dataclass(frozen=True)
class Bid:
    """One quote beside others for the same work."""

    quote: Any  # of quotes.csv
    # lines that another bid for the same work covers and this one does not, each with what the museum's own rows make of it
    # [USD]; None where they cannot tell
    left_out: tuple[tuple[Any, float | None], ...]

    @property
    def offer_usd(self) -> float:
        """What the firm asks [USD]."""
        return float(self.quote.amount.m_as("USD"))

    @property
    def levelled_usd(self) -> float | None:
        """The offer with what it leaves out [USD]; None where that is unknown."""
        added = [usd for _, usd in self.left_out]
        return None if None in added else self.offer_usd + sum(added)


def bids(comparison: Comparison, path: str) -> tuple[tuple[Bid, ...], ...]:
    """Return the quotes for one unit on one path, those for the same work together and the cheapest levelled bid first.

    Two quotes are for the same work if they cover a line in common, or a third covers one with each. What a bid leaves
    out of that work is priced by the museum's own rows at their likely values. What it excludes in words beside the lines
    stands in its row: nobody has priced it.
    """
    found = [row for row in comparison.museum.quotes if (row.vehicle, row.path) == (comparison.vehicle, path)]
    if not found:
        return ()
    rows = {row.line: row for row in comparison.museum.of_path("cost_lines", path)}
    known = {entry.line.line: entry.usd for entry in likely_lines(comparison, path).lines}
    groups = []
    for together in _same_work(found):
        lines = [line for line in rows if any(line in row.lines for row in together)]
        priced = {name: (rows[name], known.get(name)) for name in lines}
        made = [Bid(row, tuple(priced[name] for name in lines if name not in row.lines)) for row in together]
        groups.append(tuple(sorted(made, key=lambda bid: (bid.levelled_usd is None, bid.levelled_usd or 0.0))))
    return tuple(sorted(groups, key=lambda group: -max(bid.offer_usd for bid in group)))


def _same_work(quotes: Sequence[Any]) -> list[list[Any]]:
    groups: list[list[Any]] = []
    for row in quotes:
        mine = [group for group in groups if any(set(row.lines) & set(other.lines) for other in group)]
        rest = [group for group in groups if group not in mine]
        groups = [*rest, [*(other for group in mine for other in group), row]]
    return groups


def table_of_bids(comparison: Comparison, path: str) -> Described:
    """Return the bids for one unit on one path, levelled, those for the same work under each other."""
    currency, result = comparison.museum.scenario.currency, comparison.path(path)
    titles = {row.line: row.title for row in comparison.museum.of_path("cost_lines", path)}

    def added(bid: Bid) -> tuple[str, ...]:
        return tuple(
            f"{row.title}: {'not known' if usd is None else f'{usd:,.0f} {currency}'} (cost_lines.csv row {row.row_number})"
            for row, usd in bid.left_out
        )

    numbered = [(number, bid) for number, group in enumerate(bids(comparison, path), start=1) for bid in group]
    return described(
        f"Bids for path {result.number}, {result.title}, levelled by what each leaves out",
        (
            Heading("Work", lambda row: row[0], "whole"),
            Heading("Firm", lambda row: row[1].quote.vendor),
            Heading("Covers", lambda row: tuple(titles.get(line, line) for line in row[1].quote.lines)),
            Heading("Offer", lambda row: row[1].offer_usd, "whole", currency),
            Heading("Left out, at our own rows' likely price", lambda row: added(row[1]) or "nothing that another covers"),
            Heading("Levelled", lambda row: row[1].levelled_usd, "whole", currency),
            Heading("Excluded in words: ask for its price", lambda row: row[1].quote.exclusions or "not said: ask"),
            Heading("Standby", lambda row: _hourly(row[1].quote.standby, currency)),
            Heading("Holds until", lambda row: row[1].quote.valid_until, "date"),
            Heading("Binds", lambda row: "accepted" if row[1].quote.accepted else row[1].quote.firmness),
        ),
        numbered,
    )


def _hourly(amount: Any, currency: str) -> str:
    return "not said: ask" if amount is None else f"{amount.m_as('USD'):,.0f} {currency} an hour"
