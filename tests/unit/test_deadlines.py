"""The chance by a moved deadline, and its table and screen."""

import datetime as dt
import math

import numpy as np
import pytest

from heritagemove import charts
from heritagemove.answers.deadlines import chance_by, chances_by, each_unit
from heritagemove.panels import money_and_risk
from tests.desks import desk_of


def test_the_chance_by_the_museums_own_deadline_is_that_of_the_comparison(museum, switcher):
    found = chance_by(switcher, museum.scenario.deadline)
    for result in switcher.paths:
        wanted = 0.0 if result.status == "blocked" else result.chance_by_deadline
        assert found[result.path] == wanted, result.path
    assert chance_by(switcher, museum.scenario.start - dt.timedelta(days=9))["trailer"] == 0


def test_a_later_date_never_lowers_a_chance_and_refusals_never_raise_it(museum, switcher):
    dates = [museum.scenario.start + dt.timedelta(days=days) for days in range(60, 260, 20)]
    for path in ("own_wheels", "trailer", "flat_car"):
        chances = [chance_by(switcher, date)[path] for date in dates]
        assert (np.diff(chances) >= 0).all() and chances[-1] > chances[0]
        assert chance_by(switcher, dates[-1], with_fallback=True)[path] <= chances[-1] + 1e-9


@pytest.fixture(scope="module")
def every(switcher):
    return each_unit(switcher)


def test_the_table_has_a_row_for_each_unit_and_marks_what_is_no_number(museum, every):
    table = chances_by(every, museum.scenario.deadline)
    assert list(table.index) == [row.vehicle for row in museum.vehicles] and table.shape[1] == len(museum.paths)
    assert math.isnan(table.loc["coach", "decline"]) and table.loc["caboose", "transporter"] == 0
    chart = charts.deadline_table(every, museum.scenario.deadline)
    words = [text.get_text() for text in chart.figure.axes[0].texts]
    assert words.count("S") == 6 and words.count("B") == sum(r.status == "blocked" for e in every for r in e.paths)


def test_choosing_a_date_draws_the_table_again_and_an_empty_date_is_answered(museum, switcher, every, monkeypatch):
    monkeypatch.setattr(money_and_risk, "each_unit", lambda comparison: every)
    screen = money_and_risk.show_deadlines(desk_of(switcher))
    before = screen.picture.value
    screen.date.value = museum.scenario.start + dt.timedelta(days=120)
    assert screen.picture.value != before and screen.alert.value == ""
    screen.date.value = None
    assert "found no date" in screen.alert.value
