"""Price and date every trial of every path of one unit.

Draws are made once for a museum (:func:`heritagemove.trials.draws.draw`) and passed in, so that a slider move only rescales
them: charts do not jitter and differences between paths are differences of the same trials.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from heritagemove.museum.drivers import DRIVERS, OWN_TASK
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples, draw
from heritagemove.trials.schedule import Dates, forward

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
    "simulate",
    "work",
    "working_days",
]

Amount = float | np.ndarray

#: Day number of what never happens: later than any horizon.
NEVER = np.iinfo(np.int64).max


@dataclass(frozen=True)
class Work:
    """What one unit needs on one path."""

    amounts: Mapping[str, Amount | None]  # amount of each driver in its unit; None is unknown
    equipment: frozenset[str]  # ids of the crane, trailer or flat car chosen; they pick the rates
    # equipment of the trials in which the unit's true weight asks for another choice
    other_equipment: tuple[tuple[frozenset[str], np.ndarray], ...] = ()
    # of bool, shape (trials,); trials whose true weight fails a hard stop that the stated weight passes
    too_heavy: np.ndarray | None = None


@dataclass(frozen=True)
class LineCost:
    """One cost line of one path in every trial."""

    line: Any
    quantity: Amount
    cost_usd: np.ndarray


@dataclass(frozen=True)
class PathTrials:
    """One path in every trial."""

    path: str
    cost_usd: np.ndarray | None  # shape (trials,); total cost; None where a driver or rate it needs is unknown
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
    # of int, shape (trials,); day number on which the true weight stops the path; ``NEVER`` where it does not
    too_heavy: np.ndarray | None = None
    agreed_value_usd: float | None = None  # of the unit; None where unknown


def work(
    museum: Museum,
    vehicle: str,
    path: str,
    samples: Samples,
    computed: Mapping[str, float | None],
    equipment: frozenset[str] = frozenset(),
    settings: Mapping[str, float] | None = None,
    told: Mapping[str, float | None] | None = None,
) -> Work:
    """Return the amount of every driver for one unit on one path.

    A setting (a slider) comes first, then a row of quantities.csv, then what an engineering check
    computed, then what the unit's and the route's rows say.

    Parameters
    ----------
    computed : mapping of str to float or None
        Amounts that engineering checks computed, by driver; None is unknown.
    settings : mapping of str to float, optional
        Amounts set by name; ``haul_distance`` is not among them, it makes a changed museum.
    told : mapping of str to float or None, optional
        What :func:`told_by_rows` returns for these axles, where it is known already.
    """
    settings = settings or {}
    told = told_by_rows(museum, vehicle, path, settings.get("axles")) if told is None else told
    amounts: dict[str, Amount | None] = {}
    for name, driver in DRIVERS.items():
        spellings = [(v, p, name) for v in (vehicle, "any") for p in (path, "any")]
        row = next((spelling for spelling in spellings if spelling in samples.quantities), None)
        if name in settings:
            amounts[name] = settings[name]
        elif row:
            draws = samples.quantities[row]
            amounts[name] = float(draws[0]) if np.ptp(draws) == 0 else draws
        elif name in computed:
            amounts[name] = computed[name]
        elif name in told:
            amounts[name] = told[name]
        elif driver.origin == "check":
            amounts[name] = 0.0
    return Work(amounts, equipment)


def told_by_rows(museum: Museum, vehicle: str, path: str, axles: float | None = None) -> dict[str, float | None]:
    """Return the amounts that the unit's and the route's rows tell, by driver; None is unknown.

    Parameters
    ----------
    axles : float, optional
        Axles of the unit; those surveyed when left out.
    """
    situation = SimpleNamespace(
        vehicle=museum.vehicle(vehicle),
        path=museum.path(path),
        axles=len(museum.axles_of(vehicle)) if axles is None else int(axles),
        rail=museum.route("rail"),
        road=museum.route("road"),
        move_year=museum.scenario.start.year,
        age_limit=museum.limit("freight_car_age"),
    )
    return {name: driver.amount(situation) for name, driver in DRIVERS.items() if driver.amount}


def simulate(
    museum: Museum,
    path: str,
    needs: Work,
    samples: Samples,
    not_before: Mapping[str, int] | None = None,
    start: np.ndarray | int = 0,
    dates: Dates | None = None,
) -> PathTrials:
    """Price and date one path in every trial.

    Parameters
    ----------
    needs : Work
        Amounts of the drivers and the equipment chosen.
    not_before : mapping of str to int, optional
        Earliest finish of single tasks, as day numbers from the start.
    start : int or ndarray of int, shape (trials,)
        Day number on which the path begins.
    dates : Dates, optional
        Dates found before for the same durations and the same start; found again when left out.

    Returns
    -------
    PathTrials
    """
    applying = [row for row in museum.of_path("risks", path) if _applies(row.needs, needs)]
    unknown: set[str] = set()
    days = working_days(museum, path, needs, samples, unknown)
    dates = dates or date_tasks(museum, path, days, samples, not_before, start)
    leaves = milestone(museum, path, "off_site")
    off_site = dates.finish[leaves] - 1 if leaves else None
    closed = np.maximum.reduce(list(dates.finish.values())) - 1

    lines = []
    for line in museum.of_path("cost_lines", path):
        cost = _line_cost(line, needs, samples, days[line.task], unknown)
        if cost:
            lines.append(cost)
    risk_costs = {row.risk: samples.risks[path, row.risk].cost_usd for row in applying}
    holdover = _holdover(museum, samples, off_site)
    loss = np.broadcast_to(_loss(museum, path, needs, off_site, unknown), (samples.trials,))
    total = holdover + loss
    for entry in lines:
        total += entry.cost_usd
    for cost in risk_costs.values():
        total += cost
    return PathTrials(
        path=path,
        cost_usd=None if unknown else total,
        off_site=off_site,
        closed=closed,
        dates=dates,
        lines=tuple(lines),
        risk_cost_usd=risk_costs,
        risk_tasks={row.risk: row.task for row in applying},
        holdover_usd=holdover,
        loss_usd=loss,
        unknown=tuple(sorted(unknown)),
        too_heavy=None
        if needs.too_heavy is None or leaves is None
        else np.where(needs.too_heavy, dates.ready[leaves], NEVER),  # the crane's or the railroad's scale finds it out
        agreed_value_usd=needs.amounts.get("insured_value"),
    )


def milestone(museum: Museum, path: str, name: str) -> str | None:
    """Return the task of a path that carries the milestone "decision" or "off_site", if any."""
    return next((row.task for row in museum.of_path("tasks", path) if row.milestone == name), None)


#: Calendar of tasks that are finished: their dates are on record, whatever the weekday.
RECORDED = "recorded_days"


def working_days(
    museum: Museum, path: str, needs: Work, samples: Samples, unknown: set[str] | None = None
) -> dict[str, np.ndarray]:
    """Return the duration of each task of a path in every trial, risks' delays included [working day]."""
    unknown = set() if unknown is None else unknown
    delays = task_delays(museum, path, needs, samples)
    return {
        row.task: _working_days(row, needs, samples, delays.get(row.task, 0.0), unknown)
        for row in museum.of_path("tasks", path)
    }


def task_delays(museum: Museum, path: str, needs: Work, samples: Samples) -> dict[str, np.ndarray]:
    """Return by how much risks delay each task of a path that any risk may delay [working day]."""
    delays: dict[str, np.ndarray] = {}
    for row in museum.of_path("risks", path):
        if row.delay_high > 0 and not row.stretches and _applies(row.needs, needs):
            delay = samples.risks[path, row.risk].delay_days
            delays[row.task] = delays[row.task] + delay if row.task in delays else delay
    return delays


def date_tasks(
    museum: Museum,
    path: str,
    days: Mapping[str, np.ndarray],
    samples: Samples,
    not_before: Mapping[str, int] | None = None,
    start: np.ndarray | int = 0,
) -> Dates:
    """Return the dates of a path's tasks from their durations, each on its own calendar."""
    tasks = museum.of_path("tasks", path)
    calendars = {row.task: samples.calendar(path, row.calendar) for row in tasks}
    return forward({row.task: row.after for row in tasks}, days, calendars, start, not_before)


def _applies(driver: str | None, needs: Work) -> bool:
    """A risk applies unless its driver is known to be zero: what is unknown is not left out."""
    if driver is None:
        return True
    amount = needs.amounts.get(driver)
    return amount is None or bool(np.any(np.asarray(amount) > 0))


def _working_days(row: Any, needs: Work, samples: Samples, delay: Amount, unknown: set[str]) -> np.ndarray:
    days = samples.tasks[row.path, row.task] + delay
    for driver, each in row.added_days:
        amount = needs.amounts.get(driver)
        if amount is None:
            unknown.add(driver)
        else:
            days = days + each * amount
    return np.rint(days).astype(np.int64)


def _line_cost(line: Any, needs: Work, samples: Samples, task_days: np.ndarray, unknown: set[str]) -> LineCost | None:
    quantity: Amount = line.factor
    for driver in (line.driver, line.times):
        if driver is None:
            continue
        amount = task_days.astype(float) if driver in OWN_TASK else needs.amounts.get(driver)
        if amount is None:
            unknown.add(driver)
            return None
        if driver == line.driver:
            amount = np.maximum(amount - (line.above or 0.0), 0.0)
            amount = np.maximum(amount, line.at_least or 0.0)
        quantity = quantity * amount
    price = _price(line, needs.equipment, samples)
    if price is None:
        if np.any(np.asarray(quantity) != 0):
            unknown.add(f"equipment for {line.rate}")
        return None
    for equipment, trials in needs.other_equipment:
        other = _price(line, equipment, samples)
        if other is not None and other is not price:
            price = np.where(trials, other, price)
    return LineCost(line, quantity, price * quantity)


def _price(line: Any, equipment: frozenset[str], samples: Samples) -> np.ndarray | None:
    """Return what one unit of a line costs in each trial [USD], or None where no rate fits the equipment."""
    choice = next((e for e in (None, *sorted(equipment)) if (line.rate, e) in samples.rates), "none")
    if choice == "none":
        return None
    conversion, rate = samples.conversions[line.path, line.line, choice], samples.rates[line.rate, choice]
    return rate if conversion == 1 else rate * conversion


def _holdover(museum: Museum, samples: Samples, off_site: np.ndarray | None) -> np.ndarray:
    """Charge each calendar day on site after the deadline, until the owner scraps what is left."""
    if off_site is None:
        return np.zeros(samples.trials)
    scenario = museum.scenario
    deadline = (scenario.deadline - scenario.start).days
    forced = (scenario.forced_scrap - scenario.start).days
    late = np.maximum(np.minimum(off_site, forced) - deadline, 0)
    return late * samples.rates[scenario.holdover_rate, None]


def _loss(museum: Museum, path: str, needs: Work, off_site: np.ndarray | None, unknown: set[str]) -> np.ndarray | float:
    """Charge the agreed value of a unit that was to be saved and still stands there on the forced-scrap date.

    What the path has cost by then is not given back.
    """
    if off_site is None or not museum.path(path).saves:
        return 0.0
    late = off_site > day_number(museum, museum.scenario.forced_scrap)
    value = needs.amounts.get("insured_value")
    if value is None and late.any():
        unknown.add("insured_value")
    return late * (value or 0.0)


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
