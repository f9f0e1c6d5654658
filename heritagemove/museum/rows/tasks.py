from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import (
    Identifier,
    Identifiers,
    NonNegative,
    NonNegatives,
    OptionalIdentifier,
    OptionalReference,
    OptionalText,
    Reference,
    Text,
    YesNo,
    choice,
    choices,
)
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, SOURCE, STAGE, STARTER, Basis, Range, ThreePoint, YesOrBlank

#: Milestones with either of which the unit is off the site: on the first day of its task, or when that is finished.
LEAVING = ("leaves", "off_site")


class Task(ThreePoint, read_by="gates, costs and dates"):
    """One task of a path."""

    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    task: Identifier = column("id of the task within the path", key=True)
    title: Text = column("what is done")
    after: Identifiers = column("tasks that must be finished first", refers_to="tasks.task", same="path")
    low: NonNegative = column("working days, low")
    likely: NonNegative = column("working days, likely")
    high: NonNegative = column("working days, high")
    range: Range = column("what low and high mean")
    per: Identifiers = column("drivers that add days", refers_to="drivers")
    extra_days: NonNegatives = column("working days added per unit of each of those drivers, in their order")
    calendar: Reference = column("calendar of its working days", refers_to="calendars.calendar")
    who: Text = column("who does it (a role or a firm's trade)")
    market: OptionalIdentifier = column("contractor or office whose tasks run late together")
    hands_over: OptionalText = column("document handed over at its finish")
    milestone: choices("decision", "leaves", "off_site", "arrived") = column(
        "decision: the committee commits money; leaves: the unit is off the site on the first day of this; off_site: it is "
        "when this is finished; arrived: it stands where the path ends when this is finished; with ; between them"
    )
    needs: OptionalReference = column(
        "driver that must be above zero for the task to take any days; blank: it always does",
        refers_to="drivers",
        default=None,
    )
    for_each: choice("state", "class_one_carrier", blank=True) = column(
        "done for each of them side by side, each with days of its own: the slowest counts; blank: done once", default=None
    )
    fund: OptionalReference = column(
        "fund that it waits for: not finished before the fund's earliest date, refused where the fund is not granted",
        refers_to="funds.fund",
        default=None,
    )
    waits_for_others: YesNo = column(
        "whether its days are somebody else's answer and no work: a permit, a letter, a vote, money", default=False
    )
    stage: OptionalReference = STAGE
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _days_for_each_driver(self) -> Any:
        if len(self.extra_days) != len(self.per) and (self.per or any(self.extra_days)):
            raise ValueError(f"extra_days: as many numbers, with ; between them, as per has drivers ({len(self.per)})")
        return self

    @property
    def added_days(self) -> tuple[tuple[str, float], ...]:
        """Pairs of a driver and the working days that one unit of it adds."""
        return tuple((driver, each) for driver, each in zip(self.per, self.extra_days, strict=False) if each)
