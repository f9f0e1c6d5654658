from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import (
    Identifier,
    NonNegative,
    OptionalDateOrMonthDay,
    OptionalNonNegative,
    OptionalProbability,
    OptionalReference,
    OptionalText,
    Probability,
    Reference,
    Text,
    YesNo,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import (
    BASIS,
    NEEDED_FOR,
    PROVENANCE,
    SOURCE,
    STAGE,
    STARTER,
    Basis,
    NeededFor,
    Range,
    YesOrBlank,
    require_order,
)


class Risk(Row, read_by="costs and dates"):
    """One entry of the risk register."""

    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    risk: Identifier = column("id of the risk within the path", key=True)
    title: Text = column("what may happen")
    beyond: OptionalText = column(
        "what it counts that neither the range of its task nor what is drawn of the unit counts already",
        default=None,
        read_by=PROVENANCE,
    )
    needs: OptionalReference = column("driver that must be above zero for the risk to apply", refers_to="drivers")
    probability: Probability = column("probability that it happens")
    for_each: OptionalReference = column(
        "driver of which the probability is for one: of n it happens with 1-(1-p)^n; blank: the probability as it stands",
        refers_to="drivers",
        default=None,
    )
    cost_low: NonNegative = column("cost when it happens, in the museum's currency, low")
    cost_likely: NonNegative = column("cost when it happens, in the museum's currency, likely")
    cost_high: NonNegative = column("cost when it happens, in the museum's currency, high")
    deductible: OptionalNonNegative = column(
        "most that it costs the museum, where an insurance pays the rest; blank: not insured", default=None
    )
    delay_low: NonNegative = column("working days it adds to its task, low")
    delay_likely: NonNegative = column("working days it adds to its task, likely")
    delay_high: NonNegative = column("working days it adds to its task, high")
    range: Range = column("what low and high mean")
    task: Reference = column("task it acts on", refers_to="tasks.task", same="path")
    mitigation: Text = column("what can be done about it")
    mitigation_cost: OptionalNonNegative = column("cost of doing it, in the museum's currency")
    mitigated_probability: OptionalProbability = column("probability that is left", at_most="probability")
    mitigated_share: OptionalProbability = column("share of its cost and delay that is left; blank for all of it")
    bought: YesNo = column("whether the plan pays for the mitigation")
    stretches: OptionalReference = column(
        "calendar whose closed season it makes longer by the delay, in calendar days and in whichever year; "
        "blank: its task is delayed",
        refers_to="calendars.calendar",
    )
    closed_from: OptionalDateOrMonthDay = column("first day of that closed season, as calendars.csv says it")
    owner: Text = column("role that watches it")
    stage: OptionalReference = STAGE
    needed_for: NeededFor = NEEDED_FOR
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _in_order(self) -> Any:
        require_order(self, "cost_")
        require_order(self, "delay_")
        if self.bought and (self.mitigation_cost is None or self.mitigated_probability is None):
            raise ValueError("bought: no, as long as mitigation_cost or mitigated_probability is blank")
        if bool(self.stretches) != bool(self.closed_from):
            raise ValueError("closed_from: the first day of the closed season, together with the calendar it stretches")
        if self.for_each and self.stretches:
            raise ValueError("for_each: blank for a risk that makes a closed season longer")
        return self
