"""The paper that a chair reads aloud: it fits a sheet, is plain, and says what the decision says."""

import dataclasses
import datetime as dt
import re
from pathlib import Path

import pytest
from changed_rows import change, only
from reading import grade, words

from heritagemove.compare.comparison import compare_paths
from heritagemove.following.commitments import spent_or_signed
from heritagemove.hand_over.page.following import forecasts_of
from heritagemove.hand_over.page.paper import paper
from heritagemove.hand_over.page.plan import gates_content, plan, refusals_in_words
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.words import show_date, show_rounded

#: Words of the headings on it, which stand in the template.
HEADINGS = 19
UNITS = ("foundry_switcher", "road_diesel", "consolidation", "caboose", "coach", "boxcar", "tank_engine", "goods_van")


def sentences(told):
    """Every sentence on the paper, without its heading and the names of figures."""
    parts = [told.motion, told.meeting, *(row["figure"] for row in told.money)]
    lists = (getattr(told, field.name) for field in dataclasses.fields(told) if field.name != "money")
    parts += [part for value in lists if isinstance(value, list) for part in value]
    return [sentence for part in parts for sentence in re.split(r"(?<=[.!?])\s+", part)]


@pytest.fixture(scope="module")
def museums(museum):
    abroad = load_museum(Path(museum.folder).parent / "elsewhere" / "melderbach")
    return [(each, draw(each, trials=500)) for each in (museum, abroad)]


@pytest.fixture(scope="module")
def of(museums):
    """The comparison and the paper of a unit of either museum."""
    known = {}

    def asked(vehicle):
        if vehicle not in known:
            museum, samples = next(pair for pair in museums if any(row.vehicle == vehicle for row in pair[0].vehicles))
            comparison = compare_paths(museum, vehicle, {}, samples)
            choice = comparison.choice and comparison.path(comparison.choice)
            basis = plan(comparison, choice, "choice")["basis"] if choice else None
            known[vehicle] = comparison, paper(comparison, basis, forecasts_of(comparison))
        return known[vehicle]

    return asked


@pytest.mark.parametrize("vehicle", UNITS)
def test_it_is_read_aloud_in_three_minutes_and_asks_for_nine_years_of_school_at_most(of, vehicle):
    _, told = of(vehicle)
    every = sentences(told)
    count = sum(words(part) for part in (*every, told.heading, *(row["name"] for row in told.money))) + HEADINGS
    assert count <= 350
    assert grade(every) <= 9
    own = re.sub(r"“[^”]*”", "", " ".join(every))  # a question by its title keeps the words of its row
    assert not re.search(r"P\d\d|\bgates?\b|\bhinge|all in\b|percentile", own)
    assert not any("  " in part or ".." in part or " ," in part for part in every)


@pytest.mark.parametrize("vehicle", UNITS)
def test_it_asks_for_the_money_the_deed_and_the_meeting_of_the_decision(of, vehicle):
    comparison, told = of(vehicle)
    found, choice = comparison.decision, comparison.path(comparison.choice)
    assert f"release {show_rounded(found.budget.at_confidence)} {comparison.museum.scenario.currency}" in told.motion
    assert choice.title[1:] in told.motion and f"(path {choice.number})" in told.motion
    assert found.hinge is None or found.hinge.title in told.motion
    assert found.decide_by is None or "Resolved on " in told.meeting or show_date(found.decide_by) in told.meeting
    assert len(told.why) == 3 and 4 <= len(told.actions) <= 5 and 1 <= len(told.wrong) <= 3 and told.rests_on and told.date
    assert bool(found.beyond) == any("more than it can afford" in row for row in told.warnings)
    assert not told.find_first


def test_a_no_turns_where_the_decision_turns(of):
    comparison, told = of("consolidation")
    turned = comparison.path(comparison.decision.hinge.turns_to)
    assert comparison.decision.hinge.title in told.refused[0] and f"(path {turned.number})" in told.refused[0]
    comparison, told = of("goods_van")
    assert told.refused[0].endswith("decline, and record the unit.")


def test_the_books_put_finished_steps_away_and_say_that_the_board_has_resolved(of):
    comparison, told = of("foundry_switcher")
    last = forecasts_of(comparison)[-1]
    assert (told.meeting, told.heading.partition(": ")[2]) == ("Resolved on 16 Mar 2027", "what the board resolved")
    assert any("By the books of " in row for row in told.warnings)
    over = {comparison.museum.titled(row) for row in comparison.museum.of_path("tasks", last.path)
            if row.task in last.known and last.known[row.task].finished}  # fmt: skip
    assert over and not any(step.startswith(tuple(over)) for step in told.actions)
    days = [dt.datetime.strptime(f"{step.rsplit(', ', 1)[1]} 2027", "%d %b. %Y").date() for step in told.actions]
    assert days == sorted(days) and days[0] > last.on


def test_what_is_signed_and_not_yet_billed_counts_once(museum):
    usd, last = spent_or_signed(museum, "foundry_switcher")
    rows = [row for row in museum.actuals if row.vehicle == "foundry_switcher"]
    billed = sum(row.amount.m_as("USD") for row in rows)
    still = {
        row.quote: row.amount.m_as("USD") for row in museum.quotes if row.vehicle == "foundry_switcher" and row.accepted
    }
    for row in rows:
        if row.quote in still:
            still[row.quote] = 0 if row.final else max(still[row.quote] - row.amount.m_as("USD"), 0)
    assert usd == pytest.approx(billed + sum(still.values())) and usd > billed
    assert last >= max(row.invoiced for row in rows)
    assert spent_or_signed(museum, "boxcar") == (0.0, None)


def test_where_nothing_is_in_time_the_board_asks_for_more_time_and_nothing_is_planned(museums):
    museum, samples = museums[0]
    late = museum.with_changes(deadline=museum.scenario.start, forced_scrap=museum.scenario.start)
    told = paper(compare_paths(late, "consolidation", {}, samples), None)
    assert "must know first" in told.heading and "ask the owner for more time" in told.motion
    assert told.why and not told.actions and not told.wrong
    assert [row.title in line for row, line in zip(late.extensions, told.find_first, strict=True)] == [True]


def test_where_every_way_is_blocked_the_board_is_told_by_what(museums):
    museum = only(museums[0][0], "transporter")
    told = paper(compare_paths(museum, "caboose", {}, draw(museum, trials=100)), None)
    assert "decline and record" in told.motion and "ransporter" in told.why[0]


def test_what_is_not_known_yet_is_found_out_first(museums):
    museum = change(only(museums[0][0], "flat_car"), "bridges", {"bridge": "lead_trestle"}, normal=None, maximum=None)
    comparison = compare_paths(museum, "caboose", {}, draw(museum, trials=100))
    told, first = paper(comparison, None), comparison.decision.first
    assert "not decide yet" in told.motion and 1 <= len(told.find_first) == len(first)
    assert all(row.find in line and row.who in line for row, line in zip(first, told.find_first, strict=True))


def test_a_way_that_is_not_sure_enough_says_so_and_asks_for_time(of):
    _, told = of("road_diesel")
    assert any("Ask the owner for more time" in row for row in told.warnings)
    assert "No way is sure enough" in told.why[0]


def test_a_path_without_risks_leaves_the_line_out(museums):
    museum, samples = museums[0]
    bare = museum.with_changes(risks=())
    comparison = compare_paths(bare, "caboose", {}, draw(bare, previous=samples))
    told = paper(comparison, None)
    assert comparison.choice and told.wrong == [] and told.rests_on == []


def test_books_that_follow_another_way_than_the_advice_say_so_on_the_first_sheet(museums, of):
    followed, _ = of("foundry_switcher")
    museum = only(museums[0][0], "trailer")
    told = paper(compare_paths(museum, "foundry_switcher", {}, draw(museum, trials=100)), None, forecasts_of(followed))
    assert "trailer" in told.motion
    assert any(row.startswith("The books follow another way: swap freight") for row in told.warnings)


@pytest.mark.parametrize("vehicle", UNITS)
def test_every_rival_is_dearer_or_cheaper_by_what_is_to_be_set_aside(of, vehicle):
    comparison, told = of(vehicle)
    mine, seen = comparison.path(comparison.choice).cost_with_fallback.p80, 0
    for line in told.why[1:]:
        number = re.search(r"\(path (\d+)\)", line)
        other = next(row for row in comparison.paths if number and str(row.number) == number[1])
        if "not possible" in line or "not known yet" in line:
            continue
        gap, seen = other.cost_with_fallback.p80 - mine, seen + 1
        near = abs(gap) <= 0.03 * max(mine, other.cost_with_fallback.p80)
        word = "about as dear" if near else f"{show_rounded(abs(gap))} USD {'dearer' if gap > 0 else 'cheaper'}"
        assert word.replace("USD", other.currency) in line
    assert seen or vehicle != "coach"


def test_the_money_of_a_refusal_is_in_all_and_what_is_in_hand_stands_beside_what_is_asked(of, museums):
    comparison, told = of("coach")
    figures = {row["name"]: row["figure"] for row in told.money}
    asked = comparison.decision.budget.at_confidence
    assert "on average" in figures["Refused, in all"]
    short = f"{show_rounded(asked - 80_000)} short"  # hoped for: grant, owner and gang; no loan, nothing for other units
    assert figures["In hand"] == f"80,000 USD for all units: {short}, 216,000 hoped for"
    museum, samples = museums[0]
    bare = museum.with_changes(funds=())
    told = paper(compare_paths(bare, "coach", {}, samples), None)
    assert {row["name"]: row["figure"] for row in told.money}["In hand"] == "no fund is listed"


def test_what_lowers_a_risk_at_a_task_is_done_while_that_task_lasts_and_steps_before_the_meeting_say_so(of):
    comparison, told = of("coach")
    survey, sill = (next(row for row in rows if start in row) for rows, start in
                    ((told.actions, "urvey with"), (told.wrong, "open the sill at the survey")))  # fmt: skip
    assert sill.endswith(survey.rsplit(", ", 1)[1])
    assert told.actions[0].startswith("Before the meeting: ")
    days = [dt.datetime.strptime(f"{step.rsplit(', ', 1)[1]} 2027", "%d %b. %Y").date() for step in told.actions]
    later = [step for step, day in zip(told.actions, days, strict=True) if day > comparison.decision.decide_by]
    assert all(step.startswith("After it: ") for step in later[:1])


def test_quotes_cover_the_same_on_the_paper_and_in_the_annex_and_one_that_lapses_first_is_told(of, museums):
    comparison, told = of("coach")
    basis = plan(comparison, comparison.path(comparison.choice), "choice")["basis"]
    cover = told.rests_on[0].partition(" of ")[0]
    assert cover.startswith("Quotes cover ") and f"{cover} of it" in basis["in_words"]
    (quote,) = [row for row in museums[0][0].quotes if (row.vehicle, row.path) == ("coach", comparison.choice)]
    late = not quote.accepted and quote.valid_until < comparison.decision.decide_by
    assert late == ("lapse before the meeting" in told.rests_on[0]) == ("lapse before the meeting" in basis["in_words"])
    for accepted in (None, quote.quoted):
        changed = change(museums[0][0], "quotes", {"quote": quote.quote}, accepted=accepted, valid_until=quote.quoted)
        of_it = dataclasses.replace(comparison, museum=changed)
        taken = plan(of_it, comparison.path(comparison.choice), "choice")["basis"]
        assert taken["quoted"] == basis["quoted"] > 0 and taken["lapsed"] == (0 if accepted else basis["quoted"])
        assert ("lapse before the meeting" in paper(of_it, taken).rests_on[0]) == (not accepted)
    assert "received added up" in basis["in_words"]


@pytest.mark.parametrize("vehicle", ["coach", "consolidation"])
def test_the_annex_lists_each_refusal_that_the_paper_counts(of, vehicle):
    comparison, told = of(vehicle)
    gates = gates_content(comparison, comparison.path(comparison.choice))
    listed = [gate["if_refused"] for kind in ("hard_stops", "cautions") for gate in gates[kind] if gate["if_refused"]]
    fallback = f"path {comparison.path(comparison.fallback).number}"
    others = int(re.search(r"Any of (\d+) others", " ".join(told.refused))[1])
    hinge = comparison.decision.on_refusal[comparison.decision.hinge.gate] == comparison.fallback
    assert listed.count(fallback) == others + hinge
    assert f"{others + hinge} turn to {fallback}" in refusals_in_words(comparison)
    assert len(listed) == len(comparison.decision.on_refusal) - ("as_found" in comparison.decision.on_refusal)
    other = next(row for row in comparison.paths if row.path != comparison.choice and row.findings)
    assert not any(gate["if_refused"] for gate in gates_content(comparison, other)["hard_stops"])
