"""Three pieces with two trailers, the money by hand: a switcher in body, boiler and trucks, at fixed prices.

The body weighs 100,000 lb. The nine-axle trailer takes 110,000 lb with 4,000 lb of blocking, no lowboy does. The boiler of
35,000 lb and the two trucks of 15,000 lb each go on a lowboy, which takes 50,000 lb with 1,500 lb of blocking: one load of
the boiler, one of both trucks, (35,000 + 30,000) / 2 = 32,500 lb each on average.

Haul by weight, straight between rows when both scales are logarithmic: the body is half-way from 50,000 lb at 4 USD to
200,000 lb at 36 USD, at sqrt(4 x 36) = 12 USD a mile (a straight line would say 14.67); the loads beside it half-way from
16,250 lb at 2 USD to 65,000 lb at 8 USD, at 4 USD a mile. A lowboy's load pays 200 miles at the least. Two states, each
with a permit a load. Gross 100,000 + 4,000 + 85,000 = 189,000 lb: no superload. A crane hired for less than its least
hours pays those, for each time that one is called: once at both ends, whatever is lifted there.
"""

import numpy as np
import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.compare.comparison import price_path
from heritagemove.trials import estimating
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

UNIT = "foundry_switcher"
#: Prices [USD] by rate: at every weight the same, or by weight of the load [lb].
PRICES = {
    "body_haul": {50_000: 4, 200_000: 36},
    "lowboy_mile": {16_250: 2, 65_000: 8},
    "trailer_mobilization": 10_000,
    "body_permit": 110,
    "truck_load_permit": 60,
    "superload_permit": 550,
    "crane_call": 7_000,
    "crane_hour": 500,
}
LEAST_HOURS = 40


def lb(pounds):
    return Quantity(float(pounds), "lb")


@pytest.fixture(scope="module")
def in_pieces(museum):
    plain = estimating.switched(museum, False)
    body, truck = plain.pieces_of(UNIT)
    middle, size = Quantity(0.0, "ft"), Quantity(8.0, "ft")
    boiler = {
        "piece": "boiler", "title": "Boiler", "kind": "boiler", "weight": lb(35_000), "length": Quantity(20.0, "ft"),
        "width": size, "height": size, "underside": Quantity(3.5, "ft"), "centre_of_gravity_offset": middle,
    }  # fmt: skip
    pieces = (
        body.model_copy(update={"weight": lb(100_000), "centre_of_gravity_offset": middle}),
        body.model_copy(update=boiler),
        truck.model_copy(update={"weight": lb(15_000), "count": 2}),
    )
    rates = [row for row in plain.rates if row.rate == plain.scenario.holdover_rate]
    for name, price in PRICES.items():
        row = next(row for row in plain.rates if row.rate == name)
        least = {"least": float(LEAST_HOURS), "least_for": "crane_calls"} if name == "crane_hour" else {}
        for pounds, usd in (price if isinstance(price, dict) else {None: price}).items():
            same = {**dict.fromkeys(("low", "likely", "high"), usd), "price_index": None, "tax": None, "equipment": None}
            rates.append(row.model_copy(update={**same, **least, "at_weight": pounds and lb(pounds)}))
    vehicles = [row.model_copy(update={"weight_tolerance": Quantity(0.0, "percent")}) for row in plain.vehicles]
    lines = [row for row in plain.of_path("cost_lines", "trailer") if row.rate in PRICES]
    return plain.with_changes(
        vehicles=vehicles, pieces=pieces, rates=rates, cost_lines=lines, risks=[], gates=[], donations=[]
    )


def over(museum, miles):
    """Return the museum with a road of so many miles."""
    (stage,) = museum.stages_of("trailer")
    (first, *rest) = stage.legs
    length = {first: Quantity(miles - len(rest), "mile")} | dict.fromkeys(rest, Quantity(1.0, "mile"))
    return museum.with_changes(
        legs=[row.model_copy(update={"length": length.get(row.leg, row.length), "detour_for": None})
              for row in museum.legs if row.mode != "road" or row.leg in length],
    )  # fmt: skip


def costs(museum):
    result = price_path(museum, UNIT, "trailer", None, draw(museum, trials=3))
    assert result.trials.unknown == ()
    return result, {entry.line.line: entry.cost_usd for entry in result.trials.lines}


def test_the_body_rides_on_the_nine_axle_trailer_and_both_other_loads_on_a_lowboy(in_pieces):
    carriage = arrange(in_pieces, UNIT, "trailer")
    assert carriage.trailer.trailer == "nine_axle_trailer"
    assert {(each.piece.piece, each.trailer.trailer, each.loads) for each in carriage.others} == {
        ("boiler", "lowboy", 1.0),
        ("truck", "lowboy", 1.0),
    }
    assert carriage.amounts["truck_load_weight"] == pytest.approx(16.25)


@pytest.mark.parametrize(("miles", "paid"), [(100.0, 200), (300.0, 300)], ids=["under_the_least", "over_it"])
def test_the_money_of_three_pieces_is_that_by_hand(in_pieces, miles, paid):
    result, found = costs(over(in_pieces, miles))
    by_hand = {
        "body_haul": 12 * miles * 1,
        "trucks_by_lowboy": 4 * paid * 2,
        "trailer_mobilization": 10_000 * 1,
        "body_permits": 110 * 1 * 2,
        "truck_permits": 60 * 2 * 2,
        "superload_permit": 0,
        "crane_calls": 7_000 * 2,
        "crane_hours": 500 * LEAST_HOURS * 2,
    }
    assert found.keys() == by_hand.keys()
    for line, usd in by_hand.items():
        np.testing.assert_allclose(found[line], usd, rtol=1e-12, err_msg=line)
    np.testing.assert_allclose(
        result.trials.cost_usd - result.trials.holdover_usd - result.trials.loss_usd, sum(by_hand.values())
    )


def test_a_third_state_asks_a_permit_more_of_each_load(in_pieces):
    museum = over(in_pieces, 100.0)
    last = museum.stages_of("trailer")[0].legs[-1]
    legs = [row.model_copy(update={"state": "third"}) if row.leg == last else row for row in museum.legs]
    _, found = costs(museum.with_changes(legs=legs))
    np.testing.assert_allclose(found["body_permits"], 110 * 1 * 3)
    np.testing.assert_allclose(found["truck_permits"], 60 * 2 * 3)


def test_a_lighter_body_is_hauled_for_less_and_the_loads_beside_it_as_before(in_pieces):
    """At 50,000 lb, the lightest row: 4 USD a mile; lighter still keeps that price."""
    museum = over(in_pieces, 100.0)
    for pounds in (50_000, 40_000):
        lighter = [row.model_copy(update={"weight": lb(pounds)}) if row.piece == "body" and row.vehicle == UNIT else row
                   for row in museum.pieces]  # fmt: skip
        _, found = costs(museum.with_changes(pieces=lighter))
        np.testing.assert_allclose(found["body_haul"], 4 * 100)
        np.testing.assert_allclose(found["trucks_by_lowboy"], 4 * 200 * 2)


def test_each_load_beside_the_body_pays_the_price_of_its_own_weight(in_pieces):
    """Where the price grows with the square of the weight, 2 USD at 16,250 lb and 32 USD at 65,000 lb.

    The boiler pays 2 x (35 / 16.25)^2 = 9.278 USD a mile, both trucks 2 x (30 / 16.25)^2 = 6.817, together 16.095; twice
    the price of their average weight would be 2 x 2 x (32.5 / 16.25)^2 = 16.
    """
    museum = over(in_pieces, 300.0)
    top = {("lowboy_mile", 65_000.0): 32.0}
    rates = [
        row.model_copy(update=dict.fromkeys(("low", "likely", "high"), usd))
        if (usd := top.get((row.rate, row.at_weight and row.at_weight.m_as("lb"))))
        else row
        for row in museum.rates
    ]
    _, found = costs(museum.with_changes(rates=rates))
    np.testing.assert_allclose(found["trucks_by_lowboy"], 2 * (35**2 + 30**2) / 16.25**2 * 300, rtol=1e-12)
