"""What an estimate rests on: every dollar has a basis, and the class is set by what is defined."""

import dataclasses

import numpy as np
import pytest

from heritagemove.answers.basis_shares import basis_shares, grade, weakest
from heritagemove.compare import comparison
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError


@pytest.fixture(scope="module")
def samples(museum):
    return draw(museum, trials=1000)


@pytest.fixture(scope="module")
def consolidation(museum, samples):
    return comparison.compare_paths(museum, "consolidation", None, samples)


@pytest.fixture(scope="module")
def shares(consolidation):
    return basis_shares(consolidation, "trailer")


def test_the_parts_add_up_to_the_mean_cost_of_the_path(consolidation, shares):
    assert sum(part.mean_usd for part in shares.parts) == pytest.approx(consolidation.path("trailer").cost.mean)
    for of in ("price", "quantity", "weaker"):
        assert sum(shares.money(of).values()) == pytest.approx(sum(abs(part.mean_usd) for part in shares.parts))


def test_a_price_that_becomes_a_quote_moves_its_money_from_judgment_to_quote(plain):
    """At one price level, and as the rows say it: a quote stands as it was given, and no error is left on it."""
    plain = plain.with_changes(rates=[row.model_copy(update={"price_index": None}) for row in plain.rates])
    drawn = draw(plain, trials=1000)
    shares = basis_shares(comparison.compare_paths(plain, "consolidation", None, drawn), "trailer")
    crane = {line.rate for line in plain.of_path("cost_lines", "trailer") if line.line == "crane_calls"}
    rates = [r.model_copy(update={"basis": "quote"}) if r.rate in crane else r for r in plain.rates]
    changed = plain.with_changes(rates=rates)
    after = basis_shares(comparison.compare_paths(changed, "consolidation", None, drawn), "trailer")
    money = sum(p.mean_usd for p in after.parts if p.price == "quote")
    assert money > 0
    assert after.money("price")["quote"] - shares.money("price")["quote"] == pytest.approx(money)
    assert after.money("price")["judgment"] == pytest.approx(shares.money("price")["judgment"] - money)
    assert after.money()["quote"] == 0, "the quantity is still judgment"


def test_a_quote_in_hand_is_told_apart_from_a_price_that_uses_it(museum, consolidation, shares):
    lines = {line for q in museum.quotes if (q.vehicle, q.path) == ("consolidation", "trailer") for line in q.lines}
    titles = {line.title for line in museum.of_path("cost_lines", "trailer") if line.line in lines}
    assert {part.title for part in shares.parts if part.quoted} <= titles
    assert 0 < shares.quoted_share < 1
    asked = {stake.ask for stake in shares.stakes if stake.table == "rates.csv"}
    assert {"get a quote", "a quote is in hand: write it into the rate"} == asked


def test_a_row_held_at_its_mean_narrows_the_cost_by_what_the_stake_says(museum, consolidation, shares):
    """Independently: the museum with that price certain, compared afresh."""
    stake = next(s for s in shares.stakes if s.table == "rates.csv")
    row = next(r for r in museum.rates if r.row_number == stake.row_number)
    mean = float(consolidation.samples.rates[row.rate, row.equipment].mean())
    certain = row.model_copy(update={"low": mean, "likely": mean, "high": mean})
    changed = museum.with_changes(rates=[certain if r is row else r for r in museum.rates])
    after = comparison.compare_paths(changed, "consolidation", None, draw(changed, previous=consolidation.samples))
    widths = [np.diff(np.percentile(c.path("trailer").trials.cost_usd, (10, 90)))[0] for c in (consolidation, after)]
    assert stake.narrows_usd == pytest.approx(widths[0] - widths[1], rel=1e-6)


def test_stakes_are_rows_of_judgment_the_widest_doubt_first(museum, shares):
    doubts = [stake.narrows_usd for stake in shares.stakes]
    assert len(doubts) > 10 and doubts == sorted(doubts, reverse=True)
    judged = {("rates.csv", r.row_number) for r in museum.rates if r.basis == "judgment"}
    assert {(s.table, s.row_number) for s in shares.stakes if s.table == "rates.csv"} <= judged


def test_the_days_by_basis_are_those_on_the_way_to_the_off_site_date(museum, consolidation, shares):
    critical = consolidation.path("trailer").critical
    rows = museum.of_path("tasks", "trailer")
    expected = sum(critical.get(r.task, 0) * (r.low + 4 * r.likely + r.high) / 6 for r in rows)
    assert sum(shares.days.values()) == pytest.approx(expected) and expected > 0


def test_what_a_slider_sets_is_judgment(museum, consolidation):
    vehicles = [r.model_copy(update={"basis": "measured"}) for r in museum.vehicles]
    changed = dataclasses.replace(consolidation, museum=museum.with_changes(vehicles=vehicles))
    free = basis_shares(changed, "trailer")
    held = basis_shares(dataclasses.replace(changed, settings={"crane_hours": 20.0}), "trailer")
    assert free.money("quantity")["measured"] > held.money("quantity")["measured"] > 0


@pytest.mark.parametrize(
    ("defined", "title"), [(0.0, "Class 5"), (0.05, "Class 4"), (0.12, "Class 3"), (0.35, "Class 2"), (0.8, "Class 1")]
)
def test_the_class_follows_from_the_share_that_is_defined(museum, defined, title):
    assert grade(museum.estimate_classes, defined, -0.5, 1.0).by_definition.title.startswith(title)


def test_a_range_narrower_than_the_class_at_its_tightest_is_said_to_be_too_narrow(museum):
    """Class 5 at its tightest: 20 per cent below to 30 per cent above."""
    assert grade(museum.estimate_classes, 0, -0.19, 0.35).too_narrow
    assert grade(museum.estimate_classes, 0, -0.25, 0.29).too_narrow
    assert not grade(museum.estimate_classes, 0, -0.21, 0.31).too_narrow
    assert "our range is too narrow for guesses like these" in grade(museum.estimate_classes, 0, -0.1, 0.1).in_words()


def test_a_share_outside_0_to_1_and_a_table_without_classes_are_refused(museum):
    for classes, defined in ((museum.estimate_classes, 1.2), ((), 0.5)):
        with pytest.raises(PlannerError, match="allowed: 0 to 1, at least one class"):
            grade(classes, defined, -0.2, 0.3)


def test_a_path_whose_cost_is_unknown_has_no_basis_to_show(museum, samples):
    rows = [r.model_copy(update={"weight": None}) for r in museum.vehicles]
    pieces = [r.model_copy(update={"weight": None}) for r in museum.pieces]
    blind = museum.with_changes(vehicles=rows, pieces=pieces)
    compared = comparison.compare_paths(blind, "consolidation", None, samples)
    unknown = next(result for result in compared.paths if result.cost is None)
    with pytest.raises(PlannerError, match="a path that has one"):
        basis_shares(compared, unknown.path)


def test_the_weakest_basis_speaks_for_all():
    assert weakest(["quote", "measured"]) == "measured"
    assert weakest(["quote", "judgment", "published"]) == "judgment"


def test_it_says_how_much_is_judgment_and_what_to_ask_for_first(shares):
    text = shares.in_words()
    assert "rests on judgment" in text and "Get a quote first for:" in text
    first = next(stake for stake in shares.stakes if stake.table == "rates.csv")
    assert f"{first.title} (rates.csv row {first.row_number})" in text
