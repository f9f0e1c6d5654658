"""What several tables' row models share: cell types, sentences, and rows with three points or axles."""

from __future__ import annotations

import itertools
from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import cell, choice
from heritagemove.files.tables import Row, column
from heritagemove.units import units

Basis = choice("quote", "published", "measured", "typical", "judgment")
Range = choice("bounds", "p10_p90")
Strength = choice("source", "secondary", "from_memory", "common_practice")

#: Who reads where a row comes from.
PROVENANCE = "whoever checks the row"
BASIS = column("where the numbers of this row come from", read_by=PROVENANCE)
SOURCE = column("document, quote or role behind them; invented demo values say so", read_by=PROVENANCE)

YesOrBlank = cell(bool, "yes, or blank for no", lambda text: {"yes": True, "no": False, "": False}[text])
STARTER = column(
    "whether its numbers are still those that a new museum began with; blank: somebody has entered or confirmed them",
    default=False,
    read_by="check, screens",
)

NeededFor = choice("safety", "law", blank=True)
NEEDED_FOR = column(
    "what asks for it, whatever it costs: it is never judged by money then; blank: money decides",
    default=None,
    read_by="costs and dates",
)

STAGE = column(
    "stage of the path it belongs to; blank: the whole path",
    refers_to="stages.stage",
    same="path",
    default=None,
    read_by="check",
)


def _positions(text: str) -> tuple[float, ...]:
    places = tuple(units.parse(part.strip() + " ft", "ft").magnitude for part in text.split(";"))
    if any(b <= a for a, b in itertools.pairwise(places)):
        raise ValueError
    return places


def _journal(text: str) -> str:
    units.parse_journal_size(text)
    return text


_RISING = "positions in feet from the front that rise, with ; between them, as 0;15;19.5"
Positions = cell(tuple[float, ...], _RISING, _positions)
JournalSize = cell(str, "a journal size such as 5-1/2 x 10, or blank for unknown", _journal, blank=True)


def require_order(row: Any, prefix: str = "") -> None:
    """Raise unless low <= likely <= high."""
    low, likely, high = (getattr(row, prefix + name) for name in ("low", "likely", "high"))
    if not low <= likely <= high:
        raise ValueError(f"{prefix}likely: low <= likely <= high; this row has {low:g}, {likely:g}, {high:g}")


class ThreePoint(Row):
    """A row with a low, a likely and a high value."""

    @model_validator(mode="after")
    def _in_order(self) -> Any:
        require_order(self)
        return self


class Coupled(Row):
    """A row whose axles stand between its couplers."""

    @model_validator(mode="after")
    def _axles_between_couplers(self) -> Any:
        places, length = self.axle_positions, self.length.m_as("ft")
        if places[0] < 0 or places[-1] > length:
            raise ValueError(f"axle_positions: positions that rise from 0 to the length over couplers, {length:g} ft")
        return self
