"""The dated decision: which path, which fallback, and by which day."""

from __future__ import annotations

import datetime as dt

import numpy as np

from heritagemove import simulation
from heritagemove.museum import Museum
from heritagemove.results import PathResult, show_date
from heritagemove.simulation import Samples


def latest_decision(museum: Museum, result: PathResult, samples: Samples, confidence: float | None = None) -> dt.date | None:
    """Return the last day on which the committee can commit to a path and still meet the deadline.

    Parameters
    ----------
    confidence : float, optional
        Chance to be off the site by the deadline; by default museum.toml's.

    Returns
    -------
    datetime.date or None
        None where even the earliest decision does not give that chance.
    """
    confidence = museum.scenario.simulation.confidence if confidence is None else confidence
    decision = simulation.milestone(museum, result.path, "decision")
    leaves = simulation.milestone(museum, result.path, "off_site")
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    if decision is None or leaves is None or deadline < 0:
        return None
    days = simulation.working_days(museum, result.path, result.work, samples)

    def chance(day: int) -> float:
        dates = simulation.date_tasks(museum, result.path, days, samples, {decision: day + 1})
        return float(np.mean(dates.finish[leaves] - 1 <= deadline))

    if chance(0) < confidence:
        return None
    good, bad = 0, deadline + 1
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (middle, bad) if chance(middle) >= confidence else (good, middle)
    return simulation.date_of(museum, good)


def _able(results: tuple[PathResult, ...]) -> list[PathResult]:
    """Return the paths that save the unit, are not blocked or unknown, and are priced and dated."""
    possible = [r for r in results if r.saves and r.status in ("clear", "caution")]
    return [r for r in possible if r.cost and r.chance_by_deadline is not None]


def _ranked(museum: Museum, able: list[PathResult]) -> list[PathResult]:
    """Sort paths: those with the confidence in date and in gates by P80 cost, then the rest by joint chance."""
    confidence = museum.scenario.simulation.confidence

    def key(result: PathResult) -> tuple[int, float]:
        if result.chance_by_deadline >= confidence and result.chance_of_gates >= confidence:
            return 0, result.cost.p80
        return 1, -result.chance_by_deadline * result.chance_of_gates

    return sorted(able, key=key)


def choose(museum: Museum, results: tuple[PathResult, ...]) -> PathResult | None:
    """Return the path to take, or None where no path saves the unit in time.

    The cheapest at P80 among the paths whose chance by the deadline and whose chance of gates both
    reach the museum's confidence; where none does, the one with the best joint chance.
    """
    ranked = _ranked(museum, _able(results))
    if not ranked or not ranked[0].chance_by_deadline * ranked[0].chance_of_gates:
        return None
    return ranked[0]


def fall_back(museum: Museum, results: tuple[PathResult, ...], choice: PathResult | None) -> PathResult | None:
    """Return the path to turn to when the choice is refused: the one its row names, else the next best."""
    if choice is None:
        return next((r for r in results if r.path == "decline"), None)
    rest = [r for r in _able(results) if r.path != choice.path and r.chance_by_deadline > 0]
    named = [r for r in rest if r.path == museum.path(choice.path).fallback]
    ranked = _ranked(museum, rest)
    return (named or ranked or [None])[0]


def in_words(
    museum: Museum,
    vehicle: str,
    choice: PathResult | None,
    fallback: PathResult | None,
    decide_by: dt.date | None,
    switch_by: dt.date | None,
) -> str:
    """Return the decision in words: what, by when, and what then."""
    name = museum.vehicle(vehicle).name
    deadline = show_date(museum.scenario.deadline)
    if choice is None:
        return f"{name}: no path saves it by {deadline} as things stand. Decline and record, or move the deadline."
    confidence = museum.scenario.simulation.confidence
    parts = [
        f"{name}: choose path {choice.number}, {choice.title}: {choice.cost.p80:,.0f} USD at P80, "
        f"{choice.chance_by_deadline:.0%} off site by {deadline}."
    ]
    if decide_by:
        parts.append(f"Commit by {show_date(decide_by)} to keep {confidence:.0%}.")
    else:
        parts.append(f"Even an immediate decision does not reach {confidence:.0%}: ask the owner for more time.")
    if fallback:
        turn = f"by {show_date(switch_by)}" if switch_by else "at once"
        parts.append(f"{_hinge(choice, fallback)}, turn to path {fallback.number}, {fallback.title}, {turn}.")
    else:
        parts.append("No other path saves it: if this one is refused, decline and record.")
    return " ".join(parts)


def _hinge(choice: PathResult, fallback: PathResult) -> str:
    """Name the likeliest refusal of the choice that would not stop the fallback too."""
    shared = {finding.gate.gate for finding in fallback.findings}
    asked = [f for f in choice.findings if f.status == "open" and f.refusal > 0 and f.gate.gate not in shared]
    if not asked:
        return "If it is refused"
    return f'If "{max(asked, key=lambda finding: finding.refusal).gate.title}" is refused'
