"""What a planner can move: label, unit, range from the tables, and what holds at the moment in words."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Any

from heritagemove.compare.inputs import Inputs, budget_in_words
from heritagemove.compare.provisional import counted_drivers
from heritagemove.compare.results import Comparison
from heritagemove.museum.drivers import DRIVERS, SLIDERS, driver_of, told_by_rows
from heritagemove.museum.haul import haul_in_words, haul_miles, least_haul, longest_legs
from heritagemove.panels.state import Desk
from heritagemove.units import units
from heritagemove.units.boxes import read_typed
from heritagemove.units.words import show_date

_NAMES = {"crane_hours": "Crane hours", "haul_distance": "Haul distance", "axles": "Axle count", "weight": "Weight"}
_SHORT_UNITS = {"crane_hour": "h"}
#: The weight slider goes from and to such shares of what the tables say, in steps of a hundredth of the whole way.
_WEIGHT_SHARES = (0.7, 1.3)
#: The tolerance slider goes at least this far [percent], the deadline at least so far either way [day].
_LEAST_TOLERANCE, _LEAST_DAYS = 20.0, 60


@dataclass(frozen=True)
class Span:
    """One slider."""

    name: str  # A driver, or a field of Inputs
    label: str
    unit: str
    tooltip: str
    low: float
    high: float
    step: float
    value: float  # where the tables have it, on the slider's step
    idle: str = ""  # why it moves nothing of this unit; blank where it moves something

    @property
    def whole(self) -> bool:
        """Whether the slider knows only whole numbers."""
        return all(float(value).is_integer() for value in (self.low, self.high, self.step, self.value))


def spans(state: Desk) -> tuple[Span, ...]:
    """Return every slider of the unit whose paths are compared, in the order they are shown."""
    drivers = [name for name in SLIDERS if name in state.base.scenario.sliders]
    return (*(_of_driver(state, name) for name in drivers), *_of_weight(state), *_of_museum(state))


def value_of(state: Desk, span: Span) -> float:
    """Return where a slider stands: what is set, else what the tables say."""
    if span.name in DRIVERS:
        amount = state.settings.get(span.name)
        own = None if amount is None else units.Quantity(amount, units.unit_of(DRIVERS[span.name].unit))
        return span.value if own is None else units.value(own, _unit(state, span.name))
    found = getattr(state.inputs, span.name)
    return span.value if found is None else found


def change(state: Desk, span: Span, value: float, moving: bool = False) -> bool:
    """Set a slider's value in the state, which may still move; return whether it was taken."""
    name = f"{span.label} {value:,.6g} {span.unit}"
    if span.name not in DRIVERS:
        return state.change(name, moving, **{span.name: value})
    given = units.Quantity(value, units.unit_of(_unit(state, span.name)))
    own = units.value(given, DRIVERS[span.name].unit)
    return state.change(name, moving, settings=state.settings | {span.name: own})


def is_set(state: Desk, span: Span) -> bool:
    """Return whether somebody set a slider, so that it does not stand at what the tables say."""
    if span.name in DRIVERS:
        return span.name in state.settings
    return getattr(state.inputs, span.name) != getattr(Inputs(""), span.name)


def clear(state: Desk, span: Span) -> bool:
    """Bring one slider back to what the tables say; return whether it was taken."""
    name = f"{span.label}, as the tables say"
    if span.name in DRIVERS:
        return state.change(name, settings={key: amount for key, amount in state.settings.items() if key != span.name})
    return state.change(name, **{span.name: getattr(Inputs(""), span.name)})


def read(state: Desk, span: Span, text: str) -> float:
    """Return what somebody typed in a slider's box, in its unit.

    Raises
    ------
    ValueError
        Where it is no number, or one with a unit of another kind.
    """
    unit = _unit(state, span.name) if span.name in DRIVERS else {"%": "percent"}.get(span.unit, span.unit)
    value = read_typed(text, unit)
    if span.name in ("start_moved", "deadline_moved"):
        return int(value) if value.is_integer() else value  # half a day is refused in words by the state
    return value


def _unit(state: Desk, name: str) -> str:
    sliders = state.base.scenario.sliders
    return sliders[name].unit if name in sliders else "lb" if state.base.scenario.units == "US" else "tonne"


def says(state: Desk, span: Span) -> str:
    """Return what holds of a slider's subject at the moment."""
    value, scenario = value_of(state, span), state.base.scenario
    if span.name in DRIVERS:
        named = f"; {haul_in_words(state.base)}" if span.name == "haul_distance" else ""
        told = f"set to {value:,.6g} {span.unit}; " if span.name in state.settings else ""
        return f"{told}{moves(state, span.name)}{named}"
    if span.name == "weight_tolerance":
        return "as vehicles.csv has it" if state.inputs.weight_tolerance is None else f"set to plus or minus {value:g} %"
    if span.name == "budget_usd":
        if state.inputs.budget_usd is None:
            return "no budget is set"
        return budget_in_words(state.comparison, value)
    date = scenario.start if span.name == "start_moved" else scenario.deadline
    words = show_date(date + dt.timedelta(days=int(value)))
    return words if not value else f"set to {words}"


def _of_driver(state: Desk, name: str) -> Span:
    museum, given = state.base, state.base.scenario.sliders[name]
    value = given.low + round((_table_amount(state.comparison, state, name) - given.low) / given.step) * given.step
    low, high = min(given.low, value), max(given.high, value)
    if name == "haul_distance":  # the other legs keep their length
        least = units.value(units.Quantity(least_haul(museum), "mile"), given.unit)
        low = max(low, low + math.floor((least - low) / given.step + 1) * given.step)
    tooltip, unit = _drives(museum, name), _SHORT_UNITS.get(given.unit, given.unit.replace("_", " "))
    idle = "" if moved_paths(state, name) else f"no path of this unit counts {DRIVERS[name].meaning}"
    return Span(name, _NAMES.get(name, name), unit, tooltip, low, high, given.step, value, idle)


def _of_weight(state: Desk) -> tuple[Span, ...]:
    """Return the slider of the weight; none where nobody knows it."""
    weight, unit = state.base.vehicle(state.vehicle).weight, _unit(state, "weight")
    if weight is None:
        return ()
    value = float(weight.m_as(unit))
    step = 10.0 ** math.floor(math.log10(value) - 2) * (1 if unit == "lb" else 0.5)
    low, high = (round(value * share / step) * step for share in _WEIGHT_SHARES)
    tooltip = "What the unit weighs. It changes checks, equipment, refusals and money of every path that carries it."
    return (Span("weight", _NAMES["weight"], unit, tooltip, low, high, step, value),)


def moved_paths(state: Desk, name: str) -> tuple[int, ...]:
    """Return the numbers of the paths whose money, days or gates hang on a driver of a slider."""
    museum = state.base
    if name == "weight":
        return tuple(row.number for row in museum.paths if row.saves)
    if name == "haul_distance":
        longest = {leg.leg for leg in longest_legs(museum)}
        with_it = {stage.path for stage in museum.stages for leg in museum.legs_of(stage) if leg.leg in longest}
        return tuple(row.number for row in museum.paths if row.path in with_it)
    moved = {row.path: {name} for row in museum.paths}
    if name == "axles":
        count = len(museum.axles_of(state.vehicle))
        for row in museum.paths:
            few, more = (told_by_rows(museum, state.vehicle, row.path, axles=number) for number in (count, count + 1))
            moved[row.path] |= {driver_of(driver) for driver, amount in few.items() if more.get(driver) != amount}
    return tuple(row.number for row in museum.paths if counted_drivers(museum, row.path) & moved[row.path])


def moves(state: Desk, name: str) -> str:
    """Return which paths a slider moves, in words."""
    return f"moves {numbers_in_words(moved_paths(state, name))}"


def numbers_in_words(numbers: tuple[int, ...]) -> str:
    """Return numbers of paths with runs of three and more as one: 1 to 4, 7 and 8.

    Examples
    --------
    >>> numbers_in_words((1, 2, 3, 4, 7, 8)), numbers_in_words(())
    ('1 to 4, 7 and 8', 'no path')
    """
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    parts = [part for run in runs
             for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run))]  # fmt: skip
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts) or "no path"


def _of_museum(state: Desk) -> tuple[Span, ...]:
    scenario, unit = state.base.scenario, state.base.vehicle(state.vehicle)
    tolerance = unit.weight_tolerance.m_as("percent")
    notice = (scenario.deadline - scenario.start).days
    grace = max((scenario.forced_scrap - scenario.deadline).days, _LEAST_DAYS)
    dearest = max([result.cost.p90 for result in state.comparison.paths if result.cost], default=1e5)
    highest = (int(dearest / 50_000) + 1) * 50_000.0
    return (
        Span("weight_tolerance", "Weight known to ±", "%", "How far the weight may be off. It changes checks, equipment and "
             "money in each trial.", 0.0, max(_LEAST_TOLERANCE, 2 * tolerance), 0.5, tolerance),
        Span("start_moved", "Work begins later", "day", "When the museum orders the first work, and with it every date. "
             "Range: from the date of the tables to the day before the deadline.",
             float(min((scenario.as_of - scenario.start).days, 0)), notice - 1.0, 1.0, 0.0),
        Span("deadline_moved", "Deadline later", "day", "The owner's deadline and forced-scrap date; below zero "
             "is earlier. It changes the chance of being in time and the owner's charge.",
             1.0 - notice, float(grace), 1.0, 0.0),
        Span("budget_usd", "Budget", scenario.currency,
             "Money available. It changes no cost; it shows how likely it is to be enough.",
             0.0, highest, 1000.0, 0.0),
    )  # fmt: skip


def _table_amount(comparison: Comparison, state: Desk, name: str) -> float:
    """Return what the tables say a driver stands at, in its slider's unit."""
    unit = state.base.scenario.sliders[name].unit
    if name == "axles":
        return float(len(state.base.axles_of(comparison.vehicle)))
    if name == "haul_distance":
        return units.value(units.Quantity(haul_miles(state.base), "mile"), unit)
    by_trailer = {stage.path for stage in comparison.museum.stages if stage.carried_on == "trailer"}
    trailer_first = sorted(comparison.weighed, key=lambda path: path not in by_trailer)
    amounts = (comparison.weighed[path].stated.amounts.get(name) for path in trailer_first)
    amount = next((float(amount) for amount in amounts if isinstance(amount, float | int) and amount), 0.0)
    return units.value(units.Quantity(amount, units.unit_of(DRIVERS[name].unit)), unit)


def _drives(museum: Any, name: str) -> str:
    """Return what a slider drives, for its tooltip."""
    lines = [row.title for row in museum.cost_lines if name in (row.driver, row.times)]
    tasks = [row.title for row in museum.tasks if name in row.per]
    parts = [DRIVERS[name].meaning[:1].upper() + DRIVERS[name].meaning[1:] + "."]
    if lines:
        parts.append("Drives the cost of: " + "; ".join(dict.fromkeys(lines)) + ".")
    if tasks:
        parts.append("Drives the days of: " + "; ".join(dict.fromkeys(tasks)) + ".")
    if name == "haul_distance":
        words = haul_in_words(museum)
        parts.append(f"It makes longer or shorter each path's {words}. Other legs stay.")
    return " ".join(parts)
