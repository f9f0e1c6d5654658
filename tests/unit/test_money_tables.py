"""Tables of cost lines, risks and half-widths, and the screens that show them."""

import math

import numpy as np
import pytest

from heritagemove.answers.money_tables import cost_lines, half_widths, risks
from heritagemove.panels import money_and_risk
from heritagemove.trials.sampling_error import (
    half_width_of_chance,
)


def test_the_cost_lines_risks_and_late_days_add_up_to_the_mean(switcher):
    result = switcher.path("own_wheels")
    lines, register = cost_lines(result), risks(switcher, "own_wheels")
    lateness = result.trials.holdover_usd.mean() + result.trials.loss_usd.mean()
    assert lines.mean_usd.sum() + register.mean_usd.sum() + lateness == pytest.approx(result.cost.mean)
    assert (np.diff(lines.mean_usd) <= 0).all()
    happening = register[register.share > 0]
    assert len(happening) > 2 and (happening.share * happening.when_usd <= happening.mean_usd + 1e-6).all()


def test_each_reported_number_has_its_half_width(switcher):
    table = half_widths(switcher).set_index("number")
    assert table.loc[8, "p80_half_usd"] > 0 and math.isnan(table.loc[11, "chance"])
    assert table.loc[2, "fallback_half"] == pytest.approx(half_width_of_chance(table.loc[2, "chance_with_fallback"], 1000))


def test_every_screen_shows_its_numbers_and_the_cautions_on_money(switcher):
    for show in (money_and_risk.show_cost_lines, money_and_risk.show_contingency, money_and_risk.show_joint,
                 money_and_risk.show_correlation, money_and_risk.show_risks, money_and_risk.show_half_widths):  # fmt: skip
        page = show(switcher).value
        assert "<table" in page and "Planning aid only" in page and "may not value a gift" in page, show.__name__
    assert "so there is nothing" not in money_and_risk.show_contingency(switcher, "trailer").value
    assert "no chance of both" in money_and_risk.show_joint(switcher, "decline").value
