"""Where an answer turns: the one bisection behind true weights, weight flips and cost curves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple


class Stretch(NamedTuple):
    """Whole numbers, one after the other, that have the same answer."""

    first: int
    last: int
    answer: Any


def stretches(at: Callable[[int], Any], marks: Sequence[int]) -> list[Stretch]:
    """Return the stretches between the first and the last mark in each of which the answer is the same.

    Each number is asked once. An answer that turns and turns back between two marks with the same answer is missed.

    Parameters
    ----------
    at : callable
        Answer at a whole number.
    marks : sequence of int
        Numbers to look at first, growing.

    Examples
    --------
    >>> [tuple(stretch) for stretch in stretches(lambda number: number >= 7, (0, 10))]
    [(0, 6, False), (7, 10, True)]
    """
    found = [Stretch(marks[0], marks[0], at(marks[0]))]

    def look(right: int, answer: Any) -> None:
        first, left, before = found[-1]
        if answer == before:
            found[-1] = Stretch(first, right, before)
        elif right - left == 1:
            found.append(Stretch(right, right, answer))
        else:
            middle = (left + right) // 2
            look(middle, at(middle))
            look(right, answer)

    for mark in marks[1:]:
        look(mark, at(mark))
    return found
