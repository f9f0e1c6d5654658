"""Tasks as they happen: what is finished is fixed, what has begun is not finished yet, what is to come cannot lie behind us.

A status date looks back: whatever happened up to its evening counts, and nothing later does.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from heritagemove.compare.results import Comparison
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.calendars import CalendarRule
from heritagemove.museum.rows.progress import Progress
from heritagemove.trials import durations, simulation
from heritagemove.trials.sampling import Streams
from heritagemove.trials.schedule import order_of
from heritagemove.trials.seasons import SeasonalCalendar, calendar_of
from heritagemove.trials.simulation import Samples


def known_by(records: Iterable[Progress], vehicle: str, path: str, on: dt.date) -> dict[str, Progress]:
    """Return what was known on the evening of a date of one unit's tasks on a path, by task."""
    known = {}
    for row in records:
        if (row.vehicle, row.path) == (vehicle, path) and row.started <= on:
            over = row.finished is not None and row.finished <= on
            not_yet = {"finished": None, "outcome": None, "holds_until": None}
            known[row.task] = row if over else row.model_copy(update=not_yet)
    return known


def as_of(
    museum: Museum, samples: Samples, plan: Comparison, path: str, known: Mapping[str, Progress], on: dt.date
) -> tuple[Museum, Samples, tuple[str, ...]]:
    """Return the museum and its draws as a status date leaves them.

    A finished task keeps its dates, its risks are closed and its gates settled. A task that has begun goes on
    at least until the next working day: trials in which it, its risks included, would be over by now give way
    to trials in which it is not. No other task of any path begins before the day after.

    Parameters
    ----------
    plan : Comparison
        All paths as planned.
    path : str
        Id of the path that is followed.
    known : mapping of str to Progress
        As :func:`known_by` returns it.
    on : datetime.date
        Status date.

    Returns
    -------
    tuple of (Museum, Samples, tuple of str)
        The last says what could not be taken as recorded.
    """
    morning = simulation.day_number(museum, on) + 1
    if morning <= 0:
        return museum, samples, ()
    changed = _Recorded(museum, samples, plan, path, known, morning)
    return changed.museum(), changed.samples(), tuple(changed.notes)


class _Recorded:
    """One status date of one path, task by task."""

    def __init__(
        self, museum: Museum, samples: Samples, plan: Comparison, path: str, known: Mapping[str, Progress], morning: int
    ) -> None:
        self.before, self.drawn, self.known, self.morning = museum, samples, known, morning
        self.plan, self.works = plan.path(path), {result.path: result.work for result in plan.paths}
        self.rows: dict[str, Any] = {}
        self.wait: dict[tuple[str, str], int | np.ndarray] = {}
        self.again: dict[str, np.ndarray] = {}
        self.closed: set[str] = {task for task, row in known.items() if row.finished}
        self.notes: list[str] = []
        self.days = durations.working_days(museum, path, self.plan.work, samples)
        for path in museum.paths:
            self._path(path.path)
        self.left = self._left(self.plan.path)

    def _left(self, path: str) -> tuple[Any, ...]:
        """Return the day on record on which the unit left the site, as a task that is finished; none while it is there."""
        row = next((row for row in self.before.of_path("tasks", path) if "leaves" in row.milestone), None)
        record = row and self.known.get(row.task)
        if record is None or record.started is None:
            return ()
        haul = self.rows.get(row.task, row)
        self.rows[row.task] = haul.model_copy(update={"milestone": tuple(m for m in haul.milestone if m != "leaves")})
        day = simulation.day_number(self.before, record.started) + 1
        title = f"Left the site: {row.title[:1].lower()}{row.title[1:]}"
        own = {"task": "left_the_site", "title": title, "after": (), "calendar": durations.RECORDED}
        return (row.model_copy(update=_certain(max(day, 0)) | own | {"milestone": ("off_site",), "hands_over": None}),)

    def _path(self, path: str) -> None:
        tasks = {row.task: row for row in self.before.of_path("tasks", path)}
        finish: dict[str, int] = {}
        for task in order_of({row.task: row.after for row in tasks.values()}):
            row = tasks[task]
            over = all(before in finish for before in row.after)
            ready = max((finish[before] for before in row.after), default=0) if over else None
            record = self.known.get(task) if path == self.plan.path else None
            if record is None:
                if ready is not None and row.needs and self.works[path].in_trials(row.needs) is False:
                    finish[task] = ready  # it takes no days, and what follows it may have to wait
                elif ready is not None and ready < self.morning:
                    self.wait[path, task] = self._between(row, ready, self.morning)
            elif record.finished:
                finish[task] = self._finished(row, record, ready)
            else:
                self._begun(row, record, ready)

    def _finished(self, row: Any, record: Progress, ready: int | None) -> int:
        end = simulation.day_number(self.before, record.finished) + 1
        follows = ready is not None and ready <= end
        days = max(end - (ready if follows else 0), 0)
        self.rows[row.task] = row.model_copy(
            update=_certain(days) | {"after": row.after if follows else (), "calendar": durations.RECORDED}
        )
        return max(end, 0)

    def _begun(self, row: Any, record: Progress, ready: int | None) -> None:
        start = max(simulation.day_number(self.before, record.started), 0)
        follows = ready is not None and ready <= start
        gone = self._between(row, start, self.morning)
        on = self.days[row.task] > gone
        after = row.after if follows else ()
        self.wait[row.path, row.task] = self._between(row, ready if follows else 0, start)
        if on.any():
            self.rows[row.task] = row.model_copy(update={"after": after, "needs": None})
            self.again[row.task] = on
        else:
            self.closed.add(row.task)
            most = int(np.max(gone))
            self.rows[row.task] = row.model_copy(update=_certain(most + 1) | {"after": after})
            self.notes.append(f"{row.title}: {most} working days already, longer than any trial; one more day is assumed.")

    def _between(self, row: Any, first: int, then: int) -> int | np.ndarray:
        """Return a task's working days between two mornings; shape (trials,) where its calendar differs by trial."""
        calendar = calendar_of(self.before, row.path, row.calendar, self.works[row.path], self.drawn)
        last = calendar.before.shape[-1] - 1
        passed = calendar.before[..., min(then, last)] - calendar.before[..., min(first, last)]
        return passed[calendar.variant] if isinstance(calendar, SeasonalCalendar) else passed

    def museum(self) -> Museum:
        path, museum = self.plan.path, self.before
        everyday = CalendarRule(
            calendar=durations.RECORDED, rule="weekdays", weekdays="Mon;Tue;Wed;Thu;Fri;Sat;Sun", weeks=None, first=None,
            last=None, reason="dates of finished tasks", basis="measured", source="progress.csv",
        )  # fmt: skip
        return museum.with_changes(
            tasks=[self.rows.get(row.task, row) if row.path == path else row for row in museum.tasks] + [*self.left],
            calendars=(*museum.calendars, everyday),
            risks=[_over(row) if row.path == path and row.task in self.closed else row for row in museum.risks],
            gates=[self._gate(row) for row in museum.gates],
            funds=[self._fund(row) for row in museum.funds],
        )

    def _fund(self, row: Any) -> Any:
        """Return a fund as it is known: granted or not for certain, where a task that waited for it is finished."""
        tasks = self.before.of_path("tasks", self.plan.path)
        record = next((self.known[task.task] for task in tasks if task.fund == row.fund and task.task in self.closed), None)
        if record is None or record.finished is None:
            return row
        chance = 0.0 if record.outcome == "refused" else 1.0
        return row.model_copy(update={"probability": chance, "earliest": min(row.earliest, record.finished)})

    def _gate(self, row: Any) -> Any:
        record = self.known.get(row.task) if row.path == self.plan.path and row.task else None
        if record is None or not record.finished:
            return row
        return row.model_copy(update={"refusal_probability": 1.0 if record.outcome == "refused" else 0.0})

    def samples(self) -> Samples:
        samples, path = simulation.draw(self.museum(), previous=self.drawn), self.plan.path
        tasks, risks, overruns = dict(samples.tasks), dict(samples.risks), dict(samples.overruns)
        streams = Streams(samples.seed, samples.trials)
        for task, on in self.again.items():
            pick = np.arange(samples.trials)
            pick[~on] = streams.generator(f"begun/{path}/{task}").choice(np.flatnonzero(on), int((~on).sum()))
            tasks[path, task] = tasks[path, task][pick]
            if (path, task) in overruns:
                overruns[path, task] = overruns[path, task][pick]
            for row in self.before.of_path("risks", path):
                if row.task == task:
                    old = risks[path, row.risk]
                    drawn = ("happens", "cost_usd", "delay_days", "share", "impact_usd", "impact_days")
                    picked = {name: each[pick] for name in drawn if (each := getattr(old, name)) is not None}
                    risks[path, row.risk] = dataclasses.replace(old, **picked)
        for key, days in self.wait.items():
            # The wait is no estimate: what multiplies the task's own days must not multiply it.
            tasks[key] = tasks[key] + days / overruns.get(key, 1)
        return dataclasses.replace(samples, tasks=tasks, risks=risks, overruns=overruns)


def _certain(days: int) -> dict[str, Any]:
    certain = dict.fromkeys(("low", "likely", "high"), float(days))
    return certain | {"range": "bounds", "per": (), "extra_days": (), "needs": None, "for_each": None, "basis": "measured"}


def _over(row: Any) -> Any:
    """Close a risk: what it cost stands among the invoices; a mitigation that was bought stays paid."""
    left = None if row.mitigated_probability is None else 0.0
    return row.model_copy(update={"probability": 0.0, "mitigated_probability": left})
