from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import Identifier, NonNegative, Text, cell, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank
from heritagemove.units.units import parse_number

OptionalNumber = cell(float, "a number, or blank", parse_number, blank=True)


class Criterion(Row, read_by="costs and dates"):
    """One criterion of the committee and the scale on which it is valued."""

    criterion: Identifier = column("id of the criterion", key=True)
    title: Text = column("what is judged, in the committee's words")
    weight: NonNegative = column("weight, usually 0 to 10; only its share of all weights counts")
    better: choice("lower", "higher") = column("which way is better")
    measured: choice(
        "cost_p80",
        "cost_spread",
        "days_p80",
        "chance_by_deadline",
        "chance_of_gates",
        "intervention",
        "reversible",
        "scored",
    ) = column("computed measure behind it, a column of paths.csv, or scored: rows of scores.csv")
    unit: Text = column("unit of the measure, as shown", read_by="screens")
    worst: OptionalNumber = column("measure worth 0; blank: the worst of the paths compared")
    best: OptionalNumber = column("measure worth 1; between the two in a straight line; blank: the best of them")
    settles: choice("safety", blank=True) = column(
        "safety: its scores settle a toss-up in cost, after the chance in time and the historic fabric", default=None
    )
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _scale(self) -> Any:
        if (self.worst is None) != (self.best is None):
            raise ValueError("best: both ends of the scale, or both blank")
        if self.worst is not None and not (self.best > self.worst if self.better == "higher" else self.best < self.worst):
            side = "above" if self.better == "higher" else "below"
            raise ValueError(f"best: a number {side} worst, {self.worst:g}, since {self.better} is better")
        if self.measured == "scored" and self.worst is None:
            raise ValueError("worst: a number, since a scored criterion has a scale of its own")
        return self
