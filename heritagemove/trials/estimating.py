"""Estimating error: how far an estimate turns out to be off, beyond what its rows' own ranges say.

factor = exp(σ (√a common + √b by mode + √(1 - a - b) by path)), with a median of 1. It acts on cost lines without a quote
and on working days after the commitment that are not booked; σ, a and b are rows of estimating_errors.csv. Money and days
of a path share their score: what was thought too cheap was thought too quick.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from heritagemove.museum.museum import Museum
from heritagemove.trials.sampling import Streams, normal_score

#: Scores end here, at one trial in 740 on either side: days that know no end could not be dated.
MOST_SCORE = 3.0
#: P10 to P90 of a normal distribution, in standard deviations.
_P10_TO_P90 = 2.563
#: What days rest on where they are no estimate: a booking in writing, or a date on record.
_BOOKED = ("quote", "measured")


def switched(museum: Museum, on: bool) -> Museum:
    """Return the museum with the estimating error switched on or off."""
    settings = museum.scenario.simulation
    if settings.estimating_error == on:
        return museum
    return museum.with_changes(simulation=settings.model_copy(update={"estimating_error": on}))


def ties(museum: Museum, path: str) -> tuple[str, float, float]:
    """Return what ties the error of a path to others': its mode, and the shares a and b of the variance in common."""
    stages = [row for row in museum.stages if row.path == path]
    longest = max(stages, key=lambda row: sum(leg.length.m_as("mile") for leg in museum.legs_of(row)), default=None)
    return longest.mode if longest else "none", _value(museum, "common"), _value(museum, "mode")


def scores(streams: Streams, path: str, mode: str, common: float, by_mode: float) -> np.ndarray:
    """Return the normal score of a path's estimating error in every trial.

    Returns
    -------
    ndarray, shape (trials,)
        From -3 to 3. The correlation of two paths is a + b where they share their mode, and a where they do not.
    """
    parts = (("common", common), (f"mode/{mode}", by_mode), (f"path/{path}", 1 - common - by_mode))
    drawn = sum(math.sqrt(max(share, 0.0)) * normal_score(streams.shares(f"estimating/{name}")) for name, share in parts)
    # Dealt out by rank, as the draws of a market are: the error keeps its exact distribution.
    exact = np.empty(streams.trials)
    exact[np.argsort(drawn)] = normal_score((np.arange(streams.trials) + 0.5) / streams.trials)
    return np.clip(exact, -MOST_SCORE, MOST_SCORE)


def factor(score: np.ndarray, sigma: float) -> np.ndarray:
    """Return the factor exp(σ score) of each trial."""
    return np.exp(sigma * score)


def sigma_of_time(museum: Museum) -> float:
    """Return σ of working days that are not booked."""
    return _value(museum, "time")


def sigma_of_money(museum: Museum, quoted: float) -> float:
    """Return σ of the cost lines without a quote.

    Parameters
    ----------
    quoted : float
        Share of the path's P50 money under firm quotes, 0 to 1.

    Returns
    -------
    float
        Between two rows in proportion, and never less than the range of the estimate's class at its tightest.

    References
    ----------
    AACE International Recommended Practice 18R-97: the class by what is defined, for which the share under quotes stands.
    """
    rows = sorted((row.quoted, row.value) for row in museum.estimating_errors if row.error == "money")
    between = float(np.interp(quoted, *zip(*rows, strict=True))) if rows else 0.0
    return max(between, _least(museum.estimate_classes, quoted))


def _least(classes: Iterable[Any], defined: float) -> float:
    reached = [row for row in classes if row.defined_from <= 100 * defined]
    if not reached:
        return 0.0
    best = max(reached, key=lambda row: row.defined_from)
    return math.log((1 + best.high_tightest / 100) / (1 + best.low_tightest / 100)) / _P10_TO_P90


def estimated_tasks(museum: Museum, path: str) -> tuple[str, ...]:
    """Return the tasks whose days are estimates: work behind the decision, neither booked nor on record, and no wait."""
    behind: set[str] = set()
    rows = museum.of_path("tasks", path)
    decision = {row.task for row in rows if "decision" in row.milestone}
    grown = True
    while grown:
        more = {row.task for row in rows if (behind | decision).intersection(row.after)} - behind
        behind, grown = behind | more, bool(more)
    return tuple(row.task for row in rows if row.task in behind and not _waits(row) and row.basis not in _BOOKED)


def _waits(task: Any) -> bool:
    """Return whether a task's days are others' and no work: said so, or money, or asked of each state or railroad."""
    return task.waits_for_others or task.fund is not None or task.for_each is not None


def _value(museum: Museum, error: str) -> float:
    return next((row.value for row in museum.estimating_errors if row.error == error), 0.0)
