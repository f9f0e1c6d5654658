"""Named scenarios: saved whole, loaded as saved or not at all."""

import json

import pytest

from heritagemove.compare.inputs import Inputs
from heritagemove.compare.scenario_files import file_name, load_scenario, save_scenario, saved_scenarios

UNIT = "foundry_switcher"
SET = Inputs(UNIT, {"crane_hours": 30.0, "axles": 6.0}, 7.5, 10, -40, 250_000.0)


def test_what_was_saved_is_what_is_loaded(museum, tmp_path):
    path = save_scenario(tmp_path / "kept", "Crane idle; June", museum, SET)
    found = load_scenario(path, museum)
    assert (found.name, found.inputs, found.note) == ("Crane idle; June", SET, "")
    assert saved_scenarios(tmp_path / "kept") == (("Crane idle; June", path),)


def test_the_same_name_again_replaces_and_another_stays(museum, tmp_path):
    for name, inputs in (("a", SET), ("b", Inputs(UNIT)), ("a", Inputs("coach"))):
        save_scenario(tmp_path, name, museum, inputs)
    assert [name for name, _ in saved_scenarios(tmp_path)] == ["a", "b"]
    assert load_scenario(tmp_path / file_name("a"), museum).inputs == Inputs("coach")


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "con", "a/b\\c:d", ". ", "Überführung 2027", "中文", "a" * 80, "'; rm -rf *"]
)
def test_any_name_makes_a_safe_file_name_of_its_own(museum, tmp_path, name):
    made = file_name(name)
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.") and len(made) <= 60 and made.count(".") == 1
    assert not made.startswith((".", "-")) and made != file_name(name + "x")
    assert save_scenario(tmp_path, name, museum, SET).parent == tmp_path


@pytest.mark.parametrize("name", ["", "   ", "two\nlines", "x" * 81, "bell\a"])
def test_a_name_nobody_can_read_is_refused(museum, tmp_path, name):
    with pytest.raises(ValueError, match=r"(?s)name: found .*; allowed: 1 to 80 characters on one line"):
        save_scenario(tmp_path, name, museum, SET)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"vehicle": "tram"}, 'vehicle: found "tram"; allowed: foundry_switcher'),
        ({"settings": {"crane hr": 3}}, 'found "crane hr"; allowed: .*did you mean crane_hours'),
        ({"settings": {"crane_hours": -1}}, 'crane_hours: found "-1.0"; allowed: a number of crane hours of at least 0'),
        ({"settings": {"crane_hours": "30"}}, "crane_hours: found"),
        ({"settings": {"crane_hours": True}}, "crane_hours: found"),
        ({"settings": 4}, 'settings: found "4"'),
        ({"weight_tolerance": 100}, 'weight_tolerance: found "100"; allowed: 0 to below 100 percent'),
        ({"weight_tolerance": "5 %"}, "weight_tolerance: found"),
        ({"budget_usd": -1}, 'budget_usd: found "-1"; allowed: a sum of at least 0'),
        ({"start_moved": 1.5}, 'start_moved: found "1.5"; allowed: whole days'),
        ({"deadline_moved": 10**9}, "deadline_moved: found .*; allowed: whole days"),
        ({"start_moved": 300}, "deadline: found 15 Oct 2027 with work beginning 26 Dec 2027; allowed: a deadline after"),
        ({"colour": "red"}, "inputs: found .*colour.*; allowed: budget_usd"),
    ],
)
def test_a_value_out_of_range_is_refused_and_never_fitted(museum, tmp_path, changes, said):
    path = save_scenario(tmp_path, "x", museum, Inputs(UNIT))
    content = json.loads(path.read_text())
    content["inputs"] |= changes
    path.write_text(json.dumps(content))
    with pytest.raises(ValueError, match=said) as caught:
        load_scenario(path, museum)
    assert path.name in str(caught.value)


@pytest.mark.parametrize("content", ["", "{", "[]", "1", '{"format": "another"}', "[" * 100_000, "x" * 200_000, "\x00"])
def test_a_file_that_is_no_scenario_is_refused_and_listed_as_such(museum, tmp_path, content):
    path = tmp_path / "broken.json"
    path.write_text(content)
    with pytest.raises(ValueError, match=r"broken\.json: found"):
        load_scenario(path, museum)
    assert saved_scenarios(tmp_path) == (("broken.json (cannot be read)", path),)


def test_a_scenario_of_other_tables_is_loaded_with_a_note(museum, tmp_path):
    path = save_scenario(tmp_path, "x", museum.with_changes(price_year=2020), SET)
    assert "tables have changed" in load_scenario(path, museum).note
