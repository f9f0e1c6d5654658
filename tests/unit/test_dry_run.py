"""What check passes never fails later: a dry run of every unit and path names the cell that would stop it."""

import csv
import datetime as dt
import json
import shutil
from pathlib import Path

import pytest

import heritagemove as hm
from heritagemove import __main__ as command
from heritagemove.compare import dry_run
from heritagemove.compare.inputs import Inputs, as_set
from heritagemove.compare.scenario_files import save_scenario
from heritagemove.editing.amending import amend
from heritagemove.files.tables import TableProblems
from heritagemove.museum.museum import load_museum
from heritagemove.units.units import PlannerError

DATA = Path(__file__).resolve().parents[2] / "data"
FEW = ("--trials", "100")


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    shutil.copytree(DATA / "tamber_river", tmp_path / "museum")
    return tmp_path / "museum"


@pytest.fixture
def run(capsys):
    def runner(*arguments):
        try:
            status = command.main([str(argument) for argument in arguments])
        except SystemExit as stopped:
            status = stopped.code
        return status, *capsys.readouterr()

    return runner


def put(folder, file, row, column, text):
    with open(folder / file, newline="", encoding="utf-8") as source:
        lines = list(csv.reader(source))
    lines[row - 1][lines[0].index(column)] = text
    with open(folder / file, "w", newline="", encoding="utf-8") as target:
        csv.writer(target, lineterminator="\n").writerows(lines)


def test_both_museums_as_they_stand_are_stopped_by_nothing():
    for place in ("tamber_river", "elsewhere/melderbach"):
        assert dry_run.stopped_by(load_museum(DATA / place)) == []


ABSURD = [
    ("pieces.csv", 2, "weight", "0 lb", "0 lb"),
    ("vehicles.csv", 2, "width", "0 in", "0 ft"),
    ("vehicles.csv", 2, "weight_tolerance", "100 %", "100 %"),
    ("vehicles.csv", 2, "built", "2090", "2090"),
    ("legs.csv", 2, "length", "0 mile", "0 mi"),
    ("flat_cars.csv", 2, "light_weight", "0 lb", "0 lb"),
    ("tasks.csv", 5, "high", "4000", "4,000"),
]


@pytest.mark.parametrize(("file", "row", "column", "text", "shown"), ABSURD, ids=lambda value: str(value))
def test_check_names_the_cell_that_would_stop_the_comparison(run, folder, file, row, column, text, shown):
    put(folder, file, row, column, text)
    status, said, err = run("check", folder)
    assert (status, said) == (2, "")
    assert f'{file} row {row}, column {column}: found "{shown}"; allowed: ' in err and "Traceback" not in err
    assert err.splitlines()[0] == f"1 problem in {folder}; nothing was loaded."


def test_a_cell_of_a_workbook_is_named_by_its_sheet(run, folder, tmp_path):
    put(folder, "flat_cars.csv", 2, "light_weight", "0 lb")
    assert run("convert", folder, tmp_path / "book.xlsx")[0] == 0
    status, _, err = run("check", tmp_path / "book.xlsx")
    assert status == 2 and 'sheet flat_cars row 2, column light_weight: found "0 lb"' in err


def test_a_length_in_a_column_of_money_is_a_problem_of_its_cell(run, folder):
    column = "amount"
    put(folder, "actuals.csv", 2, column, "750 ft")
    for words in (["check", folder], ["summary", folder]):
        status, _, err = run(*words)
        assert status == 2 and f'actuals.csv row 2, column {column}: found "750 ft"; allowed: money such as' in err
    put(folder, "actuals.csv", 2, column, "750 USD")
    with pytest.raises(TableProblems, match="allowed: money such as"):
        amend(folder, "actuals.csv", 2, column, "750 ft", who="planner", why="a slip", tried=dry_run.stopped_by)


def test_a_deadline_behind_the_calendars_is_refused_with_the_last_day_allowed(run, folder):
    text = (folder / "museum.toml").read_text(encoding="utf-8")
    museum = load_museum(folder)
    late = text.replace(f"deadline = {museum.scenario.deadline}", "deadline = 2044-10-15")
    late = late.replace(f"forced_scrap = {museum.scenario.forced_scrap}", "forced_scrap = 2044-12-15")
    (folder / "museum.toml").write_text(late, encoding="utf-8")
    for words in (["check", folder], ["compare", folder, "--vehicle", "caboose", *FEW]):
        status, _, err = run(*words)
        assert status == 2 and 'museum.toml, key forced_scrap: found "2044-12-15"; allowed: a day up to 31 Dec 2035' in err
        assert len(err.splitlines()) == 1 + len({row.price_index for row in museum.rates} - {None})
    far = museum.with_changes(deadline=dt.date(2044, 10, 15), forced_scrap=dt.date(2044, 12, 1))
    (problem,) = dry_run.stopped_by(far)
    assert (problem.file, problem.column) == ("museum.toml", "deadline")
    allowed = problem.allowed.split("up to ")[1].split(",")[0]
    assert dt.datetime.strptime(allowed, "%d %b %Y").date() > museum.scenario.deadline


def test_a_scenario_that_moves_the_dates_far_is_refused_before_it_is_answered(run, folder, museum):
    far = Inputs("caboose", start_moved=-1500, deadline_moved=3600)
    with pytest.raises(PlannerError, match=r"deadline: found .* allowed: less than 4,392 days after the start"):
        as_set(museum, far)
    kept = folder / "scenarios"
    save_scenario(kept, "far", museum, far)
    status, _, err = run("report", folder, "--vehicle", "caboose", "--out", folder / "a.html", "--scenarios", kept, *FEW)
    assert status == 2 and "far-" in err and "deadline: found" in err and not (folder / "a.html").exists()


def test_a_scenario_that_stops_the_comparison_is_named_by_its_file(run, folder, museum):
    kept = folder / "scenarios"
    path = save_scenario(kept, "light", museum, Inputs("foundry_switcher", settings={"weight": 0.05}))
    words = ("report", folder, "--vehicle", "foundry_switcher", "--out", folder / "a.html", "--scenarios", kept, *FEW)
    status, _, err = run(*words)
    assert status == 2 and err.startswith(f'{path.name}, weight: found "0.05"; allowed: at least ')
    assert json.loads(path.read_text())["name"] == "light"


@pytest.mark.parametrize(
    ("setting", "found"),
    [("weight=100 lb", 'weight: found "100 lb"; allowed: at least '),
     ("haul_distance=20000 mile", 'haul_distance: found "20000 mile"; allowed: at most ')],
)  # fmt: skip
def test_a_setting_that_stops_the_comparison_is_named_with_how_far_it_may_go(run, setting, found):
    place = DATA / "tamber_river"
    status, said, err = run("compare", place, "--vehicle", "foundry_switcher", "--set", setting, *FEW)
    assert (status, said) == (2, "") and err.startswith(found) and "as the tables stand" in err
    limit = err.removeprefix(found).split(",  ")[0].split(", as")[0].replace(",", "")
    name = setting.partition("=")[0]
    allowed = f"{name}={limit.split(' ')[0]} {'short_ton' if name == 'weight' else 'mile'}"
    assert run("compare", place, "--vehicle", "foundry_switcher", "--set", allowed, *FEW)[0] == 0, allowed


def test_an_option_given_twice_is_refused(run, tmp_path):
    words = ("compare", DATA / "tamber_river", "--vehicle", "caboose")
    for twice, said in (
        (("--set", "axles=4", "--set", "axles=6"), '--set: found axles twice, "4" and "6"; allowed: each name once'),
        (("--seed", "1", "--seed", "1"), "--seed: found twice; allowed: once"),
        (("--format", "table", "--format", "json"), "--format: found twice; allowed: once"),
        (("--vehicle", "boxcar"), "--vehicle: found twice; allowed: once"),
    ):
        status, out, err = run(*words, *twice)
        assert (status, out) == (2, "") and said in err
    assert run("report", DATA / "tamber_river", "--out", tmp_path / "a", "--out", tmp_path / "b")[0] == 2


@pytest.mark.parametrize(
    ("words", "hint"),
    [(["--set", "Crane_Hours=2"], "(did you mean crane_hours?)"), (["--set", "AXLE=6"], "(did you mean axles?)")],
)
def test_near_misses_ignore_case(run, words, hint):
    status, _, err = run("compare", DATA / "tamber_river", "--vehicle", "caboose", *words)
    assert status == 2 and hint in err


def test_near_misses_of_units_columns_and_words_ignore_case(run, folder):
    status, _, err = run("compare", folder, "--vehicle", "CABOOSE")
    assert status == 2 and "(did you mean caboose?)" in err
    put(folder, "vehicles.csv", 2, "kind", "Caboose")
    put(folder, "tasks.csv", 1, "task", "TASKS")
    put(folder, "rates.csv", 2, "basis", "QUOTE")
    put(folder, "quotes.csv", 2, "path", "Own_Wheels")
    err = run("check", folder)[2]
    for hint in ("(did you mean caboose?)", "(did you mean task?)", "(did you mean quote?)"):
        assert hint in err


def test_amend_tries_the_comparison_before_it_writes(folder):
    before = {file.name: file.read_bytes() for file in folder.glob("*.csv")}
    with pytest.raises(TableProblems, match=r"legs.csv row 2, column length: found \"0 mi\""):
        amend(folder, "legs.csv", 2, "length", "0 mile", who="planner", why="a slip", tried=dry_run.stopped_by)
    assert {file.name: file.read_bytes() for file in folder.glob("*.csv")} == before
    done = amend(folder, "legs.csv", 2, "length", "0.5 mile", who="planner", why="measured", tried=dry_run.stopped_by)
    assert done.now == "0.5 mile"


def test_nothing_is_amended_by_one_who_forgets_the_trial(folder):
    before = (folder / "legs.csv").read_bytes()
    with pytest.raises(TypeError, match="tried"):
        amend(folder, "legs.csv", 2, "length", "0 mile", who="planner", why="a slip")
    assert (folder / "legs.csv").read_bytes() == before


def test_a_notebook_loads_through_the_same_door(folder):
    put(folder, "flat_cars.csv", 2, "light_weight", "0 lb")
    with pytest.raises(TableProblems, match="light_weight"):
        hm.load(folder)


def test_a_row_of_which_no_single_cell_is_to_blame_is_named(folder):
    for column in ("low", "likely", "high"):
        put(folder, "tasks.csv", 3, column, "4000")
    (found,) = dry_run.stopped_by(load_museum(folder))
    assert (found.file, found.row) == ("tasks.csv", 3) and found.column in ("low", "likely", "high")
    assert found.found == "4,000" and "work runs past" in found.allowed


def test_two_wrong_cells_are_both_named(folder):
    put(folder, "flat_cars.csv", 2, "light_weight", "0 lb")
    put(folder, "vehicles.csv", 3, "width", "0 ft")
    found = dry_run.stopped_by(load_museum(folder))
    assert {(problem.file, problem.row, problem.column) for problem in found} == {
        ("flat_cars.csv", 2, "light_weight"), ("vehicles.csv", 3, "width")
    }  # fmt: skip
