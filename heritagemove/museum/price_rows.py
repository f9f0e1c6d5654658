"""What the tables of a museum say of prices: rows by rate, taxes, gifts, the levels of an index."""

from __future__ import annotations

from typing import Any

from heritagemove.museum.memo import Made


class PriceRows:
    """The part of a museum that answers for its prices."""

    _kept: dict[str, dict[str, Any]]

    def rates_of(self, rate: str) -> tuple[Any, ...]:
        """Return the rows of one rate, those of a weight from light to heavy."""
        known = self._kept["rates"].setdefault("by weight", {})
        if rate not in known:
            known[rate] = tuple(sorted(self._rows("rates", "rate", rate), key=lambda row: row.name[2:]))
        return known[rate]

    def tax(self, tax: str) -> Any:
        """Return one tax."""
        return self._rows("taxes", "tax", tax)[0]

    def donated(self, vehicle: str, line: Any) -> float:
        """Return the share of a cost line that is given: what is said of the unit comes before what is said of any."""
        shares = {row.vehicle: row.share for row in self._rows("donations", "path", line.path) if row.line == line.line}
        return shares.get(vehicle, shares.get("any", 0.0))

    def price_levels(self, index: str) -> Made:
        """Return the years of a price index with their values, in order."""
        known = self._kept["price_indexes"].setdefault("levels", {})
        if index not in known:
            rows = self._rows("price_indexes", "price_index", index)
            known[index] = Made.by_value(tuple(sorted((row.year, row.value) for row in rows)))
        return known[index]
