"""What a planner has set over the tables: what is allowed, the answer to it, what a budget is good for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.decided import Decision
from heritagemove.compare.results import Comparison
from heritagemove.museum.calendars import HORIZON_DAYS
from heritagemove.museum.drivers import DRIVERS, read_settings
from heritagemove.museum.memo import Ask
from heritagemove.museum.museum import Museum
from heritagemove.trials import estimating, simulation
from heritagemove.trials.simulation import Samples
from heritagemove.units import units
from heritagemove.units.words import show_chance, show_date, show_rounded

#: Ten years: nobody moves a date further.
_MOST_DAYS = 3660


@dataclass(frozen=True)
class Inputs:
    """What is set over the tables of a museum; with nothing set the tables hold."""

    vehicle: str  # id of the unit
    settings: Mapping[str, float] = field(default_factory=dict)  # amounts by driver, in the drivers' units
    # how far the unit's weight may be off, plus or minus [percent]; None as vehicles.csv has it
    weight_tolerance: float | None = None
    start_moved: int = 0  # how much later work begins than museum.toml says [day]
    deadline_moved: int = 0  # how much later the owner's deadline and forced-scrap date are than museum.toml says [day]
    budget_usd: float | None = None  # money there is [USD]; None where nobody has said
    # whether the trials hold what estimates turn out to be off by; None as museum.toml has it
    estimating_error: bool | None = None


def as_set(museum: Museum, inputs: Inputs) -> Museum:
    """Return the museum with the dates and the tolerance that are set; the museum itself where none are.

    Raises
    ------
    ValueError
        With every input that is not allowed.
    """
    problems = input_problems(museum, inputs)
    if problems:
        raise units.PlannerError("\n".join(problems))
    changes: dict[str, Any] = {}
    scenario = museum.scenario
    if inputs.start_moved:
        changes["start"] = scenario.start + dt.timedelta(days=inputs.start_moved)
    if inputs.deadline_moved:
        moved = dt.timedelta(days=inputs.deadline_moved)
        changes |= {"deadline": scenario.deadline + moved, "forced_scrap": scenario.forced_scrap + moved}
    if inputs.weight_tolerance is not None:
        tolerance = {"weight_tolerance": units.Quantity(float(inputs.weight_tolerance), "percent")}
        of_unit = museum.vehicle(inputs.vehicle)
        changes["vehicles"] = [r.model_copy(update=tolerance) if r is of_unit else r for r in museum.vehicles]
    if inputs.estimating_error is not None:
        museum = estimating.switched(museum, inputs.estimating_error)
    return museum.with_changes(**changes) if changes else museum


def answer(
    museum: Museum, inputs: Inputs, samples: Samples, memo: Ask | None = None, standing: Decision | None = None
) -> Comparison:
    """Compare the paths with what is set.

    Parameters
    ----------
    museum : Museum
        As :func:`as_set` returns it.
    samples : Samples
        Of that museum.
    memo : Memo, optional
        Of one who asks more than once.
    standing : Decision, optional
        Found before, to be played again and not searched anew.
    """
    return compare_paths(museum, inputs.vehicle, inputs.settings, samples, memo, standing)


def budget_in_words(comparison: Comparison, budget_usd: float) -> str:
    """Return what a budget is good for: the choice, in money alone and in money and time together."""
    currency = comparison.museum.scenario.currency
    if comparison.choice is None:
        return f"A budget of {budget_usd:,.0f} {currency} chooses no path: {comparison.decision.in_short}."
    best, played = comparison.path(comparison.choice), comparison.decision.played
    within = played.cost_usd <= budget_usd
    in_time = played.in_time(simulation.day_number(comparison.museum, comparison.museum.scenario.deadline))
    money, both = float(np.mean(within)), float(np.mean(within & in_time))
    short = comparison.decision.budget.at_confidence - budget_usd
    confidence = f"{show_rounded(abs(short))} {currency} {'short of' if short > 0 else 'above'} what is to be set aside"
    return (
        f"A budget of {budget_usd:,.0f} {currency} is enough for path {best.number} with a {show_chance(money)} chance "
        f"({confidence}); within it and off the site in time: {show_chance(both)}."
    )


def inputs_in_words(museum: Museum, inputs: Inputs) -> tuple[str, ...]:
    """Return what is set over the tables, one line per input."""
    lines = [
        f"{name.replace('_', ' ')} {amount:g} {DRIVERS[name].unit.replace('_', ' ')}"
        for name, amount in inputs.settings.items()
    ]
    if inputs.weight_tolerance is not None:
        lines.append(f"weight known to plus or minus {inputs.weight_tolerance:g} %")
    for days, what, date in (
        (inputs.start_moved, "work begins", museum.scenario.start),
        (inputs.deadline_moved, "deadline", museum.scenario.deadline),
    ):
        if days:
            moved = show_date(date + dt.timedelta(days=days))
            lines.append(f"{what} {moved}, {abs(days)} days {'later' if days > 0 else 'earlier'}")
    if inputs.estimating_error is not None:
        lines.append(f"estimating error switched {'on' if inputs.estimating_error else 'off'}")
    if inputs.budget_usd is not None:
        lines.append(f"budget {inputs.budget_usd:,.0f} {museum.scenario.currency}")
    return tuple(lines) or ("as the tables say",)


def input_problems(museum: Museum, inputs: Inputs) -> list[str]:
    """Return what of the inputs is not allowed, each as where, found, allowed."""
    problems = []
    known = [row.vehicle for row in museum.vehicles]
    if inputs.vehicle not in known:
        problems.append(f'vehicle: found "{inputs.vehicle}"; allowed: {", ".join(known)}')
    if not isinstance(inputs.settings, Mapping):
        problems.append(f'settings: found "{inputs.settings}"; allowed: an amount for each driver that is set')
    else:
        for name, amount in inputs.settings.items():
            try:
                read_settings({name: _number(amount)})
            except ValueError as error:
                problems.append(str(error))
    tolerance, budget = inputs.weight_tolerance, inputs.budget_usd
    if tolerance is not None and not 0 <= _number(tolerance) < 100:
        problems.append(f'weight_tolerance: found "{tolerance}"; allowed: 0 to below 100 percent')
    if budget is not None and not 0 <= _number(budget) < 1e12:
        problems.append(f'budget_usd: found "{budget}"; allowed: a sum of at least 0 {museum.scenario.currency}')
    if inputs.estimating_error not in (None, True, False):
        problems.append(f'estimating_error: found "{inputs.estimating_error}"; allowed: true, false or null')
    scenario = museum.scenario
    moved = {name: getattr(inputs, name) for name in ("start_moved", "deadline_moved")}
    wrong = [f'{name}: found "{days}"; allowed: whole days, -{_MOST_DAYS} to {_MOST_DAYS}' for name, days in moved.items()
             if type(days) is not int or abs(days) > _MOST_DAYS]  # fmt: skip
    if wrong:
        return problems + wrong
    first = scenario.start + dt.timedelta(days=inputs.start_moved)
    last = scenario.deadline + dt.timedelta(days=inputs.deadline_moved)
    if last <= first:
        found = f"{show_date(last)} with work beginning {show_date(first)}"
        problems.append(f"deadline: found {found}; allowed: a deadline after the start")
    if last >= first + dt.timedelta(days=HORIZON_DAYS):
        found = f"{show_date(last)} with work beginning {show_date(first)}"
        problems.append(f"deadline: found {found}; allowed: less than {HORIZON_DAYS:,} days after the start")
    return problems


def _number(given: Any) -> float:
    """Return a number of a file as one; anything else is no number, which every range refuses."""
    return float(given) if isinstance(given, int | float) and not isinstance(given, bool) else float("nan")
