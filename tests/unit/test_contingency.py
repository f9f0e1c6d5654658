"""Contingency against sums and percentiles by hand."""

import numpy as np
import pytest

from heritagemove.answers.contingency import contingency, contingency_curve, point_estimate
from heritagemove.units.units import PlannerError


def test_the_point_estimate_is_the_sum_of_the_likely_values(museum, switcher):
    """Decline by hand: its lines at likely prices of 2026 risen to 2027; no owner's charge, as nothing leaves."""
    rates = {(row.rate, row.equipment): row.likely for row in museum.rates}
    result = switcher.path("decline")
    expected = sum(rates[e.line.rate, None] * float(np.mean(e.quantity)) for e in result.trials.lines)
    assert point_estimate(switcher, "decline") == pytest.approx(expected * 338.2 / 330.0) and expected > 0


def test_contingency_is_what_lies_between_the_likely_sum_and_the_budget(switcher):
    found = contingency(switcher, "trailer")
    cost = switcher.path("trailer").trials.cost_usd
    assert found.budget_usd == pytest.approx(np.percentile(cost, 80)) and found.confidence == 0.8
    assert found.point_usd + found.over_point_usd == pytest.approx(found.budget_usd)
    assert found.over_p50_usd == pytest.approx(found.budget_usd - np.percentile(cost, 50))
    assert found.chance_of_point == np.mean(cost <= found.point_usd) < 0.5


def test_more_confidence_needs_more_contingency(switcher):
    curve = contingency_curve(switcher, "trailer")
    assert (np.diff(curve.over_point_usd) > 0).all() and len(curve) == 19
    assert curve[curve.confidence == 0.5].over_p50_usd.iloc[0] == pytest.approx(0)


@pytest.mark.parametrize("confidence", [0.0, 1.0, 80.0])
def test_a_confidence_out_of_range_is_refused(switcher, confidence):
    with pytest.raises(PlannerError, match="confidence: found"):
        contingency(switcher, "trailer", confidence)
