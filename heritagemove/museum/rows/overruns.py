from typing import ClassVar

from heritagemove.files.cells import Count, Identifier, OptionalNonNegative, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import PROVENANCE, Strength


class Overrun(Row, read_by="costs and dates"):
    """One published record of how far projects of a class went beyond their estimates: the outside view."""

    may_be_missing: ClassVar[bool] = True

    overrun: Identifier = column("id of the record", key=True, read_by="check")
    title: Text = column("which projects, where and when")
    of: choice("cost", "time") = column("what went beyond its estimate")
    projects: Count = column("how many projects were looked at")
    median: OptionalNonNegative = column("median overrun, percent of the estimate; blank: not published")
    mean: OptionalNonNegative = column("mean overrun, percent of the estimate; blank: not published")
    over: OptionalNonNegative = column("share of the projects that went over, percent; blank: not published")
    strength: Strength = column("as in limits.csv", read_by=PROVENANCE)
    source: Text = column("title, edition, section", read_by=PROVENANCE)
