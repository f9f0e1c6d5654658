"""Rows added on screen: whole, tried, logged, undone; every problem at once, nothing half-written."""

import csv
import datetime as dt
import shutil
from pathlib import Path

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.adding import ADDED, add_rows, new_row_asked, observe, rows_for
from heritagemove.editing.amending import take_back
from heritagemove.files.saving import Changed
from heritagemove.files.tables import TableProblems
from heritagemove.following.tracking import follow
from heritagemove.museum.museum import load_museum
from heritagemove.panels.books import Books
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError

DATA = Path(__file__).resolve().parents[2] / "data"
WHO = {"who": "planner", "why": "letter of 3 May", "on": dt.date(2027, 5, 3), "tried": lambda museum: ()}
NEW = {
    "quotes.csv": {"quote": "new_crane", "vehicle": "coach", "path": "trailer", "lines": "crane_hours",
                   "vendor": "Crane firm", "amount": "41,000 USD",
                   "quoted": "2027-05-03", "valid_until": "2027-08-01", "firmness": "firm"},
    "actuals.csv": {"invoice": "i_77", "invoiced": "2027-05-03", "vehicle": "coach", "path": "trailer",
                    "line": "crane_hours", "vendor": "Crane firm", "amount": "4,000 USD", "paid": "yes", "final": "no"},
    "tasks.csv": {"path": "trailer", "task": "walk_route", "title": "Walk the route", "low": "1", "likely": "2", "high": "3",
                  "range": "bounds", "calendar": "volunteers", "who": "planner"},
    "vehicles.csv": {"vehicle": "tank_engine", "name": "Tank engine 3", "kind": "steam_locomotive", "built": "1911",
                     "weight": "22 tonne", "weight_tolerance": "5 %", "lifts": "1", "motors": "0",
                     "journal_position": "inside", "bearing": "plain",
                     "insured_value": "20,000 USD", "significance": "3", "must_run": "no", "brakes": "unknown",
                     "draft_gear": "unknown", "hazards": "unknown", "axles": "1.2 m; 2.8 m; 4.4 m",
                     "trucks": "0"},
    "pieces.csv": {"vehicle": "coach", "piece": "steps", "title": "Steps", "kind": "part", "count": "4", "wheels_on": "no"},
}  # fmt: skip


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    return Path(shutil.copytree(DATA / "tamber_river", tmp_path / "tamber_river"))


def held(folder):
    return {file.name: file.read_bytes() for file in folder.glob("*.csv")}


def with_basis(museum, table, cells):
    begins = {cell.column: cell.answer for cell in new_row_asked(museum, table, {})}
    return rows_for(table, begins | cells)


@pytest.mark.parametrize("table", NEW)
def test_a_row_is_added_at_the_end_logged_and_taken_back(folder, table):
    before = held(folder)
    done = add_rows(folder, with_basis(load_museum(folder), table, NEW[table]), **WHO)
    added = getattr(done.museum, table.removesuffix(".csv"))[-1]
    key = next(iter(NEW[table]))
    assert getattr(added, key) == NEW[table][key]
    assert (folder / table).read_bytes().startswith(before[table])
    line = done.museum.changes[-sum(map(len, done.cells.values()))]
    assert (line.table, line.column, line.was, line.why) == (table, None, None, "letter of 3 May")
    assert next(csv.reader([line.now]))[0] == getattr(added, next(iter(type(added).columns)))
    undone = take_back(folder, done, "planner", "typed twice", tried=WHO["tried"])
    after = held(folder)
    assert {name for name in after if after[name] != before[name]} == {"changes.csv"}
    assert undone.museum.changes[-1].now is None and undone.museum.changes[-1].why == "typed twice"


def test_what_may_not_stay_blank_is_asked_first_and_ids_are_chosen_from_the_museums_own():
    museum = load_museum(DATA / "tamber_river")
    for table in ADDED:
        asked = new_row_asked(museum, table, {"vehicle": "coach"})
        needed = [cell.needed for cell in asked]
        assert needed == sorted(needed, reverse=True) and {"basis", "source"} <= {cell.column for cell in asked}
    quote = {cell.column: cell for cell in new_row_asked(museum, "quotes.csv", {"vehicle": "coach"})}
    assert quote["vehicle"].answer == "coach" and "trailer" in quote["path"].choices
    assert quote["path"].answer == "" and quote["lines"].needed and quote["basis"].answer == "quote"


def test_every_problem_is_told_at_once_and_nothing_is_half_written(folder):
    before = held(folder)
    wrong = NEW["vehicles.csv"] | {"weight": "22 tons", "kind": "tram", "axles": "1 m; 2 m"}
    with pytest.raises(TableProblems) as caught:
        add_rows(folder, with_basis(load_museum(folder), "vehicles.csv", wrong), **WHO)
    assert "column weight" in str(caught.value) and "column kind" in str(caught.value)
    with pytest.raises(PlannerError, match=r"axles: found .*\n.*trucks: found"):
        rows_for("vehicles.csv", NEW["vehicles.csv"] | {"axles": "far", "trucks": "some"})
    with pytest.raises(PlannerError, match="who: found nothing"):
        add_rows(folder, {"tasks.csv": [NEW["tasks.csv"]]}, **WHO | {"who": ""})
    assert held(folder) == before


def test_what_somebody_wrote_since_is_not_taken_back(folder):
    done = add_rows(folder, with_basis(load_museum(folder), "tasks.csv", NEW["tasks.csv"]), **WHO)
    (folder / "tasks.csv").write_bytes((folder / "tasks.csv").read_bytes() + b"\n")
    with pytest.raises(Changed):
        take_back(folder, done, "planner", "typed twice", tried=WHO["tried"])


def test_line_ends_and_marks_stay_and_a_table_that_may_be_missing_begins(folder):
    text = (folder / "tasks.csv").read_text(encoding="utf-8").replace("\n", "\r\n")
    (folder / "tasks.csv").write_bytes(b"\xef\xbb\xbf" + text.encode())
    add_rows(folder, with_basis(load_museum(folder), "tasks.csv", NEW["tasks.csv"]), **WHO)
    data = (folder / "tasks.csv").read_bytes()
    assert data.startswith(b"\xef\xbb\xbf" + text.encode()) and data.count(b"\n") == data.count(b"\r\n") > text.count("\n")


SEEN = {"vehicle": "coach", "place": "vehicle", "clue": "pcb", "found": "no", "observed": "2027-05-03", "basis": "measured",
        "source": "seen"}  # fmt: skip


def test_an_observation_goes_into_its_row_and_a_photograph_comes_with_it_or_not_at_all(folder):
    rows = len(load_museum(folder).survey)
    done = observe(folder, SEEN, "planner", "visit", ("DSC 0001.JPG", b"\xff\xd8\xff rest"), tried=WHO["tried"])
    seen = next(row for row in done.museum.survey if (row.vehicle, row.clue) == ("coach", "pcb"))
    assert (seen.photo, seen.found, len(done.museum.survey)) == ("photos/photo_dsc_0001.jpg", "no", rows)
    assert (folder / "photos" / "photo_dsc_0001.jpg").read_bytes() == b"\xff\xd8\xff rest"
    with pytest.raises(PlannerError, match="a JPEG or PNG"):
        observe(folder, SEEN, "planner", "visit", ("con.jpg", b"GIF89a"), tried=WHO["tried"])
    with pytest.raises(TableProblems):
        observe(folder, SEEN | {"observed": "x"}, "planner", "visit", ("a.jpg", b"\xff\xd8\xff"), tried=WHO["tried"])
    assert [file.name for file in (folder / "photos").glob("photo_*")] == ["photo_dsc_0001.jpg"]
    walked = SEEN | {"clue": "route_walked", "vehicle": "any", "place": "site"}
    added = observe(folder, walked, "planner", "visit", tried=WHO["tried"])
    assert added.museum.changes[-1].now == "seen"


def test_the_form_adds_a_quote_that_the_forecast_counts_and_undoes_it(folder):
    museum = load_museum(folder)
    plan = compare_paths(museum, "foundry_switcher", None, draw(museum, trials=200))
    form = Books(follow(plan, "freight_wheelsets", "2027-06-30")[-1])
    adding = form.adding
    adding.table.value = "survey.csv"
    assert adding.photograph in adding.needed.children
    adding.table.value = "quotes.csv"
    assert adding.fields["path"].value == "freight_wheelsets" and adding.undo.disabled
    adding.add.click()
    assert "who: found nothing" in form.alert.value
    form.who.value, form.why.value = "treasurer", "letter"
    adding.add.click()
    assert "column vendor" in form.alert.value and "column amount" in form.alert.value
    line = next(row.line for row in museum.cost_lines if row.path == "freight_wheelsets")
    cells = {"quote": "q_new", "lines": line, "vendor": "A firm", "amount": "1 USD", "valid_until": "2027-09-01",
             "firmness": "firm"}  # fmt: skip
    for name, text in cells.items():
        adding.fields[name].value = text
    adding.add.click()
    assert form.alert.value == "" and "Quote added" in form.said.value
    assert form.museum.quotes[-1].quote == "q_new" and not adding.undo.disabled
    adding.undo.click()
    assert "Taken back" in form.said.value and form.museum.quotes[-1].quote != "q_new" and adding.undo.disabled
