"""What the survey found bad stops a path, or is mended by a task of it with its money and days."""

import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import price_path


def found(museum, vehicle, **facts):
    """Return the museum in which the survey found this of a unit."""
    others = [row for row in museum.survey if not (row.vehicle == vehicle and row.clue in facts)]
    one = next(row for row in museum.survey if row.vehicle == vehicle)
    looked = [one.model_copy(update={"place": "vehicle", "clue": clue, "found": word}) for clue, word in facts.items()]
    return museum.with_changes(survey=[*others, *looked])


def statuses(museum, vehicle, path):
    return {finding.gate.gate: finding.status for finding in screen(museum, vehicle, path).findings}


WORST = {
    "wheel_tread": "cracked", "brass_condition": "cracked", "box_oil_visible": "no", "pad_condition": "torn",
    "hand_brake_works": "no", "brake_complete": "no",
}  # fmt: skip


def test_a_unit_that_cannot_roll_is_blocked_wherever_it_rolls_on_its_own_wheels(museum, samples):
    wreck = found(museum, "foundry_switcher", **WORST)
    assert price_path(wreck, "foundry_switcher", "own_wheels", samples=samples).status == "blocked"
    assert statuses(wreck, "foundry_switcher", "own_wheels")["wheels"] == "fail"
    assert statuses(wreck, "foundry_switcher", "own_wheels")["journal_boxes"] == "open"
    assert statuses(wreck, "foundry_switcher", "roll_on")["wheels"] == "fail"
    assert statuses(wreck, "foundry_switcher", "convert_axles")["wheels"] == "open"


def test_a_path_that_takes_the_wheels_away_does_not_ask_for_them(museum):
    wreck = found(museum, "foundry_switcher", **WORST)
    for path in ("freight_wheelsets", "donor_trucks", "idler_trucks", "flat_car", "trailer", "transporter"):
        assert {"wheels", "journal_boxes"}.isdisjoint(statuses(wreck, "foundry_switcher", path))


def test_no_gate_that_passes_says_that_nothing_is_wrong_while_something_is(museum):
    wreck = found(museum, "foundry_switcher", **WORST)
    for path in museum.paths:
        for finding in screen(wreck, "foundry_switcher", path.path).findings:
            assert "no defect" not in finding.gate.title.lower() or finding.status != "pass"


@pytest.mark.parametrize(
    ("path", "fact", "bad", "line", "units"),
    [
        ("own_wheels", "brass_condition", "cracked", "brasses", 8),
        ("roll_on", "brass_condition", "cracked", "brasses", 8),
        ("convert_axles", "wheel_tread", "cracked", "wheels", 4),
        ("idler_trucks", "draft_gear_condition", "broken", "draft_gear", 1),
        ("own_wheels", "hand_brake_works", "no", "safety_appliances", 1),
    ],
)
def test_what_is_mended_is_paid_for(museum, samples, path, fact, bad, line, units):
    """The caboose: eight boxes, four axles; what is said of the whole unit is said of each of them."""
    level = museum.with_changes(rates=[row.model_copy(update={"price_index": None}) for row in museum.rates])
    before, after = (
        price_path(each, "caboose", path, samples=samples) for each in (level, found(level, "caboose", **{fact: bad}))
    )
    spent = {entry.line.line: entry.before_error_usd for entry in after.trials.lines}[line]
    rate = next(row for row in museum.cost_lines if (row.path, row.line) == (path, line))
    assert spent == pytest.approx(samples.rates[rate.rate, None] * rate.factor * units)
    assert after.trials.cost_usd.mean() > before.trials.cost_usd.mean()


def test_a_brass_to_fit_takes_days(museum, plain_samples):
    cracked = found(museum, "caboose", brass_condition="cracked")
    before, after = (
        price_path(each, "caboose", "own_wheels", samples=plain_samples).trials.dates for each in (museum, cracked)
    )
    longer = [
        finish - start
        for finish, start in zip(after.finish["journal_service"], before.finish["journal_service"], strict=True)
    ]
    assert min(longer) >= 2  # eight boxes at 0.3 day


def test_one_cracked_brass_is_one_to_replace(museum):
    row = next(row for row in museum.survey if (row.vehicle, row.clue) == ("caboose", "brass_condition"))
    cracked = row.model_copy(update={"place": "3L", "found": "cracked"})
    amounts = screen(museum.with_changes(survey=[*museum.survey, cracked]), "caboose", "own_wheels").amounts
    assert amounts["brasses_to_replace"] == 1
    assert screen(museum, "caboose", "own_wheels").amounts["brasses_to_replace"] == 0


def test_what_nobody_looked_at_is_neither_good_nor_free(museum, samples):
    blind = found(museum, "caboose", brass_condition="unknown")
    result = price_path(blind, "caboose", "own_wheels", samples=samples)
    assert result.status == "unknown" and result.cost is None
    finding = next(f for f in result.findings if f.gate.gate == "journal_boxes")
    assert "Brass sound" in finding.find
