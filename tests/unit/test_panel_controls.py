"""What every panel does while it computes and when it fails: it says so, and keeps the last good answer."""

import datetime as dt

import pytest

from heritagemove.compare import comparison
from heritagemove.panels import controls, criteria, money_and_risk, schedule
from heritagemove.trials.simulation import draw
from tests.desks import desk_of

HOSTILE = "<b>no answer</b>"


def broken(*_, **__):
    raise ValueError(HOSTILE)


@pytest.fixture(scope="module")
def compared(museum):
    return comparison.compare_paths(museum, "foundry_switcher", samples=draw(museum, trials=200))


def says_so(line):
    return 'role="alert"' in line.value and "&lt;b&gt;no answer" in line.value and "last good answer" in line.value


def test_a_status_line_says_that_it_computes_and_is_blank_when_done():
    line, seen = controls.StatusLine(), []
    assert line.doing("Weights", lambda: seen.append(line.value))
    assert "Computing" in seen[0] and 'role="status"' in seen[0] and line.value == ""


def test_a_status_line_names_what_was_moved_and_escapes_what_went_wrong():
    line = controls.StatusLine()
    assert not line.doing("Weight <i>9</i>", broken)
    assert says_so(line) and "Weight &lt;i&gt;9&lt;/i&gt;" in line.value


def test_a_date_that_cannot_be_answered_leaves_the_picture_as_it_was(compared, monkeypatch):
    screen = money_and_risk.show_deadlines(desk_of(compared))
    before = screen.picture.value
    monkeypatch.setattr(money_and_risk.charts, "deadline_table", broken)
    screen.date.value = dt.date(2027, 6, 30)
    assert says_so(screen.alert) and screen.picture.value == before
    screen.date.value = None
    assert "found no date" in screen.alert.value and screen.picture.value == before


def test_a_path_whose_schedule_cannot_be_drawn_leaves_the_one_before(compared, monkeypatch):
    screen = schedule.show_schedule(desk_of(compared))
    before = (screen.bars.value, screen.tasks.value)
    monkeypatch.setattr(schedule, "table_of_tasks", broken)
    screen.path.value = "cut_up"
    assert says_so(screen.alert) and (screen.bars.value, screen.tasks.value) == before


def test_weights_that_cannot_be_answered_leave_the_choice_as_it_was(compared, monkeypatch):
    screen = criteria.show_criteria(desk_of(compared))
    before = (screen.sentence.value, screen.picture.value, screen.values.value)
    monkeypatch.setattr(criteria, "value_paths", broken)
    next(iter(screen.sliders.values())).value = 0.5
    assert says_so(screen.alert) and (screen.sentence.value, screen.picture.value, screen.values.value) == before


def test_a_chosen_thing_that_cannot_be_shown_leaves_the_one_before():
    shown = controls.Chooser("Fund", [("one", 1), ("two", 2)], 1, lambda value: f"{value}" if value == 1 else broken())
    shown.chooser.value = 2
    assert says_so(shown.alert) and "Fund two" in shown.alert.value and shown.shown.value == "1"


def test_the_script_that_names_the_handles_holds_no_text_of_a_table(museum):
    (script,) = (entry["data"]["application/javascript"] for entry in controls.name_handles().outputs)
    assert "aria-label" in script and museum.scenario.name not in script
