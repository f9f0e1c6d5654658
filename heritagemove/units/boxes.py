"""What somebody types in a box beside which the unit stands."""

from __future__ import annotations

import re

from heritagemove.units.units import parse

#: One comma that parts no thousands is the decimal mark of half the world.
_DECIMAL_COMMA = re.compile(r"(?<![\d,.])(\d+),(\d{1,2}|\d{4,})(?![\d,./])")
_BARE = re.compile(r"[-+]?[\d.,/ -]+")
_TONS = re.compile(r"([\d.,/ -]+?) ?(?:tons?|T)")
#: What a ton may be, and how the tables spell it.
TONS = {"short_ton": "2,000 lb", "long_ton": "2,240 lb", "tonne": "1,000 kg"}
_HOURS = re.compile(r"(.*\d) ?(?:h|hour|hours)")


def read_typed(text: str, unit: str) -> float:
    """Read what somebody types where the unit stands beside: a bare number takes it, any unit of its kind is converted.

    A comma before exactly three digits is thousands, any other single comma is the decimal mark.

    Parameters
    ----------
    unit : str
        Unit in which the number is returned.

    Raises
    ------
    ValueError
        With what is expected, where it is no number or of another kind.

    Examples
    --------
    >>> [read_typed(text, "day") for text in ("77.7", "12 1/2", "12,5", "1,250", "2 weeks")]
    [77.7, 12.5, 12.5, 1250.0, 14.0]
    >>> round(read_typed("125 km", "mile"), 2)
    77.67
    """
    cleaned = _DECIMAL_COMMA.sub(r"\1.\2", text.strip())
    hours = _HOURS.fullmatch(cleaned)
    if hours and unit.endswith("_hour"):
        cleaned = hours[1]
    if _BARE.fullmatch(cleaned):
        cleaned = f"{cleaned.removeprefix('+')} {unit}"
    return float(parse(cleaned, unit).magnitude)


def as_cell(text: str, unit: str, ton: str = "") -> str:
    """Return what somebody types as a cell holds it: a bare number with the unit shown, a ton as the planner means it.

    Parameters
    ----------
    unit : str
        Unit shown beside the box.
    ton : str
        One of `TONS`; blank where nobody has said which ton is meant.

    Raises
    ------
    ValueError
        If a ton is named and nobody has said which.

    Examples
    --------
    >>> [as_cell(text, "lb", "short_ton") for text in ("92 tons", "60000", "89 tonne", "98,5 t")]
    ['92 short_ton', '60000 lb', '89 tonne', '98.5 t']
    >>> as_cell("44 ft 6 in", "m"), as_cell("", "m")
    ('44 ft 6 in', '')
    """
    cleaned = _DECIMAL_COMMA.sub(r"\1.\2", text.strip())
    if tons := _TONS.fullmatch(cleaned):
        if ton not in TONS:
            meant = ", ".join(f"{name.replace('_', ' ')} ({is_})" for name, is_ in TONS.items())
            raise ValueError(f"say once, at the top of the form, which ton you mean: {meant}")
        return f"{tons[1]} {ton}"
    return f"{cleaned.removeprefix('+')} {unit}" if _BARE.fullmatch(cleaned) else cleaned
