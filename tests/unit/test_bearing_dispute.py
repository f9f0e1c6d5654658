"""Clues against the bearing that vehicles.csv enters: unknown until somebody looks, with the clue to look for."""

import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.running_gates import starting_rate_of
from heritagemove.checks.gates.screening import screen
from heritagemove.panels.survey_tables import bearings_table
from heritagemove.survey.bearings import bearings
from heritagemove.survey.readiness import readiness
from heritagemove.trials.simulation import work


def declared(museum, vehicle, bearing):
    rows = [row.model_copy(update={"bearing": bearing}) if row.vehicle == vehicle else row for row in museum.vehicles]
    return museum.with_changes(vehicles=rows)


def of_bearings(museum, vehicle):
    found = screen(museum, vehicle, "own_wheels").findings
    return {finding.gate.gate: finding for finding in found if finding.gate.rests_on == "bearing"}


def test_nothing_is_disputed_in_the_demo(museum):
    assert {unit.vehicle: bearings(museum, unit.vehicle).dispute for unit in museum.vehicles} == {
        unit.vehicle: "" for unit in museum.vehicles
    }


@pytest.mark.parametrize(
    ("vehicle", "entered", "looks"),
    [("foundry_switcher", "roller", "look plain"), ("boxcar", "plain", "look converted roller")],
)
def test_sure_clues_against_the_entered_type_make_its_gates_unknown_and_name_a_clue(museum, vehicle, entered, looks):
    for finding in of_bearings(declared(museum, vehicle, entered), vehicle).values():
        assert finding.status == "unknown" and finding.refusal == 0
        assert f"vehicles.csv says {entered}, but boxes 1L, " in finding.reason and looks in finding.reason
        assert "look for " in finding.reason


def test_a_disputed_roller_runs_and_starts_as_a_plain_bearing(museum):
    disputed = declared(museum, "foundry_switcher", "roller")
    carriage = arrange(disputed, "foundry_switcher", "own_wheels")
    honest = arrange(museum, "foundry_switcher", "own_wheels")
    assert carriage.amounts["rider_days"] == honest.amounts["rider_days"]
    assert starting_rate_of(carriage) == starting_rate_of(honest)


def test_clues_below_the_limit_s_probability_do_not_overrule_the_entry(museum):
    """Nobody has opened most boxes of the engine: 66 per cent plain is no proof against another entry."""
    entered = declared(museum, "consolidation", "roller")
    disputed = {box.place for box in bearings(entered, "consolidation").disputed}
    certain = {box.place for box in bearings(museum, "consolidation").boxes if box.certainty >= 0.95}
    assert disputed == certain


def test_the_limit_row_says_from_which_probability_clues_count(museum):
    def sure(percent):
        rows = [r.model_copy(update={"value": percent}) if r.limit == "bearing_sure" else r for r in museum.limits]
        return bearings(museum.with_changes(limits=rows), "road_diesel")

    assert len(sure(80).open_boxes) == 0
    assert len(sure(95).open_boxes) == 10
    assert len(sure(99.99999).open_boxes) == 12


def test_sights_that_no_type_explains_are_a_dispute_whatever_is_entered(museum):
    row = museum.survey[-1].model_copy(update={"vehicle": "boxcar", "place": "1L", "clue": "brass_and_wedge_seen",
                                               "found": "yes"})  # fmt: skip
    odd = museum.with_changes(survey=[*museum.survey, row])
    answer = bearings(odd, "boxcar")
    assert [box.place for box in answer.disputed] == ["1L"]
    assert "no type explains" in answer.dispute and answer.in_use == "unknown"


def test_the_readiness_list_says_the_dispute_too(museum):
    item = readiness(declared(museum, "boxcar", "plain"), "boxcar")[0]
    assert item.status == "defect" and "Disputed: vehicles.csv says plain" in item.found


def test_the_screen_marks_the_disputed_boxes_and_says_what_to_look_for(museum):
    table = bearings_table(declared(museum, "boxcar", "plain"), "boxcar")
    assert table.count("✕ disputed") == 8 and "✕ vehicles.csv says plain" in table and "look for " in table
    assert "disputed" not in bearings_table(museum, "boxcar")


def test_an_unknown_entry_is_never_disputed(museum):
    assert bearings(declared(museum, "boxcar", "unknown"), "boxcar").dispute == ""


COUNTED = ("plain_journal_boxes", "exception_requests", "special_trains", "regular_train_cars")


def counted(museum, vehicle, path, samples):
    found = screen(museum, vehicle, path)
    amounts = work(museum, vehicle, path, samples, found.amounts, found.equipment).amounts
    return {name: amounts[name] for name in COUNTED}, found.notes


@pytest.mark.parametrize(("vehicle", "entered"), [("foundry_switcher", "roller"), ("boxcar", "plain")])
def test_what_is_counted_by_a_disputed_bearing_is_unknown_and_says_why(museum, samples, vehicle, entered):
    amounts, notes = counted(declared(museum, vehicle, entered), vehicle, "own_wheels", samples)
    typed, _ = counted(declared(museum, vehicle, "unknown"), vehicle, "own_wheels", samples)
    assert set(amounts.values()) == {None} and amounts == typed
    assert any("Unknown here: plain journal boxes, " in note and f"says {entered}, but" in note for note in notes)


def test_on_other_wheels_only_the_boxes_themselves_are_in_doubt(museum, samples):
    entered = declared(museum, "foundry_switcher", "roller")
    amounts, _ = counted(entered, "foundry_switcher", "donor_trucks", samples)
    sure, _ = counted(museum, "foundry_switcher", "donor_trucks", samples)
    assert amounts["plain_journal_boxes"] is None
    assert {name: amounts[name] for name in COUNTED[1:]} == {name: sure[name] for name in COUNTED[1:]}
    assert arrange(entered, "foundry_switcher", "donor_trucks").bearing_dispute == ""


def test_a_disputed_roller_is_winched_like_a_plain_bearing(museum):
    disputed = arrange(declared(museum, "foundry_switcher", "roller"), "foundry_switcher", "roll_on")
    assert starting_rate_of(disputed) == starting_rate_of(arrange(museum, "foundry_switcher", "roll_on"))


def test_what_is_not_disputed_is_counted_as_entered(museum, samples):
    amounts, notes = counted(museum, "coach", "own_wheels", samples)
    assert None not in amounts.values() and not any("Unknown here" in note for note in notes)
