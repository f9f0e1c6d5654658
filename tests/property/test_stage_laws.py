"""Laws of the way for fixed draws: a further stage never lowers the cost, and a leg cut in two is the same leg."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from two_stages import road_then_rail

from heritagemove.compare.comparison import price_path
from heritagemove.trials import simulation
from heritagemove.units.units import Quantity

FEW = 40
UNITS = ("caboose", "foundry_switcher", "coach", "boxcar")
PATHS = ("own_wheels", "flat_car", "trailer", "roll_on")
ON = {"own_wheels": "rail", "flat_car": "rail", "trailer": "road", "roll_on_trailer": "road", "storage": "none"}


@pytest.fixture(scope="module")
def certain(plain):
    """The demo without estimating error, each unit as heavy as stated."""
    exact = Quantity(0.0, "percent")
    return plain.with_changes(vehicles=[row.model_copy(update={"weight_tolerance": exact}) for row in plain.vehicles])


@pytest.fixture(scope="module")
def drawn(certain):
    return simulation.draw(certain, trials=FEW)


def trials_of(museum, drawn, unit, path):
    result = price_path(museum, unit, path, None, simulation.draw(museum, previous=drawn))
    return result.trials, sum(entry.cost_usd for entry in result.trials.lines) + sum(result.trials.risk_cost_usd.values())


@settings(max_examples=20, deadline=None)
@given(unit=st.sampled_from(UNITS), path=st.sampled_from(PATHS), on=st.sampled_from(list(ON)), legs=st.integers(1, 5))
def test_a_further_stage_never_lowers_the_cost(certain, drawn, unit, path, on, legs):
    """Behind the last stage, over some legs once more: every row of the path stays as it is and counts what it adds."""
    last = certain.stages_of(path)[-1]
    way = next((row.legs for row in certain.stages if row.mode == ON[on] and len(row.legs) == 5), ())
    further = {"stage": "further", "order": last.order + 1, "from_place": last.to_place, "carried_on": on, "trucks": None,
               "legs": way[:legs]}  # fmt: skip
    longer = certain.with_changes(stages=[*certain.stages, last.model_copy(update=further)])
    (_, less), (_, more) = (trials_of(museum, drawn, unit, path) for museum in (certain, longer))
    assert (more >= less * (1 - 1e-12)).all()
    if on == "storage":
        np.testing.assert_allclose(more, less)


def cut(museum, leg, share):
    """Return a museum in which a leg is two; what stands on it stays on the first."""
    first = leg.model_copy(update={"length": leg.length * share, "to_place": None})
    rest = leg.model_copy(
        update={"leg": leg.leg + "_rest", "length": leg.length * (1 - share), "from_place": None, "order": leg.order + 1,
                "bridges": "none", "turn_angle": None, "turn_outer_radius": None, "turn_width": None, "wires": 0,
                "lowest_wire": None},
    )  # fmt: skip
    behind = [
        row.model_copy(update={"order": row.order + 1}) if row.mode == leg.mode and row.order > leg.order else row
        for row in museum.legs
        if row.leg != leg.leg
    ]
    ways = {row: sum(((n, rest.leg) if n == leg.leg else (n,) for n in row.legs), ()) for row in museum.stages}
    stages = [row.model_copy(update={"legs": ways[row]}) for row in museum.stages]
    return museum.with_changes(legs=[*behind, first, rest], stages=stages)


@settings(max_examples=20, deadline=None)
@given(
    unit=st.sampled_from(UNITS),
    path=st.sampled_from(PATHS),
    place=st.integers(0, 4),
    share=st.sampled_from([0.5, 0.01, 0.3, 0.99]),
    staged=st.booleans(),
)
def test_a_leg_cut_in_two_changes_neither_cost_nor_date(certain, drawn, unit, path, place, share, staged):
    museum = road_then_rail(certain) if staged else certain
    legs = [leg for stage in museum.stages_of(path) for leg in museum.legs_of(stage)]
    halves = cut(museum, legs[place % len(legs)], share)
    (whole, cost), (parts, same) = (trials_of(each, drawn, unit, path) for each in (museum, halves))
    np.testing.assert_allclose(same, cost, rtol=1e-12)
    for name in ("off_site", "arrived", "closed"):
        np.testing.assert_array_equal(getattr(parts, name), getattr(whole, name), name)
