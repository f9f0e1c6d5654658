"""How far a reported chance or percentile may be off because the trials are a sample.

Exact for independent trials. The draws are stratified, so what is reported here is rather too wide than too narrow.
"""

from __future__ import annotations

import math

import numpy as np

from heritagemove.units.units import PlannerError

LEVEL = 0.95


def chance_interval(hits: int, trials: int, level: float = LEVEL) -> tuple[float, float]:
    """Return the exact interval of a chance of which `hits` of `trials` were counted.

    Quantiles of two beta distributions, B(α/2; k, n - k + 1) and B(1 - α/2; k + 1, n - k).

    Parameters
    ----------
    hits : int
        From 0 to `trials`.
    trials : int
        At least 1.
    level : float
        Share of samples whose interval holds the true chance, above 0 and below 1.

    Returns
    -------
    tuple of float
        Lower and upper end, 0 to 1.

    Raises
    ------
    ValueError
        If hits, trials or level are out of range.

    References
    ----------
    Clopper and Pearson, Biometrika 26 (1934), "The use of confidence or fiducial limits illustrated in the case of
    the binomial", from memory. With no hit the upper end is 1 - (α/2)^(1/n).

    Examples
    --------
    >>> [round(end, 4) for end in chance_interval(0, 10)]
    [0.0, 0.3085]
    """
    _allow(level, trials)
    if not 0 <= hits <= trials:
        raise PlannerError(f"hits: found {hits}; allowed: from 0 to {trials}")
    tail = (1 - level) / 2
    from scipy import special  # here, and not above: importing it takes as long as reading a museum

    low = special.betaincinv(hits, trials - hits + 1, tail) if hits else 0.0
    high = special.betaincinv(hits + 1, trials - hits, 1 - tail) if hits < trials else 1.0
    return float(low), float(high)


def half_width_of_chance(chance: float, trials: int, level: float = LEVEL) -> float:
    """Return half the width of the exact interval of a chance that was counted in so many trials.

    Raises
    ------
    ValueError
        If `chance` is not from 0 to 1, or as for :func:`chance_interval`.

    Examples
    --------
    >>> round(half_width_of_chance(0.8, 10000), 4)
    0.0079
    """
    if not 0 <= chance <= 1:
        raise PlannerError(f"chance: found {chance:g}; allowed: from 0 to 1")
    low, high = chance_interval(round(chance * trials), trials, level)
    return (high - low) / 2


def order_ranks(share: float, trials: int, level: float = LEVEL) -> tuple[int, int]:
    """Return which of the sorted trials, counted from 1, enclose the true quantile with at least this confidence.

    The number of trials below the true quantile is binomial, whatever the distribution: P(X_(l) <= q <= X_(u))
    is the chance of l to u - 1 trials below it.

    Parameters
    ----------
    share : float
        Of the quantile, above 0 and below 1.

    Returns
    -------
    tuple of int
        From 0 (no trial is low enough) to `trials` + 1 (none is high enough).

    References
    ----------
    David and Nagaraja, Order Statistics, 3rd edition, section 7.1, from memory.

    Examples
    --------
    >>> order_ranks(0.8, 10000)
    (7921, 8079)
    """
    _allow(level, trials)
    if not 0 < share < 1:
        raise PlannerError(f"share: found {share:g}; allowed: above 0 and below 1")
    tail = (1 - level) / 2
    return _binomial_quantile(tail, trials, share), _binomial_quantile(1 - tail, trials, share) + 1


def _binomial_quantile(chance: float, trials: int, share: float) -> int:
    """Return the least number of hits that is not exceeded with at least this chance."""
    from scipy import special  # here, and not above: importing it takes as long as reading a museum

    hits = math.ceil(special.bdtrik(chance, trials, share))
    return hits - 1 if hits and special.bdtr(hits - 1, trials, share) >= chance else hits


def half_width_of_percentile(values: np.ndarray, percent: float, level: float = LEVEL) -> float:
    """Return half the distance between the two trials that enclose the true percentile.

    Parameters
    ----------
    values : ndarray, shape (trials,)
    percent : float
        Above 0 and below 100.

    Returns
    -------
    float
        In the unit of the values; infinite where the trials are too few.
    """
    low, high = order_ranks(percent / 100, len(values), level)
    if low < 1 or high > len(values):
        return float("inf")
    ends = np.partition(values, (low - 1, high - 1))[[low - 1, high - 1]]
    return float(ends[1] - ends[0]) / 2


def _allow(level: float, trials: int) -> None:
    if not 0 < level < 1:
        raise PlannerError(f"level: found {level:g}; allowed: above 0 and below 1")
    if trials < 1:
        raise PlannerError(f"trials: found {trials}; allowed: at least 1")
