"""From nothing to a decision by the form alone: what grows, what waits, what is undone, and what each answer opened."""

import pytest
from first_days import BRIDGE, COACH, DIESEL, TANK_ENGINE

from heritagemove.answers.what_opened import (
    IMPOSSIBLE,
    PROVISIONAL,
    UNKNOWN,
    became,
    standings,
    taken_out,
    worth_finding,
)
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.dry_run import tried_museum
from heritagemove.editing.interview import Interview
from heritagemove.editing.rows_as_typed import typed_rows
from heritagemove.files.tables import TableProblems
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError


def compared(museum, vehicle="our_unit"):
    return compare_paths(museum, vehicle, {}, draw(museum, trials=100))


@pytest.fixture
def interview(tmp_path):
    return Interview(tmp_path / "mine")


@pytest.mark.parametrize(("answers", "bridge", "path"), [
    pytest.param(DIESEL, {}, "trailer", marks=pytest.mark.long),  # entered in the browser too
    (COACH, BRIDGE, "trailer"), (TANK_ENGINE, {}, "low_loader"),
])  # fmt: skip
def test_a_page_of_description_becomes_a_decision_in_sixty_answers(interview, answers, bridge, path):
    interview.answer_all(answers)
    if bridge:
        interview.grow("add_bridge", "road_route")
        interview.answer_all(bridge)
    assert interview.answers == len(answers) + len(bridge) + bool(bridge) <= 60
    answer = compared(interview.museum)
    stand = {each.path: standings(answer.paths)[each.path].state for each in answer.paths if each.saves}
    assert PROVISIONAL in stand.values(), stand
    assert answer.decision.verdict == "do this" and "provisionally" in answer.sentence
    assert all(each.typical for each in answer.path(answer.choice).waits_for)
    assert answer.museum.vehicles[0].name in answers.values()


def test_the_same_museum_is_a_workbook_or_a_folder_afterwards(tmp_path):
    book = Interview(tmp_path / "mine.xlsx")
    book.answer_all({"unit.our_unit.weight": "184000"})
    begun = book.museum.digest()
    assert book.write() == ("mine.xlsx",) and book.begun and book.museum.digest() == begun
    book.folder = tmp_path / "mine"
    book.before = None
    assert book.write() == ("mine",)
    assert tried_museum(book.folder).digest() == begun


def test_another_situation_keeps_what_was_answered_and_says_which_paths_are_gone(interview):
    interview.answer("unit.our_unit.weight", "184,000 lb")
    before = compared(interview.museum).paths
    interview.answer("situation.stands", "cut_off_track")
    after = compared(interview.museum).paths
    assert {each.title for each in taken_out(before, after)} >= {"Roll on own wheels under special handling"}
    assert interview.museum.vehicles[0].weight.m_as("lb") == 184_000
    assert not any(question.key.startswith("leg.rail_route") for question in interview.questions())
    interview.answer("situation.kind", "narrow_gauge_car")
    assert interview.museum.vehicles[0].weight.m_as("lb") == 184_000
    with pytest.raises(PlannerError, match="a distance above 0"):
        interview.answer("situation.by_road", "0")


def test_what_an_answer_makes_impossible_is_said_and_undone(interview):
    interview.answer("situation.stands", "cut_off_track")
    before = compared(interview.museum).paths
    assert interview.answer("situation.ton", "short_ton") == ""
    assert interview.answer("unit.our_unit.weight", "92 tons") == "92 short tons = 184,000 lb"
    after = compared(interview.museum).paths
    (roll_on,) = became(before, after)
    assert roll_on.state == IMPOSSIBLE and "payload" in roll_on.why[0]
    assert interview.undo() and interview.museum.vehicles[0].weight is None and interview.answers == 2
    assert became(before, compared(interview.museum).paths) == ()
    while interview.undo():
        pass
    assert interview.answers == 0 and interview.tables == Interview(interview.folder).tables


def test_what_nothing_typical_stands_for_is_to_be_found_out_first(interview):
    answer = compared(interview.museum)
    untold = {each.what for result in answer.paths for each in result.waits_for if not each.typical}
    order = [row.what in untold for row in worth_finding(answer)]
    assert order == sorted(order, reverse=True) and order[0]
    assert all(each.state in (UNKNOWN, IMPOSSIBLE) for each in standings(answer.paths).values())


def test_an_answer_that_contradicts_another_waits_for_it(interview):
    with pytest.raises(PlannerError, match="a date not before the deadline"):
        interview.answer("decision.deadline", "2030-09-30")
    assert interview.waiting == {"decision.deadline": "2030-09-30"}
    with pytest.raises(PlannerError, match="allowed: a text"):
        interview.answer("unit.our_unit.name", " ")
    interview.answer("unit.our_unit.name", "Nine")
    assert interview.waiting and interview.museum.vehicles[0].name == "Nine"
    interview.answer("decision.forced_scrap", "2030-10-31")
    assert not interview.waiting and interview.museum.scenario.deadline.isoformat() == "2030-09-30"


def test_legs_are_added_and_taken_out_and_every_stage_follows(interview):
    interview.grow("add_leg", "road_route")
    interview.grow("add_leg", "road_route_2")
    legs = [row for row in typed_rows(interview.tables, "legs.csv") if row["mode"] == "road"]
    assert [(row["from_place"], row["to_place"], row["order"]) for row in legs] == [
        ("the_site", "", "1"), ("", "", "2"), ("", "the_museum", "3")]  # fmt: skip
    names = [row["leg"] for row in legs]
    roads = [stage.legs for stage in interview.museum.stages if "road_route" in stage.legs]
    assert roads and all(list(each) == names for each in roads)
    with pytest.raises(PlannerError, match='Road leg 3, length: found "far"'):
        interview.answer(f"leg.{names[2]}.length", "far")
    interview.answer(f"leg.{names[2]}.length", "0")
    assert [leg.length.magnitude for leg in interview.museum.legs if leg.mode == "road"] == [80, 1, 0]
    interview.grow("remove_leg", "road_route")
    interview.grow("remove_leg", names[2])
    (left,) = [row for row in typed_rows(interview.tables, "legs.csv") if row["mode"] == "road"]
    assert (left["from_place"], left["to_place"], left["leg"]) == ("the_site", "the_museum", names[1])
    with pytest.raises(PlannerError, match="the only leg"):
        interview.grow("remove_leg", names[1])


def test_bridges_pieces_and_units_come_and_go(interview):
    interview.grow("add_bridge", "road_route")
    interview.answer("bridge.road_route_bridge_2.normal", "0.9")
    assert next(leg for leg in interview.museum.legs if leg.leg == "road_route").bridges == "listed"
    interview.grow("remove_bridge", "road_route_bridge_2")
    assert next(leg for leg in interview.museum.legs if leg.leg == "road_route").bridges is None
    interview.grow("add_piece", "our_unit")
    assert [row.kind for row in interview.museum.pieces] == ["body", "truck", "part"]
    interview.grow("remove_piece", "our_unit", "part_2")
    with pytest.raises(PlannerError, match="what the unit is carried as"):
        interview.grow("remove_piece", "our_unit", "body")
    interview.add_unit("caboose")
    assert [(row.vehicle, row.kind) for row in interview.museum.vehicles] == [
        ("our_unit", "diesel_locomotive"), ("our_unit_2", "caboose")]  # fmt: skip
    interview.answer("unit.our_unit_2.weight", "47000")
    interview.grow("remove_unit", "our_unit")
    assert [row.vehicle for row in interview.museum.vehicles] == ["our_unit_2"]
    with pytest.raises(PlannerError, match="the only one"):
        interview.grow("remove_unit", "our_unit_2")


def test_a_fund_and_a_quote_are_rows_and_all_that_is_wrong_with_one_is_said(interview):
    with pytest.raises(TableProblems) as caught:
        interview.add_row("quotes.csv", {"quote": "crane", "vehicle": "our_unit", "path": "trailer", "amount": "cheap"})
    assert "column amount" in str(caught.value) and "column vendor" in str(caught.value)
    fund = {"fund": "reserve", "title": "Reserve", "amount": "80,000 USD", "probability": "1", "earliest": "2027-03-01",
            "restriction": "none", "match_required": "0 %", "repays": "no", "basis": "judgment", "source": "board",
            "spend_before_award": "yes", "reimbursement_lag": "0", "interest": "0 %", "term": "0"}  # fmt: skip
    interview.add_row("funds.csv", fund)
    assert interview.museum.funds[0].fund == "reserve" and interview.undo() and interview.museum.funds == ()
