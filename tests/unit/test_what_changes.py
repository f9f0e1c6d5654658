"""What changes the decision: at the value that is told another path is chosen, and before it none is."""

import dataclasses
import datetime as dt
import re

import pytest

from heritagemove.answers.what_changes import what_changes
from heritagemove.compare.comparison import compare_paths
from heritagemove.panels.state import Desk
from heritagemove.panels.what_changes import show_what_changes
from heritagemove.trials.simulation import draw


@pytest.fixture(scope="module")
def few(museum):
    return draw(museum, trials=1_000)


def flips(museum, few, vehicle):
    comparison = compare_paths(museum, vehicle, None, few)
    return comparison, {flip.kind: flip for flip in what_changes(comparison)}


def test_at_the_weight_that_is_told_another_path_is_chosen(museum, few):
    comparison, found = flips(museum, few, "consolidation")
    flip, stated = found["weight"], museum.vehicle("consolidation").weight.m_as("lb")
    told = float(re.sub("[^0-9]", "", flip.at))

    def choice(pounds):
        return compare_paths(museum, "consolidation", {"weight": pounds / 2000}, few).choice

    assert choice(told + 100) == flip.path != comparison.choice
    assert choice(stated + 0.9 * (told - stated)) in (comparison.choice, *comparison.decision.tie_with)


def test_at_the_deadline_that_is_told_another_path_is_chosen(museum, few):
    comparison, found = flips(museum, few, "boxcar")
    flip = found["date"]
    day = dt.datetime.strptime(flip.at, "%d %b %Y").date()
    moved = day - museum.scenario.deadline
    there = museum.with_changes(deadline=day, forced_scrap=museum.scenario.forced_scrap + moved)
    assert compare_paths(there, "boxcar", None, draw(there, previous=few)).choice == flip.path
    assert flip.path not in (comparison.choice, *comparison.decision.tie_with)


def test_nothing_changes_a_decision_that_chooses_no_path(museum, few):
    comparison = compare_paths(museum, "caboose", None, few)
    nothing = comparison.with_decision(dataclasses.replace(comparison.decision, verdict="blocked", path=None))
    assert what_changes(nothing) == ()


def test_the_screen_tells_each_and_says_when_what_is_set_has_moved(museum, few):
    screen = show_what_changes(Desk(museum, "boxcar", few))
    assert screen.alert.value == "" and screen.shown.value.count("<tr") == 5
    assert "Date of the owner&#x27;s deadline" in screen.shown.value or "Date of the owner's deadline" in screen.shown.value
    screen.state.change("deadline", deadline_moved=40)
    assert screen.again in screen.children[0].children
    screen.again.click()
    assert screen.children == (screen.alert, screen.shown)
