"""The engine equals a plain numpy implementation of the same rules, kept in tests/benchmark, on every unit and path."""

import pytest
from reference_engine import ReferenceEngine
from two_stages import road_then_rail

from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.memo import Memo
from heritagemove.trials.simulation import draw


@pytest.mark.parametrize("settings", [{}, {"crane_hours": 40, "axles": 4}], ids=["as_stated", "moved"])
@pytest.mark.parametrize("number", range(6))
def test_every_path_costs_and_dates_what_the_plain_implementation_says(museum, number, settings):
    vehicle = museum.vehicles[number].vehicle
    samples = draw(museum, trials=200)
    memo = Memo()
    compare_paths(museum, vehicle, {"crane_hours": 39}, samples, memo)
    comparison = compare_paths(museum, vehicle, settings, samples, memo)
    answers = ReferenceEngine(comparison).answers()
    assert answers
    agree(comparison, answers)


@pytest.mark.parametrize("settings", [{}, {"crane_hours": 90, "haul_distance": 140}], ids=["as_stated", "moved"])
@pytest.mark.parametrize("vehicle", ["caboose", "foundry_switcher"])
def test_a_path_of_two_stages_costs_and_dates_what_the_plain_implementation_says(museum, vehicle, settings):
    both = road_then_rail(museum)
    both = both.with_changes(paths=[row for row in both.paths if row.path in ("trailer", "roll_on")])
    comparison = compare_paths(both, vehicle, settings, draw(both, trials=200))
    answers = ReferenceEngine(comparison).answers()
    assert answers.keys() == {"trailer", "roll_on"}
    agree(comparison, answers)


def agree(comparison, answers):
    """Hold what the plain implementation says of each path against the comparison."""
    for path, answer in answers.items():
        result = comparison.path(path)
        assert answer.cost == pytest.approx(spread(result.cost), rel=1e-9)
        assert answer.chance_by_deadline == result.chance_by_deadline
        assert answer.chance_of_gates == pytest.approx(result.chance_of_gates)
        if answer.off_site is not None:
            assert answer.off_site == pytest.approx(spread(result.off_site_days), rel=1e-9)
        assert (answer.cost_with_fallback is None) == (result.branch is None)
        if result.branch is not None:
            assert answer.cost_with_fallback == pytest.approx(spread(result.cost_with_fallback), rel=1e-9)
            assert answer.chance_with_fallback == result.chance_with_fallback


def spread(found):
    return [found.p10, found.p50, found.p80, found.p90]
