"""A planner's first answers: what is asked, how it is understood, what it makes of the tables, and what is refused."""

import datetime as dt
import itertools

import pytest
from changed_rows import change

from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.missing import missing
from heritagemove.editing.first_steps import answered, checked, prints, write_answers
from heritagemove.editing.questions import echo, questions
from heritagemove.editing.rows_as_typed import is_own, typed_rows
from heritagemove.editing.starter import StartingPoint, new_museum, starter_museum
from heritagemove.editing.writing import typed
from heritagemove.files.saving import Changed
from heritagemove.files.tables import TableProblems
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError

UNIT = "unit.our_unit."
ANSWERS = {
    "decision.name": "Lantern Valley Railway", "decision.deadline": "2028-09-01", UNIT + "name": "Coach 12",
    UNIT + "kind": "passenger_car", UNIT + "weight": "42 tonne", UNIT + "length": "19.2 m", UNIT + "motors": "0",
    UNIT + "axles": "2 m; 4.1 m; 15 m; 17.1 m", UNIT + "journal": "5 x 9",
}  # fmt: skip


@pytest.fixture(scope="module")
def starter():
    return starter_museum()


@pytest.fixture(scope="module")
def asked(starter):
    return {question.key: question for question in questions(starter)}


@pytest.fixture(scope="module")
def coach(starter):
    return checked(answered(starter, ANSWERS))


def test_each_question_has_the_answer_of_the_tables_and_says_what_is_allowed(starter, asked):
    assert len(asked) == len(questions(starter))
    assert asked[UNIT + "weight"].answer == "" and "short_ton" in asked[UNIT + "weight"].allowed
    assert asked["decision.deadline"].answer == starter.scenario.deadline.isoformat()
    assert "caboose" in asked[UNIT + "kind"].choices and asked["leg.road_route.length"].unit == "mile"
    assert answered(starter, {key: question.answer for key, question in asked.items()}) == starter


def test_answers_become_rows_that_check_clean(coach):
    (unit,) = coach.vehicles
    assert (coach.scenario.name, coach.scenario.deadline) == ("Lantern Valley Railway", dt.date(2028, 9, 1))
    assert (unit.name, unit.kind, unit.motors) == ("Coach 12", "passenger_car", 0)
    assert unit.weight.m_as("kg") == pytest.approx(42_000)
    assert [axle.position.m_as("m") for axle in coach.axles_of("our_unit")] == pytest.approx([2, 4.1, 15, 17.1])


def test_what_was_not_asked_stays_the_starters(starter):
    after = answered(starter, {"leg.road_route.length": "140", "leg.road_route.grade": "3"})
    row = next(row for row in typed_rows(after, "legs.csv") if row["leg"] == "road_route")
    assert (row["length"], row["grade"], row["speed"], row["starter"]) == ("140 mile", "3 percent", "45 mph", "yes")
    assert [is_own(after, "legs.csv", row, name) for name in ("length", "grade", "speed")] == [True, True, False]


@pytest.mark.parametrize(("key", "text", "ton", "cell", "said"), [
    (UNIT + "weight", "92 tons", "short_ton", "92 short_ton", "92 short tons = 184,000 lb"),
    (UNIT + "weight", "92 ton", "long_ton", "92 long_ton", "92 long tons = 206,080 lb"),
    (UNIT + "weight", "60000", "", "60000 lb", ""),
    (UNIT + "length", "44.5", "", "44.5 ft", ""),
    (UNIT + "axles", "7.25; 15.25; 29.25; 37.25", "", "7.25 ft; 15.25 ft; 29.25 ft; 37.25 ft", ""),
    (UNIT + "insured_value", "60,000", "", "60,000 USD", ""),
])  # fmt: skip
def test_tons_and_bare_numbers_are_taken_in_the_unit_shown_and_said_back(starter, asked, key, text, ton, cell, said):
    after = {question.key: question.answer for question in questions(answered(starter, {key: text}, ton))}
    assert after[key] == cell
    found = echo(asked[key], text, ton)
    assert found == said or (not said and found.replace(",", "").startswith(text.replace(",", "")))


def test_a_ton_of_which_nobody_has_said_which_is_asked_for(starter):
    with pytest.raises(PlannerError, match=r"say once, at the top of the form, which ton you mean: short ton \(2,000 lb\)"):
        answered(starter, {UNIT + "weight": "92 tons"})


def test_numbers_without_a_unit_are_metric_where_planners_think_in_metres():
    museum = starter_museum(StartingPoint(rules="melderbach", kind="tank_engine"))
    after = {q.key: q.answer for q in questions(answered(museum, {UNIT + "weight": "22000", UNIT + "length": "6,9"}))}
    assert (after[UNIT + "weight"], after[UNIT + "length"]) == ("22000 kg", "6.9 m")


def test_the_weight_is_shared_over_the_axles_until_they_are_weighed(starter):
    with pytest.raises(PlannerError, match="once the weight of the unit is known"):
        answered(starter, {UNIT + "loads": "share"})
    shared = answered(starter, {UNIT + "weight": "200,000 lb", UNIT + "loads": "share"})
    assert [row["load"] for row in typed_rows(shared, "axles.csv")] == ["50000 lb"] * 4
    assert any("8 % more or less" in row["source"] for row in typed_rows(shared, "bases.csv"))
    heavier = answered(shared, {UNIT + "weight": "220,000 lb"})
    assert [row["load"] for row in typed_rows(heavier, "axles.csv")] == ["55000 lb"] * 4
    weighed = answered(heavier, {UNIT + "loads": "54000; 56000; 55000; 55000"})
    assert not any("shared" in row["source"] for row in typed_rows(weighed, "bases.csv"))
    with pytest.raises(PlannerError, match="4 weights, one an axle"):
        answered(heavier, {UNIT + "loads": "54000; 56000"})


def test_axles_that_nobody_has_measured_follow_the_length(starter):
    longer = answered(starter, {UNIT + "length": "89 ft"})
    assert [row["position"] for row in typed_rows(longer, "axles.csv")] == ["14.50 ft", "30.50 ft", "58.50 ft", "74.50 ft"]
    own = answered(answered(starter, {UNIT + "axles": "7; 15; 29; 37"}), {UNIT + "length": "89 ft"})
    assert typed_rows(own, "axles.csv")[0]["position"] == "7 ft"


def test_trucks_that_can_be_taken_out_become_pieces(starter):
    none = checked(answered(starter, {UNIT + "trucks": "0"}))
    assert [row.kind for row in none.pieces] == ["whole"]
    three = checked(answered(starter, {UNIT + "trucks": "3"}))
    assert {row.kind: row.count for row in three.pieces} == {"body": 1, "truck": 3}


def test_a_unit_of_other_axles_loses_the_observations_at_boxes_it_has_not(starter):
    two = checked(answered(starter, {UNIT + "axles": "2 m; 11 m", UNIT + "length": "13 m"}))
    assert [axle.axle for axle in two.axles] == [1, 2]
    assert {row.place for row in two.survey if row.vehicle == "our_unit"} <= {"vehicle", "site", "1L", "1R", "2L", "2R"}


def test_every_answer_that_cannot_be_read_is_said_at_once_and_nothing_is_changed(starter):
    with pytest.raises(PlannerError) as caught:
        wrong = {UNIT + "weight": "heavy", "decision.deadline": "soon", UNIT + "axles": "3 ft; 2 ft", UNIT + "kind": "tram"}
        answered(starter, wrong)
    lines = str(caught.value).split("\n")
    assert len(lines) == 4
    assert any(line.startswith('Our unit, weight as it stands: found "heavy"; allowed: a weight such as') for line in lines)
    assert any('found "soon"; allowed: a date as 2027-10-15' in line for line in lines)


def test_answers_that_contradict_each_other_are_refused_by_the_rules_of_the_tables(starter):
    with pytest.raises(TableProblems, match=r"axles.csv row 5, column position: .* at most the length over couplers"):
        checked(answered(starter, {UNIT + "axles": "2 ft; 50 ft; 60 ft; 80 ft", UNIT + "length": "70 ft"}))
    with pytest.raises(PlannerError, match="forced_scrap: a date not before the deadline"):
        answered(starter, {"decision.deadline": "2031-01-01"})


def test_facts_votes_and_meetings_are_asked_as_gates_and_calendars_have_them(starter, asked):
    assert asked["fact.any.site.salvage_rights"].choices == ("unknown", "none", "released", "claimed")
    said = {"fact.any.site.salvage_rights": "none", "waits.tenders": "no", "meeting.weekdays": "Thu"}
    after = {question.key: question.answer for question in questions(answered(starter, said))}
    assert {key: after[key] for key in said} == said
    museum = checked(answered(starter, said))
    assert next(row.likely for row in museum.quantities if row.driver == "tenders") == 0


def test_only_the_files_that_changed_are_written_and_what_they_held_is_kept(starter, tmp_path):
    place = new_museum(tmp_path / "mine")
    before, read = typed(place), prints(place)
    assert set(write_answers(before, answered(before, ANSWERS), place, read)) == {
        "vehicles.csv", "axles.csv", "bases.csv", "museum.toml"}  # fmt: skip
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


def test_a_new_museum_has_no_railroads_drawing_until_somebody_enters_it(starter):
    museum = checked(starter)
    assert museum.tie_down_drawings == ()
    (finding,) = [f for f in screen(museum, "our_unit", "flat_car").findings if f.gate.check == "rail_securement"]
    assert finding.status == "unknown"
