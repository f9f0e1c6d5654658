"""The page and its machine-readable twin: every figure on the one stands in the other."""

import datetime as dt
import json
import re

import pytest
from page_text import NUMBER, Text, forms

from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import SCHEMA, content, names_of, render, site_page, write_print, write_report, write_twin
from heritagemove.trials.simulation import draw

MADE_ON = dt.date(2027, 2, 1)


@pytest.fixture(scope="module")
def comparisons(museum):
    few = draw(museum, trials=400)
    return [compare_paths(museum, vehicle, None, few) for vehicle in ("foundry_switcher", "caboose")]


@pytest.mark.parametrize("full", [False, pytest.param(True, marks=pytest.mark.long)])
def test_every_number_on_the_page_is_in_the_twin(comparisons, full):
    said = content(comparisons[:1], MADE_ON, full=full)
    known = set(forms(json.loads(json.dumps(said))))
    # P10, P50, P80, P90 and the numbers of the page's own words
    words = {"10", "50", "80", "90", "4", "3", "256", "100", "22", "0", "1"}
    text = " ".join(Text(render(comparisons[0], MADE_ON, full=full)).parts)
    found = NUMBER.findall(text)
    missing = sorted({number for number in found if number not in known | words})
    assert len(found) > 1000
    assert missing == []


def test_the_twin_says_its_form_and_holds_the_comparison_s_figures(comparisons, tmp_path):
    written = write_twin(comparisons, tmp_path / "page.json", made_on=MADE_ON)
    twin = json.loads(written.read_text(encoding="utf-8"))
    assert twin["schema"] == SCHEMA
    for unit, comparison in zip(twin["units"], comparisons, strict=True):
        assert unit["paths"] == json.loads(json.dumps(comparison.as_json()["paths"]))
        assert unit["sentence"] == comparison.sentence
        assert [plan["path"] for plan in unit["plans"]] == [comparison.choice, comparison.fallback]
        assert len(unit["would_change_it"]) == 3
    assert twin["made"]["digest"] == comparisons[0].base.digest()


def test_the_twin_s_form_is_documented_key_by_key(comparisons):
    from pathlib import Path

    text = (Path(__file__).parents[2] / "data" / "OUTPUT.md").read_text(encoding="utf-8")
    described = text[text.index("## The page's twin") :]
    said = content(comparisons[:1], MADE_ON)
    unit = said["units"][0]
    keys = set(said) | set(unit) | set(unit["plans"][0]) | set(said["made"]) | set(unit["following"])
    assert {key for key in keys if f"`{key}`" not in described} == set()


def test_the_page_of_several_units_names_each_once_and_leads_to_its_own(comparisons):
    files = names_of(comparison.vehicle for comparison in comparisons)
    text = site_page(content(comparisons, MADE_ON), files)
    assert text.count("<h1") == 1
    assert [text.count(f'href="{file}"') for file in files.values()] == [1, 1]
    identifiers = re.findall(r'\bid="([^"]+)"', text)
    assert len(identifiers) == len(set(identifiers))


def test_the_day_of_the_tables_and_that_of_the_page_never_contradict(comparisons):
    books = content(comparisons[:1], dt.date(2027, 7, 1))["made"]["dated"]
    assert books == "The tables stand as of 10 Jun 2027; the page was made on 1 Jul 2027."
    assert "later than the clock" in content(comparisons[:1], MADE_ON)["made"]["dated"]


def test_without_a_browser_the_print_says_so_and_leaves_nothing(comparisons, tmp_path, monkeypatch):
    page = write_report(comparisons[0], tmp_path / "page.html")
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(ValueError, match="found no Chromium"):
        write_print(page, tmp_path / "page.pdf")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["page.html"]


def test_saved_scenarios_stand_beside_the_answer_of_their_own_unit(museum, comparisons, tmp_path):
    from heritagemove.compare.inputs import Inputs
    from heritagemove.compare.scenario_files import save_scenario, saved_answers

    save_scenario(tmp_path, "Crane stands idle", museum, Inputs("caboose", {"crane_hours": 60.0}))
    save_scenario(tmp_path, "A month more", museum, Inputs("foundry_switcher", deadline_moved=30))
    samples = comparisons[0].samples
    kept = {}
    for comparison in comparisons:
        kept |= saved_answers(tmp_path, museum, comparison.vehicle, samples)
    assert set(kept) == {"Crane stands idle", "A month more"}
    said = content(comparisons, MADE_ON, kept)
    names = [[row["name"] for row in unit["scenarios"]] for unit in said["units"]]
    assert names == [["A month more"], ["Crane stands idle"]]
    row = said["units"][1]["scenarios"][0]
    assert row["settings"] == "crane hours: 60"
    assert row["p80_usd"] == kept["Crane stands idle"].decision.budget.at_confidence
    text = render(comparisons[1], MADE_ON, scenarios=kept)
    assert "Scenarios compared" in text and "Crane stands idle" in text and "A month more" not in text
    assert "Scenarios compared" not in render(comparisons[1], MADE_ON)
