"""Dates and chances as people write and say them."""

from __future__ import annotations

import datetime as dt


def show_date(date: dt.date) -> str:
    """Return a date as people write it on a calendar, without the machine's language.

    Examples
    --------
    >>> show_date(dt.date(2027, 10, 15))
    '15 Oct 2027'
    """
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    return f"{date.day} {months[date.month - 1]} {date.year}"


def show_chance(chance: float | None) -> str:
    """Return a chance for people: certain only when it is.

    Examples
    --------
    >>> [show_chance(chance) for chance in (None, 0, 0.001, 0.943, 0.9996, 1)]
    ['unknown', '0%', '<1%', '94%', '>99%', '100%']
    """
    if chance is None:
        return "unknown"
    if 0 < chance < 0.01:
        return "<1%"
    return ">99%" if 0.99 < chance < 1 else f"{chance:.0%}"


def without_brackets(name: str) -> str:
    """Return a unit's name without what stands behind it in brackets.

    Examples
    --------
    >>> without_brackets("Foundry switcher 7 (GE 45-ton)")
    'Foundry switcher 7'
    """
    return name.partition(" (")[0]
