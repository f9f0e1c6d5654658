"""What is still unknown of a unit, in the order in which finding it out opens paths."""

from __future__ import annotations

from dataclasses import dataclass

from heritagemove.museum import Museum
from heritagemove.readiness import unknowns


@dataclass(frozen=True)
class Missing:
    """One thing that nobody knows yet, and what finding it out would open.

    Attributes
    ----------
    what, find : str
        What is unknown, and how to find it out.
    opens : tuple of str
        Paths that wait for nothing else.
    waits : tuple of str
        Paths that wait for it among other things.
    """

    what: str
    find: str
    opens: tuple[str, ...]
    waits: tuple[str, ...]


def missing(museum: Museum, vehicle: str) -> tuple[Missing, ...]:
    """Return what is still unknown of a unit: first what alone opens a path, then by the paths that wait for it.

    A path that does not save the unit waits for nothing that matters here and is left out.

    Parameters
    ----------
    museum : Museum
    vehicle : str
        Id of the unit; ValueError lists the known ones otherwise.
    """
    saving = {row.path for row in museum.paths if row.saves}
    found = unknowns(museum, vehicle)
    waiting: dict[str, int] = {}
    for entry in found:
        for path in entry.blocks:
            waiting[path] = waiting.get(path, 0) + 1
    rows = [
        Missing(
            entry.what,
            entry.find,
            tuple(path for path in entry.blocks if path in saving and waiting[path] == 1),
            tuple(path for path in entry.blocks if path in saving and waiting[path] > 1),
        )
        for entry in found
    ]
    return tuple(sorted(rows, key=lambda row: (-len(row.opens), -len(row.waits))))
