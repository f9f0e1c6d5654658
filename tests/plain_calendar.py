"""The rules of calendars.csv once more, asked day by day, with the holidays of pandas and the weekdays of dateutil."""

import datetime as dt

import pandas as pd
from dateutil import easter, relativedelta
from pandas.tseries.holiday import USFederalHolidayCalendar, nearest_workday, weekend_to_monday

FEDERAL = {day.date() for day in USFederalHolidayCalendar().holidays("2021-01-02", "2105-12-30")}
KEPT = {None: lambda day: day, "nearest": nearest_workday, "monday": weekend_to_monday}


def works(rows, name, day, above_zero=()):
    """Return whether a calendar works on a day, for one of whom these drivers are above zero."""
    rules = list(applying(rows, name, above_zero))
    return any(opens(rule, day) for rule in rules) and not any(closes(rule, day) for rule in rules)


def applying(rows, name, above_zero):
    for row in rows:
        if row.calendar == name and (row.needs is None or row.needs in above_zero):
            yield from applying(rows, row.includes, above_zero) if row.rule == "includes" else [row]


def opens(rule, day):
    if rule.rule not in ("weekdays", "meetings") or day.strftime("%a") not in rule.weekdays.split(";"):
        return False
    alike = [other for other in pd.date_range(day.replace(day=1), day) if other.weekday() == day.weekday()]
    last = (day + dt.timedelta(days=7)).month != day.month
    return rule.rule == "weekdays" or bool({str(len(alike)), "last" * last} & {*rule.weeks.split(";")})


def closes(rule, day):
    years = range(day.year - 1, day.year + 2)
    if rule.rule == "closed" and isinstance(rule.first, dt.date):
        return rule.first <= day <= rule.last
    if rule.rule == "closed":
        first, last, this = str(rule.first), str(rule.last), f"{day:%m-%d}"
        return first <= this <= last if first <= last else this >= first or this <= last
    if rule.rule == "us_federal_holidays":
        return day in FEDERAL
    if rule.rule == "easter":
        return any(easter.easter(year) + dt.timedelta(days=rule.days_after or 0) == day for year in years)
    if rule.rule == "holiday" and rule.first is not None:
        near = pd.date_range(day - dt.timedelta(days=3), day + dt.timedelta(days=3))
        return any(f"{other:%m-%d}" == str(rule.first) and KEPT[rule.on_weekend](other).date() == day for other in near)
    return rule.rule == "holiday" and any(of_weekday(rule, year) == day for year in years)


def of_weekday(rule, year):
    weekday = getattr(relativedelta, rule.weekdays[:2].upper())
    month = dt.date(year, rule.month, 1)
    if rule.weeks == "last":
        found = month + relativedelta.relativedelta(day=31, weekday=weekday(-1))
    else:
        found = month + relativedelta.relativedelta(weekday=weekday(+int(rule.weeks)))
    return found + dt.timedelta(days=rule.days_after or 0) if found.month == rule.month else None
