"""What would block a path, or clear it: weights of the unit, which the path is then asked at."""

import re

import pytest

from heritagemove.compare.comparison import price_path

#: Paths that are said to be blocked, or cleared, by a weight of the unit; one takes a larger crane and is not.
WEIGHTS = [("foundry_switcher", "own_wheels"), ("road_diesel", "own_wheels"), ("road_diesel", "freight_wheelsets"),
           ("consolidation", "trailer")]  # fmt: skip


@pytest.mark.parametrize(("vehicle", "path"), WEIGHTS)
def test_at_the_weight_that_is_told_the_path_is_blocked_or_cleared(museum, samples, vehicle, path):
    stated = museum.vehicle(vehicle).weight.m_as("lb")
    now = price_path(museum, vehicle, path, None, samples)
    pounds, word = re.search(r"it weighs ([\d,]+) lb (more|less)", now.flips).groups()
    change = float(pounds.replace(",", "")) * (1 if word == "more" else -1)

    def status(weight):
        return price_path(museum, vehicle, path, {"weight": weight / 2000}, samples).status

    beyond, before = change * 1.01, change * 0.97
    assert (now.status == "blocked") == (word == "less")
    assert (status(stated + beyond) == "blocked") == (word == "more")
    assert (status(stated + before) == "blocked") == (word == "less")


def test_a_weight_that_a_larger_crane_takes_blocks_nothing(museum, samples):
    now = price_path(museum, "coach", "flat_car", None, samples)
    assert next(f for f in now.findings if f.gate.gate == "crane").margin and "weighs" not in now.flips
