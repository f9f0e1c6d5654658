"""What a planner can move: label, unit, range from the tables, and what holds at the moment in words."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Any

from heritagemove.compare.inputs import budget_in_words
from heritagemove.compare.results import Comparison
from heritagemove.museum.drivers import DRIVERS, SLIDERS
from heritagemove.museum.haul import haul_in_words, haul_miles, least_haul
from heritagemove.panels.state import State
from heritagemove.units import units
from heritagemove.units.words import show_date

_NAMES = {"crane_hours": "Crane hours", "haul_distance": "Haul distance", "axles": "Axle count"}
_UNTOUCHED = {
    "crane_hours": "as the checks compute it, path by path; the trailer's is shown",
    "axles": "as axles.csv has it",
}
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

    @property
    def whole(self) -> bool:
        """Whether the slider knows only whole numbers."""
        return all(float(value).is_integer() for value in (self.low, self.high, self.step, self.value))


def spans(state: State) -> tuple[Span, ...]:
    """Return every slider of the unit whose paths are compared, in the order they are shown."""
    drivers = [name for name in SLIDERS if name in state.base.scenario.sliders]
    return (*(_of_driver(state, name) for name in drivers), *_of_museum(state))


def value_of(state: State, span: Span) -> float:
    """Return where a slider stands: what is set, else what the tables say."""
    if span.name in DRIVERS:
        amount = state.settings.get(span.name)
        own = None if amount is None else units.Quantity(amount, units.unit_of(DRIVERS[span.name].unit))
        return span.value if own is None else units.value(own, state.base.scenario.sliders[span.name].unit)
    found = getattr(state.inputs, span.name)
    return span.value if found is None else found


def change(state: State, span: Span, value: float, moving: bool = False) -> bool:
    """Set a slider's value in the state, which may still move; return whether it was taken."""
    name = f"{span.label} {value:g} {span.unit}"
    if span.name not in DRIVERS:
        return state.change(name, moving, **{span.name: value})
    given = units.Quantity(value, units.unit_of(state.base.scenario.sliders[span.name].unit))
    own = units.value(given, DRIVERS[span.name].unit)
    return state.change(name, moving, settings=state.settings | {span.name: own})


def says(state: State, span: Span) -> str:
    """Return what holds of a slider's subject at the moment."""
    value, scenario = value_of(state, span), state.base.scenario
    if span.name in DRIVERS:
        named = f"; {haul_in_words(state.base)}" if span.name == "haul_distance" else ""
        if span.name in state.settings:
            return f"set to {value:g} {span.unit}s {'by road' if named else 'for every path'}{named}"
        if named:
            return f"as legs.csv has it{named}"
        return _UNTOUCHED.get(span.name, "as the tables say")
    if span.name == "weight_tolerance":
        return "as vehicles.csv has it" if state.inputs.weight_tolerance is None else f"set to plus or minus {value:g} %"
    if span.name == "budget_usd":
        if state.inputs.budget_usd is None:
            return "no budget is set"
        return budget_in_words(state.comparison, value)
    date = scenario.start if span.name == "start_moved" else scenario.deadline
    words = show_date(date + dt.timedelta(days=int(value)))
    return f"{words}, as museum.toml has it" if not value else f"set to {words}"


def _of_driver(state: State, name: str) -> Span:
    museum, given = state.base, state.base.scenario.sliders[name]
    value = given.low + round((_table_amount(state.comparison, state, name) - given.low) / given.step) * given.step
    low, high = min(given.low, value), max(given.high, value)
    if name == "haul_distance":  # the other legs keep their length
        least = units.value(units.Quantity(least_haul(museum), "mile"), given.unit)
        low = max(low, low + math.floor((least - low) / given.step + 1) * given.step)
    tooltip, unit = _drives(museum, name), given.unit.replace("_", " ")
    return Span(name, _NAMES.get(name, name), unit, tooltip, low, high, given.step, value)


def _of_museum(state: State) -> tuple[Span, ...]:
    scenario, unit = state.base.scenario, state.base.vehicle(state.vehicle)
    tolerance = unit.weight_tolerance.m_as("percent")
    notice = (scenario.deadline - scenario.start).days
    grace = max((scenario.forced_scrap - scenario.deadline).days, _LEAST_DAYS)
    dearest = max([result.cost.p90 for result in state.comparison.paths if result.cost], default=1e5)
    highest = (int(dearest / 50_000) + 1) * 50_000.0
    return (
        Span("weight_tolerance", "Weight known to ±", "%", "How far the weight may be off. It changes checks, equipment and "
             "money in each trial.", 0.0, max(_LEAST_TOLERANCE, 2 * tolerance), 0.5, tolerance),
        Span("start_moved", "Work begins later by", "day", "When the museum orders the first work, and with it every date. "
             "Range: from the date of the tables to the day before the deadline.",
             float(min((scenario.as_of - scenario.start).days, 0)), notice - 1.0, 1.0, 0.0),
        Span("deadline_moved", "Deadline later by", "day", "The owner's deadline and forced-scrap date; below zero "
             "is earlier. It changes the chance of being in time and the owner's charge.",
             1.0 - notice, float(grace), 1.0, 0.0),
        Span("budget_usd", "Budget", scenario.currency,
             "Money available. It changes no cost; it shows how likely it is to be enough.",
             0.0, highest, 1000.0, 0.0),
    )  # fmt: skip


def _table_amount(comparison: Comparison, state: State, name: str) -> float:
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
