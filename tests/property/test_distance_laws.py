"""Days follow miles: more miles never arrive earlier."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.compare.comparison import compare_paths
from heritagemove.trials import simulation

FEW = 100
MOVED = ("own_wheels", "convert_axles", "flat_car", "trailer", "transporter", "roll_on")


@pytest.fixture(scope="module")
def drawn(museum):
    return simulation.draw(museum, trials=FEW)


def arrivals(museum, samples, vehicle, settings=None):
    """Return the day on which each path arrives in every trial."""
    compared = compare_paths(museum, vehicle, settings or {}, samples)
    return {path: compared.path(path).trials.arrived for path in MOVED}


@settings(max_examples=8, deadline=None)
@given(miles=st.floats(30, 900), more=st.floats(0, 900), number=st.integers(0, 5))
def test_more_miles_never_arrive_earlier(museum, drawn, miles, more, number):
    vehicle = museum.vehicles[number].vehicle
    near = arrivals(museum, drawn, vehicle, {"haul_distance": miles})
    far = arrivals(museum, drawn, vehicle, {"haul_distance": miles + more})
    for path in MOVED:
        assert (near[path] <= far[path]).all(), path


@pytest.mark.parametrize("vehicle", ["caboose", "consolidation"])
def test_a_way_of_2500_miles_takes_longer_than_one_of_50_on_every_path(museum, drawn, vehicle):
    near, far = (arrivals(museum, drawn, vehicle, {"haul_distance": miles}) for miles in (50, 2500))
    for path in MOVED:
        assert np.mean(far[path] - near[path]) > 9, path
