"""The cranes at both ends of a way: who stands clear of the load, what they lift, what nobody has measured."""

import pytest

from heritagemove.checks.gates import body, cranes
from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.screening import screen
from heritagemove.editing.starter import StartingPoint, new_museum
from heritagemove.museum.museum import load_museum
from heritagemove.units.units import Quantity


def ft(number):
    return Quantity(number, "ft")


def at(museum, name, **measures):
    """Return the museum with other measures of one place."""
    return museum.with_changes(
        places=[row.model_copy(update=measures) if row.place == name else row for row in museum.places]
    )


def with_body(museum, vehicle, **measures):
    own = vehicle, "body"
    rows = [row.model_copy(update=measures) if (row.vehicle, row.kind) == own else row for row in museum.pieces]
    return museum.with_changes(pieces=rows)


def crane(museum, vehicle="coach", path="trailer"):
    return next(found for found in screen(museum, vehicle, path).findings if found.gate.check == "crane")


def test_the_body_s_centre_is_what_unit_and_trucks_balance_to(museum):
    """(230,000 x 5.6 - 74,000 x 1.667) / 156,000 = 7.466 ft; 230,000 x -0.4 / 156,000 = -0.590 ft."""
    unit = museum.vehicle("foundry_switcher")
    assert body.height_of_centre(museum, unit).m_as("ft") == pytest.approx(7.4658, abs=1e-4)
    assert body.offset_of_centre(museum, unit).m_as("ft") == pytest.approx(-0.58974, abs=1e-5)


def test_a_centre_that_somebody_weighed_for_the_body_stands_before_the_balance(museum):
    weighed = with_body(
        museum, "coach", centre_of_gravity_height=ft(6.9), centre_of_gravity_offset=ft(-0.8), width=ft(9.5), height=ft(11)
    )
    unit = weighed.vehicle("coach")
    assert (body.height_of_centre(weighed, unit), body.offset_of_centre(weighed, unit)) == (ft(6.9), ft(-0.8))
    assert body.body_side(weighed, unit).magnitude == pytest.approx(82 * 11)
    assert body.body_width(weighed, unit) == ft(9.5)


def test_a_body_whose_trucks_nobody_weighed_has_no_centre(museum):
    pieces = [row.model_copy(update={"weight": None}) if row.kind == "truck" else row for row in museum.pieces]
    assert body.offset_of_centre(museum.with_changes(pieces=pieces), museum.vehicle("coach")) is None


def test_the_larger_radius_lifts_and_the_smaller_one_says_who_stands_clear(museum):
    """At 50 ft the 300-ton crane takes 85 x 0.85 short tons, less than 173,250 lb; at 26 ft it needs 18.5 + 3 + 5 = 26.5."""
    assert arrange(museum, "foundry_switcher", "trailer").arrangement.crane == "crane_300_ton"
    far = arrange(at(museum, "museum", radius=ft(50)), "foundry_switcher", "trailer")
    assert far.arrangement.crane == "crane_500_ton"
    near = at(museum, "drossley_foundry", radius=ft(26))
    stage = near.stages_of("trailer")[0]
    standing = {row.crane for row in cranes.standing(near, near.vehicle("foundry_switcher"), stage)}
    assert standing == {"crane_90_ton", "crane_165_ton"}
    assert cranes.radius(near, stage) == ft(30)


def test_a_wider_body_needs_a_larger_radius(museum):
    """17 + 3 + 10.1 / 2 = 25.05 ft for the 165-ton crane; a foot more of width is half a foot of radius."""
    row, unit = cranes.class_of(museum, "crane_165_ton"), museum.vehicle("coach")
    assert cranes.clear_radius(museum, unit, row).m_as("ft") == pytest.approx(25.05)
    assert cranes.clear_radius(with_body(museum, "coach", width=ft(11.1)), unit, row).m_as("ft") == pytest.approx(25.55)


def test_the_rigging_of_a_light_load_is_the_crane_s_and_no_share_of_the_load(museum):
    """(29,000 + 1,200 + 1,600) x 1.05 = 33,390 lb: hook block and slings weigh what they weigh."""
    assert arrange(museum, "caboose", "trailer").arrangement.hook_load.m_as("lb") == pytest.approx(33_390)


def test_two_cranes_count_the_body_s_own_centre_and_come_out_of_level(museum):
    """0.3 x 164 / 100 = 0.492 ft and 4.668 x tan 3 deg = 0.245 ft of 59.5: the worse hook has 0.51238 of the body."""
    small = museum.with_changes(cranes=[row for row in museum.cranes if row.crane in ("crane_90_ton", "crane_165_ton")])
    heavy = with_body(small, "coach", weight=Quantity(112_000, "lb"), centre_of_gravity_height=ft(7.568),
                      centre_of_gravity_offset=ft(-0.492))  # fmt: skip
    found = arrange(heavy, "coach", "trailer").arrangement
    assert found.cranes == 2
    assert float(found.share / Quantity(112_000, "lb")) == pytest.approx(0.51238, abs=1e-5)


def test_a_crane_that_fails_alone_is_unknown_as_long_as_nobody_knows_the_picks_of_two(museum):
    small = museum.with_changes(cranes=[row for row in museum.cranes if row.crane == "crane_90_ton"])
    assert crane(small).status == "fail"
    rows = [row.model_copy(update={"lift_spread": None}) if row.vehicle == "coach" else row for row in small.vehicles]
    found = crane(small.with_changes(vehicles=rows))
    assert (found.status, "measure the picks" in found.found) == ("unknown", True)


def test_what_nobody_measured_at_a_place_leaves_the_cranes_unknown_and_unpriced(museum):
    blank = at(museum, "museum", radius=None)
    assert crane(blank).status == "unknown"
    amounts = arrange(blank, "coach", "trailer").amounts
    assert [amounts[name] for name in ("lifts", "lift_days", "crane_hours", "crane_calls", "rigging_days")] == [None] * 5
    assert arrange(museum, "coach", "trailer").amounts["crane_hours"] > 0


def test_a_new_museum_inherits_no_measure_of_a_place(tmp_path):
    museum = load_museum(new_museum(tmp_path / "ours", StartingPoint(by_road="8 mile")))
    of_places = {"crane", "crane_access", "outrigger_ground", "power_line", "services_located", "sling_angle", "wind"}
    for path in ("trailer", "flat_car"):
        found = {each.gate.check: each.status for each in screen(museum, "our_unit", path).findings}
        assert {check: found[check] for check in of_places} == dict.fromkeys(of_places, "unknown")
    found = {each.gate.check: each.status for each in screen(museum, "our_unit", "transporter").findings}
    assert found["transporter_ground"] == "unknown"


def test_two_cranes_lift_what_the_trade_lifts_with_two(museum):
    alone = arrange(museum, "coach", "trailer")
    assert alone.arrangement.cranes == 1
    rows = [row.model_copy(update={"two_cranes": "yes"}) if row.vehicle == "coach" else row for row in museum.vehicles]
    both = arrange(museum.with_changes(vehicles=rows), "coach", "trailer")
    assert both.arrangement.cranes == 2
    assert both.amounts["crane_calls"] == 2 * alone.amounts["crane_calls"]
