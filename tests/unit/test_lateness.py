"""A unit that still stands there on the forced-scrap date is lost at its agreed value."""

import datetime as dt

import numpy as np

from heritagemove.compare import comparison
from heritagemove.trials import simulation
from heritagemove.trials.simulation import NEVER


def test_the_agreed_value_is_lost_in_the_trials_that_pass_the_forced_scrap_date(museum, samples):
    hurried = museum.with_changes(deadline=dt.date(2027, 5, 20), forced_scrap=dt.date(2027, 6, 1))
    result = comparison.compare_paths(hurried, "consolidation", None, samples).path("trailer")
    late = result.trials.off_site > simulation.day_number(hurried, dt.date(2027, 6, 1))
    value = museum.vehicle("consolidation").insured_value.m_as("USD")
    assert 0 < late.mean() < 1
    np.testing.assert_array_equal(result.trials.loss_usd, late * value)
    assert not result.branch.saved[late & ~result.branch.refused].any()


def test_a_path_that_saves_nothing_loses_nothing(museum, samples):
    hurried = museum.with_changes(deadline=dt.date(2027, 3, 2), forced_scrap=dt.date(2027, 3, 3))
    compared = comparison.compare_paths(hurried, "consolidation", None, samples)
    assert not compared.path("cut_up").trials.loss_usd.any()
    assert compared.path("trailer").trials.loss_usd.all()


def test_a_refusal_with_no_way_out_leaves_the_unit_to_the_owner(museum, samples):
    result = comparison.compare_paths(museum, "road_diesel", None, samples).path("freight_wheelsets")
    assert result.branch.fallback is None
    refused = result.branch.refused
    value = museum.vehicle("road_diesel").insured_value.m_as("USD")
    days = (museum.scenario.forced_scrap - museum.scenario.deadline).days
    assert (result.branch.off_site[refused] == NEVER).all()
    assert (result.branch.cost_usd[refused] >= value + days * samples.rates["holdover", None][refused]).all()
    assert not result.branch.saved[refused].any()
