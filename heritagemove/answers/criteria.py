"""The committee's decision table: criteria, weights, dominance, regret, and how far a weight must move.

A weighted sum can hide a path that is worse than another on every criterion, and the money at stake; so
dominance and regret stand beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from heritagemove.answers.decision_analysis import dominance, scaled, turning_shares
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.museum import Museum
from heritagemove.units.units import PlannerError

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class ValuedPath:
    """One path in the decision table."""

    path: str
    number: int
    title: str
    measures: Mapping[str, float]  # by criterion, in the criterion's unit
    values: Mapping[str, float]  # by criterion, 0 worst to 1 best
    total: float  # weighted sum of the values, 0 to 1
    # the same with every score of scores.csv at its worst and at its best end
    least: float
    most: float
    dominated_by: tuple[int, ...]  # numbers of the paths that are at least as good on every criterion and better on one


@dataclass(frozen=True)
class TurningWeight:
    """Where one weight, moved alone, changes the choice; the other weights keep their proportions."""

    criterion: str
    share: float  # share of all weights at which it turns, 0 to 1
    weight: float  # the weight that has this share while the others stay as they are
    number: int  # path that is chosen beyond it


@dataclass(frozen=True)
class DecisionTable:
    """Paths valued by the committee's criteria."""

    criteria: tuple[Any, ...]  # of criteria.csv, in file order
    weights: Mapping[str, float]  # as set, by criterion
    shares: Mapping[str, float]  # share of each weight in all weights
    options: tuple[ValuedPath, ...]  # in the order of their numbers
    left_out: tuple[tuple[int, str, str], ...]  # number, title and reason of each path that could not be valued
    choice: ValuedPath | None  # the highest total; among equals one that nothing dominates, then the lower number
    turns: tuple[TurningWeight, ...]  # at most two per criterion, below and above its weight

    def within(self, weight: float) -> bool:
        """Return whether a slider of weights reaches a weight."""
        return weight <= max(LARGEST_WEIGHT, *self.weights.values())

    @property
    def sure(self) -> bool:
        """Whether the choice holds wherever the scores lie between their low and high ends."""
        return self.choice is not None and all(
            self.choice.least >= option.most for option in self.options if option is not self.choice
        )

    @property
    def ties(self) -> tuple[ValuedPath, ...]:
        """The other paths whose score is that of the choice, as it is shown."""
        others = (option for option in self.options if option is not self.choice)
        return tuple(option for option in others if self.choice.total - option.total < _SAME)

    def in_words(self) -> str:
        """Return the choice, and when it changes, in words."""
        return f"{self.choice_in_words()} {self.changes_in_words()}".strip()

    def choice_in_words(self) -> str:
        """Return which path is worth most."""
        if self.choice is None:
            return "No path can be valued: see what was left out."
        name = f"Path {self.choice.number}, {self.choice.title},"
        if len(self.options) == 1:
            return f"{name} is the only one left: no weights change the choice."
        if self.ties:
            numbers = ", ".join(str(option.number) for option in (self.choice, *self.ties))
            return f"Paths {numbers} score the same, {self.choice.total:.2f} of 1: the weights do not decide between them."
        return f"{name} is worth most: {self.choice.total:.2f} of 1."

    def choice_in_brief(self) -> str:
        """Return which path is worth most, by its number alone."""
        if self.choice is None or self.ties:
            return self.choice_in_words()
        return f"Path {self.choice.number} is worth most: {self.choice.total:.2f} of 1."

    def changes_in_words(self) -> str:
        """Return how far a weight must move to change the choice, and which paths no weights make best."""
        if len(self.options) < 2:
            return ""
        titles = {row.criterion: row.title for row in self.criteria}
        reached = [turn for turn in self.turns if self.within(turn.weight)]
        nearest = sorted(reached, key=lambda turn: abs(turn.weight - self.weights[turn.criterion]))[:_TOLD]
        moves = [
            f"the weight of “{titles[t.criterion]}” {_move(self.weights[t.criterion], t.weight)} (then path {t.number})"
            for t in nearest
        ]
        alone = f"No single weight up to {max(LARGEST_WEIGHT, *self.weights.values()):g} changes the choice."
        changes = f"The choice changes when {', or when '.join(moves)}." if moves else alone
        hidden = " ".join(
            f"Path {o.number} is no better than path {o.dominated_by[0]} on any criterion: no weights make it best."
            for o in self.options
            if o.dominated_by
        )
        scores = "" if self.sure else "Within the range of the scores another path could come first."
        return " ".join(part for part in (changes, hidden, scores) if part)

    def table(self) -> pd.DataFrame:
        """Return one row per path: each measure, each value, the total and what dominates it."""
        import pandas as pd  # here, and not above: most answers need no table

        return pd.DataFrame([self._row(option) for option in self.options])

    def _row(self, option: ValuedPath) -> dict[str, Any]:
        measures = {f"{row.title} [{row.unit}]": option.measures[row.criterion] for row in self.criteria}
        values = {f"value: {row.title}": option.values[row.criterion] for row in self.criteria}
        head = {"number": option.number, "path": option.title, "total": option.total}
        return head | measures | values | {"dominated by": ", ".join(map(str, option.dominated_by))}


#: Scores that differ by less are shown as the same, to two decimals.
_SAME = 0.005
#: Upper end of a slider of weights, and how many of the nearest turns are told in words.
LARGEST_WEIGHT = 10.0
_TOLD = 3


def _move(weight: float, turn: float) -> str:
    return f"{'rises' if turn > weight else 'falls'} from {weight:.4g} to {turn:.3g}"


def value_paths(
    comparison: Comparison, weights: Mapping[str, float] | None = None, saving_only: bool = True
) -> DecisionTable:
    """Value the paths of a comparison by the committee's criteria.

    Parameters
    ----------
    weights : mapping of str to float, optional
        Weights by criterion, at least 0; those left out are as criteria.csv has them.
    saving_only : bool
        Whether to leave out the paths that do not save the unit; with them, what it is worth to
        do nothing stands beside the others, and the scales without ends of their own reach further.

    Raises
    ------
    ValueError
        For an unknown criterion, a weight below 0, or weights that are all 0.

    References
    ----------
    Additive value function over linear scales with swing weights: Multi-criteria analysis: a manual (Department
    for Communities and Local Government, London 2009), chapter 6, from memory.
    """
    museum = comparison.museum
    weights = _weights(museum, weights)
    shares = np.array(list(weights.values())) / sum(weights.values())
    measured, left_out = [], []
    for result in comparison.paths:
        found, reason = _measures(museum, comparison.vehicle, result, saving_only)
        if reason:
            left_out.append((result.number, result.title, reason))
        else:
            measured.append((result, found))
    if not measured:
        return DecisionTable(museum.criteria, weights, _named(museum, shares), (), tuple(left_out), None, ())
    spans = np.array([[found[row.criterion] for row in museum.criteria] for _, found in measured])
    low, likely, high = spans[..., 0], spans[..., 1], spans[..., 2]
    values = scaled(likely, museum.criteria, likely)
    ends = [scaled(end, museum.criteria, likely) for end in (low, high)]
    totals = values @ shares
    better = dominance(likely * [1 if row.better == "higher" else -1 for row in museum.criteria])
    options = tuple(
        ValuedPath(
            result.path, result.number, result.title, _named(museum, likely[n]), _named(museum, values[n]), float(totals[n]),
            float(np.minimum(*ends)[n] @ shares), float(np.maximum(*ends)[n] @ shares),
            tuple(other.number for m, (other, _) in enumerate(measured) if better[m, n]),
        )
        for n, (result, _) in enumerate(measured)
    )  # fmt: skip
    best = min(range(len(options)), key=lambda n: (-round(totals[n], 12), len(options[n].dominated_by), n))
    turns = tuple(
        TurningWeight(
            row.criterion, share, share * (sum(weights.values()) - weights[row.criterion]) / (1 - share), options[n].number
        )
        for k, row in enumerate(museum.criteria)
        for share, n in turning_shares(values, shares, k, best)
    )
    return DecisionTable(museum.criteria, weights, _named(museum, shares), options, tuple(left_out), options[best], turns)


def _weights(museum: Museum, weights: Mapping[str, float] | None) -> dict[str, float]:
    known = {row.criterion: row.weight for row in museum.criteria}
    problems = [f'criterion: found "{name}"; allowed: {", ".join(known)}' for name in weights or {} if name not in known]
    set_to = known | dict(weights or {})
    problems += [f"weight of {n}: found {w:g}; allowed: at least 0" for n, w in set_to.items() if not 0 <= w < np.inf]
    if not problems and sum(set_to.values()) == 0:
        problems = ["weights: found none above 0; allowed: at least one above 0"]
    if problems:
        raise PlannerError("\n".join(problems))
    return {name: float(weight) for name, weight in set_to.items()}


def _named(museum: Museum, numbers: np.ndarray) -> dict[str, float]:
    return {row.criterion: float(number) for row, number in zip(museum.criteria, numbers, strict=True)}


def _measures(
    museum: Museum, vehicle: str, result: PathResult, saving_only: bool
) -> tuple[dict[str, tuple[float, float, float]], str]:
    """Return low, likely and high of each criterion, or the reason why the path cannot be valued."""
    if result.status in ("blocked", "unknown"):
        return {}, f"{result.status}: {' '.join(result.reasons[:1])}"
    if not result.saves and (saving_only or museum.interim(result.path)):
        interim = museum.interim(result.path)
        return {}, "interim only: the way on is not in its cost" if interim else "saves nothing"
    scores = {(row.vehicle, row.criterion): row for row in museum.scores if row.path == result.path}
    found, missing = {}, []
    for row in museum.criteria:
        score = scores.get((vehicle, row.criterion)) or scores.get(("any", row.criterion))
        if row.measured == "scored":
            span = score and (score.low, score.likely, score.high)
        else:
            measure = _MEASURES[row.measured](museum, result)
            span = None if measure is None else (float(measure),) * 3
        if span is None:
            missing.append(row.title)
        else:
            found[row.criterion] = span
    return found, f"unknown: {', '.join(missing)}" if missing else ""


def _cost(result: PathResult) -> Any:
    return result.cost_with_fallback or result.cost


def _spread(museum: Museum, result: PathResult) -> float | None:
    cost = _cost(result)
    return cost and cost.p90 - cost.p10


def _in_time(museum: Museum, result: PathResult) -> float | None:
    """A path that saves nothing has no chance to bring the unit off in time."""
    return result.chance_with_fallback if result.saves else 0.0


#: What each computed criterion reads; None is unknown.
_MEASURES: Mapping[str, Any] = {
    "cost_p80": lambda museum, result: _cost(result) and _cost(result).p80,
    "cost_spread": _spread,
    "days_p80": lambda museum, result: result.off_site_days and result.off_site_days.p80,
    "chance_by_deadline": _in_time,
    "chance_of_gates": lambda museum, result: result.chance_of_gates,
    "intervention": lambda museum, result: museum.intervention(result.path),
    "reversible": lambda museum, result: museum.reversible(result.path),
}
