"""The body once its trucks are out: its own centre of gravity, and how high it stands when it is carried."""

from types import SimpleNamespace

import pytest

from heritagemove.checks.gates import body, flat_car
from heritagemove.checks.gates.carriage import arrange
from heritagemove.units.units import Quantity


def with_pieces(museum, vehicle, kind, **fields):
    rows = [
        row.model_copy(update=fields) if (row.vehicle, row.kind) == (vehicle, kind) else row for row in museum.pieces
    ]
    return museum.with_changes(pieces=rows)


def centre(museum, vehicle):
    unit = museum.vehicle(vehicle)
    return SimpleNamespace(height=body.height_of_centre(museum, unit), offset=body.offset_of_centre(museum, unit))


def test_a_body_balances_further_from_the_middle_than_the_unit_on_its_trucks(museum):
    """Trucks in the middle: 230,000 x -0.4 / 156,000 = -0.590 ft; 360,000 x 0.6 / 246,000 = 0.878 ft."""
    assert centre(museum, "foundry_switcher").offset.m_as("ft") == pytest.approx(-0.5897, abs=1e-4)
    assert centre(museum, "road_diesel").offset.m_as("ft") == pytest.approx(0.8780, abs=1e-4)


def test_a_body_is_higher_than_the_unit_on_its_trucks(museum):
    """(230,000 x 5.6 - 74,000 x 20 / 12) / 156,000 = 7.466 ft."""
    assert centre(museum, "foundry_switcher").height.m_as("ft") == pytest.approx(7.4658, abs=1e-4)


def test_a_measured_centre_of_gravity_comes_before_what_balances(museum):
    measured = with_pieces(
        museum, "coach", "body", centre_of_gravity_height=Quantity(7, "ft"), centre_of_gravity_offset=Quantity(-2, "ft")
    )
    assert (centre(measured, "coach").height.m_as("ft"), centre(measured, "coach").offset.m_as("ft")) == (7, -2)


def test_a_unit_that_goes_whole_has_one_centre_of_gravity(museum):
    whole = museum.with_changes(
        pieces=[row.model_copy(update={"kind": "whole"}) for row in museum.pieces_of("caboose", "body")]
    )
    assert centre(whole, "caboose").height == museum.vehicle("caboose").centre_of_gravity_height


@pytest.mark.parametrize("missing", [{"weight": None}, {"weight": Quantity(200_000, "lb")}])
def test_trucks_of_unknown_or_impossible_weight_leave_the_centre_unknown(museum, missing):
    found = centre(with_pieces(museum, "coach", "truck", **missing), "coach")
    assert found.height is found.offset is None


def test_an_engine_without_its_tender_needs_its_own_centre_of_gravity(museum):
    blank = dict.fromkeys(("centre_of_gravity_height", "centre_of_gravity_offset"))
    found = centre(with_pieces(museum, "consolidation", "body", **blank), "consolidation")
    assert found.height is found.offset is None


def test_on_its_wheels_a_body_stands_as_high_on_the_deck_as_on_the_rail(museum):
    """14.8 ft on a deck of 3.5 ft with 6 in under the wheels: 18.8 ft; without them 1.4 ft less."""
    museum = with_pieces(museum, "consolidation", "body", height=None)
    car = next(row for row in museum.flat_cars if row.flat_car == "standard_89_ft")
    unit, off = museum.vehicle("consolidation"), with_pieces(museum, "consolidation", "body", wheels_on=False)
    assert flat_car.height_on(museum, unit, car).m_as("ft") == pytest.approx(18.8)
    assert flat_car.height_on(off, unit, car).m_as("ft") == pytest.approx(17.4)
    assert arrange(museum, "consolidation", "flat_car").loaded_height.m_as("ft") == pytest.approx(18.8)


def test_a_body_that_is_lower_and_narrower_than_its_unit_travels_so(museum):
    """A cab taken down: 9 ft from underside to top on 3.6 ft and 6 in is 13.1 ft, 9 ft wide."""
    low = with_pieces(museum, "caboose", "body", height=Quantity(9, "ft"), width=Quantity(9, "ft"))
    carriage = arrange(low, "caboose", "flat_car")
    assert carriage.loaded_height.m_as("ft") == pytest.approx(13.1)
    wide, narrow = (flat_car.side_check(m, m.vehicle("caboose"), carriage.car).demand for m in (museum, low))
    assert (wide - narrow).to("in").magnitude == pytest.approx(7.2)
