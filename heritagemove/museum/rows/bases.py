from typing import ClassVar

from heritagemove.files.cells import Identifier, Text
from heritagemove.files.tables import Row
from heritagemove.files.tables import column as describe  # a column of this table is called column
from heritagemove.museum.columns import PROVENANCE, STARTER, Basis, YesOrBlank


class ValueBasis(Row, read_by="costs and dates"):
    """One value that comes from elsewhere than the rest of its row: a length measured, where the speed is still a guess."""

    may_be_missing: ClassVar[bool] = True

    table: Text = describe("file, such as legs.csv", key=True, refers_to="tables")
    key: Text = describe("what names the row, with / between its cells, as own_wheels/survey; blank ends left out", key=True)
    column: Identifier = describe("column of the value", key=True)
    basis: Basis = describe("where the value comes from")
    source: Text = describe("document, quote or role behind it", read_by=PROVENANCE)
    starter: YesOrBlank = STARTER
