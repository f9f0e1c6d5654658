from typing import Any, ClassVar

from pydantic import model_validator

from heritagemove.files.cells import NonNegative, Probability, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, PROVENANCE, Basis


class EstimatingError(Row, read_by="costs and dates"):
    """How far estimates of such work turn out to be off, beyond their rows' own ranges, and how much paths share of it."""

    may_be_missing: ClassVar[bool] = True

    error: choice("money", "time", "common", "mode") = column(
        "money: sigma of the logarithm of a cost line without a quote; time: the same of the working days after commitment "
        "that are not booked; common and mode: share of its variance that all paths, and those of one mode, have in common",
        key=True,
    )
    quoted: Probability = column("money: share of the P50 money that stands under firm quotes; else 0", key=True)
    value: NonNegative = column("the sigma, at most 2, or the share, 0 to 1; money between two rows in proportion")
    basis: Basis = BASIS
    source: Text = column("title, edition, section", read_by=PROVENANCE)

    @model_validator(mode="after")
    def _in_range(self) -> Any:
        most = 1 if self.error in ("common", "mode") else 2
        if self.value > most:
            raise ValueError(f"value: at most {most} for {self.error}")
        if self.quoted and self.error != "money":
            raise ValueError(f"quoted: 0 for {self.error}")
        return self
