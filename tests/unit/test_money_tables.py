"""Tables of cost lines, risks and half-widths, and the screens that show them."""

from dataclasses import replace

import numpy as np
import pytest

from heritagemove.answers.money_tables import cost_parts, half_widths, risk_shares
from heritagemove.panels import money_and_risk
from heritagemove.trials.sampling_error import half_width_of_chance
from tests.desks import desk_of


def test_the_cost_lines_risks_and_late_days_add_up_to_the_mean(switcher):
    for path in ("own_wheels", "transporter"):
        result, parts = switcher.path(path), cost_parts(switcher.path(path))
        assert sum(part.mean_usd for part in parts) == pytest.approx(result.cost.mean)
        assert (np.diff([part.mean_usd for part in parts]) <= 0).all()
    assert cost_parts(replace(result, trials=replace(result.trials, unknown=("rate",))))[-1].mean_usd is None
    happening = [risk for risk in risk_shares(switcher, "own_wheels") if risk.share > 0]
    assert len(happening) > 2 and all(risk.share * risk.when_usd <= risk.mean_usd + 1e-6 for risk in happening)


def test_each_reported_number_has_its_half_width(switcher):
    table = {row.result.number: row for row in half_widths(switcher)}
    assert table[8].p80_half_usd > 0 and table[11].chance_half is None
    assert table[2].fallback_half == pytest.approx(half_width_of_chance(table[2].result.chance_with_fallback, 1000))


def test_every_screen_shows_its_numbers(switcher):
    for show in (money_and_risk.show_cost_lines, money_and_risk.show_contingency, money_and_risk.show_joint,
                 money_and_risk.show_correlation, money_and_risk.show_risks, money_and_risk.show_half_widths):  # fmt: skip
        assert "<table" in show(desk_of(switcher)), show.__name__
    assert "so there is nothing" not in money_and_risk.show_contingency(desk_of(switcher), "trailer")
    assert "no chance of both" in money_and_risk.show_joint(desk_of(switcher), "decline")
