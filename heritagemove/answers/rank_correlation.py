"""Spearman's rank correlation: how surely two quantities rise together, whatever the shape of what links them."""

from __future__ import annotations

import numpy as np


def ranks(values: np.ndarray) -> np.ndarray:
    """Return the rank of each value, from 1 up; equal values share the mean of their ranks.

    Examples
    --------
    >>> ranks(np.array([30.0, 10.0, 20.0, 10.0])).tolist()
    [4.0, 1.5, 3.0, 1.5]
    """
    _, place, counts = np.unique(values, return_inverse=True, return_counts=True)
    return (np.cumsum(counts) - (counts - 1) / 2)[place]


def rank_correlation(first: np.ndarray, second: np.ndarray) -> float:
    """Return Spearman's rank correlation, -1 to 1: Pearson's, of the ranks.

    Examples
    --------
    >>> round(rank_correlation(np.array([1.0, 2.0, 3.0, 4.0]), np.array([1.0, 8.0, 27.0, 20.0])), 6)
    0.8
    """
    return float(np.corrcoef(ranks(first), ranks(second))[0, 1])
