"""Laws of money: the account adds up each month in every trial, and no rule of a fund pays too much."""

import datetime as dt
from types import SimpleNamespace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.museum.waits import fund_draw
from heritagemove.trials.sampling import Streams
from heritagemove.units.units import Quantity
from heritagemove.whole_site import funding
from heritagemove.whole_site.payments import Months, Payment

TRIALS = 4
days = st.lists(st.integers(0, 700), min_size=TRIALS, max_size=TRIALS).map(np.array)
sums = st.lists(st.floats(0, 50_000), min_size=TRIALS, max_size=TRIALS).map(np.array)
dates = st.dates(dt.date(2027, 3, 1), dt.date(2028, 6, 1))


@st.composite
def made(draw):
    begin, lasting = draw(days), draw(st.one_of(st.none(), st.integers(0, 90)))
    until = None if lasting is None else begin + lasting
    vehicle, phase = draw(st.sampled_from(["coach", "boxcar"])), draw(st.sampled_from(["move", "shop", ""]))
    return Payment(vehicle, "work", phase, "line", begin, until, draw(sums))


@st.composite
def terms(draw):
    repays = draw(st.sampled_from(["no", "after_invoice", "in_kind", "loan"]))
    return {
        "repays": repays,
        "term": draw(st.integers(1, 18)) if repays == "loan" else 0,
        "interest": Quantity(draw(st.floats(0, 0.2)), ""),
        "amount": Quantity(draw(st.floats(0, 200_000)), "USD"),
        "probability": draw(st.floats(0, 1)),
        "match_required": Quantity(draw(st.floats(0, 1)), ""),
        "earliest": draw(dates),
        "latest": None,
        "units": draw(st.sampled_from([(), ("coach",)])),
        "phases": draw(st.sampled_from([(), ("move",)])),
        "lines": (),
        "condition": None,
        "spend_before_award": draw(st.booleans()),
        "reimbursement_lag": draw(st.integers(0, 120)),
    }


def account(museum, rules, payments, **grants):
    row = museum.funds[0]
    funds = [row.model_copy(update=changes | {"fund": f"fund_{n}"}) for n, changes in enumerate(rules)]
    changed = museum.with_changes(funds=funds)
    streams = Streams(11, TRIALS)
    draws = {fund_draw(row.fund): streams.shares(fund_draw(row.fund)) for row in funds}
    fleet = SimpleNamespace(museum=changed, samples=SimpleNamespace(trials=TRIALS, gates=draws))
    return changed, funding.account(fleet, [], payments, **grants)


cases = (st.lists(terms(), min_size=1, max_size=4), st.lists(made(), min_size=1, max_size=6))


@settings(max_examples=30, deadline=None)
@given(*cases)
def test_opening_and_receipts_less_payments_are_closing_each_month(museum, rules, payments):
    _, seen = account(museum, rules, payments)
    opening = np.hstack([np.zeros((TRIALS, 1)), seen.balance[:, :-1]])
    came = np.sum([seen.drawn, *seen.received.values()], axis=0)
    np.testing.assert_allclose(opening + came - seen.paid - seen.repaid, seen.balance, atol=1e-6)
    np.testing.assert_allclose(seen.paid.sum(axis=1), np.sum([p.usd for p in payments], axis=0), rtol=1e-9, atol=1e-6)


@settings(max_examples=30, deadline=None)
@given(*cases)
def test_no_fund_pays_more_than_it_has_nor_twice_for_the_same(museum, rules, payments):
    changed, seen = account(museum, rules, payments, sure=[f"fund_{n}" for n in range(4)])
    spent = np.sum([payment.usd for payment in payments], axis=0)
    tied = np.zeros(TRIALS)
    for row in changed.funds:
        limit = row.amount.m_as("USD")
        if row.repays == "loan":
            continue
        given_usd = seen.received[row.fund].sum(axis=1)
        assert np.all(seen.received[row.fund] >= -1e-6)
        assert np.all(given_usd <= limit + 1e-6)
        if row.repays != "no":
            assert np.all(given_usd * (1 + row.match_required.m_as("")) <= spent + 1e-3)
        if row.repays != "no" or row.units or row.phases:
            tied += given_usd
    assert np.all(tied <= spent + 1e-3)
    loans = sum(row.amount.m_as("USD") for row in changed.funds if row.repays == "loan")
    assert np.all(seen.drawn.sum(axis=1) <= loans + 1e-6)
    assert np.all(seen.repaid.sum(axis=1) >= seen.drawn.sum(axis=1) - 1e-6)


@settings(max_examples=30, deadline=None)
@given(made(), st.integers(0, 200), st.integers(0, 700))
def test_what_is_paid_before_and_from_a_day_on_is_all_that_is_paid(museum, payment, lag, day):
    months = Months.of(museum)
    whole = months.spread(payment, lag).sum(axis=1)
    np.testing.assert_allclose(whole, payment.usd, rtol=1e-9, atol=1e-6)
    if payment.until is not None:
        parts = months.spread(payment, lag, since=day) + months.spread(payment, lag, until=day)
        np.testing.assert_allclose(parts.sum(axis=1), payment.usd, rtol=1e-9, atol=1e-6)
