"""How the chance falls, meeting by meeting, as the committee waits: the standing policy decided later."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from heritagemove.compare import decision
from heritagemove.compare.policy import meetings
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.memo import Ask, afresh
from heritagemove.trials import simulation
from heritagemove.trials.playing import AS_FOUND, Playable, Policy, play
from heritagemove.units.words import show_date


@dataclass(frozen=True)
class Waiting:
    """One path decided at each meeting, all in."""

    path: str
    days: np.ndarray  # of int, shape (meetings,); day numbers; empty where nobody decides on it, or it is committed to
    chances: np.ndarray  # shape (meetings,); chance to be off the site by the deadline, refusals and fallbacks included
    last: int | None  # day number of the last meeting that reaches the museum's confidence; None where none does


def waiting(comparison: Comparison, path: str, memo: Ask = afresh) -> Waiting:
    """Return the chance all in against the meeting that decides on a path.

    The choice is played by the decision's own policy, another path with the one fallback that it has of its own.

    Raises
    ------
    ValueError
        If the path cannot be chosen.
    """
    museum, result = comparison.museum, comparison.path(path)
    chance = _chance(comparison, path, memo)
    days = np.array([], int) if decision.committed_on(museum, result) else meetings(museum, path)
    chances = np.array([chance(day) for day in days])
    reached = days[chances >= museum.scenario.simulation.confidence]
    return Waiting(path, days, chances, int(reached[-1]) if len(reached) else None)


def one_meeting_later(comparison: Comparison, memo: Ask = afresh) -> tuple[dt.date, float] | None:
    """Return the meeting after the last that decides on the choice, and the chance all in if it decides; else None."""
    if comparison.choice is None or comparison.decide_by is None:
        return None
    last = simulation.day_number(comparison.museum, comparison.decide_by)
    later = [int(day) for day in meetings(comparison.museum, comparison.choice) if day > last]
    if not later or decision.committed_on(comparison.museum, comparison.path(comparison.choice)):
        return None
    return simulation.date_of(comparison.museum, later[0]), _chance(comparison, comparison.choice, memo)(later[0])


def _chance(comparison: Comparison, path: str, memo: Ask) -> Callable[[int], float]:
    museum, result = comparison.museum, comparison.path(path)
    options = {r.path: Playable(r.path, r.work, r.findings) for r in decision.able(comparison.paths)}
    if path not in options:
        raise ValueError(f"{path}: found {result.status}; allowed: a path that could be chosen")
    policy = comparison.decision.played.policy if path == comparison.choice else _own(result, options[path])
    deadline = simulation.day_number(museum, museum.scenario.deadline)

    def chance(day: int) -> float:
        decided = dataclasses.replace(policy, meeting=int(day))
        return float(np.mean(play(museum, decided, options, comparison.samples, memo, costs=False).in_time(deadline)))

    return chance


def _own(result: PathResult, playable: Playable) -> Policy:
    return Policy(result.path, dict.fromkeys((*playable.asked(), AS_FOUND), result.branch.fallback))


def meeting_in_words(comparison: Comparison) -> str:
    """Return the last meeting that decides on the choice, for a cell or a title."""
    if comparison.choice is None:
        return "nothing to decide"
    committed = decision.committed_on(comparison.museum, comparison.path(comparison.choice))
    if committed:
        return f"committed on {show_date(committed)}"
    by = comparison.decision.decide_by
    return show_date(by) if by else "at once: no meeting keeps the date"


def worth_waiting_for(comparison: Comparison) -> tuple[str, ...]:
    """Return the paths whose waiting is told: the choice, what it turns to and what is as good; else the surest three."""
    told = (comparison.choice, comparison.fallback, *comparison.decision.tie_with)
    able = [r.path for r in sorted(decision.able(comparison.paths), key=lambda r: -(r.chance_with_fallback or 0))]
    if comparison.choice is None:
        return tuple(able[:3])
    return tuple(path for path in dict.fromkeys(told) if path in able)
