"""Gates as branches: what is sunk, when the fallback starts, what is saved."""

import numpy as np
import pytest

from heritagemove.compare import comparison
from heritagemove.trials import refusals, simulation


def with_refusals(museum, path, probability):
    """Return the museum in which the carriers refuse a path with this probability, and nobody else does."""
    gates = [
        row.model_copy(update={"refusal_probability": probability if (row.path, row.gate) == path else 0.0})
        if row.task
        else row
        for row in museum.gates
    ]
    return museum.with_changes(gates=gates)


LETTER = ("freight_wheelsets", "carrier_acceptance")


@pytest.fixture(scope="module")
def letter_gate(museum):
    return next(row for row in museum.gates if row.path == LETTER[0] and "accept" in row.title).gate


def compared(museum, probability, gate):
    changed = with_refusals(museum, (LETTER[0], gate), probability)
    return comparison.compare_paths(changed, "foundry_switcher", None, simulation.draw(changed, trials=2000))


def test_a_gate_that_is_never_refused_changes_nothing(museum, letter_gate):
    result = compared(museum, 0.0, letter_gate).path("freight_wheelsets")
    assert not result.branch.refused.any()
    np.testing.assert_array_equal(result.branch.cost_usd, result.trials.cost_usd)
    assert result.chance_with_fallback == result.chance_by_deadline


def test_a_gate_that_is_always_refused_costs_what_is_sunk_and_the_fallback(museum, letter_gate):
    result = compared(museum, 1.0, letter_gate).path("freight_wheelsets")
    assert result.branch.refused.all()
    assert result.branch.fallback == "trailer"
    trailer = next(r for r in compared(museum, 1.0, letter_gate).paths if r.path == "trailer").trials
    day = result.trials.dates.finish["carrier_acceptance"]
    sunk = refusals.spent_by(result.trials, day)
    assert (sunk > 0).all()
    assert (sunk < result.trials.cost_usd).all()
    late = result.branch.cost_usd - sunk - trailer.cost_usd
    # The fallback's prices are the same draws; only what hangs on its dates (holdover) may differ.
    assert (late > -1e-6).all()
    assert (result.branch.off_site >= trailer.off_site).all()
    assert (result.branch.off_site > day).all()


def test_the_share_of_refusals_is_the_gate_s_probability(museum, letter_gate):
    result = compared(museum, 0.3, letter_gate).path("freight_wheelsets")
    assert result.branch.refused.mean() == pytest.approx(0.3, abs=1 / 2000)


def test_the_mean_is_the_decision_tree_s(museum, letter_gate):
    """E = (1 - p) E[path] + p E[sunk + fallback]: the tree of a textbook, on the same trials."""
    never, always, some = (compared(museum, p, letter_gate).path("freight_wheelsets").branch for p in (0.0, 1.0, 0.3))
    tree = np.where(some.refused, always.cost_usd, never.cost_usd)
    np.testing.assert_allclose(some.cost_usd, tree)
    assert some.cost_usd.mean() == pytest.approx(0.7 * never.cost_usd.mean() + 0.3 * always.cost_usd.mean(), rel=0.01)


def test_without_a_way_out_a_refusal_loses_the_unit(museum):
    result = comparison.compare_paths(museum, "road_diesel").path("freight_wheelsets")
    assert result.branch.fallback is None
    assert (result.branch.off_site[result.branch.refused] == refusals.NEVER).all()
    assert result.chance_with_fallback == pytest.approx(result.chance_of_gates * result.chance_by_deadline, abs=0.01)


def test_the_same_refused_title_stops_the_fallback_too(museum):
    gates = [
        row.model_copy(update={"refusal_probability": 1.0 if row.gate == "title" else 0.0}) if row.task else row
        for row in museum.gates
    ]
    changed = museum.with_changes(gates=gates)
    result = comparison.compare_paths(changed, "coach", None, simulation.draw(changed, trials=300))
    assert result.choice is None
