"""Dates and chances as people write and say them."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Iterable

#: A longer text is no slip of the pen, and comparing it takes long.
_LONGEST = 60


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


def show_a_chance(chance: float | None) -> str:
    """Return a chance with its article.

    Examples
    --------
    >>> show_a_chance(0.82), show_a_chance(0.11), show_a_chance(0.65), show_a_chance(0.001)
    ('an 82%', 'an 11%', 'a 65%', 'a <1%')
    """
    said = show_chance(chance)
    return f"{'an' if said.startswith('8') or said in ('11%', '18%') else 'a'} {said}"


def show_rounded(amount: float) -> str:
    """Return money as the trials know it: in hundreds, from 20,000 on in thousands.

    Examples
    --------
    >>> show_rounded(226439.6), show_rounded(7812.3)
    ('226,000', '7,800')
    """
    step = 1000 if abs(amount) >= 20_000 else 100
    return f"{round(amount / step) * step:,.0f}"


def lowered(text: str) -> str:
    """Return a text as it goes on within a sentence; what begins with a name in capitals stays.

    Examples
    --------
    >>> lowered("Roll on own wheels"), lowered("US route")
    ('roll on own wheels', 'US route')
    """
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text


def without_brackets(name: str) -> str:
    """Return a unit's name without what stands behind it in brackets.

    Examples
    --------
    >>> without_brackets("Foundry switcher 7 (45 short tons)")
    'Foundry switcher 7'
    """
    return name.partition(" (")[0]


def nearest(found: str, allowed: Iterable[str], cutoff: float = 0.6) -> str:
    """Return what somebody probably meant; blank where nothing is near. Case does not count."""
    words = {word.lower(): word for word in allowed}
    close = difflib.get_close_matches(found[:_LONGEST].lower(), words, 1, cutoff)
    return words[close[0]] if close else ""


def near_miss(found: str, allowed: Iterable[str], cutoff: float = 0.6) -> str:
    """Return what somebody probably meant as the end of a message, or a blank one.

    Examples
    --------
    >>> near_miss("Crane_Hour", ["crane_hours", "axles"])
    ' (did you mean crane_hours?)'
    >>> near_miss("tram", ["crane_hours", "axles"])
    ''
    """
    meant = nearest(found, allowed, cutoff)
    return f" (did you mean {meant}?)" if meant else ""
