"""What differs between two answers, in words."""

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.differences import differences
from heritagemove.compare.inputs import Inputs, answer, as_set
from heritagemove.trials.simulation import draw

UNIT = "foundry_switcher"


@pytest.fixture(scope="module")
def few(museum):
    return draw(museum, trials=400)


@pytest.fixture(scope="module")
def plain(museum, few):
    return compare_paths(museum, UNIT, samples=few)


def test_nothing_differs_between_an_answer_and_itself(plain):
    assert differences(plain, plain, ("A", "B")) == ("Nothing that is shown differs between A and B.",)


def test_differences_name_choice_dates_statuses_and_money(museum, few, plain):
    inputs = Inputs(UNIT, {"weight": 150.0}, deadline_moved=-107)
    changed = as_set(museum, inputs)
    other = answer(changed, inputs, draw(changed, previous=few))
    said = " ".join(differences(plain, other, ("A", "B")))
    flipped = [(a, b) for a, b in zip(plain.paths, other.paths, strict=True) if a.status != b.status]
    assert flipped and plain.choice != other.choice
    for before, after in flipped:
        assert f"Path {before.number}, {before.title}: {before.status} in A, {after.status} in B." in said
    assert "The choice: path" in said and "Last meeting that decides:" in said and "each path alone [USD]: path" in said


def test_another_unit_is_the_first_difference(museum, few, plain):
    said = differences(plain, compare_paths(museum, "coach", samples=few))
    assert said[0].startswith("The unit: Foundry switcher 7")
