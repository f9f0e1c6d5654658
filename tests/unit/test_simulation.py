"""Pricing and dating: worked examples, edges, what is unknown stays unknown."""

import datetime as dt

import numpy as np
import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.wiring import CHECKS as RUN
from heritagemove.compare import comparison
from heritagemove.museum.rows.gates import CHECKS as NAMED
from heritagemove.trials import simulation
from heritagemove.units.units import Quantity


def fixed(museum, **prices):
    """Return the museum with certain prices for some rates."""
    rates = [
        row.model_copy(update=dict.fromkeys(("low", "likely", "high"), prices[row.rate]) | {"price_index": None})
        if row.rate in prices
        else row
        for row in museum.rates
    ]
    return museum.with_changes(rates=rates)


def line_cost(result, line):
    """Return what the rows say of a line: what estimates turn out to be off by comes on top."""
    return next(cost.before_error_usd for cost in result.trials.lines if cost.line.line == line)


def test_converting_a_six_axle_unit_costs_10200_usd_of_shop_work(museum):
    """1,200 USD an axle and 250 USD a journal box (common practice, no source): 6 x 1,200 + 12 x 250."""
    priced = fixed(museum, axle_conversion=1200.0, box_modification=250.0)
    compared = comparison.compare_paths(priced, "road_diesel", samples=simulation.draw(priced, trials=200))
    result = compared.path("convert_axles")
    shop = line_cost(result, "axle_conversion") + line_cost(result, "box_modification")
    assert shop == pytest.approx(10_200)


@pytest.mark.parametrize("flat_car", ["standard_60_ft", "standard_89_ft"])
def test_over_100_short_tons_is_over_a_standard_flat_car_s_load_limit(museum, flat_car):
    """Common practice, no source: no standard four-axle flat car takes more than about 100 short tons."""
    row = next(row for row in museum.flat_cars if row.flat_car == flat_car)
    assert len(row.axle_positions) == 4
    assert Quantity(100, "short_ton") > row.load_limit


def test_a_load_of_over_100_short_tons_gets_a_special_car(museum):
    heavy = museum.with_changes(
        pieces=[row.model_copy(update={"weight": Quantity(202_000, "lb")}) for row in museum.pieces]
    )
    assert arrange(heavy, "foundry_switcher", "flat_car").flat_car.special


def test_insurance_is_a_per_cent_of_the_agreed_value(museum, samples):
    result = comparison.compare_paths(museum, "coach", samples=samples).path("trailer")
    share = line_cost(result, "transit_insurance") / museum.vehicle("coach").insured_value.m_as("USD")
    row = next(row for row in museum.rates if row.rate == "transit_insurance")
    assert row.low / 100 <= share.min() <= share.max() <= row.high / 100


def test_the_total_is_the_sum_of_lines_risks_holdover_and_loss(museum, samples):
    for result in comparison.compare_paths(museum, "caboose", samples=samples).paths:
        parts = sum(cost.cost_usd for cost in result.trials.lines) + sum(result.trials.risk_cost_usd.values())
        np.testing.assert_allclose(result.trials.cost_usd, parts + result.trials.holdover_usd + result.trials.loss_usd)


def test_wires_that_nobody_lifts_are_no_risk(museum, samples):
    """The caboose passes under them on a trailer and lifts one on the rail-deck trailer, which carries its trucks too."""
    for path, crews in (("trailer", 0), ("roll_on", 1)):
        assert arrange(museum, "caboose", path).amounts["utility_crews"] == crews
        result = comparison.compare_paths(museum, "caboose", samples=samples).path(path)
        assert ("wires_not_lifted" in result.trials.risk_cost_usd) == (crews > 0)


def test_holdover_is_charged_each_calendar_day_up_to_the_forced_scrap_date(museum, samples):
    early = museum.with_changes(deadline=dt.date(2027, 3, 2), forced_scrap=dt.date(2027, 3, 12))
    result = comparison.compare_paths(early, "caboose", samples=samples).path("trailer")
    assert (result.trials.off_site > 11).all()
    np.testing.assert_allclose(result.trials.holdover_usd, 10 * samples.rates["holdover", None])
    assert result.chance_by_deadline == 0


def test_a_deadline_before_the_start_is_an_answer_and_no_error(museum, samples):
    late = museum.with_changes(deadline=dt.date(2027, 2, 1), forced_scrap=dt.date(2027, 2, 2))
    compared = comparison.compare_paths(late, "boxcar", samples=samples)
    assert {result.chance_by_deadline for result in compared.paths if result.off_site} == {0.0}
    assert compared.choice is None
    assert compared.decision.verdict == "too late"


def test_a_unit_of_unknown_weight_is_unknown_on_every_path_that_weighs_it(museum, samples):
    def without(rows):
        return [row.model_copy(update={"weight": None}) if row.vehicle == "caboose" else row for row in rows]

    blind = museum.with_changes(vehicles=without(museum.vehicles), pieces=without(museum.pieces), typical=())
    compared = comparison.compare_paths(blind, "caboose", samples=samples)
    for path in ("trailer", "flat_car", "roll_on"):
        assert compared.path(path).status in ("unknown", "blocked"), path
        assert compared.path(path).cost is None, path
        assert any("nknown" in reason for reason in compared.path(path).reasons), path
    assert compared.choice not in ("trailer", "flat_car", "roll_on")


def test_heavy_road_work_stays_out_of_the_closed_season(museum, samples):
    result = comparison.compare_paths(museum, "consolidation", samples=samples).path("trailer")
    first = simulation.day_number(museum, dt.date(2027, 5, 15))
    assert (result.trials.dates.finish["lift_and_load"] - 1 > first).all()


def test_every_check_a_gate_may_name_can_be_run():
    assert set(RUN) == set(NAMED)


def test_the_same_seed_gives_the_same_bits_and_another_seed_other_ones(museum):
    one, two, other = (simulation.draw(museum, seed, 500) for seed in (1, 1, 2))
    assert all(np.array_equal(one.tasks[key], two.tasks[key]) for key in one.tasks)
    assert not np.array_equal(one.tasks["trailer", "haul"], other.tasks["trailer", "haul"])
