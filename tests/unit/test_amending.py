"""Amend one cell in place: nothing else moves, nothing wrong is written, nobody is overwritten."""

import contextlib
import datetime as dt
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritagemove.editing.amending import _replaced, amend, cell_value, cells_of
from heritagemove.files.saving import Changed, fingerprint
from heritagemove.files.tables import TableProblems, csv_lines
from heritagemove.museum.museum import load_museum
from heritagemove.units.units import PlannerError

DATA = Path(__file__).resolve().parents[2] / "data"
#: The trial has its own tests (test_dry_run.py): here it finds nothing.
WHO = {"who": "planner", "why": "quote of the wheel shop", "on": dt.date(2027, 4, 20), "tried": lambda museum: ()}


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    shutil.copytree(DATA / "tamber_river", tmp_path / "tamber_river")
    return tmp_path / "tamber_river"


def test_only_the_cell_changes_and_the_log_says_who_and_why(folder):
    before = (folder / "rates.csv").read_bytes()
    lines = len(load_museum(folder).changes)
    done = amend(folder, "rates.csv", 2, "high", "2300", **WHO)
    after = (folder / "rates.csv").read_bytes()
    assert done.was == "2700" and done.museum.rates[0].high == 2300
    assert after == before.replace(b",2700,", b",2300,", 1) and done.fingerprint == fingerprint(folder / "rates.csv")
    log = load_museum(folder).changes
    assert len(log) == lines + 1
    assert (log[-1].table, log[-1].row, log[-1].column, log[-1].was, log[-1].now) == ("rates.csv", 2, "high", "2700", "2300")


def test_line_ends_marks_and_quotes_of_the_others_are_kept(folder):
    text = (folder / "rates.csv").read_text(encoding="utf-8").replace("\n", "\r\n")
    (folder / "rates.csv").write_bytes(b"\xef\xbb\xbf" + text.encode())
    amend(folder, "rates.csv", 2, "title", 'Survey, with "ultrasonic" screen', **WHO)
    data = (folder / "rates.csv").read_bytes()
    quoted = '"Survey, with ""ultrasonic"" screen"'
    assert data == b"\xef\xbb\xbf" + text.replace("Mechanical survey visit", quoted, 1).encode()


def test_a_value_with_which_the_museum_would_not_load_is_refused_and_nothing_is_written(folder):
    before, log = (folder / "rates.csv").read_bytes(), (folder / "changes.csv").read_bytes()
    with pytest.raises(TableProblems) as error:
        amend(folder, "rates.csv", 2, "high", "cheap", **WHO)
    assert "rates.csv row 2, column high" in str(error.value) and str(folder) in str(error.value)
    with pytest.raises(TableProblems, match="low <= likely <= high"):
        amend(folder, "rates.csv", 2, "low", "5000", **WHO)
    assert (folder / "rates.csv").read_bytes() == before and (folder / "changes.csv").read_bytes() == log


def test_the_second_of_two_windows_is_told_and_overwrites_nothing(folder):
    seen = fingerprint(folder / "rates.csv")
    amend(folder, "rates.csv", 2, "high", "2300", **WHO, expected=seen)
    first = (folder / "rates.csv").read_bytes()
    with pytest.raises(Changed, match="nothing was overwritten"):
        amend(folder, "rates.csv", 3, "high", "4000", **WHO, expected=seen)
    assert (folder / "rates.csv").read_bytes() == first and len(load_museum(folder).changes) == 2


def test_what_is_no_cell_or_has_no_reason_is_refused(folder):
    for table, row, column, said in (
        ("prices.csv", 2, "high", 'found "prices.csv"'),
        ("rates.csv", 2, "top", 'column: found "top"'),
        ("rates.csv", 1, "high", "row: found 1"),
        ("rates.csv", 9000, "high", "row: found 9000"),
    ):
        with pytest.raises(PlannerError, match=said):
            amend(folder, table, row, column, "1", **WHO)
    with pytest.raises(PlannerError, match="why: found nothing"):
        amend(folder, "rates.csv", 2, "high", "2300", who="planner", why=" ", tried=WHO["tried"])
    with pytest.raises(PlannerError, match="one line"):
        amend(folder, "rates.csv", 2, "title", "a\nb", **WHO)


def test_the_task_log_may_be_amended_too(folder):
    amend(folder, "progress.csv", 13, "finished", "2027-07-02", **WHO)
    assert "2027-06-01,2027-07-02" in (folder / "progress.csv").read_text()
    with pytest.raises(TableProblems, match="finished"):
        amend(folder, "progress.csv", 13, "finished", "2027-01-02", **WHO)


def test_a_formula_in_a_reason_stays_text_in_the_log(folder):
    amend(folder, "rates.csv", 2, "high", "2300", who="planner", why='=HYPERLINK("x")', tried=WHO["tried"])
    assert load_museum(folder).changes[-1].why == '=HYPERLINK("x")'
    assert load_museum(folder)


CELLS = st.text(st.characters(codec="utf-8", exclude_characters="\0\r\n"), max_size=6)


@given(st.lists(st.lists(CELLS, min_size=2, max_size=4), min_size=1, max_size=4), st.sampled_from(["\n", "\r\n"]))
def test_cells_are_found_where_the_csv_reader_finds_them(lines, end):
    import csv
    import io

    out = io.StringIO()
    csv.writer(out, lineterminator=end).writerows(lines)
    found = [[cell_value(out.getvalue()[a:b]) for a, b in spans] for spans in cells_of(out.getvalue())]
    assert found == list(csv.reader(io.StringIO(out.getvalue(), newline="")))


def test_a_quote_inside_an_unquoted_cell_and_a_line_end_in_a_quoted_one_are_text(tmp_path):
    text = 'size,note\n5" x 9""10,"two\nlines"\n1,2\n'
    (tmp_path / "t.csv").write_text(text)
    assert [[cell_value(text[a:b]) for a, b in spans] for spans in cells_of(text)] == csv_lines(tmp_path / "t.csv")[0]
    assert _replaced("t.csv", text, 3, "note", "3") == (text.replace("1,2", "1,3"), "2")


@pytest.mark.parametrize("said", ["#REF!", "x" * 20_000, "two\nlines", "\0"])
@pytest.mark.parametrize("role", ["who", "why"])
def test_a_who_or_why_that_the_log_cannot_hold_is_refused_and_the_museum_still_loads(folder, role, said):
    before = {file.name: file.read_bytes() for file in folder.glob("*.csv")}
    with contextlib.suppress(ValueError):
        amend(folder, "rates.csv", 2, "high", "2300", **(WHO | {role: said}))
    taken = {file.name: file.read_bytes() for file in folder.glob("*.csv")} != before
    museum = load_museum(folder)
    assert museum.rates[0].high == (2300 if taken else 2700)
    assert not taken or getattr(museum.changes[-1], role)
    assert not (taken and said in ("#REF!", "x" * 20_000))
