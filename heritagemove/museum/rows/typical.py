from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import Identifier, OptionalIdentifier, OptionalProbability, OptionalText, Text, cell, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, PROVENANCE, Basis, Strength, require_order
from heritagemove.units.units import parse_number

_OptionalNumber = cell(float, "a number, or blank", parse_number, blank=True)
#: Tables of which a blank cell may have a typical range.
MEASURED = ("vehicles", "pieces", "axles", "legs", "bridges", "places")


class Typical(Row, read_by="gates, costs and dates"):
    """What is typical of something that nobody knows yet: a range of a blank cell, or how often a gate is met."""

    table: choice(*MEASURED, "survey", "gates") = column(
        "table of the blank cell, for a range; survey or gates, for a share", key=True
    )
    kind: Identifier = column(
        "kind of unit; of piece, leg (its mode), bridge (its rating) or place in their tables; any: every kind", key=True
    )
    of_unit: OptionalIdentifier = column(
        "of a piece: kind or type of the unit that it belongs to; blank: any", key=True, default=None
    )
    what: Identifier = column(
        "the column that is blank; in survey the clue that a gate reads; in gates the check", key=True
    )
    low: _OptionalNumber = column("range: lowest that is likely to be met with")
    likely: _OptionalNumber = column("range: most likely")
    high: _OptionalNumber = column("range: highest that is likely to be met with")
    unit: OptionalText = column("range: its unit; blank for a plain number, or for a share of another column")
    share_of: OptionalIdentifier = column(
        "range: column of the unit in vehicles.csv that it is a share of (an axle's: of an equal part for each axle)"
    )
    met: OptionalProbability = column("share: in how many of such cases what is found meets the gate")
    basis: Basis = BASIS
    strength: Strength = column("as in limits.csv", read_by=PROVENANCE)
    source: Text = column("title, edition, section", read_by=PROVENANCE)

    @model_validator(mode="after")
    def _range_or_share(self) -> Any:
        wanted = self.table in MEASURED
        for name in ("low", "likely", "high"):
            if (getattr(self, name) is not None) != wanted:
                raise ValueError(f"{name}: a number for a range, blank for a share")
        if (self.met is None) != wanted or not (wanted or 0 < self.met < 1):
            raise ValueError("met: blank for a range; above 0 and below 1 for a share, since it is no certainty")
        if wanted:
            require_order(self)
        return self
