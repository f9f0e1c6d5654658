"""When the money for one unit must be there: payments by month, refusals and fallback played out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from heritagemove.compare.results import Comparison
from heritagemove.units.words import show_date, show_rounded
from heritagemove.whole_site.fleet import option_of
from heritagemove.whole_site.payments import Months, payments


@dataclass(frozen=True)
class Spending:
    """What one unit by one path costs month by month."""

    path: str
    currency: str
    confidence: float
    months: tuple[dt.date, ...]  # first day of each month that sees a payment in some trial, and of those between
    mean_usd: np.ndarray  # shape (months,); mean of what is paid in the month
    # shape (2, months); what has been paid by the month's end: at P50, and kept with the confidence
    by_then_usd: np.ndarray

    @property
    def heaviest(self) -> int:
        """Index of the month that asks for most."""
        return int(np.argmax(self.mean_usd))

    def in_words(self) -> str:
        """Return what must be in hand, and by when."""
        at, careful = self.heaviest, self.by_then_usd[1]
        return (
            f"Have {show_rounded(careful[at])} {self.currency} in hand by the end of {self.month(at)}, the month that asks "
            "for most, "
            f"and {show_rounded(careful.max())} {self.currency} by the end of {self.month(int(careful.argmax()))}, "
            f"enough in {self.confidence:.0%} of cases. "
            "The value of a unit that is lost counts in its cost, but nobody pays it."
        )

    def month(self, at: int) -> str:
        """Return the name of a month, such as Jun 2027."""
        return show_date(self.months[at])[2:].strip()


def spending(comparison: Comparison, path: str) -> Spending:
    """Return the payments of a path that may be chosen, by month.

    Parameters
    ----------
    path : str
        Id of a path with its gates played out.

    Raises
    ------
    ValueError
        If the path is blocked, unknown, or saves nothing.
    """
    museum, samples = comparison.museum, comparison.samples
    option = option_of(comparison, comparison.path(path))
    months = Months.of(museum)
    paid = np.zeros((samples.trials, len(months.first_days)))
    for payment in payments(museum, (option,), samples):
        months.add(payment, [(paid, 1.0)])
    confidence = museum.scenario.simulation.confidence
    busy = np.flatnonzero(np.abs(paid).mean(axis=0) >= 0.5)
    shown = slice(0, int(busy[-1]) + 1 if len(busy) else 1)
    by_then = np.quantile(np.cumsum(paid, axis=1), (0.5, confidence), axis=0)
    return Spending(
        path=path,
        currency=museum.scenario.currency,
        confidence=confidence,
        months=months.first_days[shown],
        mean_usd=paid.mean(axis=0)[shown],
        by_then_usd=by_then[:, shown],
    )
