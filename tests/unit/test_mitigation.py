"""Mitigations in paired trials: ranked by what each is worth above its price."""

import pytest

from heritagemove.answers.mitigation import mitigations, unpriced
from heritagemove.compare import comparison
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError


@pytest.fixture(scope="module")
def samples(museum):
    return draw(museum, trials=1000)


@pytest.fixture(scope="module")
def consolidation(museum, samples):
    return comparison.compare_paths(museum, "consolidation", None, samples)


@pytest.fixture(scope="module")
def bought(consolidation):
    return mitigations(consolidation, "trailer")


def _buying(museum, risk):
    """The museum whose plan pays for one mitigation of the trailer's."""
    key = "trailer", risk
    rows = [r.model_copy(update={"bought": True}) if (r.path, r.risk) == key else r for r in museum.risks]
    return museum.with_changes(risks=rows)


def test_a_mitigation_s_saving_is_that_of_a_museum_that_bought_it(museum, samples, consolidation, bought):
    entry = next(e for e in bought if e.cost_usd > 0)
    changed = _buying(museum, entry.risk)
    fresh = comparison.compare_paths(changed, "consolidation", None, draw(changed, trials=1000))
    saved = consolidation.path("trailer").branch.cost_usd.mean() - fresh.path("trailer").branch.cost_usd.mean()
    assert entry.net_usd == pytest.approx(saved)
    assert entry.saves_usd == pytest.approx(saved + entry.cost_usd)


def test_a_mitigation_happens_to_fewer_trials_and_never_to_others(museum, samples):
    row = next(r for r in museum.of_path("risks", "trailer") if r.mitigated_probability)
    changed = museum.with_changes(risks=[r.model_copy(update={"bought": True}) if r is row else r for r in museum.risks])
    with_it = draw(changed, previous=samples).risks["trailer", row.risk].happens
    without = samples.risks["trailer", row.risk].happens
    assert with_it.mean() == pytest.approx(row.mitigated_probability, abs=1e-9)
    assert not (with_it & ~without).any()


def test_mitigations_are_ranked_by_what_each_is_worth_above_its_price(bought):
    nets = [entry.net_usd for entry in bought]
    assert len(nets) > 2 and nets == sorted(nets, reverse=True)
    for entry in bought:
        if entry.verdict == "worth more than it costs":
            assert entry.saves_usd > entry.cost_usd
        if entry.verdict == "costs more than it is worth":
            assert entry.saves_usd < entry.cost_usd


def test_a_mitigation_without_a_price_is_listed_and_not_judged(museum, consolidation, bought):
    judged, open_rows = {entry.risk for entry in bought}, {row.risk for row in unpriced(consolidation, "trailer")}
    assert open_rows and not judged & open_rows
    assert judged | open_rows == set(consolidation.path("trailer").trials.risk_cost_usd)


def test_a_mitigation_the_plan_has_bought_is_weighed_against_not_having_it(museum, samples, bought):
    entry = bought[0]
    changed = _buying(museum, entry.risk)
    compared = comparison.compare_paths(changed, "consolidation", None, draw(changed, previous=samples))
    again = next(e for e in mitigations(compared, "trailer") if e.risk == entry.risk)
    assert again.bought and again.net_usd == pytest.approx(entry.net_usd)


def test_a_blocked_path_has_no_mitigations_to_weigh(consolidation):
    with pytest.raises(PlannerError, match="blocked or saves nothing"):
        mitigations(consolidation, "donor_trucks")
