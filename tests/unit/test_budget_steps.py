"""The one budget, joined step by step, and the same on every screen."""

import re

import numpy as np
import pytest

from heritagemove import charts
from heritagemove.answers.budget_steps import budget_steps
from heritagemove.panels.money_and_risk import show_contingency
from heritagemove.panels.presentation import present
from heritagemove.panels.state import Desk
from heritagemove.units.words import show_rounded


@pytest.fixture(scope="module")
def found(switcher):
    return budget_steps(switcher)


def test_the_steps_are_those_of_the_decision_and_rise(switcher, found):
    sums, budget = [usd for _, usd in found.steps()], switcher.decision.budget
    assert sums == sorted(sums) and sums[0] == budget.likely and sums[-1] == budget.p95
    assert found.set_aside_usd == budget.at_confidence
    assert found.nothing_refused_usd == np.quantile(switcher.path(switcher.choice).trials.cost_usd, 0.8)


def test_the_cases_by_gate_add_up_to_what_is_refused(switcher, found):
    budget = switcher.decision.budget
    assert sum(case.share for case in found.refused) == pytest.approx(budget.refused)
    mean = sum(case.share * case.mean_usd for case in found.refused) / budget.refused
    assert mean == pytest.approx(budget.if_refused_mean)


def test_it_is_said_step_by_step_and_never_as_one_refusal_in_five(switcher, found):
    words = found.in_words()
    for usd in (found.likely_usd, found.nothing_refused_usd, found.set_aside_usd, found.p95_usd):
        assert show_rounded(usd) in words
    assert "not the mean" in words and "of 100 cases" in words and "Nineteen of twenty" in words
    assert not re.search(r"one in five|1 in 5", words, re.IGNORECASE)
    assert words in charts.budget_bars(switcher).alt


def test_the_decision_and_the_contingency_screen_join_to_the_same_sums(museum, switcher, found):
    state = Desk(museum, "foundry_switcher", switcher.samples)
    deck = present(state)
    deck.go([title for title, _ in deck.screens].index("What it costs"))
    told = " ".join(widget.value for widget in deck.content.children)
    screen = show_contingency(state)
    for usd in (found.nothing_refused_usd, found.set_aside_usd, found.p95_usd):
        assert show_rounded(usd) in told and show_rounded(usd) in screen


def test_the_mark_of_the_choice_stands_at_what_is_to_be_set_aside(switcher, found):
    alt = charts.cost_against_date(switcher).alt
    assert f"{found.set_aside_usd:,.0f} USD to be set aside" in alt
