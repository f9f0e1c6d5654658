"""What a path is made of: tasks, costs, rates, risks, gates, calendars."""

from __future__ import annotations

from typing import Any

from pydantic import Field, model_validator

from heritagemove.files.tables import (
    Count,
    Date,
    Identifier,
    Identifiers,
    NonNegative,
    NonNegatives,
    Number,
    OptionalDate,
    OptionalIdentifier,
    OptionalNonNegative,
    OptionalProbability,
    OptionalText,
    Probability,
    Row,
    Text,
    Year,
    YesNo,
    choice,
)
from heritagemove.museum.rows.common import BASIS, SOURCE, Basis, Range, ThreePoint, require_order

#: Engineering checks a gate may name; heritagemove.checks runs them (a test keeps the two equal).
CHECKS = (
    "brake_holding",
    "cargo_securement",
    "centre_of_gravity",
    "coupler_height",
    "crane",
    "curve",
    "flat_car_clearance",
    "flat_car_load",
    "freight_car_age",
    "gross_rail_load",
    "haul_pull",
    "height_clearance",
    "journal_rating",
    "legal_weight",
    "outrigger_ground",
    "outside_boxes",
    "plate",
    "posted_bridge",
    "power_line",
    "rail_bridge",
    "rail_securement",
    "road_bridge",
    "road_height",
    "roll_on_payload",
    "season",
    "side_clearance",
    "sling_angle",
    "starting_pull",
    "track_axle_limit",
    "trailer_axle_load",
    "trailer_payload",
    "transfer_test",
    "transporter_ground",
    "turn",
    "winch_pull",
    "yard_only",
)


class Path(Row):
    """One relocation path."""

    path: Identifier = Field(description="id of the path")
    number: Count = Field(description="its number in every chart and table")
    title: Text = Field(description="what it is called")
    summary: Text = Field(description="what is done, in a sentence or two")
    mode: choice("rail", "road", "yard", "none") = Field(description="which route it uses")
    carried_on: choice("own_wheels", "other_wheels", "flat_car", "trailer", "transporter", "roll_on_trailer", "none") = (
        Field(description="what carries the unit")
    )
    best_for: Text = Field(description="where it is at its best")
    end_state: Text = Field(description="how the unit ends up")
    speed: OptionalText = Field(description="how fast it moves")
    intervention: Count = Field(description="intervention in the historic fabric, 0 none to 3 destroyed")
    reversible: YesNo = Field(description="whether the intervention can be undone")
    saves: YesNo = Field(description="whether the unit survives and reaches the museum")
    fallback: OptionalIdentifier = Field(description="path to turn to when this one is refused")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Quantity(ThreePoint):
    """How much of a driver is needed where it is not computed."""

    vehicle: Identifier = Field(description="id of the unit, or any")
    path: Identifier = Field(description="id of the path, or any")
    driver: Identifier = Field(description="name of the driver")
    low: NonNegative = Field(description="low value, in the driver's unit")
    likely: NonNegative = Field(description="likely value")
    high: NonNegative = Field(description="high value")
    range: Range = Field(description="what low and high mean")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Task(ThreePoint):
    """One task of a path."""

    path: Identifier = Field(description="id of the path")
    task: Identifier = Field(description="id of the task within the path")
    title: Text = Field(description="what is done")
    after: Identifiers = Field(description="tasks that must be finished first")
    low: NonNegative = Field(description="working days, low")
    likely: NonNegative = Field(description="working days, likely")
    high: NonNegative = Field(description="working days, high")
    range: Range = Field(description="what low and high mean")
    per: Identifiers = Field(description="drivers that add days")
    extra_days: NonNegatives = Field(description="working days added per unit of each of those drivers, in their order")
    calendar: Identifier = Field(description="calendar of its working days")
    who: Text = Field(description="who does it (a role or a firm's trade)")
    market: OptionalIdentifier = Field(description="contractor or office whose tasks run late together")
    hands_over: OptionalText = Field(description="document handed over at its finish")
    milestone: choice("decision", "off_site", blank=True) = Field(
        description="decision: the committee commits money; off_site: the unit has left when this is finished"
    )
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)

    @model_validator(mode="after")
    def _days_for_each_driver(self) -> Any:
        if len(self.extra_days) != len(self.per) and (self.per or any(self.extra_days)):
            raise ValueError(f"extra_days: as many numbers, with ; between them, as per has drivers ({len(self.per)})")
        return self

    @property
    def added_days(self) -> tuple[tuple[str, float], ...]:
        """Pairs of a driver and the working days that one unit of it adds."""
        return tuple((driver, each) for driver, each in zip(self.per, self.extra_days, strict=False) if each)


class CostLine(Row):
    """One cost of a path: a rate times one or two drivers times a factor."""

    path: Identifier = Field(description="id of the path")
    line: Identifier = Field(description="id of the line within the path")
    title: Text = Field(description="what is paid for")
    task: Identifier = Field(description="task that triggers it")
    rate: Identifier = Field(description="id of the rate")
    driver: Identifier = Field(description="driver that says how much")
    times: OptionalIdentifier = Field(description="second driver it is multiplied by")
    factor: Number = Field(description="constant factor; negative for a credit")
    factor_unit: OptionalText = Field(description="unit of the factor, such as labor_hour/axle; blank for a plain number")
    above: OptionalNonNegative = Field(description="units of the driver that are not charged (a minimum pays for them)")
    at_least: OptionalNonNegative = Field(description="least units of the driver that are charged")
    phase: choice("front", "prepare", "shop", "lift", "move", "destination", "after") = Field(description="phase")
    payment: choice("on_start", "on_finish", "half_deposit", "after_30_days", "over_task", "later") = Field(
        description="when it is paid, from the dates of its task"
    )
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Rate(ThreePoint):
    """One price."""

    rate: Identifier = Field(description="id of the rate")
    equipment: OptionalIdentifier = Field(description="crane, trailer or flat car this price is for")
    title: Text = Field(description="what the price is for")
    low: NonNegative = Field(description="low price")
    likely: NonNegative = Field(description="likely price")
    high: NonNegative = Field(description="high price")
    range: Range = Field(description="what low and high mean")
    unit: Text = Field(description="unit of the price, such as USD/crane_hour; money in the museum's currency")
    market: OptionalIdentifier = Field(description="market whose prices rise together")
    price_year: Year = Field(description="year of the price level")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Risk(Row):
    """One entry of the risk register."""

    path: Identifier = Field(description="id of the path")
    risk: Identifier = Field(description="id of the risk within the path")
    title: Text = Field(description="what may happen")
    needs: OptionalIdentifier = Field(description="driver that must be above zero for the risk to apply")
    probability: Probability = Field(description="probability that it happens")
    cost_low: NonNegative = Field(description="cost when it happens, in the museum's currency, low")
    cost_likely: NonNegative = Field(description="cost when it happens, in the museum's currency, likely")
    cost_high: NonNegative = Field(description="cost when it happens, in the museum's currency, high")
    delay_low: NonNegative = Field(description="working days it adds to its task, low")
    delay_likely: NonNegative = Field(description="working days it adds to its task, likely")
    delay_high: NonNegative = Field(description="working days it adds to its task, high")
    range: Range = Field(description="what low and high mean")
    task: Identifier = Field(description="task it acts on")
    mitigation: Text = Field(description="what can be done about it")
    mitigation_cost: OptionalNonNegative = Field(description="cost of doing it, in the museum's currency")
    mitigated_probability: OptionalProbability = Field(description="probability that is left")
    mitigated_share: OptionalProbability = Field(description="share of its cost and delay that is left; blank for all of it")
    bought: YesNo = Field(description="whether the plan pays for the mitigation")
    stretches: OptionalIdentifier = Field(
        description="calendar whose closed season it makes longer by the delay, in calendar days; blank: its task is delayed"
    )
    closed_from: OptionalDate = Field(description="first day of that closed season")
    owner: Text = Field(description="role that watches it")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)

    @model_validator(mode="after")
    def _in_order(self) -> Any:
        require_order(self, "cost_")
        require_order(self, "delay_")
        if self.bought and (self.mitigation_cost is None or self.mitigated_probability is None):
            raise ValueError("bought: no, as long as mitigation_cost or mitigated_probability is blank")
        if bool(self.stretches) != bool(self.closed_from):
            raise ValueError("closed_from: the first day of the closed season, together with the calendar it stretches")
        if self.stretches and self.needs:
            raise ValueError("needs: blank, since a closed season hangs on no driver")
        return self


class Gate(Row):
    """One condition of a path."""

    path: Identifier = Field(description="id of the path")
    gate: Identifier = Field(description="id of the gate within the path")
    title: Text = Field(description="the condition")
    kind: choice("hard_stop", "caution") = Field(description="hard_stop: the path ends here if it is not met")
    needs: OptionalIdentifier = Field(description="driver that must be above zero for the gate to apply")
    check: choice(*CHECKS, blank=True) = Field(description="engineering check behind it")
    fact: OptionalIdentifier = Field(description="survey clue behind it")
    allowed: OptionalText = Field(description="findings that meet it, with ; between them")
    task: OptionalIdentifier = Field(description="task whose finish settles it")
    refusal_probability: OptionalProbability = Field(description="probability that it is refused there")
    rule: Text = Field(description="rule or policy behind it")
    evidence: Text = Field(description="paper that proves it")
    signer: Text = Field(description="role that signs")
    expires: OptionalDate = Field(description="date on which the evidence in hand expires")
    as_of: Date = Field(description="date of the rule's edition, or the day it was read where it has none")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)

    @model_validator(mode="after")
    def _stands_on_something(self) -> Any:
        if not (self.check or self.fact or self.task):
            raise ValueError("check: a check, a fact or a task that settles the gate")
        if self.fact and not self.allowed:
            raise ValueError("allowed: the findings that meet the gate")
        if self.task and self.refusal_probability is None:
            raise ValueError("refusal_probability: a probability from 0 to 1, since a task settles the gate")
        return self


class CalendarRule(Row):
    """One rule of a calendar."""

    calendar: Identifier = Field(description="id of the calendar")
    rule: choice("weekdays", "meetings", "closed", "us_federal_holidays") = Field(
        description="weekdays: works on these; meetings: only on these weekdays of these weeks of a month; "
        "closed: not from first to last; us_federal_holidays: not on federal holidays"
    )
    weekdays: OptionalText = Field(description="Mon to Sun with ; between them")
    weeks: OptionalText = Field(description="weeks of the month, 1 to 5, with ; between them")
    first: OptionalDate = Field(description="first closed day")
    last: OptionalDate = Field(description="last closed day")
    reason: Text = Field(description="why")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)

    @model_validator(mode="after")
    def _complete(self) -> Any:
        if self.rule == "closed" and (self.first is None or self.last is None):
            raise ValueError("first: the first and the last closed day")
        if self.rule == "closed" and self.first > self.last:
            raise ValueError("last: a date not before the first closed day")
        if self.rule in ("weekdays", "meetings"):
            days = [day.strip() for day in (self.weekdays or "").split(";")]
            if not set(days) <= {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}:
                raise ValueError("weekdays: Mon, Tue, Wed, Thu, Fri, Sat, Sun with ; between them")
        weeks = [week.strip() for week in (self.weeks or "").split(";")]
        if self.rule == "meetings" and not set(weeks) <= set("12345"):
            raise ValueError("weeks: 1 to 5 with ; between them")
        return self
