from typing import ClassVar

from heritagemove.files.cells import PartOfWhole, Reference, Text
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Donation(Row, read_by="costs and dates"):
    """A share of a cost line that somebody gives: the museum does not pay it, and the work costs the same."""

    may_be_missing: ClassVar[bool] = True

    vehicle: Reference = column("id of the unit, or any", key=True, refers_to="vehicles.vehicle", also=("any",))
    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    line: Reference = column("cost line", key=True, refers_to="cost_lines.line", same="path")
    share: PartOfWhole = column("share of the line that is given: 1 as a gift, less at cost")
    given_by: Text = column("who gives it", read_by="screens")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
