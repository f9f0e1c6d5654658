"""One memo: what was made from the same rows and numbers is not made again.

It is handed in by whoever asks twice and kept nowhere else. A function that is asked through it receives only what
stands in its key: rows and numbers by value, draws by the seed and the row they were drawn from. So it cannot read
behind its key, and no sequence of questions gives another answer than the last question alone.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any

#: Answers after which what none of them used is forgotten: the present one, and the one before it.
_KEPT_ANSWERS = 2


class Made:
    """Something made from rows and numbers, such as the draws of a row, and told apart by these and never by itself.

    Examples
    --------
    >>> Made(("rate", 7, "crane"), [1.0, 2.0]) == Made(("rate", 7, "crane"), [1.0, 2.0])
    True
    """

    __slots__ = ("_hash", "asked", "of", "value")

    def __init__(self, of: Hashable, value: Any) -> None:
        self.of, self.value, self._hash = of, value, None
        self.asked = 0  # the answer of a memo that asked for it last

    @classmethod
    def by_value(cls, value: Hashable) -> Made:
        """Return rows or numbers as what they are made from: their hash is taken once, however often they are asked with."""
        return cls(value, value)

    @classmethod
    def alone(cls, value: Any) -> Made:
        """Return something of which nobody knows what it was made from: it equals nothing but itself."""
        return cls(object(), value)

    def __hash__(self) -> int:
        if self._hash is None:
            self._hash = hash(self.of)
        return self._hash

    def __eq__(self, other: object) -> bool:
        return self is other or (isinstance(other, Made) and hash(self) == hash(other) and self.of == other.of)


class Ask:
    """Makes everything afresh and remembers nothing: for one who asks once."""

    def __call__(self, function: Callable[..., Any], *given: Any) -> Made:
        """Return what a function makes of its arguments: rows, numbers, words, dates, things made, tuples of these."""
        return Made.alone(function(*map(_plain, given)))

    def next_answer(self) -> None:
        """Begin another answer."""


afresh = Ask()


class Memo(Ask):
    """Remembers what the last answers were made of.

    Examples
    --------
    >>> memo = Memo()
    >>> memo(sum, (1, 2)) is memo(sum, (1, 2))
    True
    """

    def __init__(self) -> None:
        self._made: dict[Hashable, Made] = {}
        self._answers = 0

    def __call__(self, function: Callable[..., Any], *given: Any) -> Made:
        """Return what a function makes of its arguments, or has made of the same ones before."""
        key = function, given
        found = self._made.get(key)
        if found is None:
            found = self._made[key] = Made(key, function(*map(_plain, given)))
        found.asked = self._answers
        return found

    def __len__(self) -> int:
        return len(self._made)

    def next_answer(self) -> None:
        """Begin another answer, and forget what the last ones did not use."""
        self._answers += 1
        oldest = self._answers - _KEPT_ANSWERS
        for key in [key for key, made in list(self._made.items()) if made.asked < oldest]:
            del self._made[key]


def _plain(given: Any) -> Any:
    """Return an argument as its function takes it: things made as what they are."""
    if isinstance(given, Made):
        return given.value
    return tuple(map(_plain, given)) if type(given) is tuple else given
