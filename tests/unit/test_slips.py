"""What loads and still looks like a slip is told by check, at its row, and refuses nothing."""

import csv
import shutil
from pathlib import Path

import pytest

from heritagemove.__main__ import main
from heritagemove.museum.museum import load_museum
from heritagemove.museum.slips import slips

DATA = Path(__file__).resolve().parents[2] / "data"


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    shutil.copytree(DATA / "tamber_river", tmp_path / "museum")
    return tmp_path / "museum"


def put(file, row, column, text):
    with open(file, newline="", encoding="utf-8") as read:
        cells = list(csv.reader(read))
    was = cells[row - 1][cells[0].index(column)]
    cells[row - 1][cells[0].index(column)] = text
    with open(file, "w", newline="", encoding="utf-8") as written:
        csv.writer(written, lineterminator="\n").writerows(cells)
    return was


@pytest.mark.parametrize("place", ["tamber_river", "elsewhere/melderbach"])
def test_the_museums_that_come_with_the_package_have_none(place):
    assert slips(load_museum(DATA / place)) == []


@pytest.mark.parametrize(
    ("file", "row", "column", "meant", "typed"),
    [
        ("rates.csv", 2, "market", "mechanics", "mechancis"),
        ("rates.csv", 2, "market", "mechanics", "Mechanics"),
        ("tasks.csv", 17, "market", "carriers", "carrier"),
        ("legs.csv", 3, "carrier", "drossley_orrin_fork", "drossley_orin_fork"),
    ],
)
def test_a_name_of_one_row_that_is_nearly_anothers_is_told(folder, file, row, column, meant, typed):
    put(folder / file, row, column, typed)
    found = slips(load_museum(folder))
    assert found == [f'{file} row {row}, column {column}: found "{typed}" in this row only; did you mean {meant}?']


def test_numbered_names_are_no_slips(folder):
    put(folder / "rates.csv", 2, "market", "yard_1")
    put(folder / "rates.csv", 4, "market", "yard_2")
    assert slips(load_museum(folder)) == []


@pytest.mark.parametrize(("typed", "meant"), [("yse", "yes"), ("Yes", "yes")])
def test_a_word_of_a_finding_that_is_nearly_another_is_told(folder, typed, meant):
    row = next(row for row in load_museum(folder).survey if row.clue == "receiving_track_ready").row_number
    put(folder / "survey.csv", row, "found", typed)
    said = f'survey.csv row {row}, column found: found "{typed}"; did you mean {meant}?'
    assert slips(load_museum(folder)) == [said]


def test_a_soil_that_is_nearly_one_of_the_limits_is_told(folder):
    put(folder / "places.csv", 2, "soil", "sanb")
    assert slips(load_museum(folder)) == ['places.csv row 2, column soil: found "sanb"; did you mean sand?']
    put(folder / "places.csv", 2, "soil", "mud")
    assert slips(load_museum(folder)) == []


def test_a_word_that_a_gate_allows_and_is_nearly_another_is_told(folder):
    gate = next(row for row in load_museum(folder).gates if "receiving_track_ready" in row.fact).row_number
    put(folder / "gates.csv", gate, "allowed", "ye")
    assert slips(load_museum(folder)) == [f'gates.csv row {gate}, column allowed: found "ye"; did you mean yes?']


def test_prices_of_another_year_are_told_once_a_year(folder):
    for row, year in ((4, "2019"), (9, "2019"), (6, "2024")):
        put(folder / "rates.csv", row, "price_year", year)
        put(folder / "rates.csv", row, "price_index", "")
    said = "museum.toml has 2026, and without a price_index the price stays as it is"
    assert slips(load_museum(folder)) == [
        f"rates.csv row 4 and 1 more, column price_year: found 2019; {said}",
        f"rates.csv row 6, column price_year: found 2024; {said}",
    ]


def test_check_tells_them_behind_its_verdict(folder, capsys):
    put(folder / "rates.csv", 4, "price_year", "2019")
    put(folder / "rates.csv", 4, "price_index", "")
    assert main(["check", str(folder)]) == 0
    out = capsys.readouterr().out.splitlines()
    assert "no problems found" in out[0] and out[1].startswith("  Look at: rates.csv row 4, column price_year: found 2019;")
