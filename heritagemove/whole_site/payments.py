"""What is paid, and on which day of each trial: the payment terms of the cost lines on the dates of their tasks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heritagemove.museum.museum import Museum
from heritagemove.trials import refusals, simulation
from heritagemove.trials.simulation import NEVER, PathTrials, Samples
from heritagemove.whole_site import call_outs
from heritagemove.whole_site.call_outs import SharedPart
from heritagemove.whole_site.fleet import Option

#: Days from the closing of the books to what is paid "later", such as motors fitted again at home. No source.
LATER_DAYS = 365


@dataclass(frozen=True)
class Payment:
    """One payment in every trial."""

    vehicle: str
    title: str
    # of the cost line; blank for a risk and for the owner's charge
    phase: str
    line: str
    day: np.ndarray  # of int, shape (trials,); day number on which it is made, or on which it begins
    # of int, shape (trials,); day number up to which it is made evenly; None where it is made on one day
    until: np.ndarray | None
    usd: np.ndarray  # shape (trials,); amount; 0 in trials in which it is not made, below 0 for a credit [USD]


def payments(museum: Museum, options: Sequence[Option], samples: Samples) -> tuple[Payment, ...]:
    """Return every payment of a set of units, each call-out once.

    Where a gate is refused, what was sunk by then is paid and the fallback's payments follow. Each user of a
    call-out pays its part of the one charge on its own dates.

    Returns
    -------
    tuple of Payment
        In each trial their sum is the joint cost without :func:`not_paid`.
    """
    charged = call_outs.charged_once([option.shared for option in options])
    asked: dict[SharedPart, np.ndarray] = {}
    for option in options:
        for part, cost in option.shared.items():
            asked[part] = asked.get(part, 0.0) + cost
    found: list[Payment] = []
    for option in options:
        parts = {
            part[1]: np.where(cost > 0, charged[part] / np.maximum(asked[part], 1e-9), 1.0)
            for part, cost in option.shared.items()
        }
        found += _of_option(museum, option, samples, parts)
    return tuple(found)


def payments_of_path(museum: Museum, vehicle: str, trials: PathTrials) -> tuple[Payment, ...]:
    """Return the payments of one path that nothing stops."""
    each = len(trials.closed)
    return tuple(_of_path(museum, vehicle, trials, np.full(each, NEVER), np.ones(each, bool), {}))


def not_paid(museum: Museum, options: Sequence[Option], samples: Samples) -> np.ndarray:
    """Return the loss at agreed value where a unit is not saved: a loss, but no payment, shape (trials,) [USD]."""
    lost = np.zeros(samples.trials)
    for option in options:
        (refused, _), second, (again, _) = _played(option, samples)
        value = option.result.trials.agreed_value_usd or 0.0
        late = second.loss_usd if second is not None else np.zeros(samples.trials)
        lost += np.where(refused, np.where(again, value, late), option.result.trials.loss_usd)
    return lost


_Refused = tuple[np.ndarray, np.ndarray]


def _played(option: Option, samples: Samples) -> tuple[_Refused, PathTrials | None, _Refused]:
    """Return where and on which day the path is refused, the fallback's trials, and where and when that is refused too.

    Where there is no fallback a refusal is the last word.
    """
    first = refusals.refusals(option.result.trials, option.result.findings, samples)
    second = option.result.branch.second
    if second is None:
        return first, None, first
    return first, second, refusals.refusals(second, option.fallback.findings, samples)


def _of_option(museum: Museum, option: Option, samples: Samples, parts: dict[str, np.ndarray]) -> Iterable[Payment]:
    (refused, day), second, (again, day_again) = _played(option, samples)
    first = option.result.trials
    yield from _of_path(museum, option.vehicle, first, np.where(refused, day, NEVER), np.ones(samples.trials, bool), parts)
    if second is not None:
        yield from _of_path(museum, option.vehicle, second, np.where(again, day_again, NEVER), refused, {})
    left = simulation.left_behind(museum, first, samples) - (first.agreed_value_usd or 0.0)
    forced = np.full(samples.trials, simulation.day_number(museum, museum.scenario.forced_scrap))
    title = "Owner's charge for what nobody takes"
    yield Payment(option.vehicle, title, "", "", forced, None, np.where(refused & again, left, 0.0))


def _of_path(
    museum: Museum, vehicle: str, trials: PathTrials, stop: np.ndarray, on: np.ndarray, parts: dict[str, np.ndarray]
) -> Iterable[Payment]:
    """Return the payments of one path up to the day that stops it, in the trials in which it is on."""
    goes_through = on & (stop == NEVER)
    for entry in trials.lines:
        line, cost = entry.line, entry.cost_usd * parts.get(entry.line.line, 1.0)
        begin, end = trials.dates.ready[line.task], trials.dates.finish[line.task]
        begun, done = on & (begin < stop), on & (end <= stop)
        for day, until, share, made in _terms(line.payment, begin, end, trials.closed, begun, done, goes_through):
            yield Payment(vehicle, line.title, line.phase, line.line, day, until, np.where(made, share * cost, 0.0))
    titles = {row.risk: row.title for row in museum.of_path("risks", trials.path)}
    for risk, cost in trials.risk_cost_usd.items():
        end = trials.dates.finish[trials.risk_tasks[risk]]
        yield Payment(vehicle, titles[risk], "", "", end, None, np.where(on & (end <= stop), cost, 0.0))
    if trials.off_site is not None:
        forced = simulation.day_number(museum, museum.scenario.forced_scrap)
        day, usd = np.minimum(trials.off_site, forced), np.where(goes_through, trials.holdover_usd, 0.0)
        yield Payment(vehicle, "Owner's charge after the deadline", "", "", day, None, usd)


def _terms(
    terms: str,
    begin: np.ndarray,
    end: np.ndarray,
    closed: np.ndarray,
    begun: np.ndarray,
    done: np.ndarray,
    all_done: np.ndarray,
) -> Iterable[tuple[np.ndarray, np.ndarray | None, float, np.ndarray]]:
    """Return the instalments of a payment term: day, day until, share of the cost, and whether it is made."""
    if terms == "on_start":
        yield begin, None, 1.0, begun
    elif terms == "half_deposit":
        yield begin, None, 0.5, begun
        yield end, None, 0.5, done
    elif terms == "after_30_days":
        yield end + 30, None, 1.0, done
    elif terms == "over_task":
        yield begin, end, 1.0, done
    elif terms == "later":
        yield closed + LATER_DAYS, None, 1.0, all_done
    else:
        yield end, None, 1.0, done


@dataclass(frozen=True)
class Months:
    """The months of a forecast; what comes after the last is counted in it."""

    start: dt.date  # day number 0
    first_days: tuple[dt.date, ...]  # first day of each month

    @classmethod
    def of(cls, museum: Museum, beyond: int = 12) -> Months:
        """Return the months from the start to so many beyond the month of the forced-scrap date."""
        start, last = museum.scenario.start, museum.scenario.forced_scrap
        count = (last.year - start.year) * 12 + last.month - start.month + beyond + 1
        months = [divmod(start.month - 1 + n, 12) for n in range(count)]
        return cls(start, tuple(dt.date(start.year + years, month + 1, 1) for years, month in months))

    def number_of(self, day: np.ndarray | int) -> np.ndarray:
        """Return the index of the month of each day number; the last for all that comes after."""
        return np.clip(np.searchsorted(self._begins, day, side="right") - 1, 0, len(self._begins) - 1)

    @cached_property
    def _begins(self) -> np.ndarray:
        return np.array([(first - self.start).days for first in self.first_days])

    def add(
        self,
        payment: Payment,
        tables: Sequence[tuple[np.ndarray, np.ndarray | float]],
        lag_days: int = 0,
        since: int | None = None,
        until: int | None = None,
    ) -> np.ndarray:
        """Add a payment to tables by month, each with what of the payment counts in it; otherwise as :meth:`spread`.

        Parameters
        ----------
        tables : sequence of (ndarray, ndarray or float)
            Of shape (trials, months) [USD], changed in place; and the share of each trial, shape (trials,), or of all.

        Returns
        -------
        ndarray, shape (trials,)
            What of the payment lies within the days [USD].
        """
        if payment.until is not None:
            by_month = self.spread(payment, lag_days, since, until)
            for table, share in tables:
                table += by_month * np.reshape(share, (-1, 1))
            return by_month.sum(axis=1)
        counted = self._within(payment, since, until)
        made = np.flatnonzero(counted)  # a risk, or what follows a refusal, is paid in few trials
        place, usd = (made, self.number_of(payment.day[made] + lag_days)), counted[made]
        for table, share in tables:
            table[place] += usd * (share[made] if isinstance(share, np.ndarray) else share)
        return counted

    def _within(self, payment: Payment, since: int | None, until: int | None) -> np.ndarray:
        """Return what is paid on a day from one day number to another, shape (trials,) [USD]."""
        first, last = -np.inf if since is None else since, np.inf if until is None else until
        return np.where((payment.day >= first) & (payment.day <= last), payment.usd, 0.0)

    def spread(self, payment: Payment, lag_days: int = 0, since: int | None = None, until: int | None = None) -> np.ndarray:
        """Return a payment by month.

        Parameters
        ----------
        lag_days : int
            Days by which it is counted later.
        since, until : int, optional
            Only what is paid from this day number on, or up to it.

        Returns
        -------
        ndarray, shape (trials, months)
            [USD]
        """
        if payment.until is None:
            out = np.zeros((len(payment.usd), len(self.first_days)))
            self.add(payment, [(out, 1.0)], lag_days, since, until)
            return out
        first, since = payment.day, -np.inf if since is None else since
        until = np.inf if until is None else until
        last = np.maximum(payment.until, first + 1)
        begins = [(day - self.start).days for day in self.first_days[1:]]
        edges = np.array([-np.inf, *begins, np.inf]) - lag_days
        low = np.clip(first, since, until)[:, None]
        inside = np.clip(edges, low, np.maximum(np.clip(last, since, until)[:, None], low))
        return np.diff(inside, axis=1) * (payment.usd / (last - first))[:, None]
