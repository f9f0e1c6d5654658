"""Papers by date: quotes, permits and letters that have expired or soon will, and the lines that no quote covers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from heritagemove.following.commitments import Position
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.progress import Progress

if TYPE_CHECKING:
    import pandas as pd

#: A paper that ends within so many days is about to expire [day]. No source.
SOON_DAYS = 30


@dataclass(frozen=True)
class Paper:
    """One paper and how long it holds."""

    kind: str
    # what it is, and who gave it
    title: str
    holder: str
    until: dt.date  # last day on which it holds
    days_left: int  # days from the status date to that day; below 0 where it has passed
    state: str  # accepted is a quote that binds, whatever its last day

    def in_words(self) -> str:
        """Return the state for people.

        Examples
        --------
        >>> Paper("quote", "box machining", "machine shop", dt.date(2027, 7, 15), 15, "expiring").in_words()
        'expires in 15 days'
        """
        if self.state == "accepted":
            return "accepted: binds"
        days = f"{abs(self.days_left)} day{'' if abs(self.days_left) == 1 else 's'}"
        return {"expired": f"expired {days} ago", "expiring": f"expires in {days}"}.get(self.state, f"holds for {days}")


def papers(
    museum: Museum, vehicle: str, path: str, known: Mapping[str, Progress], on: dt.date, soon: int = SOON_DAYS
) -> tuple[Paper, ...]:
    """Return the papers of one unit on one path that end on a date, by that date.

    Parameters
    ----------
    known : mapping of str to Progress
        Tasks that have begun, as :func:`heritagemove.following.progress.known_by` returns them.
    on : datetime.date
        Status date.
    soon : int
        A paper that ends within so many days is expiring [day].
    """
    found = []

    def add(kind: str, title: str, holder: str, until: dt.date, accepted: bool = False) -> None:
        left = (until - on).days
        state = "accepted" if accepted else "expired" if left < 0 else "expiring" if left <= soon else "holds"
        found.append(Paper(kind, title, holder, until, left, state))

    for row in museum.quotes:
        if (row.vehicle, row.path) == (vehicle, path) and row.quoted <= on:
            accepted = row.accepted is not None and row.accepted <= on
            add("quote", row.quote.replace("_", " "), row.vendor, row.valid_until, accepted)
    for row in museum.of_path("gates", path):
        if row.expires is not None:
            add("letter or permit", f"{row.evidence} ({row.title})", row.signer, row.expires)
    tasks = {row.task: row for row in museum.of_path("tasks", path)}
    for record in known.values():
        if record.holds_until is not None:
            row = tasks[record.task]
            add("letter or permit", f"{row.hands_over or 'paper'} ({row.title})", row.who, record.holds_until)
    return tuple(sorted(found, key=lambda paper: (paper.until, paper.title)))


def papers_table(found: tuple[Paper, ...]) -> pd.DataFrame:
    """Return papers, a row a paper."""
    import pandas as pd  # here, and not above: most answers need no table

    return pd.DataFrame(
        {"until": row.until, "paper": row.kind, "what": row.title, "given by": row.holder, "state": row.in_words()}
        for row in found
    )


def uncovered(positions: tuple[Position, ...]) -> tuple[Position, ...]:
    """Return the lines that neither a quote in force covers nor a last invoice settles, dearest first.

    A line of unknown cost comes first: nobody has priced it.
    """
    open_ = [entry for entry in positions if not entry.quotes and entry.stands_on != "paid"]
    return tuple(sorted(open_, key=lambda entry: float("-inf") if entry.likely_usd is None else -entry.likely_usd))


def covered_twice(positions: tuple[Position, ...]) -> tuple[Position, ...]:
    """Return the lines that two quotes in force or more cover and no last invoice settles."""
    return tuple(entry for entry in positions if len(entry.quotes) > 1 and entry.stands_on != "paid")
