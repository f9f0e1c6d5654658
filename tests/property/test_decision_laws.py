"""Laws of a decision, in museums that nobody made up: its policy is obeyed, and played on with one thing changed."""

import dataclasses
import datetime as dt
import itertools
import random
from pathlib import Path

import numpy as np
import pytest
from obedient import obeyed
from scipy import stats

from heritagemove.compare import decision
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.policy import meetings
from heritagemove.museum.museum import load_museum
from heritagemove.trials import simulation
from heritagemove.trials.playing import Playable, Policy, play

MUSEUMS = [load_museum(Path(__file__).parents[2] / "data" / each) for each in ("tamber_river", "elsewhere/melderbach")]
#: Trials that a decision is found in, and trials in which it is obeyed.
FOUND, OBEYED = 2_000, 500


def anybody(seed):
    """Return a museum with other days, refusals, prices and dates, one of its units, and sliders set or not."""
    chance = random.Random(seed)
    museum = MUSEUMS[seed % 2]

    def stretched(row, *names):
        factor = chance.lognormvariate(0, 0.3)
        return row.model_copy(update={name: getattr(row, name) * factor for name in names})

    def refused(row):
        if row.refusal_probability is None:
            return row
        return row.model_copy(update={"refusal_probability": min(row.refusal_probability * chance.uniform(0, 3), 0.9)})

    moved = dt.timedelta(days=chance.randint(-40, 90))
    scenario = museum.scenario
    there = museum.with_changes(
        tasks=[stretched(row, "low", "likely", "high") for row in museum.tasks],
        gates=[refused(row) for row in museum.gates],
        rates=[stretched(row, "low", "likely", "high") for row in museum.rates],
        deadline=scenario.deadline + moved,
        forced_scrap=scenario.forced_scrap + moved,
    )
    sliders = {"crane_hours": chance.uniform(10, 40), "haul_distance": chance.uniform(60, 300)}
    name = chance.choice(list(sliders))
    return there, chance.choice(museum.vehicles).vehicle, {name: sliders[name]} if chance.random() < 0.5 else {}


def decided(seed, trials=FOUND):
    """Return the museum and its comparison, where the verdict is to do something; None elsewhere."""
    museum, vehicle, settings = anybody(seed)
    samples = simulation.draw(museum, seed=seed, trials=trials)
    try:
        found = compare_paths(museum, vehicle, settings, samples)
        return (museum, found) if found.decision.verdict == "do this" else None
    except ValueError:  # a stretched museum may run past the days looked ahead: it is refused, and decides nothing
        return None


def some(count, trials=FOUND):
    """Yield as many decisions."""
    return itertools.islice(filter(None, (decided(seed, trials) for seed in itertools.count())), count)


def kept(museum, found, seed, trials):
    """Return how likely it is to meet what was met, in time and within the budget, if the printed words hold."""
    in_time, cost = obeyed(museum, found, seed=seed, trials=trials)
    told, before = found.as_json()["decision"], found.samples.trials
    confidence = museum.scenario.simulation.confidence
    promised = (
        (in_time, round(told["chance_if_decided_then"] * before)),
        (cost <= told["budget"]["p80"], round(confidence * before)),
    )
    # Both were counted in trials: Fisher's exact test of two counts.
    return [
        stats.fisher_exact([[met.sum(), trials - met.sum()], [then, before - then]]).pvalue for met, then in promised
    ]


def everybody_obeyed(count, trials_found, trials_obeyed):
    chances = []
    for number, (museum, found) in enumerate(some(count, trials_found)):
        chances += kept(museum, found, 5_000 + number, trials_obeyed)
        moved = dict(found.settings) | {"crane_hours": 33.0}
        again = compare_paths(museum, found.vehicle, moved, found.samples, standing=found.decision)
        if number % 3 == 0 and again.decision.replayed:
            chances += kept(museum, again, 6_000 + number, trials_obeyed)
    return chances


def test_what_is_printed_is_what_happens_in_twelve_museums_and_after_moves_of_sliders():
    chances = everybody_obeyed(12, FOUND, OBEYED)
    assert min(chances) >= 0.01 / len(chances), np.sort(chances)[:4]


@pytest.mark.soak
def test_what_is_printed_is_what_happens_in_two_hundred_museums():
    chances = everybody_obeyed(200, 4_000, 1_000)
    assert min(chances) >= 0.01 / len(chances), np.sort(chances)[:6]


@pytest.fixture(scope="module")
def decisions():
    return list(some(6, 1_000))


def policy_of(found):
    """Return the printed policy with one fallback for every refusal, and what it may take."""
    told, museum = found.decision, found.museum
    options = {r.path: Playable(r.path, r.work, r.findings) for r in decision.able(found.paths)}
    other = told.fallback or next((path for path in options if path != told.path), None)
    meeting = told.decide_by and simulation.day_number(museum, told.decide_by)
    return Policy(told.path, dict.fromkeys(told.on_refusal, other), {other: None} if other else {}, meeting), options


def in_time(museum, policy, options, samples):
    played = play(museum, policy, options, samples, costs=False)
    return played.in_time(simulation.day_number(museum, museum.scenario.deadline))


def test_a_meeting_later_saves_no_trial_that_was_lost(decisions):
    for _, found in decisions:
        policy, options = policy_of(found)
        days = [int(day) for day in meetings(found.museum, policy.path)]
        before = None
        for day in days[:: max(len(days) // 4, 1)]:
            now = in_time(found.museum, dataclasses.replace(policy, meeting=day), options, found.samples)
            assert before is None or not (now & ~before).any()
            before = now


def test_a_later_answer_saves_no_trial_that_was_lost(decisions):
    for _, found in decisions:
        museum, samples = found.museum, found.samples
        policy, options = policy_of(found)
        task = next(iter(options[policy.path].asked().values())).gate.task
        tasks = dict(samples.tasks)
        tasks[policy.path, task] = tasks[policy.path, task] + 15
        later = dataclasses.replace(samples, tasks=tasks)
        before = in_time(museum, policy, options, samples)
        assert not (in_time(museum, policy, options, later) & ~before).any()


def test_a_dearer_fallback_never_costs_less(decisions):
    for _, found in decisions:
        policy, options = policy_of(found)
        if not policy.then:
            continue
        (second,) = policy.then
        lines = [
            row.model_copy(update={"factor": row.factor * 1.3}) if row.path == second else row
            for row in found.museum.cost_lines
        ]
        dearer = found.museum.with_changes(cost_lines=lines)
        before, after = (play(museum, policy, options, found.samples).cost_usd for museum in (found.museum, dearer))
        assert (after >= before - 1e-6).all()


def test_the_printed_days_are_meetings_and_come_after_the_answers(decisions):
    for museum, found in decisions:
        told = found.decision
        days = {simulation.date_of(museum, int(day)) for day in meetings(found.museum, told.path)}
        assert told.decide_by is None or told.decide_by in days
        assert told.switch_by is None or told.hinge.answer[2] <= told.switch_by
        assert (told.decide_by is None) == bool(told.decide_why)


@pytest.mark.soak
@pytest.mark.parametrize(("museum", "vehicle"), [(m, row.vehicle) for m in MUSEUMS for row in m.vehicles])
def test_another_seed_changes_the_deed_only_within_a_tie_and_the_day_only_within_the_error(museum, vehicle):
    confidence, trials = museum.scenario.simulation.confidence, museum.scenario.simulation.trials
    told = [compare_paths(museum, vehicle, None, simulation.draw(museum, seed=seed)).decision for seed in range(20)]
    ties = {told[0].path, *told[0].tie_with}
    assert {each.path for each in told} <= ties
    same = [each for each in told if each.path == told[0].path]
    error = 2 * np.sqrt(confidence * (1 - confidence) / trials)
    for each in same:
        if each.decide_by == same[0].decide_by:
            assert each.fallback == same[0].fallback
        else:  # at a later meeting a fallback may rescue nothing any more, and is not printed
            later = max((each, same[0]), key=lambda one: one.decide_by or dt.date.min)
            assert abs(later.chance_if_decided_then - confidence) <= 2 * error
    budgets = [each.budget.at_confidence for each in same if each.decide_by == same[0].decide_by]
    assert max(budgets) - min(budgets) <= 0.03 * max(budgets)
