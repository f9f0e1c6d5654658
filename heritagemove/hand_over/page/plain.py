"""Plain data of the page: fields of a row under their own or another name, and ids as words."""

from __future__ import annotations

import re
from operator import attrgetter
from typing import Any


def picked(row: Any, *same: str, **renamed: str) -> dict[str, Any]:
    """Return fields of a row: those that keep their name, and those that get another, in dots where they lie deeper.

    Examples
    --------
    >>> picked(3 + 4j, "real", imaginary="imag")
    {'real': 3.0, 'imaginary': 4.0}
    """
    names = dict(zip(same, same, strict=True)) | renamed
    return {name: attrgetter(field)(row) for name, field in names.items()}


def named(identifier: str) -> str:
    """Return an id as words."""
    return identifier.replace("_", " ")


def sentences(text: str) -> list[str]:
    """Return the sentences of a text; the number of an item in a list ends none.

    Examples
    --------
    >>> sentences("Find out first: 1. weight. Set aside 5.5 t. If it is refused, turn.")
    ['Find out first: 1. weight.', 'Set aside 5.5 t.', 'If it is refused, turn.']
    """
    return re.split(r"(?<=[.!?])(?<!\s\d\.)\s+(?=[A-Z\"“])", text)
