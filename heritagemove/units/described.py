"""A table described once: its columns, each with heading, unit, how it is said and what it takes of a row; plain values.

Screens, CSV files, workbooks and the page are made from it, so that headings and numbers are the same on all of them.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from heritagemove.units.words import show_chance, show_date, show_rounded

#: How a number is said, by the kind of its column; any other is said whole.
_NUMBERS: dict[str, Callable[[float], str]] = {
    "whole": lambda number: f"{number:z,.0f}",
    "rounded": show_rounded,
    "signed": lambda number: f"{number:+,.0f}",
    "tenths": lambda number: f"{number:,.1f}",
    "hundredths": lambda number: f"{number:,.2f}",
    "chance": show_chance,
    "share": show_chance,
}
#: What else a column may hold; of lines that unfold, the first stands open.
_OTHERS = ("text", "strong", "date", "unfold")


class Marked(NamedTuple):
    """A path: a screen draws its mark."""

    number: int
    title: str = ""


@dataclass(frozen=True)
class Heading:
    """One column of a table."""

    text: str
    # what it takes of a row: a text, number, date, truth, path, None where unknown, or a tuple of them; None for what
    # stands at its place, where rows are tuples already
    value: Callable[[Any], Any] | None = None
    kind: str = "text"  # of _NUMBERS or _OTHERS; a share is drawn as a bar where there is room
    unit: str = ""
    width: int = 0  # [percent] of the table; the browser's choice where it is 0
    total: bool = False  # whether its sum means something: means add up, percentiles do not

    def __post_init__(self) -> None:
        if self.kind not in _NUMBERS and self.kind not in _OTHERS:
            raise ValueError(f"{self.text}: no way of saying is called {self.kind}")

    def __str__(self) -> str:
        return f"{self.text} [{self.unit}]" if self.unit else self.text

    @property
    def numeric(self) -> bool:
        """Whether it holds numbers."""
        return self.kind in _NUMBERS


@dataclass(frozen=True)
class Described:
    """A table: what it is called, its columns, and its rows of plain values."""

    caption: str
    headings: tuple[Heading, ...]
    rows: tuple[tuple[Any, ...], ...]

    def __len__(self) -> int:
        return len(self.rows)

    def titles(self) -> list[str]:
        """Return the headings as they stand over the columns, units included."""
        return [str(heading) for heading in self.headings]

    def cells(self) -> list[list[str]]:
        """Return what the rows say, in words."""
        return [[said(value, heading.kind) for heading, value in zip(self.headings, row, strict=True)] for row in self.rows]

    def only(self, *texts: str) -> Described:
        """Return the table with these columns alone, in this order."""
        places = [[heading.text for heading in self.headings].index(text) for text in texts]
        rows = tuple(tuple(row[place] for place in places) for row in self.rows)
        return Described(self.caption, tuple(self.headings[place] for place in places), rows)

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data: headings, which of them are of numbers, the values, and the words for them."""
        return {
            "caption": self.caption,
            "headings": self.titles(),
            "numeric": [heading.numeric for heading in self.headings],
            "values": [[_plain(value) for value in row] for row in self.rows],
            "words": self.cells(),
        }


def described(caption: str, headings: Sequence[Heading | str], rows: Iterable[Any]) -> Described:
    """Return a table with what each column takes of each row.

    Parameters
    ----------
    headings : sequence of Heading or str
        A text alone stands for a column of texts or of whole numbers, taken from its place in the row.

    Examples
    --------
    >>> cost = Heading("Cost", lambda line: line[1], "rounded", "USD")
    >>> table = described("Lines", [Heading("Line", lambda line: line[0]), cost], [("Crane", 226439.6), ("Permit", None)])
    >>> table.titles(), table.cells()
    (['Line', 'Cost [USD]'], [['Crane', '226,000'], ['Permit', 'unknown']])
    """
    headings = tuple(Heading(each) if isinstance(each, str) else each for each in headings)

    def cells(row: Any) -> tuple[Any, ...]:
        return tuple(_told(each.value(row) if each.value else row[place]) for place, each in enumerate(headings))

    return Described(caption, headings, tuple(map(cells, rows)))


def facts(caption: str, pairs: Iterable[tuple[str, Any]], headings: tuple[str, str] = ("What", "Value")) -> Described:
    """Return a table of names and values.

    Examples
    --------
    >>> facts("The unit", [("Length", "40 ft"), ("Boxes", 8)]).cells()
    [['Length', '40 ft'], ['Boxes', '8']]
    """
    return described(caption, headings, pairs)


def said(value: Any, kind: str = "text") -> str:
    """Return what is said of a value: of a number by the kind of its column, of what is not known that it is not.

    Examples
    --------
    >>> said(None), said(True), said(dt.date(2027, 10, 15)), said(("a", "b")), said(Marked(3, "Roll"))
    ('unknown', 'yes', '15 Oct 2027', 'a; b', '3 Roll')
    >>> said((Marked(3), Marked(5))), said(())
    ('3, 5', 'none')
    >>> said(0.9996, "chance"), said(-1234.5, "signed"), said("never", "date")
    ('>99%', '-1,234', 'never')
    """
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _NUMBERS.get(kind, _NUMBERS["whole"])(value)
    if isinstance(value, dt.date):
        return show_date(value)
    if isinstance(value, Marked):
        return f"{value.number} {value.title}".strip()
    if isinstance(value, tuple):
        between = ", " if all(isinstance(part, Marked) and not part.title for part in value) else "; "
        return between.join(said(part, kind) for part in value) or "none"
    return str(value)


def _told(value: Any) -> Any:
    """Return a value as Python has it, whoever counted it; what is no number is not known."""
    value = value.item() if hasattr(value, "item") else value
    return None if value != value else value


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return list(map(_plain, value))
    return value.isoformat() if isinstance(value, dt.date) else value
