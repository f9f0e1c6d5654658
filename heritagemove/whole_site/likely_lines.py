"""What the sum of the likely values is made of, line by line: quantity times price, each with the rows behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.compare.likely import LikelyTrial, likely_trial
from heritagemove.compare.results import Comparison
from heritagemove.museum.drivers import at_stage
from heritagemove.museum.memo import Made, afresh
from heritagemove.trials.durations import task_durations
from heritagemove.trials.line_costs import amounts_of
from heritagemove.trials.prices import price_of, shares_of, years_of
from heritagemove.units.units import PlannerError
from heritagemove.whole_site.payments import Months, payments_of_path


@dataclass(frozen=True)
class LikelyLine:
    """One cost line of a path at its likely value; ``charged`` times the price times ``usd_each`` less what is given."""

    line: Any  # of cost_lines.csv
    amounts: tuple[tuple[str, float], ...]  # how much of its driver, and of the second one; each by its key
    least: float  # units of the price that are charged at the least; 0 for none
    charged: float  # units of the price that are charged
    # what the price is made of, as heritagemove.trials.prices.shares_of has it
    prices: tuple[tuple[float, tuple[tuple[Any, float], ...]], ...]
    usd_each: float  # USD that one of the price comes to: its unit, the tax on top, the rise of prices to its year
    given: float  # share that somebody gives
    usd: float  # what the museum pays [USD]
    paid: Mapping[int, float]  # share of it by the month in which it is paid, counted from the month of the start


@dataclass(frozen=True)
class LikelySum:
    """What the likely cost of a path consists of."""

    lines: tuple[LikelyLine, ...]
    mitigations: tuple[tuple[Any, float, int], ...]  # risk, what is paid against it [USD], and the month
    after_deadline: float  # the owner's charge, and the agreed value if it would still stand there [USD]
    months: Months
    trial: LikelyTrial

    @property
    def usd(self) -> float:
        """The sum of the likely values [USD]."""
        return sum(row.usd for row in self.lines) + sum(usd for _, usd, _ in self.mitigations) + self.after_deadline


def likely_lines(comparison: Comparison, path: str) -> LikelySum:
    """Return what the sum of the likely values of a path consists of, paid as decided at the meeting of the decision.

    Raises
    ------
    PlannerError
        If the cost of the path is unknown.
    """
    result = comparison.path(path)
    if result.cost is None:
        raise PlannerError(f"{path}: found a cost that is unknown; allowed: a path that is priced")
    direct = {name: amount for name, amount in comparison.settings.items() if name not in ("haul_distance", "weight")}
    asked = comparison.museum, comparison.vehicle, result, comparison.weighed[path].stated, direct, comparison.samples
    trial, months = likely_trial(*asked), Months.of(comparison.museum)
    played = comparison.decision.played
    meeting = played.policy.meeting if played and path == comparison.choice else None
    dated = likely_trial(*asked, decided=meeting).trials if meeting is not None else trial.trials
    by_line: dict[str, dict[int, float]] = {}
    for payment in payments_of_path(comparison.museum, comparison.vehicle, dated):
        spread = months.spread(payment)[0]
        mine = by_line.setdefault(payment.line or payment.title, {})
        for month in map(int, np.flatnonzero(spread)):
            mine[month] = mine.get(month, 0.0) + float(spread[month])
    lines = tuple(_line(trial, entry, by_line.get(entry.line.line, {})) for entry in trial.trials.lines)
    needed = {entry.line.line for entry in result.trials.lines if np.any(entry.cost_usd)}
    risks = {row.risk: row for row in trial.museum.of_path("risks", path)}
    bought = ((risks[risk], float(cost[0])) for risk, cost in trial.trials.risk_cost_usd.items() if cost[0])
    return LikelySum(
        lines=tuple(row for row in lines if row.usd or row.line.line in needed),
        mitigations=tuple((row, usd, min(by_line.get(row.title, {0: 1.0}))) for row, usd in bought),
        after_deadline=float(trial.trials.holdover_usd[0] + trial.trials.loss_usd[0]),
        months=months,
        trial=trial,
    )


def _line(trial: LikelyTrial, entry: Any, paid: Mapping[int, float]) -> LikelyLine:
    museum, needs, samples, line = trial.museum, trial.needs, trial.samples, entry.line
    days = task_durations(museum, line.path, needs, samples)
    amounts = amounts_of(museum, line, needs, days[line.task], set(), afresh)
    made = trial.trials.made
    years = afresh(years_of, made.dates, made.closed, museum.scenario.start)
    _, in_usd, least, rise = price_of(museum, line, needs.equipment, needs.given, samples, years, afresh)
    donated, usd = _one(entry.donated_usd), _one(entry.cost_usd)
    whole, total = usd + donated, sum(paid.values())
    names = (line.driver, line.times) if line.times else (line.driver,)
    keys = (at_stage(name, line.stage) if at_stage(name, line.stage) in needs.given else name for name in names)
    return LikelyLine(
        line=line,
        amounts=tuple(zip(keys, map(_one, amounts), strict=True)),
        least=_one(least),
        charged=_one(entry.quantity),
        prices=shares_of(museum, line, needs.equipment, needs.given),
        usd_each=in_usd * _one(rise),
        given=donated / whole if whole else 0.0,
        usd=usd,
        paid={month: amount / total for month, amount in paid.items()} if total else {},
    )


def _one(amount: Any) -> float:
    return float(np.ravel(amount.value if isinstance(amount, Made) else amount)[0])
