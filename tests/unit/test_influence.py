"""What moves cost and date: signs, sizes and order of the influences."""

import numpy as np
import pytest

from heritagemove import charts
from heritagemove.answers.influence import influences
from heritagemove.compare import comparison
from heritagemove.trials import simulation


@pytest.fixture(scope="module")
def compared(museum):
    return comparison.compare_paths(museum, "foundry_switcher", None, simulation.draw(museum, trials=10_000))


def test_the_largest_swing_comes_first(compared):
    for on in ("cost", "off_site"):
        swings = [abs(influence.swing) for influence in influences(compared, "trailer", on)]
        assert swings == sorted(swings, reverse=True)
        assert len(swings) > 5


def test_what_estimates_are_off_by_moves_cost_and_date_most_before_any_quote(compared):
    for on in ("cost", "off_site"):
        first = influences(compared, "convert_axles", on)[0]
        assert (first.name, first.kind) == ("Estimating error", "estimate") and first.swing > 0


def test_a_risk_s_swing_is_the_mean_cost_it_brings(compared, museum):
    """A risk that acts on no task's price is independent of the rest: its swing is its own mean cost."""
    row = next(r for r in museum.of_path("risks", "trailer") if r.delay_high > 0 and r.cost_likely > 5000)
    found = next(i for i in influences(compared, "trailer", "cost") if i.name == row.title)
    draws = compared.samples.risks["trailer", row.risk]
    alone = draws.cost_usd[draws.happens].mean()
    noise = 4 * np.std(compared.path("trailer").trials.cost_usd) / np.sqrt(draws.happens.sum())
    assert found.swing == pytest.approx(alone, abs=noise)


def test_a_dearer_price_never_makes_a_path_cheaper_unless_it_is_a_credit(compared, museum):
    credits = {line.rate for line in museum.cost_lines if line.factor < 0}
    paid = {row.title for row in museum.rates if row.rate not in credits}
    for influence in influences(compared, "trailer", "cost"):
        if influence.kind == "price" and influence.name in paid and abs(influence.rank_correlation) > 0.1:
            assert influence.swing > 0


def test_only_tasks_that_set_the_date_move_it(compared, museum):
    titles = {row.title for row in museum.of_path("tasks", "trailer") if not compared.path("trailer").critical[row.task]}
    assert not titles & {influence.name for influence in influences(compared, "trailer", "off_site")}


def test_a_path_that_never_leaves_has_no_date_to_move(compared):
    with pytest.raises(ValueError, match="off-site date"):
        influences(compared, "decline", "off_site")


@pytest.mark.parametrize("on", ["cost", "off_site"])
def test_the_tornado_tells_its_numbers_to_those_who_do_not_see_it(compared, on):
    chart = charts.tornado(compared, "trailer", on)
    first = influences(compared, "trailer", on)[0]
    assert first.name in chart.alt
    assert f"{first.rank_correlation:.2f}" in chart.alt
