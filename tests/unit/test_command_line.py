"""The command line: exit statuses, the three formats, and what a planner reads when an argument is wrong."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from heritagemove import __main__ as command
from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.watching import checks
from heritagemove.files import saving
from heritagemove.hand_over.figures import as_csv
from heritagemove.hand_over.page import files
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw

FOLDER = str(Path(__file__).resolve().parents[2] / "data" / "tamber_river")
FEW = ("--trials", "200")
PARTS = {"p10", "p50", "p80", "p90", "mean"}


@pytest.fixture
def run(capsys):
    """Run the command line; return exit status, output and errors."""

    def runner(*arguments):
        try:
            status = command.main([str(argument) for argument in arguments])
        except SystemExit as stopped:
            status = stopped.code
        return status, *capsys.readouterr()

    return runner


@pytest.fixture
def figures(run):
    def asked(vehicle="caboose", *more):
        status, out, err = run("compare", FOLDER, "--vehicle", vehicle, "--format", "json", *FEW, *more)
        assert (status, err) == (0, "")
        return json.loads(out)

    return asked


def test_check_says_how_much_it_read_and_that_nothing_is_wrong(run, museum):
    status, out, err = run("check", FOLDER)
    assert (status, err) == (0, "")
    assert out.startswith(f"{FOLDER}: ") and out.endswith("rows read; no problems found.\n")


def test_check_of_a_folder_that_is_not_there_fails_with_status_2(run, tmp_path):
    status, out, err = run("check", tmp_path / "nowhere")
    assert (status, out) == (2, "")
    assert 'nowhere: found "no such folder"; allowed: a folder with museum.toml and tables' in err


def test_check_of_a_folder_without_tables_names_every_table(run, tmp_path):
    status, out, err = run("check", tmp_path)
    assert (status, out) == (2, "")
    assert "museum.toml: found" in err and "tasks.csv: found" in err and "Traceback" not in err


@pytest.fixture(scope="module")
def new(tmp_path_factory):
    """The starter museum as the command line writes it."""
    folder = tmp_path_factory.mktemp("planner") / "our museum"
    assert command.main(["new", str(folder)]) == 0
    return folder


def test_new_writes_a_museum_that_checks_clean_and_says_what_to_replace(run, new, museum):
    status, out, err = run("check", new)
    assert (status, err) == (0, "") and "no problems found" in out
    begun = load_museum(new)
    assert [unit.vehicle for unit in begun.vehicles] == ["our_unit"]
    assert {path.path for path in begun.paths} < {path.path for path in museum.paths}
    assert {rate.source for rate in begun.rates if rate.basis != "published"} == {
        "replace with a quote", "nobody has said that the owner charges for waiting"
    }  # fmt: skip
    assert {row.found for row in begun.survey if row.clue != "rail_connection"} == {"unknown"}
    assert not any((begun.quotes, begun.actuals, begun.funds))
    text = " ".join((new / file.name).read_text(encoding="utf-8") for file in new.glob("*.*"))
    assert "foundry_switcher" not in text and "Tamber" not in (new / "museum.toml").read_text(encoding="utf-8")


def test_the_readme_of_a_new_museum_has_a_line_for_each_file(new):
    lines = (new / "README.md").read_text(encoding="utf-8").splitlines()
    for file in new.iterdir():
        assert file.name == "README.md" or any(line.startswith(f"- `{file.name}`: ") for line in lines), file.name


def test_a_new_museum_gives_an_answer_and_claims_no_path_it_knows_nothing_of(run, new):
    status, out, _ = run("compare", new, "--vehicle", "our_unit", "--format", "json", *FEW)
    statuses = {path["path"]: path["status"] for path in json.loads(out)["paths"]}
    assert status == 0 and statuses["own_wheels"] == "unknown"


def test_new_never_writes_over_what_is_there(run, new, tmp_path):
    before = (new / "rates.csv").read_bytes()
    for place, what in ((new, "which exists"), (new / "rates.csv", "which is a file")):
        status, out, err = run("new", place)
        assert (status, out) == (2, "") and err.endswith(f", {what}; allowed: a new folder\n")
    assert (new / "rates.csv").read_bytes() == before
    assert run("new", tmp_path / "nowhere" / "museum")[0] == 2
    assert list(tmp_path.iterdir()) == []


def test_a_museum_becomes_a_workbook_and_comes_back_the_same(run, new, tmp_path):
    book, back = tmp_path / "museum.xlsx", tmp_path / "back"
    assert run("convert", new, book)[0] == run("convert", book, back)[0] == 0
    assert load_museum(book).digest() == load_museum(back).digest() == load_museum(new).digest()
    for file in new.glob("*.csv"):
        assert (back / file.name).read_bytes() == file.read_bytes(), file.name
    status, _, err = run("convert", new, book)
    assert status == 2 and "which exists; allowed: a new file, or replace it (--replace)" in err
    assert run("convert", new, book, "--replace")[0] == 0
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["back", "museum.xlsx", "museum.xlsx.previous"]


def _weighing(text, weight):
    """Return vehicles.csv with a weight in the starter's blank cell."""
    return text.replace(",1950,,10 %", f",1950,{weight},10 %")


def test_every_value_is_shown_as_typed_beside_as_read(run, new):
    edited = (new / "vehicles.csv").read_text(encoding="utf-8")
    (new / "vehicles.csv").write_text(_weighing(edited, "115 short_ton"), encoding="utf-8")
    status, out, _ = run("check", new, "--as-read")
    (new / "vehicles.csv").write_text(edited, encoding="utf-8")
    assert status == 0
    assert "  row   2  weight                     115 short_ton            = 230,000 lb\n" in out
    assert "  row   2  built                      1950                     = 1950\n" in out


def test_two_spellings_of_one_value_have_the_same_totals_and_another_value_has_not(run, new):
    totals = {}
    text = (new / "vehicles.csv").read_text(encoding="utf-8")
    for weight in ('"230,000 lb"', "230000lb", "115 short_ton", "104326.24510 kg", '"230,001 lb"', ""):
        (new / "vehicles.csv").write_text(_weighing(text, weight), encoding="utf-8")
        status, totals[weight], _ = run("summary", new)
        assert status == 0
    (new / "vehicles.csv").write_text(text, encoding="utf-8")
    same = [totals[weight] for weight in ('"230,000 lb"', "230000lb", "115 short_ton", "104326.24510 kg")]
    assert len(set(same)) == 1 and "vehicles weight total = 230,000 lb\n" in same[0]
    assert "vehicles weight total = 230,001 lb\n" in totals['"230,001 lb"']
    assert "vehicles weight unknown = 1\n" in totals[""]
    assert "rates rows = " in same[0] and "road route = " in same[0]


def test_a_watched_museum_is_checked_again_at_each_save(new):
    """A half-saved file is not read: the check waits until the folder is still."""
    path = new / "rates.csv"
    text = path.read_text(encoding="utf-8")
    heading, _, rest = text.partition("\n")
    nothing, lock = (lambda: None), (lambda: (new / "~lock.csv").touch())
    half, wrong = (lambda: path.write_text(heading + "\n")), (lambda: path.write_text(heading + "\nsoon" + rest[4:]))
    steps = iter([nothing, half, wrong, nothing, lock, lambda: path.write_text(text), nothing])
    seen = checks(new, wait=lambda _: next(steps)())
    assert next(seen) == ((), "")
    changed, problems = next(seen)
    assert changed == ("rates.csv",) and "cost_lines.csv row" in problems and "no such file" not in problems
    assert next(seen) == (("rates.csv",), "")
    (new / "~lock.csv").unlink()


def test_watching_says_what_was_saved_and_stops_quietly(run, new, monkeypatch):
    def shown(*_):
        yield (), ""
        yield ("rates.csv",), "1 problem in our museum; nothing was loaded."
        raise KeyboardInterrupt

    monkeypatch.setattr("heritagemove.editing.watching.checks", shown)
    status, out, err = run("check", new, "--watch")
    first, second, _ = out.split("\n", 2)
    assert (status, err, first) == (0, "", "No problems found.")
    assert second.endswith("rates.csv saved. 1 problem in our museum; nothing was loaded.")


def test_the_module_runs_as_a_program_and_needs_no_display(tmp_path):
    ran = subprocess.run([sys.executable, "-m", "heritagemove", "--version"], capture_output=True, text=True, cwd=tmp_path)
    assert ran.returncode == 0
    assert ran.stdout.startswith("heritagemove ")


def test_json_has_the_documented_keys_and_statuses(figures):
    content = figures()
    assert set(content) == {"vehicle", "settings", "seed", "trials", "estimating_error", "deadline", "confidence", "paths",
                            "choice", "fallback", "decide_by", "switch_by", "sentence", "decision"}  # fmt: skip
    assert (content["vehicle"], content["settings"], content["trials"]) == ("caboose", {}, 200)
    for path in content["paths"]:
        assert set(path) == {"path", "number", "title", "status", "reasons", "flips", "cost_usd", "donated_usd", "off_site",
                             "arrived", "closed", "chance_by_deadline", "chance_of_gates", "provisional",
                             "with_fallback"}  # fmt: skip
        assert path["status"] in ("clear", "caution", "blocked", "unknown")
        assert set(path["closed"]) == PARTS
        assert path["cost_usd"] is None or set(path["cost_usd"]) == PARTS
        assert path["off_site"] is None or set(path["off_site"]) == PARTS
        assert path["with_fallback"] is None or set(path["with_fallback"]) == {"fallback", "chance_by_deadline", "cost_usd"}
    assert [path["number"] for path in content["paths"]] == list(range(1, 12))
    assert {content["choice"], content["fallback"]} <= {path["path"] for path in content["paths"]}


def test_json_is_the_comparison_of_the_library(figures, museum):
    assert figures() == json.loads(json.dumps(compare_paths(museum, "caboose", {}, draw(museum, trials=200)).as_json()))


def test_csv_has_a_row_a_path_with_the_figures_of_the_json(run, figures):
    status, out, _ = run("compare", FOLDER, "--vehicle", "caboose", "--format", "csv", *FEW)
    rows = list(csv.DictReader(io.StringIO(out)))
    content = figures()
    assert status == 0
    assert [row["path"] for row in rows] == [path["path"] for path in content["paths"]]
    for row, path in zip(rows, content["paths"], strict=True):
        assert row["status"] == path["status"]
        assert row["cost_usd_p80"] == str(path["cost_usd"]["p80"])
        assert row["off_site_p50"] == (path["off_site"]["p50"] if path["off_site"] else "")
        played = path["with_fallback"]
        assert row["with_fallback_cost_usd_p80"] == (str(played["cost_usd"]["p80"]) if played else "")
        assert row["choice"] == content["choice"]
        assert not any("{" in value for value in row.values())


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_csv_gives_a_spreadsheet_no_formula_to_run(museum, start):
    """A title is a planner's text; a number below zero stays a number."""
    hostile = start + 'HYPERLINK("http://192.0.2.1")'
    paths = tuple(row.model_copy(update={"title": hostile}) for row in museum.paths)
    comparison = compare_paths(museum.with_changes(paths=paths), "foundry_switcher", {}, draw(museum, trials=100))
    rows = list(csv.DictReader(io.StringIO(as_csv(comparison), newline="")))
    assert {row["title"] for row in rows} == {"'" + hostile}
    cheapest = min(result.cost.p10 for result in comparison.paths if result.cost)
    assert any(float(row["cost_usd_p10"] or "nan") == round(cheapest, 2) for row in rows)


def test_the_table_begins_with_the_decision_and_ends_with_the_caution(run, museum):
    status, out, _ = run("compare", FOLDER, "--vehicle", "caboose", *FEW)
    assert status == 0
    assert out.startswith(museum.vehicle("caboose").name + ": ")
    for path in museum.paths:
        assert f"{path.number:>2}  {path.path}" in out
    assert out.rstrip().endswith(next(row.text for row in museum.cautions if "every" in row.screens))
    assert max(map(len, (line for line in out.splitlines() if line[:2].strip().isdigit()))) <= 100


def test_a_setting_in_kilometres_is_the_same_as_in_miles(figures):
    miles = figures("caboose", "--set", "haul_distance=120 mile")
    kilometres = figures("caboose", "--set", "haul_distance=193.12128 km")
    assert miles["settings"] == {"haul_distance": 120}
    assert kilometres["settings"]["haul_distance"] == pytest.approx(120, rel=1e-12)
    for one, other in zip(miles["paths"], kilometres["paths"], strict=True):
        assert one["cost_usd"] == pytest.approx(other["cost_usd"])
        assert (one["off_site"], one["status"], one["reasons"]) == (other["off_site"], other["status"], other["reasons"])
    assert miles["paths"] != figures()["paths"]


def test_settings_may_be_repeated_and_a_bare_number_is_in_the_drivers_own_unit(figures):
    content = figures("foundry_switcher", "--set", "axles=6", "--set", "crane_hours=20")
    assert content["settings"] == {"axles": 6, "crane_hours": 20}


def test_the_same_seed_gives_the_same_figures_and_another_seed_others(figures):
    assert figures("caboose", "--seed", "7") == figures("caboose", "--seed", "7")
    assert figures("caboose", "--seed", "7")["paths"] != figures("caboose", "--seed", "8")["paths"]


def test_the_estimating_error_is_left_out_on_demand_and_the_output_says_which(figures):
    usual, without = figures("caboose"), figures("caboose", "--no-estimating-error")
    assert usual["estimating_error"] and not without["estimating_error"]
    for one, other in zip(usual["paths"], without["paths"], strict=True):
        if one["cost_usd"]:
            wide, narrow = (path["cost_usd"]["p90"] - path["cost_usd"]["p10"] for path in (one, other))
            assert wide > narrow, one["path"]


@pytest.mark.parametrize(
    ("arguments", "found", "allowed"),
    [
        (["--vehicle", "tram"], 'vehicle: found "tram"', "foundry_switcher"),
        (["--set", "crane_hour=2"], 'found "crane_hour"', "(did you mean crane_hours?)"),
        (["--set", "task_days=2"], 'found "task_days"', "crane_hours"),
        (["--set", "axles=1000"], 'axles: found "1000"', "a whole number from 1 to 64"),
        (["--set", "axles=4.5"], 'axles: found "4.5"', "a whole number from 1 to 64"),
        (["--set", "haul_distance=-5"], 'haul_distance: found "-5"', "above 0"),
        (["--set", "haul_distance=0"], 'haul_distance: found "0"', "above 0"),
        (["--set", "haul_distance=5 lb"], 'haul_distance: found "5 lb"', "6 mile"),
        (["--set", "crane_hours=nan"], 'crane_hours: found "nan"', "at least 0"),
        (["--set", "crane_hours=inf"], 'crane_hours: found "inf"', "at least 0"),
        (["--set", "crane_hours=10**9"], 'crane_hours: found "10**9"', "at least 0"),
        (["--set", "crane_hours"], '--set: found "crane_hours"', "NAME=AMOUNT, such as crane_hours=20"),
        (["--set", "crane_hours="], '--set: found "crane_hours="', "NAME=AMOUNT, such as crane_hours=20"),
        (["--trials", "99"], "--trials: found 99", "a whole number from 100 to 1,000,000"),
        (["--trials", "1000001"], "--trials: found 1,000,001", "a whole number from 100 to 1,000,000"),
        (["--seed", "-1"], "--seed: found -1", "a whole number from 0 to 4294967295"),
    ],
)
def test_a_wrong_argument_gives_one_line_and_status_2(run, arguments, found, allowed):
    given = arguments if "--vehicle" in arguments else ["--vehicle", "caboose", *arguments]
    given = given if "--trials" in given else [*given, *FEW]
    status, out, err = run("compare", FOLDER, *given)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    before, _, after = err.partition("; allowed: ")
    assert found in before
    assert allowed in after


def test_a_format_that_is_none_lists_the_three(run):
    status, out, err = run("compare", FOLDER, "--vehicle", "caboose", "--format", "xml")
    assert (status, out) == (2, "")
    assert all(f"'{name}'" in err or name in err for name in ("table", "csv", "json"))


def test_report_writes_a_page_and_says_where(run, tmp_path):
    page = tmp_path / "page.html"
    status, out, err = run("report", FOLDER, "--vehicle", "caboose", "--out", page, *FEW)
    assert (status, err) == (0, "")
    assert out == f"Wrote {page} ({page.stat().st_size / 1024:,.0f} KiB).\n"
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert [entry.name for entry in tmp_path.iterdir()] == ["page.html"]


def test_report_replaces_a_file_only_when_told_to(run, tmp_path):
    page = tmp_path / "page.html"
    page.write_text("the committee's copy")
    arguments = ("report", FOLDER, "--vehicle", "caboose", "--out", page, *FEW)
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert err == f'out: found "{page}", which exists; allowed: a new file, or replace it (--replace)\n'
    assert page.read_text() == "the committee's copy"
    assert run(*arguments, "--replace")[0] == 0
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_report_into_a_folder_that_is_not_there_writes_nothing(run, tmp_path):
    status, out, err = run("report", FOLDER, "--vehicle", "caboose", "--out", tmp_path / "new" / "page.html", *FEW)
    assert (status, out) == (2, "")
    assert err.endswith("allowed: a file in a folder that exists\n")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("moment", ["unit_page", "replace"])
def test_a_page_that_fails_half_way_leaves_the_old_one_and_no_scraps(run, tmp_path, monkeypatch, moment):
    def fail(*_, **__):
        raise OSError("No space left on device")

    page = tmp_path / "page.html"
    page.write_text("the committee's copy")
    monkeypatch.setattr(*((files, moment, fail) if moment == "unit_page" else (saving.os, "replace", fail)))
    status, out, err = run("report", FOLDER, "--vehicle", "caboose", "--out", page, "--replace", *FEW)
    assert (status, out) == (2, "") and "No space left on device" in err and err.count("\n") == 1
    assert page.read_text() == "the committee's copy"
    assert [entry.name for entry in tmp_path.iterdir()] == ["page.html"]


def test_report_of_several_units_fills_a_folder_with_a_page_each_and_one_that_leads_to_them_or_nothing(run, tmp_path):
    pages, twin = tmp_path / "pages", tmp_path / "pages.json"
    words = ["report", FOLDER, "--vehicle", "caboose", "--vehicle", "boxcar", *FEW]
    assert run(*words, "--out", pages, "--json", twin)[0] == 0
    assert [unit["vehicle"] for unit in json.loads(twin.read_text())["units"]] == ["caboose", "boxcar"]
    assert sorted(file.name for file in pages.iterdir()) == ["boxcar.html", "caboose.html", "index.html"]
    assert all(f'href="{name}.html"' in (pages / "index.html").read_text() for name in ("caboose", "boxcar"))
    (pages / "caboose.html").unlink()
    status, _, err = run(*words, "--out", pages, "--json", twin)
    assert (
        status == 2
        and err.count("\n") == 3
        and "boxcar.html" in err
        and "index.html" in err
        and f'json: found "{twin}"' in err
    )
    assert not (pages / "caboose.html").exists()
    status, _, err = run(*words, "--out", twin)
    assert status == 2 and "which is a file; allowed: a folder" in err


def test_a_folder_of_pages_that_cannot_be_filled_goes_again(run, tmp_path, monkeypatch):
    monkeypatch.setattr(saving.os, "replace", lambda *_: (_ for _ in ()).throw(OSError("No space left on device")))
    status, _, err = run("report", FOLDER, "--vehicle", "caboose", "--vehicle", "boxcar", "--out", tmp_path / "pages", *FEW)
    assert status == 2 and "No space left" in err and list(tmp_path.iterdir()) == []


_HANDED_OVER = [
    ("workbook", "all.xlsx", b"PK", ()),
    ("calendar", "plan.ics", b"BEGIN:VCALENDAR", ()),
    ("request", "ask.html", b"<!doctype html>", ("--of", "hauler")),
    ("day", "day.html", b"<!doctype html>", ()),
]


@pytest.mark.parametrize(("command", "file", "begins", "more"), _HANDED_OVER)
def test_what_is_handed_over_is_written_once_and_replaced_only_when_told(run, tmp_path, command, file, begins, more):
    out = tmp_path / file
    arguments = (command, FOLDER, "--vehicle", "caboose", "--out", out, *more, *FEW)
    status, said, err = run(*arguments)
    assert status == 0 and said.startswith(f"Wrote {out}") and err == "" and out.read_bytes().startswith(begins)
    out.write_bytes(b"mine")
    status, said, err = run(*arguments)
    assert status == 2 and said == "" and "allowed" in err and out.read_bytes() == b"mine"
    assert run(*arguments, "--replace")[0] == 0 and out.read_bytes().startswith(begins)


def test_a_workbook_of_another_name_or_a_unit_that_is_not_there_writes_nothing(run, tmp_path):
    status, _, err = run("workbook", FOLDER, "--vehicle", "caboose", "--out", tmp_path / "all.csv", *FEW)
    assert status == 2 and ".xlsx" in err
    status, _, err = run("calendar", FOLDER, "--vehicle", "tender", "--out", tmp_path / "plan.ics", *FEW)
    assert status == 2 and "tender" in err and list(tmp_path.iterdir()) == []


def test_work_that_is_stopped_says_so_and_has_the_status_of_shells(run, tmp_path, monkeypatch):
    def stop(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("heritagemove.__main__.compare_paths", stop)
    status, out, err = run("report", FOLDER, "--vehicle", "caboose", "--out", tmp_path / "page.html", *FEW)
    assert (status, out) == (130, "") and err.startswith("Stopped.") and list(tmp_path.iterdir()) == []
