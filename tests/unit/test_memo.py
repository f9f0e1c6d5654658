"""What is remembered between two answers: the answer to what is set does not depend on what was set before."""

import pytest

from heritagemove.answers.sweep import sweep
from heritagemove.checks.gates import wiring
from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.memo import Made, Memo
from heritagemove.panels.state import Desk


def test_the_trailers_season_gate_does_not_depend_on_the_order_of_clicks(museum, samples):
    moves = ({"start_moved": 92}, {"deadline_moved": 150})
    found = []
    for order in (moves, moves[::-1]):
        state = Desk(museum, "foundry_switcher", samples)
        for move in order:
            state.comparison  # noqa: B018  (the screen shows each answer before the next click)
            assert state.change("moved", **move)
        found.append({f.gate.gate: (f.status, f.reason) for f in state.comparison.path("trailer").findings})
    assert found[0] == found[1]
    assert found[0]["season"][0] == "marginal"


def test_an_agreed_value_in_a_sweep_is_answered_as_if_it_were_asked_alone(museum):
    lines = [row for row in museum.cost_lines if "insured_value" not in (row.driver, row.times)]
    uninsured = museum.with_changes(cost_lines=lines)
    values = [1_000.0, 5_000_000.0]
    whole = sweep(uninsured, {"vehicle": ["foundry_switcher"], "insured_value": values}, trials=500)
    for value in values:
        alone = sweep(uninsured, {"vehicle": ["foundry_switcher"], "insured_value": [value]}, trials=500)
        inside = whole[whole.insured_value == value].reset_index(drop=True)
        assert inside.cost_p80_with_fallback_usd.equals(alone.cost_p80_with_fallback_usd)


def test_a_slider_touches_only_the_lines_that_use_it(museum, samples):
    memo = Memo()
    before = compare_paths(museum, "foundry_switcher", {"crane_hours": 20}, samples, memo)
    moved = compare_paths(museum, "foundry_switcher", {"crane_hours": 50}, samples, memo)
    for result in moved.paths:
        same = before.path(result.path).trials
        assert result.trials.dates is same.dates
        for line, was in zip(result.trials.lines, same.lines, strict=True):
            assert (line is was) != ("crane_hours" in (line.line.driver, line.line.times))


def test_a_haul_distance_asks_no_check_of_the_load_again(museum, samples):
    memo = Memo()
    before = compare_paths(museum, "foundry_switcher", {"haul_distance": 100}, samples, memo)
    moved = compare_paths(museum, "foundry_switcher", {"haul_distance": 300}, samples, memo)
    kept, asked = 0, set()
    for result in moved.paths:
        for finding, was in zip(result.findings, before.path(result.path).findings, strict=True):
            kept += finding.check is not None and finding.check is was.check
            asked |= {finding.gate.check} if finding.check is not was.check else set()
    assert kept > 40 and asked == {"brake_test", "crawl"}


def test_a_check_that_reads_a_table_it_is_not_handed_is_told_so(museum, monkeypatch):
    monkeypatch.setitem(wiring.CHECKS, "turn", lambda carriage: list(carriage.museum.rates))
    with pytest.raises(LookupError, match="a table that it is not handed"):
        screen(museum, "foundry_switcher", "trailer")


def test_what_the_last_answers_did_not_use_is_forgotten(museum, samples):
    memo, kept = Memo(), []
    for hours in range(20, 32):
        compare_paths(museum, "coach", {"crane_hours": hours}, samples, memo)
        kept.append(len(memo))
    assert kept[-1] == kept[-6]


def test_what_nobody_knows_the_making_of_is_itself_alone():
    one, two = Made.alone(1.0), Made.alone(1.0)
    assert one == one and one != two
