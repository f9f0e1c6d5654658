"""Axle loads of a loaded trailer, against moments worked by hand and all parts solved at once."""

import numpy as np
import pytest

from heritagemove.checks.road.axle_statics import AxleGroup, axle_loads, layout, off_tracking_lengths, own_axle_limits
from heritagemove.units.units import Quantity

POUND, FOOT = Quantity(1.0, "lb"), Quantity(1.0, "ft")


def group(part, positions, empty, hitch=None, share=None, limit=25_000.0):
    return AxleGroup(part, tuple(map(float, positions)), empty * POUND, limit * POUND, hitch, share)


#: Truck with steering and drive axles, jeep, deck on two steered bogies.
JEEPED = [
    group("truck", [0], 12_000.0, limit=14_600.0),
    group("truck", [16, 20.5, 25], 28_000.0),
    group("jeep", [39, 43.5, 48], 24_000.0, hitch=19.5),
    group("deck", [92, 96.5, 101, 115, 119.5, 124], 54_000.0, hitch=33.0),
]


def carried(groups, load, place):
    return axle_loads(groups, load * POUND, place * FOOT).m_as("lb")


def test_truck_jeep_and_deck_carry_what_moments_about_each_hitch_give():
    """162,000 lb at 70.4 ft: deck (70.4 - 33) / 75, jeep (33 - 19.5) / 24 of the rest, steering 1 / 20.5 of what is left."""
    deck = 162_000 * 37.4 / 75
    jeep = (162_000 - deck) * 13.5 / 24
    truck = 162_000 - deck - jeep
    expected = [12_000 + truck / 20.5, 28_000 + truck * 19.5 / 20.5, 24_000 + jeep, 54_000 + deck]
    assert carried(JEEPED, 162_000, 70.4) == pytest.approx(expected)


def test_all_parts_solved_at_once_give_the_same():
    """Unknown: steering, drive, jeep, deck and the two hitches; force and moment of each of the three beams."""
    load, place = 150_000.0, 68.0
    rows = np.array([
        [1, 1, 0, 0, -1, 0], [0, 20.5, 0, 0, -19.5, 0],
        [0, 0, 1, 0, 1, -1], [0, 0, 43.5, 0, 19.5, -33],
        [0, 0, 0, 1, 0, 1], [0, 0, 0, 108, 0, 33],
    ])  # fmt: skip
    solved = np.linalg.solve(rows, [0, 0, 0, 0, load, load * place])[:4]
    assert carried(JEEPED, load, place) - [12_000, 28_000, 24_000, 54_000] == pytest.approx(solved)


def test_a_booster_shares_what_the_deck_s_axles_carry_as_its_row_says():
    """Deck axles at 60 ft with 0.7 and a booster at 80 ft with 0.3 carry as if at 66 ft: half of a load at 41 ft."""
    truck = [group("truck", [0], 12_000.0), group("truck", [15, 20], 18_000.0)]
    boosted = [*truck, group("deck", [58, 62], 10_000.0, 16.0, 0.7), group("booster", [80], 4_000.0, None, 0.3)]
    assert carried(boosted, 40_000, 41)[2:] == pytest.approx([10_000 + 14_000, 4_000 + 6_000])


def test_a_dolly_of_its_own_carries_its_end_and_the_truck_nothing_of_it():
    dollies = [*JEEPED[:2], group("jeep", [40, 44], 30_000.0), group("deck", [100, 104], 30_000.0, hitch=42.0)]
    assert carried(dollies, 100_000, 57) == pytest.approx([12_000, 28_000, 30_000 + 75_000, 30_000 + 25_000])


def test_lines_that_stand_alone_carry_all_and_a_pushing_truck_nothing():
    lines = [group("deck", [0, 5, 10], 60_000.0), group("pusher", [40, 45], 40_000.0)]
    assert carried(lines, 90_000, 5) == pytest.approx([150_000, 40_000])


@pytest.mark.parametrize("place", [30.0, 50.0, 70.0, 100.0])
def test_what_the_axles_carry_is_what_stands_on_them_and_balances_about_the_first(place):
    """Sum of forces, and of moments with the empty weights taken off."""
    loads = carried(JEEPED, 160_000, place) - [12_000, 28_000, 24_000, 54_000]
    assert loads.sum() == pytest.approx(160_000)
    assert loads @ [0, 20.5, 43.5, 108] == pytest.approx(160_000 * place)


def test_the_layout_gives_each_axle_its_part_of_its_group():
    positions, loads = layout(JEEPED, axle_loads(JEEPED, 162_000 * POUND, 70.4 * FOOT))
    assert positions.m_as("ft").tolist() == [0, 16, 20.5, 25, 39, 43.5, 48, 92, 96.5, 101, 115, 119.5, 124]
    assert loads.m_as("lb")[1] == loads.m_as("lb")[3]
    assert loads.m_as("lb").sum() == pytest.approx(280_000)


def test_the_axle_nearest_its_own_limit_answers():
    loads = axle_loads(JEEPED, 162_000 * POUND, 70.4 * FOOT)
    found = own_axle_limits(JEEPED, loads, "trailer", "row")
    assert (found.status, found.subject) == ("pass", "trailer, axle 1")
    heavy = own_axle_limits(JEEPED, axle_loads(JEEPED, 175_000 * POUND, 80 * FOOT), "trailer", "row")
    assert (heavy.status, heavy.subject) == ("fail", "trailer, each of axles 8 to 13")
    assert heavy.demand.m_as("lb") == pytest.approx((54_000 + 175_000 * 47 / 75) / 6)


def test_an_axle_that_would_lift_off_stops_and_says_which():
    found = own_axle_limits(JEEPED, axle_loads(JEEPED, 175_000 * POUND, 150 * FOOT), "trailer", "row")
    assert (found.status, found.demand) == ("fail", None)
    assert "axles 5 to 7 would lift off" in found.note


def test_axle_loads_that_are_not_known_are_unknown():
    assert own_axle_limits(JEEPED, None, "trailer", "row").status == "unknown"


def test_the_lengths_that_off_track_are_the_truck_s_each_hitch_offset_and_each_trailer_s():
    found = off_tracking_lengths(JEEPED, 40 * FOOT).m_as("ft")
    assert found == pytest.approx([20.5, -1, 24, -10.5, 40])
    assert off_tracking_lengths(JEEPED, 90 * FOOT).m_as("ft")[-1] == pytest.approx(75)


@pytest.mark.parametrize(
    ("groups", "says"),
    [
        (JEEPED[:2], "give a deck for the load; found truck"),
        ([group("deck", [20, 24], 1.0, hitch=30.0)], "hitch of the deck must be ahead of its axles, 22 ft; found 30 ft"),
        ([group("deck", [20, 24], 1.0, hitch=10.0)], "the first part must stand on its own axles; the deck has a hitch"),
        ([group("deck", [n], 1.0) for n in (1, 2, 3)], "the deck has no hitch: give it at most 2 groups of axles; found 3"),
        ([*JEEPED[:2], group("deck", [60], 1.0, 16.0, 0.0)], "shares of a part must be more than 0 together; found 0"),
    ],
)
def test_a_trailer_that_cannot_stand_is_refused(groups, says):
    with pytest.raises(ValueError) as error:
        axle_loads(groups, 1000 * POUND, 22 * FOOT)
    assert str(error.value) == says
