"""The calendar file: meeting, triggers, answers, tasks and papers, read by others, and written again."""

import dataclasses
import datetime as dt
import re
import warnings

import icalendar
import numpy as np
import pytest

from heritagemove.answers.motion import motion
from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over import calendar_file
from heritagemove.trials import simulation
from heritagemove.trials.simulation import draw


@pytest.fixture(scope="module")
def comparison(switcher):
    return switcher


def read_calendar(data):
    """Read an iCalendar file by RFC 5545, sections 3.1 (folded lines) and 3.3.11 (text), apart from its writer."""
    assert data.endswith(b"\r\n") and b"\n" not in data.replace(b"\r\n", b"")
    assert all(len(line) <= 75 for line in data.split(b"\r\n")), "3.1: at most 75 octets a line"
    lines = data.decode().replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")[:-1]
    events, stack = [], []
    for line in lines:
        name, value = re.match(r"([A-Z-]+)(?:;[^:]*)?:(.*)", line).groups()
        if name == "BEGIN":
            stack.append(value)
            events += [{}] if value == "VEVENT" else []
        elif name == "END":
            assert stack.pop() == value
        elif stack[-1] == "VEVENT":
            assert name not in events[-1], f"{name} twice"
            unescaped = re.sub(r"\\([\\;,nN])", lambda m: "\n" if m[1] in "nN" else m[1], value)
            events[-1][name] = unescaped
    assert stack == [] and lines[0] == "BEGIN:VCALENDAR" and "VERSION:2.0" in lines
    return events


def day(text):
    return dt.datetime.strptime(text, "%Y%m%d").date()


def test_the_calendar_is_read_back_by_another_reader(comparison, tmp_path):
    path = calendar_file.write_calendar(comparison, tmp_path / "schedule.ics")
    events = {event["SUMMARY"].split(":")[0]: event for event in read_calendar(path.read_bytes())}
    museum = comparison.museum
    assert day(events["Last meeting that decides"]["DTSTART"]) == comparison.decide_by
    assert comparison.switch_by is None and not [name for name in events if name.startswith("Last day to wait")]
    assert day(events["Deadline, off the site"]["DTSTART"]) == museum.scenario.deadline
    assert day(events["Deadline, off the site"]["DTEND"]) == museum.scenario.deadline + dt.timedelta(days=1)
    assert motion(comparison).in_full() == events["Last meeting that decides"]["DESCRIPTION"]
    tasks, work = museum.of_path("tasks", comparison.choice), comparison.path(comparison.choice).work
    meeting = comparison.decision.played.policy.meeting
    finish = simulation.simulate(museum, comparison.choice, work, comparison.samples, decided=meeting).dates.finish
    summaries = {event["SUMMARY"]: event for event in read_calendar(path.read_bytes())}
    for row in tasks:
        event = summaries[f"{row.title}: {museum.vehicle(comparison.vehicle).name}"]
        last = simulation.date_of(museum, float(np.percentile(finish[row.task] - 1, 80)))
        assert day(event["DTEND"]) - dt.timedelta(days=1) == last, row.task


def test_identifiers_are_one_an_entry_and_stay_when_dates_move(comparison, museum):
    found = calendar_file.entries(comparison)
    first = calendar_file.calendar_bytes(comparison, found)
    assert first == calendar_file.calendar_bytes(comparison, calendar_file.entries(comparison)), "the same bytes"
    ids = [event["UID"] for event in read_calendar(first)]
    assert len(set(ids)) == len(ids) == len(found)
    later = compare_paths(museum.with_changes(deadline=museum.scenario.deadline + dt.timedelta(days=14)), comparison.vehicle,
                    samples=comparison.samples)  # fmt: skip
    moved = read_calendar(calendar_file.calendar_bytes(later, calendar_file.entries(later, comparison.choice)))
    deadlines = {event["UID"]: day(event["DTSTART"]) for event in moved if "Deadline" in event["SUMMARY"]}
    assert set(deadlines) <= set(ids) and set(deadlines.values()) == {later.museum.scenario.deadline}


def test_a_name_with_line_ends_and_separators_makes_no_entry_of_its_own(comparison, museum):
    evil = "Engine\r\nEND:VEVENT\r\nBEGIN:VEVENT; a, b\\n \x07"
    named = museum.with_changes(vehicles=[v.model_copy(update={"name": evil}) for v in museum.vehicles])
    other = compare_paths(named, comparison.vehicle, samples=draw(named, trials=200))
    events = read_calendar(calendar_file.calendar_bytes(other, calendar_file.entries(other)))
    assert len(events) == len(calendar_file.entries(other))


def test_two_libraries_read_the_same_days_and_alarms(comparison):
    import vobject

    data = calendar_file.calendar_bytes(comparison, found := calendar_file.entries(comparison))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = {str(event.uid.value): event for event in vobject.readOne(data.decode()).vevent_list}
    mine = {str(event["uid"]): event for event in icalendar.Calendar.from_ical(data).walk("VEVENT")}
    assert set(theirs) == set(mine) and len(mine) == len(found)
    for uid, event in theirs.items():
        other = mine[uid]
        assert event.dtstart.value == other["dtstart"].dt and event.summary.value == str(other["summary"])
        triggers = [alarm.trigger.value for alarm in getattr(event, "valarm_list", [])]
        assert triggers == [alarm["trigger"].dt for alarm in other.walk("VALARM")]


def test_what_turns_the_decision_reminds_a_week_and_a_day_before(comparison):
    found = {entry.name: entry for entry in calendar_file.entries(comparison)}
    assert found["decide_by"].alarms == found["deadline"].alarms == found["more_time"].alarms == (7, 1)
    answers = [entry for name, entry in found.items() if name.startswith("answer/")]
    open_ = [f for f in comparison.path(comparison.choice).findings if f.status == "open" and f.gate.task]
    assert len(answers) == len(open_) and all(entry.alarms == (7, 1) for entry in answers)
    letter = found["answer/freight_wheelsets/carrier_letter"]
    assert "a no in 10% of cases" in letter.description
    assert "If it is a no: turn to Haul on a multi-axle trailer" in letter.description
    assert all(entry.alarms == () for name, entry in found.items() if name.startswith("task/"))


def test_the_last_days_of_quotes_stand_in_it_without_any_books_opened(comparison):
    found = {entry.name: entry.first for entry in calendar_file.entries(comparison)}
    quotes = {row.quote: row for row in comparison.museum.quotes if row.vehicle == comparison.vehicle}
    assert found["paper/quote/box machining"] == quotes["box_machining"].valid_until
    assert "paper/quote/wheelset dealer" not in found, "accepted: it binds, whatever its last day"


def sequences(data):
    return {event["UID"]: int(event["SEQUENCE"]) for event in read_calendar(data)}


def test_a_file_written_again_counts_up_what_changed_and_nothing_else(comparison, museum, tmp_path):
    path = calendar_file.write_calendar(comparison, tmp_path / "schedule.ics")
    first = path.read_bytes()
    assert set(sequences(first).values()) == {0}
    assert calendar_file.write_calendar(comparison, path, replace=True).read_bytes() == first
    moved = museum.with_changes(deadline=museum.scenario.deadline - dt.timedelta(days=1))
    found = [entry for entry in calendar_file.entries(comparison) if entry.name != "forced_scrap"]
    day = moved.scenario.deadline
    found = [entry if entry.name != "deadline" else dataclasses.replace(entry, first=day, last=day) for entry in found]
    again = calendar_file.calendar_bytes(comparison, found, first)
    events = {event["SUMMARY"].partition(":")[0]: event for event in read_calendar(again)}
    counted = {name for name, event in events.items() if event["SEQUENCE"] == "1"}
    assert counted == {"Deadline, off the site", "Forced scrap"}
    assert events["Forced scrap"]["STATUS"] == "CANCELLED", "what is gone is called off, not left in others' calendars"
    assert calendar_file.calendar_bytes(comparison, found, again) == again
    back = calendar_file.calendar_bytes(comparison, calendar_file.entries(comparison), again)
    events = {event["SUMMARY"].partition(":")[0]: event for event in read_calendar(back)}
    assert events["Forced scrap"]["SEQUENCE"] == "2" and "STATUS" not in events["Forced scrap"]


def test_the_file_of_another_unit_or_of_nobody_is_replaced_and_calls_nothing_off(comparison, museum):
    other = compare_paths(museum, "caboose", samples=draw(museum, trials=200))
    theirs = calendar_file.calendar_bytes(other, calendar_file.entries(other))
    found = calendar_file.entries(comparison)
    fresh = calendar_file.calendar_bytes(comparison, found)
    for before in (theirs, b"no calendar", b"BEGIN:VCALENDAR\r\n", b"\xff\xfe"):
        assert calendar_file.calendar_bytes(comparison, found, before) == fresh
