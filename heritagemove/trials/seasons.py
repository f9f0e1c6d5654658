"""The calendar a path works on: the rules that apply to what it needs, and closed seasons that run on in some trials."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.museum.calendars import marked_days, open_by
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import DatedRules, RiskDraws, Samples
from heritagemove.trials.needs import Work
from heritagemove.trials.schedule import Calendar, ScheduleOverrun


@dataclass(frozen=True)
class SeasonalCalendar:
    """Working days of a span that differ from trial to trial, ready for look-up.

    It answers as :class:`heritagemove.trials.schedule.Calendar` does, trial by trial.
    """

    name: str
    variant: np.ndarray  # of int, shape (trials,); which of the calendars below holds in each trial
    before: np.ndarray  # of int, shape (variants, days + 1); working days before each morning
    # of int, shape (variants, most); day number of each working day; the span's end where a variant has no more
    nth: np.ndarray

    @classmethod
    def of(cls, name: str, case: np.ndarray, is_open: Callable[[int], np.ndarray]) -> SeasonalCalendar:
        """Return the calendar of trials that fall into cases.

        Parameters
        ----------
        case : ndarray of int, shape (trials,)
            Number of each trial's case, such as the days by which a season lasts longer in it.
        is_open : callable
            The open days of the span in a case.
        """
        cases, variant = np.unique(case, return_inverse=True)
        calendars = [Calendar.of(name, is_open(int(each))) for each in cases]
        most = max(len(calendar.nth) for calendar in calendars)
        end = len(calendars[0].before) - 1
        nth = np.stack([np.pad(c.nth, (0, most - len(c.nth)), constant_values=end) for c in calendars])
        return cls(name, variant, np.stack([calendar.before for calendar in calendars]), nth)

    def finish(self, start: np.ndarray, working_days: np.ndarray) -> np.ndarray:
        """Return the morning after `working_days` from `start`; no days finish where they start.

        Raises
        ------
        ScheduleOverrun
            If the work runs past the span.
        """
        start, span = np.asarray(start), self.before.shape[1] - 1
        if np.any(start > span):
            raise ScheduleOverrun(f"calendar {self.name}: work begins after the {span} days looked ahead")
        last = self.before[self.variant, start] + working_days - 1
        if np.any(last >= self.before[self.variant, -1]):
            raise ScheduleOverrun(f"calendar {self.name}: work needs working days beyond the {span} days looked ahead")
        return np.where(working_days > 0, self.nth[self.variant, np.maximum(last, 0)] + 1, start)

    def latest_start(self, finish: np.ndarray, working_days: np.ndarray) -> np.ndarray:
        """Return the last working morning from which `working_days` are finished by `finish`; -1 when none."""
        # A finish of -1, none, would count from the span's end; work of no days has no day of its own to look up.
        first = self.before[self.variant, np.maximum(finish, 0)] - np.maximum(working_days, 1)
        found = np.where(first >= 0, self.nth[self.variant, np.maximum(first, 0)], -1)
        return np.where(working_days > 0, found, finish)


def calendars_of(
    museum: Museum, path: str, names: Sequence[str], needs: Work, samples: Samples, memo: Ask = afresh
) -> tuple[Made, ...]:
    """Return calendars on which a path works: each a `Calendar`, or a `SeasonalCalendar` where trials differ.

    Parameters
    ----------
    names : sequence of str
        Ids of the calendars, one a task as a rule.
    needs : Work
        What the path needs: a rule applies unless a driver that it needs is known to be zero.
    """
    risks = (row for row in museum.of_path("risks", path) if row.stretches)
    stretching = [row for row in risks if needs.applies(row.needs, memo, row.stage)]
    made = {name: _calendar_of(name, stretching, needs, samples, memo) for name in dict.fromkeys(names)}
    return tuple(made[name] for name in names)


def calendar_of(museum: Museum, path: str, name: str, needs: Work, samples: Samples) -> Calendar | SeasonalCalendar:
    """Return one calendar on which a path works, as :func:`calendars_of` does."""
    return calendars_of(museum, path, (name,), needs, samples)[0].value


def _calendar_of(calendar: str, stretching: Sequence[Any], needs: Work, samples: Samples, memo: Ask) -> Made:
    dated = samples.known("calendars", calendar)
    applies = {driver: needs.in_trials(driver, memo) for driver in dated.value.needs}
    longer: tuple[tuple[tuple[str, Any], Made], ...] = ()
    if stretching:
        rules = [each for each in dated.value.rules if all(applies[driver] is not False for driver in each.needs)]
        closed = {(each.rule.calendar, each.rule.first) for each in rules if each.rule.rule == "closed"}
        longer = tuple(
            ((row.stretches, row.closed_from), samples.known("risks", (row.path, row.risk)))
            for row in stretching
            if (row.stretches, row.closed_from) in closed
        )
    return memo(_worked, dated, tuple(applies.items()), longer)


def _worked(
    dated: DatedRules,
    applies: Sequence[tuple[str, bool | np.ndarray]],
    longer: Sequence[tuple[tuple[str, Any], RiskDraws]],
) -> Calendar | SeasonalCalendar:
    """Return the calendar of a path from what applies to it, and by how many days its closed seasons last longer."""
    always = {driver: found for driver, found in applies if isinstance(found, bool)}
    varying = {driver: found for driver, found in applies if driver not in always}
    extra = {closure: draws.longer_days for closure, draws in longer}
    columns = [*varying.values(), *extra.values()]
    if not columns:
        return Calendar.of(dated.name, _open(dated, always, {}))
    case = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        case = case * (int(column.max()) + 1) + column

    def is_open(number: int) -> np.ndarray:
        trial = int(np.argmax(case == number))
        applied = always | {driver: bool(found[trial]) for driver, found in varying.items()}
        return _open(dated, applied, {closure: int(days[trial]) for closure, days in extra.items()})

    return SeasonalCalendar.of(dated.name, case, is_open)


def _open(dated: DatedRules, applies: Mapping[str, bool], longer: Mapping[tuple[str, Any], int]) -> np.ndarray:
    rules, marked = [], []
    for each, days in zip(dated.rules, dated.marked, strict=True):
        if all(applies[driver] for driver in each.needs):
            more = longer.get((each.rule.calendar, each.rule.first), 0)
            rules.append(each.rule)
            marked.append(marked_days(each.rule, dated.start, len(days), more) if more else days)
    return open_by(rules, marked)
