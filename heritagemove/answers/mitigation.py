"""What buying a mitigation is worth: the same trials with it and without it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.answers.judged import judged
from heritagemove.answers.regret import cost_of
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.memo import Ask, Memo
from heritagemove.trials import simulation
from heritagemove.units.units import PlannerError


@dataclass(frozen=True)
class Answer:
    """What one plan gives, refusals and fallback included."""

    # cost with the owner's charge for lateness and the loss at agreed value [USD]
    mean_usd: float
    p80_usd: float
    chance: float  # share of trials in which the unit is saved and off the site by the deadline
    days: float  # mean day number off the site of the path itself, refusals left aside [day]


@dataclass(frozen=True)
class Mitigation:
    """What one mitigation changes on one path."""

    # id and title of the risk; what is done about it
    risk: str
    title: str
    action: str
    bought: bool  # whether the plan pays for it already
    needed_for: str | None  # safety or law, where one of them asks for it, whatever it costs
    cost_usd: float  # what it costs [USD]
    # the plan without it and with it
    without: Answer
    bought_answer: Answer
    error_usd: float  # standard error of the net benefit over the trials [USD]

    @property
    def net_usd(self) -> float:
        """Fall of the expected cost, the price of the mitigation taken off [USD]."""
        return self.without.mean_usd - self.bought_answer.mean_usd

    @property
    def saves_usd(self) -> float:
        """Fall of the expected cost before the price of the mitigation [USD]."""
        return self.net_usd + self.cost_usd

    @property
    def p80_usd(self) -> float:
        """Change of the P80 cost; below 0 it falls [USD]."""
        return self.bought_answer.p80_usd - self.without.p80_usd

    @property
    def chance_points(self) -> float:
        """Change of the chance by the deadline [percentage point]."""
        return 100 * (self.bought_answer.chance - self.without.chance)

    @property
    def days(self) -> float:
        """Expected days won [day]."""
        return self.without.days - self.bought_answer.days

    @property
    def verdict(self) -> str:
        """Whether it is worth more than it costs, as far as the trials can tell."""
        return judged(self.net_usd, self.error_usd, self.needed_for)


def mitigations(comparison: Comparison, path: str) -> tuple[Mitigation, ...]:
    """Rank the mitigations of a path by what each is worth above its price, each bought alone.

    The uniform draw that decides whether a risk happens is the same with and without, so the difference
    is not lost in the noise of two samples. A mitigation whose price or effect is blank is not among them:
    :func:`unpriced` lists those.

    Parameters
    ----------
    path : str
        Id of a path that could be chosen.

    Returns
    -------
    tuple of Mitigation
        Largest net benefit first.

    Raises
    ------
    ValueError
        If the path is blocked, unknown, or saves nothing.

    References
    ----------
    AACE International Recommended Practice 57R-09 (title and abstract): risks are ranked, treated, and the
    analysis is run again with the treatment. HM Treasury, The Green Book: cost of mitigation against the
    expected cost avoided, from memory.
    """
    if comparison.path(path).branch is None:
        status = comparison.path(path).status
        raise PlannerError(f"{path}: found a path that is {status} or saves nothing; allowed: one that could be chosen")
    memo = Memo()
    found = [_mitigation(comparison, path, row, memo) for row in _applying(comparison, path) if _priced(row)]
    return tuple(sorted(found, key=lambda entry: -entry.net_usd))


def unpriced(comparison: Comparison, path: str) -> tuple[Any, ...]:
    """Return the rows of a path's risks whose mitigation has no price or no effect written down."""
    return tuple(row for row in _applying(comparison, path) if not _priced(row))


def _applying(comparison: Comparison, path: str) -> list[Any]:
    costs = comparison.path(path).trials.risk_cost_usd
    return [row for row in comparison.museum.of_path("risks", path) if row.risk in costs]


def _priced(row: Any) -> bool:
    return row.mitigation_cost is not None and row.mitigated_probability is not None


def _mitigation(comparison: Comparison, path: str, row: Any, memo: Ask) -> Mitigation:
    other = _with(comparison, row, not row.bought, memo)
    now, changed = comparison.path(path), other.path(path)
    without, with_it = (changed, now) if row.bought else (now, changed)
    costs = [cost_of(c, r) for c, r in ((comparison, now), (other, changed))]
    difference = costs[0] - costs[1]
    return Mitigation(
        risk=row.risk,
        title=row.title,
        action=row.mitigation,
        bought=row.bought,
        needed_for=row.needed_for,
        cost_usd=row.mitigation_cost,
        without=_answer(without),
        bought_answer=_answer(with_it),
        error_usd=float(difference.std() / np.sqrt(len(difference))),
    )


def _with(comparison: Comparison, row: Any, bought: bool, memo: Ask) -> Comparison:
    """Compare again with one mitigation bought or not: the same draws, the same checks."""
    changed = [r.model_copy(update={"bought": bought}) if r is row else r for r in comparison.base.risks]
    museum = comparison.base.with_changes(risks=changed)
    samples = simulation.draw(museum, previous=comparison.samples)
    return compare_paths(museum, comparison.vehicle, comparison.settings, samples, memo)


def _answer(result: PathResult) -> Answer:
    cost = result.cost_with_fallback
    return Answer(cost.mean, cost.p80, result.chance_with_fallback, result.off_site_days.mean)
