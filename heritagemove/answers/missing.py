"""What is still unknown of a unit and its route, in the order in which finding it out opens paths."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from heritagemove.compare.results import Comparison, PathResult


@dataclass(frozen=True)
class Missing:
    """One thing that nobody knows yet, and the paths that wait for it."""

    what: str  # what is unknown
    find: str  # how to find it out
    opens: tuple[str, ...]  # paths that wait for nothing else
    waits: tuple[str, ...]  # paths that wait for it among other things


def missing(comparison: Comparison) -> tuple[Missing, ...]:
    """Return what is still unknown: first what alone opens a path, then by the number of paths that wait for it.

    A path that is blocked, or that does not save the unit, waits for nothing and is left out.
    """
    waiting: dict[tuple[str, str], list[str]] = {}
    for result in comparison.paths:
        if result.status != "blocked" and comparison.museum.path(result.path).saves:
            of_gates = [(f.gate.title, f.find) for f in result.findings if f.status == "unknown"]
            # What a path needs how much of mostly follows, once the rest is known.
            follows = [(name.replace("_", " "), "enter it in quantities.csv") for name in result.trials.unknown]
            for unknown in dict.fromkeys(of_gates or follows):
                waiting.setdefault(unknown, []).append(result.path)
    count = Counter(path for paths in waiting.values() for path in paths)
    rows = [
        Missing(
            what, find, tuple(path for path in paths if count[path] == 1), tuple(path for path in paths if count[path] > 1)
        )
        for (what, find), paths in waiting.items()
    ]
    return tuple(sorted(rows, key=lambda row: (-len(row.opens), -len(row.waits))))


def unknown_reasons(result: PathResult) -> tuple[str, ...]:
    """Return which of a path's reasons say that something is unknown, a hard stop first; none where it is blocked."""
    if result.status == "blocked":
        return ()
    unknown = [finding for finding in result.findings if finding.status == "unknown"]
    stops, cautions = ([f.reason for f in unknown if (f.gate.kind == "hard_stop") is hard] for hard in (True, False))
    drivers = [f"Unknown: {name.replace('_', ' ')}." for name in result.trials.unknown]
    return tuple(dict.fromkeys([*stops, *drivers, *cautions]))
