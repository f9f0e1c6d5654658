"""The chance to be off the site by a date that somebody asks about, path by path and unit by unit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from heritagemove.answers.joint_confidence import outcomes
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.memo import Memo
from heritagemove.trials import simulation

if TYPE_CHECKING:
    import pandas as pd


def chance_by(comparison: Comparison, date: dt.date, with_fallback: bool = False) -> dict[str, float | None]:
    """Return for each path the chance to be off the site by a date.

    The work goes on as planned for the museum's own deadline: another choice or fallback that a moved deadline
    might suggest is not looked for.

    Parameters
    ----------
    date : datetime.date
        A date before the start is an answer: no chance.
    with_fallback : bool
        Whether refusals are played out; the unit must then also be gone before the forced-scrap date.

    Returns
    -------
    dict of str to float or None
        By path; 0 for a blocked path, None where it is unknown, never leaves the site, or saves nothing
        while refusals are played out.
    """
    day = simulation.day_number(comparison.museum, date)
    return {result.path: _chance_by(comparison, result, day, with_fallback) for result in comparison.paths}


def _chance_by(comparison: Comparison, result: PathResult, day: int, with_fallback: bool) -> float | None:
    if result.status == "blocked":
        return 0.0
    if result.status == "unknown" or result.trials.off_site is None or (with_fallback and result.branch is None):
        return None
    if not with_fallback:
        return float(np.mean(result.trials.off_site <= day))
    return outcomes(comparison, result.path).chance(day=day)


def each_unit(comparison: Comparison) -> tuple[Comparison, ...]:
    """Return the comparison of every unit of the museum, on the same draws; that of the others has no settings."""
    base, samples, memo = comparison.base, comparison.samples, Memo()
    others = (row.vehicle for row in base.vehicles)
    return tuple(comparison if v == comparison.vehicle else compare_paths(base, v, None, samples, memo) for v in others)


def chances_by(comparisons: Sequence[Comparison], date: dt.date, with_fallback: bool = False) -> pd.DataFrame:
    """Return the chance by a date of every path of every unit: one row per unit, one column per path.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One per unit.

    Returns
    -------
    DataFrame of float
        By unit's and path's ids; nan as None in :func:`chance_by`.
    """
    import pandas as pd  # here, and not above: most answers need no table

    rows = {entry.vehicle: chance_by(entry, date, with_fallback) for entry in comparisons}
    return pd.DataFrame.from_dict(rows, orient="index").astype(float)
