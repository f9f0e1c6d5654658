"""What early answers are worth: Bayes' rule, and never more than certainty."""

import dataclasses

import numpy as np
import pytest

from heritagemove.answers import judged
from heritagemove.answers.decision_analysis import expected_value_of_information
from heritagemove.answers.mitigation import mitigations
from heritagemove.answers.value_of_information import decisions_by_weight, worth_knowing
from heritagemove.charts.value_of_information import inquiry_worth
from heritagemove.compare import comparison
from heritagemove.trials import simulation
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError


@pytest.fixture(scope="module")
def samples(museum):
    return draw(museum, trials=1000)


@pytest.fixture(scope="module")
def consolidation(museum, samples):
    return comparison.compare_paths(museum, "consolidation", None, samples)


@pytest.fixture(scope="module")
def known(consolidation):
    return {entry.inquiry.inquiry: entry for entry in worth_knowing(consolidation)}


def test_the_letter_asked_for_early_is_worth_what_its_two_answers_save(museum, samples, consolidation, known):
    """By hand from the branches' own costs: refused and granted each with its cheapest path."""
    refusal = next(r for r in museum.gates if r.gate == "class_one_exception").refusal_probability
    refused = samples.gates["class_one_exception"] < refusal
    costs = np.array([consolidation.path(path).branch.cost_usd for path in ("own_wheels", "trailer")])
    without = costs.mean(axis=1).min()
    knowing = sum(mask.mean() * costs[:, mask].mean(axis=1).min() for mask in (refused, ~refused))
    entry = known["main_line_letter"]
    assert entry.perfect_usd == pytest.approx(without - knowing) and entry.perfect_usd > 0
    assert dict(zip(entry.states, entry.shares, strict=True))["refused"] == pytest.approx(refusal)
    assert entry.verdict == judged.NEEDED and "whatever it costs" in entry.in_words()
    assert [path.path for path in entry.then] == ["own_wheels", "trailer"]


def test_what_is_asked_for_safety_or_law_is_never_judged_by_money(museum, consolidation, known):
    """Title, weighing, permit office and the railroads' letters; of the mitigations, the test of the ground."""
    asked = {"title_search", "weighing", "permit_talk", "main_line_letter", "carrier_letter_early", "plate_test"}
    assert asked <= {row.inquiry for row in museum.inquiries if row.needed_for}
    for entry in known.values():
        assert (entry.verdict == judged.NEEDED) == bool(entry.inquiry.needed_for)
    chart = inquiry_worth(tuple(known.values()))
    assert "needed for safety or law" in chart.alt and "costs more than it is worth" not in chart.alt
    found = mitigations(consolidation, "trailer")
    assert {entry.verdict for entry in found if entry.needed_for} == {judged.NEEDED}
    assert any(entry.needed_for for entry in found) and not all(entry.needed_for for entry in found)


def test_an_answer_that_may_be_wrong_is_never_worth_more_than_certainty(known):
    assert len(known) > 3
    for entry in known.values():
        assert -1e-6 <= entry.worth_usd <= entry.perfect_usd + 1e-6


def test_what_changes_no_choice_is_worth_nothing(museum, samples):
    found = worth_knowing(comparison.compare_paths(museum, "caboose", None, samples))
    for entry in found:
        if all(path is entry.now for path in entry.then):
            needed = entry.inquiry.needed_for
            assert entry.worth_usd == 0 and entry.verdict == (judged.NEEDED if needed else "changes no choice")
    assert any(entry.verdict == "changes no choice" for entry in found)


def test_a_unit_is_given_up_only_where_no_path_would_save_it(known, consolidation):
    title = known["title_search"]
    plans = dict(zip(title.states, title.then, strict=True))
    assert not plans["refused"].saves and plans["granted"].saves
    refused = consolidation.samples.gates["title"] < 0.03
    assert not any(r.branch.saved[refused].any() for r in consolidation.paths if r.branch)


def test_an_inquiry_about_nothing_this_unit_hangs_on_is_left_out(museum, samples, known):
    assert "trial_fit" not in known  # freight wheelsets are blocked for the engine with drivers
    certain = [r.model_copy(update={"weight_tolerance": 0 * r.weight_tolerance}) for r in museum.vehicles]
    changed = museum.with_changes(vehicles=certain)
    compared = comparison.compare_paths(changed, "caboose", None, draw(changed, previous=samples))
    assert "weighing" not in {entry.inquiry.inquiry for entry in worth_knowing(compared)}


def test_a_unit_that_nothing_saves_has_nothing_worth_knowing(museum, samples):
    late = museum.with_changes(paths=[r.model_copy(update={"saves": False}) for r in museum.paths])
    assert worth_knowing(comparison.compare_paths(late, "caboose", None, samples)) == ()


def test_the_ends_of_the_tolerance_are_compared_without_a_tolerance(museum, consolidation):
    found = decisions_by_weight(consolidation)
    vehicle = museum.vehicle("consolidation")
    stated, part = vehicle.weight.m_as("lb"), vehicle.weight_tolerance.m_as("")
    assert [entry.weight_lb for entry in found] == pytest.approx([stated * (1 - part), stated, stated * (1 + part)])
    for entry in found:
        assert all(result.chance_too_heavy == 0 for result in entry.comparison.paths)
    assert [o.path for o in found[-1].closes] == ["trailer"] and not found[1].closes


def test_answers_that_are_no_probabilities_are_refused():
    with pytest.raises(PlannerError, match="each column adding up to 1"):
        expected_value_of_information([[1, 2], [2, 1]], [0.5, 0.5], [[0.5, 0.5], [0.4, 0.5]])


def test_an_answer_that_says_the_same_in_every_state_is_worth_nothing():
    assert expected_value_of_information([[1, 9], [5, 2]], [0.4, 0.6], [[0.3, 0.3], [0.7, 0.7]]) == pytest.approx(0)


def test_the_days_until_it_is_gone_end_with_the_scrapping(consolidation, known):
    forced = simulation.day_number(consolidation.museum, consolidation.museum.scenario.forced_scrap)
    for entry in known.values():
        assert all(0 < days <= forced for days in entry.days)
        assert all(0 <= chance <= 1 for chance in entry.chance)
        assert dataclasses.is_dataclass(entry) and entry.in_words()
