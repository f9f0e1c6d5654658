"""The tables of one path's money: what it is made of, its risks, its upkeep, and how far each number may be off."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.answers.whole_cost import WholeCost
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.drivers import DRIVERS
from heritagemove.trials.sampling_error import half_width_of_chance, half_width_of_percentile
from heritagemove.units.described import Described, Heading, Marked, described

#: Phases of cost_lines.csv in a planner's words, in the order of the work.
PHASE_TITLES = {
    "front": "Studies and permits",
    "prepare": "Preparation",
    "shop": "Shop work",
    "lift": "Lifting",
    "move": "Moving",
    "destination": "At the museum",
    "after": "Afterwards",
}


@dataclass(frozen=True)
class CostPart:
    """A cost line, a risk, or what lateness costs, over the trials."""

    title: str
    phase: str
    cost_usd: np.ndarray | None  # in each trial [USD]; None where it is unknown
    line: Any = None  # row of cost_lines.csv, where it is one
    quantity: float | None = None  # mean, in the line's driver
    given_usd: float = 0.0  # what somebody gives of it, mean [USD]

    @property
    def mean_usd(self) -> float | None:
        """Mean over the trials [USD]."""
        return None if self.cost_usd is None else float(np.mean(self.cost_usd))

    def at(self, percent: float) -> float | None:
        """Return a percentile over the trials [USD]."""
        return None if self.cost_usd is None else float(np.percentile(self.cost_usd, percent))


def cost_parts(result: PathResult) -> tuple[CostPart, ...]:
    """Return what a path's cost is made of, the dearest first, what is unknown at the end; the means add up to its mean.

    What costs nothing in every trial and is given by nobody is left out.
    """
    trials = result.trials
    found = [
        CostPart(entry.line.title, PHASE_TITLES[entry.line.phase], np.asarray(entry.cost_usd), entry.line,
                 float(np.mean(entry.quantity)), float(np.mean(entry.donated_usd)))
        for entry in trials.lines
    ]  # fmt: skip
    found += [CostPart(f"Risk: {risk.replace('_', ' ')}", "Risks", cost) for risk, cost in trials.risk_cost_usd.items()]
    found += [CostPart("Owner's charge after the deadline", "Late days on site", trials.holdover_usd)]
    found += [CostPart("Loss of the unit on the forced-scrap date", "Loss of the unit", trials.loss_usd)]
    kept = [part for part in found if np.any(part.cost_usd != 0) or part.given_usd]
    unknown = [CostPart(f"Unknown: {name.replace('_', ' ')}", "", None) for name in trials.unknown]
    return (*sorted(kept, key=lambda part: -part.mean_usd), *unknown)


def table_of_costs(result: PathResult) -> Described:
    """Return what a path's cost is made of, a row a cost line, risk or charge, the dearest first."""
    currency = result.currency

    def of_line(read: Callable[[Any], Any]) -> Callable[[CostPart], Any]:
        return lambda part: "" if part.line is None else read(part.line)

    def money(text: str, read: Callable[[CostPart], float | None], total: bool = False) -> Heading:
        return Heading(text, read, "whole", currency, total=total)

    return described(
        f"What path {result.number}, {result.title}, costs: the dearest first",
        (
            Heading("Cost line or risk", lambda part: part.title),
            Heading("Phase", lambda part: part.phase),
            Heading("Stage", of_line(lambda line: (line.stage or "").replace("_", " "))),
            Heading("Driven by", of_line(_driven_by)),
            Heading("Quantity, mean", lambda part: "" if part.quantity is None else part.quantity, "tenths"),
            money("P10", lambda part: part.at(10)),
            money("Mean", lambda part: part.mean_usd, total=True),
            money("P80", lambda part: part.at(80)),
            money("P90", lambda part: part.at(90)),
            money("Given, mean", lambda part: part.given_usd, total=True),
            Heading("Paid", of_line(lambda line: line.payment.replace("_", " "))),
            Heading("Amount rests on", of_line(lambda line: line.basis)),
            Heading("Source", of_line(lambda line: line.source)),
            Heading("Row of cost_lines.csv", of_line(lambda line: line.row_number), "whole"),
        ),
        cost_parts(result),
    )


def _driven_by(line: Any) -> str:
    return ", times ".join(DRIVERS[name].meaning for name in (line.driver, line.times) if name)


def table_of_upkeep(found: WholeCost) -> Described:
    """Return what comes every year after the arrival: it is in no table of cost."""

    def amount(name: str) -> Heading:
        return Heading(name, lambda row: getattr(row, name.lower()), "whole", found.currency)

    return described(
        "Housing and upkeep, beside the move and not in its cost",
        (
            Heading("Every year after the arrival", lambda row: row.title),
            *map(amount, ("Low", "Likely", "High")),
            Heading("Basis", lambda row: row.basis),
            Heading("Source", lambda row: row.source),
        ),
        found.upkeep,
    )


@dataclass(frozen=True)
class RiskShare:
    """What one risk that applies to a path does over the trials."""

    row: Any  # of risks.csv
    share: float  # of the trials in which it happens
    mean_usd: float  # over all trials [USD]
    when_usd: float  # mean where it happens, mitigation that is bought included [USD]
    # mean delay of its task where it happens [working day]; a longer closed season delays no task of its own: its days
    # are counted in the calendar
    when_days: float


def risk_shares(comparison: Comparison, path: str) -> tuple[RiskShare, ...]:
    """Return what each risk that applies to a path does over the trials, the dearest first."""
    result, found = comparison.path(path), []
    for row in comparison.museum.of_path("risks", path):
        if row.risk not in result.trials.risk_cost_usd:
            continue
        drawn = result.trials.risks[row.risk]
        hit = drawn.happens
        cost, days = (float(each[hit].mean()) if hit.any() else 0.0 for each in (drawn.cost_usd, drawn.delay_days))
        found.append(RiskShare(row, float(hit.mean()), float(drawn.cost_usd.mean()), cost, days))
    return tuple(sorted(found, key=lambda risk: -risk.mean_usd))


def table_of_risks(comparison: Comparison, path: str) -> Described:
    """Return the risks of a path, the dearest first."""
    result = comparison.path(path)
    return described(
        f"Risks of path {result.number}, {result.title}",
        (
            Heading("Risk", lambda risk: risk.row.title),
            Heading("Chance that it happens", lambda risk: risk.share, "chance"),
            Heading("Mean over all trials", lambda risk: risk.mean_usd, "whole", result.currency, total=True),
            Heading("Mean where it happens", lambda risk: risk.when_usd, "whole", result.currency),
            Heading("Delay where it happens", lambda risk: risk.when_days, "tenths", "working days"),
            Heading("What can be done", lambda risk: risk.row.mitigation),
            Heading("Watched by", lambda risk: risk.row.owner),
            Heading("Row of risks.csv", lambda risk: risk.row.row_number, "whole"),
        ),
        risk_shares(comparison, path),
    )


@dataclass(frozen=True)
class HalfWidths:
    """By how much the numbers reported of a path may be off at 95 %, because the trials are a sample; None for none."""

    result: PathResult
    p80_half_usd: float | None
    p80_half_days: float | None
    chance_half: float | None  # of the chance by the deadline, and of that with refusals and fallback played out
    fallback_half: float | None


def half_widths(comparison: Comparison) -> tuple[HalfWidths, ...]:
    """Return by how much each reported number may be off at 95 %, because the trials are a sample."""
    return tuple(_half_widths(result, comparison.samples.trials) for result in comparison.paths)


def _half_widths(result: PathResult, trials: int) -> HalfWidths:
    chance, joint = result.chance_by_deadline, result.chance_with_fallback
    return HalfWidths(
        result,
        None if result.trials.cost_usd is None else half_width_of_percentile(result.trials.cost_usd, 80),
        None if result.off_site_days is None else half_width_of_percentile(result.trials.off_site, 80),
        None if chance is None else half_width_of_chance(chance, trials),
        None if joint is None else half_width_of_chance(joint, trials),
    )


def table_of_half_widths(comparison: Comparison) -> Described:
    """Return each number that is reported of a path, with what counting trials may have put it off by."""

    def pair(of: Callable[[PathResult], float | None], half: str, form: str) -> Callable[[HalfWidths], str]:
        def both(row: HalfWidths) -> str:
            width = getattr(row, half)
            return "none" if width is None else f"{form.format(of(row.result))} ± {form.format(width)}"

        return both

    def days(row: HalfWidths) -> str:
        return "none" if row.p80_half_days is None or math.isnan(row.p80_half_days) else f"± {row.p80_half_days:.1f}"

    currency = comparison.museum.scenario.currency
    return described(
        f"Sampling error of {comparison.samples.trials:,} trials, at 95% confidence",
        (
            Heading("Path", lambda row: Marked(row.result.number, row.result.title)),
            Heading("Cost P80", pair(lambda result: result.cost.p80, "p80_half_usd", "{:,.0f}"), unit=currency),
            Heading("Chance by the deadline", pair(lambda result: result.chance_by_deadline, "chance_half", "{:.1%}")),
            Heading("With fallback", pair(lambda result: result.chance_with_fallback, "fallback_half", "{:.1%}")),
            Heading("Date P80", days, unit="days"),
        ),
        half_widths(comparison),
    )
