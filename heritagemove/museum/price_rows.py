"""What the tables of a museum say of prices: rows by rate and equipment, taxes, gifts, the levels of an index."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heritagemove.museum.memo import Made


@dataclass(frozen=True)
class PriceList:
    """The rows of one rate for some equipment, from light to heavy loads."""

    rows: tuple[Any, ...]  # none where no rate fits the equipment
    names: tuple[tuple[Any, ...], ...]  # of their draws
    pounds: tuple[float, ...]  # weights that they are for [lb]; none where the weight does not matter
    quoted: bool  # whether all are quotes: these stand as they were given


class PriceRows:
    """The part of a museum that answers for its prices."""

    _kept: dict[str, dict[Any, Any]]

    def rates_of(self, rate: str) -> tuple[Any, ...]:
        """Return the rows of one rate, in file order."""
        return self._rows("rates", "rate", rate)

    def price_list(self, rate: str, equipment: frozenset[str]) -> PriceList:
        """Return the rows of one rate that are priced for no equipment, or else for one of these.

        Stages may ride on several: the dearest counts, so that a further stage makes nothing cheaper.
        """
        known = self._kept["rates"].setdefault("lists", {})
        if (rate, equipment) not in known:
            rows = self.rates_of(rate)
            found = {row.equipment: row.likely for row in sorted(rows, key=lambda row: row.likely)}
            fitting = [name for name in sorted(equipment) if name in found]
            chosen = None if None in found or not fitting else max(fitting, key=found.__getitem__)
            rows = tuple(sorted((row for row in rows if row.equipment == chosen), key=lambda row: row.name[2:]))
            names = tuple(row.name for row in rows)
            pounds = tuple(part for name in names for part in name[2:])
            known[rate, equipment] = PriceList(rows, names, pounds, all(row.basis == "quote" for row in rows))
        return known[rate, equipment]

    def tax_share(self, tax: str) -> float:
        """Return the share of a price that a tax adds."""
        return self.tax(tax).share.m_as("")

    def tax(self, tax: str) -> Any:
        """Return one tax."""
        return self._rows("taxes", "tax", tax)[0]

    def gifts(self, vehicle: str, path: str) -> Mapping[str, Any]:
        """Return the gift for each line that has one: what is said of the unit comes before what is said of any."""
        rows = self._rows("donations", "path", path)
        return {row.line: row for name in ("any", vehicle) for row in rows if row.vehicle == name}

    def price_levels(self, index: str) -> Made:
        """Return the years of a price index with the logarithms of their values, in order."""
        known = self._kept["price_indexes"].setdefault("levels", {})
        if index not in known:
            rows = self._rows("price_indexes", "price_index", index)
            known[index] = Made.by_value(tuple(sorted((row.year, math.log(row.value)) for row in rows)))
        return known[index]
