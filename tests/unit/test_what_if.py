"""What one more costs: on the same draws, in words, and with what flips."""

import numpy as np
import pytest

from heritagemove.answers.what_if import each_what_if, what_if
from heritagemove.compare import comparison
from heritagemove.compare.comparison import price_path
from heritagemove.trials.simulation import draw


@pytest.fixture(scope="module")
def compared(museum, samples):
    return comparison.compare_paths(museum, "consolidation", None, samples)


@pytest.fixture(scope="module")
def by_rows(plain, plain_samples):
    return comparison.compare_paths(plain, "consolidation", None, plain_samples)


def test_six_idle_crane_hours_cost_six_times_the_hour(by_rows):
    move = what_if(by_rows, "trailer", "crane_hours", 6)
    crane = next(e for e in by_rows.path("trailer").work.equipment if e.startswith("crane"))
    hour = by_rows.samples.rates["crane_hour", crane]
    assert 6 * hour.min() <= move.cost_usd <= 6 * hour.max()
    assert move.days == 0
    assert move.in_words().startswith("6 crane hours more: +")


def test_one_more_and_one_less_undo_each_other_on_a_linear_cost(plain):
    """At a certain price every trial moves alike, and so does P80."""
    certain = {"low": 900.0, "likely": 900.0, "high": 900.0, "price_index": None}
    rates = [row.model_copy(update=certain) if row.rate == "crane_hour" else row for row in plain.rates]
    priced = plain.with_changes(rates=rates)
    linear = comparison.compare_paths(priced, "consolidation", {"crane_hours": 60}, draw(priced, trials=2000))
    more, less = (what_if(linear, "trailer", "crane_hours", step) for step in (1, -1))
    assert more.cost_usd == pytest.approx(-less.cost_usd) == pytest.approx(900)


def test_an_hour_less_than_the_minimum_hire_saves_nothing(compared):
    at_least = comparison.compare_paths(compared.museum, compared.vehicle, {"crane_hours": 10}, compared.samples)
    assert what_if(at_least, "trailer", "crane_hours", -1).cost_usd == 0


def test_a_heavier_engine_that_no_longer_fits_its_trailer_says_so(compared):
    move = what_if(compared, "trailer", "weight", 30)
    assert move.status == ("caution", "blocked")
    assert "from caution to blocked" in move.in_words()


def test_every_driver_a_path_uses_is_moved(compared):
    assert [move.driver for move in each_what_if(compared, "trailer")] == ["crane_hours", "haul_distance", "weight"]
    assert "axles" in [move.driver for move in each_what_if(compared, "convert_axles")]


def test_the_museum_s_own_settings_go_along(museum, samples):
    set_ = comparison.compare_paths(museum, "consolidation", {"haul_distance": "150 mile", "crane_hours": 50}, samples)
    move = what_if(set_, "trailer", "haul_distance", 10)
    assert move.amount == pytest.approx(150)
    far = comparison.compare_paths(museum, "consolidation", {"haul_distance": "160 mile", "crane_hours": 50}, samples)
    assert move.cost_usd == pytest.approx(far.path("trailer").cost.p80 - set_.path("trailer").cost.p80)


def test_an_unknown_amount_is_refused_in_words(museum, samples):
    blind = museum.with_changes(vehicles=[v.model_copy(update={"weight": None}) for v in museum.vehicles])
    whole = comparison.compare_paths(blind, "boxcar", None, samples)
    with pytest.raises(ValueError, match="weight: found unknown"):
        what_if(whole, "cut_up", "weight")
    assert np.isfinite(what_if(whole, "trailer", "crane_hours").cost_usd)


@pytest.mark.parametrize(("places", "strips", "seals"), [(1, 0, 1), (1, 1, 0), (3, 1, 2), (1, 3, 0)])
def test_asbestos_that_is_stripped_is_not_sealed_as_well(museum, places, strips, seals):
    few = draw(museum, trials=50)
    settings = {"asbestos_places": float(places), "asbestos_strips": float(strips)}
    for path in ("trailer", "cut_up"):
        amounts = price_path(museum, "coach", path, settings, few).work.amounts
        assert (amounts["asbestos_seals"], amounts["asbestos_strips"]) == (seals, strips)


def test_stripping_in_a_what_if_takes_the_price_of_sealing_away(museum):
    """The caboose has asbestos in one place, so that nothing is left to seal."""
    few = draw(museum, trials=50)
    sealed, stripped = (price_path(museum, "caboose", "trailer", {"asbestos_strips": n}, few) for n in (0.0, 1.0))
    cost = {line.line.line: line for line in stripped.trials.lines}
    assert {line.line.line for line in sealed.trials.lines} >= {"seal_asbestos"}
    assert "seal_asbestos" not in cost or not cost["seal_asbestos"].cost_usd.any()
