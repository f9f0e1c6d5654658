"""Each piece of a unit has its own trailer, its own checks and its own permit; one convoy, one crane call.

The three-piece case by hand: the foundry switcher is cut into frame (the body, 120,000 lb), boiler (70,000 lb) and two
trucks (20,000 lb each). The nine-axle trailer takes 110,000 lb with 4,000 lb of blocking: not the frame, which rides on
the 13-axle trailer (181,000 lb, 6,000 lb of blocking), but the boiler: 74,000 lb. The lowboy takes 50,000 lb with 1,500 lb
of blocking: both trucks at once, 41,500 lb. Loads: 1 of the body and 2 beside it, 110,000 lb / 2 = 27.5 short tons each on
average. Over the legal 80,000 lb in all: 120,000 + 6,000 + 118,000 = 244,000 lb and 70,000 + 4,000 + 85,000 = 159,000 lb,
and the lowboy with 40,000 + 1,500 + 40,000 = 81,500 lb: three loads. Over the superload weight of
limits.csv: the first only.
"""

import numpy as np
import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.compare.comparison import price_path
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

UNIT = "foundry_switcher"


def lb(pounds):
    return Quantity(float(pounds), "lb")


def ft(feet):
    return Quantity(float(feet), "ft")


@pytest.fixture(scope="module")
def in_pieces(museum):
    body, truck = museum.pieces_of(UNIT)
    sizes = {"length": ft(20), "width": ft(8), "height": ft(8), "underside": ft(3.5), "centre_of_gravity_offset": ft(0)}
    boiler = {"piece": "boiler", "title": "Boiler", "kind": "boiler", "weight": lb(70_000), **sizes}
    frame = {"weight": lb(120_000), "centre_of_gravity_offset": ft(0), "centre_of_gravity_height": ft(5)}
    rows = (
        body.model_copy(update=frame),
        body.model_copy(update=boiler),
        truck.model_copy(update={"weight": lb(20_000)}),
    )
    return museum.with_changes(pieces=[*rows, *(row for row in museum.pieces if row.vehicle != UNIT)])


def test_three_pieces_ride_on_the_trailers_that_take_them(in_pieces):
    carriage = arrange(in_pieces, UNIT, "trailer")
    assert carriage.trailer.trailer == "thirteen_axle_trailer"
    assert {each.piece.piece: each.trailer.trailer for each in carriage.others} == {
        "boiler": "nine_axle_trailer",
        "truck": "lowboy",
    }
    assert {each.piece.piece: each.loads for each in carriage.others} == {"boiler": 1.0, "truck": 1.0}
    assert [each.loaded.payload.m_as("lb") for each in carriage.others] == pytest.approx([74_000, 41_500])


def test_loads_and_permits_count_the_pieces_and_the_cranes_come_once(in_pieces):
    amounts = arrange(in_pieces, UNIT, "trailer").amounts
    told = {"body_loads": 1, "truck_loads": 2, "truck_load_weight": 27.5, "overweight_loads": 3, "superloads": 1}
    assert {name: amounts[name] for name in told} == pytest.approx(told)
    assert amounts["crane_calls"] == 2.0, "one crane at each end lifts all"


def test_each_load_beside_the_body_pays_its_own_haul_and_permit(in_pieces):
    """Two loads, each at least 200 miles (the road is shorter): 400 load miles; two permits in the one state."""
    result = price_path(in_pieces, UNIT, "trailer", None, draw(in_pieces, trials=50))
    lines = {entry.line.line: entry for entry in result.trials.lines}
    assert result.work.amounts["truck_haul_distance"] < 200
    np.testing.assert_allclose(lines["trucks_by_lowboy"].quantity, 400)
    np.testing.assert_allclose(lines["truck_permits"].quantity, 2 * result.work.amounts["states"])
    np.testing.assert_allclose(lines["body_permits"].quantity, result.work.amounts["states"])


def test_the_worst_piece_counts_and_is_named(in_pieces):
    weighs = {"boiler": lb(130_000), "body": lb(140_000)}
    rows = [row.model_copy(update={"weight": weighs.get(row.piece, row.weight)}) if row.vehicle == UNIT else row
            for row in in_pieces.pieces]  # fmt: skip
    said = in_pieces.piece_carriage[0].model_copy(update={"piece": "boiler", "equipment": "nine_axle_trailer"})
    museum = in_pieces.with_changes(pieces=rows, piece_carriage=[*in_pieces.piece_carriage, said])
    check = CHECKS["trailer_payload"](arrange(museum, UNIT, "trailer"))
    assert check.status == "fail" and check.subject.startswith("Boiler")
    assert check.demand.m_as("lb") == pytest.approx(134_000) and check.capacity.m_as("lb") == pytest.approx(110_000)


def test_a_piece_of_unknown_weight_leaves_its_loads_unknown(in_pieces):
    rows = [row.model_copy(update={"weight": None}) if row.piece == "truck" and row.vehicle == UNIT else row
            for row in in_pieces.pieces]  # fmt: skip
    carriage = arrange(in_pieces.with_changes(pieces=rows), UNIT, "trailer")
    assert carriage.amounts["truck_loads"] is None and carriage.amounts["overweight_loads"] is None
    assert CHECKS["trailer_payload"](carriage).status == "unknown"


def test_the_heaviest_piece_of_any_kind_decides_the_lift(in_pieces):
    rows = [row.model_copy(update={"weight": lb(135_000)}) if row.piece == "boiler" and row.vehicle == UNIT else row
            for row in in_pieces.pieces]  # fmt: skip
    assert in_pieces.with_changes(pieces=rows).body(UNIT).piece == "boiler"
