"""Weigh evidence: Bayes' rule, and what another look is expected to tell."""

from __future__ import annotations

import math
from collections.abc import Sequence


def posterior(prior: Sequence[float], likelihoods: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Return the probability of each hypothesis after independent evidence: P_i ∝ prior_i · ∏ L_ki.

    Parameters
    ----------
    prior : sequence of float
        Probability of each hypothesis before the evidence, adding up to 1 [-].
    likelihoods : sequence of sequence of float
        For each piece of evidence its probability under each hypothesis, 0 to 1 [-].

    Returns
    -------
    tuple of float
        Adding up to 1 [-].

    Raises
    ------
    ValueError
        If a number is not from 0 to 1, the prior does not add up to 1, lengths differ, or no hypothesis
        can show the evidence.

    Examples
    --------
    >>> [round(share, 4) for share in posterior((0.25, 0.35, 0.40), [(0.05, 0.04, 0.02)])]
    [0.3623, 0.4058, 0.2319]
    """
    answer = _shares(prior, "prior")
    if abs(sum(answer) - 1) > 1e-6:
        raise ValueError(f"prior: found shares that add up to {sum(answer):g}; allowed: 1")
    for shares in likelihoods:
        if len(shares) != len(answer):
            raise ValueError(f"likelihoods: found {len(shares)}; allowed: {len(answer)}, one for each share of the prior")
        weighted = [before * share for before, share in zip(answer, _shares(shares, "likelihood"), strict=True)]
        if not sum(weighted) > 0:
            raise ValueError("likelihoods: found evidence that no hypothesis can show; allowed: one above 0")
        answer = tuple(share / sum(weighted) for share in weighted)
    return answer


def entropy(probabilities: Sequence[float]) -> float:
    """Return how much is still unknown: H = -Σ p log2 p [bit]; 0 when certain.

    Examples
    --------
    >>> entropy((0.5, 0.5))
    1.0
    """
    return -sum(share * math.log2(share) for share in _shares(probabilities, "probability") if share > 0) + 0.0


def expected_gain(prior: Sequence[float], outcomes: Sequence[Sequence[float]]) -> float:
    """Return how much looking is expected to tell: H(prior) - Σ_o P(o) H(posterior given o) [bit].

    Parameters
    ----------
    prior : sequence of float
        Probability of each hypothesis now [-].
    outcomes : sequence of sequence of float
        For each thing that may be found, its probability under each hypothesis; each column adds up to 1 [-].

    Raises
    ------
    ValueError
        As :func:`posterior`, or if a column does not add up to 1.

    Examples
    --------
    >>> round(expected_gain((0.5, 0.5), [(1.0, 0.0), (0.0, 1.0)]), 6)
    1.0
    """
    for total in (sum(column) for column in zip(*outcomes, strict=True)):
        if abs(total - 1) > 1e-6:
            raise ValueError(f"outcomes: found shares that add up to {total:g} under one hypothesis; allowed: 1")
    remaining = 0.0
    for shares in outcomes:
        chance = sum(before * share for before, share in zip(prior, shares, strict=True))
        if chance > 0:
            remaining += chance * entropy(posterior(prior, [shares]))
    return max(entropy(prior) - remaining, 0.0)


def _shares(numbers: Sequence[float], name: str) -> tuple[float, ...]:
    for number in numbers:
        if not 0 <= number <= 1:
            raise ValueError(f"{name}: found {number:g}; allowed: 0 to 1")
    return tuple(numbers)
