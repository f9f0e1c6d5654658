"""Laws of running: farther never helps, more brakes never hurt, SI gives the same answer."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.checks.running import running, transit
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
MILE, MPH, HOUR, DAY, PERCENT = (Quantity(1, unit) for unit in ("mile", "mph", "hour", "day", "percent"))
LEGS = st.lists(st.tuples(st.floats(0.1, 300), st.floats(3, 60)), min_size=1, max_size=6)
RANK = {"pass": 0, "marginal": 1, "open": 2, "fail": 3}


def days(miles, mph, hours, dwell=0.0):
    return transit.transit_days(Quantity(miles, "mile"), Quantity(mph, "mph"), hours * HOUR, dwell * DAY).m_as("day")


@LAW
@given(LEGS, st.floats(2, 12), st.floats(0, 5), st.floats(1, 2))
def test_farther_slower_or_shorter_hours_never_takes_fewer_days(legs, hours, dwell, factor):
    miles, mph = np.array(legs).T
    base = days(miles, mph, hours, dwell)
    assert base == int(base) >= 1
    assert base <= min(days(miles * factor, mph, hours, dwell), days(miles, mph / factor, hours, dwell))
    assert base <= min(days(miles, mph, hours / factor, dwell), days(miles, mph, hours, dwell + 1) - 1)


@LAW
@given(LEGS, st.floats(2, 12))
def test_the_order_of_legs_and_the_unit_of_length_change_nothing(legs, hours):
    miles, mph = np.array(legs).T
    metric = transit.transit_days(
        Quantity(miles[::-1], "mile").to("km"), Quantity(mph[::-1], "mph").to("km/h"), hours * HOUR, 0 * DAY
    )
    assert metric.m_as("day") == days(miles, mph, hours)


@LAW
@given(st.floats(0, 5000), st.floats(0, 5000), st.floats(1000, 3e5))
def test_two_stretches_without_a_hot_box_multiply(first, second, between):
    def none(miles):
        chance = transit.hot_box_chance(miles * MILE, between * MILE).m_as("")
        assert 0 <= chance < 1
        return 1 - chance

    assert none(first + second) == pytest.approx(none(first) * none(second))
    assert none(first + second) <= none(first) + 1e-12


@LAW
@given(st.floats(0, 100), st.floats(0, 50), st.floats(1, 60))
def test_a_longer_move_loses_the_transfer_margin_mile_for_mile(distance, more, limit):
    near = running.transfer_test(distance * MILE, limit * MILE)
    far = running.transfer_test(((distance + more) * MILE).to("km"), (limit * MILE).to("km"))
    assert (near.margin - far.margin).m_as("mile") == pytest.approx(more, abs=1e-9)
    assert RANK[near.status] <= RANK[far.status] or more < 1e-9


@LAW
@given(st.integers(1850, 2020), st.integers(0, 100), st.integers(1, 100))
def test_a_car_never_gets_younger_and_age_never_stops_it(built, age, limit):
    now, later = (running.over_age(built, built + years, limit) for years in (age, age + 1))
    assert (now.margin - later.margin).m_as("year") == pytest.approx(1)
    assert RANK[now.status] <= RANK[later.status] <= RANK["open"]
