from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import (
    Identifier,
    NonNegative,
    OptionalIdentifier,
    OptionalNonNegative,
    OptionalProbability,
    OptionalReference,
    Text,
    choice,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, NEEDED_FOR, SOURCE, STARTER, Basis, NeededFor, YesOrBlank, require_order


class Inquiry(Row, read_by="costs and dates"):
    """One thing that can be found out before the committee commits, what asking costs, and how far it can be trusted."""

    inquiry: Identifier = column("id of the inquiry", key=True)
    title: Text = column("what is done to find out")
    about: choice("gate", "risk", "weight") = column(
        "what it tells: whether a gate is refused, whether a risk happens, or the weight"
    )
    path: OptionalReference = column(
        "path of the risk; blank for a gate, whose answer holds for every path", refers_to="paths.path"
    )
    subject: OptionalIdentifier = column("id of the gate or of the risk; blank for the weight")
    cost_low: NonNegative = column("what it costs, in the museum's currency, low")
    cost_likely: NonNegative = column("what it costs, in the museum's currency, likely")
    cost_high: NonNegative = column("what it costs, in the museum's currency, high")
    days: NonNegative = column("working days until the answer", read_by="screens")
    finds: OptionalProbability = column("gate, risk: probability that it foretells trouble where trouble comes")
    false_alarm: OptionalProbability = column("the same where none comes; 0: a no is a no")
    accuracy: OptionalNonNegative = column("weight: standard error of the weighing, percent")
    needed_for: NeededFor = NEEDED_FOR
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _about_something(self) -> Any:
        require_order(self, "cost_")
        if (self.about == "weight") != (self.subject is None):
            raise ValueError("subject: the id of a gate or a risk, or blank for the weight")
        if (self.about == "risk") != (self.path is not None):
            raise ValueError("path: the path of the risk, or blank for a gate or the weight")
        if (self.about == "weight") == (self.accuracy is None):
            raise ValueError("accuracy: a number of at least 0 for the weight, blank for a gate or a risk")
        for name in ("finds", "false_alarm"):
            if (self.about == "weight") != (getattr(self, name) is None):
                raise ValueError(f"{name}: a probability for a gate or a risk, blank for the weight")
        return self
