"""What an estimate rests on, on screen."""

from __future__ import annotations

from heritagemove.answers.basis_shares import BasisShares, basis_shares
from heritagemove.charts.basis_shares import basis_bars
from heritagemove.compare.results import Comparison
from heritagemove.panels import markup
from heritagemove.panels.markup import paragraph
from heritagemove.panels.state import Desk

_SHOWN = 12


def show_basis(desk: Desk, path: str | None = None) -> str:
    """Show what a path's estimate rests on, its class, and which rows to make better first.

    Parameters
    ----------
    path : str, optional
        Id of the path; the choice when left out.
    """
    return _content(desk.comparison, path or desk.comparison.choice)


def _content(comparison: Comparison, path: str | None) -> str:
    if path is None:
        return paragraph("No path can be chosen: name one to see what its estimate rests on.")
    shares = basis_shares(comparison, path)
    return (
        paragraph(shares.in_words())
        + markup.picture(basis_bars(shares))
        + _stakes(shares)
        + markup.unfold("What each part of the estimate rests on", _parts(shares))
        + paragraph(
            "The class follows from the share of the money that rests on more than judgment, in place of how far the "
            "work is defined. Class and ranges: " + shares.grade.by_definition.source + "."
        )
    )


def _stakes(shares: BasisShares) -> str:
    currency = shares.result.currency
    rows = [
        (s.title, f"{s.table}, row {s.row_number}", s.narrows_usd, f"{s.rank_correlation:+.2f}",
         s.ask)
        for s in shares.stakes[:_SHOWN]
    ]  # fmt: skip
    headings = ("Row of judgment", "Where", f"Would narrow P10 to P90 by [{currency}]", "Rank correlation", "Make it better")
    return markup.table("Rows that rest on judgment and widen the cost most", headings, rows)


def _parts(shares: BasisShares) -> str:
    rows = [(p.title, p.mean_usd, p.price, p.quantity, "yes" if p.quoted else "no") for p in shares.parts]
    return markup.table("Parts", ("Part", f"Mean [{shares.result.currency}]", "Price", "Quantity", "Quote in hand"), rows)
