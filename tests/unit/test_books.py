"""The form of the tracking notebook: a task recorded, a value amended, and what it says when that cannot be."""

import shutil
from pathlib import Path

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.amending import record_task
from heritagemove.files.saving import Changed, fingerprint
from heritagemove.files.tables import TableProblems
from heritagemove.following.tracking import follow
from heritagemove.museum.museum import load_museum
from heritagemove.panels.books import Books
from heritagemove.trials.simulation import draw

DATA = Path(__file__).resolve().parents[2] / "data"
UNIT, PATH = "foundry_switcher", "freight_wheelsets"
WHO = {"who": "planner", "why": "letter of the carrier", "tried": lambda museum: ()}


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    return Path(shutil.copytree(DATA / "tamber_river", tmp_path / "tamber_river"))


@pytest.fixture
def form(folder):
    museum = load_museum(folder)
    plan = compare_paths(museum, UNIT, None, draw(museum, trials=200))
    form = Books(follow(plan, PATH, "2027-06-30")[-1])
    form.who.value, form.why.value = "treasurer", "invoice of the wheel shop"
    return form


def _progress(folder, task):
    return next((row for row in load_museum(folder).progress if (row.path, row.task) == (PATH, task)), None)


def test_a_task_without_a_row_gets_one_and_a_second_record_fills_the_same_row(folder):
    rows = len(load_museum(folder).progress)
    assert _progress(folder, "move") is None
    record_task(folder, UNIT, PATH, "move", {"started": "2027-06-28"}, **WHO)
    assert _progress(folder, "move").finished is None and _progress(folder, "move").basis == "measured"
    done = record_task(folder, UNIT, PATH, "move", {"started": "2027-06-28", "finished": "2027-06-29"}, **WHO)
    assert len(done.museum.progress) == rows + 1 and _progress(folder, "move").finished.isoformat() == "2027-06-29"
    logged = done.museum.changes[-2:]
    assert [(row.table, row.row, row.column, row.was, row.now) for row in logged] == [
        ("progress.csv", rows + 2, "started", None, "2027-06-28"),
        ("progress.csv", rows + 2, "finished", None, "2027-06-29"),
    ]


def test_a_record_with_which_the_museum_would_not_load_is_refused_whole(folder):
    before = (folder / "progress.csv").read_bytes()
    with pytest.raises(TableProblems, match="a date not before it started"):
        record_task(folder, UNIT, PATH, "move", {"started": "2027-06-28", "finished": "2027-06-01"}, **WHO)
    with pytest.raises(TableProblems, match="column task"):
        record_task(folder, UNIT, PATH, "polish", {"started": "2027-06-28"}, **WHO)
    assert (folder / "progress.csv").read_bytes() == before


def test_the_form_records_a_task_and_shows_the_forecast_after_it(form, folder):
    form.task.value = "move"
    assert form.cells["started"].value == ""
    form.cells["started"].value = "2027-06-28"
    form.record.click()
    assert form.alert.value == "" and "move: written into progress.csv" in form.said.value
    assert "Chance by the deadline" in form.said.value
    assert _progress(folder, "move").started.isoformat() == "2027-06-28"
    assert dict(form.task.options)[next(label for label, task in form.task.options if task == "move")] == "move"
    assert any(label.endswith("(begun)") for label, task in form.task.options if task == "move")


def test_the_form_shows_what_a_task_s_row_and_a_cell_hold(form):
    form.task.value = "survey"
    assert (form.cells["started"].value, form.cells["finished"].value) == ("2027-03-01", "2027-03-08")
    form.table.value, form.row.value, form.column.value = "rates.csv", 2, "high"
    assert form.text.value == "2700"


def test_the_form_amends_a_value_and_says_from_what_to_what(form, folder):
    form.table.value, form.row.value, form.column.value = "rates.csv", 2, "high"
    form.text.value = "2300"
    form.amend.click()
    assert "2700 is now 2300" in form.said.value and form.alert.value == ""
    assert load_museum(folder).rates[0].high == 2300 and load_museum(folder).changes[-1].who == "treasurer"


def test_a_slip_is_told_in_the_form_and_nothing_is_written(form, folder):
    before = fingerprint(folder / "rates.csv")
    form.table.value, form.row.value, form.column.value = "rates.csv", 2, "high"
    form.text.value = "<b>dear</b>"
    form.amend.click()
    assert "rates.csv row 2, column high" in form.alert.value and "<b>dear" not in form.alert.value
    assert "Nothing was written." in form.alert.value and fingerprint(folder / "rates.csv") == before
    form.text.value, form.who.value = "2300", " "
    form.amend.click()
    assert "who: found nothing" in form.alert.value and fingerprint(folder / "rates.csv") == before


def test_the_second_window_is_told_overwrites_nothing_and_may_read_again(form, folder):
    record_task(folder, UNIT, PATH, "move", {"started": "2027-06-28"}, **WHO)  # the other window
    saved = (folder / "progress.csv").read_bytes()
    form.task.value = "move"
    form.cells["started"].value = "2027-06-29"
    form.record.click()
    assert "changed by somebody else" in form.alert.value and (folder / "progress.csv").read_bytes() == saved
    form.again.click()
    assert form.alert.value == "" and form.cells["started"].value == "2027-06-28"
    form.cells["started"].value = "2027-06-29"
    form.record.click()
    assert _progress(folder, "move").started.isoformat() == "2027-06-29"


def test_two_records_at_once_leave_the_second_refused(folder):
    seen = fingerprint(folder / "progress.csv")
    record_task(folder, UNIT, PATH, "move", {"started": "2027-06-28"}, **WHO, expected=seen)
    with pytest.raises(Changed):
        record_task(folder, UNIT, PATH, "close_books", {"started": "2027-06-28"}, **WHO, expected=seen)


def test_a_table_without_rows_says_where_rows_are_added(form, folder):
    (folder / "inquiries.csv").write_text((folder / "inquiries.csv").read_text(encoding="utf-8").splitlines()[0] + "\n")
    form.table.value = "inquiries.csv"
    form.amend.click()
    assert "has no row yet" in form.alert.value


def test_the_form_opens_on_the_first_task_and_the_first_row_with_what_they_hold(form):
    assert (form.task.value, form.cells["started"].value) == ("survey", "2027-03-01")
    assert (form.table.value, form.row.value, form.column.value) == ("vehicles.csv", 2, "vehicle")
    assert form.text.value == "foundry_switcher"
    form.table.value = "rates.csv"
    assert (form.row.value, form.column.value, form.text.value) == (2, "rate", "mechanical_survey")
