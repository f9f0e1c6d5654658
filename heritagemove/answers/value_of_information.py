"""What knowing something before the committee commits is worth: the letter, the weight, the axles."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import special

from heritagemove.answers.decision_analysis import expected_value_of_information, state_means
from heritagemove.answers.judged import judged
from heritagemove.answers.regret import choosable, cost_of
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.memo import Memo
from heritagemove.trials import simulation
from heritagemove.units import units
from heritagemove.units.measures import show_measure

#: Stands for "not among the choices of this state": dearer than any path.
_CLOSED = 1e12
_GATE, _RISK = ("granted", "refused"), ("stays away", "happens")
#: A weighing may err by so many equally likely amounts.
_ERROR_STEPS = 40


@dataclass(frozen=True)
class ValueOfInformation:
    """What one inquiry would be worth."""

    inquiry: Any  # of inquiries.csv
    subject: str  # what it tells, in words
    states: tuple[str, ...]
    shares: np.ndarray  # shape (states,); share of the trials in each state
    now: PathResult  # the path of least expected cost as long as the state is not known
    then: tuple[PathResult, ...]  # the path of least expected cost in each state
    perfect_usd: float  # expected cost that certain knowledge would save [USD]
    worth_usd: float  # expected cost that this inquiry saves, as far as it can be trusted [USD]
    error_usd: float  # standard error of the first over the trials [USD]
    cost_usd: float  # expected price of the inquiry [USD]
    # chance that the unit is saved and off the site by the deadline: not knowing, and knowing for certain
    chance: tuple[float, float]
    # mean days until it is off the site or scrapped: not knowing, and knowing for certain [day]
    days: tuple[float, float]

    @property
    def net_usd(self) -> float:
        """What it is worth above its price [USD]."""
        return self.worth_usd - self.cost_usd

    @property
    def verdict(self) -> str:
        """Whether it is worth more than it costs, as far as the trials can tell."""
        if self.perfect_usd == 0 and not self.inquiry.needed_for:
            return "changes no choice"
        return judged(self.net_usd, self.error_usd, self.inquiry.needed_for)

    def in_words(self) -> str:
        """Return what would be done after each answer, and what that is worth."""
        currency = self.now.currency
        plans = ", ".join(f"{state}: path {path.number}" for state, path in zip(self.states, self.then, strict=True))
        worth = f"worth {self.worth_usd:,.0f} {currency} ({self.perfect_usd:,.0f} if certain)"
        worth += f", price {self.cost_usd:,.0f} {currency}"
        return f"{self.inquiry.title}. Not knowing: path {self.now.number}; {plans}. It is {worth}: {self.verdict}."


def worth_knowing(comparison: Comparison) -> tuple[ValueOfInformation, ...]:
    """Rank the inquiries of inquiries.csv by what each is worth above its price.

    Each is weighed alone: the committee asks, hears the answer before it commits, and takes the path of least
    expected cost, with lateness and the loss at agreed value in it. A path that saves nothing is chosen only where
    for certain none would save the unit: nobody gives it up on an answer that may be wrong. The days of the inquiry
    are not charged: begin it early enough. With few trials in a state the worth is a little too high, since the best
    path is picked from the same trials; the verdict asks for twice the standard error.

    Returns
    -------
    tuple of ValueOfInformation
        Largest net worth first; without those about a gate, risk or weight that this unit's paths do not hang on.

    References
    ----------
    Preposterior analysis: Raiffa and Schlaifer, Applied Statistical Decision Theory (1961), part 4, from memory.
    """
    options = choosable(comparison, saving_only=False)
    if not any(option.branch for option in options):
        return ()
    worlds = [(row, _world(comparison, row, options)) for row in comparison.museum.inquiries]
    found = [_knowing(comparison, row, options, world) for row, world in worlds if world]
    return tuple(sorted(found, key=lambda entry: -entry.net_usd))


@dataclass(frozen=True)
class _World:
    """What an inquiry tells: the state of each trial, and the chance of each answer in each state."""

    subject: str
    states: tuple[str, ...]
    labels: np.ndarray
    answers: np.ndarray


def _world(comparison: Comparison, row: Any, options: Sequence[PathResult]) -> _World | None:
    """Return what an inquiry tells; None where none of the options hangs on it."""
    able = [option for option in options if option.branch]
    if row.about == "weight":
        return _by_weight(comparison, row, able)
    if row.about == "gate":
        found = [f for o in able for f in o.findings if f.gate.gate == row.subject and f.status == "open" and f.refusal > 0]
        if not found:
            return None
        gate = max(found, key=lambda finding: finding.refusal)
        trouble, subject, states = comparison.samples.gates[row.subject] < gate.refusal, gate.gate.title, _GATE
    else:
        own = (option.trials.risks for option in able if option.path == row.path)
        struck = next((risks[row.subject] for risks in own if row.subject in risks), None)
        if struck is None:
            return None
        risk = next(r for r in comparison.museum.of_path("risks", row.path) if r.risk == row.subject)
        trouble, subject, states = struck.happens, risk.title, _RISK
    if trouble.all() or not trouble.any():
        return None
    answers = np.array([[1 - row.false_alarm, 1 - row.finds], [row.false_alarm, row.finds]])
    return _World(subject, states, trouble.astype(int), answers)


def _by_weight(comparison: Comparison, row: Any, able: Sequence[PathResult]) -> _World | None:
    """Split the weights where some path's checks turn, else into thirds; a weighing errs by its standard error."""
    ratio = comparison.samples.weights[comparison.vehicle]
    weight = comparison.museum.vehicle(comparison.vehicle).weight
    if weight is None or np.ptp(ratio) == 0:
        return None
    turns = {band.up_to for option in able for band in comparison.weighed[option.path].bands[:-1]}
    edges = np.array(sorted(turn for turn in turns if ratio.min() < turn < ratio.max()))
    # Of turns between which no trial falls one is left: each state occurs.
    edges = edges[np.unique(np.searchsorted(np.sort(ratio), edges, side="right"), return_index=True)[1]]
    if not len(edges):
        edges = np.percentile(ratio, (100 / 3, 200 / 3))
    said = [show_measure(edge * weight, comparison.museum.scenario.units) for edge in edges]
    middle = [f"{low} to {high}" for low, high in itertools.pairwise(said)]
    labels = np.searchsorted(edges, ratio)
    errors = row.accuracy / 100 * special.ndtri((np.arange(_ERROR_STEPS) + 0.5) / _ERROR_STEPS)
    weighed = np.searchsorted(edges, ratio + errors[:, None])
    answers = state_means(np.stack([(weighed == n).mean(axis=0) for n in range(len(edges) + 1)]), labels, len(edges) + 1)
    return _World("Weight", (f"up to {said[0]}", *middle, f"over {said[-1]}"), labels, answers)


def _knowing(comparison: Comparison, row: Any, options: Sequence[PathResult], world: _World) -> ValueOfInformation:
    labels, count = world.labels, len(world.states)
    shares = np.bincount(labels, minlength=count) / len(labels)
    costs = np.stack([cost_of(comparison, option) for option in options])
    saved = np.stack([option.branch.saved if option.branch else np.zeros(len(labels), bool) for option in options])
    means = state_means(costs, labels, count)
    lost = ~(state_means(saved.astype(float), labels, count) > 0).any(axis=0)
    idle = np.array([option.branch is None for option in options])
    means[np.ix_(idle, ~lost)] = _CLOSED
    now = int(np.argmin(means @ shares))
    then = np.argmin(means, axis=0)
    chosen = then[labels], np.arange(len(labels))
    difference = costs[now] - costs[chosen]
    fate = np.stack([_until_gone(comparison, option) for option in options])
    in_time = saved & (fate <= simulation.day_number(comparison.museum, comparison.museum.scenario.deadline))
    changes = bool((then != now).any())
    return ValueOfInformation(
        inquiry=row,
        subject=world.subject,
        states=world.states,
        shares=shares,
        now=options[now],
        then=tuple(options[n] for n in then),
        perfect_usd=expected_value_of_information(means, shares, np.eye(count)) if changes else 0.0,
        worth_usd=expected_value_of_information(means, shares, world.answers) if changes else 0.0,
        error_usd=float(difference.std() / np.sqrt(len(labels))),
        cost_usd=(row.cost_low + 4 * row.cost_likely + row.cost_high) / 6,
        chance=(float(in_time[now].mean()), float(in_time[chosen].mean())),
        days=(float(fate[now].mean()), float(fate[chosen].mean())),
    )


def _until_gone(comparison: Comparison, option: PathResult) -> np.ndarray:
    """Return the day number off the site, or of the scrapping of what nobody took."""
    forced = simulation.day_number(comparison.museum, comparison.museum.scenario.forced_scrap)
    return np.minimum(option.branch.off_site, forced) if option.branch else np.full(comparison.samples.trials, forced)


@dataclass(frozen=True)
class WeightDecision:
    """What the committee would choose if the unit were weighed and found to weigh this."""

    weight_lb: float  # [lb]
    comparison: Comparison  # all paths at that weight, without a tolerance
    # paths that could be chosen then and cannot as it is stated; and the other way round
    opens: tuple[PathResult, ...]
    closes: tuple[PathResult, ...]


def decisions_by_weight(comparison: Comparison) -> tuple[WeightDecision, ...]:
    """Compare again at the lightest, the stated and the heaviest weight that the tolerance allows.

    Returns
    -------
    tuple of WeightDecision
        One where the weight is certain; none where it is unknown.
    """
    museum, vehicle = comparison.museum, comparison.museum.vehicle(comparison.vehicle)
    if vehicle.weight is None:
        return ()
    stated = vehicle.weight.m_as("short_ton")
    part = vehicle.weight_tolerance.m_as("")
    certain = [
        row.model_copy(update={"weight_tolerance": units.Quantity(0.0, "percent")}) if row is vehicle else row
        for row in museum.vehicles
    ]
    museum = museum.with_changes(vehicles=certain)
    samples = simulation.draw(museum, previous=comparison.samples)
    direct = {n: a for n, a in comparison.settings.items() if n not in ("haul_distance", "weight")}
    able = {o.path for o in choosable(comparison)}
    found, memo = [], Memo()
    for ratio in sorted({1 - part, 1.0, 1 + part}):
        weighed = compare_paths(museum, vehicle.vehicle, direct | {"weight": stated * ratio}, samples, memo)
        then = {o.path for o in choosable(weighed)}
        opens = tuple(o for o in weighed.paths if o.path in then - able)
        closes = tuple(o for o in weighed.paths if o.path in able - then)
        found.append(WeightDecision(stated * ratio * 2000, weighed, opens, closes))
    return tuple(found)
