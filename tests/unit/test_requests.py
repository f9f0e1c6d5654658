"""Requests for quotation and bids: a firm can price from the sheets alone, bids are levelled by the rows."""

import dataclasses
import datetime as dt
import re

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.following.bids import bids, table_of_bids
from heritagemove.following.request_tables import worded
from heritagemove.following.requests import request
from heritagemove.following.trades import TRADES, lines_of
from heritagemove.hand_over.hand_outs import render_hand_out, request_sheet, sheets_of, write_hand_out
from heritagemove.museum.drivers import DRIVERS, driver_of
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_date

LINK = '<script>alert(1)</script>=HYPERLINK("http://x.invalid")'


def said(sheet):
    return re.sub(r"<[^>]+>", " ", render_hand_out(sheet)).replace("&#39;", "'")


@pytest.mark.parametrize("trade", TRADES)
def test_every_driver_that_a_trade_is_paid_by_stands_on_its_request(switcher, trade):
    for path in (switcher.choice, switcher.fallback):
        lines = lines_of(switcher, path, trade)
        if not lines:
            continue
        text = said(request_sheet(switcher, trade, path))
        for entry in lines:
            assert worded(trade, entry.line.title) in text
            for key, _ in entry.amounts:
                driver = DRIVERS[driver_of(key)]
                assert driver.name == "jobs" or worded(trade, driver.meaning) in text, (trade, path, driver.name)


@pytest.fixture(scope="module")
def coach(museum, thousand):
    return compare_paths(museum, "coach", samples=thousand)


def test_a_hauler_who_takes_only_the_trucks_home_reads_of_no_body_and_of_the_road_for_them(coach):
    asked = request(coach, "hauler", "donor_trucks")
    load = next(table for table in asked.tables if table.caption.startswith("What is to be moved"))
    assert [row[:2] for row in load.rows] == [("Rail truck (bogie) with its wheels", 2)]
    assert "truck centres" not in load.caption
    text = said(request_sheet(coach, "hauler", "donor_trucks"))
    assert "82 ft" not in text and "High-pole" not in text
    assert "77.7 miles and 31.0 miles of detour only if a bridge asks for it" in text
    assert "not known; the deck is at 1 ft 9.6 in" in text, "a deck is no height of a load"


def test_where_no_row_tells_the_road_the_hauler_proposes_it(coach, museum):
    rows = [row.model_copy(update={"to_place": None}) for row in museum.legs if row.mode == "road"]
    other = dataclasses.replace(coach, museum=museum.with_changes(legs=[r for r in museum.legs if r.mode != "road"] + rows))
    text = said(request_sheet(other, "hauler", "donor_trucks"))
    assert "to be proposed by you, from Drossley Foundry yard to Tamber River museum yard, miles not known" in text


def test_a_hauler_reads_the_trailer_that_is_assumed_and_what_is_over_legal(coach):
    text = said(request_sheet(coach, "hauler", "trailer"))
    for fact in ("9: 16 ft, 4 ft 6 in", "1 of 12,500 lb, 2 of 20,200 lb", "189,000 lb against 80,000 lb",
                 "14 ft 8.4 in against 13 ft 6 in", "14 ft 11.4 in with the air", "5 ft 2.4 in above the rail",
                 "10 ft 1.2 in against 8 ft 6 in", "129 ft", "to be agreed", "high-pole car", "Orrin (state)",
                 "by a crane firm of ours",
                 "31.0 miles of detour in it only if a bridge asks for it (77.7 miles without)"):  # fmt: skip
        assert fact in text, fact
    assert not re.search(r"(?<!rail )\btrucks? (?:as separate|home|centres)", text)


@pytest.mark.parametrize("trade", TRADES)
def test_every_request_says_whom_to_answer_and_by_when(coach, trade):
    for path in (coach.choice, "trailer"):
        if not lines_of(coach, path, trade):
            continue
        asked = request(coach, trade, path)
        who = dict(asked.tables[0].rows)
        assert who["Telephone"] == who["E-mail"] == who["Contact"] == ""
        assert who["Answer by"] == show_date(coach.decide_by - dt.timedelta(7))
        form = [row[0] for row in asked.form.rows]
        assert any(name.startswith("Insurance") for name in form) and "Payment terms, deposit" in form


def test_what_is_done_at_the_front_is_no_window_to_keep(coach):
    asked = request(coach, "hauler", "trailer")
    when = next(table for table in asked.tables if table.caption.startswith("When"))
    assert [row[0] for row in when.rows if "Closed" not in row[0]] == ["Lift, load, tie down", "Haul with escorts"]
    assert "as likely as not" in str(when.headings[1]) and "four times in five" in str(when.headings[2])


def test_a_hauler_reads_load_way_dates_and_what_must_be_in_the_price(switcher):
    text = said(request_sheet(switcher, "hauler", "trailer"))
    for fact in ("156,000 lb, give or take 5 %", "Foundry gate and Mill Street", "17 ft 9.6 in", "108.7 miles",
                 "Steel stringers, 2 lanes", "80,000 lb", "Frost law", "standby and detention", "minimum hire",
                 "escort cars and police", "Drossley Foundry yard to Tamber River museum yard", "Holds until"):  # fmt: skip
        assert fact in text, fact


def test_what_nobody_knows_is_asked_for_by_name(switcher, museum):
    unknown = {"weight": None, "length": None}
    unweighed = [row.model_copy(update=unknown) if row.piece == "truck" else row for row in museum.pieces]
    other = dataclasses.replace(switcher, museum=museum.with_changes(pieces=unweighed))
    asked = request(other, "hauler", "trailer")
    for what in ("Weight of one", "Length"):
        assert f"Rail truck (bogie) with its wheels: {what}" in asked.missing


def test_the_trades_of_another_country_are_found_by_drivers_and_markets(tmp_path):
    museum = load_museum("data/elsewhere/melderbach")
    compared = compare_paths(museum, "tank_engine", samples=draw(museum, trials=200))
    railroad = {entry.line.line for entry in lines_of(compared, "own_wheels", "railroad")}
    assert railroad == {"permit_fee", "towing_crew", "train_path"}
    assert "crane_hours" in {entry.line.line for entry in lines_of(compared, "trailer", "crane_firm")}
    text = said(request_sheet(compared, "hauler", "trailer"))
    assert "km" in text and not re.search(r"\d (?:lb|ft|miles)\b", text)


def test_the_request_runs_nothing_and_fetches_nothing(switcher, museum, tmp_path):
    named = [row.model_copy(update={"name": LINK}) for row in museum.vehicles]
    other = dataclasses.replace(switcher, museum=museum.with_changes(vehicles=named))
    html = render_hand_out(request_sheet(other, "hauler", "trailer"))
    assert "<script" not in html and "default-src 'none'" in html and "&lt;script&gt;" in html
    assert not re.search(r"\b(?:src|href)=", html)
    place = write_hand_out(switcher, request_sheet(switcher, "hauler"), tmp_path / "request.html")
    assert place.read_text(encoding="utf-8").startswith("<!doctype html>")
    with pytest.raises(PlannerError, match=r"ends in \.html"):
        write_hand_out(switcher, request_sheet(switcher, "hauler"), tmp_path / "request.txt")


def test_a_trade_that_is_not_needed_or_not_known_is_told(switcher):
    with pytest.raises(PlannerError, match="found no cost line on freight_wheelsets"):
        request(switcher, "crane_firm", "freight_wheelsets")
    with pytest.raises(PlannerError, match="did you mean hauler"):
        request(switcher, "haulier")
    assert "Request for quotation to a crane firm" in request(switcher, "crane_firm").heading, "the fallback needs one"


def test_bids_for_the_same_work_are_levelled_by_the_museum_s_own_rows(switcher):
    groups = bids(switcher, "freight_wheelsets")
    wheels = next(group for group in groups if any("wheelsets" in bid.quote.lines for bid in group))
    assert [bid.quote.quote for bid in wheels] == ["second_wheelset_dealer", "wheelset_dealer"], "the lower offer is dearer"
    dear = wheels[1]
    ((line, usd),) = dear.left_out
    assert line.line == "parts_home" and dear.levelled_usd == pytest.approx(9_400 + usd)
    own = next(entry for entry in lines_of(switcher, "freight_wheelsets", "hauler") if entry.line.line == "parts_home")
    assert usd == pytest.approx(own.usd)
    row = next(cells for cells in table_of_bids(switcher, "freight_wheelsets").cells() if "Norrick" in cells[1])
    assert f"(cost_lines.csv row {line.row_number})" in row[4] and "freight, adapters" in row[6]


def test_a_bid_that_leaves_out_what_nobody_can_price_has_no_levelled_sum(switcher):
    group = next(group for group in bids(switcher, "freight_wheelsets") if len(group) > 1 and group[-1].left_out)
    unknown = dataclasses.replace(group[-1], left_out=((group[-1].left_out[0][0], None),))
    assert unknown.levelled_usd is None


def test_a_path_has_a_sheet_for_each_trade_it_pays_and_one_for_its_day(switcher):
    assert list(sheets_of(switcher, "trailer")) == ["request_hauler", "request_crane_firm", "day"]
    assert "request_crane_firm" not in sheets_of(switcher, "freight_wheelsets")
    assert sheets_of(switcher, "decline") == {}


def test_a_path_that_nobody_can_price_yet_is_asked_for_all_the_same(museum, thousand):
    unit = [row.model_copy(update={"weight": None}) for row in museum.vehicles if row.vehicle == "foundry_switcher"]
    body = [row.model_copy(update={"weight": None}) for row in museum.pieces if row.vehicle == "foundry_switcher"]
    unknown = museum.with_changes(vehicles=unit, pieces=body, typical=())
    compared = compare_paths(unknown, "foundry_switcher", samples=thousand)
    assert compared.path("trailer").cost is None
    text = said(request_sheet(compared, "hauler", "trailer"))
    for what in ("Body hauled", "without its rail trucks (bogies): Weight of one", "distance the unit is hauled"):
        assert what in text, what
