"""Screens and charts of the units together and of their money: what they say, escaped, with their cautions."""

import dataclasses
import re
import threading
from html import escape

import pytest

from heritagemove.charts import fleet as drawn
from heritagemove.charts import funding as drawn_money
from heritagemove.panels import fleet as screens
from heritagemove.panels import funding as money_screens
from heritagemove.whole_site import best_set as sets
from heritagemove.whole_site import fleet as together
from heritagemove.whole_site.doing_nothing import doing_nothing
from heritagemove.whole_site.funding import bank_forecast
from heritagemove.whole_site.lost_funds import carried, without_each
from heritagemove.whole_site.site_decision import decide_site
from tests.desks import SiteDesk

NASTY = "<b>Caboose</b>"


@pytest.fixture(scope="module")
def fleet(all_units):
    """The demo with a unit whose name is markup."""
    options = (dataclasses.replace(o, name=NASTY) if o.vehicle == "caboose" else o for o in all_units.options)
    return dataclasses.replace(all_units, options=tuple(options))


@pytest.fixture(scope="module")
def plans(fleet, best_sets):
    named = {(o.vehicle, o.path, o.crane): o for o in fleet.options}
    return tuple(
        dataclasses.replace(plan, options=tuple(named[o.vehicle, o.path, o.crane] for o in plan.options))
        for plan in best_sets
    )


@pytest.fixture(scope="module")
def decided(fleet, plans):
    return decide_site(fleet, plans)


def test_the_chart_of_sets_names_the_decision_the_gap_and_each_set(decided):
    chart, points = drawn.money_against_significance(decided, 100_000), decided.plan.points
    assert chart.alt.startswith(f"By its rules and dates the money carries {points} points of significance; for ")
    for plan in decided.plans:
        assert f"{plan.points} points" in chart.alt and f"{plan.at_confidence:,.0f} USD" in chart.alt
    nobody = dataclasses.replace(decided, plan=None)
    assert "carries nobody; for" in drawn.money_against_significance(nobody, 10).alt
    everybody = dataclasses.replace(decided, next_up=None)
    assert "every unit that can be saved" in drawn.money_against_significance(everybody, 1e7).alt


def test_fleet_and_funding_name_the_same_set_and_the_same_points(fleet, decided):
    desk = SiteDesk(decided)
    shown = [screens.show_sets(desk), money_screens.show_carried(desk, "county_grant").shown.value]
    assert all(escape(decided.in_words) in value for value in shown)
    rows = carried(fleet, decided.plans)
    assert max(row.plan.points for row in rows if row.lasts >= fleet.confidence) == decided.plan.points


def test_the_charts_of_sharing_say_what_is_saved_and_whose_path_changes(fleet):
    found = together.parties(fleet, together.largest_party(fleet))
    best = max(found, key=lambda party: party.saved)
    assert f"shared by {len(best.options)} saves {best.saved:,.0f} USD" in drawn.shared_call_out(found).alt
    assert "No call-out" in drawn.shared_call_out(found[:1]).alt
    others = [fleet.option("consolidation", "trailer")]
    rows = together.in_company(fleet, "coach", others)
    assert "path 5" in drawn.company_bars("Coach", rows, others).alt


def test_the_charts_of_money_say_the_trough_the_broken_fund_and_the_owners_sum(fleet, plans):
    plan = sets.within(plans, 100_000)
    seen = bank_forecast(fleet, plan.options)
    assert re.search(r"USD short|never holds less", drawn_money.bank_balance(seen).alt)
    rows = without_each(fleet, plan.options)
    assert "Museum acquisition reserve" in drawn_money.funds_lost(rows, 0.8).alt
    chart = drawn_money.sets_the_money_carries(carried(fleet, plans), carried(fleet, plans, ["county_grant"]), 0.8, "grant")
    assert "the money carries" in chart.alt
    owners = [doing_nothing(comparison) for comparison in fleet.comparisons.values()]
    assert "Scrapping 2-8-0 108 with tender costs the owner" in drawn_money.owners_side(owners).alt


def test_every_screen_escapes_what_the_tables_say(decided):
    desk = SiteDesk(decided, "coach")
    shown = [
        screens.show_sets(desk),
        screens.show_shares(desk),
        screens.show_crane(desk),
        screens.show_company(desk, [("consolidation", "trailer")]),
        money_screens.show_carried(desk).shown.value,
        money_screens.show_bank(desk),
        money_screens.show_lost_funds(desk),
        money_screens.show_doing_nothing(desk),
    ]
    assert all(NASTY not in text and "<table" in text for text in shown)
    assert "&lt;b&gt;Caboose&lt;/b&gt;" in shown[0]


def test_the_shares_on_screen_add_up_to_the_joint_cost(decided):
    plan = decided.plans[-1]
    shares = together.allocate(plan.options)
    assert sum(share.one_more for share in shares) == pytest.approx(plan.cost.mean)
    assert sum(share.equal for share in shares) == pytest.approx(plan.cost.mean)
    assert f"{plan.cost.mean:,.0f}" in screens.show_shares(SiteDesk(decided))


def test_the_chooser_answers_its_marks_and_says_what_stands_in_the_way(decided):
    chooser = screens.choose_units(SiteDesk(decided), 100_000)
    assert chooser.plan.points > 0
    chooser.never.value = ("boxcar",)
    chooser.find.click()
    chooser.wait()
    assert chooser.plan.path_of("boxcar") is None
    chooser.must.value = ("road_diesel",)
    chooser.find.click()
    chooser.wait()
    assert chooser.plan is None and "there is no path for Road diesel 21" in chooser.answer.value
    assert 'role="alert"' in chooser.answer.value


def test_a_search_on_screen_shows_how_far_it_is_and_stop_keeps_the_best_set_found(decided, monkeypatch):
    chooser = screens.choose_units(SiteDesk(decided), 100_000)
    before, begun, pressed, told = chooser.plan, threading.Event(), threading.Event(), []

    def search(*given, progress, **more):
        told.append(progress(1, 4, "is there a set of 9 points?"))
        begun.set()
        pressed.wait(10)
        told.append(progress(2, 4, "is there a set of 8 points?"))
        return dataclasses.replace(before, proved=False, most_points=before.points + 2)

    monkeypatch.setattr(screens, "best_set", search)
    chooser.find.click()
    assert begun.wait(10)
    assert (chooser.bar.value, chooser.bar.max, chooser.bar.layout.visibility) == (1, 4, "visible")
    assert "1 of 4" in chooser.progress.value and chooser.find.disabled and not chooser.stop.disabled
    chooser.stop.click()
    pressed.set()
    chooser.wait()
    assert told == [True, False]
    assert "Stopped: this is the best set found until then." in chooser.answer.value
    assert f"not proved: at most {before.points + 2} points could be had" in chooser.answer.value
    assert chooser.stop.disabled and not chooser.find.disabled and chooser.bar.layout.visibility == "hidden"
