"""The one budget of a decision, joined step by step: from the likely sum to what nineteen cases of twenty stay within."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heritagemove.compare.results import Comparison
from heritagemove.trials.playing import AS_FOUND
from heritagemove.units.described import Described, Heading, described
from heritagemove.units.words import show_rounded


@dataclass(frozen=True)
class RefusedCase:
    """What ends the path, and what that costs."""

    title: str  # of the gate
    share: float  # share of the trials in which it is what ends the path
    mean_usd: float  # mean cost of these trials, with what is lost [USD]
    turns_to: str  # the path that is turned to, in words
    briefly: str  # the same, by its number


@dataclass(frozen=True)
class BudgetSteps:
    """The budget of the decision; each sum is reached from the one before by what its words say."""

    currency: str
    confidence: float
    likely_usd: float | None  # sum of the likely values: not the mean [USD]
    nothing_refused_usd: float  # enough at the confidence if nothing is refused and the path is begun at once [USD]
    set_aside_usd: float  # enough at the confidence, refusals and what is done after them included [USD]
    p95_usd: float  # nineteen cases of twenty stay within it [USD]
    refused: tuple[RefusedCase, ...]  # the likeliest first

    def steps(self) -> tuple[tuple[str, float], ...]:
        """Return each sum with its words, from the first to the last [USD]."""
        level = f"{100 * self.confidence:.0f} of 100 cases"
        likely = () if self.likely_usd is None else (("likely values, summed: not the mean", self.likely_usd),)
        return (
            *likely,
            (f"enough in {level} if nothing is refused", self.nothing_refused_usd),
            (f"to set aside: enough in {level}, refusals included", self.set_aside_usd),
            ("nineteen of twenty cases stay within", self.p95_usd),
        )

    def in_words(self) -> str:
        """Return the budget step by step."""
        currency, level = self.currency, f"{100 * self.confidence:.0f} of 100 cases"
        said, ranges = [], f"{show_rounded(self.nothing_refused_usd)} {currency} is enough in {level} if nothing is refused"
        if self.likely_usd is not None:
            said.append(f"The likely values sum to {show_rounded(self.likely_usd)} {currency}, which is not the mean.")
            more = show_rounded(self.nothing_refused_usd - self.likely_usd)
            ranges = f"With {more} more for ranges and risks, {ranges}"
        said.append(f"{ranges}.")
        more = self.set_aside_usd - self.nothing_refused_usd
        sign = "more" if more >= 0 else "less"
        what = f"{show_rounded(abs(more))} {sign} for refusals, what is done after them and the wait"
        said.append(f"With {what}, {show_rounded(self.set_aside_usd)} is to be set aside: enough in {level}.")
        for case in self.refused:
            share = "fewer than 1" if case.share < 0.005 else f"{100 * case.share:.0f}"
            said.append(
                f'In {share} of 100 cases "{case.title}" is refused: {case.turns_to}, '
                f"and it then costs {show_rounded(case.mean_usd)} on average."
            )
        return " ".join([*said, f"Nineteen of twenty cases stay within {show_rounded(self.p95_usd)} {currency}."])


#: Of what ends the path, the likeliest are told by name and the rest in one line.
_TOLD = 4


def budget_steps(comparison: Comparison) -> BudgetSteps | None:
    """Return the budget of the decision step by step; None where no path is chosen."""
    decision = comparison.decision
    if comparison.choice is None:
        return None
    budget, played, choice = decision.budget, decision.played, comparison.path(comparison.choice)
    titles = {f.gate.gate: f.gate.title for f in choice.findings} | {AS_FOUND: "what is found of it"}
    cases = []
    for gate, path in decision.on_refusal.items():
        struck = played.turned == gate
        if struck.any():
            other = path and comparison.path(path)
            turns_to = f"turn to {other.title} (path {other.number})" if other else "decline and record"
            told = turns_to, f"path {other.number}" if other else turns_to
            cases.append(RefusedCase(titles[gate], float(struck.mean()), float(played.cost_usd[struck].mean()), *told))
    cases.sort(key=lambda case: -case.share)
    told, rest = cases[:_TOLD], cases[_TOLD:]
    if rest:
        share = sum(case.share for case in rest)
        mean = sum(case.share * case.mean_usd for case in rest) / share
        told.append(RefusedCase(f"one of {len(rest)} others", share, mean, "each by its own rule", "each by its own rule"))
    return BudgetSteps(
        currency=comparison.museum.scenario.currency,
        confidence=comparison.museum.scenario.simulation.confidence,
        likely_usd=budget.likely,
        nothing_refused_usd=float(np.quantile(choice.trials.cost_usd, comparison.museum.scenario.simulation.confidence)),
        set_aside_usd=budget.at_confidence,
        p95_usd=budget.p95,
        refused=tuple(told),
    )


def table_of_budget(found: BudgetSteps) -> Described:
    """Return the sums of a budget, one step a row."""
    return described(
        "The budget, step by step",
        (Heading("What", lambda step: step[0]), Heading("Sum", lambda step: step[1], "rounded", found.currency)),
        found.steps(),
    )
