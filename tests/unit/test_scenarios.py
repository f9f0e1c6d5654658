"""Named scenarios: saved whole, loaded as saved or not at all, and told apart in words."""

import json

import numpy as np
import pytest

from heritagemove.compare import scenarios
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.scenarios import Inputs, differences, file_name, load_scenario, save_scenario, saved_scenarios
from heritagemove.trials.simulation import day_number, draw

UNIT = "foundry_switcher"
SET = Inputs(UNIT, {"crane_hours": 30.0, "axles": 6.0}, 7.5, 10, -40, 250_000.0)


@pytest.fixture(scope="module")
def few(museum):
    return draw(museum, trials=400)


@pytest.fixture(scope="module")
def plain(museum, few):
    return compare_paths(museum, UNIT, samples=few)


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


def test_all_that_is_wrong_is_said_at_once(museum):
    with pytest.raises(ValueError, match=r"(?s)vehicle: .*axles: .*weight_tolerance: .*budget_usd: "):
        scenarios.as_set(museum, Inputs("tram", {"axles": 0.5}, -1, 0, 0, -1))


def test_the_owners_two_dates_move_together(museum):
    moved = scenarios.as_set(museum, Inputs(UNIT, deadline_moved=-40)).scenario
    for date in ("deadline", "forced_scrap"):
        assert (getattr(museum.scenario, date) - getattr(moved, date)).days == 40
    assert scenarios.as_set(museum, Inputs(UNIT, budget_usd=1.0)) is museum


def test_a_budget_is_judged_by_the_same_trials(museum, plain):
    best = plain.path(plain.choice)
    cost, day = best.branch.cost_usd, day_number(museum, museum.scenario.deadline)
    budget = float(np.median(cost))
    assert scenarios.chance_within(best, budget) == pytest.approx(0.5, abs=0.01)
    both = scenarios.chance_within(best, budget, day)
    assert both == np.mean((cost <= budget) & best.branch.saved & (best.branch.off_site <= day)) <= 0.51
    assert f"path {best.number}" in scenarios.budget_in_words(plain, budget)
    assert scenarios.chance_within(best, 1e12) == 1


def test_nothing_differs_between_an_answer_and_itself(plain):
    assert differences(plain, plain, ("A", "B")) == ("Nothing that is shown differs between A and B.",)


def test_differences_name_choice_dates_statuses_and_money(museum, few, plain):
    inputs = Inputs(UNIT, {"weight": 150.0}, deadline_moved=-107)
    changed = scenarios.as_set(museum, inputs)
    other = scenarios.answer(changed, inputs, draw(changed, previous=few))
    said = " ".join(differences(plain, other, ("A", "B")))
    flipped = [(a, b) for a, b in zip(plain.paths, other.paths, strict=True) if a.status != b.status]
    assert flipped and plain.choice != other.choice
    for before, after in flipped:
        assert f"Path {before.number}, {before.title}: {before.status} in A, {after.status} in B." in said
    assert "The choice: path" in said and "Commit by:" in said and "each path alone [USD]: path" in said


def test_another_unit_is_the_first_difference(museum, few, plain):
    said = differences(plain, compare_paths(museum, "coach", samples=few))
    assert said[0].startswith("The unit: Foundry switcher 7")


def test_what_is_set_is_said_in_words(museum):
    assert scenarios.inputs_in_words(museum, Inputs(UNIT)) == ("as the tables say",)
    said = "; ".join(scenarios.inputs_in_words(museum, SET))
    assert said == (
        "crane hours 30 crane hour; axles 6 axle; weight known to plus or minus 7.5 %; "
        "work begins 11 Mar 2027, 10 days later; deadline 5 Sep 2027, 40 days earlier; budget 250,000 USD"
    )
