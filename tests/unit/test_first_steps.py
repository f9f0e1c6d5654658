"""A planner's first answers: what they make of the tables, what is refused, and what is still unknown then."""

import datetime as dt
import itertools

import pytest
from changed_rows import change

from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.missing import missing
from heritagemove.editing.first_steps import answered, checked, prints, questions, write_answers
from heritagemove.editing.starter import new_museum, starter_museum
from heritagemove.editing.writing import typed
from heritagemove.files import saving
from heritagemove.files.saving import Changed
from heritagemove.files.tables import TableProblems
from heritagemove.museum.museum import load_museum
from heritagemove.panels.your_museum import YourMuseum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError

ANSWERS = {
    "decision.name": "Lantern Valley Railway", "decision.deadline": "2027-09-01", "unit.name": "Coach 12",
    "unit.kind": "passenger_car", "unit.weight": "42 tonne", "unit.length": "19.2 m", "unit.motors": "0",
    "unit.axles": "2 m; 4.1 m; 15 m; 17.1 m", "unit.journal": "5 x 9",
}  # fmt: skip


@pytest.fixture(scope="module")
def starter():
    return starter_museum()


@pytest.fixture(scope="module")
def coach(starter):
    return checked(answered(starter, ANSWERS))


def test_each_question_has_the_answer_of_the_tables_and_says_what_is_allowed(starter):
    asked = {question.key: question for question in questions(starter)}
    assert len(asked) == len(questions(starter))
    assert asked["unit.weight"].answer == "" and "short_ton" in asked["unit.weight"].allowed
    assert asked["decision.deadline"].answer == starter.scenario.deadline.isoformat()
    assert "caboose" in asked["unit.kind"].choices
    assert answered(starter, {key: question.answer for key, question in asked.items()}) == starter


def test_answers_become_rows_that_check_clean(coach):
    (unit,) = coach.vehicles
    assert (coach.scenario.name, coach.scenario.deadline) == ("Lantern Valley Railway", dt.date(2027, 9, 1))
    assert (unit.name, unit.kind, unit.motors) == ("Coach 12", "passenger_car", 0)
    assert unit.weight.m_as("kg") == pytest.approx(42_000)
    assert [axle.position.m_as("m") for axle in coach.axles_of("our_unit")] == pytest.approx([2, 4.1, 15, 17.1])


def test_what_the_starters_unit_measured_becomes_unknown_and_no_other_answer_is_lost(coach, starter):
    (unit,) = coach.vehicles
    assert coach.body("our_unit").weight is unit.truck_centres is unit.coupler_height is None
    assert (unit.brakes, unit.hazards) == ("unknown", "unknown")
    assert all(axle.load is None for axle in coach.axles)
    again = answered(answered(starter, ANSWERS), {"unit.width": "2.9 m"})
    second = checked(again)
    assert second.vehicles[0].width.m_as("m") == pytest.approx(2.9)
    assert second.vehicles[0].name == "Coach 12" and len(second.axles) == 4


def test_a_unit_of_other_axles_loses_the_observations_at_boxes_it_has_not(starter):
    two = checked(answered(starter, ANSWERS | {"unit.axles": "2 m; 15 m"}))
    assert [axle.axle for axle in two.axles] == [1, 2]
    assert {row.place for row in two.survey if row.vehicle == "our_unit"} <= {"vehicle", "site", "1L", "1R", "2L", "2R"}


def test_every_answer_that_cannot_be_read_is_said_at_once_and_nothing_is_changed(starter):
    with pytest.raises(PlannerError) as caught:
        wrong = {"unit.weight": "42 ton", "decision.deadline": "soon", "unit.axles": "3 ft; 2 ft", "unit.kind": "tram"}
        answered(starter, wrong)
    lines = str(caught.value).split("\n")
    assert len(lines) == 4
    assert any(line.startswith('weight as it stands: found "42 ton"; allowed: a weight such as') for line in lines)
    assert any('found "soon"; allowed: a date as 2027-10-15' in line for line in lines)


def test_answers_that_contradict_each_other_are_refused_by_the_rules_of_the_tables(starter):
    with pytest.raises(TableProblems, match=r"axles.csv row 5, column position: .* at most the length over couplers"):
        checked(answered(starter, {"unit.length": "10 ft"}))
    with pytest.raises(PlannerError, match="forced_scrap: a date not before the deadline"):
        answered(starter, {"decision.deadline": "2029-01-01"})


def test_only_the_files_that_changed_are_written_and_what_they_held_is_kept(starter, tmp_path):
    place = new_museum(tmp_path / "mine")
    before, read = typed(place), prints(place)
    assert write_answers(before, answered(before, ANSWERS), place, read) == (
        "vehicles.csv", "pieces.csv", "axles.csv", "museum.toml"
    )  # fmt: skip
    assert load_museum(place).vehicles[0].name == "Coach 12"
    assert "Our unit" in (place / "vehicles.csv.previous").read_text(encoding="utf-8")


def test_a_file_that_somebody_changed_meanwhile_stops_the_writing_of_all(starter, tmp_path):
    place = new_museum(tmp_path / "mine")
    before, read = typed(place), prints(place)
    (place / "museum.toml").write_text("# mine\n" + (place / "museum.toml").read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(Changed, match=r"museum.toml was changed by somebody else"):
        write_answers(before, answered(before, ANSWERS), place, read)
    assert typed(place).tables == before.tables


def _missing(comparison):
    return missing(comparison.museum, comparison.paths, comparison.samples)


def test_what_is_unknown_is_listed_with_what_opens_most_first(coach):
    comparison = compare_paths(coach, "our_unit", {}, draw(coach, trials=100))
    found = _missing(comparison)
    assert found and all(one.worth >= two.worth for one, two in itertools.pairwise(found))
    by_path = {result.path: result for result in comparison.paths}
    for row in found:
        for path in (*row.opens, *row.waits):
            assert by_path[path].status == "unknown"
            assert (row.what, row.find) in [(each.what, each.find) for each in by_path[path].waits_for]


def test_finding_out_what_alone_keeps_a_path_from_an_answer_gives_the_answer(museum, samples):
    fact = {"clue": "receiving_track_ready"}
    unready = change(museum, "survey", fact, found="unknown")
    first = next(row for row in _missing(compare_paths(unready, "foundry_switcher", {}, samples)) if row.opens)
    assert first.find.endswith("put receiving track ready in survey.csv")
    known = compare_paths(change(unready, "survey", fact, found="yes"), "foundry_switcher", {}, samples)
    assert all(known.path(path).status != "unknown" for path in first.opens)


def test_what_is_unknown_does_not_hang_on_the_words_of_a_title(coach):
    gates = [row.model_copy(update={"title": f"{row.title}: unknown load"}) for row in coach.gates]
    named = coach.with_changes(gates=gates)
    before, after = (_missing(compare_paths(m, "our_unit", {}, draw(m, trials=100))) for m in (coach, named))
    assert [(row.find, row.opens, row.waits) for row in before] == [(row.find, row.opens, row.waits) for row in after]
    assert all(": unknown load" in row.what for row in after if row.what in {gate.title for gate in gates})


def test_the_form_takes_up_an_answer_refuses_a_wrong_one_and_writes_when_asked(tmp_path, monkeypatch):
    place = tmp_path / "mine"
    form = YourMuseum(place)
    assert "is not there yet" in form.state.value and not place.exists()
    form.fields["unit.name"].value = "<img src=x onerror=alert(1)>"
    assert "&lt;img src=x" in form.unknown.value and "<img src=x" not in form.unknown.value
    form.fields["unit.weight"].value = "42 ton"
    assert 'role="alert"' in form.alert.value and form.write.disabled
    form.fields["unit.weight"].value = "42 tonne"
    assert form.alert.value == "" and not form.write.disabled
    with monkeypatch.context() as full:
        full.setattr(saving.os, "fsync", _disk_is_full)
        form.write.click()
    assert "the disk is full" in form.alert.value and not place.exists() and list(tmp_path.iterdir()) == []
    form.write.click()
    assert load_museum(place).vehicles[0].weight.m_as("kg") == pytest.approx(42_000)
    assert "Written into" in form.alert.value and "vehicles.csv" in form.alert.value
    assert "is not there yet" not in form.state.value


def _disk_is_full(*_):
    raise OSError(28, "No space left on device")


def test_a_new_museum_has_no_railroads_drawing_until_somebody_enters_it(starter):
    museum = checked(starter)
    assert museum.tie_down_drawings == ()
    (finding,) = [f for f in screen(museum, "our_unit", "flat_car").findings if f.gate.check == "rail_securement"]
    assert finding.status == "unknown"
