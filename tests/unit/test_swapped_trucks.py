"""A unit on other trucks than its own: their axles, their weight and their journals count, not the unit's."""

import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.units.units import Quantity


def truck(museum, **fields):
    return museum.with_changes(donor_trucks=[row.model_copy(update=fields) for row in museum.donor_trucks])


def test_the_body_rests_on_the_donors_axles_with_the_donors_weight(museum):
    """156,000 lb 0.59 ft behind the middle of 22 ft: 73,818 and 82,182; two axles each, and 10,000 lb a truck."""
    carriage = arrange(museum, "foundry_switcher", "donor_trucks")
    axles = carriage.museum.axles_of("foundry_switcher")
    assert carriage.load.m_as("lb") == pytest.approx(176_000)
    assert [axle.load.m_as("lb") for axle in axles] == pytest.approx([41_909, 41_909, 46_091, 46_091], abs=1)
    places = [22.25 - 11 - 35 / 12, 22.25 - 11 + 35 / 12, 22.25 + 11 - 35 / 12, 22.25 + 11 + 35 / 12]
    assert [axle.position.m_as("ft") for axle in axles] == pytest.approx(places)


def test_a_six_axle_diesel_is_too_heavy_for_two_axle_donors(museum):
    """246,000 x (1/2 + 0.878 / 35) / 2 + 5,000 = 69,586 lb against 65,750."""
    carriage = arrange(museum, "road_diesel", "donor_trucks")
    for gate in ("journal_rating", "track_axle_limit"):
        check = CHECKS[gate](carriage)
        assert (check.status, round(check.demand.m_as("lb"))) == ("fail", 69_586)
    assert CHECKS["journal_rating"](arrange(truck(museum, axles=3), "road_diesel", "donor_trucks")).status == "pass"


def test_the_journals_of_the_donors_are_rated_and_not_the_units(museum):
    """Tender journals of 5-1/2 x 10 as freight: 177,000 / 4 = 44,250 lb."""
    check = CHECKS["journal_rating"](arrange(truck(museum, journal="5-1/2 x 10"), "foundry_switcher", "donor_trucks"))
    assert (check.status, check.capacity.m_as("lb")) == ("fail", 44_250)


@pytest.mark.parametrize("missing", [{"weight": None}, {"journal": None}])
def test_donors_of_which_nothing_is_known_pass_nothing(museum, missing):
    carriage = arrange(truck(museum, **missing), "foundry_switcher", "donor_trucks")
    assert CHECKS["journal_rating"](carriage).status == "unknown"


def test_an_engine_without_trucks_takes_none(museum):
    for path in ("donor_trucks", "idler_trucks"):
        carriage = arrange(museum, "consolidation", path)
        assert CHECKS["outside_boxes"](carriage).status == "fail"
        assert carriage.load is None
    pieces = [row for row in museum.pieces if (row.vehicle, row.kind) != ("caboose", "truck")]
    rigid = museum.with_changes(pieces=pieces)
    assert CHECKS["outside_boxes"](arrange(rigid, "caboose", "donor_trucks")).status == "fail"


def test_a_path_that_keeps_its_trucks_keeps_its_axles(museum):
    carriage = arrange(museum, "foundry_switcher", "convert_axles")
    assert carriage.museum.axles_of("foundry_switcher") == museum.axles_of("foundry_switcher")
    assert carriage.load == museum.vehicle("foundry_switcher").weight


def test_a_heavier_body_is_heavier_on_the_same_trucks(museum):
    heavy = arrange(museum.with_weight("coach", 90), "coach", "donor_trucks").load
    assert heavy.m_as("lb") == pytest.approx(100_000 * 180 / 164 + 20_000)
    assert heavy > Quantity(120_000, "lb")
