"""Working days: which days of a span are open on a calendar, from its rules."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Iterable
from typing import Any

import numpy as np

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

#: Days looked ahead from the start. A task that runs past them is an error, never clipped.
HORIZON_DAYS = 6 * 366


def open_days(rules: Iterable[Any], first: dt.date, days: int = HORIZON_DAYS) -> np.ndarray:
    """Return which days are working days.

    Parameters
    ----------
    rules : iterable of calendar rules
        Rows of calendars.csv of one calendar, in any order.
    first : datetime.date
        First day of the span.
    days : int
        Length of the span [day].

    Returns
    -------
    ndarray of bool, shape (days,)

    Examples
    --------
    >>> from types import SimpleNamespace as Rule
    >>> week = Rule(rule="weekdays", weekdays="Mon;Tue;Wed;Thu;Fri", weeks=None, first=None, last=None)
    >>> open_days([week], dt.date(2027, 3, 1), 7).tolist()
    [True, True, True, True, True, False, False]
    """
    dates = np.datetime64(first) + np.arange(days)
    weekday = (dates.astype("int64") + 3) % 7  # day 0 of the epoch was a Thursday
    day_of_month = (dates - dates.astype("datetime64[M]")).astype("int64") + 1
    rules = list(rules)
    is_open = np.zeros(days, dtype=bool)
    for rule in rules:
        if rule.rule in ("weekdays", "meetings"):
            allowed = np.isin(weekday, [_WEEKDAYS.index(day.strip()) for day in rule.weekdays.split(";")])
            if rule.rule == "meetings":
                allowed &= np.isin((day_of_month - 1) // 7 + 1, [int(week) for week in rule.weeks.split(";")])
            is_open |= allowed
    for rule in rules:
        if rule.rule == "closed":
            is_open[(dates >= np.datetime64(rule.first)) & (dates <= np.datetime64(rule.last))] = False
        elif rule.rule == "us_federal_holidays":
            last = first + dt.timedelta(days=days)
            off = [day for year in range(first.year, last.year + 2) for day in federal_holidays(year)]
            is_open[np.isin(dates, np.array(off, dtype="datetime64[D]"))] = False
    return is_open


#: Legal public holidays of 5 U.S.C. 6103(a) with a date of their own, and the first year of each in this form.
_DATED = {(1, 1): 1885, (6, 19): 2021, (7, 4): 1885, (11, 11): 1978, (12, 25): 1885}
#: Those on a weekday (Monday is 0) of a month: the first, second, third, fourth, or the last one (0).
_WEEKDAYED = {(1, 0, 3): 1986, (2, 0, 3): 1971, (5, 0, 0): 1971, (9, 0, 1): 1894, (10, 0, 2): 1971, (11, 3, 4): 1942}


def federal_holidays(year: int) -> list[dt.date]:
    """Return the days on which federal offices are closed for the holidays of a year.

    A holiday on a Saturday is kept on the Friday before, one on a Sunday on the Monday after (5 U.S.C. 6103(b),
    Executive Order 11582): New Year's Day may fall into the old year.

    Examples
    --------
    >>> [day.isoformat() for day in federal_holidays(2027)][-3:]
    ['2027-11-11', '2027-11-25', '2027-12-24']
    """
    found = []
    for (month, day), since in _DATED.items():
        if year >= since:
            date = dt.date(year, month, day)
            found.append(date + dt.timedelta(days={5: -1, 6: 1}.get(date.weekday(), 0)))
    for (month, weekday, nth), since in _WEEKDAYED.items():
        if year >= since:
            weeks = calendar.monthcalendar(year, month)
            found.append(dt.date(year, month, [week[weekday] for week in weeks if week[weekday]][nth - 1]))
    return sorted(found)
