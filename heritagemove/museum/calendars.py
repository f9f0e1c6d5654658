"""Working days: which days of a span are open on a calendar, from its rules."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

import numpy as np
from pandas.tseries.holiday import USFederalHolidayCalendar

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
            holidays = USFederalHolidayCalendar().holidays(str(dates[0]), str(dates[-1]))
            is_open[np.isin(dates, holidays.values.astype("datetime64[D]"))] = False
    return is_open
