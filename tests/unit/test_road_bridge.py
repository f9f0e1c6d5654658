"""HS20 comparison of a trailer and weight postings."""

import numpy as np
import pytest

from heritagemove.checks.road.road_bridge import hs20_moment, posted, road_bridge
from heritagemove.units.units import Quantity

TRUCK = Quantity(np.array([0.0, 14, 28]), "ft"), Quantity(np.array([8000.0, 32000, 32000]), "lb")
SPAN = Quantity(60, "ft")


def check(positions=TRUCK[0], loads=TRUCK[1], span=SPAN, normal=1.0, maximum=1.5, **more):
    return road_bridge(positions, loads, span, normal, maximum, "creek bridge", **more)


def test_the_truck_governs_short_spans_and_the_lane_load_long_ones():
    assert hs20_moment(Quantity(60, "ft")).m_as("kip * ft") == pytest.approx(806.5, abs=0.05)
    lane = 0.64 * 180**2 / 8 + 18 * 180 / 4
    assert hs20_moment(Quantity(180, "ft")).m_as("kip * ft") == pytest.approx(lane)


def test_the_wide_rear_spacing_never_governs_a_simple_span():
    for span_ft in (20, 40, 60, 100, 140):
        wide = road_bridge(
            Quantity(np.array([0.0, 14, 44]), "ft"), TRUCK[1], Quantity(span_ft, "ft"), 1.0, 1.5, "creek bridge"
        )
        assert wide.demand.m_as("kip * ft") <= hs20_moment(Quantity(span_ft, "ft")).m_as("kip * ft") + 1e-9


@pytest.mark.parametrize(
    ("factor", "status"), [(0.9, "pass"), (1.0, "pass"), (1.01, "marginal"), (1.5, "marginal"), (1.51, "fail")]
)
def test_between_inventory_and_operating_the_answer_is_marginal(factor, status):
    assert check(loads=factor * TRUCK[1]).status == status


def test_the_margin_is_what_the_whole_load_may_gain():
    found = check(loads=1.2 * TRUCK[1])
    assert found.margin.m_as("lb") == pytest.approx(0.3 * 72000)
    heavier = 1.2 * TRUCK[1] * (1 + found.margin.m_as("lb") / (1.2 * 72000))
    assert check(loads=heavier).utilization == pytest.approx(1)


def test_a_dual_lane_trailer_brings_half_to_each_lane():
    assert check(loads=2 * TRUCK[1], lanes=2).demand.m_as("kip * ft") == pytest.approx(check().demand.m_as("kip * ft"))


def test_the_note_states_the_factor_that_is_needed_and_who_decides():
    note = check(loads=1.2 * TRUCK[1]).note
    assert note.startswith("Needs 1.20 x HS20 per lane; inventory 1, operating 1.5.")
    assert "bridge owner's engineer decides" in note


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ({"loads": None}, "axle loads from the hauler"),
        ({"span": None}, "measure the longest span"),
        ({"normal": None}, "inventory and operating rating factors"),
        ({"maximum": None}, "inventory and operating rating factors"),
    ],
)
def test_a_bridge_that_cannot_be_compared_is_unknown(missing, words):
    found = check(**missing)
    assert found.status == "unknown"
    assert words in found.note


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"lanes": 0}, "lanes must be at least 1; found 0"),
        (
            {"normal": 2.0},
            "the inventory factor must be more than 0 and at most the operating factor; found 2 and 1.5",
        ),
        ({"span": Quantity(0, "ft")}, "span must be more than 0; found 0 ft"),
        ({"loads": -TRUCK[1]}, "every axle load must be more than 0; found -8,000 lb"),
    ],
)
def test_a_bridge_with_values_out_of_range_is_refused(change, message):
    with pytest.raises(ValueError) as error:
        check(**change)
    assert str(error.value) == message


def test_over_the_sign_is_open_and_never_says_to_slip_across():
    found = posted(Quantity(230000, "lb"), Quantity(40, "short_ton"), "County bridge")
    assert (found.status, found.margin, found.find) == ("open", None, "")
    assert (found.demand, found.capacity) == (Quantity(230000, "lb"), Quantity(80000, "lb"))
    assert found.note == (
        "Never cross without a permit from the owner that rests on an engineer's analysis of this bridge, or go round it."
    )


def test_within_the_sign_passes():
    assert posted(Quantity(60000, "lb"), Quantity(40, "short_ton")).status == "pass"


def test_no_sign_read_and_no_weight_known_are_unknown():
    assert posted(Quantity(60000, "lb"), None).status == "unknown"
    assert posted(None, Quantity(40, "short_ton")).status == "unknown"


def test_a_sign_of_nothing_is_refused():
    with pytest.raises(ValueError, match="posted limit must be more than 0; found 0 lb"):
        posted(Quantity(60000, "lb"), Quantity(0, "lb"))
