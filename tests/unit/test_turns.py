"""Gates and turns of the road: what no steering saves stops, a long turn's room passes, between them the hauler draws."""

import math

import pytest

from heritagemove.checks.gates import turns
from heritagemove.checks.gates.carriage import arrange
from heritagemove.units.units import Quantity


def feet(number):
    return Quantity(float(number), "ft")


def carriage(museum, vehicle="foundry_switcher", path="trailer", leg=None, trailer=None, **limits):
    """Return how a unit travels after changes to every road leg, every trailer and some limits."""
    legs = [row.model_copy(update=leg or {}) if row.mode == "road" else row for row in museum.legs]
    trailers = [row.model_copy(update=trailer or {}) for row in museum.trailers]
    rows = [row.model_copy(update={"value": limits.get(row.limit, row.value)}) for row in museum.limits]
    moved = museum.with_changes(legs=legs, trailers=trailers, limits=rows)
    return arrange(moved, vehicle, path, moved.stages_of(path)[-1].stage)


def turned(museum, *asked, **changes):
    return turns.turn(carriage(museum, *asked, **changes))


WIDE = {"width_limit": feet(60), "turn_angle": Quantity(90.0, "degree"), "turn_outer_radius": feet(70)}


def test_the_truck_the_jeep_and_the_steered_deck_all_count(museum):
    """Truck 20.5 ft; jeep hitched 1 ft ahead, 24 ft long; deck hitched 10.5 ft ahead of its axles, half of 75 ft left."""
    found = carriage(museum)
    assert found.hauler.trailer == "thirteen_axle_trailer"
    assert turns.wheelbases(found).m_as("ft") == pytest.approx([20.5, -1, 24, -10.5, 75 / 2])


def test_steering_is_credited_as_the_row_states_it_but_never_above_the_limit(museum):
    found = {}
    for share, stated in ((0.5, 20), (0.5, 50), (0.9, 20), (0.0, 20)):
        steered = carriage(museum, trailer={"wheelbase": feet(stated)}, trailer_steered_share=share)
        found[share, stated] = turns.wheelbases(steered).m_as("ft")[-1]
    assert found == pytest.approx({(0.5, 20): 37.5, (0.5, 50): 50, (0.9, 20): 20, (0.0, 20): 75})


@pytest.mark.parametrize(
    ("width", "status"), [(13.6, "fail"), (13.65, "open"), (41, "open"), (41.2, "marginal"), (50, "pass")]
)
def test_between_what_any_steering_needs_and_what_a_long_turn_takes_the_turn_is_open(museum, width, status):
    """44.5 ft and 10 ft on 70 ft: 10 + 70 - sqrt(4900 - 495.06) = 13.63 ft; steady state 40.07 ft and a foot of room."""
    assert turned(museum, leg=WIDE | {"turn_width": feet(width)}).status == status


def test_a_short_turn_needs_less(museum):
    """At 20 degrees 10 + 70 - 70 / cos 10 + 22.25 tan 10 = 12.84 ft."""
    leg = WIDE | {"turn_angle": Quantity(20.0, "degree")}
    assert turned(museum, leg=leg | {"turn_width": feet(12.8)}).status == "fail"
    assert turned(museum, leg=leg | {"turn_width": feet(12.9)}).status == "open"


def test_a_straight_road_has_no_turn_to_survey(museum):
    straight = {"turn_angle": Quantity(0.0, "degree"), "turn_outer_radius": None, "turn_width": None}
    assert turned(museum, leg=WIDE | straight).status == "pass"


def test_a_load_wider_than_the_gate_stops_and_one_without_room_beside_it_is_open(museum):
    wide = WIDE | {"turn_width": feet(60)}
    stopped = turned(museum, leg=wide | {"width_limit": feet(9.5)})
    assert (stopped.status, stopped.margin) == ("fail", feet(-0.5))
    assert stopped.subject.startswith("gate, ")
    assert turned(museum, leg=wide | {"width_limit": feet(10.5)}).status == "open"


def test_a_body_longer_than_twice_the_radius_stops_where_the_road_turns_back(museum):
    back = WIDE | {"turn_outer_radius": feet(20), "turn_width": feet(60), "turn_angle": Quantity(180.0, "degree")}
    check = turned(museum, leg=back)
    assert (check.status, check.demand) == ("fail", None)
    assert turned(museum, leg=back | {"turn_angle": Quantity(90.0, "degree")}).status == "open"


def test_a_turn_tighter_than_the_trailer_takes_in_a_long_one_is_open_however_wide(museum):
    wide = WIDE | {"turn_width": feet(60)}
    assert turned(museum, leg=wide).status == "pass"
    assert turned(museum, leg=wide, trailer={"turn_radius": feet(71)}).status == "open"


@pytest.mark.parametrize(
    ("field", "asks"), [("turn_angle", "angle"), ("turn_outer_radius", "outer radius"), ("turn_width", "clear width")]
)
def test_a_turn_that_nobody_surveyed_is_unknown_and_shows_what_is_known(museum, field, asks):
    check = turned(museum, leg=WIDE | {"turn_width": feet(60)} | {field: None})
    assert check.status == "unknown" and f": {asks}" in check.note
    shown = "any steering needs at most 13 ft 7.6 in, a long turn takes 40 ft 0.9 in" in check.note
    assert shown == (field != "turn_outer_radius")


def test_a_gate_that_nobody_measured_is_unknown(museum):
    check = turned(museum, leg=WIDE | {"turn_width": feet(60), "width_limit": None})
    assert check.status == "unknown" and "measure the narrowest gate" in check.note


def test_a_turn_narrower_than_any_steering_needs_stops_whatever_the_hauler_has_not_said(museum):
    blank = {"front_overhang": None}
    assert turned(museum, leg=WIDE | {"turn_width": feet(13)}, trailer=blank).status == "fail"
    assert turned(museum, leg=WIDE | {"turn_width": feet(20)}, trailer=blank).status == "unknown"


def test_a_transporter_and_its_load_swing_each_with_its_own_length_and_width(museum):
    """Load 44.5 ft by 10 ft, lines 24.4 ft by 16.4 ft on 70 ft: the lines need 16.4 + 70 - sqrt(4900 - 148.84)."""
    needed = 16.4 + 70 - math.sqrt(70**2 - 12.2**2)
    leg = WIDE | {"turn_width": feet(needed + 0.9)}
    assert turned(museum, path="transporter", leg=leg).status == "open"
    clear = turned(museum, path="transporter", leg=WIDE | {"turn_width": feet(needed + 1.001)})
    assert clear.status == "marginal" and clear.demand.m_as("ft") == pytest.approx(needed + 1)
    assert turned(museum, path="transporter", leg=WIDE | {"turn_width": feet(needed - 0.01)}).status == "fail"
    assert turned(museum, "coach", "transporter", leg=WIDE | {"turn_width": feet(23)}).status == "fail"


def test_a_unit_of_unknown_width_asks_for_it(museum):
    rows = [row.model_copy(update={"width": None}) for row in museum.vehicles]
    check = turns.turn(arrange(museum.with_changes(vehicles=rows), "coach", "trailer"))
    assert check.status == "unknown" and "width" in check.note
