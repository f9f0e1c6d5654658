"""Task networks on working calendars: forward and backward pass over arrays of trials, criticality.

A moment is the number of a calendar day's morning, counted from the start date; a finish is the
morning after the last working day, so that a follower may begin then. Durations are whole working
days (rounded to the nearest) and work begins on a working morning.
"""

from __future__ import annotations

import graphlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np


class ScheduleOverrun(ValueError):
    """A task runs past the days that were looked ahead, or its calendar never opens again."""


@dataclass(frozen=True)
class Calendar:
    """Working days of a span, ready for look-up."""

    name: str
    before: np.ndarray  # of int, shape (days + 1,); working days before each morning
    nth: np.ndarray  # day number of each working day
    done: np.ndarray  # morning after each working day, counted from 1; entry 0 is no working day's

    @classmethod
    def of(cls, name: str, is_open: np.ndarray) -> Calendar:
        """Return the calendar of an array that says which days are open."""
        before = np.concatenate([[0], np.cumsum(is_open)]).astype(np.int64)
        nth = np.flatnonzero(is_open).astype(np.int64)
        return cls(name, before, nth, np.concatenate([[0], nth + 1]))

    def finish(self, start: np.ndarray, working_days: np.ndarray) -> np.ndarray:
        """Return the morning after `working_days` from `start`; no days finish where they start.

        Raises
        ------
        ScheduleOverrun
            If the work runs past the span.
        """
        try:
            # Two look-ups; the table itself tells when one runs over its end.
            finish = self.done.take(self.before.take(start) + working_days)
        except IndexError:
            raise ScheduleOverrun(
                f"calendar {self.name}: work runs past the {len(self.before) - 1} days looked ahead"
            ) from None
        working = np.asarray(working_days) > 0
        return finish if working.all() else np.where(working, finish, start)

    def latest_start(self, finish: np.ndarray, working_days: np.ndarray) -> np.ndarray:
        """Return the last working morning from which `working_days` are finished by `finish`; -1 when none."""
        first = self.before.take(np.maximum(finish, 0)) - np.maximum(working_days, 1)  # no days: nothing to look up
        return np.where(working_days > 0, np.where(first >= 0, self.nth.take(np.maximum(first, 0)), -1), finish)


@dataclass(frozen=True)
class Dates:
    """Dates of every task in every trial."""

    # of int, shape (trials,); morning on which the predecessors are done, and morning after the last working day
    ready: Mapping[str, np.ndarray]
    # of int, shape (trials,); morning on which the predecessors are done, and morning after the last working day
    finish: Mapping[str, np.ndarray]
    # of bool, shape (trials,); where a task could have finished, had it not had to wait for a day: no predecessor sets it
    held: Mapping[str, np.ndarray] = field(default_factory=dict)


def order_of(after: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """Return the tasks so that each comes behind those it waits for.

    Raises
    ------
    graphlib.CycleError
        If they wait for each other in a loop.
    """
    seen: set[str] = set()
    for task, waits_for in after.items():
        if not seen.issuperset(waits_for):
            return tuple(graphlib.TopologicalSorter(after).static_order())
        seen.add(task)
    return tuple(after)  # planners mostly write them in order


def forward(
    after: Mapping[str, Sequence[str]],
    working_days: Mapping[str, np.ndarray],
    calendars: Mapping[str, Calendar],
    start: np.ndarray | int = 0,
    not_before: Mapping[str, np.ndarray | int] | None = None,
) -> Dates:
    """Date each task as early as its predecessors and its calendar allow.

    Parameters
    ----------
    after : mapping of str to sequence of str
        Predecessors of each task.
    working_days : mapping of str to ndarray of int, shape (trials,)
        Duration of each task [working day].
    calendars : mapping of str to Calendar
        Calendar of each task.
    start : int or ndarray of int
        Morning on which the first tasks may begin [day].
    not_before : mapping of str to int or ndarray of int, optional
        Earliest finish of single tasks [day]: what would happen if the committee decided on that day.

    Returns
    -------
    Dates
    """
    ready: dict[str, np.ndarray] = {}
    finish: dict[str, np.ndarray] = {}
    held: dict[str, np.ndarray] = {}
    for task in order_of(after):
        if after[task]:  # then the start is behind it already, and one predecessor's finish needs no copy
            begin = finish[after[task][0]]
            for before in after[task][1:]:
                begin = np.maximum(begin, finish[before])
        else:
            begin = np.broadcast_to(np.asarray(start), np.shape(working_days[task]))
        ready[task] = begin
        end = calendars[task].finish(begin, working_days[task])
        if not_before and task in not_before:
            held[task] = end < not_before[task]
            end = np.maximum(end, not_before[task])
        finish[task] = end
    return Dates(ready, finish, held)


def latest_finishes(
    after: Mapping[str, Sequence[str]],
    working_days: Mapping[str, np.ndarray],
    calendars: Mapping[str, Calendar],
    end: np.ndarray | int,
) -> dict[str, np.ndarray]:
    """Return the latest finish of each task that still lets the whole finish by `end` (backward pass).

    Returns
    -------
    dict of str to ndarray of int, shape (trials,)
    """
    order = order_of(after)
    latest = {task: np.broadcast_to(np.asarray(end), np.shape(working_days[task])) for task in order}
    for task in reversed(order):
        must_start = calendars[task].latest_start(latest[task], working_days[task])
        for before in after[task]:
            latest[before] = np.minimum(latest[before], must_start)
    return latest


def critical_share(after: Mapping[str, Sequence[str]], dates: Dates, last: str) -> dict[str, float]:
    """Return how often each task sets the date of the task `last`.

    A task is critical in a trial when a chain of finishes, each the reason for the next beginning,
    runs from it to `last`. Equality of whole days is exact: a maximum is one of its arguments.

    Returns
    -------
    dict of str to float
        Share of trials, 0 to 1.
    """
    trials = np.shape(dates.finish[last])
    critical = {task: np.zeros(trials, dtype=bool) for task in after}
    critical[last] = np.ones(trials, dtype=bool)
    for task in reversed(order_of(after)):
        if not critical[task].any():
            continue
        reaches = critical[task] & ~dates.held[task] if task in dates.held else critical[task]
        for before in after[task]:
            critical[before] |= reaches & (dates.finish[before] == dates.ready[task])
    return {task: np.count_nonzero(flags) / flags.size for task, flags in critical.items()}
