from typing import ClassVar

from heritagemove.files.cells import Identifier, OptionalText, Text, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Tax(Row, read_by="costs and dates"):
    """One tax that comes on top of prices: sales tax or VAT."""

    may_be_missing: ClassVar[bool] = True

    tax: Identifier = column("id of the tax", key=True)
    title: Text = column("name", read_by="screens")
    share: quantity("percent") = column("share of the price that it adds")
    exempt: OptionalText = column("what and who is exempt, and by which paper")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
