"""Which flat car takes the body, why the others fall out, and what the concentrated-load rule says."""

import pytest

from heritagemove.checks.gates import flat_car
from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.units.units import Quantity


def with_unit(museum, vehicle, **fields):
    rows = [row.model_copy(update=fields) if row.vehicle == vehicle else row for row in museum.vehicles]
    return museum.with_changes(vehicles=rows)


def with_body(museum, vehicle, **fields):
    """Return the museum with other measures of a unit's body."""
    key = vehicle, museum.body(vehicle).piece
    rows = [row.model_copy(update=fields) if (row.vehicle, row.piece) == key else row for row in museum.pieces]
    return museum.with_changes(pieces=rows)


def with_car(museum, car, **fields):
    rows = [row.model_copy(update=fields) if row.flat_car == car else row for row in museum.flat_cars]
    return museum.with_changes(flat_cars=rows)


def feet(number):
    return Quantity(float(number), "ft")


def test_the_first_car_that_bears_and_clears_is_taken_without_a_word(museum):
    choice = flat_car.choose_flat_car(museum, museum.vehicle("boxcar"))
    assert choice.car.flat_car == "standard_60_ft" and choice.notes == ()


def test_when_the_clearance_fails_the_next_car_is_tried_and_the_reason_is_told(museum):
    """A deck at 6 ft lifts the boxcar over the trunk line's 17.3 ft; 66-ft truck centres throw the next one too wide."""
    high = with_car(museum, "standard_60_ft", deck_height=feet(6))
    carriage = arrange(high, "boxcar", "flat_car")
    assert carriage.flat_car.flat_car == "heavy_six_axle"
    assert "60-ft standard flat, 77-ton nominal (23 in too high on" in carriage.notes[0]
    assert "89-ft standard flat, 100-ton nominal (" in carriage.notes[0] and "too wide" in carriage.notes[0]
    assert carriage.equipment >= {"heavy_six_axle"}


def test_a_curve_too_sharp_for_the_car_lets_it_fall_out(museum):
    stiff = with_car(museum, "standard_60_ft", sharpest_curve=Quantity(12, "degree"))
    choice = flat_car.choose_flat_car(stiff, museum.vehicle("boxcar"))
    assert choice.car.flat_car == "heavy_six_axle" and "curve of 16°" in choice.notes[0]


def test_where_none_clears_the_first_that_bears_it_is_reckoned_with_and_its_gate_fails(museum):
    choice = flat_car.choose_flat_car(museum, museum.vehicle("consolidation"))
    assert choice.car.flat_car == "standard_89_ft"
    assert "none clears" in choice.notes[0] and choice.notes[0].count(" in too ") == 2
    check = CHECKS["flat_car_clearance"](arrange(museum, "consolidation", "flat_car"))
    assert check.status == "fail"


def test_where_none_bears_it_every_car_is_named_with_its_reason(museum):
    choice = flat_car.choose_flat_car(museum, museum.vehicle("road_diesel"))
    assert choice.car is None and choice.priced is museum.flat_cars[-1]
    assert all(car.title in choice.notes[0] for car in museum.flat_cars)
    assert "246,000 lb over 162,000 lb" in choice.notes[0] and "60.7 ft long on a deck of 60.0 ft" in choice.notes[0]


def test_an_unknown_weight_chooses_no_car_and_makes_nothing_up(museum):
    blind = with_body(museum, "coach", weight=None)
    assert flat_car.choose_flat_car(blind, blind.vehicle("coach")).car is None
    assert CHECKS["flat_car_load"](arrange(blind, "coach", "flat_car")).status == "unknown"


def test_a_body_inside_the_truck_centres_may_use_nine_tenths_of_the_limit(museum):
    """39 ft on 66-ft truck centres: 0.9 x 190,000 lb = 171,000 lb."""
    unit = museum.vehicle("consolidation")
    car = next(row for row in museum.flat_cars if row.flat_car == "standard_89_ft")
    check = flat_car.load_check(museum, unit, car)
    assert check.capacity.m_as("lb") == pytest.approx(171_000)
    heavier = with_body(museum, "consolidation", weight=Quantity(172_000, "lb"))
    assert flat_car.load_check(heavier, unit, car).status == "fail"


def test_where_the_zones_end_the_load_engineer_is_asked_and_told_of_the_blocks(museum):
    """156,000 lb on blocks 22 ft apart may use 0.75 x 162,000 = 121,500 lb; at 96 per cent the zones end."""
    car = museum.flat_cars[0]
    check = flat_car.load_check(museum, museum.vehicle("foundry_switcher"), car)
    assert check.status == "open"
    assert "121,500 lb" in check.note and "90 per cent" in check.note


def test_a_centre_of_gravity_out_of_its_zone_says_where_it_must_stand(museum):
    """At 86 per cent the zone is a seventh of 44 ft: 3.1 ft either way."""
    off = with_unit(museum, "foundry_switcher", centre_of_gravity_offset=feet(4))
    off = with_body(off, "foundry_switcher", weight=Quantity(140_000, "lb"))
    check = flat_car.load_check(off, off.vehicle("foundry_switcher"), museum.flat_cars[0])
    assert check.status == "marginal" and "3.1 ft of the car's middle" in check.note


def test_without_the_published_shares_only_the_load_limit_is_compared(museum):
    bare = museum.with_changes(limits=[row for row in museum.limits if not row.limit.startswith("flat_car_share")])
    check = flat_car.load_check(bare, museum.vehicle("boxcar"), museum.flat_cars[0])
    assert check.capacity == museum.flat_cars[0].load_limit
