"""Five verdicts: what is unknown is no reason to decline, and what may be declined says why."""

import datetime as dt
import json

import pytest
from changed_rows import change, only

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.decided import VERDICTS
from heritagemove.editing.first_steps import checked
from heritagemove.editing.starter import starter_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

UNIT = "caboose"


def decided(museum, vehicle=UNIT):
    return compare_paths(museum, vehicle, None, draw(museum, trials=300)).decision


@pytest.fixture(scope="module")
def by_rail(museum):
    """The demo, with the flat car as the only path that saves anything."""
    return only(museum, "flat_car")


def test_a_path_in_time_and_within_the_means_is_to_be_done(museum):
    found = decided(museum)
    assert (found.verdict, found.provisional_on, found.first) == ("do this", (), ())
    assert found.path and found.sentence.startswith(museum.vehicle(UNIT).name)


def test_a_bridge_of_unknown_rating_is_not_yet_and_says_what_to_find_out(by_rail):
    blank = change(by_rail, "bridges", {"bridge": "lead_trestle"}, normal=None, maximum=None)
    found = decided(blank)
    assert found.verdict == "not yet" and found.path is None and found.fallback is None
    assert "not yet" in found.sentence and "ecline" not in found.sentence
    first = found.first[0]
    assert first.opens == ("flat_car",) and first.who and first.find in found.sentence and first.who in found.sentence
    assert by_rail.scenario.start <= first.by < by_rail.scenario.deadline


def test_a_crane_that_no_table_knows_is_not_yet(by_rail):
    found = decided(by_rail.with_changes(cranes=[]))
    assert found.verdict == "not yet" and "ecline" not in found.sentence


def test_a_starter_museum_is_not_yet_or_provisional():
    museum = checked(starter_museum())
    found = decided(museum, "our_unit")
    assert found.verdict == "not yet" or found.provisional_on
    assert 1 <= len(found.first) <= 3 and "ecline" not in found.sentence


def test_what_opens_most_comes_first(museum):
    """One fact that both paths wait for, and one that only one of them waits for besides."""
    both = only(museum, "flat_car", "trailer")
    blank = change(both, "survey", {"clue": "receiving_track_ready"}, found="unknown")
    blank = change(blank, "bridges", {"bridge": "lead_trestle"}, normal=None, maximum=None)
    first, second = decided(blank).first[:2]
    assert set(first.opens) | set(first.waits) == {"flat_car", "trailer"} and second.waits == ("flat_car",)
    assert first.worth > second.worth > 0


def test_a_measurement_is_due_on_a_day_on_which_the_committee_sits(museum):
    blank = change(only(museum, "trailer"), "survey", {"clue": "receiving_track_ready"}, found="unknown")
    day = decided(blank).first[0].by
    assert day.strftime("%a") == "Tue" and (day.day <= 7 or 15 <= day.day <= 21)


def test_no_time_left_is_too_late_and_then_the_unit_may_be_declined(museum):
    late = museum.with_changes(deadline=dt.date(2027, 3, 12), forced_scrap=dt.date(2027, 3, 20))
    found = decided(late)
    assert found.verdict == "too late" and found.path is None
    assert late.path(found.fallback).disposal == "declined"
    assert "too late" in found.sentence and "ecline" in found.sentence and "more time" in found.sentence


def test_more_than_every_fund_together_is_beyond_means(museum):
    poor = museum.with_changes(funds=[r for r in museum.funds if r.fund in ("track_gang_labor", "member_loan")])
    found = decided(poor)
    assert found.verdict == "beyond means" and found.path is None
    assert "6,000 USD" in found.sentence and "ecline" in found.sentence


def test_a_loan_is_no_means_and_no_funds_table_is_no_answer(museum):
    assert decided(museum.with_changes(funds=[])).verdict == "do this"


def test_far_more_than_its_agreed_value_for_its_significance_is_beyond_means(museum):
    cheap = change(museum, "vehicles", {"vehicle": UNIT}, insured_value=Quantity(900.0, "USD"), significance=1)
    found = decided(cheap)
    assert found.verdict == "beyond means" and "9,000 USD" in found.sentence
    dear = change(museum, "vehicles", {"vehicle": UNIT}, insured_value=Quantity(1100.0, "USD"), significance=5)
    found = decided(dear)
    assert found.verdict == "do this" and found.budget.at_confidence > 55_000
    assert "That is beyond it: with 5 points" in found.sentence and "55,000 USD is in proportion" in found.sentence


def test_a_cheaper_path_within_the_means_goes_before_a_likelier_one_beyond_them(museum):
    whole = compare_paths(museum, "road_diesel", None, draw(museum, trials=300))
    assert whole.decision.verdict == "do this"


def test_a_path_stopped_by_what_is_known_is_blocked(museum):
    stopped = only(museum, "transporter")
    found = decided(stopped)
    assert found.verdict == "blocked" and found.path is None and "ecline" in found.sentence
    reason = compare_paths(stopped, UNIT, None, draw(stopped, trials=100)).path("transporter").reasons[0]
    assert reason in found.sentence and reason in found.why[0]


def test_what_is_unknown_outweighs_what_is_blocked_beyond_the_means_and_too_late(museum):
    """A unit is not declined while one path may still turn out possible."""
    two = only(museum, "transporter", "flat_car")
    blank = change(two, "bridges", {"bridge": "lead_trestle"}, normal=None, maximum=None)
    assert decided(blank).verdict == "not yet"
    unready = change(two, "survey", {"clue": "receiving_track_ready"}, found="unknown")
    dear = change(unready, "vehicles", {"vehicle": UNIT}, insured_value=Quantity(900.0, "USD"), significance=1)
    assert decided(unready).verdict == "not yet"
    assert decided(dear).verdict != "not yet", "its price is known to be beyond the means, whatever the track is like"


def test_an_unknown_path_that_comes_too_late_in_any_case_is_not_worth_measuring(by_rail):
    blank = change(by_rail, "bridges", {"bridge": "lead_trestle"}, normal=None, maximum=None)
    late = blank.with_changes(deadline=dt.date(2027, 3, 12), forced_scrap=dt.date(2027, 3, 20))
    assert decided(late).verdict == "too late"


def test_the_json_carries_the_decision(museum):
    whole = compare_paths(change(only(museum, "flat_car"), "bridges", {"bridge": "lead_trestle"}, normal=None,
                                 maximum=None), UNIT, None, draw(museum, trials=100))  # fmt: skip
    told = json.loads(json.dumps(whole.as_json()))["decision"]
    assert told["verdict"] in VERDICTS and told["path"] is None and told["provisional_on"] == []
    assert set(told["find_out_first"][0]) == {"what", "find", "who", "by", "opens", "waits"}
    assert told["why"] == list(whole.decision.why)


def test_nothing_that_saves_it_is_blocked(museum):
    assert decided(only(museum)).verdict == "blocked"


def test_paths_that_are_only_unknown_are_no_ground_to_decline_when_the_choice_is_refused(museum):
    survey = [row.model_copy(update={"found": "unknown"}) if row.clue == "rail_connection" else row for row in museum.survey]
    found = decided(only(museum, "trailer", "flat_car").with_changes(survey=survey), "foundry_switcher")
    assert (found.verdict, found.path, found.fallback) == ("do this", "trailer", None)
    assert "hangs on what is not known yet" in found.sentence and "ecline" not in found.sentence


def test_of_two_paths_that_are_both_too_late_the_quicker_is_named(museum):
    late = only(museum, "own_wheels", "trailer").with_changes(deadline=dt.date(2027, 3, 20))
    found = decided(late)
    assert found.verdict == "too late" and "The quickest way out is to haul on a multi-axle trailer" in found.sentence


def test_what_was_found_bad_is_told_however_small_the_chance_that_it_is_refused(museum):
    boxcar = change(museum, "survey", {"clue": "salvage_rights"}, found="lien")
    before, after = (compare_paths(m, "boxcar", None, draw(m, trials=300)).path("trailer") for m in (museum, boxcar))
    assert not any("found lien" in reason for reason in before.reasons)
    assert after.status == "caution" and any("found lien" in reason for reason in after.reasons)


def test_a_trailer_of_which_too_little_is_known_is_not_passed_over_for_a_larger_one(museum):
    blank = change(museum, "trailers", {"trailer": "thirteen_axle_trailer"}, blocking_weight=None)
    found = compare_paths(blank, "foundry_switcher", None, draw(blank, trials=300)).path("trailer")
    assert found.status == "unknown" and "thirteen_axle_trailer" in found.work.equipment
