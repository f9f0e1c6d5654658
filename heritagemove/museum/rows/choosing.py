"""How the committee chooses: its criteria, its scores, and the published classes of an estimate."""

from __future__ import annotations

from typing import Any

from pydantic import Field, model_validator

from heritagemove.files.tables import (
    Identifier,
    NonNegative,
    Number,
    OptionalDate,
    OptionalIdentifier,
    OptionalNonNegative,
    OptionalProbability,
    Row,
    Text,
    cell,
    choice,
)
from heritagemove.museum.rows.common import BASIS, SOURCE, Basis, Strength, ThreePoint, require_order
from heritagemove.units.units import parse_number

OptionalNumber = cell(float, "a number, or blank", parse_number, blank=True)


class Criterion(Row):
    """One criterion of the committee and the scale on which it is valued."""

    criterion: Identifier = Field(description="id of the criterion")
    title: Text = Field(description="what is judged, in the committee's words")
    weight: NonNegative = Field(description="weight, usually 0 to 10; only its share of all weights counts")
    better: choice("lower", "higher") = Field(description="which way is better")
    measured: choice(
        "cost_p80",
        "cost_spread",
        "days_p80",
        "chance_by_deadline",
        "chance_of_gates",
        "intervention",
        "reversible",
        "scored",
    ) = Field(description="computed measure behind it, a column of paths.csv, or scored: rows of scores.csv")
    unit: Text = Field(description="unit of the measure, as shown")
    worst: OptionalNumber = Field(description="measure worth 0; blank: the worst of the paths compared")
    best: OptionalNumber = Field(description="measure worth 1; between the two in a straight line; blank: the best of them")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)

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


class Score(ThreePoint):
    """What one path is worth on a criterion that nothing computes."""

    vehicle: Identifier = Field(description="id of the unit, or any")
    path: Identifier = Field(description="id of the path")
    criterion: Identifier = Field(description="id of a scored criterion")
    low: Number = Field(description="lowest score that is plausible, on the criterion's scale")
    likely: Number = Field(description="score")
    high: Number = Field(description="highest score that is plausible")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class EstimateClass(Row):
    """One published class of cost estimates: how much is defined, and how far off it may be."""

    estimate_class: Identifier = Field(description="id of the class")
    title: Text = Field(description="name")
    defined_from: Number = Field(description="least share of the project that is defined, percent")
    defined_to: Number = Field(description="most, percent")
    low_widest: Number = Field(description="low end of the accuracy range at its widest, percent of the estimate")
    low_tightest: Number = Field(description="low end at its tightest, percent")
    high_tightest: Number = Field(description="high end at its tightest, percent")
    high_widest: Number = Field(description="high end at its widest, percent")
    strength: Strength = Field(description="as in limits.csv")
    source: Text = Field(description="title, edition, section")
    as_of: OptionalDate = Field(description="date of the text")
    confirm_with: Text = Field(description="who must confirm it")


class Inquiry(Row):
    """One thing that can be found out before the committee commits, what asking costs, and how far it can be trusted."""

    inquiry: Identifier = Field(description="id of the inquiry")
    title: Text = Field(description="what is done to find out")
    about: choice("gate", "risk", "weight") = Field(
        description="what it tells: whether a gate is refused, whether a risk happens, or the weight"
    )
    path: OptionalIdentifier = Field(description="path of the risk; blank for a gate, whose answer holds for every path")
    subject: OptionalIdentifier = Field(description="id of the gate or of the risk; blank for the weight")
    cost_low: NonNegative = Field(description="what it costs, in the museum's currency, low")
    cost_likely: NonNegative = Field(description="what it costs, in the museum's currency, likely")
    cost_high: NonNegative = Field(description="what it costs, in the museum's currency, high")
    days: NonNegative = Field(description="working days until the answer")
    finds: OptionalProbability = Field(description="gate, risk: probability that it foretells trouble where trouble comes")
    false_alarm: OptionalProbability = Field(description="the same where none comes; 0: a no is a no")
    accuracy: OptionalNonNegative = Field(description="weight: standard error of the weighing, percent")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)

    @model_validator(mode="after")
    def _about_something(self) -> Any:
        require_order(self, "cost_")
        if (self.about == "weight") != (self.subject is None):
            raise ValueError("subject: the id of a gate or a risk, or blank for the weight")
        if (self.about == "risk") != (self.path is not None):
            raise ValueError("path: the path of the risk, or blank for a gate or the weight")
        if (self.about == "weight") == (self.accuracy is None):
            raise ValueError("accuracy: a number of at least 0 for the weight, blank for a gate or a risk")
        for column in ("finds", "false_alarm"):
            if (self.about == "weight") != (getattr(self, column) is None):
                raise ValueError(f"{column}: a probability for a gate or a risk, blank for the weight")
        return self
