"""Working days: which days of a span are open on a calendar, from its rules and those of the calendars it includes."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.museum.rows.calendars import WEEKDAYS

#: Days looked ahead from the start. A task that runs past them is an error, never clipped.
HORIZON_DAYS = 12 * 366


@dataclass(frozen=True)
class ConditionalRule:
    """A rule of a calendar, its own or of one that it includes."""

    rule: Any
    needs: tuple[str, ...]  # drivers that must all be above zero for it to apply


def rules_of(rows: Iterable[Any], name: str, needs: tuple[str, ...] = ()) -> tuple[ConditionalRule, ...]:
    """Return the rules of a calendar and of the calendars that it includes.

    Parameters
    ----------
    rows : iterable of calendar rules
        Rows of calendars.csv, in which no calendar includes itself.
    name : str
        Id of the calendar.
    needs : tuple of str
        Drivers that every rule found needs beside its own.
    """
    found: list[ConditionalRule] = []
    for row in rows:
        if row.calendar == name:
            wanted = needs if row.needs in (None, *needs) else (*needs, row.needs)
            found += rules_of(rows, row.includes, wanted) if row.rule == "includes" else [ConditionalRule(row, wanted)]
    return tuple(found)


def open_days(rules: Iterable[Any], first: dt.date, days: int = HORIZON_DAYS) -> np.ndarray:
    """Return which days are working days.

    Parameters
    ----------
    rules : iterable of calendar rules
        Rows of calendars.csv, in any order; those that include a calendar are followed by :func:`rules_of`.
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
    >>> week = Rule(rule="weekdays", weekdays="Mon;Tue;Wed;Thu;Fri")
    >>> open_days([week], dt.date(2027, 3, 1), 7).tolist()
    [True, True, True, True, True, False, False]
    """
    rules = tuple(rules)
    return open_by(rules, [marked_days(rule, first, days) for rule in rules])


def open_by(rules: Iterable[Any], marked: Iterable[np.ndarray]) -> np.ndarray:
    """Return which days are working days, from the days that :func:`marked_days` gives for each rule."""
    opened: np.ndarray | bool = False
    closed: np.ndarray | bool = False
    for rule, days in zip(rules, marked, strict=True):
        if opens(rule):
            opened = opened | days
        else:
            closed = closed | days
    return opened & ~np.asarray(closed)


def opens(rule: Any) -> bool:
    """Return whether a rule says when work is done; else it says when none is."""
    return rule.rule in ("weekdays", "meetings")


def marked_days(rule: Any, first: dt.date, days: int = HORIZON_DAYS, longer: int = 0) -> np.ndarray:
    """Return the days that a rule opens or closes.

    Parameters
    ----------
    longer : int
        How many days a closure lasts beyond its last day, in every year [day].

    Returns
    -------
    ndarray of bool, shape (days,)
    """
    if opens(rule):
        return _opened(rule, first, days)
    marked = np.zeros(days, dtype=bool)
    for begins, ends in closures(rule, first - dt.timedelta(days=longer), first + dt.timedelta(days=days - 1)):
        marked[max((begins - first).days, 0) : (ends - first).days + longer + 1] = True
    return marked


def _opened(rule: Any, first: dt.date, days: int) -> np.ndarray:
    dates = np.datetime64(first) + np.arange(days)
    weekday = (dates.astype("int64") + 3) % 7  # day 0 of the epoch was a Thursday
    opened = np.isin(weekday, [WEEKDAYS.index(day.strip()) for day in rule.weekdays.split(";")])
    if rule.rule == "meetings":
        month = dates.astype("datetime64[M]")
        day = (dates - month).astype("int64")
        left = ((month + 1).astype("datetime64[D]") - dates).astype("int64")
        weeks = [week.strip() for week in rule.weeks.split(";")]
        opened &= np.isin(day // 7 + 1, [int(week) for week in weeks if week != "last"]) | ((left <= 7) & ("last" in weeks))
    return opened


def closures(rule: Any, first: dt.date, last: dt.date) -> list[tuple[dt.date, dt.date]]:
    """Return the closures of a rule that touch a span of days, in order; none of a rule that says when work is done."""
    if opens(rule):
        return []
    if rule.rule == "closed" and isinstance(rule.first, dt.date):
        found = [(rule.first, rule.last)]
    else:
        found = sorted(span for year in range(first.year - 1, last.year + 2) for span in _of_year(rule, year))
    return [span for span in found if span[0] <= last and span[1] >= first]


def undated_years(rules: Iterable[Any], first: dt.date, last: dt.date) -> dict[str, tuple[int, ...]]:
    """Return, by calendar, the years of a span in which it closes on no date, where it does in other years.

    What closed in one year alone is perhaps closed in the next one too, and nobody has entered it.
    """
    dated: dict[str, set[int]] = {}
    for rule in rules:
        if rule.rule == "closed" and isinstance(rule.first, dt.date):
            dated.setdefault(rule.calendar, set()).update(range(rule.first.year, rule.last.year + 1))
    years = range(first.year, last.year + 1)
    missing = {name: tuple(year for year in years if year not in known) for name, known in dated.items()}
    return {name: found for name, found in missing.items() if found}


def _of_year(rule: Any, year: int) -> list[tuple[dt.date, dt.date]]:
    """Return what a rule that holds every year closes in one of them."""
    if rule.rule == "closed":
        span = rule.first.begins(year), rule.last.ends(year + (rule.last < rule.first))
        return [span] if span[0] <= span[1] else []  # a leap day alone, in a year without one
    if rule.rule == "us_federal_holidays":
        days = federal_holidays(year)
    elif rule.rule == "easter":
        days = [easter(year) + dt.timedelta(days=rule.days_after or 0)]
    elif rule.first is not None:
        day = rule.first.begins(year)
        days = [_kept(day, rule.on_weekend)] if day == rule.first.ends(year) else []
    else:
        day = _nth(year, rule.month, WEEKDAYS.index(rule.weekdays.strip()), rule.weeks.strip())
        days = [] if day is None else [day + dt.timedelta(days=rule.days_after or 0)]
    return [(day, day) for day in days]


def _kept(day: dt.date, on_weekend: str | None) -> dt.date:
    """Return the day on which a holiday is kept."""
    moved = {"nearest": {5: -1, 6: 1}, "monday": {5: 2, 6: 1}}.get(on_weekend or "", {})
    return day + dt.timedelta(days=moved.get(day.weekday(), 0))


def _nth(year: int, month: int, weekday: int, week: str) -> dt.date | None:
    """Return the nth or the last of a weekday (Monday is 0) in a month; None where there is no fifth."""
    days = [days[weekday] for days in calendar.monthcalendar(year, month) if days[weekday]]
    number = len(days) if week == "last" else int(week)
    return dt.date(year, month, days[number - 1]) if number <= len(days) else None


def easter(year: int) -> dt.date:
    """Return Easter Sunday of the Gregorian calendar.

    References
    ----------
    The anonymous algorithm of 1876, in J. Meeus, Astronomical Algorithms, chapter 8; from memory.

    Examples
    --------
    >>> easter(2027).isoformat()
    '2027-03-28'
    """
    golden, (century, of_century) = year % 19, divmod(year, 100)
    leaps, rest = divmod(century, 4)
    moon = (century - (century + 8) // 25 + 1) // 3
    epact = (19 * golden + century - leaps - moon + 15) % 30
    weekday = (32 + 2 * rest + 2 * (of_century // 4) - epact - of_century % 4) % 7
    late = (golden + 11 * epact + 22 * weekday) // 451
    month, day = divmod(epact + weekday - 7 * late + 114, 31)
    return dt.date(year, month, day + 1)


#: Legal public holidays of 5 U.S.C. 6103(a) with a date of their own, and the first year of each in this form.
_DATED = {(1, 1): 1885, (6, 19): 2021, (7, 4): 1885, (11, 11): 1978, (12, 25): 1885}
#: Those on a weekday (Monday is 0) of a month.
_WEEKDAYED = {
    (1, 0, "3"): 1986, (2, 0, "3"): 1971, (5, 0, "last"): 1971, (9, 0, "1"): 1894, (10, 0, "2"): 1971, (11, 3, "4"): 1942,
}  # fmt: skip


def federal_holidays(year: int) -> list[dt.date]:
    """Return the days on which federal offices are closed for the holidays of a year.

    A holiday on a Saturday is kept on the Friday before, one on a Sunday on the Monday after (5 U.S.C. 6103(b),
    Executive Order 11582): New Year's Day may fall into the old year.

    Examples
    --------
    >>> [day.isoformat() for day in federal_holidays(2027)][-3:]
    ['2027-11-11', '2027-11-25', '2027-12-24']
    """
    dated = [_kept(dt.date(year, *day), "nearest") for day, since in _DATED.items() if year >= since]
    return sorted(dated + [_nth(year, *place) for place, since in _WEEKDAYED.items() if year >= since])
