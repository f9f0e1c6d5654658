"""Every random draw of a museum, made once and passed on: a slider move only rescales them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.museum.calendars import ConditionalRule, marked_days, rules_of
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.memo import Made
from heritagemove.museum.museum import Museum
from heritagemove.museum.waits import each_of, extension_draw, fund_draw
from heritagemove.trials import estimating
from heritagemove.trials.sampling import Streams
from heritagemove.units import units


@dataclass(frozen=True)
class RiskDraws:
    """Draws of one risk in each trial, each of shape (trials,)."""

    happens: np.ndarray
    cost_usd: np.ndarray  # cost where it happens, and of the mitigation where that is bought [USD]
    delay_days: np.ndarray  # delay of its task [working day]; zero for a risk that makes a closed season longer
    # calendar days by which a closed season lasts longer, in whichever years [day]; None for a risk that delays its task
    longer_days: np.ndarray | None = None
    # for a risk whose chance is for one of several: its uniform draw, what it costs and delays if it happens, and what its
    # mitigation costs where that is bought; None for any other
    share: np.ndarray | None = None
    impact_usd: np.ndarray | None = None
    impact_days: np.ndarray | None = None
    mitigation_usd: float = 0.0


def chance_of(row: Any) -> float:
    """Return the chance of a risk as the plan has it: that which is left where its mitigation is bought."""
    return row.mitigated_probability if row.bought else row.probability


@dataclass(frozen=True)
class DatedRules:
    """The rules of a calendar, with the days that each of them opens or closes."""

    name: str  # of the calendar
    start: dt.date  # the first of these days
    rules: tuple[ConditionalRule, ...]
    marked: tuple[np.ndarray, ...]  # of bool, shape (days,); by rule
    needs: tuple[str, ...]  # drivers that some of the rules need

    @classmethod
    def of(cls, name: str, start: dt.date, rules: tuple[ConditionalRule, ...]) -> DatedRules:
        """Return the rules with their days from the start on."""
        needs = dict.fromkeys(driver for each in rules for driver in each.needs)
        return cls(name, start, rules, tuple(marked_days(each.rule, start) for each in rules), tuple(needs))


@dataclass(frozen=True)
class Samples:
    """Every draw of a museum, by row."""

    museum: Museum  # the museum they were drawn for
    seed: int
    trials: int
    rates: Mapping[tuple[Any, ...], np.ndarray]  # shape (trials,); prices in the rate's unit, by the row's name
    tasks: Mapping[tuple[str, str], np.ndarray]  # shape (trials,); durations before added days and delays [working day]
    risks: Mapping[tuple[str, str], RiskDraws]
    quantities: Mapping[tuple[str, str, str], np.ndarray]  # shape (trials,)
    # shape (trials,); true weight of each unit as a ratio of its stated weight, within the stated tolerance
    weights: Mapping[str, np.ndarray]
    # shape (trials,); uniform draws by gate id: a gate of the same id gets the same answer on every path
    gates: Mapping[str, np.ndarray]
    calendars: Mapping[str, DatedRules]
    # shape (trials,); normal score of the estimating error of each path; empty where it is switched off
    errors: Mapping[str, np.ndarray]
    # shape (trials,); factor of the estimating error on the days of each task, where it acts; no entry: on none
    overruns: Mapping[tuple[str, str], np.ndarray]
    # USD that one unit of a line's price times its factor and drivers is: 1 where the units match, 0.01 for a per cent,
    # 1.609 where a price a kilometre meets a driver in miles
    conversions: Mapping[tuple[str, str, str | None], float]
    # the draws and calendars by table and name, with what each was made from
    made: Mapping[tuple[str, Any], Made]

    def known(self, table: str, name: Any) -> Made:
        """Return the draws of a row, or a calendar, with what they were made from; unknown of draws put in by hand."""
        value, made = getattr(self, table)[name], self.made.get((table, name))
        return made if made is not None and made.value is value else Made.alone(value)


def draw(museum: Museum, seed: int | None = None, trials: int | None = None, previous: Samples | None = None) -> Samples:
    """Make every draw of a museum.

    Parameters
    ----------
    museum : Museum
    seed, trials : int, optional
        By default those of museum.toml, or of the previous draws.
    previous : Samples, optional
        Draws made before: rows that have not changed since keep their arrays. The answer is the same
        as without, and an edited row costs only its own draw.
    """
    settings = museum.scenario.simulation
    if previous is not None:
        seed = previous.seed if seed is None else seed
        trials = previous.trials if trials is None else trials
    streams = Streams(settings.seed if seed is None else seed, settings.trials if trials is None else trials)
    if previous is not None and not _comparable(museum, streams, previous):
        previous = None
    parts = _Drawing(museum, streams, previous).parts()
    return Samples(
        museum=museum, seed=streams.seed, trials=streams.trials, **parts, made=_made_of(museum, streams, parts, previous)
    )


#: Tables whose rows are drawn, with the name that the draws go by.
_DRAWN: Mapping[str, Callable[[Any], Any]] = {
    "rates": lambda row: row.name,
    "tasks": lambda row: (row.path, row.task),
    "risks": lambda row: (row.path, row.risk),
    "quantities": lambda row: (row.vehicle, row.path, row.driver),
}


def _made_of(
    museum: Museum, streams: Streams, parts: Mapping[str, Any], previous: Samples | None
) -> dict[tuple[str, Any], Made]:
    """Return the draws by table and name, each with the seed, the trials and the row that it was made from."""
    seed, start, strength = (streams.seed, streams.trials), museum.scenario.start, museum.scenario.correlation.strength
    of: dict[tuple[str, Any], Hashable] = {}
    for table, name in _DRAWN.items():
        for row in getattr(museum, table):
            market = getattr(row, "market", None)
            each = each_of(museum, row) if table == "tasks" and row.for_each else None
            of[table, name(row)] = table, seed, row, market and strength("days/" * (table == "tasks") + market), each
    for unit in museum.vehicles:
        of["weights", unit.vehicle] = "weights", seed, unit.vehicle, unit.weight_tolerance.m_as("")
    of |= {("gates", gate): ("gates", seed, gate) for gate in parts["gates"]}
    of |= {("errors", path): tied for path, tied in _errors_of(museum, streams).items()}
    of |= {("overruns", name): overrun for name, overrun in _overruns_of(museum, streams).items()}
    of |= {("calendars", name): ("calendars", name, dated.rules, start) for name, dated in parts["calendars"].items()}
    made, before = {}, {} if previous is None else previous.made
    for place, key in of.items():
        value, known = parts[place[0]][place[1]], before.get(place)
        made[place] = known if known is not None and known.value is value else Made(key, value)
    return made


def _errors_of(museum: Museum, streams: Streams) -> dict[str, tuple[Any, ...]]:
    """Return what the estimating error of each path is made from; nothing where it is switched off or no row gives it."""
    seed = streams.seed, streams.trials
    on = museum.scenario.simulation.estimating_error and museum.estimating_errors
    rows = museum.paths if on else ()
    return {row.path: ("errors", seed, row.path, *estimating.ties(museum, row.path)) for row in rows}


def _overruns_of(museum: Museum, streams: Streams) -> dict[tuple[str, str], tuple[Any, ...]]:
    sigma = estimating.sigma_of_time(museum)
    return {
        (path, task): ("overruns", sigma, error)
        for path, error in _errors_of(museum, streams).items()
        for task in estimating.estimated_tasks(museum, path)
    }


def _comparable(museum: Museum, streams: Streams, previous: Samples) -> bool:
    same_streams = (streams.seed, streams.trials) == (previous.seed, previous.trials)
    return same_streams and museum.scenario.correlation == previous.museum.scenario.correlation


class _Drawing:
    """One run over the tables: draws each row, or takes over what was drawn for the same row before."""

    def __init__(self, museum: Museum, streams: Streams, previous: Samples | None) -> None:
        self.museum, self.streams, self.previous = museum, streams, previous
        self.strength = museum.scenario.correlation.strength

    def parts(self) -> dict[str, Any]:
        """Return the fields of the samples."""
        museum = self.museum
        same_calendars = self._same("calendars") and museum.scenario.start == self._before().scenario.start
        return {
            "rates": self._each("rates", _DRAWN["rates"], self._rate),
            "tasks": self._tasks(),
            "risks": self._each("risks", _DRAWN["risks"], self._risk),
            "quantities": self._each("quantities", _DRAWN["quantities"], self._quantity),
            "weights": self._each("vehicles", lambda row: row.vehicle, self._weight, "weights"),
            "gates": self._gates(),
            "errors": (errors := self._held("errors", _errors_of(museum, self.streams), self._error)),
            "overruns": self._overruns(errors),
            "calendars": self.previous.calendars if same_calendars else self._calendars(),
            "conversions": self.previous.conversions
            if self._same("rates") and self._same("cost_lines")
            else conversions(museum),
        }

    def _before(self) -> Museum:
        return self.previous.museum

    def _same(self, table: str) -> bool:
        if self.previous is None:
            return False
        now, before = getattr(self.museum, table), getattr(self._before(), table)
        return now is before or now == before

    def _each(self, table: str, key: Any, make: Any, field: str | None = None) -> dict[Any, Any]:
        rows, kept = getattr(self.museum, table), {}
        if self.previous is not None:
            held = getattr(self.previous, field or table)
            if self._same(table):
                return held
            kept = {key(row): row for row in getattr(self._before(), table)}
        drawn: dict[Any, Any] = {}
        for row in rows:
            name = key(row)
            old = kept.get(name)
            value = held[name] if old is not None and name in held and (old is row or old == row) else make(row)
            if value is not None:
                drawn[name] = value
        return drawn

    def _values(self, name: str, row: Any, market: str | None = None, prefix: str = "") -> np.ndarray:
        low, likely, high = (getattr(row, prefix + part) for part in ("low", "likely", "high"))
        strength = self.strength(market) if market else 0.0
        return self.streams.values(name, low, likely, high, row.range, market, strength)

    def _rate(self, row: Any) -> np.ndarray:
        # Not the weight: the rows of one rate lie at one place of their ranges in each trial.
        return self._values(f"rate/{row.rate}/{row.equipment or ''}", row, row.market)

    def _tasks(self) -> dict[tuple[str, str], np.ndarray]:
        drawn = self._each("tasks", _DRAWN["tasks"], self._task)
        if self.previous is None:
            return drawn
        for_each = (row for row in self.museum.tasks if row.for_each)
        stale = [row for row in for_each if each_of(self.museum, row) != each_of(self._before(), row)]
        return {**drawn, **{(row.path, row.task): self._task(row) for row in stale}} if stale else drawn

    def _task(self, row: Any) -> np.ndarray:
        name, market = f"task/{row.path}/{row.task}", row.market and "days/" + row.market
        each = each_of(self.museum, row) if row.for_each else None
        if each is None:
            return self._values(name, row, market)
        alone = [self._values(f"{name}/{whose}", row, market) for whose in each]
        return np.maximum.reduce(alone) if alone else np.zeros(self.streams.trials)

    def _quantity(self, row: Any) -> np.ndarray:
        return self._values(f"quantity/{row.vehicle}/{row.path}/{row.driver}", row)

    def _gates(self) -> dict[str, np.ndarray]:
        held = self.previous.gates if self.previous else {}
        names = dict.fromkeys(row.gate for row in self.museum.gates if row.task)
        granted = [fund_draw(row.fund) for row in self.museum.funds]
        granted += [extension_draw(row.extension) for row in self.museum.extensions]
        asked = {name: held[name] if name in held else self.streams.shares(f"gate/{name}") for name in names}
        # What is granted is so below its chance, a gate is refused below its own: the same draw, seen from the other end.
        return asked | {name: held[name] if name in held else 1 - self.streams.shares(name) for name in granted}

    def _held(self, field: str, of: Mapping[Any, Hashable], make: Callable[[Any, Any], np.ndarray]) -> dict[Any, np.ndarray]:
        before = {} if self.previous is None else self.previous.made
        kept = {name: before.get((field, name)) for name in of}
        return {name: k.value if (k := kept[name]) and k.of == key else make(name, key) for name, key in of.items()}

    def _error(self, path: str, key: tuple[Any, ...]) -> np.ndarray:
        return estimating.scores(self.streams, path, *key[3:])

    def _overruns(self, errors: Mapping[str, np.ndarray]) -> dict[tuple[str, str], np.ndarray]:
        sigma, of = estimating.sigma_of_time(self.museum), _overruns_of(self.museum, self.streams)
        factors: dict[str, np.ndarray] = {}  # one for all tasks of a path

        def make(name: tuple[str, str], _: Any) -> np.ndarray:
            path = name[0]
            if path not in factors:
                factors[path] = estimating.factor(errors[path], sigma)
            return factors[path]

        return self._held("overruns", of, make)

    def _weight(self, row: Any) -> np.ndarray:
        part = row.weight_tolerance.m_as("")
        return self.streams.values(f"weight/{row.vehicle}", 1 - part, 1.0, 1 + part)

    def _risk(self, row: Any) -> RiskDraws:
        name = f"risk/{row.path}/{row.risk}"
        happens, left = self._happens(name, row)
        impact = self._values(name + "/cost", row, prefix="cost_") * left
        impact = impact if row.deductible is None else np.minimum(impact, row.deductible)
        paid = float(row.mitigation_cost) if row.bought else 0.0
        cost = impact * happens + paid
        if row.stretches:
            # One long winter is one for every path: the season's name, not the path's, picks the stream.
            days = self._values(_season(row) + "/days", row, prefix="delay_") * happens * left
            return RiskDraws(happens, cost, np.zeros(len(cost)), np.rint(days).astype(np.int64))
        days = self._values(name + "/delay", row, prefix="delay_")
        if row.for_each:
            share = self.streams.shares(name + "/happens")
            return RiskDraws(happens, cost, days * happens * left, None, share, impact, days * left, paid)
        return RiskDraws(happens, cost, days * happens * left)

    def _happens(self, name: str, row: Any) -> tuple[np.ndarray, float]:
        """Whether it happens in each trial, and the share of its impact that is left."""
        stream = _season(row) if row.stretches else name
        share = row.mitigated_share if row.bought and row.mitigated_share is not None else 1.0
        return self.streams.shares(stream + "/happens") < chance_of(row), share

    def _calendars(self) -> dict[str, DatedRules]:
        rows, start = self.museum.calendars, self.museum.scenario.start
        names = dict.fromkeys(row.calendar for row in rows)
        return {name: DatedRules.of(name, start, rules_of(rows, name)) for name in names}


def _season(row: Any) -> str:
    return f"season/{row.stretches}/{row.closed_from}"


def conversions(museum: Museum) -> dict[tuple[str, str, str | None], float]:
    """Return what one unit of each cost line's price times its factor and drivers is in USD, by path, line, equipment."""
    prices: dict[str, list[Any]] = {}
    for row in museum.rates:
        prices.setdefault(row.rate, []).append(row)
    known: dict[tuple[str, ...], float] = {}
    found = {}
    for line in museum.cost_lines:
        drivers = tuple(DRIVERS[name].unit for name in (line.driver, line.times) if name)
        for row in prices[line.rate]:
            parts = (row.unit, line.factor_unit or "", *drivers)
            if parts not in known:
                unit = units.REGISTRY.Unit("")
                for part in parts:
                    unit = unit * units.unit_of(part) if part else unit
                known[parts] = units.value(units.Quantity(1.0, unit), "USD")
            found[line.path, line.line, row.equipment] = known[parts]
    return found
