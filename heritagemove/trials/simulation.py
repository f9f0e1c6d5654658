"""Price and date every trial of every path of one unit.

Draws are made once for a museum (:func:`heritagemove.trials.draws.draw`) and passed in, so that a slider move only rescales
them: charts do not jitter and differences between paths are differences of the same trials.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.tasks import LEAVING
from heritagemove.trials.draws import RiskDraws, Samples, draw
from heritagemove.trials.durations import milestone, scheduled
from heritagemove.trials.line_costs import LineCost, price_with_error
from heritagemove.trials.needs import Amount, Known, Work, told_by_rows, work
from heritagemove.trials.risk_draws import risks_of
from heritagemove.trials.schedule import Dates

__all__ = [
    "NEVER",
    "Amount",
    "LineCost",
    "PathTrials",
    "Samples",
    "Work",
    "date_of",
    "day_number",
    "draw",
    "found_heavy",
    "left_behind",
    "simulate",
    "told_by_rows",
    "work",
]

#: Day number of what never happens: later than any horizon.
NEVER = np.iinfo(np.int64).max


@dataclass(frozen=True)
class Steps:
    """The steps of one path's trials, each with what it was made from."""

    dates: Made
    closed: Made
    lines: tuple[Made, ...]
    risks: tuple[Made, ...]  # draws of the risks that apply
    risk_rows: tuple[Any, ...]
    cost: Made
    off_site: Made | None
    too_heavy: Made | None
    agreed_value: Known  # [USD]; 0 where unknown
    arrived: Made | None


@dataclass(frozen=True)
class PathTrials:
    """One path in every trial."""

    path: str
    # shape (trials,); what the museum pays in all; None where a driver or rate it needs is unknown
    cost_usd: np.ndarray | None
    # of int, shape (trials,); day number on which the unit has left the site; None for a path that takes it nowhere
    off_site: np.ndarray | None
    # of int, shape (trials,); day number on which the unit stands where the path ends; None where no task is marked so
    arrived: np.ndarray | None
    closed: np.ndarray  # of int, shape (trials,); day number on which the books are closed
    dates: Dates
    lines: tuple[LineCost, ...]
    risk_cost_usd: Mapping[str, np.ndarray]  # shape (trials,); by risk, its mitigation included where that is bought
    risks: Mapping[str, RiskDraws]  # the draws of these risks on this path
    risk_tasks: Mapping[str, str]  # the task that each of these risks acts on
    # shape (trials,); owner's charge for the days after the deadline, until what is left is scrapped
    holdover_usd: np.ndarray
    # shape (trials,); agreed value of the unit where it would still stand there on the forced-scrap date
    loss_usd: np.ndarray
    unknown: tuple[str, ...]  # drivers that could not be told
    # of int, shape (trials,); day number on which the true weight, or what is found of the unknown, stops the path;
    # ``NEVER`` where neither does
    too_heavy: np.ndarray | None = None
    agreed_value_usd: float | None = None  # of the unit; None where unknown
    donated_usd: Amount = 0.0  # what is given of it besides: with it the work costs what it costs
    made: Steps | None = None  # what of this others go on from, with what it was made from


def simulate(
    museum: Museum,
    path: str,
    needs: Work,
    samples: Samples,
    start: Made | None = None,
    memo: Ask = afresh,
    decided: int | None = None,
    done: Mapping[str, Made] = MappingProxyType({}),
    not_before: Mapping[str, Made] = MappingProxyType({}),
) -> PathTrials:
    """Price and date one path in every trial.

    Parameters
    ----------
    needs : Work
        Amounts of the drivers and the equipment chosen.
    start : Made of ndarray of int, shape (trials,), optional
        Day number on which the path begins; 0 when left out.
    decided : int, optional
        Day number of the meeting before which the committee does not decide; the first it can when left out.
    done : mapping of str to Made of ndarray of bool, optional
        Trials in which a task is done already: it takes no days there and is not paid again.
    not_before : mapping of str to Made of ndarray of int, optional
        Earliest finish of a task in each trial: it was begun before the path was.

    Returns
    -------
    PathTrials
    """
    unknown: set[str] = set()
    tasks = scheduled(museum, path, needs, samples, start, memo, unknown, decided, done, not_before)
    dates, off_site = tasks.dates, tasks.off_site
    given = needs.given
    closed = memo(_closed, dates)
    lines = price_with_error(museum, path, needs, samples, tasks.days, dates, closed, unknown, memo)
    lines = tuple(memo(_not_again, cost, done[task]) if (task := cost.value.line.task) in done else cost for cost in lines)
    struck = risks_of(museum, path, needs, samples, memo, unknown)
    struck = [(row, memo(_not_again, draws, done[row.task]) if row.task in done else draws) for row, draws in struck]
    risks, risk_draws = {row.risk: row for row, _ in struck}, tuple(draws for _, draws in struck)
    own = memo(_sum, lines, risk_draws, samples.trials)
    scenario = museum.scenario
    deadline, forced = (day_number(museum, day) for day in (scenario.deadline, scenario.forced_scrap))
    holdover, loss, value = Made.by_value(0.0), Made.by_value(0.0), given.get("insured_value")
    if off_site is not None:
        holdover = memo(_holdover, off_site, deadline, forced, samples.known("rates", (scenario.holdover_rate, None)))
        if museum.path(path).saves:
            if value is None and (off_site.value > forced).any():
                unknown.add("insured_value")
            loss = memo(_loss, off_site, forced, value or 0.0)
    total = memo(_total, own, holdover, loss)
    heavy = found_heavy(museum, path, needs, dates, memo)
    return PathTrials(
        path=path,
        cost_usd=None if unknown else total.value,
        off_site=None if off_site is None else off_site.value,
        arrived=None if tasks.arrived is None else tasks.arrived.value,
        closed=closed.value,
        dates=dates.value,
        lines=tuple(cost.value for cost in lines),
        risk_cost_usd={risk: draws.value.cost_usd for risk, draws in zip(risks, risk_draws, strict=True)},
        risks={risk: draws.value for risk, draws in zip(risks, risk_draws, strict=True)},
        risk_tasks={row.risk: row.task for row in risks.values()},
        holdover_usd=np.broadcast_to(holdover.value, (samples.trials,)),
        loss_usd=np.broadcast_to(loss.value, (samples.trials,)),
        unknown=tuple(sorted(unknown)),
        too_heavy=None if heavy is None else heavy.value,
        agreed_value_usd=needs.amounts.get("insured_value"),
        donated_usd=sum(cost.value.donated_usd for cost in lines),
        made=Steps(
            dates, closed, lines, risk_draws, tuple(risks.values()), total, off_site, heavy, value or 0.0, tasks.arrived
        ),
    )


def found_heavy(museum: Museum, path: str, needs: Work, dates: Made, memo: Ask = afresh) -> Made | None:
    """Return the day on which the true weight, or what is found of the unknown, stops a path; ``NEVER`` elsewhere."""
    heavy, leaves = None, milestone(museum, path, *LEAVING)
    if leaves is not None and needs.too_heavy is not None:
        heavy = memo(_found_heavy, dates, leaves, needs.known(needs.too_heavy))
    if leaves is not None and needs.unmet is not None:
        heavy = memo(_found_unmet, dates, milestone(museum, path, "decision") or leaves, needs.known(needs.unmet), heavy)
    return heavy


def _not_again(paid: Any, done: np.ndarray) -> Any:
    """Return a line or a risk without what it costs where its task was done, and paid, before."""
    return dataclasses.replace(paid, cost_usd=paid.cost_usd * ~done)


def _closed(dates: Dates) -> np.ndarray:
    return np.maximum.reduce(list(dates.finish.values())) - 1


def _found_heavy(dates: Dates, leaves: str, heavy: np.ndarray) -> np.ndarray:
    """Return the day on which the crane's or the railroad's scale finds out that it is too heavy; ``NEVER`` elsewhere."""
    return np.where(heavy, dates.ready[leaves], NEVER)


def _found_unmet(dates: Dates, decision: str, unmet: np.ndarray, heavy: np.ndarray | None) -> np.ndarray:
    """Return the day on which the committee hears that what was unknown stops the path, if no other day comes before."""
    day = np.where(unmet, dates.ready[decision], NEVER)
    return day if heavy is None else np.minimum(day, heavy)


def _sum(lines: Sequence[LineCost], risks: Sequence[RiskDraws], trials: int) -> np.ndarray:
    total = np.zeros(trials)
    for entry in (*lines, *risks):
        total += entry.cost_usd
    return total


def _total(own: np.ndarray, holdover: Amount, loss: Amount) -> np.ndarray:
    return own + holdover + loss


def _holdover(off_site: np.ndarray, deadline: int, forced: int, rate: np.ndarray) -> np.ndarray:
    """Charge each calendar day on site after the deadline, until the owner scraps what is left."""
    return np.maximum(np.minimum(off_site, forced) - deadline, 0) * rate


def _loss(off_site: np.ndarray, forced: int, value: Amount) -> np.ndarray:
    """Charge the agreed value of a unit that was to be saved and still stands there on the forced-scrap date.

    What the path has cost by then is not given back.
    """
    return (off_site > forced) * value


def left_behind(museum: Museum, trials: PathTrials, samples: Samples) -> np.ndarray:
    """Return what a unit that nobody takes costs: the owner's charge up to the forced-scrap date, and its agreed value.

    Returns
    -------
    ndarray, shape (trials,)
        [USD]
    """
    days = (museum.scenario.forced_scrap - museum.scenario.deadline).days
    return days * samples.rates[museum.scenario.holdover_rate, None] + (trials.agreed_value_usd or 0.0)


def day_number(museum: Museum, date: dt.date) -> int:
    """Return the number of a date, counted from the start date [day]."""
    return (date - museum.scenario.start).days


def date_of(museum: Museum, day: float) -> dt.date:
    """Return the date of a day number; a part of a day counts as that day begun."""
    return museum.scenario.start + dt.timedelta(days=int(np.ceil(day)))
