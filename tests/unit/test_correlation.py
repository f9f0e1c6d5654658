"""What correlation does to cost and date."""

import math

import numpy as np
import pytest

from heritagemove.answers.correlation import merge_effect, with_and_without, without_correlation
from heritagemove.compare.comparison import compare_paths
from heritagemove.trials import simulation


def test_without_correlation_each_row_keeps_its_values_and_the_total_its_mean(plain, thousand):
    alone = simulation.draw(without_correlation(plain), thousand.seed, thousand.trials)
    key = next(k for k, v in thousand.rates.items() if np.ptp(v) > 0)
    assert np.sort(alone.rates[key]) == pytest.approx(np.sort(thousand.rates[key]))
    switcher = compare_paths(plain, "foundry_switcher", None, simulation.draw(plain, previous=thousand))
    found = with_and_without(switcher, "trailer", alone)
    assert found.alone.cost.mean == pytest.approx(found.together.cost.mean, rel=0.01)
    assert found.missed_usd > 0
    assert found.alone.cost.p90 - found.alone.cost.p10 < found.together.cost.p90 - found.together.cost.p10


def test_the_merge_of_chains_makes_the_mean_date_later_than_the_date_of_the_means(museum, thousand, switcher):
    assert merge_effect(museum, switcher.path("trailer"), thousand) > 0
    assert math.isnan(merge_effect(museum, switcher.path("decline"), thousand))
