import datetime as dt
from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import (
    Identifier,
    MonthDay,
    OptionalDateOrMonthDay,
    OptionalDays,
    OptionalMonth,
    OptionalReference,
    OptionalText,
    Text,
    choice,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_WEEKS = ("1", "2", "3", "4", "5", "last")

#: What each rule takes beside the drivers it needs; any other cell of its row is blank, for nothing would read it.
_TAKES = {
    "weekdays": ("weekdays",),
    "meetings": ("weekdays", "weeks"),
    "closed": ("first", "last"),
    "holiday": ("first", "on_weekend", "month", "weekdays", "weeks", "days_after"),
    "easter": ("days_after",),
    "us_federal_holidays": (),
    "includes": ("includes",),
}


class CalendarRule(Row, read_by="gates, costs and dates"):
    """One rule of a calendar."""

    calendar: Identifier = column("id of the calendar")
    rule: choice(*_TAKES) = column(
        "weekdays: works on these; meetings: only on these weekdays of these weeks of a month; "
        "closed: not from first to last; holiday: not on one day of every year, which is first, or a weekday of a week "
        "of a month; easter: not on a day counted from Easter Sunday; us_federal_holidays: not on federal holidays; "
        "includes: every rule of another calendar"
    )
    weekdays: OptionalText = column("Mon to Sun with ; between them")
    weeks: OptionalText = column("weeks of the month, 1 to 5 or last, with ; between them")
    month: OptionalMonth = column("month of a holiday that falls on a weekday", default=None)
    first: OptionalDateOrMonthDay = column("first closed day: a date, or a day of every year")
    last: OptionalDateOrMonthDay = column("last closed day; of every year, where it comes before first, of the next one")
    days_after: OptionalDays = column("days from that weekday, or from Easter Sunday, to the holiday", default=None)
    on_weekend: choice("nearest", "monday", blank=True) = column(
        "where a holiday on a weekend is kept: nearest: on the Friday before or the Monday after; monday: on the Monday "
        "after; blank: on its own day",
        default=None,
    )
    includes: OptionalReference = column("calendar whose rules it includes", refers_to="calendars.calendar", default=None)
    needs: OptionalReference = column(
        "driver that must be above zero for the rule to apply; one that is unknown counts as above zero",
        refers_to="drivers",
        default=None,
    )
    reason: Text = column("why")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _complete(self) -> Any:
        for name in ("weekdays", "weeks", "month", "first", "last", "days_after", "on_weekend", "includes"):
            if getattr(self, name) is not None and name not in _TAKES[self.rule]:
                raise ValueError(f"{name}: blank, since the rule {self.rule} does not read it")
        if self.rule == "includes" and self.includes is None:
            raise ValueError("includes: the calendar whose rules it includes")
        if self.rule == "closed":
            self._closure()
        if self.rule in ("weekdays", "meetings"):
            self._words("weekdays", WEEKDAYS)
        if self.rule == "meetings":
            self._words("weeks", _WEEKS)
        if self.rule == "holiday":
            self._holiday()
        return self

    def _closure(self) -> None:
        if self.first is None or self.last is None:
            raise ValueError("first: the first and the last closed day")
        if isinstance(self.first, dt.date) != isinstance(self.last, dt.date):
            raise ValueError("last: a date where first is one, or a day of every year where first is one")
        if isinstance(self.first, dt.date) and self.first > self.last:
            raise ValueError("last: a date not before the first closed day")

    def _holiday(self) -> None:
        if self.first is None:
            if self.month is None:
                raise ValueError("month: the month of the weekday, 1 to 12, or the day of every year in first")
            self._words("weekdays", WEEKDAYS, most=1)
            self._words("weeks", _WEEKS, most=1)
            if self.on_weekend is not None:
                raise ValueError("on_weekend: blank, since the holiday falls on a weekday")
            return
        if not isinstance(self.first, MonthDay):
            raise ValueError("first: a day of every year as 10-15; a holiday of one year is a rule closed")
        for name in ("month", "weekdays", "weeks", "days_after"):
            if getattr(self, name) is not None:
                raise ValueError(f"{name}: blank, since first says the day")

    def _words(self, name: str, allowed: tuple[str, ...], most: int = 7) -> None:
        found = [part.strip() for part in (getattr(self, name) or "").split(";")]
        if not set(found) <= set(allowed) or len(found) > most:
            words = ", ".join(allowed)
            raise ValueError(f"{name}: one of {words}" if most == 1 else f"{name}: {words} with ; between them")
