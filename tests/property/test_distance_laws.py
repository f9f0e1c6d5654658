"""Days follow miles: more miles never arrive earlier, and a leg cut in two is the same leg."""

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


def in_two(museum, leg):
    """Return a museum in which a leg is two of half the length; what stands on it stays on the first."""
    half = leg.model_copy(update={"length": leg.length / 2, "to_place": None})
    rest = leg.model_copy(
        update={"leg": leg.leg + "_rest", "length": leg.length / 2, "from_place": None, "order": leg.order + 1,
                "bridges": "none", "turn_angle": None, "turn_outer_radius": None, "turn_width": None, "wires": 0,
                "lowest_wire": None},
    )  # fmt: skip
    behind = [
        row.model_copy(update={"order": row.order + 1}) if row.mode == leg.mode and row.order > leg.order else row
        for row in museum.legs
        if row.leg != leg.leg
    ]

    def over(legs):
        return tuple(name for each in legs for name in ((each, rest.leg) if each == leg.leg else (each,)))

    longer = [row.model_copy(update={"legs": over(row.legs)}) for row in museum.stages]
    return museum.with_changes(legs=[*behind, half, rest], stages=longer)


@pytest.mark.parametrize("name", ["halcyon_trunk", "drossley_and_orrin_fork", "state_route_31", "us_bypass"])
def test_a_leg_cut_in_two_changes_no_date(museum, drawn, name):
    leg = next(row for row in museum.legs if row.leg == name)
    for vehicle in ("caboose", "foundry_switcher"):
        whole, halves = arrivals(museum, drawn, vehicle), arrivals(in_two(museum, leg), drawn, vehicle)
        for path in MOVED:
            np.testing.assert_array_equal(whole[path], halves[path], path)
