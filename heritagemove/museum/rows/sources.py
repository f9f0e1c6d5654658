from typing import ClassVar

from heritagemove.files.cells import Identifier, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import PROVENANCE


class PublicSource(Row, read_by=PROVENANCE):
    """One published source of prices."""

    may_be_missing: ClassVar[bool] = True

    source_id: Identifier = column("id of the source", key=True)
    title: Text = column("title")
    address: Text = column("where it was read")
    date: Text = column("its date, as far as it says")
    quality: choice("A", "B", "C") = column(
        "A: official rule, tariff or record; B: published page of a firm, paper or society; C: forum, calculator, weak page"
    )
