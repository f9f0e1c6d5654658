"""What is still unknown of a unit and its route, in the order in which finding it out opens paths."""

from __future__ import annotations

from dataclasses import dataclass

from heritagemove.compare.results import Comparison

_FOLLOWS = "enter it in quantities.csv"


@dataclass(frozen=True)
class Missing:
    """One thing that nobody knows yet, and the paths that wait for it."""

    what: str  # what is unknown, and how to find it out
    find: str  # what is unknown, and how to find it out
    opens: tuple[str, ...]  # paths that wait for nothing else
    waits: tuple[str, ...]  # paths that wait for it among other things


def missing(comparison: Comparison) -> tuple[Missing, ...]:
    """Return what is still unknown: first what alone opens a path, then by the number of paths that wait for it.

    A path that is blocked, or that does not save the unit, waits for nothing and is left out.

    Parameters
    ----------
    comparison : Comparison
    """
    waiting: dict[tuple[str, str], list[str]] = {}
    for result in comparison.paths:
        if result.status != "blocked" and comparison.museum.path(result.path).saves:
            found = [unknown for reason in result.reasons if (unknown := _unknown(reason))]
            # What a path needs how much of mostly follows, once the rest is known.
            first = [unknown for unknown in found if unknown[1] != _FOLLOWS] or found
            for unknown in dict.fromkeys(first):
                waiting.setdefault(unknown, []).append(result.path)
    count: dict[str, int] = {}
    for paths in waiting.values():
        for path in paths:
            count[path] = count.get(path, 0) + 1
    rows = [
        Missing(
            what,
            find,
            tuple(path for path in paths if count[path] == 1),
            tuple(path for path in paths if count[path] > 1),
        )
        for (what, find), paths in waiting.items()
    ]
    return tuple(sorted(rows, key=lambda row: (-len(row.opens), -len(row.waits))))


def _unknown(reason: str) -> tuple[str, str] | None:
    """Return what a reason says is unknown and how to find it out, or None if it says nothing of the kind."""
    if reason.startswith("Unknown: "):
        return reason.removeprefix("Unknown: ").rstrip("."), _FOLLOWS
    what, unknown, find = reason.partition(": unknown")
    return (what, find.lstrip(";: ").rstrip(".")) if unknown else None
