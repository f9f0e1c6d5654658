"""Draws are taken over for rows that did not change, and a bought mitigation leaves its own chance and impact."""

import numpy as np
import pytest

from heritagemove.compare import comparison
from heritagemove.trials import simulation


def _everything(samples):
    for part in ("rates", "tasks", "quantities", "weights", "gates"):
        for key, values in getattr(samples, part).items():
            yield (part, key), values
    for key, risk in samples.risks.items():
        longer = np.zeros(len(risk.happens)) if risk.longer_days is None else risk.longer_days
        yield ("risk", key), np.stack([risk.happens, risk.cost_usd, risk.delay_days, longer])


def _changed(museum, table, number, **update):
    rows = [r.model_copy(update=update) if i == number else r for i, r in enumerate(getattr(museum, table))]
    return museum.with_changes(**{table: rows})


@pytest.mark.parametrize(
    ("table", "update"),
    [
        ("rates", {"low": 1.0}),
        ("tasks", {"high": 99.0}),
        ("risks", {"probability": 0.9}),
        ("quantities", {"high": 9.0}),
    ],
)
def test_an_edited_row_draws_alone_and_to_the_same_bits_as_a_whole_draw(museum, samples, table, update):
    edited = _changed(museum, table, 3, **update)
    taken_over = simulation.draw(edited, previous=samples)
    whole = dict(_everything(simulation.draw(edited, trials=samples.trials)))
    for key, values in _everything(taken_over):
        assert np.array_equal(values, whole[key]), key
    kept = sum(taken_over.rates[key] is samples.rates[key] for key in samples.rates)
    assert kept >= len(samples.rates) - 1


def test_another_seed_or_correlation_draws_everything_anew(museum, samples):
    other = simulation.draw(museum, seed=5, previous=samples)
    assert not np.array_equal(other.tasks["trailer", "haul"], samples.tasks["trailer", "haul"])
    correlation = museum.scenario.correlation.model_copy(update={"default": 0.0, "markets": {}})
    alone = museum.with_changes(correlation=correlation)
    key = "crane_hour", "crane_300_ton"
    found, whole = simulation.draw(alone, previous=samples), simulation.draw(alone, trials=samples.trials)
    assert np.array_equal(found.rates[key], whole.rates[key])
    assert not np.array_equal(found.rates[key], samples.rates[key])


def test_a_mitigation_bought_costs_its_price_and_leaves_its_own_chance_and_share(museum, samples):
    at = next(i for i, r in enumerate(museum.risks) if r.mitigated_probability and r.mitigation_cost and r.cost_high > 0)
    row = museum.risks[at]
    bought = _changed(museum, "risks", at, bought=True, mitigated_share=0.5)
    drawn = simulation.draw(bought, previous=samples).risks[row.path, row.risk]
    before = samples.risks[row.path, row.risk]
    assert drawn.happens.mean() == pytest.approx(row.mitigated_probability, abs=1 / samples.trials)
    assert (drawn.happens <= before.happens).all()
    np.testing.assert_allclose(drawn.cost_usd, row.mitigation_cost + 0.5 * before.cost_usd * drawn.happens)
    np.testing.assert_allclose(drawn.delay_days, 0.5 * before.delay_days * drawn.happens)


def test_a_mitigation_bought_is_in_the_path_s_cost(museum, samples):
    at = next(
        i for i, r in enumerate(museum.risks) if r.path == "trailer" and r.mitigation_cost and r.mitigated_probability
    )
    row = museum.risks[at]
    free = row.model_copy(update={"bought": True, "mitigation_cost": 0.0})
    paid = row.model_copy(update={"bought": True, "mitigation_cost": 1000.0})
    costs = []
    for risk in (free, paid):
        changed = museum.with_changes(risks=[risk if r is row else r for r in museum.risks])
        drawn = simulation.draw(changed, previous=samples)
        costs.append(comparison.compare_paths(changed, "caboose", None, drawn).path("trailer").trials.cost_usd)
    np.testing.assert_allclose(costs[1] - costs[0], 1000.0)
