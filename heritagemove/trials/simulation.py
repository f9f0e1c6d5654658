"""Price and date every trial of every path of one unit.

Draws are made once for a museum (:func:`heritagemove.trials.draws.draw`) and passed in, so that a slider move only rescales
them: charts do not jitter and differences between paths are differences of the same trials.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np

from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import RiskDraws, Samples, draw
from heritagemove.trials.line_costs import LineCost, price_lines
from heritagemove.trials.needs import Amount, Known, Work, told_by_rows, work
from heritagemove.trials.schedule import Dates, forward
from heritagemove.trials.seasons import calendars_of

__all__ = [
    "NEVER",
    "Amount",
    "LineCost",
    "PathTrials",
    "Samples",
    "Work",
    "date_of",
    "date_tasks",
    "day_number",
    "draw",
    "left_behind",
    "milestone",
    "off_site",
    "simulate",
    "told_by_rows",
    "work",
    "working_days",
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


@dataclass(frozen=True)
class PathTrials:
    """One path in every trial."""

    path: str
    # shape (trials,); what the museum pays in all; None where a driver or rate it needs is unknown
    cost_usd: np.ndarray | None
    # of int, shape (trials,); day number on which the unit has left the site; None for a path that takes it nowhere
    off_site: np.ndarray | None
    closed: np.ndarray  # of int, shape (trials,); day number on which the books are closed
    dates: Dates
    lines: tuple[LineCost, ...]
    risk_cost_usd: Mapping[str, np.ndarray]  # shape (trials,); by risk, its mitigation included where that is bought
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
    museum: Museum, path: str, needs: Work, samples: Samples, start: Made | None = None, memo: Ask = afresh
) -> PathTrials:
    """Price and date one path in every trial.

    Parameters
    ----------
    needs : Work
        Amounts of the drivers and the equipment chosen.
    start : Made of ndarray of int, shape (trials,), optional
        Day number on which the path begins; 0 when left out.

    Returns
    -------
    PathTrials
    """
    unknown: set[str] = set()
    days, dates, leaves, off_site = _leaving(museum, path, needs, samples, start, unknown, memo)
    given = needs.given
    closed = memo(_closed, dates)
    lines = price_lines(museum, path, needs, samples, days, dates, closed, unknown, memo)
    risks = {row.risk: row for row in museum.of_path("risks", path) if needs.applies(row.needs, memo)}
    risk_draws = tuple(samples.known("risks", (path, risk)) for risk in risks)
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
    heavy = None
    if leaves is not None and needs.too_heavy is not None:
        heavy = memo(_found_heavy, dates, leaves, needs.known(needs.too_heavy))
    if leaves is not None and needs.unmet is not None:
        heavy = memo(_found_unmet, dates, milestone(museum, path, "decision") or leaves, needs.known(needs.unmet), heavy)
    return PathTrials(
        path=path,
        cost_usd=None if unknown else total.value,
        off_site=None if off_site is None else off_site.value,
        closed=closed.value,
        dates=dates.value,
        lines=tuple(cost.value for cost in lines),
        risk_cost_usd={risk: draws.value.cost_usd for risk, draws in zip(risks, risk_draws, strict=True)},
        risk_tasks={row.risk: row.task for row in risks.values()},
        holdover_usd=np.broadcast_to(holdover.value, (samples.trials,)),
        loss_usd=np.broadcast_to(loss.value, (samples.trials,)),
        unknown=tuple(sorted(unknown)),
        too_heavy=None if heavy is None else heavy.value,
        agreed_value_usd=needs.amounts.get("insured_value"),
        donated_usd=sum(cost.value.donated_usd for cost in lines),
        made=Steps(dates, closed, lines, risk_draws, tuple(risks.values()), total, off_site, heavy, value or 0.0),
    )


def off_site(museum: Museum, path: str, needs: Work, samples: Samples, memo: Ask = afresh) -> Made | None:
    """Return the day number off the site in every trial, of int, shape (trials,); None for a path that takes it nowhere."""
    return _leaving(museum, path, needs, samples, None, set(), memo)[-1]


def _leaving(
    museum: Museum, path: str, needs: Work, samples: Samples, start: Made | None, unknown: set[str], memo: Ask
) -> tuple[dict[str, Made], Made, str | None, Made | None]:
    """Return the durations and dates of a path's tasks, the task with which the unit leaves, and the day."""
    days = _durations(museum, path, needs, samples, unknown, memo)
    dates = _dated(museum, path, museum.of_path("tasks", path), days, needs, samples, start, memo)
    leaves = milestone(museum, path, "off_site")
    return days, dates, leaves, None if leaves is None else memo(_last_day, dates, leaves)


def _last_day(dates: Dates, leaves: str) -> np.ndarray:
    return dates.finish[leaves] - 1


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


def milestone(museum: Museum, path: str, name: str) -> str | None:
    """Return the task of a path that carries the milestone "decision" or "off_site", if any."""
    return next((row.task for row in museum.of_path("tasks", path) if row.milestone == name), None)


#: Calendar of tasks that are finished: their dates are on record, whatever the weekday.
RECORDED = "recorded_days"


def working_days(museum: Museum, path: str, needs: Work, samples: Samples) -> dict[str, np.ndarray]:
    """Return the duration of each task of a path in every trial, risks' delays included [working day]."""
    return {task: days.value for task, days in durations(museum, path, needs, samples).items()}


def durations(museum: Museum, path: str, needs: Work, samples: Samples, memo: Ask = afresh) -> dict[str, Made]:
    """Return the duration of each task of a path in every trial, with what it was made from [working day]."""
    return _durations(museum, path, needs, samples, set(), memo)


def _durations(
    museum: Museum, path: str, needs: Work, samples: Samples, unknown: set[str], memo: Ask
) -> dict[str, Made]:
    given, delays = needs.given, _delays(museum, path, needs, samples, memo)
    days = {}
    for row in museum.of_path("tasks", path):
        added = [(each, given.get(driver), driver) for driver, each in row.added_days]
        unknown.update(driver for _, amount, driver in added if amount is None)
        more = tuple((each, amount) for each, amount, _ in added if amount is not None)
        days[row.task] = memo(_working_days, samples.known("tasks", (path, row.task)), delays.get(row.task, ()), more)
    return days


def _delays(museum: Museum, path: str, needs: Work, samples: Samples, memo: Ask) -> dict[str, tuple[Made, ...]]:
    delays: dict[str, tuple[Made, ...]] = {}
    for row in museum.of_path("risks", path):
        if row.delay_high > 0 and not row.stretches and needs.applies(row.needs, memo):
            delays[row.task] = (*delays.get(row.task, ()), samples.known("risks", (path, row.risk)))
    return delays


def task_delays(museum: Museum, path: str, needs: Work, samples: Samples) -> dict[str, np.ndarray]:
    """Return by how much risks delay each task of a path that any risk may delay [working day]."""
    delays = _delays(museum, path, needs, samples, afresh)
    return {task: reduce(np.add, (made.value.delay_days for made in risks)) for task, risks in delays.items()}


def date_tasks(
    museum: Museum,
    path: str,
    days: Mapping[str, np.ndarray],
    needs: Work,
    samples: Samples,
    not_before: Mapping[str, int] | None = None,
    start: np.ndarray | int = 0,
) -> Dates:
    """Return the dates of a path's tasks from their durations, each on its own calendar.

    Parameters
    ----------
    needs : Work
        What the path needs: it tells which rules of the calendars apply.
    not_before : mapping of str to int, optional
        Earliest finish of single tasks, as day numbers from the start.
    start : int or ndarray of int, shape (trials,)
        Day number on which the path begins.
    """
    tasks = museum.of_path("tasks", path)
    made = calendars_of(museum, path, [row.calendar for row in tasks], needs, samples)
    calendars = {row.task: each.value for row, each in zip(tasks, made, strict=True)}
    return forward({row.task: row.after for row in tasks}, days, calendars, start, not_before)


def _dated(
    museum: Museum,
    path: str,
    tasks: Sequence[Any],
    days: Mapping[str, Made],
    needs: Work,
    samples: Samples,
    start: Made | None,
    memo: Ask,
) -> Made:
    network = tuple((row.task, row.after) for row in tasks)
    calendars = calendars_of(museum, path, [row.calendar for row in tasks], needs, samples, memo)
    return memo(_forward, network, tuple(days.values()), calendars, 0 if start is None else start)


def _forward(
    network: Sequence[tuple[str, tuple[str, ...]]],
    days: Sequence[np.ndarray],
    calendars: Sequence[Any],
    start: np.ndarray | int,
) -> Dates:
    names = [task for task, _ in network]
    return forward(dict(network), dict(zip(names, days, strict=True)), dict(zip(names, calendars, strict=True)), start)


def _working_days(
    drawn: np.ndarray, risks: Sequence[RiskDraws], added: Sequence[tuple[float, Amount]]
) -> np.ndarray:
    days = drawn
    if risks:
        days = days + reduce(np.add, (risk.delay_days for risk in risks))
    for each, amount in added:
        days = days + each * amount
    return np.rint(days).astype(np.int64)


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
