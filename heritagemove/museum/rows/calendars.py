from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import Identifier, OptionalDate, OptionalText, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis


class CalendarRule(Row, read_by="gates, costs and dates"):
    """One rule of a calendar."""

    calendar: Identifier = column("id of the calendar")
    rule: choice("weekdays", "meetings", "closed", "us_federal_holidays") = column(
        "weekdays: works on these; meetings: only on these weekdays of these weeks of a month; "
        "closed: not from first to last; us_federal_holidays: not on federal holidays"
    )
    weekdays: OptionalText = column("Mon to Sun with ; between them")
    weeks: OptionalText = column("weeks of the month, 1 to 5, with ; between them")
    first: OptionalDate = column("first closed day")
    last: OptionalDate = column("last closed day")
    reason: Text = column("why")
    basis: Basis = BASIS
    source: Text = SOURCE

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
