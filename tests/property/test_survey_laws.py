"""Laws of the survey: evidence has no order, shares stay shares, looking never makes the expectation worse."""

import math
from types import SimpleNamespace

from hypothesis import given
from hypothesis import strategies as st

from heritagemove.survey.bearings import TYPES, bearing_of
from heritagemove.survey.evidence import entropy, expected_gain, posterior
from heritagemove.survey.readiness import journal_class
from heritagemove.units.units import Quantity

likelihood = st.floats(0.001, 0.999)
three = st.tuples(likelihood, likelihood, likelihood)
shares = three.map(lambda numbers: tuple(number / sum(numbers) for number in numbers))


def clue_rows(seed):
    """Two words a clue, each with three likelihoods; one prior."""
    prior = SimpleNamespace(clue="prior", found="any", sight="outside", **dict(zip(TYPES, (0.5, 0.3, 0.2), strict=True)))
    rows = [prior]
    for name, numbers in seed.items():
        for found, values in (("yes", numbers), ("no", tuple(1 - number for number in numbers))):
            rows.append(SimpleNamespace(clue=name, found=found, sight="outside", **dict(zip(TYPES, values, strict=True))))
    return rows


tables = st.dictionaries(st.sampled_from(["lid", "cap", "hole", "seal", "ears"]), three, min_size=1)


@given(shares, st.lists(three, max_size=6), st.randoms())
def test_the_order_of_the_evidence_is_irrelevant(prior, evidence, random):
    mixed = list(evidence)
    random.shuffle(mixed)
    for one, other in zip(posterior(prior, evidence), posterior(prior, mixed), strict=True):
        assert math.isclose(one, other, abs_tol=1e-9)


@given(shares, st.lists(three, max_size=8))
def test_the_answer_adds_up_to_one(prior, evidence):
    assert math.isclose(sum(posterior(prior, evidence)), 1)


@given(shares, three, st.floats(0.01, 1))
def test_only_the_proportion_of_likelihoods_counts(prior, numbers, scale):
    scaled = tuple(number * scale for number in numbers)
    for one, other in zip(posterior(prior, [numbers]), posterior(prior, [scaled]), strict=True):
        assert math.isclose(one, other, rel_tol=1e-9)


@given(shares, three)
def test_looking_is_expected_to_tell_something_but_never_more_than_is_unknown(prior, numbers):
    gain = expected_gain(prior, [numbers, tuple(1 - number for number in numbers)])
    assert 0 <= gain <= entropy(prior) + 1e-9


@given(shares, likelihood)
def test_a_clue_that_all_types_show_alike_tells_nothing(prior, number):
    assert expected_gain(prior, [(number,) * 3, (1 - number,) * 3]) < 1e-9


@given(tables, st.data())
def test_the_order_of_survey_rows_is_irrelevant(seed, data):
    rows = [SimpleNamespace(clue=clue, found=data.draw(st.sampled_from(["yes", "no"]))) for clue in seed]
    one, other = bearing_of(rows, clue_rows(seed)), bearing_of(rows[::-1], clue_rows(seed))
    assert math.isclose(one.plain, other.plain, abs_tol=1e-9) and set(one.seen) == set(other.seen)
    assert len(one.contradictions) == len(other.contradictions)


@given(tables, st.data())
def test_unknown_changes_nothing(seed, data):
    clue = data.draw(st.sampled_from(sorted(seed)))
    bare = bearing_of([], clue_rows(seed))
    said = bearing_of([SimpleNamespace(clue=clue, found="unknown")], clue_rows(seed))
    assert (said.plain, said.roller, said.seen, said.looks) == (bare.plain, bare.roller, bare.seen, bare.looks)


@given(tables)
def test_the_next_clue_is_the_one_expected_to_tell_most(seed):
    answer = bearing_of([], clue_rows(seed))
    now = (answer.plain, answer.roller, answer.converted_roller)
    gains = {clue: expected_gain(now, [numbers, tuple(1 - number for number in numbers)]) for clue, numbers in seed.items()}
    assert math.isclose(dict(answer.looks)[answer.looks[0][0]], max(gains.values()), abs_tol=1e-12)


@given(st.floats(3, 6.4), st.floats(0.01, 1))
def test_a_thicker_tender_journal_never_carries_less(museum, diameter, more):
    length = Quantity(9, "in")
    thin = journal_class(Quantity(diameter, "in"), length, "tender", museum.journal_ratings)
    thick = journal_class(Quantity(diameter + more, "in"), length, "tender", museum.journal_ratings)
    assert thin is None or thick.rating >= thin.rating


@given(st.floats(2, 19))
def test_inches_and_millimetres_give_the_same_class(museum, diameter):
    inches = journal_class(Quantity(diameter, "in"), Quantity(10, "in"), "freight", museum.journal_ratings)
    metric = journal_class(Quantity(diameter * 25.4, "mm"), Quantity(254, "mm"), "freight", museum.journal_ratings)
    assert (inches and inches.letter) == (metric and metric.letter)
