"""What is remembered between two answers: the answer to what is set does not depend on what was set before."""

from heritagemove.answers.sweep import sweep
from heritagemove.panels.state import State


def test_the_trailers_season_gate_does_not_depend_on_the_order_of_clicks(museum, samples):
    moves = ({"start_moved": 92}, {"deadline_moved": 150})
    found = []
    for order in (moves, moves[::-1]):
        state = State(museum, "foundry_switcher", samples)
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
