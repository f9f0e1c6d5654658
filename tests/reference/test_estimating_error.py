"""Estimating error against its closed form: a lognormal factor of median 1, paths tied by a and b.

With every row certain, no risk and no deadline, the cost of a path is its likely sum times exp(sigma z): its quantiles are
exp(sigma Phi^-1(p)), and the logarithms of two paths correlate by a + b where both go by road, else by a.
"""

import datetime as dt

import numpy as np
import pytest
from scipy import stats

from heritagemove.compare.comparison import compare_paths
from heritagemove.trials import estimating
from heritagemove.trials.durations import working_days
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

SIGMA, TIME, A, B = 0.54, 0.6, 0.3, 0.3


@pytest.fixture(scope="module")
def certain(museum):
    """The caboose with every row at its likely value: no risk, no refusal, no deadline near."""

    def likely(row):
        return row.model_copy(update={"low": row.likely, "high": row.likely})

    return museum.with_changes(
        rates=[likely(row) for row in museum.rates],
        tasks=[likely(row) for row in museum.tasks],
        quantities=[likely(row) for row in museum.quantities],
        risks=[],
        quotes=[],
        vehicles=[row.model_copy(update={"weight_tolerance": Quantity(0.0, "percent")}) for row in museum.vehicles],
        deadline=dt.date(2031, 1, 1),
        forced_scrap=dt.date(2031, 6, 1),
    )


@pytest.fixture(scope="module")
def compared(certain):
    return compare_paths(certain, "caboose", None, draw(certain, trials=10_000))


def test_the_rows_are_those_that_the_closed_form_is_reckoned_with(museum):
    given = {(row.error, row.quoted): row.value for row in museum.estimating_errors}
    assert (given["money", 0], given["time", 0], given["common", 0], given["mode", 0]) == (SIGMA, TIME, A, B)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.8, 0.9, 0.95])
def test_a_path_s_cost_is_its_likely_sum_times_a_lognormal_of_median_one(compared, share):
    for name in ("trailer", "roll_on", "own_wheels"):
        trials = compared.path(name).trials
        by_days = sum(e.cost_usd for e in trials.lines if e.error is None)
        likely = sum(e.before_error_usd[0] for e in trials.lines if e.error is not None)
        found = np.quantile(trials.cost_usd - by_days, share) / likely
        assert found == pytest.approx(np.exp(SIGMA * stats.norm.ppf(share)), rel=0.002), name


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_days_of_work_behind_the_decision_are_lognormal_and_days_before_it_certain(certain, compared, share):
    days = {row.task: row.likely for row in certain.of_path("tasks", "roll_on")}
    found = working_days(certain, "roll_on", compared.path("roll_on").work, compared.samples)
    expected = days["ramp_track"] * np.exp(TIME * stats.norm.ppf(share))
    assert np.quantile(found["ramp_track"], share) == pytest.approx(expected, abs=0.5)
    for task in ("survey", "route_survey", "committee_paper", "committee_decision"):
        assert np.ptp(found[task]) == 0, task


@pytest.mark.parametrize(
    ("one", "other", "correlation"),
    [("trailer", "roll_on", A + B), ("own_wheels", "convert_axles", A + B), ("trailer", "own_wheels", A)],
)
def test_two_paths_correlate_by_what_they_share(museum, one, other, correlation):
    seeds = [draw(museum.with_changes(vehicles=museum.vehicles), seed, 4000).errors for seed in range(3)]
    found = np.mean([np.corrcoef(errors[one], errors[other])[0, 1] for errors in seeds])
    assert found == pytest.approx(correlation, abs=0.02)


@pytest.mark.parametrize(("quoted", "sigma"), [(0, 0.54), (0.3, 0.37), (0.6, 0.20), (0.8, 0.165), (1, 0.13)])
def test_sigma_of_money_runs_between_its_rows(museum, quoted, sigma):
    assert estimating.sigma_of_money(museum, quoted) == pytest.approx(sigma)


@pytest.mark.parametrize(
    ("quoted", "low", "high"),
    [(0, -20, 30), (0.05, -15, 20), (0.2, -10, 10), (0.5, -5, 5), (0.9, -3, 3)],
)
def test_sigma_is_never_less_than_the_class_of_the_estimate_at_its_tightest(museum, quoted, low, high):
    """AACE 18R-97 as two web pages quote it, class 5 to 1; P10 to P90 of a normal distribution are 2.563 sigma apart."""
    none = [row.model_copy(update={"value": 0.0}) for row in museum.estimating_errors]
    found = estimating.sigma_of_money(museum.with_changes(estimating_errors=none), quoted)
    assert found == pytest.approx(np.log((100 + high) / (100 + low)) / 2.563)
