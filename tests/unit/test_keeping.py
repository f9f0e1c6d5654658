"""A museum begun with a colleague's prices and rules, and the price list that finished moves leave."""

import csv
import dataclasses
import shutil
from pathlib import Path

import pytest

from heritagemove import __main__ as command
from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.keeping import kept_from
from heritagemove.editing.starter import StartingPoint, starter_museum
from heritagemove.following.close_out import as_typed, merged_prices, suggestions
from heritagemove.following.tracking import follow
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError

DATA = Path(__file__).resolve().parents[2] / "data"


@pytest.fixture(scope="module")
def last(museum):
    plan = compare_paths(museum, "foundry_switcher", {}, draw(museum, trials=200))
    return follow(plan, "freight_wheelsets", "2027-06-30")[-1]


def test_a_new_museum_keeps_a_colleagues_prices_and_says_from_whom(tmp_path):
    other = Path(shutil.copytree(DATA / "tamber_river", tmp_path / "other"))
    rates = other / "rates.csv"
    rates.write_text(rates.read_text(encoding="utf-8").replace(",120,900,2700,", ",130,950,2800,", 1), encoding="utf-8")
    mine = tmp_path / "mine"
    assert command.main(["new", str(mine), "--from", str(other), "--keep", "prices,rules"]) == 0
    museum, theirs = load_museum(mine), load_museum(other)
    survey = next(row for row in museum.rates if row.rate == "mechanical_survey")
    assert (survey.low, survey.likely, survey.high) == (130, 950, 2800)
    assert survey.source.endswith("(from Tamber River Short Line Museum)")
    assert {row.calendar for row in museum.calendars} >= {row.calendar for row in theirs.calendars}
    assert museum.vehicles[0].vehicle == "our_unit"


@pytest.mark.parametrize(("other", "keep", "said"), [
    (DATA / "tamber_river", {"tasks"}, "allowed: prices, rules"),
    (DATA / "elsewhere" / "melderbach", {"prices"}, "allowed: prices in USD"),
    (Path("list.csv"), {"rules"}, "a price list; allowed: a museum"),
])  # fmt: skip
def test_what_cannot_be_kept_is_refused(other, keep, said):
    with pytest.raises(PlannerError, match=said):
        kept_from(starter_museum(), other, keep)


def test_two_moves_merge_into_one_list_that_a_new_museum_begins_with(last, tmp_path):
    museum = dataclasses.replace(last.plan.museum, scenario=last.plan.museum.scenario.model_copy(update={"name": "Elder"}))
    elder = dataclasses.replace(last, plan=dataclasses.replace(last.plan, museum=museum))
    one, both = suggestions(last), merged_prices([last, elder])
    assert {row.rate.name for row in one} == {row.rate.name for row in both}
    for row in both:
        single = next(each for each in one if each.rate.name == row.rate.name)
        assert len(row.prices) == 2 * len(single.prices) and (row.low, row.high) == (single.low, single.high)
        assert "Elder: " in row.source and "Tamber River Short Line Museum: " in row.source
        assert min(row.rate.likely, single.likely) <= row.likely <= max(*row.prices, row.rate.likely)
    listed = {row["rate"]: row for row in map(as_typed, both)}
    file = tmp_path / "list.csv"
    with file.open("w", newline="", encoding="utf-8") as out:
        writer = csv.DictWriter(out, [*next(iter(listed.values())), "source_ids"], lineterminator="\n")
        writer.writeheader()
        writer.writerows(listed.values())
    mine = tmp_path / "mine"
    assert command.main(["new", str(mine), "--from", str(file)]) == 0
    own = {row.rate: row for row in load_museum(mine).rates}
    shared = set(own) & set(listed)
    assert shared and all(own[rate].source.endswith("(from list)") for rate in shared)


def test_the_command_writes_the_list_of_a_museum_whose_moves_have_begun(tmp_path, capsys):
    place = tmp_path / "prices.csv"
    assert command.main(["prices", str(DATA / "tamber_river"), "--out", str(place)]) == 0
    rows = list(csv.DictReader(place.open(encoding="utf-8")))
    assert rows and all(row["basis"] == "measured" and " of 2027-" in row["source"] for row in rows)


def test_currencies_are_not_mixed(last):
    scenario = last.plan.museum.scenario.model_copy(update={"currency": "EUR"})
    museum = dataclasses.replace(last.plan.museum, scenario=scenario)
    other = dataclasses.replace(last, plan=dataclasses.replace(last.plan, museum=museum))
    with pytest.raises(PlannerError, match="found EUR, USD"):
        merged_prices([last, other])
    assert starter_museum(StartingPoint()).scenario.currency == "USD"
