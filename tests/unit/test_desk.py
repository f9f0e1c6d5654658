"""The desk of a notebook: chosen once, remembered beside the notebooks, and what was set offered after a new start."""

import json
import re
import shutil
from pathlib import Path

import pytest

from heritagemove.compare.inputs import Inputs
from heritagemove.museum.museum import load_museum
from heritagemove.panels import all_screens, opening
from heritagemove.panels.opening import Head
from heritagemove.panels.remembered import FILE, found_museums, recall

DATA = Path(__file__).resolve().parents[2] / "data"
DEMO, OTHER = "../data/tamber_river", "../data/elsewhere/melderbach"


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    """A folder of notebooks with both museums beside it."""
    top = tmp_path_factory.mktemp("project")
    shutil.copytree(DATA, top / "data")
    for name in ("tamber_river", "elsewhere/melderbach"):
        file = top / "data" / name / "museum.toml"
        file.write_text(re.sub(r"trials = \d+", "trials = 200", file.read_text(encoding="utf-8")), encoding="utf-8")
    (top / "notebooks").mkdir()
    return top


@pytest.fixture
def notebooks(project, monkeypatch):
    """The folder of the notebooks with nothing remembered; a museum is tried by its own tests."""
    monkeypatch.setattr(opening, "tried_museum", load_museum)
    (project / "notebooks" / FILE).unlink(missing_ok=True)
    return project / "notebooks"


def opened(notebooks, monkeypatch, name="decision.ipynb"):
    monkeypatch.setattr(opening, "_this_notebook", lambda: name)
    return Head(notebooks)


def test_it_begins_with_the_demo_and_its_first_unit_and_lists_every_museum(notebooks, monkeypatch):
    head = opened(notebooks, monkeypatch)
    assert head.desk.base.scenario.name == "Tamber River Short Line Museum" and head.desk.vehicle == "foundry_switcher"
    assert [name for _, name in head.museum.options] == [DEMO, OTHER]
    assert head.museum.label == f"Tamber River Short Line Museum ({DEMO})"
    assert head.alert.value == "" and head.offer.layout.display == "none"


def test_the_unit_and_the_museum_that_are_chosen_are_those_of_the_next_notebook(notebooks, monkeypatch):
    head = opened(notebooks, monkeypatch)
    head.unit.value = "caboose"
    assert opened(notebooks, monkeypatch, "schedule.ipynb").desk.vehicle == "caboose"
    head.museum.value = OTHER
    assert head.desk.vehicle == head.desk.base.vehicles[0].vehicle and head.unit.value == head.desk.vehicle
    after = opened(notebooks, monkeypatch, "schedule.ipynb")
    assert after.desk.base.scenario.name == "Melderbach Light Railway Museum"
    assert [name for _, name in after.museum.options] == [OTHER, DEMO], "the last used comes first"


def test_what_is_set_goes_along_to_another_notebook(notebooks, monkeypatch):
    opened(notebooks, monkeypatch).desk.change("Hours", settings={"crane_hours": 38.0}, deadline_moved=-7)
    other = opened(notebooks, monkeypatch, "schedule.ipynb")
    assert other.desk.settings == {"crane_hours": 38.0} and other.desk.inputs.deadline_moved == -7
    assert "crane hours 38" in other.said.value and other.offer.layout.display == "none"
    other.reset.click()
    assert other.desk.inputs == Inputs("foundry_switcher") and other.said.value == ""
    assert opened(notebooks, monkeypatch).desk.inputs == Inputs("foundry_switcher")


def test_a_kernel_that_begins_anew_offers_what_was_set(notebooks, monkeypatch):
    opened(notebooks, monkeypatch).desk.change("Inputs", settings={"crane_hours": 38.0, "haul_distance": 90.0})
    again = opened(notebooks, monkeypatch)
    assert again.desk.inputs == Inputs("foundry_switcher") and again.offer.layout.display == "flex"
    assert again.go_on.description.startswith("Continue with crane hours 38 crane hour, haul distance 90 mile")
    assert recall(notebooks).inputs["settings"] == {"crane_hours": 38.0, "haul_distance": 90.0}, "kept while it is offered"
    again.go_on.click()
    assert again.desk.settings == {"crane_hours": 38.0, "haul_distance": 90.0} and again.offer.layout.display == "none"
    third = opened(notebooks, monkeypatch)
    third.begin.click()
    assert third.desk.inputs == Inputs("foundry_switcher") and recall(notebooks).inputs["settings"] == {}


DAMAGED = ["", "{", "[]", '{"format": "heritagemove desk 1"}', '{"format": "x", "museums": [], "inputs": {}}', "\x00" * 99]


@pytest.mark.parametrize("content", DAMAGED)
def test_a_damaged_file_falls_back_to_the_demo_and_says_so(notebooks, monkeypatch, content):
    (notebooks / FILE).write_text(content)
    head = opened(notebooks, monkeypatch)
    assert head.museum.value == DEMO and f"{FILE} " in head.alert.value and 'role="alert"' in head.alert.value
    head.unit.value = "boxcar"
    assert opened(notebooks, monkeypatch).desk.vehicle == "boxcar", "a new one takes its place"


def test_a_museum_that_is_gone_or_does_not_load_is_told(notebooks, project, monkeypatch):
    mine = project / "my_museum"
    shutil.copytree(project / "data" / "tamber_river", mine)
    shutil.copytree(project / "data" / "reference", project / "reference")
    head = opened(notebooks, monkeypatch)
    head.museum.value = "../my_museum"
    (mine / "vehicles.csv").write_text("vehicle\n<b>one</b>\n", encoding="utf-8")
    broken = opened(notebooks, monkeypatch)
    assert broken.museum.value == DEMO and "../my_museum cannot be opened" in broken.alert.value
    assert "vehicles.csv row 1" in broken.alert.value and "<b>one" not in broken.alert.value
    broken.museum.value = "../my_museum"
    assert broken.museum.value == DEMO and "vehicles.csv" in broken.alert.value, "the desk stays as it is"
    remembered = json.loads((notebooks / FILE).read_text(encoding="utf-8"))
    shutil.rmtree(mine)
    remembered["museums"] = ["../my_museum", DEMO]
    (notebooks / FILE).write_text(json.dumps(remembered), encoding="utf-8")
    assert "../my_museum is there no longer" in opened(notebooks, monkeypatch).alert.value


def test_inputs_that_the_tables_allow_no_longer_are_not_offered(notebooks, monkeypatch):
    content = {"format": "heritagemove desk 1", "museums": [DEMO], "notebook": "decision.ipynb"}
    for inputs in ({"vehicle": "gone"}, {"vehicle": "coach", "settings": {"crane_hours": "many"}}, {"settings": 3}):
        (notebooks / FILE).write_text(json.dumps(content | {"inputs": inputs}))
        head = opened(notebooks, monkeypatch)
        assert head.alert.value == "" and head.offer.layout.display == "none"
        assert head.desk.inputs.settings == {}


def test_museums_are_found_beside_the_notebooks_and_workbooks_where_they_were_used(notebooks, project):
    (project / "book.xlsx").write_bytes(b"")
    assert found_museums(notebooks, ["../book.xlsx", "../gone"]) == ("../book.xlsx", DEMO, OTHER)


def test_another_museum_makes_every_screen_anew(notebooks, monkeypatch):
    head = opened(notebooks, monkeypatch)
    frames = [all_screens.show_topics.museum.glance(head.desk), all_screens.show_topics.survey.form(head.desk)]
    bodies = [frame.body for frame in frames]
    head.museum.value = OTHER
    assert "Melderbach" in frames[0].body.value and "Melderbach" not in bodies[0].value
    assert frames[1].body is not bodies[1] and frames[1].body.tables is head.desk.base
    head.unit.value = head.desk.base.vehicles[-1].vehicle
    assert head.desk.error == "" and head.desk.vehicle == head.desk.base.vehicles[-1].vehicle


def test_the_tools_of_a_screen_stand_in_the_line_of_the_choice(notebooks, monkeypatch):
    head = opened(notebooks, monkeypatch)
    frame = all_screens.show_topics.decision.paths(head.desk)
    assert frame.body.write in head._row.children
    head.museum.value = OTHER
    assert frame.body.write in head._row.children and len(head._row.children) == len(head._own) + 2
