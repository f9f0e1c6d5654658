"""A closed season that lasts longer in some trials stretches the calendar, not the task."""

import dataclasses
import datetime as dt

import numpy as np
import pytest

from heritagemove.compare import comparison
from heritagemove.files.cells import MonthDay
from heritagemove.trials import simulation
from heritagemove.trials.needs import Work
from heritagemove.trials.schedule import Calendar, ScheduleOverrun
from heritagemove.trials.seasons import SeasonalCalendar, calendar_of

OPEN_FROM = 10  # closed on days 0 to 9, then every day is a working day


def _open(extra: int, days: int = 40) -> np.ndarray:
    return np.arange(days) >= OPEN_FROM + extra


@pytest.fixture
def season():
    return SeasonalCalendar.of("road", np.array([0, 3, 0, 7]), _open)


def test_work_waits_for_the_season_s_end_of_its_own_trial(season):
    finish = season.finish(np.zeros(4, dtype=int), np.full(4, 2))
    assert finish.tolist() == [12, 15, 12, 19]


def test_work_after_the_longest_season_is_the_same_in_every_trial(season):
    assert season.finish(np.full(4, 25), np.full(4, 3)).tolist() == [28] * 4


def test_no_work_finishes_where_it_starts(season):
    assert season.finish(np.array([1, 2, 3, 4]), np.zeros(4, dtype=int)).tolist() == [1, 2, 3, 4]


def test_it_agrees_with_the_plain_calendar_of_each_length(season):
    for trial, extra in enumerate((0, 3, 0, 7)):
        plain = Calendar.of("road", _open(extra))
        for start, days in ((0, 1), (5, 4), (12, 0), (17, 6), (20, 20)):
            starts, lengths = np.full(4, start), np.full(4, days)
            assert season.finish(starts, lengths)[trial] == plain.finish(np.array([start]), np.array([days]))[0]
            assert season.latest_start(starts, lengths)[trial] == plain.latest_start(np.array([start]), np.array([days]))[0]


@pytest.mark.parametrize(("finish", "days", "start"), [(-1, 2, -1), (-1, 0, -1), (40, 0, 40), (3, 20, -1)])
def test_what_nobody_can_finish_any_more_has_no_latest_start(season, finish, days, start):
    """-1 is no day: counted back from the end of the span it would look like plenty of time."""
    for calendar in (season, Calendar.of("road", _open(0))):
        assert calendar.latest_start(np.full(4, finish), np.full(4, days)).tolist() == [start] * 4


def test_work_beyond_the_span_is_an_error(season):
    with pytest.raises(ScheduleOverrun, match="road"):
        season.finish(np.full(4, 30), np.full(4, 12))
    with pytest.raises(ScheduleOverrun, match="begins after"):
        season.finish(np.full(4, 41), np.full(4, 1))


def on_the_road(museum, row, samples, overweight=1.0):
    """Return the calendar of an overweight load on the path of a risk that makes a season longer."""
    needs = Work({"overweight_loads": overweight, "over_height_loads": 0.0}, frozenset())
    return calendar_of(museum, row.path, row.stretches, needs, samples)


def test_the_demo_s_frost_law_runs_on_in_its_share_of_trials_and_holds_only_who_would_move_then(museum, samples):
    row = next(row for row in museum.risks if row.stretches)
    usual = simulation.day_number(museum, dt.date(2027, 5, 15))
    happens = samples.risks[row.path, row.risk].happens
    calendar, one_day = on_the_road(museum, row, samples), np.ones(samples.trials, int)
    first_morning = calendar.finish(np.full(samples.trials, usual), one_day)
    later = first_morning > first_morning.min()
    assert happens.mean() == pytest.approx(row.probability, abs=1 / samples.trials)
    assert (later <= happens).all()
    assert later.sum() > 0.9 * happens.sum()
    assert np.ptp(calendar.finish(np.full(samples.trials, usual + 60), one_day)) == 0
    assert not samples.risks[row.path, row.risk].delay_days.any()


def test_a_season_that_runs_on_does_so_in_every_year(museum, samples):
    row = next(row for row in museum.risks if row.stretches)
    calendar, one_day = on_the_road(museum, row, samples), np.ones(samples.trials, int)
    ends = [simulation.day_number(museum, dt.date(year, 5, 15)) for year in (2027, 2030)]
    this, later = (calendar.finish(np.full(samples.trials, end), one_day) > end + 3 for end in ends)
    longer = samples.risks[row.path, row.risk].longer_days
    assert this.any() and (this[longer > 5] & later[longer > 5]).all()


def test_a_season_that_does_not_close_for_a_load_makes_no_trial_different(museum, samples):
    row = next(row for row in museum.risks if row.stretches)
    assert isinstance(on_the_road(museum, row, samples, overweight=0.0), Calendar)


def test_without_that_risk_no_date_is_later(museum, samples):
    calm = museum.with_changes(
        risks=[row.model_copy(update={"probability": 0.0}) if row.stretches else row for row in museum.risks]
    )
    with_it = comparison.compare_paths(museum, "consolidation", None, samples).path("trailer").trials.off_site
    without = comparison.compare_paths(calm, "consolidation", None, simulation.draw(calm, previous=samples)).path("trailer")
    assert (without.trials.off_site <= with_it).all()
    assert (without.trials.off_site < with_it).any()


def test_one_long_winter_is_one_for_every_path(museum, samples):
    rows = [row for row in museum.risks if row.stretches]
    assert {row.path for row in rows} == {"trailer", "transporter", "roll_on"}
    first, *others = (on_the_road(museum, row, samples) for row in rows)
    assert all(np.array_equal(first.variant, other.variant) for other in others)


def test_rows_that_stretch_nothing_that_is_tabled_are_refused(museum):
    from heritagemove.museum.rules import cross_table_problems

    risk = next(row for row in museum.risks if row.stretches)
    changes = {"closed_from": MonthDay(4, 1), "stretches": "canal", "needs": None}
    for column, value in changes.items():
        change = {column: value}
        wrong = dataclasses.replace(
            museum, risks=tuple(row.model_copy(update=change) if row is risk else row for row in museum.risks)
        )
        problems = cross_table_problems(wrong)
        assert [(problem.file, problem.column) for problem in problems] == [("risks.csv", column)]
