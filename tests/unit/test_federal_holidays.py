"""Federal holidays by the law's own rule, against a library that others keep."""

import datetime as dt

from pandas.tseries.holiday import USFederalHolidayCalendar

from heritagemove.museum.calendars import federal_holidays


def test_the_holidays_of_eighty_years_are_those_of_the_library():
    ours = {day for year in range(2021, 2102) for day in federal_holidays(year)}
    theirs = {day.date() for day in USFederalHolidayCalendar().holidays("2021-01-02", "2100-12-30")}
    assert {day for day in ours if dt.date(2021, 1, 2) <= day <= dt.date(2100, 12, 30)} == theirs


def test_new_years_day_on_a_saturday_is_kept_in_the_old_year():
    assert dt.date(2027, 12, 31) in federal_holidays(2028)
