from heritagemove.files.cells import Identifier, Number, OptionalDate, Text
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import PROVENANCE, Strength


class EstimateClass(Row, read_by="costs and dates"):
    """One published class of cost estimates: how much is defined, and how far off it may be."""

    estimate_class: Identifier = column("id of the class", key=True, read_by="check")
    title: Text = column("name")
    defined_from: Number = column("least share of the project that is defined, percent")
    defined_to: Number = column("most, percent")
    low_widest: Number = column("low end of the accuracy range at its widest, percent of the estimate")
    low_tightest: Number = column("low end at its tightest, percent")
    high_tightest: Number = column("high end at its tightest, percent")
    high_widest: Number = column("high end at its widest, percent")
    strength: Strength = column("as in limits.csv", read_by=PROVENANCE)
    source: Text = column("title, edition, section", read_by=PROVENANCE)
    as_of: OptionalDate = column("date of the text", read_by=PROVENANCE)
    confirm_with: Text = column("who must confirm it", read_by=PROVENANCE)
