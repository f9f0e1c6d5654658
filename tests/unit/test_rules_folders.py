"""A country or state is a folder of rules in rows: a state's rows stand over its country's, a country's stand alone."""

import shutil

import pytest

from heritagemove.editing.first_steps import checked
from heritagemove.editing.starter import StartingPoint, starter_museum
from heritagemove.files.tables import TableProblems, read_table
from heritagemove.museum.museum import load_museum, shipped
from heritagemove.museum.rows.limits import Limit, asked_of
from heritagemove.museum.rules_folders import USA, is_country, rules_folders

STATES = [name for name, folder in rules_folders().items() if not is_country(folder)]


def test_there_are_the_usa_two_states_and_a_country_in_si_units():
    assert list(rules_folders()) == [USA, "ohio", "texas", "melderbach"] and STATES == ["ohio", "texas"]


@pytest.mark.parametrize("state", STATES)
def test_each_row_of_a_state_has_a_source_a_day_and_an_office_and_covers_weights_sizes_and_escorts(state):
    rows, problems = read_table(rules_folders()[state] / "limits.csv", Limit)
    assert not problems
    named = {row.limit for row in rows}
    assert {"permit_single_axle", "permit_tandem_axle", "permit_tri_axle", "permit_quad_axle", "superload_weight",
            "legal_width", "legal_height", "escort_lead_width", "height_pole_from"} <= named  # fmt: skip
    assert all(row.as_of and row.confirm_with and row.source for row in rows)
    assert any(row.limit.startswith("travel_") for row in rows) and {row.strength for row in rows} >= {"source", "secondary"}


@pytest.mark.parametrize("state", STATES)
def test_a_museum_under_a_states_rules_reads_them_over_its_countrys(state):
    museum = checked(starter_museum(StartingPoint(rules=state, stands="ground")))
    usa = load_museum(shipped("tamber_river"))
    own, _ = read_table(rules_folders()[state] / "limits.csv", Limit)
    for row in own:
        if asked_of(row.limit):
            assert museum.limit(row.limit) == pytest.approx(row.number)
    others = {row.limit for row in usa.limits} - {row.limit for row in own}
    assert all(museum.limit(name) == usa.limit(name) for name in others if asked_of(name))
    assert {(leg.state, leg.permit_table) for leg in museum.legs} == {(state, "limits")}


def test_rules_that_no_folder_holds_are_told_with_those_there_are(tmp_path):
    copied = shutil.copytree(shipped("tamber_river"), tmp_path / "copy")
    toml = copied / "museum.toml"
    toml.write_text('rules = "ohoi"\n' + toml.read_text(encoding="utf-8"), encoding="utf-8")
    said = r"rules: found \"ohoi\"; allowed: usa, ohio, texas, melderbach .did you mean ohio"
    with pytest.raises(TableProblems, match=said):
        load_museum(copied)
