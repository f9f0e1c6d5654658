"""The same number is the same on every screen, on the page and in the workbook: one set of draws, one percentile."""

import re
from html import unescape

import pytest

import heritagemove as hm
from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import render
from heritagemove.hand_over.workbook import comparison_tables
from heritagemove.panels.state import Desk
from heritagemove.trials.simulation import date_of
from heritagemove.units.words import show_chance, show_date, show_rounded
from tests.unit.test_show import said

UNITS = ("foundry_switcher", "caboose")
#: Screens that tell the decision of a unit, or a part of it.
SCREENS = ("decision.paths", "schedule.tasks", "money.contingency", "money.joint", "committee.pages", "tracking.forecast")


def plain(markup):
    """Return what a reader reads, the texts of pictures too."""
    alts = " ".join(re.findall(r'alt="([^"]*)"', markup))
    text = re.sub(r"<style.*?</style>|data:[\w/+;=-]*,[\w+/=%.-]*", " ", markup, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", f"{text} {alts}")).split())


@pytest.fixture(scope="module")
def desks(museum, samples):
    two = museum.with_changes(vehicles=[museum.vehicle(unit) for unit in UNITS])
    return {unit: Desk(two, unit, samples) for unit in UNITS}


@pytest.fixture(scope="module", params=UNITS)
def unit(request):
    return request.param


@pytest.fixture(scope="module")
def told(desks, unit):
    """What every place says of one unit, by its name."""
    desk = desks[unit]
    texts = {}
    for name in SCREENS:
        topic, _, screen = name.partition(".")
        texts[name] = plain(said(getattr(getattr(hm.show, topic), screen)(desk).body))
    # The page and the workbook begin with the tables, as the command line does.
    fresh = compare_paths(desk.base, unit, samples=desk.samples)
    texts["page"] = plain(render(fresh))
    texts["workbook"] = " ".join(" ".join(map(str, table.cells())) for table in comparison_tables(fresh).values())
    return texts


def test_the_decision_is_told_with_the_same_money_chance_and_meeting_wherever_it_is_told(desks, unit, told):
    decision = desks[unit].comparison.decision
    likely, aside = (f"{show_rounded(usd)}" for usd in (decision.budget.likely, decision.budget.at_confidence))
    chance, meeting = show_chance(decision.chance_if_decided_then), show_date(decision.decide_by)
    for name in ("decision.paths", "schedule.tasks", "page"):
        for number in (aside, chance, meeting):
            assert number in told[name], (name, number)
    assert aside in told["committee.pages"]
    for name in ("decision.paths", "schedule.tasks", "money.contingency", "page"):
        assert likely in told[name], (name, likely)
    assert aside in told["money.contingency"]


def test_no_place_says_another_sum_to_set_aside(desks, unit, told):
    aside = show_rounded(desks[unit].comparison.decision.budget.at_confidence)
    for name, text in told.items():
        others = set(re.findall(r"[Ss]et aside (\d[\d,]+)", text)) - {aside}
        # The chart's text tells what each path asks; all other sums of that kind are the choice's.
        told_of_paths = {round(desks[unit].comparison.set_aside(path) or 0, -3) for path in desks[unit].comparison.paths}
        assert {float(usd.replace(",", "")) for usd in others} <= told_of_paths, name


def test_percentiles_of_the_choice_are_the_same_to_the_last_dollar_and_day(desks, unit, told):
    comparison = desks[unit].comparison
    choice = comparison.path(comparison.choice)
    p80, both = f"{choice.cost.p80:,.0f}", f"{comparison.decision.budget.at_confidence:,.0f}"
    for name in ("money.contingency", "money.joint"):
        assert p80 in told[name], (name, p80)
    assert both in told["money.joint"]
    gone = show_date(date_of(comparison.museum, comparison.gone_all_in(choice)))
    for name in ("decision.paths", "page"):
        assert gone in told[name], (name, gone)
    gates_met = show_date(choice.off_site.p80)
    for name in ("schedule.tasks", "page"):
        assert gates_met in told[name], (name, gates_met)
    assert p80 in told["workbook"]


def test_what_is_followed_begins_with_the_number_of_the_plan(desks, told):
    desk = desks["foundry_switcher"]
    plan = desk.comparison.path(desk.moves[0].path)
    assert desk.moves[0].result.cost == plan.cost
    assert desk.moves[-1].samples.trials == desk.samples.trials


def test_the_units_together_are_the_units_alone_on_the_same_draws(desks):
    site = hm.whole_site_decision(desks[UNITS[0]].base, samples=desks[UNITS[0]].samples, seconds=2)
    for unit, desk in desks.items():
        alone, together = desk.comparison, site.fleet.comparisons[unit]
        assert together.decision.budget == alone.decision.budget
        assert [path.cost for path in together.paths] == [path.cost for path in alone.paths]
        assert together.sentence == alone.sentence
