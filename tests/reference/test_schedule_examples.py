"""Critical-path examples with published answers, and independent implementations to agree with."""

import datetime as dt
from types import SimpleNamespace as Rule

import networkx
import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pandas.tseries.holiday import USFederalHolidayCalendar
from pandas.tseries.offsets import CustomBusinessDay

from heritagemove.museum.calendars import open_days
from heritagemove.trials.schedule import Calendar, critical_share, forward, latest_finishes

EVERY_DAY = Calendar.of("every_day", np.ones(400, dtype=bool))

# B. W. Taylor, Introduction to Management Science, chapter 8, problems 5 and 6: activities between
# events, duration, then ES, EF, LS, LF as published.
PROBLEM_5 = {
    "1-2": (7, 0, 7, 2, 9), "1-3": (10, 0, 10, 0, 10), "2-4": (6, 7, 13, 9, 15), "3-4": (5, 10, 15, 10, 15),
    "3-5": (4, 10, 14, 14, 18), "4-5": (3, 15, 18, 15, 18), "5-6": (2, 18, 20, 18, 20),
}  # fmt: skip
PROBLEM_6 = {
    "1-2": (8, 0, 8, 1, 9), "1-3": (10, 0, 10, 0, 10), "1-4": (9, 0, 9, 6, 15), "2-5": (6, 8, 14, 9, 15),
    "2-6": (4, 8, 12, 16, 20), "3-5": (5, 10, 15, 10, 15), "4-5": (0, 9, 9, 15, 15), "4-7": (7, 9, 16, 20, 27),
    "5-7": (12, 15, 27, 15, 27), "5-8": (15, 15, 30, 16, 31), "6-9": (18, 12, 30, 20, 38),
    "7-8": (4, 27, 31, 27, 31), "8-9": (7, 31, 38, 31, 38),
}  # fmt: skip


def network(problem):
    after = {arc: [other for other in problem if other.split("-")[1] == arc.split("-")[0]] for arc in problem}
    days = {arc: np.array([row[0]]) for arc, row in problem.items()}
    return after, days, dict.fromkeys(problem, EVERY_DAY)


@pytest.mark.parametrize(("problem", "finish"), [(PROBLEM_5, 20), (PROBLEM_6, 38)], ids=["problem_5", "problem_6"])
def test_a_textbook_network_gives_its_published_early_and_late_dates(problem, finish):
    after, days, calendars = network(problem)
    dates = forward(after, days, calendars)
    assert max(int(end[0]) for end in dates.finish.values()) == finish
    latest = latest_finishes(after, days, calendars, finish)
    for arc, (duration, early_start, early_finish, late_start, late_finish) in problem.items():
        assert (int(dates.ready[arc][0]), int(dates.finish[arc][0])) == (early_start, early_finish), arc
        assert (int(latest[arc][0]) - duration, int(latest[arc][0])) == (late_start, late_finish), arc


def test_the_critical_activities_of_problem_5_are_the_published_ones():
    after, days, calendars = network(PROBLEM_5)
    shares = critical_share(after, forward(after, days, calendars), "5-6")
    assert {arc for arc, share in shares.items() if share == 1} == {"1-3", "3-4", "4-5", "5-6"}


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_the_forward_pass_equals_the_longest_path_of_networkx(data):
    count = data.draw(st.integers(2, 12))
    days = [data.draw(st.integers(0, 20)) for _ in range(count)]
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(count))
    for after in range(1, count):
        for before in range(after):
            if data.draw(st.booleans()):
                graph.add_edge(before, after)
    weighted = networkx.DiGraph()
    for node in graph:
        weighted.add_edge(("start", node), ("end", node), weight=days[node])
        for before in graph.predecessors(node):
            weighted.add_edge(("end", before), ("start", node), weight=0)
    longest = networkx.dag_longest_path_length(weighted)
    names = {str(node): [str(p) for p in graph.predecessors(node)] for node in graph}
    dates = forward(names, {str(n): np.array([days[n]]) for n in graph}, dict.fromkeys(names, EVERY_DAY))
    assert max(int(end[0]) for end in dates.finish.values()) == longest


def weekdays(*closed):
    week = Rule(rule="weekdays", weekdays="Mon;Tue;Wed;Thu;Fri", weeks=None, first=None, last=None)
    return [week, *(Rule(rule="closed", weekdays=None, weeks=None, first=day, last=day) for day in closed)]


@settings(max_examples=100, deadline=None)
@given(
    st.dates(dt.date(2023, 12, 20), dt.date(2028, 3, 5)),
    st.integers(0, 200),
    st.integers(0, 60),
    st.lists(st.dates(dt.date(2023, 12, 20), dt.date(2029, 3, 5)), max_size=8),
)
def test_working_days_equal_numpy_s(first, offset, count, closed):
    calendar = Calendar.of("office", open_days(weekdays(*closed), first, 1200))
    finish = int(calendar.finish(np.array([offset]), np.array([count]))[0])
    start = np.datetime64(first) + offset
    if count == 0:
        assert finish == offset
        return
    last = np.busday_offset(start, count - 1, roll="forward", holidays=[np.datetime64(day) for day in closed])
    assert np.datetime64(first) + finish - 1 == last


def test_working_days_over_federal_holidays_equal_pandas():
    first = dt.date(2027, 3, 1)
    holidays = Rule(rule="us_federal_holidays", weekdays=None, weeks=None, first=None, last=None)
    calendar = Calendar.of("state_office", open_days([*weekdays(), holidays], first, 900))
    day = CustomBusinessDay(calendar=USFederalHolidayCalendar())
    for count in (1, 10, 66, 150, 260, 400):
        finish = int(calendar.finish(np.array([0]), np.array([count]))[0])
        assert pd.Timestamp(first) + pd.Timedelta(days=finish - 1) == pd.Timestamp(first) + (count - 1) * day


def test_the_worked_calendar_of_spring_2026_is_met():
    """2026-03-30 + 10 working days with 3 and 6 April closed is 2026-04-15 (computed independently)."""
    first = dt.date(2026, 3, 30)
    calendar = Calendar.of("office", open_days(weekdays(dt.date(2026, 4, 3), dt.date(2026, 4, 6)), first, 60))
    finish = int(calendar.finish(np.array([0]), np.array([10]))[0])
    assert first + dt.timedelta(days=finish - 1) == dt.date(2026, 4, 14)
    assert int(calendar.before[(dt.date(2026, 5, 1) - first).days]) == 22
