"""Regret: what a choice costs beyond the path that would have been cheapest, state by state and trial by trial."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from heritagemove.answers.decision_analysis import expected_regrets, regrets, state_means, worst_regrets
from heritagemove.compare import decision
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.units.units import value

if TYPE_CHECKING:
    import pandas as pd

#: At most so many gates make states: with two, each third of the prices has four.
_GATES = 2


@dataclass(frozen=True)
class StateOfNature:
    """What no choice changes: the third of the prices, and the titles of the likeliest gates that are refused."""

    prices: str
    refused: tuple[str, ...]

    def __str__(self) -> str:
        return self.prices + "".join(f"; refused: {title}" for title in self.refused)


@dataclass(frozen=True)
class RegretTable:
    """What each path costs in each state of the world, lateness and loss included."""

    options: tuple[PathResult, ...]
    states: tuple[StateOfNature, ...]
    shares: np.ndarray  # shape (states,); share of the trials in each state
    # shape (paths, states); mean cost with the fallback, the owner's charge and the loss at agreed value [USD]
    costs_usd: np.ndarray
    # shape (paths,); mean cost beyond the cheapest path of each single trial: what perfect foresight would save [USD]
    hindsight_usd: np.ndarray

    @property
    def currency(self) -> str:
        """The museum's currency; blank where no path could be chosen."""
        return self.options[0].currency if self.options else ""

    @property
    def regrets_usd(self) -> np.ndarray:
        """Cost beyond the cheapest path of each state, shape (paths, states) [USD]."""
        return regrets(self.costs_usd)

    @property
    def minimax(self) -> PathResult | None:
        """The path whose worst regret is least."""
        return self.options[int(np.argmin(worst_regrets(self.costs_usd)))] if self.options else None

    @property
    def least_expected(self) -> PathResult | None:
        """The path whose expected cost is least."""
        return self.options[int(np.argmin(self.costs_usd @ self.shares))] if self.options else None

    def in_words(self) -> str:
        """Return which path is regretted least, at worst and on average."""
        currency = self.currency
        if not self.options:
            return "No path can be chosen: nothing to regret."
        worst, means = worst_regrets(self.costs_usd), self.costs_usd @ self.shares
        least, cheapest = self.minimax, self.least_expected
        text = (
            f"Path {least.number} has the smallest worst regret: {worst.min():,.0f} {currency} "
            f"in one of {len(self.states)} states. "
            f"Path {cheapest.number} costs least on average: {means.min():,.0f} {currency}, lateness and loss included"
        )
        return text + (": the same path." if least is cheapest else ".")

    def table(self) -> pd.DataFrame:
        """Return one row per path: regret in each state, the worst of them, the expected regret and cost [USD]."""
        import pandas as pd  # here, and not above: most answers need no table

        columns = {f"regret: {state}": self.regrets_usd[:, n] for n, state in enumerate(self.states)}
        head = {"number": [o.number for o in self.options], "path": [o.title for o in self.options]}
        tail = {
            "worst regret": worst_regrets(self.costs_usd),
            "expected regret": expected_regrets(self.costs_usd, self.shares),
            "expected regret against hindsight": self.hindsight_usd,
            "expected cost": self.costs_usd @ self.shares,
        }
        return pd.DataFrame(head | columns | tail)


def regret_table(comparison: Comparison, saving_only: bool = True) -> RegretTable:
    """Return what each path that could be chosen costs in each state of the world, and the regrets.

    A state is what no choice changes: the third of the trials by price level, and whether the likeliest
    open gates (at most two, each refused with at least 6 per cent somewhere) would be refused. The price level
    of a trial is the mean over the paths of the cost without refusals, each over its own mean.

    Parameters
    ----------
    saving_only : bool
        Whether to leave out the paths that save nothing; they cost the agreed value of the unit too.

    References
    ----------
    Savage, L. J., "The theory of statistical decision", Journal of the American Statistical Association 46 (1951),
    from memory: the decision with the least maximum regret.
    """
    options = choosable(comparison, saving_only)
    if not options:
        return RegretTable((), (), np.array([]), np.empty((0, 0)), np.array([]))
    costs = np.stack([cost_of(comparison, option) for option in options])
    labels, states = _world(comparison, options)
    shares = np.bincount(labels, minlength=len(states)) / len(labels)
    return RegretTable(
        options, states, shares, state_means(costs, labels, len(states)), (costs - costs.min(axis=0)).mean(axis=1)
    )


def choosable(comparison: Comparison, saving_only: bool = True) -> tuple[PathResult, ...]:
    """Return the paths that could be chosen, those that save nothing only when asked."""
    able = decision.able(comparison.paths)
    others = [
        result
        for result in comparison.paths
        if not result.saves and result.cost and result.status in ("clear", "caution")
        and not comparison.museum.interim(result.path)
    ]  # fmt: skip
    return tuple(able if saving_only else sorted([*able, *others], key=lambda result: result.number))


def cost_of(comparison: Comparison, result: PathResult) -> np.ndarray:
    """Return what a choice costs in each trial, lateness, fallback and the unit's loss included [USD], shape (trials,)."""
    if result.branch is not None:
        return result.branch.cost_usd
    return result.trials.cost_usd + value(comparison.museum.vehicle(comparison.vehicle).insured_value, "USD")


def _world(comparison: Comparison, options: Sequence[PathResult]) -> tuple[np.ndarray, tuple[StateOfNature, ...]]:
    """Return the state of each trial, and the states; states that no trial is in are left out."""
    level = np.mean([o.trials.cost_usd / o.trials.cost_usd.mean() for o in options], axis=0)
    labels = np.searchsorted(np.percentile(level, (100 / 3, 200 / 3)), level)
    states = [StateOfNature(prices, ()) for prices in ("cheap", "middling", "dear")]
    for gate, title, refusal in _likely_refusals(options):
        refused = comparison.samples.gates[gate] < refusal
        labels = labels + len(states) * refused
        states += [StateOfNature(state.prices, (*state.refused, title)) for state in states]
    seen, labels = np.unique(labels, return_inverse=True)
    return labels, tuple(states[n] for n in seen)


def _likely_refusals(options: Sequence[PathResult]) -> list[tuple[str, str, float]]:
    found: dict[str, tuple[str, str, float]] = {}
    for finding in (finding for option in options for finding in option.findings):
        known = found.get(finding.gate.gate)
        if finding.status == "open" and finding.refusal > (known[2] if known else decision.LIKELY_REFUSAL - 1e-9):
            found[finding.gate.gate] = (finding.gate.gate, finding.gate.title, finding.refusal)
    return sorted(found.values(), key=lambda entry: -entry[2])[:_GATES]
