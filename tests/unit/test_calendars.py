"""Calendars recur by rule in any year, and what they forbid depends on what moves."""

import dataclasses
import datetime as dt

import numpy as np
import plain_calendar
import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import price_path
from heritagemove.editing.starter import starter_museum
from heritagemove.files.cells import MonthDay
from heritagemove.files.tables import read_lines
from heritagemove.museum.calendars import closures, easter, open_days, rules_of
from heritagemove.museum.museum import load_museum, shipped
from heritagemove.museum.rows.calendars import CalendarRule
from heritagemove.museum.rules import cross_table_problems
from heritagemove.museum.slips import slips
from heritagemove.trials.needs import Work
from heritagemove.trials.schedule import Calendar
from heritagemove.trials.seasons import SeasonalCalendar, calendar_of
from heritagemove.trials.simulation import date_of, draw
from heritagemove.units.units import Quantity


def rule(calendar="crew", **cells):
    rows, problems = read_lines("calendars.csv", [list(CalendarRule.model_fields), typed(calendar, cells)], CalendarRule)
    assert problems == []
    return rows[0]


def typed(calendar, cells):
    said = {"calendar": calendar, "reason": "a test", "basis": "judgment", "source": "a test"}
    return [(said | cells).get(name, "") for name in CalendarRule.model_fields]


def closed(first, last, *rules):
    return [span for each in rules for span in closures(each, dt.date.fromisoformat(first), dt.date.fromisoformat(last))]


def in_year(museum, year):
    scenario = museum.scenario
    dates = {name: getattr(scenario, name).replace(year=year) for name in ("start", "deadline", "forced_scrap")}
    return museum.with_changes(**dates)


def unit(museum, vehicle, **fields):
    rows = [row.model_copy(update=fields) if row.vehicle == vehicle else row for row in museum.vehicles]
    return museum.with_changes(vehicles=rows)


def done(museum, result, task):
    """Return the days on which a task was finished, as they were drawn."""
    return [date_of(museum, day - 1) for day in np.unique(result.trials.dates.finish[task])]


# --- rules that recur ---------------------------------------------------------------------------------------------


def test_a_closure_of_every_year_may_last_over_new_year():
    year_end = rule(rule="closed", first="12-24", last="01-01")
    assert closed("2028-01-01", "2029-12-31", year_end) == [
        (dt.date(2027, 12, 24), dt.date(2028, 1, 1)),
        (dt.date(2028, 12, 24), dt.date(2029, 1, 1)),
        (dt.date(2029, 12, 24), dt.date(2030, 1, 1)),
    ]


def test_a_leap_day_closes_only_where_there_is_one_and_a_closure_that_ends_on_it_ends_with_february():
    leap_day = rule(rule="closed", first="02-29", last="02-29")
    winter = rule(rule="closed", first="02-01", last="02-29")
    holiday = rule(rule="holiday", first="02-29")
    assert closed("2027-01-01", "2029-12-31", leap_day) == [(dt.date(2028, 2, 29), dt.date(2028, 2, 29))]
    assert closed("2027-01-01", "2029-12-31", holiday) == [(dt.date(2028, 2, 29), dt.date(2028, 2, 29))]
    assert [last.isoformat() for _, last in closed("2027-01-01", "2028-12-31", winter)] == ["2027-02-28", "2028-02-29"]


#: Days of two years, from printed calendars.
HOLIDAYS = [
    ({"month": "5", "weekdays": "Mon", "weeks": "last"}, ["2027-05-31", "2028-05-29"]),  # Memorial Day
    ({"first": "06-19", "on_weekend": "nearest"}, ["2027-06-18", "2028-06-19"]),  # a Saturday in 2027
    ({"first": "07-04", "on_weekend": "nearest"}, ["2027-07-05", "2028-07-04"]),  # a Sunday in 2027
    ({"month": "11", "weekdays": "Thu", "weeks": "4", "days_after": "1"}, ["2027-11-26", "2028-11-24"]),
    ({"first": "12-25", "on_weekend": "monday"}, ["2027-12-27", "2028-12-25"]),  # a Saturday in 2027
    ({"rule": "easter", "days_after": "1"}, ["2027-03-29", "2028-04-17"]),  # Easter Monday
    ({"rule": "easter", "days_after": "-2"}, ["2027-03-26", "2028-04-14"]),  # Good Friday
]


@pytest.mark.parametrize(("cells", "days"), HOLIDAYS)
def test_a_holiday_is_said_by_rule_for_any_year(cells, days):
    found = closed("2027-01-01", "2028-12-31", rule(**{"rule": "holiday"} | cells))
    assert [first.isoformat() for first, _ in found] == days == [last.isoformat() for _, last in found]


def test_new_years_day_may_be_kept_in_the_old_year():
    new_year = rule(rule="holiday", first="01-01", on_weekend="nearest")  # 1 January 2028 is a Saturday
    assert closed("2027-12-01", "2027-12-31", new_year) == [(dt.date(2027, 12, 31), dt.date(2027, 12, 31))]


def test_easter_is_that_of_another_library():
    from dateutil.easter import easter as theirs

    assert [easter(year) for year in range(1825, 2106)] == [theirs(year) for year in range(1825, 2106)]


WRONG = [
    ({"rule": "closed", "first": "1-Mar", "last": "05-15"}, "first", "a spreadsheet has made a date of it"),
    ({"rule": "closed", "first": "02-30", "last": "05-15"}, "first", "a day of every year as 10-15"),
    ({"rule": "closed", "first": "03-01"}, "first", "the first and the last closed day"),
    ({"rule": "closed", "first": "03-01", "last": "2027-05-15"}, "last", "a day of every year where first is one"),
    ({"rule": "holiday", "first": "2027-07-04"}, "first", "a holiday of one year is a rule closed"),
    ({"rule": "holiday", "weekdays": "Mon", "weeks": "1"}, "month", "the month of the weekday"),
    ({"rule": "holiday", "month": "9", "weekdays": "Mon;Tue", "weeks": "1"}, "weekdays", "one of Mon, Tue"),
    ({"rule": "holiday", "month": "9", "weekdays": "Mon", "weeks": "6"}, "weeks", "one of 1, 2, 3, 4, 5, last"),
    ({"rule": "holiday", "first": "07-04", "month": "7"}, "month", "blank, since first says the day"),
    ({"rule": "weekdays", "weekdays": "Mon", "first": "07-04"}, "first", "blank, since the rule weekdays does not read it"),
    ({"rule": "includes"}, "includes", "the calendar whose rules it includes"),
]


@pytest.mark.parametrize(("cells", "column", "allowed"), WRONG)
def test_a_rule_that_cannot_be_read_is_reported_at_its_cell(cells, column, allowed):
    _, problems = read_lines("calendars.csv", [list(CalendarRule.model_fields), typed("crew", cells)], CalendarRule)
    assert [problem.column for problem in problems] == [column] and allowed in problems[0].allowed


# --- calendars that include another ---------------------------------------------------------------------------------


def test_a_calendar_works_by_the_rules_of_the_one_it_includes_and_by_its_own():
    rows = [
        rule("office", rule="weekdays", weekdays="Mon;Tue;Wed;Thu;Fri"),
        rule("office", rule="holiday", first="07-05"),
        rule("shop", rule="includes", includes="office"),
        rule("shop", rule="closed", first="07-07", last="07-08"),
    ]
    week = [open_days([each.rule for each in rules_of(rows, name)], dt.date(2027, 7, 5), 5) for name in ("office", "shop")]
    assert [days.tolist() for days in week] == [[False, True, True, True, True], [False, True, False, False, True]]


def test_what_an_included_calendar_needs_counts_for_each_of_its_rules():
    rows = [
        rule("frost", rule="closed", first="03-01", last="05-15", needs="overweight_loads"),
        rule("road", rule="includes", includes="frost", needs="superloads"),
    ]
    assert [each.needs for each in rules_of(rows, "road")] == [("superloads", "overweight_loads")]


def test_a_calendar_that_includes_itself_is_refused(museum):
    loop = rule("office", rule="includes", includes="shop")
    (problem,) = cross_table_problems(dataclasses.replace(museum, calendars=(*museum.calendars, loop)))
    assert problem.file == "calendars.csv" and problem.column == "includes"
    assert problem.allowed == "no calendar that includes itself" and set(problem.found.split(" -> ")) == {"office", "shop"}


def test_a_list_of_holidays_need_never_open_unless_a_task_is_on_it(museum):
    assert not any(row.rule == "weekdays" for row in museum.calendars if row.calendar == "year_end")
    assert cross_table_problems(museum) == []
    tasks = tuple(row.model_copy(update={"calendar": "year_end"}) if i == 0 else row for i, row in enumerate(museum.tasks))
    (problem,) = cross_table_problems(dataclasses.replace(museum, tasks=tasks))
    assert (problem.file, problem.found) == ("calendars.csv", "year_end")


# --- what applies to the unit ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("year", [2027, 2029, 2032])
@pytest.mark.parametrize("above_zero", [(), ("overweight_loads",), ("overweight_loads", "over_height_loads")])
def test_the_demo_s_road_is_open_on_the_days_of_a_plain_reading(museum, year, above_zero):
    museum = in_year(museum, year)
    samples = draw(museum, trials=10)
    amounts = {"overweight_loads": 0.0, "over_height_loads": 0.0} | dict.fromkeys(above_zero, 1.0)
    works = calendar_of(museum, "no_path", "road", Work(amounts, frozenset()), samples)
    days = [museum.scenario.start + dt.timedelta(days=number) for number in range(700)]
    plain = [plain_calendar.works(museum.calendars, "road", day, above_zero) for day in days]
    assert np.diff(works.before)[:700].astype(bool).tolist() == plain


def test_a_start_in_2029_keeps_the_frost_law(museum):
    later = in_year(museum, 2029)
    result = price_path(later, "consolidation", "trailer", samples=draw(later, trials=300))
    assert result.work.amounts["overweight_loads"] == 2.0, "the engine and the tender, each on its own trailer"
    assert min(done(later, result, "lift_and_load")) > dt.date(2029, 5, 15)
    (season,) = [finding for finding in result.findings if finding.gate.check == "season"]
    assert "1 Mar 2029 to 15 May 2029" in season.found


@pytest.mark.parametrize("vehicle", ["caboose", "boxcar"])
def test_an_overweight_load_on_the_rail_deck_trailer_waits_for_the_end_of_the_frost_law(museum, samples, vehicle):
    """46,000 or 47,000 lb on a trailer of 52,000 lb: 98,000 and 99,000 lb, and 80,000 lb are legal."""
    result = price_path(museum, vehicle, "roll_on", samples=samples)
    (trailer,) = [row for row in museum.trailers if row.trailer in result.work.equipment]
    assert museum.vehicle(vehicle).weight + trailer.tare > Quantity(80000, "lb")
    assert min(done(museum, result, "winch_on")) > dt.date(2027, 5, 15)
    assert [f.status for f in result.findings if f.gate.check == "season"] == ["marginal"]


def test_a_legal_load_drives_through_the_frost_law_and_its_season_gate_passes(museum, samples):
    light = unit(museum, "boxcar", weight=Quantity(26000, "lb"))
    result = price_path(light, "boxcar", "roll_on", samples=draw(light, previous=samples))
    assert result.work.amounts["overweight_loads"] == 0.0
    assert min(done(light, result, "winch_on")) < dt.date(2027, 5, 15)
    assert [f.status for f in result.findings if f.gate.check == "season"] == ["pass"]


def test_an_overweight_load_of_unknown_weight_waits_and_the_gate_says_what_it_hangs_on(museum, samples):
    unweighed = unit(museum, "boxcar", weight=None).with_changes(typical=())
    result = price_path(unweighed, "boxcar", "roll_on", samples=draw(unweighed, previous=samples))
    assert result.work.amounts["overweight_loads"] is None
    assert min(done(unweighed, result, "winch_on")) > dt.date(2027, 5, 15)
    (season,) = [finding for finding in result.findings if finding.gate.check == "season"]
    assert season.status == "unknown" and "overweight loads" in season.find and "Frost law" in season.find


def test_a_load_that_may_be_overweight_waits_in_the_trials_in_which_it_is(museum):
    """28,000 lb and 10 % on a trailer of 52,000 lb with 1,000 lb of blocking: over the legal 80,000 lb from 27,000 lb on."""
    near = unit(museum, "caboose", weight=Quantity(28000, "lb"), weight_tolerance=Quantity(10, "percent"))
    samples = draw(near, trials=400)
    result = price_path(near, "caboose", "roll_on", samples=samples)
    over = result.work.amounts["overweight_loads"] > 0
    works = calendar_of(near, "roll_on", "road", result.work, samples)
    assert isinstance(works, SeasonalCalendar) and 0 < over.sum() < 400
    finished = works.finish(np.zeros(400, int), np.ones(400, int))
    assert set(finished[~over]) == {1} and (finished[over] > 75).all()


def test_the_embargo_of_exceptions_holds_plain_bearings_and_no_others(museum):
    late = museum.with_changes(start=dt.date(2027, 5, 24))
    peak = dt.date(2027, 9, 15), dt.date(2027, 11, 15)
    found = {}
    for bearing in ("plain", "roller"):
        changed = unit(late, "boxcar", bearing=bearing)
        changed = changed.with_changes(survey=[row for row in changed.survey if row.vehicle != "boxcar"])
        result = price_path(changed, "boxcar", "own_wheels", samples=draw(changed, trials=500))
        found[bearing] = [peak[0] <= day <= peak[1] for day in done(changed, result, "move")]
    assert not any(found["plain"]) and any(found["roller"])


def test_a_plain_calendar_is_made_where_all_trials_agree(museum, samples):
    result = price_path(museum, "consolidation", "flat_car", samples=samples)
    assert isinstance(calendar_of(museum, "flat_car", "rail", result.work, samples), Calendar)


# --- years of which nothing is known ----------------------------------------------------------------------------------


def test_a_year_of_which_a_calendar_knows_nothing_is_told_by_check_and_refuses_nothing():
    museum = load_museum(shipped("elsewhere/melderbach"))
    assert not any("calendars.csv" in line for line in slips(museum))
    later = in_year(museum, 2028)
    (line,) = [line for line in slips(later) if "calendars.csv" in line]
    row = next(row for row in museum.calendars if row.calendar == "rail_nights" and row.rule == "closed")
    assert line.startswith(f"calendars.csv row {row.row_number}, column first: found closures of rail_nights by date, none")
    assert "2028" in line and cross_table_problems(later) == []


def test_the_season_of_a_year_of_which_a_calendar_knows_nothing_is_unknown_and_names_the_year():
    museum = load_museum(shipped("elsewhere/melderbach"))
    dated = {"first": dt.date(2027, 8, 1), "last": dt.date(2027, 8, 31)}
    rows = [row.model_copy(update=dated) if row.first == MonthDay(8, 1) else row for row in museum.calendars]
    later = in_year(museum.with_changes(calendars=rows), 2029)
    vehicle = museum.vehicles[0].vehicle
    (season,) = [f for f in screen(later, vehicle, "trailer").findings if f.gate.check == "season"]
    assert season.status == "unknown" and "what closes road nights in 2029" in season.find


def test_a_museum_to_begin_with_holds_no_date_of_a_year():
    heading, *lines = starter_museum().tables["calendars.csv"]
    columns = [heading.index("first"), heading.index("last")]
    typed = {line[column] for line in lines for column in columns} - {""}
    assert typed and all(len(text) == len("03-01") for text in typed)


def test_neither_museum_holds_a_closure_of_one_year_but_an_event_of_that_year():
    for folder, events in (("tamber_river", set()), ("elsewhere/melderbach", {"Track renewal on the branch"})):
        rows = load_museum(shipped(folder)).calendars
        assert {row.reason for row in rows if isinstance(row.first, dt.date)} == events
