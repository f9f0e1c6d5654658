"""Where output goes: no input is ever replaced, every place is tested first, nothing raw of the system is shown."""

import errno
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from heritagemove import __main__ as command
from heritagemove.files import saving
from heritagemove.files.outputs import refuse_places
from heritagemove.hand_over.page import files
from heritagemove.museum.museum import load_museum
from heritagemove.units.units import PlannerError

DATA = Path(__file__).resolve().parents[2] / "data"
FEW = ("--trials", "100")


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "data" / "reference")
    shutil.copytree(DATA / "tamber_river", tmp_path / "data" / "museum")
    return tmp_path / "data" / "museum"


@pytest.fixture
def run(capsys):
    def runner(*arguments):
        try:
            status = command.main([str(argument) for argument in arguments])
        except SystemExit as stopped:
            status = stopped.code
        return status, *capsys.readouterr()

    return runner


@pytest.fixture
def no_work(monkeypatch):
    """The comparison must not even begin."""

    def fail(*_, **__):
        raise AssertionError("work began")

    monkeypatch.setattr(command, "compare_paths", fail)


def contents(folder):
    return {file: file.read_bytes() for file in sorted(folder.rglob("*")) if file.is_file()}


def _spellings(folder, tmp_path):
    link, hard, around = tmp_path / "link.html", tmp_path / "hard.html", tmp_path / "around"
    link.symlink_to(folder / "rates.csv")
    os.link(folder / "museum.toml", hard)
    around.symlink_to(folder)
    (folder / "rates.csv.previous").write_text("older prices")
    return [folder / "rates.csv", folder / ".." / "museum" / "tasks.csv", link, hard, around / "risks.csv",
            folder / "RATES.CSV", folder / "rates.csv.previous", folder.parent / "reference" / "limits.csv",
            folder / "museum.toml"]  # fmt: skip


@pytest.mark.parametrize("option", ["--out", "--json", "--pdf"])
def test_no_output_of_a_report_is_a_file_that_is_read(run, folder, tmp_path, no_work, option):
    places = _spellings(folder, tmp_path)
    before = contents(tmp_path)
    for place in places:
        out = () if option == "--out" else ("--out", tmp_path / "page.html")
        status, said, err = run("report", folder, "--vehicle", "caboose", *out, option, place, "--replace", *FEW)
        assert (status, said) == (2, ""), place
        assert f'{option[2:]}: found "{place}", which is ' in err and "of the museum that is read" in err, (place, err)
    assert contents(tmp_path) == before


def test_a_saved_scenario_that_is_read_is_not_replaced_by_the_page(run, folder, tmp_path, no_work):
    kept = tmp_path / "kept" / "crane.json"
    kept.parent.mkdir()
    kept.write_text("{}")
    words = ("report", folder, "--vehicle", "caboose", "--scenarios", kept.parent, "--out", kept, "--replace")
    status, _, err = run(*words)
    assert status == 2 and "which is crane.json" in err and kept.read_text() == "{}"


def test_a_museum_in_a_workbook_is_not_replaced_by_its_answers_or_by_itself(run, folder, tmp_path, no_work):
    book = tmp_path / "book.xlsx"
    assert run("convert", folder, book)[0] == 0
    before = book.read_bytes()
    for place in (book, tmp_path / "BOOK.xlsx", tmp_path / "." / "book.xlsx"):
        status, _, err = run("workbook", book, "--vehicle", "caboose", "--out", place, "--replace", *FEW)
        assert status == 2 and "which is book.xlsx of the museum that is read" in err
        status, _, err = run("convert", book, place, "--replace")
        assert status == 2 and "which is book.xlsx" in err
    assert book.read_bytes() == before and [entry.name for entry in tmp_path.glob("*.xlsx*")] == ["book.xlsx"]
    status, _, err = run("calendar", folder, "--vehicle", "caboose", "--out", folder / "rates.csv", "--replace")
    assert status == 2 and "ends in .ics" in err


def test_a_photograph_that_the_survey_names_is_not_replaced_by_an_answer(run, folder, tmp_path, no_work):
    photo = folder / "photos" / "drawn_caboose.png"
    photo.parent.mkdir(exist_ok=True)
    photo.write_bytes(b"a picture")
    book = folder / "book.xlsx"
    assert run("convert", folder, book)[0] == 0
    for museum in (folder, book):
        for place in (photo, photo.parent / "DRAWN_caboose.png", folder / ".." / folder.name / "photos" / photo.name):
            status, _, err = run("report", museum, "--vehicle", "caboose", "--out", place, "--replace", *FEW)
            assert status == 2 and "which is drawn_caboose.png of the museum that is read" in err
    assert photo.read_bytes() == b"a picture"


def test_a_museum_is_not_converted_over_the_folder_it_is_read_from(run, folder):
    before = contents(folder.parent)
    for place in (folder, folder.parent, folder.parent / "reference"):
        status, _, err = run("convert", folder, place, "--replace")
        assert status == 2 and "where the museum is read from" in err, place
    assert contents(folder.parent) == before


def test_the_library_refuses_the_same(museum, samples, folder):
    from heritagemove.compare.comparison import compare_paths

    own = load_museum(folder)
    comparison = compare_paths(own, "caboose", samples=samples)
    with pytest.raises(PlannerError, match=r"which is rates.csv of the museum that is read"):
        files.write_report(comparison, folder / "rates.csv", replace=True)


def test_all_places_are_tested_before_work_begins_and_all_problems_told(run, folder, tmp_path, no_work):
    (tmp_path / "file").touch()
    words = ("report", folder, "--vehicle", "caboose", "--out", tmp_path / "none" / "a.html")
    status, said, err = run(*words, "--json", tmp_path / "file" / "b.json", "--pdf", tmp_path)
    assert (status, said, err.count("\n")) == (2, "", 3)
    assert "whose folder is not there" in err and "whose folder is a file" in err and "which is a folder" in err


def test_nothing_is_written_when_one_of_several_outputs_cannot_be(run, folder, tmp_path, monkeypatch):
    """The second file meets a full disk, when the first is ready."""
    staged, seen = saving._staged, []

    def full(path, data, mode):
        seen.append(path.name)
        if path.name == "page.json":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
        return staged(path, data, mode)

    monkeypatch.setattr(saving, "_staged", full)
    out = tmp_path / "out"
    out.mkdir()
    places = ("--out", out / "page.html", "--json", out / "page.json")
    status, said, err = run("report", folder, "--vehicle", "caboose", *places, *FEW)
    assert (status, said) == (2, "") and seen == ["page.html", "page.json"]
    assert err == "page.json was not saved: the disk is full; nothing was written\n"
    assert list(out.iterdir()) == []


def test_a_print_without_a_browser_is_refused_before_the_work(run, folder, tmp_path, no_work, monkeypatch):
    monkeypatch.setattr(files.shutil, "which", lambda _: None)
    status, _, err = run("report", folder, "--out", tmp_path / "a.html", "--pdf", tmp_path / "a.pdf")
    assert status == 2 and "found no Chromium" in err and not (tmp_path / "a.html").exists()


@pytest.mark.parametrize(
    ("code", "words"),
    [(errno.EROFS, "can only be read"), (errno.EACCES, "may not be written by you"), (errno.ENOSPC, "the disk is full")],
)
def test_a_place_that_cannot_be_written_is_said_in_one_sentence(tmp_path, monkeypatch, code, words):
    """The super-user may write anywhere, so the refusal is the system's own answer put in by hand."""

    def refuse(*_, **__):
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(tempfile, "mkstemp", refuse)
    with pytest.raises(PlannerError) as caught:
        refuse_places({"out": tmp_path / "page.html"})
    assert words in str(caught.value) and "Errno" not in str(caught.value) and str(caught.value).count("\n") == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device /dev/full")
def test_a_device_is_no_place_for_a_file(run, folder, no_work):
    status, _, err = run("report", folder, "--vehicle", "caboose", "--out", "/dev/full", "--replace")
    assert status == 2 and 'found "/dev/full", which is a device; allowed: an ordinary file' in err
    assert Path("/dev/full").is_char_device()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device /dev/full")
@pytest.mark.parametrize("words", [["summary"], ["check"]])
def test_output_that_cannot_be_written_is_said_in_one_sentence(folder, words):
    with open("/dev/full", "w") as full:
        program = [sys.executable, "-m", "heritagemove", *words, folder]
        ran = subprocess.run(program, stdout=full, stderr=subprocess.PIPE, text=True)
    assert (ran.returncode, ran.stderr) == (2, "The output could not be written: the disk is full.\n")


LONG = "x" * 300


@pytest.mark.parametrize(
    "words",
    [["check", LONG], ["check", LONG + ".xlsx"], ["check", "--watch", LONG], ["summary", LONG], ["new", LONG],
     ["new", LONG + ".xlsx"], ["convert", "{museum}", LONG], ["convert", "{museum}", LONG + ".xlsx"], ["new", LONG + "/x"],
     ["report", "{museum}", "--out", LONG], ["report", "{museum}", "--out", "page.html", "--scenarios", LONG],
     ["workbook", "{museum}", "--vehicle", "caboose", "--out", LONG + ".xlsx"],
     ["calendar", "{museum}", "--vehicle", "caboose", "--out", LONG + ".ics"]],
)  # fmt: skip
def test_a_name_of_300_letters_is_said_in_one_sentence(run, folder, tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    if words[:2] == ["check", "--watch"]:
        monkeypatch.setattr("heritagemove.editing.watching.time.sleep", lambda _: (_ for _ in ()).throw(KeyboardInterrupt))
    status, said, err = run(*(word.format(museum=folder) for word in words))
    told = err or said
    assert "Errno" not in told and "Traceback" not in told and "allowed" in told
    assert status == 2 or "--watch" in words
    assert len(told) < 700
    assert "museum.toml name" not in told and "museum.toml was" not in told


def test_a_file_where_a_folder_is_expected_is_called_a_file(run, folder, tmp_path):
    for words in (["check", folder / "rates.csv"], ["convert", folder / "rates.csv", tmp_path / "x"]):
        status, _, err = run(*words)
        assert status == 2 and 'rates.csv: found "a file"; allowed: a folder with museum.toml' in err
    status, _, err = run("convert", folder, folder / "rates.csv", "--replace")
    assert status == 2 and "which is a file; allowed: a new folder" in err
    status, _, err = run("new", folder / "rates.csv" / "museum")
    assert status == 2 and "allowed: a name in a folder that exists" in err
    status, _, err = run("report", folder, "--out", tmp_path / "a.html", "--scenarios", folder / "rates.csv")
    assert status == 2 and "allowed: a folder with saved scenarios" in err


def test_new_does_not_speak_of_an_option_it_lacks(run, folder, tmp_path):
    (tmp_path / "book.xlsx").touch()
    for place in (folder, folder / "rates.csv", tmp_path / "book.xlsx"):
        status, _, err = run("new", place)
        assert status == 2 and "--replace" not in err and "allowed: a new" in err
    assert "or replace it (--replace)" in run("convert", folder, tmp_path / "book.xlsx")[2]
