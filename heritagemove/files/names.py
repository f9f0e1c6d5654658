"""Names that a file may have on every system: museums travel between Windows, macOS and Linux."""

from __future__ import annotations

import re
from pathlib import Path

from heritagemove.units.units import PlannerError

#: Names of devices on Windows, whatever ending they are given.
_DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\..*)?", re.IGNORECASE)
_SIGNS = re.compile(r'[<>:"|?*\x00-\x1f]')


def reserved(name: str) -> bool:
    """Return whether some system takes no file of this name.

    Examples
    --------
    >>> [reserved(name) for name in ("aux", "Con.html", "com1.csv", "what?", "ends. ", "console", "our museum.xlsx")]
    [True, True, True, True, True, False, False]
    """
    return bool(_DEVICES.fullmatch(name) or _SIGNS.search(name) or name != name.rstrip(". "))


def refuse_reserved(place: Path) -> None:
    """Refuse a place that could not be carried to another system.

    Raises
    ------
    PlannerError
    """
    if place.name not in ("", "..") and reserved(place.name):
        raise PlannerError(
            f'found "{place.name}", a name that Windows refuses; allowed: a name without < > : " | ? * and no point or '
            "blank at its end, and none of con, prn, aux, nul, com1 to com9, lpt1 to lpt9"
        )
