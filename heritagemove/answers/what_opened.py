"""What an answer opened: which paths became possible or impossible by it, and what is worth finding out next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heritagemove.compare.decided import Missing
from heritagemove.compare.missing import missing
from heritagemove.compare.results import Comparison, PathResult

POSSIBLE, PROVISIONAL, UNKNOWN, IMPOSSIBLE = "possible", "possible by what is typical", "unknown", "impossible"


@dataclass(frozen=True)
class PathStanding:
    """Where a path stands."""

    number: int
    title: str
    state: str  # one of POSSIBLE, PROVISIONAL, UNKNOWN, IMPOSSIBLE
    why: tuple[str, ...]  # what stops it, or what only an answer can tell; none where nothing does


def standings(paths: Sequence[PathResult]) -> dict[str, PathStanding]:
    """Return where each path that could save the unit stands, by its id."""
    found = {}
    for result in sorted(paths, key=lambda each: each.number):
        if not result.saves:
            continue
        state = IMPOSSIBLE if result.status == "blocked" else UNKNOWN if result.status == "unknown" else POSSIBLE
        state = PROVISIONAL if state == UNKNOWN and result.provisional and result.provisional[1] > 0 else state
        untold = tuple(each.what for each in result.waits_for if not each.typical)
        why = result.reasons if state == IMPOSSIBLE else untold if state == UNKNOWN else ()
        found[result.path] = PathStanding(result.number, result.title, state, why)
    return found


def became(before: Sequence[PathResult], after: Sequence[PathResult]) -> tuple[PathStanding, ...]:
    """Return the paths that stand elsewhere after an answer than before it, or are new."""
    was, now = standings(before), standings(after)
    return tuple(each for path, each in now.items() if path not in was or was[path].state != each.state)


def taken_out(before: Sequence[PathResult], after: Sequence[PathResult]) -> tuple[PathStanding, ...]:
    """Return the paths that an answer took out of the museum."""
    was, now = standings(before), standings(after)
    return tuple(each for path, each in was.items() if path not in now)


def worth_finding(comparison: Comparison) -> tuple[Missing, ...]:
    """Return what is still unknown, first what nothing typical stands for: without it no path comes to an answer."""
    untold = {each.what for result in comparison.paths for each in result.waits_for if not each.typical}
    found = missing(comparison.museum, comparison.paths, comparison.samples)
    return tuple(sorted(found, key=lambda row: row.what not in untold))
