"""The day's sheet: roles and no names, stop rules with their source, papers, a spare day, cautions."""

import datetime as dt
import re

import pytest

from heritagemove.following.move_day import move_day
from heritagemove.hand_over.hand_outs import day_sheet, render_hand_out
from heritagemove.units.units import PlannerError


def test_each_stop_rule_says_its_limit_its_source_and_who_confirms_it(switcher):
    stops = {row[0]: row[1:] for row in move_day(switcher, "trailer").stops.rows}
    crane = next(f.check for f in switcher.path("trailer").findings if f.check and f.check.name == "Crane capacity")
    limit, source, who = stops["Weight on the hook"]
    assert f"over {crane.demand.m_as('lb'):,.0f} lb" in limit and f"{crane.capacity.m_as('lb'):,.0f} lb" in limit
    assert source == crane.source and who == "lift director"
    assert "over 10.0 mph" in stops["Wind"][0] and "A paper of the list is missing" in stops
    assert all(all(cells) for cells in stops.values())


def test_on_rails_the_box_temperature_is_agreed_and_left_to_fill(switcher):
    stops = {row[0]: row[1:] for row in move_day(switcher).stops.rows}
    assert "agreed with the carrier: ____" in stops["Temperature of an axle box"][0]
    assert "Weight on the hook" not in stops and "5.0 mph on Drossley industrial lead" in stops["Speed"][0]


def test_the_papers_are_those_that_somebody_must_still_answer_for(switcher):
    found = {row[0] for row in move_day(switcher, "trailer").papers.rows}
    open_ = {f.gate.evidence for f in switcher.path("trailer").findings if f.status == "open" and f.gate.kind == "hard_stop"}
    assert found == open_ and "Permit" in found


def test_roles_stand_there_without_names_and_lines_are_left_to_fill(switcher, museum):
    sheet = move_day(switcher, "trailer")
    roles = [role for row in sheet.roles.rows for role in (row[0], row[2])]
    assert {"museum: person in charge", "lift director", "riggers", "hauler", "police", "utility"} <= set(roles)
    assert all(row[1] == row[3] == "" for row in sheet.roles.rows)


def test_the_spare_day_is_a_working_day_behind_the_day_of_the_move(switcher):
    days = re.findall(r"(\d+ [A-Z][a-z]{2} 2027)", move_day(switcher, "trailer").lead[0])
    moves, spare = (dt.datetime.strptime(day, "%d %b %Y") for day in days)
    assert moves < spare and moves.weekday() < 4 and spare.weekday() < 4, "no load over the road from Friday noon to Monday"


def test_the_cautions_of_what_is_done_that_day_stand_on_the_sheet(switcher, museum):
    text = render_hand_out(day_sheet(switcher, "trailer"))
    cautions = {row.caution: row.text for row in museum.cautions}
    for name in ("scope", "stop_rules", "lifting", "power_lines", "permits_and_securement"):
        assert cautions[name].split(".")[0] in text.replace("&#39;", "'"), name
    assert cautions["rail_movement"] not in text and "<script" not in text


def test_a_path_that_takes_the_unit_nowhere_has_no_day(switcher):
    with pytest.raises(PlannerError, match="takes the unit nowhere"):
        move_day(switcher, "decline")
