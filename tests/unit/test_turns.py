"""Gates and turns: a pass is sure, wider than the gate stops, in between the hauler draws."""

import math

import pytest

from heritagemove.checks.gates import turns
from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.road import swept_path
from heritagemove.units.units import Quantity


def turned(museum, vehicle="foundry_switcher", path="trailer", leg=None, trailer=None, **limits):
    """Return the turn check after changes to every leg, every trailer and some limits."""
    legs = [row.model_copy(update=leg or {}) if row.mode == "road" else row for row in museum.legs]
    trailers = [row.model_copy(update=trailer or {}) for row in museum.trailers]
    rows = [row.model_copy(update={"value": limits.get(row.limit, row.value)}) for row in museum.limits]
    changed = museum.with_changes(legs=legs, trailers=trailers, limits=rows)
    return turns.turn(arrange(changed, vehicle, path))


def feet(number):
    return Quantity(float(number), "ft")


def test_the_truck_the_jeep_and_the_steered_frame_all_count(museum):
    """Axles 0; 16, 20.5, 25; 39, 43.5, 48; and 92 to 124 behind the widest gap: 20.5, 23 and 64.5 ft, half of it steered."""
    carriage = arrange(museum, "foundry_switcher", "trailer")
    assert carriage.hauler.trailer == "thirteen_axle_trailer"
    assert turns.wheelbases(carriage).m_as("ft") == pytest.approx([20.5, 23, 64.5 / 2])


def test_steering_is_credited_as_the_row_states_it_but_never_above_the_limit(museum):
    found = {}
    for share, stated in ((0.5, 20), (0.5, 50), (0.9, 20), (0.0, 20)):
        rows = [row.model_copy(update={"wheelbase": feet(stated)}) for row in museum.trailers]
        limits = [
            row.model_copy(update={"value": share}) if row.limit == "trailer_steered_share" else row
            for row in museum.limits
        ]
        carriage = arrange(museum.with_changes(trailers=rows, limits=limits), "foundry_switcher", "trailer")
        found[share, stated] = turns.wheelbases(carriage).m_as("ft")[-1]
    assert found == pytest.approx({(0.5, 20): 32.25, (0.5, 50): 50, (0.9, 20): 20, (0.0, 20): 64.5})


def test_a_trailer_beyond_steady_state_is_a_caution_that_asks_for_the_drawing(museum):
    check = turned(museum)
    assert check.status == "marginal" and check.demand > check.capacity
    assert "steady state" in check.subject and "hauler" in check.note and check.margin is None


def test_on_wide_easy_turns_the_trailer_passes(museum):
    check = turned(museum, leg={"turn_radius": feet(600), "width_limit": feet(20)})
    assert check.status == "pass" and check.demand < check.capacity


def test_where_steady_state_is_not_reached_the_turn_is_unknown_and_not_a_crash(museum):
    check = turned(museum, leg={"turn_radius": feet(40)}, trailer={"turn_radius": feet(10)})
    assert check.status == "unknown" and "hauler draw" in check.note


def test_a_load_wider_than_the_gate_stops_whatever_the_turn(museum):
    check = turned(museum, leg={"turn_radius": feet(5000), "width_limit": feet(10.5)})
    assert check.status == "fail" and check.margin == feet(-0.5 - 0.0)


def test_a_turn_tighter_than_the_trailer_can_take_stops_it(museum):
    check = turned(museum, trailer={"turn_radius": feet(56)})
    assert check.status == "fail" and "radius" in check.subject
    assert (check.demand, check.capacity) == (feet(56), feet(55))


@pytest.mark.parametrize("field", ["turn_radius", "width_limit"])
def test_a_turn_that_nobody_surveyed_is_unknown(museum, field):
    check = turned(museum, leg={field: None})
    assert check.status == "unknown" and "survey the turns" in check.note


def test_the_corners_of_a_transporter_swing_with_its_load(museum):
    """16 ft wide, 44.5 ft long on 60 ft: the corner at the hypotenuse of 68 and 22.25 ft, the inside at 52 ft."""
    wide = {"turn_radius": feet(60), "width_limit": feet(40)}
    check = turned(museum, path="transporter", leg=wide)
    assert check.demand.m_as("ft") == pytest.approx(math.hypot(68, 22.25) - 52)
    assert check.status == "pass"
    longer = turned(museum, "coach", "transporter", leg=wide)
    assert longer.demand > check.demand


def test_a_transporter_that_would_turn_about_its_own_middle_is_unknown(museum):
    check = turned(museum, path="transporter", leg={"turn_radius": feet(7), "width_limit": feet(40)},
                   trailer={"turn_radius": feet(5)})  # fmt: skip
    assert check.status == "unknown"


def test_a_unit_of_unknown_width_asks_for_it(museum):
    rows = [row.model_copy(update={"width": None}) for row in museum.vehicles]
    check = turns.turn(arrange(museum.with_changes(vehicles=rows), "coach", "trailer"))
    assert check.status == "unknown" and "width" in check.note


@pytest.mark.parametrize(("positions", "says"), [([0, 5, 9], "2 groups"), ([0, 20, 15], "rise")])
def test_axles_without_groups_or_out_of_order_are_refused(positions, says):
    with pytest.raises(ValueError, match=says):
        swept_path.axle_wheelbases(Quantity(positions, "ft"), feet(10))


@pytest.mark.parametrize(("width", "radius", "says"), [(0, 20, "width"), (10, 4, "half the width, 5 ft; found 4 ft")])
def test_a_swing_of_no_width_or_about_its_own_middle_is_refused(width, radius, says):
    with pytest.raises(ValueError, match=says):
        swept_path.corner_swing(feet(width), feet(radius), feet(30))
