"""Money on its dates: identities in every trial, rules of the funds, loans, and doing nothing."""

import dataclasses
import datetime as dt
import itertools
from types import SimpleNamespace

import numpy as np
import numpy_financial
import pytest

from heritagemove.compare.results import Spread
from heritagemove.museum.waits import fund_draw
from heritagemove.trials.sampling import Streams
from heritagemove.units.units import Quantity
from heritagemove.whole_site import best_set as sets
from heritagemove.whole_site import fleet as together
from heritagemove.whole_site import funding, lost_funds
from heritagemove.whole_site.doing_nothing import doing_nothing
from heritagemove.whole_site.payments import Months, Payment, not_paid, payments


@pytest.fixture
def fleet(all_units):
    return all_units


@pytest.fixture
def options(fleet):
    """A set with a crane shared by two, a unit that shares nothing with them, and refusals with fallbacks."""
    return [fleet.option("consolidation", "trailer"), fleet.option("foundry_switcher", "trailer"),
            fleet.option("coach", "donor_trucks"), fleet.option("boxcar", "flat_car")]  # fmt: skip


def with_fund(fleet, **changes):
    """A fleet whose only fund is the grant, changed."""
    row = next(row for row in fleet.museum.funds if row.fund == "county_grant")
    museum = fleet.museum.with_changes(funds=[row.model_copy(update=changes)])
    return dataclasses.replace(fleet, museum=museum)


def paid_on(day, usd, trials, phase="move", vehicle="coach", line="haul"):
    return Payment(vehicle, "work", phase, line, np.full(trials, day), None, np.full(trials, float(usd)))


def usd(amount):
    return Quantity(amount, "USD")


def test_in_each_trial_payments_and_losses_are_the_joint_cost(fleet, options):
    made = payments(fleet.museum, options, fleet.samples)
    total = np.sum([payment.usd for payment in made], axis=0) + not_paid(fleet.museum, options, fleet.samples)
    np.testing.assert_allclose(total, together.cost_together(options), rtol=1e-9, atol=1e-3)


def test_opening_balance_and_receipts_less_payments_are_the_closing_balance_each_month(fleet, options):
    seen = funding.bank_forecast(fleet, options)
    opening = np.hstack([np.zeros((300, 1)), seen.balance[:, :-1]])
    came = np.sum([*seen.received.values(), seen.drawn], axis=0)
    np.testing.assert_allclose(opening + came - seen.paid - seen.repaid, seen.balance, atol=1e-6)
    made = payments(fleet.museum, options, fleet.samples)
    np.testing.assert_allclose(seen.paid.sum(axis=1), np.sum([p.usd for p in made], axis=0), atol=1e-3)


def test_no_fund_gives_more_than_its_amount_and_all_claims_together_no_more_than_is_spent(fleet, options):
    seen = funding.bank_forecast(fleet, options, sure=[row.fund for row in fleet.museum.funds])
    for row in fleet.museum.funds:
        if row.repays != "loan":
            assert np.all(seen.received[row.fund].sum(axis=1) <= row.amount.m_as("USD") + 1e-6)
    tied = [seen.received[name] for name in ("county_grant", "member_appeal", "trust_grant", "track_gang_labor")]
    made = payments(fleet.museum, options, fleet.samples)
    spent = np.sum([np.maximum(p.usd, 0) for p in made], axis=0)
    assert np.all(np.sum(tied, axis=0).sum(axis=1) <= spent + 1e-3)


def test_losing_a_fund_never_brings_money(fleet, options):
    every = [row.fund for row in fleet.museum.funds]
    whole = funding.bank_forecast(fleet, options, sure=every).receipts.sum(axis=1)
    for fund in every:
        rest = funding.bank_forecast(fleet, options, lost=[fund], sure=[f for f in every if f != fund])
        assert np.all(rest.receipts.sum(axis=1) <= whole + 1e-3), fund


def test_a_grant_pays_after_the_award_with_its_match_and_its_lag(fleet):
    terms = {"probability": 1.0, "amount": usd(1000), "earliest": dt.date(2027, 6, 15), "reimbursement_lag": 60}
    rules = {"match_required": Quantity(0.5, ""), "phases": ("move",)}
    grant, trials = with_fund(fleet, **terms, **rules), fleet.samples.trials
    start = fleet.museum.scenario.start
    before, after = ((dt.date(2027, month, 20) - start).days for month in (5, 7))
    made = [paid_on(before, 600, trials), paid_on(after, 600, trials), paid_on(after, 900, trials, phase="shop")]
    seen = funding.account(grant, [], made)
    received = seen.received["county_grant"][0]
    assert received.sum() == pytest.approx(600 / 1.5)
    assert seen.months[int(np.flatnonzero(received)[0])] == dt.date(2027, 9, 1)  # 20 July and 60 days
    allowed = funding.account(with_fund(grant, **terms, **rules, spend_before_award=True), [], made)
    assert allowed.received["county_grant"][0].sum() == pytest.approx(1200 / 1.5)
    capped = funding.account(with_fund(fleet, **terms | {"amount": usd(300)}, **rules), [], made)
    assert capped.received["county_grant"][0].sum() == pytest.approx(300)


def test_a_gift_for_named_units_pays_for_these_alone(fleet):
    terms = {"probability": 1.0, "amount": usd(1000), "repays": "no", "units": ("coach",), "phases": (),
             "match_required": Quantity(0.0, ""), "earliest": dt.date(2027, 5, 1)}  # fmt: skip
    trials = fleet.samples.trials
    made = [paid_on(10, 400, trials), paid_on(10, 5000, trials, vehicle="boxcar")]
    received = funding.account(with_fund(fleet, **terms), [], made).received["county_grant"][0]
    assert received.sum() == pytest.approx(400)
    assert received[2] == pytest.approx(400)  # in May


def test_the_owner_pays_when_the_last_unit_has_left_in_time(fleet, options):
    seen = funding.bank_forecast(fleet, options, sure=["owner_contribution"])
    deadline = (fleet.museum.scenario.deadline - fleet.museum.scenario.start).days
    last = np.maximum.reduce([option.result.branch.off_site for option in options])
    paid = seen.received["owner_contribution"].sum(axis=1)
    assert 0 < np.mean(last <= deadline) < 1
    np.testing.assert_allclose(paid, np.where(last <= deadline, 60_000, 0))


def test_a_loan_is_drawn_when_it_is_short_and_paid_back_with_interest(fleet):
    terms = {"probability": 1.0, "amount": usd(75_000), "repays": "loan", "interest": Quantity(0.06, ""), "term": 12,
             "earliest": dt.date(2027, 4, 15), "match_required": Quantity(0.0, "")}  # fmt: skip
    trials = fleet.samples.trials
    seen = funding.account(with_fund(fleet, **terms), [], [paid_on(100, 50_000, trials)])
    assert seen.drawn[0, 3] == pytest.approx(50_000) and seen.drawn[0].sum() == pytest.approx(50_000)
    due = -numpy_financial.fv(0.06 / 12, 12, 0, 50_000)
    assert seen.repaid[0, 15] == pytest.approx(due)
    assert seen.bridge[0] == pytest.approx(50_000)
    assert not seen.lasts[0] and np.argmax(seen.balance[0] < -0.5) == 15


@pytest.mark.parametrize(("drawn", "interest", "months"), [(75_000, 0.06, 12), (40_000, 0.035, 6), (1, 0.12, 36)])
def test_what_is_due_on_a_loan_is_what_numpy_financial_says(drawn, interest, months):
    expected = -numpy_financial.fv(interest / 12, months, 0, drawn)
    assert funding.loan_due(drawn, interest, months) == pytest.approx(expected, rel=1e-12)


def test_the_chance_that_money_runs_out_is_split_over_the_months(fleet, options):
    seen = funding.bank_forecast(fleet, options)
    assert seen.runs_out.sum() == pytest.approx(1 - seen.chance_it_lasts)
    assert seen.trough(0.8) < seen.trough(0.5)
    assert len(seen.table(0.8)) == len(seen.months)


def test_money_that_is_granted_follows_the_probabilities_of_the_funds(museum):
    ours = [row for row in museum.funds if row.repays in ("no", "after_invoice")]
    exact = {}
    for given in itertools.product((True, False), repeat=len(ours)):
        total = sum(row.amount.m_as("USD") for row, there in zip(ours, given, strict=True) if there)
        chance = np.prod([row.probability if there else 1 - row.probability for row, there in zip(ours, given, strict=True)])
        exact[total] = exact.get(total, 0.0) + chance
    streams = Streams(7, 40_000)
    draws = {fund_draw(row.fund): streams.shares(fund_draw(row.fund)) for row in museum.funds}
    drawn = funding.money_granted(museum, SimpleNamespace(trials=40_000, gates=draws))
    assert drawn.mean() == pytest.approx(sum(total * chance for total, chance in exact.items()), rel=0.01)
    for at_least in (230_000, 305_000, 400_000):
        expected = sum(chance for total, chance in exact.items() if total >= at_least)
        assert np.mean(drawn >= at_least) == pytest.approx(expected, abs=0.01)


def test_a_payment_over_a_task_is_spread_by_its_days_over_the_months(museum):
    months = Months.of(museum)
    over = Payment("coach", "riders", "move", "riders", np.array([20]), np.array([40]), np.array([2000.0]))
    by_month = months.spread(over)[0]  # 21 March to 10 April: 11 days and 9
    assert by_month[:3] == pytest.approx([1100, 900, 0])
    assert months.spread(over, since=30)[0].sum() == pytest.approx(1000)
    assert months.spread(over, lag_days=30)[0][:3] == pytest.approx([0, 1100, 900])  # 20 April to 10 May


def test_a_fund_breaks_the_plan_where_it_holds_with_all_and_not_without_it(fleet):
    rows = lost_funds.without_each(fleet, [fleet.option("caboose", "roll_on"), fleet.option("boxcar", "trailer")])
    confidence = fleet.museum.scenario.simulation.confidence
    assert {row.fund.fund for row in rows if row.breaks} == {
        row.fund.fund for row in rows if row.lasts_with_others < confidence
    }
    assert 0 < sum(row.breaks for row in rows) < len(rows)
    assert next(row for row in rows if row.fund.fund == "acquisition_reserve").lasts_with_others < 0.05


def test_the_money_carries_a_larger_set_no_better_than_it_is_covered(fleet):
    plans = [sets.best_set(fleet, budget) for budget in (100_000, 300_000)]
    rows = lost_funds.carried(fleet, plans)
    assert all(row.lasts <= row.covered + 1e-9 for row in rows)
    assert rows[0].lasts > rows[1].lasts
    assert lost_funds.sure_money(fleet, lost=["county_grant"]) < lost_funds.sure_money(fleet, sure=["county_grant"])


def test_the_owner_is_spared_the_lagging_of_the_steam_engine_and_earns_by_the_diesel(fleet):
    steam, diesel = (doing_nothing(fleet.comparisons[unit]) for unit in ("consolidation", "road_diesel"))
    assert steam.owner_pays.mean > 0 > diesel.owner_pays.mean
    assert sum(steam.parts.values()) == pytest.approx(steam.owner_pays.mean)
    unit = fleet.museum.vehicle("road_diesel")
    tons, rates = unit.weight.m_as("short_ton") * fleet.samples.weights["road_diesel"], fleet.samples.rates
    scrap = 0.96 * tons * rates["scrap_steel", None] + unit.motors * rates["motor_copper", None]
    expected = scrap + 2 * len(fleet.museum.axles_of("road_diesel")) * rates["journal_brass", None]
    # An estimate without a quote is off by a lognormal of 0.54: what makes work dear makes no scrap worth more.
    off = np.exp(0.54 * fleet.samples.errors["cut_up"])
    assert diesel.scrap_value == pytest.approx((expected / off).mean(), rel=1e-6)
    assert isinstance(diesel.museum_pays, Spread)
