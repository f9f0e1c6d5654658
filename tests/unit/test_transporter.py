"""Axle lines, ground pressure and pull of a transporter."""

import pytest

from heritagemove.checks.road.transporter import axle_lines, haul_pull, transporter_ground_pressure
from heritagemove.compare.comparison import price_path
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

TONNE, METRE = Quantity(1, "tonne"), Quantity(1, "m")
ROLLING = Quantity(2, "percent")
FIRM = Quantity(2000, "lb/ft**2")


def pressure(payload=100 * TONNE, lines=6, allowed=FIRM, **changes):
    given = {"line_tare": 4 * TONNE, "power_pack": 6 * TONNE, "line_pitch": 1.4 * METRE, "width": 2.43 * METRE}
    return transporter_ground_pressure(payload, lines, allowed=allowed, **{**given, **changes})


def test_a_load_that_fills_its_lines_exactly_asks_for_no_further_line():
    assert axle_lines(Quantity(6 * 17.9, "tonne"), Quantity(17.9, "tonne"), 1) == 6
    assert axle_lines(Quantity(6 * 17.9 + 0.001, "tonne"), Quantity(17.9, "tonne"), 1) == 7


def test_the_smallest_set_is_the_least_and_an_unknown_weight_has_no_answer():
    assert axle_lines(Quantity(10, "tonne"), Quantity(20, "tonne"), 4) == 4
    assert axle_lines(None, Quantity(20, "tonne"), 4) is None


def test_the_transporter_presses_with_its_own_weight_too():
    own = pressure(payload=Quantity(1, "lb"))
    assert own.demand.m_as("tonne/m**2") == pytest.approx(30 / (6 * 1.4 * 2.43), rel=1e-4)


def test_the_margin_is_payload_and_using_it_up_fills_the_ground():
    found = pressure()
    assert found.status == "pass"
    assert pressure(payload=100 * TONNE + found.margin).utilization == pytest.approx(1)


def test_packing_counts_like_payload():
    assert pressure(packing=5 * TONNE).demand.m_as("lb/ft**2") == pytest.approx(
        pressure(payload=105 * TONNE).demand.m_as("lb/ft**2")
    )


def test_soft_ground_fails_and_untested_ground_is_unknown():
    assert pressure(allowed=Quantity(1000, "lb/ft**2")).status == "fail"
    found = pressure(allowed=None)
    assert (found.status, found.note) == (
        "unknown",
        "Unknown: have a ground engineer test the route with a plate.",
    )
    assert pressure(payload=None).status == "unknown"
    assert pressure(lines=None).status == "unknown"


def test_downhill_a_load_pushes():
    assert haul_pull(TONNE, Quantity(-5, "percent"), Quantity(0, "in"), ROLLING).magnitude < 0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: axle_lines(TONNE, TONNE, 0), "minimum of axle lines must be at least 1; found 0"),
        (lambda: axle_lines(-TONNE, TONNE, 1), "weight must be more than 0; found -2,204.62 lb"),
        (lambda: pressure(lines=0), "axle lines must be at least 1; found 0"),
        (lambda: pressure(line_tare=Quantity(-1, "lb")), "tare of one line must be at least 0; found -1 lb"),
        (lambda: pressure(width=0 * METRE), "width must be more than 0; found 0 ft"),
        (
            lambda: pressure(allowed=Quantity(0, "lb/ft**2")),
            "allowed pressure must be more than 0; found 0 lb/ft²",
        ),
        (
            lambda: haul_pull(TONNE, Quantity(3, "percent"), Quantity(-1, "in"), ROLLING),
            "penetration must be at least 0; found -1 in",
        ),
        (
            lambda: haul_pull(TONNE, Quantity(101, "percent"), Quantity(0, "in"), ROLLING),
            "grade must be -100 to 100 percent; found 101 percent",
        ),
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message


def test_a_light_body_rides_on_a_structure_mover_s_dollies_where_a_row_names_them_and_pays_their_prices(museum):
    (like,) = [row for row in museum.piece_carriage if row.vehicle == "coach"]
    on = {"path": "transporter", "stage": "move", "piece": "body", "carried_on": "transporter"}
    row = like.model_copy(update=on | {"equipment": "house_mover_dollies"})
    named = museum.with_changes(piece_carriage=[*museum.piece_carriage, row])
    cost = {}
    for each, wanted in ((museum, "ten_line_transporter"), (named, "house_mover_dollies")):
        result = price_path(each, "coach", "transporter", samples=draw(each, trials=50))
        assert wanted in result.work.equipment and result.trials.unknown == ()
        assert {f.gate.check: f.status for f in result.findings}["trailer_payload"] == "pass"
        cost[wanted] = next(entry.cost_usd.mean() for entry in result.trials.lines if entry.line.line == "mobilization")
    assert cost["house_mover_dollies"] < cost["ten_line_transporter"] / 5
