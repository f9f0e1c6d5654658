"""Whatever the rules, the open days are those that a plain reading of them gives, asked day by day."""

import datetime as dt

import plain_calendar
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.museum.calendars import open_days, rules_of
from heritagemove.museum.rows.calendars import CalendarRule

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
days_of_a_year = st.dates(dt.date(2028, 1, 1), dt.date(2028, 12, 31)).map(lambda day: f"{day:%m-%d}")
dates = st.dates(dt.date(2026, 1, 1), dt.date(2034, 12, 31))
weeks = st.sampled_from(("1", "2", "3", "4", "5", "last"))
shifts = st.integers(-60, 60).map(str)


def listed(one):
    return st.lists(one, min_size=1, max_size=3, unique=True).map(";".join)


def rule(kind, **cells):
    return st.fixed_dictionaries(cells).map(lambda given: {"rule": kind, **given})


openings = st.one_of(
    rule("weekdays", weekdays=listed(st.sampled_from(WEEKDAYS))),
    rule("meetings", weekdays=listed(st.sampled_from(WEEKDAYS)), weeks=listed(weeks)),
)
closings = st.one_of(
    rule("closed", first=days_of_a_year, last=days_of_a_year),
    st.tuples(dates, dates).map(lambda two: {"rule": "closed", "first": str(min(two)), "last": str(max(two))}),
    rule("holiday", first=days_of_a_year, on_weekend=st.sampled_from(("", "nearest", "monday"))),
    rule("holiday", month=st.integers(1, 12).map(str), weekdays=st.sampled_from(WEEKDAYS), weeks=weeks, days_after=shifts),
    rule("easter", days_after=shifts),
    rule("us_federal_holidays"),
)


def typed(calendar, **cells):
    """Return a row of calendars.csv as it is read."""
    blank = dict.fromkeys(CalendarRule.model_fields, "")
    said = {"calendar": calendar, "reason": "a test", "basis": "judgment", "source": "a test"}
    return CalendarRule.model_validate(blank | said | cells)


@settings(max_examples=150, deadline=None)
@given(openings, st.lists(closings, max_size=4), st.dates(dt.date(2021, 3, 1), dt.date(2090, 1, 1)))
def test_open_days_are_those_of_a_plain_reading_day_by_day(opening, closed, start):
    rows = [typed("crew", **opening), typed("crew", rule="includes", includes="closures")]
    rows += [typed("closures", **cells) for cells in closed]
    found = open_days([each.rule for each in rules_of(rows, "crew")], start, 800)
    days = [start + dt.timedelta(days=number) for number in range(800)]
    assert found.tolist() == [plain_calendar.works(rows, "crew", day) for day in days]
