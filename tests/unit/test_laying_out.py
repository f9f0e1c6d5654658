"""Notebooks and demo laid out in a planner's folder: what is brought up to date, what stays hers, and Windows' refusals."""

import json
import os
import shutil
import tomllib
from pathlib import Path

import pytest

from heritagemove import __main__ as command
from heritagemove.editing import laying_out
from heritagemove.editing.amending import amend
from heritagemove.editing.laying_out import lay_out
from heritagemove.files.outputs import refuse_places
from heritagemove.files.saving import NotSaved
from heritagemove.museum.museum import load_museum
from heritagemove.panels.explorer import _free_name
from heritagemove.units.units import PlannerError

TOP = Path(__file__).resolve().parents[2]


class InUse(PermissionError):
    """As Windows refuses to replace a file that a spreadsheet holds open."""

    winerror = 32


class Stopped:
    """A server that was stopped with Ctrl-C, and takes a moment to end."""

    def __init__(self):
        self.asked = 0

    def wait(self):
        self.asked += 1
        if self.asked == 1:
            raise KeyboardInterrupt


@pytest.fixture
def version(tmp_path, monkeypatch):
    """A version of the package with few notebooks, which a test may change into the next version."""
    shipped = tmp_path / "package"
    shutil.copytree(TOP / "data", shipped / "data")
    (shipped / "notebooks").mkdir()
    for name in ("start_here.ipynb", "committee.ipynb"):
        shutil.copy(TOP / "notebooks" / name, shipped / "notebooks" / name)
    monkeypatch.setattr(laying_out, "shipped", lambda name: shipped / "data" / name)
    return shipped


def recelled(file, text):
    content = json.loads(file.read_text(encoding="utf-8"))
    content["cells"][0]["source"] = text
    file.write_text(json.dumps(content), encoding="utf-8")


def test_what_is_laid_out_loads_and_the_second_start_has_nothing_to_do(tmp_path, version):
    mine = tmp_path / "mine"
    assert "laid out" in lay_out(mine).lines()[0]
    assert load_museum(mine / "data" / "tamber_river").scenario.name
    assert (mine / "notebooks" / "start_here.ipynb").is_file()
    assert lay_out(mine).lines() == []


def test_the_next_version_brings_what_was_not_changed_and_leaves_the_planners_own(tmp_path, version):
    mine = tmp_path / "mine"
    lay_out(mine)
    recelled(mine / "notebooks" / "committee.ipynb", "# Ours")
    (mine / "notebooks" / "own.ipynb").write_text("{}")
    for name in ("start_here", "committee"):
        recelled(version / "notebooks" / f"{name}.ipynb", "# Next version")
    done = lay_out(mine)
    assert done.written == ["notebooks/start_here.ipynb"] and done.changed == ["notebooks/committee.ipynb"]
    assert "# Ours" in (mine / "notebooks" / "committee.ipynb").read_text()
    assert "Left as you changed them: notebooks/committee.ipynb" in "\n".join(done.lines())
    (mine / "notebooks" / "committee.ipynb").rename(mine / "notebooks" / "our_committee.ipynb")
    assert lay_out(mine).written == ["notebooks/committee.ipynb"]


def test_a_notebook_that_was_only_run_and_a_table_with_windows_line_ends_are_brought_up_to_date(tmp_path, version):
    mine = tmp_path / "mine"
    lay_out(mine)
    run = mine / "notebooks" / "start_here.ipynb"
    content = json.loads(run.read_text(encoding="utf-8"))
    for cell in content["cells"]:
        if cell["cell_type"] == "code":
            cell |= {"execution_count": 3, "outputs": [{"output_type": "stream", "name": "stdout", "text": "seen"}]}
    run.write_text(json.dumps(content), encoding="utf-8")
    rates = mine / "data" / "tamber_river" / "rates.csv"
    rates.write_bytes(b"\xef\xbb\xbf" + rates.read_bytes().replace(b"\n", b"\r\n"))
    recelled(version / "notebooks" / "start_here.ipynb", "# Next version")
    table = version / "data" / "tamber_river" / "rates.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("crane", "Crane"), encoding="utf-8")
    assert set(lay_out(mine).written) == {"notebooks/start_here.ipynb", "data/tamber_river/rates.csv"}
    assert rates.read_bytes() == table.read_bytes()


def test_the_tables_of_a_demo_that_was_changed_stay_together(tmp_path, version):
    mine = tmp_path / "mine"
    lay_out(mine)
    tasks = mine / "data" / "tamber_river" / "tasks.csv"
    tasks.write_text(tasks.read_text(encoding="utf-8").replace("letter", "paper"), encoding="utf-8")
    table = version / "data" / "tamber_river" / "rates.csv"
    table.write_text(table.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    done = lay_out(mine)
    assert done.changed == ["data/tamber_river"] and done.written == []


def test_a_file_that_is_open_elsewhere_is_named_and_the_next_start_catches_up(tmp_path, version, monkeypatch):
    mine = tmp_path / "mine"
    lay_out(mine)
    for name in ("start_here", "committee"):
        recelled(version / "notebooks" / f"{name}.ipynb", "# Next version")
    replace = os.replace

    def in_use(source, target):
        if Path(target).name == "committee.ipynb":
            raise InUse(13, "The process cannot access the file because it is being used by another process")
        replace(source, target)

    with monkeypatch.context() as windows:
        windows.setattr(os, "replace", in_use)
        done = lay_out(mine)
    assert done.written == ["notebooks/start_here.ipynb"]
    assert "committee.ipynb was not saved: another program, such as a spreadsheet, holds it open" in done.refused[0]
    assert lay_out(mine).written == ["notebooks/committee.ipynb"]
    assert not list(mine.rglob("*.part"))


@pytest.mark.parametrize("open_file", ["rates.csv", "changes.csv"])
def test_an_amendment_of_a_table_that_is_open_elsewhere_is_refused_whole(tmp_path, monkeypatch, open_file):
    museum_copy = shutil.copytree(TOP / "data" / "tamber_river", tmp_path / "mine")
    before = {file.name: file.read_bytes() for file in museum_copy.glob("*.csv")}
    replace = os.replace

    def in_use(source, target):
        if Path(target).name == open_file:
            raise InUse(13, "in use")
        replace(source, target)

    said = "rates.csv", 2, "source", "price list", "treasurer", "letter"
    with monkeypatch.context() as windows:
        windows.setattr(os, "replace", in_use)
        with pytest.raises(NotSaved, match="holds it open"):
            amend(museum_copy, *said, tried=lambda museum: ())
    load_museum(museum_copy)  # what a killed process left would be finished here
    assert {file.name: file.read_bytes() for file in museum_copy.glob("*.csv")} == before


@pytest.mark.parametrize("name", ["con", "AUX", "lpt1.csv", "what?", "ends."])
def test_a_folder_of_a_name_that_windows_refuses_is_refused_everywhere(tmp_path, name):
    with pytest.raises(PlannerError, match="a name that Windows refuses"):
        lay_out(tmp_path / name)


def test_new_refuses_a_museum_of_a_name_that_windows_refuses(tmp_path, capsys):
    assert command.main(["new", str(tmp_path / "aux.xlsx")]) == 2
    assert "Windows refuses" in capsys.readouterr().err


def test_no_output_has_a_name_that_windows_refuses(tmp_path, monkeypatch):
    with pytest.raises(PlannerError, match="a name that Windows refuses"):
        refuse_places({"out": tmp_path / "nul.html"})
    monkeypatch.chdir(tmp_path)
    assert _free_name("aux") == "aux_page.html" and _free_name("coach") == "coach.html"


def test_a_folder_on_a_drive_is_handed_to_jupyterlab_as_it_is():
    said = laying_out.lab_command("C:\\Users\\A planner\\heritagemove", 8888, True)
    assert "--ServerApp.root_dir=C:\\Users\\A planner\\heritagemove" in said
    assert "--LabApp.default_url=/lab/tree/notebooks/start_here.ipynb" in said
    assert not any("token" in word or "--ip" in word for word in said)


def test_present_says_what_to_install_where_voila_is_missing(tmp_path, version, monkeypatch, capsys):
    monkeypatch.setattr(laying_out.importlib.util, "find_spec", lambda name: None)
    assert command.main(["present", "--folder", str(tmp_path / "mine")]) == 2
    assert "-m pip install voila" in capsys.readouterr().err
    extra = tomllib.loads((TOP / "pyproject.toml").read_text())["project"]["optional-dependencies"]["present"]
    assert [entry.partition(">")[0] for entry in extra] == ["voila"]


@pytest.mark.parametrize("page", ["lab", "present"])
def test_the_command_lays_out_and_starts_the_server(tmp_path, version, monkeypatch, capsys, page):
    started = []
    monkeypatch.setattr(laying_out.subprocess, "Popen", lambda words, env: started.append((words, env)) or Stopped())
    assert command.main([page, "--folder", str(tmp_path / "mine"), "--no-browser"]) == 0
    ((words, env),) = started
    assert {"lab": "jupyterlab", "present": "voila"}[page] in words and "--no-browser" in words
    assert (Path(env["JUPYTER_PATH"].split(os.pathsep)[0]) / "voila" / "templates" / "heritagemove").is_dir()
    assert "laid out" in capsys.readouterr().out


def test_a_clone_is_its_own_folder():
    assert lay_out(TOP).lines() == [] and not (TOP / laying_out.RECORD).exists()
