"""The survey: bearings from what was seen, journals, readiness, what is unknown, and the panel that shows them."""

import csv
import datetime as dt
import io
import re
from html import unescape

import pytest

from heritagemove.museum import rules
from heritagemove.museum.rows.clues import Clue
from heritagemove.museum.rows.readiness import SUBJECTS
from heritagemove.museum.rows.survey import Observation
from heritagemove.panels.state import Desk
from heritagemove.panels.survey_sheet import survey_sheet
from heritagemove.panels.survey_tables import show_readiness, show_sheet, show_unknowns
from heritagemove.survey.bearings import SURE, TYPES, bearing_of, bearings, seen_at, show_share
from heritagemove.survey.evidence import entropy, expected_gain, posterior
from heritagemove.survey.readiness import axle_ratings, journal_class, readiness, unknowns
from heritagemove.units.units import Quantity

HOSTILE = '<img src=x onerror="alert(1)">'


def seen(place="1L", vehicle="caboose", day=1, **clues):
    return [
        Observation(
            vehicle=vehicle, place=place, clue=clue, found=found, photo=None,
            observed=dt.date(2027, 1, day), basis="measured", source="test",
        )
        for clue, found in clues.items()
    ]  # fmt: skip


def only(museum, observations):
    return museum.with_changes(survey=observations)


def item(museum, vehicle, name):
    return next(entry for entry in readiness(museum, vehicle) if entry.item == name)


# Bearings


def test_nothing_seen_leaves_the_prior_of_the_table(museum):
    prior = next(row for row in museum.clues if row.clue == "prior")
    answer = bearing_of([], museum.clues)
    assert [getattr(answer, kind) for kind in TYPES] == [getattr(prior, kind) for kind in TYPES]
    assert not answer.known and answer.next_clue is not None


def test_a_lid_points_to_a_plain_bearing_but_does_not_prove_it(museum):
    answer = bearing_of(seen(lid="yes"), museum.clues)
    assert answer.likeliest == "plain" and not answer.known
    assert answer.converted_roller > 1 - SURE


def test_brass_and_wedge_seen_make_a_plain_bearing_known(museum):
    answer = bearing_of(seen(lid="yes", brass_and_wedge_seen="yes"), museum.clues)
    assert answer.likeliest == "plain" and answer.known and answer.next_clue is None


def test_an_end_cap_in_an_open_pedestal_is_a_roller(museum):
    answer = bearing_of(seen(lid="no", end_cap_three_screws="yes", box_or_pedestal="pedestal"), museum.clues)
    assert answer.likeliest == "roller" and answer.known


def test_an_end_cap_in_a_closed_box_with_a_hole_is_a_converted_roller(museum):
    sights = seen(end_cap_three_screws="yes", box_or_pedestal="box", open_hole_in_box_bottom="yes", rear_seal="no")
    answer = bearing_of(sights, museum.clues)
    assert answer.likeliest == "converted_roller" and answer.known


def test_brass_against_an_end_cap_is_named_as_a_contradiction(museum):
    answer = bearing_of(seen(lid="yes", brass_and_wedge_seen="yes", end_cap_three_screws="yes"), museum.clues)
    assert "brass_and_wedge_seen yes against end_cap_three_screws yes" in answer.contradictions
    assert not answer.known


def test_a_lid_with_an_end_cap_is_no_contradiction_for_a_converted_box_has_both(museum):
    answer = bearing_of(seen(lid="yes", end_cap_three_screws="yes"), museum.clues)
    assert answer.contradictions == () and answer.likeliest == "converted_roller"


def test_a_clue_found_in_two_ways_on_one_day_is_a_contradiction_and_counts_in_neither(museum):
    answer = bearing_of(seen(lid="yes") + seen(lid="no"), museum.clues)
    assert answer.contradictions == ("lid found no and yes",)
    assert answer.seen == () and answer.plain == bearing_of([], museum.clues).plain


def test_no_end_cap_behind_a_shut_lid_does_not_count(museum):
    shut = bearing_of(seen(lid="yes", end_cap_three_screws="no"), museum.clues)
    assert shut.plain == bearing_of(seen(lid="yes"), museum.clues).plain
    assert shut.left_out == ("end_cap_three_screws no: nobody looked behind the lid",)
    opened = bearing_of(seen(lid="yes", end_cap_three_screws="no", pad_or_waste_seen="yes"), museum.clues)
    assert opened.left_out == () and ("end_cap_three_screws", "no") in opened.seen


def test_a_word_that_is_not_the_clues_is_an_error_that_lists_the_words(museum):
    with pytest.raises(ValueError, match=r'^lid: found "perhaps"; allowed: yes, no, unknown$'):
        bearing_of(seen(lid="perhaps"), museum.clues)


def test_a_fact_of_another_kind_says_nothing_of_the_bearing(museum):
    assert bearing_of(seen(lead_paint="yes"), museum.clues).seen == ()


@pytest.mark.parametrize(
    ("prior", "message"),
    [
        ((0.5, 0.5), "prior: found 2 shares; allowed: 3, for plain, roller, converted_roller"),
        ((0.5, 0.3, 0.3), "prior: found shares that add up to 1.1; allowed: 1"),
        ((1.2, -0.2, 0.0), "prior: found 1.2; allowed: 0 to 1"),
    ],
)
def test_a_prior_out_of_range_is_an_error(museum, prior, message):
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        bearing_of([], museum.clues, prior)


def test_a_given_prior_comes_before_that_of_the_table(museum):
    assert bearing_of([], museum.clues, (0.1, 0.8, 0.1)).likeliest == "roller"


def test_a_prior_that_is_certain_has_nothing_left_to_look_for(museum):
    assert bearing_of([], museum.clues, (1, 0, 0)).next_clue is None


def test_evidence_that_no_hypothesis_can_show_is_an_error():
    with pytest.raises(ValueError, match="no hypothesis can show"):
        posterior((0.5, 0.5), [(0.0, 0.0)])
    with pytest.raises(ValueError, match="found 3; allowed: 2"):
        posterior((0.5, 0.5), [(0.1, 0.1, 0.1)])


def test_outcomes_must_be_shares_of_one_whole():
    with pytest.raises(ValueError, match=r"add up to 0\.9 under one hypothesis; allowed: 1"):
        expected_gain((0.5, 0.5), [(0.4, 0.5), (0.5, 0.5)])
    assert entropy((1.0, 0.0)) == 0.0


def test_a_share_is_never_shown_as_certain():
    assert [show_share(share) for share in (0, 0.004, 0.5, 0.99, 0.996, 1)] == [
        "under 1 %", "under 1 %", "50 %", "99 %", "over 99 %", "over 99 %",
    ]  # fmt: skip


# A unit


def test_what_was_seen_at_the_box_comes_before_what_was_seen_of_the_unit(museum):
    changed = only(museum, seen("vehicle", lid="yes", day=9) + seen("2L", lid="no", day=1))
    assert [row.found for row in seen_at(changed, "caboose", "2L")] == ["no"]
    assert [row.found for row in seen_at(changed, "caboose", "2R")] == ["yes"]


def test_the_latest_observation_counts_and_unknown_never_replaces_one(museum):
    changed = only(museum, seen(lid="no", day=1) + seen(lid="yes", day=2) + seen(lid="unknown", day=3))
    assert [row.found for row in seen_at(changed, "caboose", "1L")] == ["yes"]


def test_the_demo_units_have_the_bearings_their_tables_declare(museum):
    for unit in museum.vehicles:
        found = bearings(museum, unit.vehicle)
        assert found.likeliest == unit.bearing, unit.vehicle
        assert all(box.contradictions == () for box in found.boxes), unit.vehicle


def test_each_outside_box_has_an_answer_and_driving_boxes_have_none(museum):
    found = bearings(museum, "consolidation")
    assert found.inside == ("2", "3", "4", "5")
    assert [box.place for box in found.boxes] == ["1L", "1R", *(f"{axle}{side}" for axle in (6, 7, 8, 9) for side in "LR")]
    assert "cannot be converted" in found.sentence


def test_boxes_whose_lids_nobody_lifted_stay_open(museum):
    found = bearings(museum, "road_diesel")
    assert {box.place for box in found.boxes if box.known} == {"1L", "4R"}
    assert found.sentence.startswith("Bearings: plain; known at 2 of 12 boxes")


def test_boxes_that_differ_are_called_mixed_and_contradict_the_table(museum):
    odd = seen("3L", end_cap_three_screws="yes", box_or_pedestal="box", rear_seal="no", lid="no")
    kept = [row for row in museum.survey if (row.vehicle, row.place) != ("caboose", "3L")]
    changed = only(museum, kept + odd)
    assert bearings(changed, "caboose").likeliest == "mixed"
    assert "vehicles.csv says plain: one of the two must be mended" in bearings(changed, "caboose").sentence
    assert item(changed, "caboose", "bearing_type").status == "defect"


def test_an_unknown_unit_is_an_error_that_lists_the_units(museum):
    for ask in (bearings, axle_ratings, readiness, unknowns):
        with pytest.raises(ValueError, match='vehicle: found "tram"; allowed: foundry_switcher'):
            ask(museum, "tram")


# Journals


def size(diameter, length):
    return Quantity(diameter, "in"), Quantity(length, "in")


@pytest.mark.parametrize(
    ("inches", "service", "letter", "pounds"),
    [
        ((5.5, 10), "freight", "D", 44_250),  # 177,000 lb on four axles
        ((6, 11), "freight", "E", 55_000),  # 220,000 lb, a car owner's page
        ((6.5, 12), "freight", "F", 65_750),  # 263,000 lb
        ((6.5, 9), "freight", "K (roller)", 71_500),  # 286,000 lb
        ((5.5, 10), "passenger", "D", 34_000),  # US Army TR0655, to 85 mph
        ((5.5, 10), "tender", "tender", 50_000),  # 49 CFR 230.99
        ((5.4, 10), "tender", "tender", 38_000),  # under 5-1/2 in, so the next least diameter
        ((5.3125, 10), "freight", "D", 44_250),  # worn 3/16 in
    ],
)
def test_size_and_service_give_class_and_rating(museum, inches, service, letter, pounds):
    found = journal_class(*size(*inches), service, museum.journal_ratings)
    assert (found.letter, found.rating.m_as("lb")) == (letter, pytest.approx(pounds))


def test_wear_is_the_gap_to_the_nominal_diameter(museum):
    assert journal_class(*size(5.3125, 10), "freight", museum.journal_ratings).wear.m_as("in") == pytest.approx(0.1875)


def test_a_size_between_the_classes_has_no_rating(museum):
    assert journal_class(*size(4.6, 12), "freight", museum.journal_ratings) is None
    assert journal_class(*size(3, 6), "tender", museum.journal_ratings) is None


@pytest.mark.parametrize("inches", [(1.9, 10), (5.5, 0), (-5.5, 10), (21, 10), (float("nan"), 10)])
def test_a_journal_size_out_of_range_is_an_error(museum, inches):
    with pytest.raises(ValueError, match=r"^journal (diameter|length): found .* in; allowed: 2 to 20 in$"):
        journal_class(*size(*inches), "freight", museum.journal_ratings)


def test_a_service_without_a_rating_is_an_error(museum):
    with pytest.raises(ValueError, match=r'^service: found "tram"; allowed: freight, passenger or tender'):
        journal_class(*size(5.5, 10), "tram", museum.journal_ratings)


def test_freight_passenger_and_tender_axles_are_rated_by_their_own_rows(museum):
    assert {row.journal.service for row in axle_ratings(museum, "coach")} == {"passenger"}
    assert {row.journal.service for row in axle_ratings(museum, "boxcar")} == {"freight"}
    steam = axle_ratings(museum, "consolidation")
    assert [row.journal and row.journal.service for row in steam] == ["freight", None, None, None, None] + ["tender"] * 4
    assert [row.axle for row in steam if row.inside] == [2, 3, 4, 5]


def test_calipers_in_the_survey_come_before_the_size_in_vehicles_csv(museum):
    changed = museum.with_changes(survey=[*museum.survey, *seen("2R", "boxcar", journal_size="5 x 9")])
    found = {row.axle: row for row in axle_ratings(changed, "boxcar")}
    assert found[2].journal.letter == "C" and found[2].size == "5 x 9 (survey)"
    assert found[1].journal.letter == "D" and found[1].size == "5-1/2 x 10 (vehicles.csv)"


def test_an_axle_over_its_rating_is_a_defect_and_says_by_how_much(museum):
    heavy = [row.model_copy(update={"load": Quantity(45_000, "lb")}) for row in museum.axles]
    over = item(museum.with_changes(axles=heavy), "boxcar", "journals")
    assert over.status == "defect" and "750 lb over" in over.found
    assert item(museum, "boxcar", "journals").status == "ready"


def test_an_axle_load_or_size_that_is_missing_is_unknown(museum):
    bare = [row.model_copy(update={"load": None}) for row in museum.axles]
    assert item(museum.with_changes(axles=bare), "boxcar", "journals").status == "unknown"
    unsized = [row.model_copy(update={"journal": None}) for row in museum.vehicles]
    found = item(museum.with_changes(vehicles=unsized), "boxcar", "journals")
    assert found.status == "unknown" and "known for 0 of 4 axles" in found.found


# Readiness


def test_every_subject_of_the_list_is_there_with_a_rule_and_a_signature(museum):
    found = readiness(museum, "boxcar")
    groups = {"bearing_type", "journals", *SUBJECTS} - {"plain_bearing"}
    assert {entry.subject for entry in found} == groups
    assert all(entry.rule and entry.signs and entry.defect and entry.found for entry in found)


def test_what_nobody_looked_at_is_unknown_and_never_ready(museum):
    blind = only(museum, [])
    for unit in museum.vehicles:
        clues = {row.item for row in museum.readiness if row.clue}
        statuses = {entry.status for entry in readiness(blind, unit.vehicle) if entry.item in clues}
        assert statuses == {"unknown"}, unit.vehicle


def test_a_rule_whose_text_was_not_read_says_so(museum):
    rows_by_item = {row.item: row for row in museum.readiness}
    for entry in readiness(museum, "boxcar"):
        if entry.item in rows_by_item:
            assert ("text not read" in entry.rule) == (rows_by_item[entry.item].strength == "from_memory"), entry.item


def test_only_the_rules_of_a_possible_bearing_are_listed(museum):
    names = {entry.item for entry in readiness(museum, "boxcar")}
    assert {"roller_cap", "converted_acceptance"} <= names and "plain_brass" not in names
    assert "plain_brass" in {entry.item for entry in readiness(museum, "foundry_switcher")}
    open_unit = {entry.item for entry in readiness(museum, "road_diesel")}
    assert {"plain_brass", "roller_cap"} <= open_unit


@pytest.mark.parametrize(("found", "status"), [("sound", "ready"), ("cracked", "defect"), ("unknown", "unknown")])
def test_a_wheel_found_sound_is_ready_and_one_found_cracked_is_a_defect(museum, found, status):
    changed = only(museum, seen("vehicle", "coach", wheel_tread=found))
    assert item(changed, "coach", "wheel_car").status == status


def test_a_bearing_item_needs_every_box(museum):
    places = [f"{axle}{side}" for axle in (1, 2, 3, 4) for side in "LR"]
    looked = [row for place in places for row in seen(place, "boxcar", end_cap_condition="sound")]
    museum = only(museum, [row for row in museum.survey if row.clue != "end_cap_condition"])
    some = item(museum.with_changes(survey=[*museum.survey, *looked[:-1]]), "boxcar", "roller_cap")
    assert (some.status, some.found) == ("unknown", "seen good at 7 of 8 boxes")
    assert item(museum.with_changes(survey=[*museum.survey, *looked]), "boxcar", "roller_cap").status == "ready"
    bad = seen("3R", "boxcar", end_cap_condition="screw_missing", day=2)
    wrong = item(museum.with_changes(survey=[*museum.survey, *looked, *bad]), "boxcar", "roller_cap")
    assert (wrong.status, wrong.found) == ("defect", "3R screw missing")


@pytest.mark.parametrize(
    ("inches", "status"), [(31.4, "defect"), (31.5, "ready"), (34.5, "ready"), (34.6, "defect"), (None, "unknown")]
)
def test_the_coupler_height_is_held_against_both_limit_rows(museum, inches, status):
    height = None if inches is None else Quantity(inches, "in")
    units = [row.model_copy(update={"coupler_height": height}) for row in museum.vehicles]
    assert item(museum.with_changes(vehicles=units), "boxcar", "coupler_height").status == status


@pytest.mark.parametrize(("years", "status"), [(49, "ready"), (50, "caution"), (70, "caution")])
def test_the_age_rule_is_a_limit_row_and_a_caution_with_its_date(museum, years, status):
    built = museum.scenario.start.year - years
    units = [row.model_copy(update={"built": built}) for row in museum.vehicles]
    age = item(museum.with_changes(vehicles=units), "boxcar", "age")
    assert age.status == status and "2004-10-01" in age.rule and "50 years" in age.found


def test_another_age_limit_in_the_table_moves_the_answer_and_none_is_unknown(museum):
    later = [row.model_copy(update={"value": 100.0}) if row.limit == "freight_car_age" else row for row in museum.limits]
    assert item(museum.with_changes(limits=later), "boxcar", "age").status == "ready"
    none = [row for row in museum.limits if row.limit != "freight_car_age"]
    assert item(museum.with_changes(limits=none), "boxcar", "age").status == "unknown"


def test_the_age_rule_is_for_freight_cars_and_cabooses_only(museum):
    listed = {unit.vehicle for unit in museum.vehicles if "age" in {entry.item for entry in readiness(museum, unit.vehicle)}}
    assert listed == {unit.vehicle for unit in museum.vehicles if unit.kind in ("freight_car", "caboose")}


def test_an_appendix_a_part_is_a_caution(museum):
    assert item(museum, "caboose", "appendix_a").status == "caution"
    assert item(museum, "boxcar", "appendix_a").status == "ready"


# What is unknown


def test_open_boxes_come_first_with_the_clue_to_look_for_and_the_paths_that_wait(museum):
    first = unknowns(museum, "road_diesel")[0]
    assert first.what.startswith("Bearing of box 1R, 2L") and first.find.startswith("look for: ")
    assert "own_wheels" in first.blocks


def test_a_fact_that_a_gate_needs_and_nobody_found_is_listed_with_its_paths(museum):
    what = "Receiving track ready"
    assert not any(entry.what == what for entry in unknowns(museum, "boxcar"))
    kept = [row for row in museum.survey if row.clue != "receiving_track_ready"]
    found = next(entry for entry in unknowns(only(museum, kept), "boxcar") if entry.what == what)
    waiting = {gate.path for gate in museum.gates if "receiving_track_ready" in gate.fact}
    assert set(found.blocks) == waiting != set()


def test_what_nobody_measured_at_a_place_is_listed_with_the_paths_that_lift_there(museum):
    assert not any("museum yard" in entry.what for entry in unknowns(museum, "boxcar"))
    blank = {"radius": None, "power_line_voltage": None, "power_lines_cleared": None}
    places = [row.model_copy(update=blank) if row.place == "museum" else row for row in museum.places]
    found = next(entry for entry in unknowns(museum.with_changes(places=places), "boxcar") if "museum yard" in entry.what)
    assert found.what == "Tamber River museum yard: radius, power lines cleared"
    assert set(found.blocks) == {"flat_car", "trailer"}


# Tables


def problems(museum, **tables):
    return [str(problem) for problem in rules.cross_table_problems(museum.with_changes(**tables))]


def changed(table, at, **values):
    return [row.model_copy(update=values) if place == at else row for place, row in enumerate(table)]


def test_shares_of_a_clue_must_add_up_to_one(museum):
    at = next(place for place, row in enumerate(museum.clues) if (row.clue, row.found) == ("lid", "yes"))
    found = problems(museum, clues=changed(museum.clues, at, plain=0.5))
    assert len(found) == 1 and "column plain" in found[0]
    assert "shares that add up to 1 over lid; found 0.55 in all" in found[0]


def test_the_prior_must_be_there_once_and_add_up_to_one(museum):
    assert museum.clues[0].clue == "prior"
    assert "this row adds up to 0.6" in problems(museum, clues=changed(museum.clues, 0, plain=0.1))[0]
    none = problems(museum, clues=museum.clues[1:])
    assert none == ['clues.csv, column clue: found "0 rows prior"; allowed: one row prior']


@pytest.mark.parametrize("text", ["0", "1", "1.2", "-0.1", "half", "nan"])
def test_a_likelihood_is_above_zero_and_below_one(museum, text):
    cells = {name: str(value) for name, value in museum.clues[1]} | {"plain": text}
    with pytest.raises(ValueError, match="a share above 0 and below 1"):
        Clue.model_validate(cells)


def test_a_box_that_the_unit_does_not_have_is_an_error(museum):
    found = problems(museum, survey=seen("9L", "caboose", lid="yes"))
    assert found == ['survey.csv, column place: found "9L"; allowed: 1L, 1R, 2L, 2R, 3L, 3R, 4L, 4R, site, vehicle']


def test_a_word_that_is_not_the_clues_is_an_error_of_the_table(museum):
    found = problems(museum, survey=seen("1L", "caboose", lid="yess"))
    assert found == ['survey.csv, column found: found "yess"; allowed: no, unknown, yes (did you mean yes?)']


def test_a_readiness_row_names_limits_and_measures_that_exist(museum):
    at = next(place for place, row in enumerate(museum.readiness) if row.item == "age")
    for values, said in (
        ({"most": "freight_car_ago"}, "did you mean freight_car_age?"),
        ({"measure": "colour"}, 'column measure: found "colour"; allowed: age, '),
        ({"clue": "lid"}, "either a clue or a measure, not both"),
    ):
        found = problems(museum, readiness=changed(museum.readiness, at, **values))
        assert len(found) == 1 and said in found[0]


# On screen


@pytest.fixture
def panel(museum, samples):
    return survey_sheet(Desk(museum, "road_diesel", samples))


def test_the_form_opens_at_the_box_least_known_and_its_most_telling_clue(museum, panel):
    box = min(bearings(museum, "road_diesel").boxes, key=lambda box: box.certainty)
    assert (panel.place.value, panel.clue.value) == (box.place, box.next_clue)
    assert panel.alert.value == "" and panel.take_back.disabled


def test_the_form_shows_what_a_sight_would_make_of_the_box_before_it_is_added(museum, panel):
    panel.place.value, panel.clue.value, panel.found.value = "3L", "end_cap_three_screws", "yes"
    others = [row for row in seen_at(museum, "road_diesel", "3L") if row.clue != "end_cap_three_screws"]
    then = bearing_of(others + seen("3L", end_cap_three_screws="yes"), museum.clues)
    words = then.likeliest.replace("_", " ")
    assert f"Box 3L: end cap three screws yes would make it {words}, {show_share(then.certainty)}" in panel.effect.value
    assert panel.museum is museum
    panel.add.click()
    assert f"end cap three screws yes makes it {words}" in panel.effect.value


def test_an_added_observation_changes_the_box_and_is_taken_back(museum, panel):
    before = panel.boxes.value
    panel.place.value, panel.clue.value, panel.found.value = "3L", "brass_and_wedge_seen", "yes"
    panel.add.click()
    assert {box.place for box in bearings(panel.museum, "road_diesel").boxes if box.known} == {"1L", "3L", "4R"}
    assert "known at 3 of 12 boxes" in panel.boxes.value != before
    panel.take_back.click()
    assert panel.boxes.value == before and panel.typed.value == "" and panel.take_back.disabled


def test_what_to_type_into_survey_csv_reads_as_the_row_that_was_added(panel):
    panel.add.click()
    text = unescape(re.search(r"<pre[^>]*>(.*?)</pre>", panel.typed.value, re.S).group(1))
    cells = dict(zip(Observation.model_fields, next(csv.reader(io.StringIO(text))), strict=True))
    assert Observation.model_validate(cells) == panel.added[0]


def test_an_observation_of_the_whole_unit_can_be_added(museum, panel):
    panel.place.value, panel.clue.value, panel.found.value = "vehicle", "brass_and_wedge_seen", "yes"
    panel.add.click()
    assert "known at 12 of 12 boxes" in panel.boxes.value


def test_a_contradiction_stands_on_the_screen(panel):
    panel.place.value, panel.clue.value, panel.found.value = "1L", "end_cap_three_screws", "yes"
    assert "Contradiction: brass and wedge seen yes against end cap three screws yes" in panel.effect.value
    panel.add.click()
    assert "brass and wedge seen yes against end cap three screws yes" in panel.boxes.value


def test_every_unit_can_be_chosen_and_has_its_own_boxes(museum, panel):
    for unit in museum.vehicles:
        panel.desk.change("Unit", vehicle=unit.vehicle)
        panel.follow()
        assert panel.alert.value == "", unit.vehicle
        offered = {value for _, value in panel.place.options}
        assert offered == {box.place for box in bearings(museum, unit.vehicle).boxes} | {"vehicle"}


def test_a_failure_becomes_a_line_that_names_the_input(panel, monkeypatch):
    def fail(*_):
        raise ValueError("found <b>this</b>")

    monkeypatch.setattr("heritagemove.panels.survey_tables.boxes_table", fail)
    panel.place.value = "5R"
    assert 'role="alert"' in panel.alert.value and "found &lt;b&gt;this&lt;/b&gt;" in panel.alert.value


def test_names_from_the_tables_are_escaped(museum, samples):
    units = [row.model_copy(update={"name": HOSTILE, "brakes": HOSTILE, "source": HOSTILE}) for row in museum.vehicles]
    hostile = museum.with_changes(vehicles=units)
    desk = Desk(hostile, "boxcar", samples)
    screens = [show(desk) for show in (show_sheet, show_readiness, show_unknowns)]
    panel = survey_sheet(desk)
    screens += [panel.effect.value, panel.boxes.value, panel.sheet.value]
    assert all(HOSTILE not in screen for screen in screens) and "&lt;img" in screens[0]
    ours = r'<img (?!alt="[^"<>]*" width="\d+" height="\d+" style="[^"<>]*" src="data:image/jpeg;base64,)'
    assert not any(re.findall(ours, screen) for screen in screens)


def test_the_readiness_table_counts_what_is_ready_and_what_is_unknown(museum, samples):
    counted = [entry.status for entry in readiness(museum, "boxcar")]
    screen = show_readiness(Desk(museum, "boxcar", samples))
    assert f"{counted.count('ready')} ready" in screen and f"{counted.count('unknown')} unknown" in screen
