"""Every screen, chart, table, page and file takes the decision from one place: the policy that holds when it is obeyed."""

from pathlib import Path

import numpy as np
import pytest

from heritagemove import charts
from heritagemove.answers.joint_confidence import joint_confidence
from heritagemove.answers.task_tables import table_of_decision
from heritagemove.charts.comparing import finding
from heritagemove.compare.differences import differences
from heritagemove.compare.inputs import budget_in_words
from heritagemove.compare.policy import meetings
from heritagemove.compare.waiting import waiting
from heritagemove.following.tracking import reforecast, trigger
from heritagemove.panels.markup import paths_table
from heritagemove.trials import simulation
from heritagemove.units.words import show_chance, show_date, show_rounded

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def told(switcher):
    decision = switcher.decision
    return show_date(decision.decide_by), show_chance(decision.chance_if_decided_then), decision.budget.at_confidence


def test_the_policy_that_was_found_is_what_the_decision_tells(switcher):
    decision, played = switcher.decision, switcher.decision.played
    deadline = simulation.day_number(switcher.museum, switcher.museum.scenario.deadline)
    assert played.policy.path == decision.path and played.policy.on_refusal == decision.on_refusal
    assert np.mean(played.in_time(deadline)) == decision.chance_if_decided_then
    assert np.quantile(played.cost_usd, 0.8) == decision.budget.at_confidence


def test_the_chance_by_meeting_passes_the_confidence_at_the_meeting_of_the_decision(switcher):
    found, decision = waiting(switcher, switcher.choice), switcher.decision
    last = simulation.day_number(switcher.museum, decision.decide_by)
    assert found.last == last and set(found.days) <= set(meetings(switcher.museum, switcher.choice))
    assert found.chances[found.days == last] == decision.chance_if_decided_then >= 0.8
    assert (found.chances[found.days > last] < 0.8).all() and (np.diff(found.chances) <= 1e-9).all()


def test_screens_and_charts_tell_the_meeting_of_the_decision_and_no_other_day(switcher, told):
    meeting, chance, _ = told
    chart, bars = charts.order_dates(switcher), charts.task_bars(switcher, switcher.choice)
    for said in (chart.alt, bars.alt, " ".join(map(" ".join, table_of_decision(switcher).cells()))):
        assert meeting in said, said
    assert chance in chart.alt and "gates met" not in chart.alt


def test_budget_and_chance_of_the_choice_are_those_of_the_decision_everywhere(switcher, told):
    _, chance, budget = told
    assert chance in finding(switcher) and f"{show_rounded(budget)} USD" in finding(switcher)
    both = joint_confidence(switcher, switcher.choice)
    assert both.in_time == switcher.decision.chance_if_decided_then
    assert both.budget_usd == pytest.approx(budget, rel=0.005)
    assert show_rounded(budget) in paths_table(switcher)
    assert "above what is to be set aside" in budget_in_words(switcher, budget + 5000)


def test_what_differs_is_told_by_the_decision(switcher):
    later = differences(switcher, switcher)
    assert later == ("Nothing that is shown differs between the first and the second.",)


def test_what_is_followed_turns_by_the_decision_of_its_own_path(switcher):
    decision, museum = switcher.decision, switcher.museum
    first = reforecast(switcher, switcher.choice, museum.scenario.start, ())
    found = trigger(first)
    assert found.gate == decision.hinge.title and found.by == decision.switch_by
    assert found.turns_to == decision.hinge.turns_to and found.state == "open"


def test_no_text_promises_a_day_to_commit_or_a_date_kept_with_gates_met():
    files = [*ROOT.glob("heritagemove/**/*.py"), *ROOT.glob("heritagemove/**/*.j2"), *ROOT.glob("notebooks/*.ipynb")]
    stale = ("commit by", "commits by", "keep the date at", "last day to commit", "turn to the fallback by", "turn to it by")
    assert not [(f.name, words) for f in files for words in stale if words in f.read_text(encoding="utf-8").lower()]
