"""Anything is renamed in all tables at once, whole or not at all; what was renamed by hand in one table is told once."""

import shutil

import pytest

from heritagemove.editing.converting import convert_money
from heritagemove.editing.renaming import kinds_of_id, rename
from heritagemove.editing.writing import typed, write_museum
from heritagemove.files.tables import TableProblems
from heritagemove.museum.museum import load_museum, shipped
from heritagemove.units.units import PlannerError


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(shipped("elsewhere"), tmp_path / "elsewhere")
    return tmp_path / "elsewhere" / "melderbach"


def _nothing(museum):
    return ()


def _rename(folder, *ids):
    return rename(folder, *ids, "planner", tried=_nothing)


@pytest.mark.parametrize("ids", [("vehicle", "goods_van", "coach_12"), ("leg", "regional_road_61", "highway"),
                                 ("path", "own_wheels", "roll"), ("place", "melderbach_museum", "home"),
                                 ("rate", "holdover", "late"), ("crane", "crane_80_t", "small_crane")])  # fmt: skip
def test_an_id_is_renamed_everywhere_and_nothing_else_changes(folder, ids):
    what, old, new = ids
    before = {file.name: file.read_text(encoding="utf-8") for file in folder.glob("*.csv")}
    changed = _rename(folder, *ids)
    museum = load_museum(folder)
    assert museum.scenario.holdover_rate != old
    assert new in str([museum.rates, museum.stages, museum.legs, museum.places, museum.vehicles, museum.cranes])
    for name, text in before.items():
        after = (folder / name).read_text(encoding="utf-8")
        if name == "changes.csv":
            assert after.count("\n") == text.count("\n") + 1 and f"{what} {old} renamed to {new}" in after
        elif name not in changed:
            assert after == text, name
    assert _rename(folder, what, new, old) == changed
    assert {n: t for n, t in before.items() if n != "changes.csv"} == {
        n: (folder / n).read_text(encoding="utf-8") for n in before if n != "changes.csv"
    }


def test_a_task_of_one_path_keeps_its_name_on_the_others(folder):
    museum = load_museum(folder)
    task = next(row.task for row in museum.of_path("tasks", "trailer") if row.task in
                {other.task for other in museum.of_path("tasks", "own_wheels")})  # fmt: skip
    _rename(folder, "task", f"trailer/{task}", "look")
    named = {path: {row.task for row in load_museum(folder).of_path("tasks", path)} for path in ("trailer", "own_wheels")}
    assert "look" in named["trailer"] - named["own_wheels"] and task in named["own_wheels"] - named["trailer"]


def test_what_cannot_be_renamed_is_said_and_nothing_is_written(folder):
    for ids, said in ((("vehicel", "goods_van", "x"), "did you mean vehicle"), (("vehicle", "good_van", "x"), "goods_van"),
                      (("vehicle", "goods_van", "Van 7"), "lower-case letters"),
                      (("vehicle", "goods_van", "tank_engine"), "which there is already")):  # fmt: skip
        with pytest.raises(PlannerError, match=said):
            _rename(folder, *ids)
    assert load_museum(folder).changes == ()
    assert {"vehicle", "leg", "path", "place", "task", "rate", "carrier"} <= set(kinds_of_id())


def test_an_id_changed_by_hand_is_told_once_and_the_command_it_names_ends_it(folder):
    text = (folder / "vehicles.csv").read_text(encoding="utf-8")
    (folder / "vehicles.csv").write_text(text.replace("\ngoods_van,", "\ncoach_12,"), encoding="utf-8")
    with pytest.raises(TableProblems) as caught:
        load_museum(folder)
    (problem,) = caught.value.problems
    assert problem.allowed.endswith("rename FOLDER vehicle goods_van coach_12")
    _rename(folder, "vehicle", "goods_van", "coach_12")
    assert [row.vehicle for row in load_museum(folder).vehicles] == ["tank_engine", "coach_12"]


def test_another_currency_is_told_once_and_all_money_is_converted_at_one_rate(folder):
    before = load_museum(folder)
    toml = (folder / "museum.toml").read_text(encoding="utf-8")
    (folder / "museum.toml").write_text(toml.replace('currency = "EUR"', 'currency = "CHF"'), encoding="utf-8")
    with pytest.raises(TableProblems) as caught:
        load_museum(folder)
    assert len(caught.value.problems) == 1 and "rename FOLDER currency EUR CHF --at" in str(caught.value)
    convert_money(folder, "EUR", "CHF", 0.9, "treasurer", tried=_nothing)
    after = load_museum(folder)
    assert after.scenario.currency == "CHF"
    for one, other in zip(before.rates, after.rates, strict=True):
        assert other.likely == pytest.approx(one.likely * (1 if one.unit == "percent" else 0.9), rel=1e-5)
    assert after.vehicles[0].insured_value.m_as("CHF") == pytest.approx(85_000 * 0.9)
    assert [row.cost_high for row in after.risks] == pytest.approx([row.cost_high * 0.9 for row in before.risks])


def test_a_workbook_is_renamed_too(folder, tmp_path):
    book = write_museum(typed(folder), tmp_path / "elsewhere" / "book.xlsx")
    _rename(book, "vehicle", "goods_van", "coach_12")
    assert [row.vehicle for row in load_museum(book).vehicles] == ["tank_engine", "coach_12"]
