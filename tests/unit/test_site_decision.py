"""The one decision of a site, which fleet, funding and page read."""

import dataclasses

import pytest

from heritagemove.compare.policy import meetings
from heritagemove.trials import simulation
from heritagemove.units.units import Quantity
from heritagemove.whole_site.funding import bank_forecast
from heritagemove.whole_site.lost_funds import without_each
from heritagemove.whole_site.site_decision import decide_site


def richer(fleet, times):
    funds = [row.model_copy(update={"amount": row.amount * times}) for row in fleet.museum.funds]
    return dataclasses.replace(fleet, museum=fleet.museum.with_changes(funds=funds))


@pytest.fixture(scope="module")
def decided(all_units, best_sets):
    return decide_site(all_units, best_sets)


@pytest.fixture(scope="module")
def rich(all_units, best_sets):
    return decide_site(richer(all_units, 2.5), best_sets)


def test_the_set_that_is_recommended_lasts_in_at_least_the_confidence_of_the_trials(all_units, decided):
    assert decided.plan and decided.lasts >= all_units.confidence
    assert bank_forecast(all_units, decided.plan.options).chance_it_lasts == decided.lasts
    assert f"{decided.plan.points} points" in decided.in_words and decided.plan in decided.plans


def test_the_gap_to_the_next_set_is_named_and_closing_it_carries_that_set(all_units, decided):
    assert decided.next_up.points > decided.plan.points and decided.next_lasts < all_units.confidence
    assert "more in hand would carry it" in decided.in_words and decided.gap_usd > 0
    first = next(row for row in all_units.museum.funds if row.fund == "acquisition_reserve")
    enough = Quantity(first.amount.m_as("USD") + decided.gap_usd, "USD")
    funds = [row.model_copy(update={"amount": enough}) if row is first else row for row in all_units.museum.funds]
    given = dataclasses.replace(all_units, museum=all_units.museum.with_changes(funds=funds))
    assert bank_forecast(given, decided.next_up.options).chance_it_lasts >= all_units.confidence - 0.01


def test_points_of_the_best_set_never_fall_with_money(all_units, best_sets, decided, rich):
    poor = decide_site(richer(all_units, 0.3), best_sets)
    points = [each.plan.points if each.plan else 0 for each in (poor, decided, rich)]
    assert points == sorted(points) and points[0] < points[-1]


def test_each_unit_has_its_meeting_and_they_are_in_order(all_units, rich):
    days = [step.meeting for step in rich.steps if step.meeting]
    assert days == sorted(days) and len(rich.steps) == len(rich.plan.options) > 1
    for step in rich.steps:
        if step.meeting:
            day = simulation.day_number(all_units.museum, step.meeting)
            assert day in meetings(all_units.museum, step.option.path)


def test_what_waits_for_a_fund_is_carried_once_it_is_granted(all_units, best_sets):
    half = richer(all_units, 1.3)
    decided = decide_site(half, best_sets)
    told = [row for row in decided.waits if row.fund]
    taken = {option.vehicle for option in decided.plan.options}
    assert {row.vehicle for row in decided.waits} | taken == {option.vehicle for option in all_units.options}
    for row in told:
        both = bank_forecast(half, [*decided.plan.options, row.option], sure=[row.fund.fund])
        assert both.chance_it_lasts >= half.confidence and f"waits for {row.fund.title}" in decided.in_words


def test_three_units_of_higher_significance_for_one_are_told(all_units, best_sets):
    points = {"consolidation": 1, "caboose": 5, "boxcar": 4}
    options = tuple(dataclasses.replace(o, points=points.get(o.vehicle, 3)) for o in all_units.options)
    told = decide_site(dataclasses.replace(all_units, options=options), best_sets).instead
    assert any(line.startswith("For what 2-8-0 108") and "units of higher significance" in line for line in told)


def test_a_fund_breaks_only_a_plan_that_was_whole(all_units):
    everything = [all_units.alone(vehicle) for vehicle in all_units.comparisons if all_units.alone(vehicle)]
    assert {row.breaks for row in without_each(all_units, everything)} == {None}


def test_without_funds_nothing_is_recommended(all_units, best_sets):
    bare = dataclasses.replace(all_units, museum=all_units.museum.with_changes(funds=[]))
    decided = decide_site(bare, best_sets)
    assert decided.plan is None and "no money yet" in decided.in_words
