"""Price and date every trial of every path of one unit.

Draws are made once for a museum (:func:`draw`) and passed in, so that a slider move only rescales
them: charts do not jitter and differences between paths are differences of the same trials.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from heritagemove import units
from heritagemove.calendars import open_days
from heritagemove.drivers import DRIVERS
from heritagemove.museum import Museum
from heritagemove.sampling import Streams
from heritagemove.schedule import Calendar, Dates, forward

Amount = float | np.ndarray


@dataclass(frozen=True)
class RiskDraws:
    """Draws of one risk: whether it happens, its cost [USD] and its delay [working day] in each trial."""

    happens: np.ndarray
    cost_usd: np.ndarray
    delay_days: np.ndarray


@dataclass(frozen=True)
class Samples:
    """Every draw of a museum, by row.

    Attributes
    ----------
    seed, trials : int
    rates : dict of (rate, equipment) to ndarray, shape (trials,)
        Prices in the rate's unit.
    tasks : dict of (path, task) to ndarray, shape (trials,)
        Durations before added days and delays [working day].
    risks : dict of (path, risk) to RiskDraws
    quantities : dict of (vehicle, path, driver) to ndarray, shape (trials,)
    gates : dict of str to ndarray, shape (trials,)
        Uniform draws by gate id: a gate of the same id gets the same answer on every path.
    calendars : dict of str to Calendar
    conversions : dict of (path, line, equipment) to float
        USD that one unit of a line's price times its factor and drivers is: 1 where the units match,
        0.01 for a per cent, 1.609 where a price a kilometre meets a driver in miles.
    """

    seed: int
    trials: int
    rates: Mapping[tuple[str, str | None], np.ndarray]
    tasks: Mapping[tuple[str, str], np.ndarray]
    risks: Mapping[tuple[str, str], RiskDraws]
    quantities: Mapping[tuple[str, str, str], np.ndarray]
    gates: Mapping[str, np.ndarray]
    calendars: Mapping[str, Calendar]
    conversions: Mapping[tuple[str, str, str | None], float]


@dataclass(frozen=True)
class Work:
    """What one unit needs on one path.

    Attributes
    ----------
    amounts : dict of str to float, ndarray or None
        Amount of each driver in its unit; None is unknown.
    equipment : frozenset of str
        Ids of the crane, trailer or flat car chosen; they pick the rates.
    """

    amounts: Mapping[str, Amount | None]
    equipment: frozenset[str]


@dataclass(frozen=True)
class LineCost:
    """One cost line of one path in every trial."""

    line: Any
    quantity: Amount
    cost_usd: np.ndarray


@dataclass(frozen=True)
class PathTrials:
    """One path in every trial.

    Attributes
    ----------
    path : str
    cost_usd : ndarray or None, shape (trials,)
        Total cost; None where a driver or rate it needs is unknown.
    off_site : ndarray of int or None, shape (trials,)
        Day number on which the unit has left the site; None for a path that takes it nowhere.
    closed : ndarray of int, shape (trials,)
        Day number on which the books are closed.
    dates : Dates
    lines : tuple of LineCost
    risk_cost_usd : dict of str to ndarray, shape (trials,)
    holdover_usd : ndarray, shape (trials,)
    unknown : tuple of str
        Drivers that could not be told.
    """

    path: str
    cost_usd: np.ndarray | None
    off_site: np.ndarray | None
    closed: np.ndarray
    dates: Dates
    lines: tuple[LineCost, ...]
    risk_cost_usd: Mapping[str, np.ndarray]
    holdover_usd: np.ndarray
    unknown: tuple[str, ...]


def draw(museum: Museum, seed: int | None = None, trials: int | None = None) -> Samples:
    """Make every draw of a museum.

    Parameters
    ----------
    museum : Museum
    seed, trials : int, optional
        By default those of museum.toml.
    """
    settings = museum.scenario.simulation
    streams = Streams(settings.seed if seed is None else seed, settings.trials if trials is None else trials)
    strength = museum.scenario.correlation.strength
    by_calendar: dict[str, list[Any]] = {}
    for rule in museum.calendars:
        by_calendar.setdefault(rule.calendar, []).append(rule)

    def values(name: str, row: Any, market: str | None = None, prefix: str = "") -> np.ndarray:
        low, likely, high = (getattr(row, prefix + part) for part in ("low", "likely", "high"))
        return streams.values(name, low, likely, high, row.range, market, strength(market) if market else 0.0)

    return Samples(
        seed=streams.seed,
        trials=streams.trials,
        rates={
            (row.rate, row.equipment): values(f"rate/{row.rate}/{row.equipment or ''}", row, row.market)
            for row in museum.rates
        },
        tasks={
            (row.path, row.task): values(f"task/{row.path}/{row.task}", row, row.market and "days/" + row.market)
            for row in museum.tasks
        },
        risks={(row.path, row.risk): _risk_draws(streams, values, row) for row in museum.risks},
        quantities={
            (row.vehicle, row.path, row.driver): values(f"quantity/{row.vehicle}/{row.path}/{row.driver}", row)
            for row in museum.quantities
        },
        gates={row.gate: streams.shares(f"gate/{row.gate}") for row in museum.gates if row.task},
        calendars={name: Calendar.of(name, open_days(rules, museum.scenario.start)) for name, rules in by_calendar.items()},
        conversions=_conversions(museum),
    )


def _conversions(museum: Museum) -> dict[tuple[str, str, str | None], float]:
    prices: dict[str, list[Any]] = {}
    for row in museum.rates:
        prices.setdefault(row.rate, []).append(row)
    known: dict[tuple[str, ...], float] = {}
    conversions = {}
    for line in museum.cost_lines:
        drivers = tuple(DRIVERS[name].unit for name in (line.driver, line.times) if name)
        for row in prices[line.rate]:
            parts = (row.unit, line.factor_unit or "", *drivers)
            if parts not in known:
                unit = units.REGISTRY.Unit("")
                for part in parts:
                    unit = unit * units.unit_of(part) if part else unit
                known[parts] = units.value(units.Quantity(1.0, unit), "USD")
            conversions[line.path, line.line, row.equipment] = known[parts]
    return conversions


def _risk_draws(streams: Streams, values: Any, row: Any) -> RiskDraws:
    name = f"risk/{row.path}/{row.risk}"
    happens = streams.shares(name + "/happens") < row.probability
    cost = values(name + "/cost", row, prefix="cost_") * happens
    delay = values(name + "/delay", row, prefix="delay_") * happens
    return RiskDraws(happens, cost, delay)


def work(
    museum: Museum,
    vehicle: str,
    path: str,
    samples: Samples,
    computed: Mapping[str, float | None],
    equipment: frozenset[str] = frozenset(),
    settings: Mapping[str, float] | None = None,
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
    """
    settings = settings or {}
    situation = SimpleNamespace(
        vehicle=museum.vehicle(vehicle),
        path=museum.path(path),
        axles=int(settings.get("axles", len(museum.axles_of(vehicle)))),
        rail=museum.route("rail"),
        road=museum.route("road"),
        move_year=museum.scenario.start.year,
        age_limit=museum.limit("freight_car_age"),
    )
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
        elif driver.amount:
            amounts[name] = driver.amount(situation)
        elif driver.origin == "check":
            amounts[name] = 0.0
    return Work(amounts, equipment)


def simulate(
    museum: Museum,
    path: str,
    needs: Work,
    samples: Samples,
    not_before: Mapping[str, int] | None = None,
    start: np.ndarray | int = 0,
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

    Returns
    -------
    PathTrials
    """
    applying = [row for row in museum.of_path("risks", path) if _applies(row.needs, needs)]
    unknown: set[str] = set()
    days = working_days(museum, path, needs, samples, unknown)
    dates = date_tasks(museum, path, days, samples, not_before, start)
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
    total = holdover.copy()
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
        holdover_usd=holdover,
        unknown=tuple(sorted(unknown)),
    )


def milestone(museum: Museum, path: str, name: str) -> str | None:
    """Return the task of a path that carries the milestone "decision" or "off_site", if any."""
    return next((row.task for row in museum.of_path("tasks", path) if row.milestone == name), None)


def working_days(
    museum: Museum, path: str, needs: Work, samples: Samples, unknown: set[str] | None = None
) -> dict[str, np.ndarray]:
    """Return the duration of each task of a path in every trial, risks' delays included [working day]."""
    unknown = set() if unknown is None else unknown
    delays: dict[str, Amount] = {}
    for row in museum.of_path("risks", path):
        if _applies(row.needs, needs):
            delays[row.task] = delays.get(row.task, 0.0) + samples.risks[path, row.risk].delay_days
    return {
        row.task: _working_days(row, needs, samples, delays.get(row.task, 0.0), unknown)
        for row in museum.of_path("tasks", path)
    }


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
    calendars = {row.task: samples.calendars[row.calendar] for row in tasks}
    return forward({row.task: row.after for row in tasks}, days, calendars, start, not_before)


def _applies(driver: str | None, needs: Work) -> bool:
    """A risk applies unless its driver is known to be zero: what is unknown is not left out."""
    if driver is None:
        return True
    amount = needs.amounts.get(driver)
    return amount is None or bool(np.any(np.asarray(amount) > 0))


def _working_days(row: Any, needs: Work, samples: Samples, delay: Amount, unknown: set[str]) -> np.ndarray:
    days = samples.tasks[row.path, row.task] + delay
    if row.per and row.extra_days:
        amount = needs.amounts.get(row.per)
        if amount is None:
            unknown.add(row.per)
        else:
            days = days + row.extra_days * amount
    return np.rint(days).astype(np.int64)


def _line_cost(line: Any, needs: Work, samples: Samples, task_days: np.ndarray, unknown: set[str]) -> LineCost | None:
    quantity: Amount = line.factor
    for driver in (line.driver, line.times):
        if driver is None:
            continue
        amount = task_days.astype(float) if driver == "task_days" else needs.amounts.get(driver)
        if amount is None:
            unknown.add(driver)
            return None
        if driver == line.driver:
            amount = np.maximum(amount - (line.above or 0.0), 0.0)
            amount = np.maximum(amount, line.at_least or 0.0)
        quantity = quantity * amount
    choice = next((e for e in (None, *sorted(needs.equipment)) if (line.rate, e) in samples.rates), "none")
    if choice == "none":
        if np.any(np.asarray(quantity) != 0):
            unknown.add(f"equipment for {line.rate}")
        return None
    scaled = quantity * samples.conversions[line.path, line.line, choice]
    return LineCost(line, quantity, samples.rates[line.rate, choice] * scaled)


def _holdover(museum: Museum, samples: Samples, off_site: np.ndarray | None) -> np.ndarray:
    """Charge each calendar day on site after the deadline, until the owner scraps what is left."""
    if off_site is None:
        return np.zeros(samples.trials)
    scenario = museum.scenario
    deadline = (scenario.deadline - scenario.start).days
    forced = (scenario.forced_scrap - scenario.start).days
    late = np.maximum(np.minimum(off_site, forced) - deadline, 0)
    return late * samples.rates[scenario.holdover_rate, None]


def day_number(museum: Museum, date: dt.date) -> int:
    """Return the number of a date, counted from the start date [day]."""
    return (date - museum.scenario.start).days


def date_of(museum: Museum, day: float) -> dt.date:
    """Return the date of a day number; a part of a day counts as that day begun."""
    return museum.scenario.start + dt.timedelta(days=int(np.ceil(day)))
