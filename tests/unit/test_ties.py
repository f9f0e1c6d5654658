"""A toss-up in cost is told as one, and what settles it is named."""

import dataclasses

import pytest

from heritagemove.compare import decision
from heritagemove.compare.comparison import compare_paths
from heritagemove.trials.simulation import draw


@pytest.fixture(scope="module")
def tied(museum):
    """A path and its twin at the same price: a second trailer path under another number."""
    return compare_paths(museum, "foundry_switcher", None, draw(museum, trials=500))


def settled(museum, tied, changed=None, **over):
    choice = next(r for r in tied.paths if r.path == "trailer")
    other = dataclasses.replace(choice, **over)
    return decision.settled_by(changed or museum, "foundry_switcher", choice, other)


def test_chance_in_time_settles_first(museum, tied):
    sure = next(r for r in tied.paths if r.path == "trailer").chance_with_fallback
    assert "less sure in time" in settled(museum, tied, chance_with_fallback=sure - 0.05)


def test_then_what_can_be_undone_and_the_historic_fabric(museum, tied):
    told = settled(museum, tied, path="freight_wheelsets")
    assert told in ("it cannot be undone", "it changes more of the historic fabric")


def test_then_safety_by_the_criterion_that_says_so_and_else_a_coin_toss(museum, tied):
    assert settled(museum, tied) == "it is a little dearer on average: a coin toss"
    worse = {"low": 9.0, "likely": 9.5, "high": 10.0}
    exposed = [
        row.model_copy(update=worse) if (row.path, row.criterion) == ("transporter", "safety_exposure") else row
        for row in museum.scores
    ]
    assert settled(museum, tied, museum.with_changes(scores=exposed), path="transporter") == "it puts more people at risk"


def test_the_sentence_says_a_toss_up_and_what_settled_it(tied):
    assert tied.decision.tie_with and "A toss-up in cost" in tied.sentence and "It comes second because" in tied.sentence
