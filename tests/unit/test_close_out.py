"""Closing the books: estimate against actual, and what the invoices teach the price list."""

import datetime as dt

import numpy as np
import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.following.close_out import close_out, close_out_table, suggestions, suggestions_table
from heritagemove.following.tracking import reforecast
from heritagemove.trials.simulation import draw


@pytest.fixture(scope="module")
def last(museum):
    plan = compare_paths(museum, "foundry_switcher", samples=draw(museum, trials=1000))
    return reforecast(plan, "freight_wheelsets", dt.date(2027, 6, 30))


def test_a_settled_line_shows_its_difference_and_an_open_one_does_not(last):
    rows = {row.title: row for row in close_out(last)}
    lead, motors = rows["Industrial lead ties"], rows["Drop, crate and handle motors"]
    assert lead.final and lead.actual_usd == 7450 and lead.quoted_usd == pytest.approx(6900)
    assert lead.difference_usd == pytest.approx(7450 - lead.mean_usd)
    cost = next(e.cost_usd for e in last.plan.path("freight_wheelsets").trials.lines if e.line.line == "lead_ties")
    assert lead.below == pytest.approx(np.mean(cost < 7450))
    assert not motors.final and motors.difference_usd is None and motors.below is None


def test_the_invoices_of_a_path_are_all_in_the_table(last):
    billed = sum(
        row.amount.m_as("USD")
        for row in last.plan.museum.actuals
        if (row.vehicle, row.path) == ("foundry_switcher", "freight_wheelsets")
    )
    assert close_out_table(close_out(last), "USD").filter(like="invoiced").sum().iloc[0] == pytest.approx(billed, abs=3)


def test_a_price_paid_widens_a_range_and_never_narrows_it(last):
    found = suggestions(last)
    assert found
    for row in found:
        assert row.low <= row.rate.low and row.high >= row.rate.high and row.low <= row.likely <= row.high
        assert row.low <= min(row.prices) and max(row.prices) <= row.high
        assert row.basis == "measured" and "invoice_" in row.source


def test_the_price_paid_is_the_invoice_over_the_amount(last):
    """The row is of the level of 2026, and prices rose by 338.2/330 to 2027, when it was paid."""
    survey = next(row for row in suggestions(last) if row.rate.rate == "hazard_survey")
    paid = 2480 * 330 / 338.2
    assert survey.prices == pytest.approx((paid,)), "one survey"
    assert survey.likely == pytest.approx((survey.rate.likely + paid) / 2)


def test_work_in_kind_and_bills_for_several_lines_suggest_nothing(last):
    rates = set(suggestions_table(suggestions(last))["rate"])
    assert not {"mechanical_survey", "jack_set", "skilled_labor"} & rates
