"""What somebody types in a box beside which the unit stands."""

from __future__ import annotations

import re

from heritagemove.units.units import parse

#: One comma that parts no thousands is the decimal mark of half the world.
_DECIMAL_COMMA = re.compile(r"(?<![\d,.])(\d+),(\d{1,2}|\d{4,})(?![\d,./])")
_BARE = re.compile(r"[-+]?[\d.,/ -]+")
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
