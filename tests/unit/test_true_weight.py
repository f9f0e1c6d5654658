"""The true weight, drawn within its tolerance, moves checks, equipment, gates and money in each trial."""

import dataclasses

import numpy as np
import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.compare import comparison
from heritagemove.trials import simulation, true_weight
from heritagemove.units.units import Quantity


def _sure(museum):
    rows = [row.model_copy(update={"weight_tolerance": Quantity(0, "percent")}) for row in museum.vehicles]
    return museum.with_changes(vehicles=rows)


def test_draws_stay_within_the_tolerance_and_balance_on_the_stated_weight(museum, samples):
    for row in museum.vehicles:
        part, ratio = row.weight_tolerance.m_as(""), samples.weights[row.vehicle]
        assert 1 - part <= ratio.min() < 1 < ratio.max() <= 1 + part
        assert ratio.mean() == pytest.approx(1, abs=1e-3)


def test_a_sure_weight_is_one_screening_and_no_range(museum, samples):
    sure = _sure(museum)
    drawn = simulation.draw(sure, previous=samples)
    compared = comparison.compare_paths(sure, "consolidation", None, drawn)
    result = compared.path("trailer")
    assert len(compared.weighed["trailer"].bands) == 1
    assert result.chance_too_heavy == 0
    assert result.work.amounts["weight"] == museum.vehicle("consolidation").weight.m_as("short_ton")


def test_bands_answer_as_a_screening_at_the_same_weight_does(museum):
    """Away from a turning weight, by more than the closeness of the search, the band and a fresh screening agree."""
    row = museum.vehicle("consolidation")
    part, tons = row.weight_tolerance.m_as(""), row.weight.m_as("short_ton")
    weighed = true_weight.weigh(museum, "consolidation", "trailer")
    assert len(weighed.bands) > 1
    turns = [band.up_to for band in weighed.bands[:-1]]
    compared = 0
    for ratio in np.linspace(1 - part, 1 + part, 13):
        if min(abs(ratio - turn) for turn in turns) <= part * true_weight.CLOSENESS:
            continue
        fresh = screen(museum.with_weight("consolidation", tons * ratio), "consolidation", "trailer")
        band = weighed.bands[int(np.searchsorted(turns, ratio, side="right"))]
        assert band.equipment == fresh.equipment
        assert band.stops == true_weight.failed_stops(fresh)
        compared += 1
    assert compared >= 5


def test_a_trial_that_is_heavier_takes_the_dearer_trailer(museum, samples):
    result = comparison.compare_paths(museum, "consolidation", None, samples).path("trailer")
    (equipment, trials), *_ = result.work.other_equipment
    assert 0 < trials.mean() < 1
    mobilization = next(entry for entry in result.trials.lines if entry.line.line == "trailer_mobilization")
    (other,) = [e for e in equipment if ("trailer_mobilization", e) in samples.rates]
    level = {row.year: row.value for row in museum.price_indexes if row.price_index == "truck_prices"}
    expected = samples.rates["trailer_mobilization", other] * mobilization.quantity * level[2027] / level[2026]
    np.testing.assert_allclose(mobilization.before_error_usd[trials], np.broadcast_to(expected, trials.shape)[trials])


def test_what_is_too_heavy_is_said_counted_and_played_out(museum, samples):
    result = comparison.compare_paths(museum, "consolidation", None, samples).path("trailer")
    assert 0 < result.chance_too_heavy < 0.2
    assert any("heavier than stated" in reason for reason in result.reasons)
    heavy = result.work.too_heavy
    assert heavy.mean() == result.chance_too_heavy
    assert result.branch.refused[heavy].all()
    sure = _sure(museum)
    certain = comparison.compare_paths(sure, "consolidation", None, simulation.draw(sure, previous=samples)).path("trailer")
    assert result.chance_of_gates == pytest.approx(certain.chance_of_gates * (1 - result.chance_too_heavy))


def test_a_wider_tolerance_never_lowers_the_chance_of_being_too_heavy(museum, samples):
    chances = []
    for percent in (1, 3, 5, 8):
        rows = [row.model_copy(update={"weight_tolerance": Quantity(percent, "percent")}) for row in museum.vehicles]
        wider = museum.with_changes(vehicles=rows)
        weighed = true_weight.weigh(wider, "consolidation", "trailer")
        needs = true_weight.work(wider, "consolidation", "trailer", simulation.draw(wider, previous=samples), weighed, {})
        chances.append(0.0 if needs.too_heavy is None else needs.too_heavy.mean())
    assert chances == sorted(chances)
    assert chances[-1] > chances[0]


def test_an_unknown_weight_is_not_drawn(museum):
    rows = [row.model_copy(update={"weight": None}) if row.vehicle == "coach" else row for row in museum.vehicles]
    blind = dataclasses.replace(museum, vehicles=tuple(rows))
    assert len(true_weight.weigh(blind, "coach", "own_wheels").bands) == 1
