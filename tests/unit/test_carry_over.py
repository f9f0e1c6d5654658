"""A comparison that takes over what did not change gives the same answer as one made from nothing."""

import numpy as np
import pytest

from heritagemove.compare.comparison import compare_paths, price_path

MOVES = [
    {"crane_hours": 31},
    {"crane_hours": 31, "ties": 40},
    {"haul_distance": 300},
    {"axles": 6},
    {"weight": 60},
    {"superloads": 2},
    {},
]


@pytest.fixture(scope="module")
def first(museum, samples):
    return {v: compare_paths(museum, v, {"crane_hours": 20}, samples) for v in ("foundry_switcher", "consolidation")}


@pytest.mark.parametrize("move", MOVES, ids=str)
def test_every_move_gives_the_answer_that_a_fresh_comparison_gives(museum, samples, first, move):
    for vehicle, before in first.items():
        if vehicle == "foundry_switcher" and move != MOVES[0]:
            continue
        fresh = compare_paths(museum, vehicle, move, samples)
        moved = compare_paths(museum, vehicle, move, samples, before)
        assert moved.as_json() == fresh.as_json()
        for left, right in zip(moved.paths, fresh.paths, strict=True):
            assert (left.reasons, left.flips, left.critical) == (right.reasons, right.flips, right.critical)
            assert np.array_equal(left.trials.closed, right.trials.closed)
            if right.branch:
                assert np.array_equal(left.branch.cost_usd, right.branch.cost_usd)
                assert np.array_equal(left.branch.off_site, right.branch.off_site)


def test_a_chain_of_moves_ends_where_it_began(museum, samples, first):
    before = first["consolidation"]
    for move in ({"crane_hours": 60}, {"crane_hours": 60, "superloads": 3}, {"haul_distance": 90}, {"crane_hours": 20}):
        before = compare_paths(museum, "consolidation", move, samples, before)
    assert before.as_json() == first["consolidation"].as_json()


def test_a_slider_touches_only_the_paths_that_use_it(museum, samples, first):
    before = first["foundry_switcher"]
    moved = compare_paths(museum, "foundry_switcher", {"crane_hours": 50}, samples, before)
    for result in moved.paths:
        lines = museum.of_path("cost_lines", result.path)
        uses = any("crane_hours" in (line.driver, line.times) for line in lines)
        assert (result.trials is before.path(result.path).trials) != uses
        assert result.trials.dates is before.path(result.path).trials.dates


def test_another_deadline_is_another_question(museum, samples, first):
    import datetime as dt

    sooner = museum.with_changes(deadline=dt.date(2027, 7, 1))
    fresh = compare_paths(sooner, "foundry_switcher", {"crane_hours": 20}, samples)
    moved = compare_paths(sooner, "foundry_switcher", {"crane_hours": 20}, samples, first["foundry_switcher"])
    assert moved.as_json() == fresh.as_json()


def test_one_path_alone_is_the_same_as_in_a_comparison(museum, samples, first):
    for path in ("trailer", "freight_wheelsets"):
        alone = price_path(museum, "foundry_switcher", path, {"crane_hours": 20}, samples)
        whole = first["foundry_switcher"].path(path)
        assert (alone.cost, alone.off_site, alone.status) == (whole.cost, whole.off_site, whole.status)
