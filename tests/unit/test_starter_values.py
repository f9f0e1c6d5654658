"""What is still the starter's: counted, listed by the money that hangs on it, said in one sentence, and quoted away."""

import pytest

from heritagemove.answers.starter_values import counts_in_words, starter_sentence, starter_table, starter_values
from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.writing import typed, write_museum
from heritagemove.museum.museum import load_museum
from heritagemove.panels.starter_values import StarterValues, starter_banner
from heritagemove.panels.state import Desk

PRICED = ("body_haul", "rail_deck_mile", "crane_call", "crane_hour", "route_survey", "scrap_steel")


def flagged(museum, rates=PRICED):
    return museum.with_rows(
        rates=tuple(row.model_copy(update={"starter": row.rate in rates}) for row in museum.rates),
        risks=tuple(row.model_copy(update={"starter": row.path == "roll_on"}) for row in museum.risks),
    )


@pytest.fixture(scope="module")
def share(museum, samples):
    return starter_values(compare_paths(flagged(museum), "caboose", {}, samples))


def test_the_dearest_stands_first_and_the_sentence_names_three_prices(share, museum):
    money = [value.money for value in share.values]
    assert money == sorted(money, reverse=True) and money[0] > 0
    count = sum(row.rate in PRICED for row in museum.rates)
    said = f"{count} of {len(museum.rates)} prices are the starter's: nobody was asked; these three"
    assert share.sentence.startswith(said)
    assert share.sentence.count(";") == 3 and "get quotes: " in share.sentence
    table = starter_table(share)
    assert len(table) == len(share.values) and {"rates.csv", "risks.csv"} == {value.table for value in share.values}


def test_what_hangs_on_a_price_is_what_its_lines_cost(share, museum, samples):
    result = compare_paths(museum, "caboose", {}, samples).path("roll_on")
    haul = next(entry for entry in result.trials.lines if entry.line.rate == "rail_deck_mile")
    value = next(value for value in share.values if value.title == "Rail-deck trailer, loaded mile")
    assert value.money == pytest.approx(haul.cost_usd.mean()) and value.paths == (result.number,)


def test_the_demo_says_nothing_of_a_starter(museum, samples):
    assert starter_sentence(compare_paths(museum, "caboose", {}, samples)) == counts_in_words(museum) == ""


def test_counts_shrink_table_by_table(museum):
    said = f"Still the starter's: 1 of {len(museum.rates)} prices, "
    assert counts_in_words(flagged(museum, ("holdover",))).startswith(said)


def test_a_quote_typed_on_screen_is_written_and_the_banner_shrinks(tmp_path, samples):
    demo = typed("data/tamber_river")
    heading, *lines = demo.tables["rates.csv"]
    rates = [[*heading, "starter"], *([*line, "yes" if line[0] == "rail_deck_mile" else ""] for line in lines)]
    place = write_museum(type(demo)(demo.scenario, demo.tables | {"rates.csv": rates}, demo.toml), tmp_path / "ours")
    museum = load_museum(place)
    desk = Desk(museum, "caboose", samples)
    assert "1 of" in starter_banner(desk) and "Rail-deck trailer" in starter_banner(desk)
    screen = StarterValues(desk)
    screen.write.click()
    assert 'role="alert"' in screen.alert.value and load_museum(place).rates == museum.rates
    for name, text in (("likely", "9"), ("source", "hauler's letter of 3 May"), ("who", "planner")):
        screen.cells[name].value = text
    screen.write.click()
    row = next(row for row in load_museum(place).rates if row.rate == "rail_deck_mile")
    assert (row.low, row.high, row.basis, row.starter) == (9, 9, "quote", False)
    assert starter_banner(desk) == ""
