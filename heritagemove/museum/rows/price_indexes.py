from typing import ClassVar

from heritagemove.files.cells import Identifier, Text, Year, cell
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis
from heritagemove.units import units


def _above_zero(text: str) -> float:
    number = units.parse_number(text)
    if not 0 < number < 1e9:
        raise ValueError
    return number


class PriceIndex(Row, read_by="costs and dates"):
    """One year of a price index; years to come are a judgment."""

    may_be_missing: ClassVar[bool] = True

    price_index: Identifier = column("id of the index", key=True)
    year: Year = column("year", key=True)
    value: cell(float, "a number above 0", _above_zero) = column("mean of the year; only ratios count")
    basis: Basis = BASIS
    source: Text = SOURCE
