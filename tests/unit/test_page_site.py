"""The page of the whole site: what to afford, what is shared, what the bank needs; and where a unit's books stand."""

import datetime as dt
import json
from pathlib import Path

import pytest
from page_text import NUMBER, Text, forms

from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import content, render, site_of, write_report
from heritagemove.hand_over.page.following import forecasts_of
from heritagemove.trials.simulation import draw

pytestmark = pytest.mark.long  # the search for the sets takes seconds
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
def page(comparisons, site):
    return render(comparisons, MADE_ON, site=site)


def test_every_number_of_the_site_s_page_is_in_its_twin(said, page):
    found = NUMBER.findall(" ".join(Text(page).parts))
    missing = sorted(set(found) - set(forms(said)) - {"10", "50", "80", "90", "4", "3", "256", "100"})
    assert len(found) > 5000 and missing == []


@pytest.mark.parametrize(
    ("heading", "table"),
    [
        ("All together: which units can we afford?", "The cheapest set for each number of significance points"),
        ("If Tamber County heritage grant is lost", "Sets of units against the money"),
        ("How much must be in the bank, and when?", "The account month by month"),
        ("What a shared crane saves", "Units that share one crane call-out"),
        ("Where it stands: Swap freight", "Forecast after the quotes, invoices and tasks known on each date"),
    ],
)
def test_each_question_on_the_whole_site_has_a_heading_a_chart_and_a_table(page, heading, table):
    after = page[page.index(f">{heading}") :]
    assert after.index("<figure") < after.index(f"<caption>{table}") or after.index("<figure") < 2_000


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
    text = render(comparisons[:2], MADE_ON)
    assert "All together" not in text and 'href="#together"' not in text


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


def test_the_function_finds_the_units_together_by_itself_and_takes_what_was_found(comparisons, site, tmp_path, monkeypatch):
    seen = []
    room = "heritagemove.hand_over.page.files"
    monkeypatch.setattr(f"{room}.site_of", lambda several, progress=None: seen.append("found") or site)
    monkeypatch.setattr(f"{room}.with_pictures", lambda *given: seen.append(given[-1] is site) or "page")
    write_report(comparisons, tmp_path / "found.html")
    write_report(comparisons, tmp_path / "given.html", site=site)
    write_report(comparisons[0], tmp_path / "one.html", site=site)
    assert seen == ["found", True, True, True]
