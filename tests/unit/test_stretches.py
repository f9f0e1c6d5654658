"""The one bisection: where an answer turns, each number asked once."""

from hypothesis import given
from hypothesis import strategies as st

from heritagemove.trials.stretches import stretches


@given(st.lists(st.integers(1, 60), min_size=1, max_size=6), st.integers(-50, 50))
def test_an_answer_that_never_turns_back_is_found_whole_and_each_number_is_asked_once(lengths, start):
    answers = [place for place, length in enumerate(lengths) for _ in range(length)]
    asked = []

    def at(number):
        asked.append(number)
        return answers[number - start]

    found = stretches(at, (start, start + len(answers) - 1))
    assert [stretch.answer for stretch in found for _ in range(stretch.first, stretch.last + 1)] == answers
    assert [stretch.first for stretch in found[1:]] == [stretch.last + 1 for stretch in found[:-1]]
    assert len(answers) == 1 or len(asked) == len(set(asked))


def test_what_turns_back_between_two_marks_of_the_same_answer_is_found_at_a_mark_between_them():
    def at(number):
        return 30 <= number <= 40

    assert len(stretches(at, (0, 100))) == 1
    assert [stretch[:2] for stretch in stretches(at, (0, 35, 100))] == [(0, 29), (30, 40), (41, 100)]


def test_few_of_a_thousand_numbers_are_asked():
    asked = []
    stretches(lambda number: asked.append(number) or number >= 617, (0, 1000))
    assert len(asked) <= 12
