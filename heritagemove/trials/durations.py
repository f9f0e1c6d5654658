"""How long each task of a path lasts in every trial, and the dates that follow from it on its calendars.

A task lasts what is drawn for it and the days that its drivers add, by as much longer or shorter as estimates turn out to be
off, and the delays of its risks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from types import MappingProxyType
from typing import Any

import numpy as np

from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.tasks import LEAVING
from heritagemove.museum.waits import each_of
from heritagemove.trials.draws import RiskDraws, Samples
from heritagemove.trials.needs import Amount, Work
from heritagemove.trials.risk_draws import risks_of
from heritagemove.trials.schedule import Dates, forward
from heritagemove.trials.seasons import calendars_of


def milestone(museum: Museum, path: str, *names: str) -> str | None:
    """Return the task of a path that carries a milestone, or one of several, if any."""
    return next((row.task for row in museum.of_path("tasks", path) if {*names} & {*row.milestone}), None)


#: Drivers whose days follow from miles, speed and hours: they are counted, and no estimate to be off.
ON_THE_WAY = ("road_days", "rail_days")
#: Calendar of tasks that are finished: their dates are on record, whatever the weekday.
RECORDED = "recorded_days"


def working_days(museum: Museum, path: str, needs: Work, samples: Samples) -> dict[str, np.ndarray]:
    """Return the duration of each task of a path in every trial, risks' delays included [working day]."""
    return {task: days.value for task, days in task_durations(museum, path, needs, samples).items()}


def task_durations(
    museum: Museum, path: str, needs: Work, samples: Samples, memo: Ask = afresh, unknown: set[str] | None = None
) -> dict[str, Made]:
    """Return the duration of each task of a path in every trial, with what it was made from [working day].

    Parameters
    ----------
    unknown : set of str, optional
        Takes the drivers that could not be told.
    """
    unknown = set() if unknown is None else unknown
    delays: dict[str, tuple[Made, ...]] = {}
    for risk, draws in risks_of(museum, path, needs, samples, memo, unknown):
        if risk.delay_high > 0 and not risk.stretches:
            delays[risk.task] = (*delays.get(risk.task, ()), draws)
    days = {}
    for row in museum.of_path("tasks", path):
        applies = row.needs is None or needs.in_trials(row.needs, memo, row.stage)
        if applies is False:
            days[row.task] = memo(_no_days, samples.trials)
            continue
        if row.for_each and each_of(museum, row) is None:
            unknown.add("states" if row.for_each == "state" else "class_one_carriers")
        added = [(each, needs.amount(driver, row.stage), driver) for driver, each in row.added_days]
        unknown.update(driver for _, amount, driver in added if amount is None)
        more, on_the_way = (
            tuple((each, amount) for each, amount, driver in added if amount is not None and (driver in ON_THE_WAY) == way)
            for way in (False, True)
        )
        place = path, row.task
        overrun = samples.known("overruns", place) if place in samples.overruns else None
        days[row.task] = memo(
            _working_days, samples.known("tasks", place), overrun, delays.get(row.task, ()), more, on_the_way, applies
        )
    return days


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
    held = dict(_not_before(museum, tasks, needs)) | dict(not_before or {})
    return forward({row.task: row.after for row in tasks}, days, calendars, start, held)


def _not_before(museum: Museum, tasks: Sequence[Any], needs: Work, memo: Ask = afresh) -> tuple[tuple[str, int], ...]:
    """Return the day on which the fund pays for which a task waits: it is not finished before."""
    start, pays = museum.scenario.start, {row.fund: row.earliest for row in museum.funds}
    waiting = (row for row in tasks if row.fund in pays and needs.applies(row.needs, memo, row.stage))
    return tuple((row.task, (pays[row.fund] - start).days) for row in waiting)


@dataclass(frozen=True)
class Scheduled:
    """The tasks of one path in every trial, each array with what it was made from."""

    days: Mapping[str, Made]  # duration of each task [working day]
    dates: Made
    off_site: Made | None  # day number off the site; None for a path that takes the unit nowhere
    arrived: Made | None  # day number on which it stands where the path ends; None where no task is marked so


def scheduled(
    museum: Museum,
    path: str,
    needs: Work,
    samples: Samples,
    start: Made | None = None,
    memo: Ask = afresh,
    unknown: set[str] | None = None,
    decided: int | None = None,
    done: Mapping[str, Made] = MappingProxyType({}),
    not_before: Mapping[str, Made] = MappingProxyType({}),
) -> Scheduled:
    """Return how long the tasks of a path last and when, and with them the days off the site and of arrival.

    Parameters
    ----------
    start : Made of ndarray of int, shape (trials,), optional
        Day number on which the path begins; 0 when left out.
    unknown : set of str, optional
        Takes the drivers that could not be told.
    decided : int, optional
        Day number of the meeting before which the committee does not decide; the first it can when left out.
    done : mapping of str to Made of ndarray of bool, optional
        Trials in which a task is done already: it takes no days there.
    not_before : mapping of str to Made of ndarray of int, optional
        Earliest finish of a task in each trial: it was begun before the path was.
    """
    days = task_durations(museum, path, needs, samples, memo, unknown)
    days |= {task: memo(_unless, days[task], already) for task, already in done.items()}
    decision = milestone(museum, path, "decision")
    meeting = () if decided is None or decision is None else ((decision, decided + 1),)
    held = (*meeting, *not_before.items())
    dates = _dated(museum, path, museum.of_path("tasks", path), days, needs, samples, start, memo, held)
    arrives = milestone(museum, path, "arrived")
    arrived = None if arrives is None else memo(_last_day, dates, arrives)
    return Scheduled(days, dates, off_site_days(museum, path, days, dates, needs, samples, memo), arrived)


def off_site_days(
    museum: Museum, path: str, days: Mapping[str, Any], dates: Any, needs: Work, samples: Samples, memo: Ask = afresh
) -> Made | None:
    """Return the day off the site in every trial, of int, shape (trials,); None for a path that takes it nowhere."""
    leaves = milestone(museum, path, *LEAVING)
    if leaves is None:
        return None
    if milestone(museum, path, "leaves") is None:
        return memo(_last_day, dates, leaves)
    row = next(row for row in museum.of_path("tasks", path) if row.task == leaves)
    (calendar,) = calendars_of(museum, path, [row.calendar], needs, samples, memo)
    return memo(_first_day, dates, leaves, days[leaves], calendar)


def _dated(
    museum: Museum,
    path: str,
    tasks: Sequence[Any],
    days: Mapping[str, Made],
    needs: Work,
    samples: Samples,
    start: Made | None,
    memo: Ask,
    held: tuple[tuple[str, int | Made], ...] = (),
) -> Made:
    network = tuple((row.task, row.after) for row in tasks)
    calendars = calendars_of(museum, path, [row.calendar for row in tasks], needs, samples, memo)
    held = (*_not_before(museum, tasks, needs, memo), *held)
    return memo(_forward, network, tuple(days.values()), calendars, 0 if start is None else start, held)


def _forward(
    network: Sequence[tuple[str, tuple[str, ...]]],
    days: Sequence[np.ndarray],
    calendars: Sequence[Any],
    start: np.ndarray | int,
    held: Sequence[tuple[str, np.ndarray | int]],
) -> Dates:
    latest: dict[str, np.ndarray | int] = {}
    for task, day in held:
        latest[task] = np.maximum(latest[task], day) if task in latest else day
    names = [task for task, _ in network]
    lasting, on = dict(zip(names, days, strict=True)), dict(zip(names, calendars, strict=True))
    return forward(dict(network), lasting, on, start, latest)


def _unless(days: np.ndarray, already: np.ndarray) -> np.ndarray:
    return days * ~already


def _no_days(trials: int) -> np.ndarray:
    return np.zeros(trials, dtype=np.int64)


def _working_days(
    drawn: np.ndarray,
    overrun: np.ndarray | None,
    risks: Sequence[RiskDraws],
    added: Sequence[tuple[float, Amount]],
    on_the_way: Sequence[tuple[float, Amount]],
    applies: bool | np.ndarray,
) -> np.ndarray:
    days = drawn
    for each, amount in added:
        days = days + each * amount
    if overrun is not None:
        # However well work goes, what takes a day takes one: no task without a day slips through a closed season.
        days = np.maximum(days * overrun, np.minimum(days, 1.0))
    for each, amount in on_the_way:
        days = days + each * amount
    if risks:
        days = days + reduce(np.add, (risk.delay_days for risk in risks))
    days = np.rint(days).astype(np.int64)
    return days if applies is True else days * applies


def _last_day(dates: Dates, task: str) -> np.ndarray:
    return dates.finish[task] - 1


def _first_day(dates: Dates, task: str, days: np.ndarray, calendar: Any) -> np.ndarray:
    return calendar.finish(dates.ready[task], np.minimum(days, 1)) - 1
