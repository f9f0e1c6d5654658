"""What is given, taxed, risen and kept up, beside the museum's own money."""

import html

import numpy as np
import pytest

from heritagemove.answers.money_tables import table_of_costs
from heritagemove.answers.whole_cost import whole_cost
from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page.plan import plan
from heritagemove.hand_over.workbook import comparison_tables
from heritagemove.panels.money_and_risk import show_cost_lines
from tests.desks import desk_of


@pytest.fixture(scope="module")
def caboose(museum, samples):
    return compare_paths(museum, "caboose", None, samples)


def test_the_whole_is_what_the_museum_pays_and_what_is_given(caboose):
    found, trials = whole_cost(caboose, "roll_on"), caboose.path("roll_on").trials
    assert found.donated_usd == pytest.approx(np.mean(trials.donated_usd)) and found.donated_usd > 0
    assert found.whole_usd == pytest.approx(np.mean(trials.cost_usd + trials.donated_usd))
    assert found.gifts[0].given_by in found.in_words() and f"{found.whole_usd:,.0f}" in found.in_words()


def test_tax_is_what_a_museum_without_it_would_not_pay(museum, samples):
    untaxed = museum.with_changes(rates=[row.model_copy(update={"tax": None}) for row in museum.rates])
    costs = [
        np.mean(compare_paths(each, "coach", None, samples).path("trailer").trials.cost_usd) for each in (museum, untaxed)
    ]
    found = whole_cost(compare_paths(museum, "coach", None, samples), "trailer")
    assert found.tax_usd == pytest.approx(costs[0] - costs[1]) and found.tax_usd > 0
    assert [row.tax for row in found.taxes] == ["rental_tax"]


def test_the_rise_of_prices_is_told(caboose):
    found = whole_cost(caboose, "trailer")
    assert 0.02 < found.rise_usd / found.museum_usd < 0.03  # nearly all rows rise from 2026 to 2027, by 2.5 or 3.5 %


def test_upkeep_stands_beside_a_move_that_arrives_and_never_in_it(museum, samples, caboose):
    found = whole_cost(caboose, "trailer")
    own = [row for row in museum.upkeep if row.vehicle in ("any", "caboose")]
    assert list(found.upkeep) == own and found.yearly[1] == sum(row.likely for row in own)
    for path in ("cut_up", "idler_trucks", "decline"):
        assert whole_cost(caboose, path).upkeep == ()
    without = compare_paths(museum.with_changes(upkeep=()), "caboose", None, samples)
    np.testing.assert_array_equal(without.path("trailer").trials.cost_usd, caboose.path("trailer").trials.cost_usd)


def test_an_unknown_cost_is_none(museum, samples):
    found = compare_paths(museum, "road_diesel", None, samples)
    assert found.path("own_wheels").cost is None and whole_cost(found, "own_wheels") is None


def test_screen_page_workbook_and_json_say_the_same(caboose):
    found = whole_cost(caboose, "roll_on")
    page = plan(caboose, caboose.path("roll_on"), "choice")["whole_cost"]
    assert page["in_words"] == found.in_words() and page["whole_usd"] == found.whole_usd
    assert [row["likely"] for row in page["upkeep"]] == [row.likely for row in found.upkeep]
    screen = show_cost_lines(desk_of(caboose), "roll_on")
    assert html.escape(found.gifts[0].given_by) in screen and html.escape(found.upkeep[0].title) in screen
    table = table_of_costs(caboose.path("roll_on"))
    columns = [table.titles().index(name) for name in ("Given, mean [USD]", "Mean [USD]")]
    given, mean = (sum(row[column] for row in table.rows) for column in columns)
    assert given == pytest.approx(found.donated_usd) and mean == pytest.approx(found.museum_usd)
    said = next(path for path in caboose.as_json()["paths"] if path["path"] == "roll_on")
    assert said["donated_usd"] == pytest.approx(found.donated_usd, abs=0.01)


def test_the_workbook_has_a_sheet_of_upkeep_for_a_choice_that_arrives(caboose):
    table = comparison_tables(caboose)["Upkeep"]
    assert caboose.choice and [row[table.titles().index("Likely [USD]")] for row in table.rows] == [
        row.likely for row in whole_cost(caboose, caboose.choice).upkeep
    ]
