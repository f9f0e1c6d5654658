"""A museum written over another: whole, with what it held before beside it, and with a planner's comments."""

import os
import shutil
import tempfile
from pathlib import Path

import pytest

from heritagemove import __main__ as command
from heritagemove.editing.first_steps import prints, write_answers
from heritagemove.editing.writing import typed, write_museum
from heritagemove.files.xlsx_tables import workbook_bytes
from heritagemove.museum.museum import load_museum
from heritagemove.museum.scenario_file import amended_text, scenario_text

DATA = Path(__file__).resolve().parents[2] / "data"


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    shutil.copytree(DATA / "tamber_river", tmp_path / "museum")
    return tmp_path / "museum"


def run(*words):
    return command.main([str(word) for word in words])


def test_comments_photographs_and_the_old_folder_survive_a_folder_that_is_replaced(folder, tmp_path):
    text = (folder / "museum.toml").read_text(encoding="utf-8")
    noted = text.replace("\nstart = ", "\n# The council asked for March.\nstart = ", 1)
    (folder / "museum.toml").write_text(noted, encoding="utf-8")
    (folder / "photos").mkdir(exist_ok=True)
    (folder / "photos" / "box_1L.jpg").write_bytes(b"box")
    assert run("convert", folder, tmp_path / "book.xlsx") == 0
    changed = load_museum(folder).scenario.start.replace(day=9)
    edited = (folder / "museum.toml").read_text(encoding="utf-8").replace(f"start = {load_museum(folder).scenario.start}",
                                                                          f"start = {changed}")  # fmt: skip
    (folder / "museum.toml").write_text(edited, encoding="utf-8")
    before = {file.name: file.read_bytes() for file in folder.glob("*.*")}
    for number in ("", ".2"):
        assert run("convert", tmp_path / "book.xlsx", folder, "--replace") == 0
        assert (tmp_path / f"museum.previous{number}").is_dir()
    kept = {file.name: file.read_bytes() for file in (tmp_path / "museum.previous").glob("*.*")}
    assert kept == before
    assert (folder / "museum.toml").read_text(encoding="utf-8") == noted
    assert (folder / "photos" / "box_1L.jpg").read_bytes() == b"box"
    assert sorted(entry.name for entry in tmp_path.iterdir() if entry.name.startswith(".")) == []


def test_no_version_of_a_workbook_is_lost(folder, tmp_path):
    book = tmp_path / "book.xlsx"
    assert run("convert", folder, book) == 0
    for held in (b"one", b"two"):
        book.write_bytes(held)
        assert run("convert", folder, book, "--replace") == 0
    kept = [(tmp_path / f"book.xlsx.previous{number}").read_bytes() for number in ("", ".2")]
    assert kept == [b"one", b"two"] and load_museum(book).digest() == load_museum(folder).digest()


def test_a_copy_of_a_folder_takes_the_comments_along(folder, tmp_path):
    (folder / "museum.toml").write_text("# ours\n" + (folder / "museum.toml").read_text(encoding="utf-8"), encoding="utf-8")
    assert run("convert", folder, tmp_path / "copy") == 0
    assert (tmp_path / "copy" / "museum.toml").read_bytes() == (folder / "museum.toml").read_bytes()


def test_answers_by_form_keep_comments_and_are_written_together(folder):
    text = (folder / "museum.toml").read_text(encoding="utf-8")
    (folder / "museum.toml").write_text(text.replace("\n", "  # as we say\n", 1), encoding="utf-8")
    before, read = typed(folder), prints(folder)
    scenario = before.scenario.model_copy(update={"place": "Pell Mill"})
    assert write_answers(before, type(before)(scenario, before.tables, before.toml), folder, read) == ("museum.toml",)
    assert "# as we say" in (folder / "museum.toml").read_text(encoding="utf-8")
    assert load_museum(folder).scenario.place == "Pell Mill"


def test_a_text_that_cannot_be_amended_is_written_anew(museum):
    for old in ("= broken", "[" * 900, "sliders = 5\n"):
        assert amended_text(old, museum.scenario) == scenario_text(museum.scenario)


def test_the_writer_of_workbooks_leaves_nothing_in_the_systems_folder(tmp_path, monkeypatch):
    """Killed or not: it makes no file there at all."""

    def refuse(*_, **__):
        raise AssertionError("a temporary file was made")

    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(tempfile, "NamedTemporaryFile", refuse)
    monkeypatch.setattr("openpyxl.worksheet._writer.NamedTemporaryFile", refuse)
    assert workbook_bytes({"rates": [["rate"], ["crane"]]}).startswith(b"PK") and os.listdir(tmp_path) == []


def test_a_folder_built_by_a_killed_process_is_cleared_at_the_next_start(folder, tmp_path):
    (tmp_path / ".museum.ab12cd34.part").mkdir()
    (tmp_path / ".museum.ab12cd34.part" / "rates.csv").touch()
    (tmp_path / ".other.ab12cd34.part").mkdir()
    load_museum(folder)
    assert sorted(entry.name for entry in tmp_path.iterdir()) == [".other.ab12cd34.part", "museum", "reference"]


def test_a_folder_that_cannot_be_read_is_said_in_one_sentence(folder, tmp_path, capsys):
    os.mkfifo(folder / "pipe")
    write = lambda: write_museum(typed(DATA / "tamber_river"), folder, replace=True)  # noqa: E731
    with pytest.raises(OSError, match="museum was not saved: pipe cannot be copied; what it held before is unchanged"):
        write()
    assert len(load_museum(folder).vehicles) and sorted(p.name for p in tmp_path.iterdir()) == ["museum", "reference"]
