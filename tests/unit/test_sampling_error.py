"""Sampling error against beta quantiles."""

import math

import numpy as np
import pytest
from scipy import stats

from heritagemove.trials.sampling_error import (
    chance_interval,
    half_width_of_chance,
    half_width_of_percentile,
    order_ranks,
)
from heritagemove.units.units import PlannerError


@pytest.mark.parametrize(("hits", "trials"), [(0, 50), (3, 50), (800, 1000), (1000, 1000)])
def test_the_interval_of_a_chance_is_that_of_the_beta_quantiles(hits, trials):
    low, high = chance_interval(hits, trials)
    assert low == pytest.approx(stats.beta.ppf(0.025, hits, trials - hits + 1) if hits else 0.0)
    assert high == pytest.approx(stats.beta.ppf(0.975, hits + 1, trials - hits) if hits < trials else 1.0)
    assert half_width_of_chance(hits / trials, trials) == pytest.approx((high - low) / 2)


@pytest.mark.parametrize(("share", "trials"), [(0.5, 100), (0.8, 1000), (0.8, 10000), (0.95, 2000)])
def test_the_order_ranks_enclose_the_quantile_with_the_stated_confidence_and_no_tighter_pair_would(share, trials):
    """The k-th of n uniform draws is Beta(k, n - k + 1): the chance that it lies below the quantile is exact."""

    def covered(low, high):
        return stats.beta.cdf(share, low, trials - low + 1) - stats.beta.cdf(share, high, trials - high + 1)

    low, high = order_ranks(share, trials)
    assert covered(low, high) >= 0.95 > covered(low + 1, high - 1)


def test_the_half_width_of_a_percentile_covers_the_true_one_as_often_as_it_says():
    """Two hundred samples of a normal: at 95 %, about ten miss the true P80."""
    random, true = np.random.default_rng(5), stats.norm.ppf(0.8)
    low, high = order_ranks(0.8, 400)
    hits = 0
    for _ in range(200):
        values = np.sort(random.standard_normal(400))
        hits += values[low - 1] <= true <= values[high - 1]
        assert half_width_of_percentile(values, 80) == pytest.approx((values[high - 1] - values[low - 1]) / 2)
    assert 182 <= hits <= 199


def test_a_percentile_of_too_few_trials_may_be_anything():
    assert half_width_of_percentile(np.arange(5.0), 95) == math.inf


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: chance_interval(5, 4), "hits: found 5"),
        (lambda: chance_interval(0, 0), "trials: found 0"),
        (lambda: half_width_of_chance(1.2, 10), "chance: found 1.2"),
        (lambda: order_ranks(1.0, 10), "share: found 1"),
        (lambda: order_ranks(0.5, 10, 1.0), "level: found 1"),
    ],
)
def test_half_widths_refuse_what_is_no_chance(call, said):
    with pytest.raises(PlannerError, match=said):
        call()
