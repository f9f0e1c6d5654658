"""Laws of the engine: linear in drivers, paired draws, order and units do not matter."""

import dataclasses
import datetime as dt

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy import stats

from heritagemove.compare import comparison
from heritagemove.museum.memo import Memo
from heritagemove.trials import simulation
from heritagemove.trials.sampling import Streams, pert_parameters, pert_quantile
from heritagemove.units.units import Quantity


@pytest.fixture(scope="module")
def base(museum, samples):
    """What each unit compares to as tabled: its checks are taken over where a law moves nothing they look at."""
    return {row.vehicle: comparison.compare_paths(museum, row.vehicle, None, samples) for row in museum.vehicles}


few = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def memo():
    return Memo()


@few
@given(hours=st.integers(40, 100), more=st.integers(1, 50))  # under 8 hours a call the least hire is charged
def test_cost_is_linear_in_crane_hours(museum, samples, memo, hours, more):
    costs = [
        comparison.compare_paths(museum, "consolidation", {"crane_hours": h}, samples, memo)
        .path("trailer")
        .trials.cost_usd
        for h in (hours, hours + more, hours + 2 * more)
    ]
    np.testing.assert_allclose(costs[2] - costs[1], costs[1] - costs[0], rtol=1e-9, atol=1e-6)
    assert (costs[1] > costs[0]).all()


@few
@given(axles=st.integers(2, 12))
def test_one_more_axle_never_makes_a_conversion_cheaper_or_quicker(museum, samples, memo, axles):
    fewer, more = (
        comparison.compare_paths(museum, "foundry_switcher", {"axles": n}, samples, memo)
        .path("convert_axles")
        .trials
        for n in (axles, axles + 1)
    )
    assert (more.cost_usd > fewer.cost_usd).all()
    assert (more.off_site >= fewer.off_site).all()


@few
@given(days=st.integers(0, 200), more=st.integers(0, 100))
def test_a_later_deadline_never_lowers_a_chance(museum, samples, memo, days, more):
    scrap = dt.date(2028, 6, 30)
    first = museum.scenario.start + dt.timedelta(days=days)
    chances = []
    for deadline in (first, first + dt.timedelta(days=more)):
        moved = museum.with_changes(deadline=deadline, forced_scrap=scrap)
        compared = comparison.compare_paths(moved, "coach", None, samples, memo)
        chances.append([r.chance_by_deadline or 0 for r in compared.paths])
    assert all(later >= earlier for earlier, later in zip(*chances, strict=True))


def test_a_distance_in_kilometres_gives_the_same_answer(museum, samples):
    mile = comparison.compare_paths(museum, "boxcar", {"haul_distance": "120 mile"}, samples)
    km = comparison.compare_paths(museum, "boxcar", {"haul_distance": "193.12128 km"}, samples)
    for left, right in zip(mile.paths, km.paths, strict=True):
        assert left.cost == right.cost or left.cost.p80 == pytest.approx(right.cost.p80, rel=1e-9)
        assert left.off_site == right.off_site


def test_weights_in_tonnes_give_the_same_answer(museum, samples):
    metric = museum.with_changes(
        vehicles=[row.model_copy(update={"weight": row.weight.to("tonne")}) for row in museum.vehicles]
    )
    for vehicle in ("coach", "road_diesel"):
        left, right = (comparison.compare_paths(m, vehicle, None, samples) for m in (museum, metric))
        for a, b in zip(left.paths, right.paths, strict=True):
            assert a.status == b.status
            assert (a.cost is None) == (b.cost is None)
            assert a.cost is None or a.cost.p80 == pytest.approx(b.cost.p80, rel=1e-9)


def test_a_path_that_is_removed_leaves_every_other_path_s_trials_bit_identical(museum):
    gone = {
        table: [row for row in getattr(museum, table) if row.path != "transporter"]
        for table in ("paths", "tasks", "cost_lines", "risks", "gates", "quantities")
    }
    less = museum.with_changes(**gone)
    before = comparison.compare_paths(museum, "foundry_switcher", None, simulation.draw(museum, trials=300))
    after = comparison.compare_paths(less, "foundry_switcher", None, simulation.draw(less, trials=300))
    for result in after.paths:
        assert np.array_equal(result.trials.cost_usd, before.path(result.path).trials.cost_usd)
        assert np.array_equal(result.trials.closed, before.path(result.path).trials.closed)


def test_the_order_of_rows_does_not_matter(museum):
    turned = museum.with_changes(
        **{table: getattr(museum, table)[::-1] for table in ("tasks", "cost_lines", "rates", "risks", "quantities")}
    )
    left, right = (comparison.compare_paths(m, "caboose", None, simulation.draw(m, trials=300)) for m in (museum, turned))
    for a, b in zip(left.paths, right.paths, strict=True):
        np.testing.assert_allclose(a.trials.cost_usd, b.trials.cost_usd, rtol=1e-9)
        assert a.off_site == b.off_site


def test_a_shared_price_is_one_draw_for_every_path(museum):
    steady = museum.with_changes(price_indexes=[row.model_copy(update={"value": 1.0}) for row in museum.price_indexes])
    compared = comparison.compare_paths(steady, "caboose", None, simulation.draw(steady, trials=500))
    lines = [cost for result in compared.paths for cost in result.trials.lines]
    prices = [cost.before_error_usd for cost in lines if cost.line.rate == "receiving_track"]
    assert len(prices) > 3
    assert all(price == pytest.approx(prices[0], rel=1e-12) for price in prices)


@settings(max_examples=60, deadline=None)
@given(
    low=st.floats(-1e4, 1e4),
    left=st.floats(0, 1e4),
    right=st.floats(0, 1e4),
    share=st.floats(0.001, 0.999),
)
def test_pert_quantiles_equal_scipy_s(low, left, right, share):
    likely, high = low + left, low + left + right
    found = float(pert_quantile(np.array([share]), low, likely, high)[0])
    if high == low:
        assert found == low
        return
    exact = stats.beta(*pert_parameters(low, likely, high), loc=low, scale=high - low).ppf(share)
    assert found == pytest.approx(exact, abs=3e-5 * (high - low) + 1e-9)


@pytest.mark.parametrize(
    ("low", "likely", "high"), [(1, 2, 9), (10, 20, 50), (2, 3.5, 8), (0, 0.5, 1), (5, 5, 9), (1, 4, 4)]
)
def test_the_mean_of_the_draws_is_a_plus_4m_plus_b_over_6(low, likely, high):
    draws = Streams(7, 10_000).values("price", low, likely, high)
    assert draws.mean() == pytest.approx((low + 4 * likely + high) / 6, abs=2e-4 * (high - low))


@pytest.mark.parametrize("strength", [0.2, 0.3, 0.5, 0.8])
def test_the_rank_correlation_of_a_market_is_that_of_the_gaussian_copula(strength):
    """Spearman's rho of a Gaussian copula is 6/pi asin(r/2)."""
    found = [
        stats.spearmanr(
            Streams(seed, 5000).values("one", 10, 20, 50, market="crane", strength=strength),
            Streams(seed, 5000).values("two", 1, 2, 9, market="crane", strength=strength),
        ).statistic
        for seed in range(8)
    ]
    assert np.mean(found) == pytest.approx(6 / np.pi * np.arcsin(strength / 2), abs=0.015)


def test_a_risk_happens_in_its_share_of_trials(museum, samples):
    for row in museum.risks:
        assert samples.risks[row.path, row.risk].happens.mean() == pytest.approx(row.probability, abs=1 / samples.trials)


@few
@given(extra=st.integers(1, 100_000))
def test_a_heavier_unit_is_never_further_from_its_limits(museum, extra):
    """A check that decides on weight never gets better when only the weight grows."""
    order = {"pass": 0, "marginal": 1, "open": 2, "fail": 3}
    row = museum.vehicle("foundry_switcher")
    grown = dataclasses.replace(
        museum,
        vehicles=tuple(
            v.model_copy(update={"weight": v.weight + Quantity(extra, "lb")}) if v.vehicle == row.vehicle else v
            for v in museum.vehicles
        ),
    )
    from heritagemove.checks.gates.screening import screen

    for path in ("own_wheels", "convert_axles"):
        before, after = (screen(m, row.vehicle, path).findings for m in (museum, grown))
        for old, new in zip(before, after, strict=True):
            if old.check and old.check.demand is not None and old.gate.check in ("rail_bridge", "gross_rail_load"):
                assert order[new.status] >= order[old.status]


@settings(few, max_examples=3)
@given(more=st.floats(1.0, 1.3))
def test_a_weight_that_is_set_moves_checks_and_money_alike(museum, samples, more):
    tons = museum.vehicle("foundry_switcher").weight.m_as("short_ton")
    plain, heavy = (
        comparison.compare_paths(museum, "foundry_switcher", {"weight": tons * factor}, samples) for factor in (1, more)
    )
    order = ("clear", "caution", "unknown", "blocked")
    for left, right in zip(plain.paths, heavy.paths, strict=True):
        assert order.index(right.status) >= order.index(left.status)
    np.testing.assert_allclose(
        heavy.path("cut_up").work.amounts["weight"], tons * more * samples.weights["foundry_switcher"]
    )
