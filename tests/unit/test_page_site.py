"""The page of the whole site: what to afford, what is shared, what the bank needs; and where a unit's books stand."""

import datetime as dt
import json
from pathlib import Path

import pytest
from page_text import NUMBER, Text, forms
from reading import grade, words

from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import content, names_of, render, site_of, site_page
from heritagemove.hand_over.page.following import forecasts_of
from heritagemove.hand_over.page.plain import sentences
from heritagemove.trials.simulation import draw
from heritagemove.units.words import show_rounded

MADE_ON = dt.date(2027, 2, 1)
ON = dt.date(2027, 6, 10)


@pytest.fixture(scope="module")
def comparisons(museum):
    few = draw(museum, trials=300)
    return [compare_paths(museum, row.vehicle, None, few) for row in museum.vehicles]


@pytest.fixture(scope="module")
def site(comparisons):
    return site_of(comparisons)


@pytest.fixture(scope="module")
def said(comparisons, site):
    return json.loads(json.dumps(content(comparisons, MADE_ON, site=site)))


@pytest.fixture(scope="module")
def page(comparisons, said, site):
    return site_page(said, names_of(comparison.vehicle for comparison in comparisons), site)


def test_every_number_of_the_site_s_page_is_in_its_twin(said, page):
    found = NUMBER.findall(" ".join(Text(page).parts))
    missing = sorted(set(found) - set(forms(said)) - {"10", "50", "80", "90", "4", "3", "256", "100", "22"})
    assert len(found) > 500 and missing == []


def test_the_paper_of_the_site_is_read_aloud_in_three_minutes_and_is_plain(said, page):
    opening = page[page.index('<section id="paper"') :].partition("</section>")[0]
    assert 150 < words(" ".join(Text(opening).parts)) <= 350
    told = said["together"]["paper"]
    every = [
        told["motion"],
        *(row for part in told.values() if isinstance(part, list) for row in part if isinstance(row, str)),
    ]
    assert grade(sentences(" ".join(every))) <= 9
    assert "P80" not in opening and "path" in told["motion"]


def test_the_paper_of_the_site_asks_for_the_set_that_is_decided_on_and_its_money(said, site):
    told, plan = said["together"]["paper"], site.decided.plan
    assert all(option.name in told["motion"] for option in plan.options)
    assert show_rounded(plan.at_confidence) in told["motion"]
    assert all(row.name in " ".join(told["refused"]) for row in site.decided.waits[:3])
    assert len(told["date"]) == len(plan.options) and 1 <= len(told["actions"]) <= 5


@pytest.mark.parametrize(
    ("heading", "table"),
    [
        ("Which units can we afford?", "The cheapest set of units for each number of points"),
        ("If Tamber County heritage grant is lost", "Sets of units against the money"),
        ("How much must be in the bank, and when?", "The account month by month"),
        ("What a shared crane saves", "Units that share one crane"),
        ("If the museum does nothing", "If the museum does nothing: what the owner pays"),
    ],
)
def test_each_question_on_the_whole_site_has_a_part_with_its_table(page, heading, table):
    assert table in page[page.index(f"<h3>{heading}") :].partition("</details>")[0]


def test_a_shared_crane_saves_the_difference_and_the_set_decided_on_is_the_largest_whose_money_lasts(said):
    together = said["together"]
    for row in together["crane"]:
        assert row["saved_usd"] == pytest.approx(row["apart_usd"] - row["together_usd"])
    lasting = [row["points"] for row in together["lost"]["sets"] if row["lasts"] >= together["confidence"]]
    (now,) = [row for row in together["sets"] if row["now"]]
    assert now["points"] == max(lasting) == together["decision"]["points"]
    assert {row["name"] for row in together["decision"]["order"]} == {one["name"] for one in now["units"]}
    points = sorted(row["points"] for row in together["sets"])
    assert points == [row["points"] for row in together["sets"]] and len(set(points)) == len(points)


def test_a_lost_grant_never_leaves_more_and_a_balance_kept_more_surely_is_never_higher(said):
    lost, bank = said["together"]["lost"], said["together"]["bank"]
    assert lost["sure_usd"] <= said["together"]["sure_usd"] <= lost["sure_if_won_usd"]
    assert all(row["lasts_without"] <= row["lasts"] for row in lost["sets"])
    assert all(row["careful_usd"] <= row["p50_usd"] + 0.01 for row in bank["months"])
    assert bank["trough_usd"] <= bank["trough_p50_usd"] and sum(row["runs_out"] for row in bank["months"]) <= 1.0001


def test_the_answer_in_words_names_what_the_rules_and_dates_carry_beside_the_amounts(said):
    words = said["together"]["in_words"]
    assert "by their amounts alone" in words and "By the rules and dates of the funds" in words


def test_part_of_a_site_or_a_driver_that_is_set_has_no_joint_answer(museum, comparisons):
    assert site_of(comparisons[:2]) is None and site_of(comparisons[:1]) is None
    few = comparisons[0].samples
    moved = [compare_paths(museum, row.vehicle, {"crane_hours": 30}, few) for row in museum.vehicles]
    assert site_of(moved) is None
    text = site_page(content(comparisons[:2], MADE_ON), names_of(c.vehicle for c in comparisons[:2]))
    assert "afford" not in text and 'id="paper"' not in text and 'href="foundry_switcher.html"' in text


def test_every_key_of_the_joint_answer_is_documented(said):
    text = (Path(__file__).parents[2] / "data" / "OUTPUT.md").read_text(encoding="utf-8")
    described = text[text.index("The units together (`together`)") :]
    assert {key for key in said["together"] if f"`{key}`" not in described} == set()


def test_the_books_of_the_unit_that_moves_are_on_its_page_and_no_other_s(said):
    kept = {unit["vehicle"]: unit["following"] for unit in said["units"] if unit["following"]}
    assert list(kept) == ["foundry_switcher"]
    follow = kept["foundry_switcher"]
    assert (follow["path"], follow["on"]) == ("freight_wheelsets", ON.isoformat())
    fixed = [row["fixed"] for row in follow["dates"]]
    assert fixed[0] == 0 and fixed[-1] > 0.3
    spread = [row["p90_usd"] - row["p10_usd"] for row in follow["dates"]]
    assert spread[-1] < 0.7 * spread[0]
    assert "The answer that decides" in follow["trigger"] and follow["soft"] and follow["papers"]


def test_a_museum_that_has_not_begun_says_nothing_of_books(museum, comparisons):
    plain = museum.with_changes(progress=())
    comparison = compare_paths(plain, "foundry_switcher", None, comparisons[0].samples)
    assert forecasts_of(comparison) == ()
    assert "Where it stands" not in render(comparison, MADE_ON)
