"""Decision analysis on plain arrays: values and dominance, regret, and what information is worth."""

from __future__ import annotations

from typing import Any

import numpy as np

from heritagemove.units.units import PlannerError


def scaled(measures: np.ndarray, criteria: tuple[Any, ...], among: np.ndarray) -> np.ndarray:
    """Return the value of each measure on its criterion's scale, a straight line from 0 to 1, no further.

    Parameters
    ----------
    measures : ndarray, shape (paths, criteria)
    criteria : tuple of rows
        Of criteria.csv.
    among : ndarray, shape (paths, criteria)
        Measures whose worst and best make a scale that has no ends of its own.

    Returns
    -------
    ndarray, shape (paths, criteria)
        Where all measures of such a scale are equal, 1: it tells no path from another.
    """
    values = np.empty(measures.shape)
    for k, row in enumerate(criteria):
        ends = (row.worst, row.best)
        if row.worst is None:
            ends = (among[:, k].min(), among[:, k].max())[:: 1 if row.better == "higher" else -1]
        worst, best = ends
        values[:, k] = 1.0 if worst == best else np.clip((measures[:, k] - worst) / (best - worst), 0, 1) + 0.0
    return values


def dominance(measures: np.ndarray) -> np.ndarray:
    """Return which path dominates which: at least as good on every criterion, better on one.

    Parameters
    ----------
    measures : ndarray, shape (paths, criteria)
        Higher is better.

    Returns
    -------
    ndarray of bool, shape (paths, paths)
        True at [a, b] where a dominates b.

    Examples
    --------
    >>> dominance(np.array([[3, 2], [3, 1], [1, 4]])).astype(int)
    array([[0, 1, 0],
           [0, 0, 0],
           [0, 0, 0]])
    """
    one, other = measures[:, None, :], measures[None, :, :]
    return (one >= other).all(axis=2) & (one > other).any(axis=2)


def turning_shares(values: np.ndarray, shares: np.ndarray, criterion: int, best: int) -> list[tuple[float, int]]:
    """Return the shares of one weight at which another path overtakes the best, next below and next above.

    The others keep their proportions, so each total is linear in the share and the crossings are exact.

    Parameters
    ----------
    values : ndarray, shape (paths, criteria)
        0 to 1.
    shares : ndarray, shape (criteria,)
        Adding up to 1.
    criterion, best : int
        Column of the weight that moves, row of the path that is best now.

    Returns
    -------
    list of (float, int)
        Share and row of the path that overtakes; none where no share does.

    Examples
    --------
    Two criteria of equal weight, values (0.8, 0.4) against (0.2, 0.9): they tie at 0.8 t + 0.4 (1 - t) =
    0.2 t + 0.9 (1 - t), so at t = 5/11, below the half it has now.

    >>> turning_shares(np.array([[0.8, 0.4], [0.2, 0.9]]), np.array([0.5, 0.5]), 0, 0)
    [(0.45454545454545453, 1)]
    """
    rest = 1 - shares[criterion]
    if rest <= 1e-12:
        return []
    alone = values[best, criterion] - values[:, criterion]
    others = (values[best] - values) @ shares - alone * shares[criterion]
    others = others / rest
    below = [(others[n] / (others[n] - alone[n]), n) for n in range(len(values)) if others[n] < -1e-12]
    above = [(others[n] / (others[n] - alone[n]), n) for n in range(len(values)) if alone[n] < -1e-12]
    nearest = ([max(below)] if below else []) + ([min(above)] if above else [])
    return [(float(share), n) for share, n in nearest if share < 1]


def state_means(costs: np.ndarray, labels: np.ndarray, states: int) -> np.ndarray:
    """Return the mean cost of each path in each state.

    Parameters
    ----------
    costs : ndarray, shape (paths, trials)
    labels : ndarray of int, shape (trials,)
        State of each trial, 0 to states - 1; each occurs.

    Returns
    -------
    ndarray, shape (paths, states)
    """
    counts = np.bincount(labels, minlength=states)
    return np.stack([np.bincount(labels, weights=row, minlength=states) / counts for row in costs])


def regrets(costs: np.ndarray) -> np.ndarray:
    """Return the cost of each choice beyond the cheapest of its state.

    Parameters
    ----------
    costs : array_like, shape (choices, states)
        Payoffs are costs with the sign turned.

    Returns
    -------
    ndarray, shape (choices, states)
    """
    costs = np.asarray(costs, dtype=float)
    return costs - costs.min(axis=0)


def worst_regrets(costs: np.ndarray) -> np.ndarray:
    """Return the greatest regret of each choice over the states.

    Parameters
    ----------
    costs : array_like, shape (choices, states)

    Returns
    -------
    ndarray, shape (choices,)

    Examples
    --------
    Two plants, small and large, under low, middle and high demand, with payoffs in thousand USD:

    >>> worst_regrets([[-150, -200, -200], [-50, -200, -500]])
    array([300., 100.])
    """
    return regrets(costs).max(axis=1)


def expected_costs(costs: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Return the expected cost of each choice.

    Parameters
    ----------
    costs : array_like, shape (choices, states)
    shares : array_like, shape (states,)
        Probabilities of the states, adding up to 1.

    Returns
    -------
    ndarray, shape (choices,)

    Raises
    ------
    ValueError
        If the probabilities are not from 0 to 1 and add up to 1.
    """
    shares = np.asarray(shares, dtype=float)
    if not ((shares >= 0).all() and abs(shares.sum() - 1) < 1e-6):
        raise PlannerError(f"probabilities: found {shares.tolist()}; allowed: 0 to 1, adding up to 1")
    return np.asarray(costs, dtype=float) @ shares


def expected_regrets(costs: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Return the expected opportunity loss of each choice; the least of them is the value of perfect information.

    Parameters and Raises as for :func:`expected_costs`.

    Examples
    --------
    >>> expected_regrets([[-200, -100, 120], [-90, -50, 20], [0, 0, 0]], [0.3, 0.5, 0.2])
    array([ 24.,  62., 110.])
    """
    return expected_costs(regrets(costs), shares)


def expected_value_of_information(costs: np.ndarray, shares: np.ndarray, answers: np.ndarray) -> float:
    """Return what an answer before the choice is expected to save.

    min over choices of the expected cost, less the sum over answers of the least expected cost given the answer:
    min_a Σ_s p_s c_as - Σ_m min_a Σ_s p_s P(m | s) c_as.

    Parameters
    ----------
    costs : array_like, shape (choices, states)
    shares : array_like, shape (states,)
        Probabilities of the states, adding up to 1.
    answers : array_like, shape (answers, states)
        Probability of each answer in each state; each column adds up to 1. The unit matrix is certain knowledge.

    Returns
    -------
    float
        In the unit of the costs; never below 0.

    Raises
    ------
    ValueError
        If a probability is outside 0 to 1 or they do not add up to 1.

    Examples
    --------
    A large, a small and no plant; a survey that foretells a good market 7 times in 10 where it is good and
    2 times in 10 where it is bad:

    >>> costs = [[-200, 180], [-100, 20], [0, 0]]
    >>> round(expected_value_of_information(costs, [0.5, 0.5], [[0.7, 0.2], [0.3, 0.8]]), 1)
    19.0
    >>> round(expected_value_of_information(costs, [0.5, 0.5], [[1, 0], [0, 1]]), 1)
    60.0
    """
    costs, answers = np.asarray(costs, dtype=float), np.asarray(answers, dtype=float)
    if not ((answers >= 0).all() and np.allclose(answers.sum(axis=0), 1, atol=1e-6)):
        raise PlannerError(f"answers: found {answers.tolist()}; allowed: 0 to 1, each column adding up to 1")
    without = expected_costs(costs, shares).min()
    knowing = sum((costs @ (np.asarray(shares) * answer)).min() for answer in answers)
    return max(float(without - knowing), 0.0)
