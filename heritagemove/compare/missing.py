"""What is still unknown of a unit and its route: what finding it out opens, who finds it out, and by when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np

from heritagemove.compare import decision
from heritagemove.compare.decided import Missing
from heritagemove.compare.results import PathResult
from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials.simulation import Samples


def missing(museum: Museum, paths: Sequence[PathResult], samples: Samples, memo: Ask = afresh) -> tuple[Missing, ...]:
    """Return what is still unknown of the paths that could save a unit, first what finding it out is worth most.

    A path that is blocked, or that does not save the unit, waits for nothing and is left out. Who signs the gate finds
    it out, by the last meeting (or working day) that leaves one of the paths its time before the deadline.
    """
    waiting: dict[tuple[str, str], list[tuple[PathResult, str]]] = {}
    for result in paths:
        if result.saves and result.status == "unknown":
            for unknown in result.waits_for:
                waiting.setdefault((unknown.what, unknown.find), []).append((result, unknown.who))
    count: dict[str, int] = {}
    for waits in waiting.values():
        for result, _ in waits:
            count[result.path] = count.get(result.path, 0) + 1
    last_day = {result.path: _last_day(museum, result, samples, memo) for waits in waiting.values() for result, _ in waits}
    rows = []
    for (what, find), waits in waiting.items():
        days = [last_day[result.path] for result, _ in waits if last_day[result.path]]
        rows.append(
            Missing(
                what=what,
                find=find,
                who=waits[0][1],
                by=max(days, default=None),
                opens=tuple(result.path for result, _ in waits if count[result.path] == 1),
                waits=tuple(result.path for result, _ in waits if count[result.path] > 1),
                worth=sum(_at_best(result) / count[result.path] for result, _ in waits),
            )
        )
    return tuple(sorted(rows, key=lambda row: (-row.worth, -len(row.opens), -len(row.waits))))


def _at_best(result: PathResult) -> float:
    """Return the chance that a path saves the unit in time if all that is unknown turns out well."""
    if result.provisional:
        return result.provisional[1]
    granted = np.prod([1 - f.refusal for f in result.findings if f.status == "open"])
    return float(granted) * (result.chance_by_deadline or 0.0)


def _last_day(museum: Museum, result: PathResult, samples: Samples, memo: Ask) -> dt.date | None:
    """Return the last sitting of those who decide that leaves a path its time; None where none does."""
    one = 1 / samples.trials
    day = None
    for confidence in (None, one):  # with the museum's confidence; where that cannot be had, at all
        day = day or decision.latest_decision(museum, result, samples, confidence, memo)
    return day and decision.sitting_by(museum, result.path, day)


def unknown_reasons(result: PathResult) -> tuple[str, ...]:
    """Return which of a path's reasons say that something is unknown, a hard stop first; none where it is blocked."""
    if result.status == "blocked":
        return ()
    unknown = [finding for finding in result.findings if finding.status == "unknown"]
    stops, cautions = ([f.reason for f in unknown if (f.gate.kind == "hard_stop") is hard] for hard in (True, False))
    drivers = [f"Unknown: {name.replace('_', ' ')}." for name in result.trials.unknown]
    return tuple(dict.fromkeys([*stops, *drivers, *cautions]))
