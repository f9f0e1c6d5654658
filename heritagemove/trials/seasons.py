"""Closed seasons that last longer than the table says: a calendar that differs from trial to trial."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from heritagemove.trials.schedule import Calendar, ScheduleOverrun


@dataclass(frozen=True)
class SeasonalCalendar:
    """Working days of a span where a closed season ends later in some trials, ready for look-up.

    It answers as :class:`heritagemove.trials.schedule.Calendar` does, trial by trial.
    """

    name: str
    variant: np.ndarray  # of int, shape (trials,); which of the calendars below holds in each trial
    before: np.ndarray  # of int, shape (variants, days + 1); working days before each morning
    # of int, shape (variants, most); day number of each working day; the span's end where a variant has no more
    nth: np.ndarray

    @classmethod
    def of(cls, name: str, extra_days: np.ndarray, is_open: Callable[[int], np.ndarray]) -> SeasonalCalendar:
        """Return the calendar of a season that lasts longer by some days in each trial.

        Parameters
        ----------
        extra_days : ndarray of int, shape (trials,)
            Calendar days by which the season lasts longer [day].
        is_open : callable
            The open days of the span, for a season longer by so many days.
        """
        lengths, variant = np.unique(extra_days, return_inverse=True)
        calendars = [Calendar.of(name, is_open(int(days))) for days in lengths]
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
        first = self.before[self.variant, finish] - working_days
        found = np.where(first >= 0, self.nth[self.variant, np.maximum(first, 0)], -1)
        return np.where(working_days > 0, found, finish)
