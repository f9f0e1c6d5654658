"""Plain data of the page: fields of a row under their own or another name, and ids as words."""

from __future__ import annotations

import datetime as dt
import re
from operator import attrgetter
from typing import Any

from heritagemove.museum.museum import Museum
from heritagemove.units.words import show_chance, show_date


def picked(row: Any, *same: str, **renamed: str) -> dict[str, Any]:
    """Return fields of a row: those that keep their name, and those that get another, in dots where they lie deeper.

    Examples
    --------
    >>> picked(3 + 4j, "real", imaginary="imag")
    {'real': 3.0, 'imaginary': 4.0}
    """
    names = dict(zip(same, same, strict=True)) | renamed
    return {name: attrgetter(field)(row) for name, field in names.items()}


def row_in(table: str, row: Any) -> str:
    """Return where a number stands: the file, and the row in the spreadsheet's margin."""
    return f"{table}.csv row {row.row_number}"


def named(identifier: str) -> str:
    """Return an id as words."""
    return identifier.replace("_", " ")


def of_100(chance: float) -> str:
    """Return a chance as people say it of a hundred cases."""
    return f"{show_chance(chance).removesuffix('%')} of 100"


def short_day(museum: Museum, date: dt.date) -> str:
    """Return a date, without its year where that is the year of the start."""
    return show_date(date).removesuffix(f" {museum.scenario.start.year}")


def figure(name: str, amount: str) -> dict[str, str]:
    """Return a figure of the paper with its name."""
    return {"name": name, "figure": amount}


def sentences(text: str) -> list[str]:
    """Return the sentences of a text; the number of an item in a list ends none.

    Examples
    --------
    >>> sentences("Find out first: 1. weight. Set aside 5.5 t. If it is refused, turn.")
    ['Find out first: 1. weight.', 'Set aside 5.5 t.', 'If it is refused, turn.']
    """
    return re.split(r"(?<=[.!?])(?<!\s\d\.)\s+(?=[A-Z\"“])", text)
