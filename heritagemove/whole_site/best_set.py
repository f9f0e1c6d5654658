"""Which units to take, and by which paths: the most significance that a budget can save, and what more money buys.

A unit counts with its significance points where its path has it off the site by the deadline with the chance asked
for. A set's cost is the percentile of its joint cost over the trials, with each call-out charged once.
"""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from heritagemove.compare.results import Spread
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_chance
from heritagemove.whole_site.call_outs import Visit
from heritagemove.whole_site.fleet import Fleet, Option, StepsDone
from heritagemove.whole_site.set_search import Chosen, SetSearch


@dataclass(frozen=True)
class Plan:
    """A set of units, each by one path."""

    options: tuple[Option, ...]  # by significance, the highest first
    cost_usd: np.ndarray  # shape (trials,); joint cost, each call-out once [USD]
    at_confidence: float  # joint cost at the confidence asked for [USD]
    points: int  # significance of the units
    expected: float  # significance times the chance of each unit to be saved by the deadline
    visits: tuple[Visit, ...]  # when the call-outs that take their units in turn are on the site
    # whether it is proved that no set of as many points is cheaper and, within a budget, none has more points
    proved: bool
    most_points: int  # no set that keeps to the budget has more points than this

    @property
    def cost(self) -> Spread:
        """Spread of the joint cost [USD]."""
        return Spread.of(self.cost_usd)

    def path_of(self, vehicle: str) -> Option | None:
        """Return the option of a unit, or None where it is not in the set."""
        return next((option for option in self.options if option.vehicle == vehicle), None)


def best_set(
    fleet: Fleet,
    budget_usd: float,
    confidence: float | None = None,
    must: Iterable[str] = (),
    never: Iterable[str] = (),
    seconds: float = 6.0,
    progress: StepsDone | None = None,
) -> Plan:
    """Return the set with the most significance that keeps to a budget, and of those the cheapest.

    Parameters
    ----------
    budget_usd : float
        What the joint cost may be at the confidence [USD].
    confidence : float, optional
        0 to 1; by default the museum's.
    must, never : iterable of str
        Units that have to be in the set, and units that may not.
    seconds : float
        Computing time to search for a proof [second]; after that the best set found is returned with the bound proved.
        It is the processor's time, so that a busy machine gives the same answer later.
    progress : callable, optional
        Called with the steps done, all steps, and what is being done. Returning False, or Ctrl-C, stops: the best set
        found by then is returned with the bound proved.

    Raises
    ------
    PlannerError
        Where no set keeps to everything: which constraint stands in the way.
    """
    must, never = tuple(must), tuple(never)
    confidence = fleet.confidence if confidence is None else confidence
    search = _search(fleet, confidence, must, never)
    until = time.process_time() + seconds
    most = search.most_points(budget_usd)
    if most is None:
        raise PlannerError(_why_not(fleet, confidence, must, never, budget_usd))
    search.grow(budget_usd)
    top, open_above = most, False
    for points in range(most, -1, -1):
        _tell(search, progress, most - points, most + 1, f"is there a set of {points} points?")
        found, proved = _cheapest(search, points, budget_usd, time.process_time() + (until - time.process_time()) / 3)
        if found is not None and search.price(found) <= budget_usd:
            return _plan(search, found, proved and not open_above, top)
        open_above = open_above or not proved
        top = top if open_above else points - 1
    if not search.going:
        raise PlannerError("the search was stopped before any set was found that keeps to the budget and the marks")
    raise PlannerError(_why_not(fleet, confidence, must, never, budget_usd))


def frontier(
    fleet: Fleet,
    confidence: float | None = None,
    must: Iterable[str] = (),
    never: Iterable[str] = (),
    seconds: float = 30.0,
    progress: StepsDone | None = None,
) -> tuple[Plan, ...]:
    """Return the cheapest set for every number of significance points that can be had, from the fewest up.

    Parameters and Raises as for :func:`best_set`, without a budget. A search that is stopped gives the sets found so far.
    """
    must, never = tuple(must), tuple(never)
    confidence = fleet.confidence if confidence is None else confidence
    search = _search(fleet, confidence, must, never)
    until = time.process_time() + seconds
    most = search.most_points(np.inf)
    if most is None:
        raise PlannerError(_why_not(fleet, confidence, must, never, np.inf))
    plans: list[Plan] = []
    while not plans or plans[-1].points < most:
        points = plans[-1].points + 1 if plans else 0
        _tell(search, progress, points, most + 1, f"the cheapest set of {points} points or more")
        share = (until - time.process_time()) / (most - points + 1)
        found, proved = _cheapest(search, points, np.inf, time.process_time() + share)
        if found is None or not search.going:
            break
        plans.append(_plan(search, found, proved, most))
    return tuple(plans)


def _tell(search: SetSearch, progress: StepsDone | None, done: int, steps: int, what: str) -> None:
    if progress is not None and progress(done, steps, what) is False:
        search.going = False


def _cheapest(search: SetSearch, points: int, limit_usd: float, until: float) -> tuple[Chosen | None, bool]:
    """Return the cheapest set of at least so many points; after Ctrl-C the cheapest that is known."""
    try:
        return search.cheapest(points, limit_usd, until)
    except KeyboardInterrupt:
        search.going = False
        return search.cheapest(points, limit_usd, until)


def within(plans: Sequence[Plan], budget_usd: float) -> Plan | None:
    """Return the plan of a frontier with the most points within a budget [USD], if any."""
    return next((plan for plan in reversed(plans) if plan.at_confidence <= budget_usd), None)


def next_plan(plans: Sequence[Plan], budget_usd: float) -> Plan | None:
    """Return the plan of a frontier that a little more money than the budget [USD] would buy, if any."""
    now = within(plans, budget_usd)
    more = [plan for plan in plans if plan.at_confidence > budget_usd]
    return min(more, key=lambda plan: plan.at_confidence) if more and plans[-1] is not now else None


def changed_paths(fleet: Fleet, plan: Plan) -> tuple[tuple[Option, Option], ...]:
    """Return the units that go by another path in company than alone: the path alone, and the one in the plan."""
    pairs = ((fleet.alone(option.vehicle), option) for option in plan.options)
    return tuple((alone, option) for alone, option in pairs if (alone.path, alone.crane) != (option.path, option.crane))


def _search(fleet: Fleet, confidence: float, must: tuple[str, ...], never: tuple[str, ...]) -> SetSearch:
    if not 0 < confidence < 1:
        raise PlannerError(f"confidence: found {confidence:g}; allowed: above 0 and below 1, such as 0.8")
    for vehicle in (*must, *never):
        fleet.museum.vehicle(vehicle)
    return SetSearch([option for option in fleet.options if option.vehicle not in never], confidence, must)


def _plan(search: SetSearch, chosen: Chosen, proved: bool, most_points: int) -> Plan:
    options = sorted((search.options[j] for j in chosen), key=lambda option: (-option.points, option.vehicle))
    points = sum(option.points for option in options)
    return Plan(
        options=tuple(options),
        cost_usd=search.cost_usd(chosen),
        at_confidence=search.price(chosen),
        points=points,
        expected=float(sum(option.points * option.chance for option in options)),
        visits=search.visits(chosen) or (),
        proved=proved,
        most_points=points if proved else max(most_points, points),
    )


def _why_not(fleet: Fleet, confidence: float, must: tuple[str, ...], never: tuple[str, ...], budget_usd: float) -> str:
    """Name the constraint that no set keeps to, trying them one by one."""
    currency = fleet.museum.scenario.currency
    names = {row.vehicle: row.name for row in fleet.museum.vehicles}
    both = [names[vehicle] for vehicle in must if vehicle in never]
    if both:
        return f"must save and never: found both for {', '.join(both)}; allowed: one of them per unit"
    hopeless = [f"{names[vehicle]}: {fleet.left_out[vehicle]}" for vehicle in must if vehicle in fleet.left_out]
    if hopeless:
        return "must save: there is no path for " + "; ".join(hopeless)
    wanted = ", ".join(names[vehicle] for vehicle in must)
    free = [dataclasses.replace(o, turn=None) for o in fleet.options if o.vehicle in must]
    for options in (free, [o for o in fleet.options if o.vehicle in must]):
        search = SetSearch(options, confidence, must)
        found, _ = search.cheapest(0, np.inf, time.process_time() + 2)
        if found is None:
            return f"call-outs: their days do not fit before the deadline for {wanted}; allowed: fewer units"
        if search.price(found) > budget_usd:
            needed = f"{search.price(found):,.0f} {currency} at {show_chance(confidence)}"
            return f"budget: found {budget_usd:,.0f} {currency}; allowed: at least {needed} to save {wanted}"
    return "no set keeps to the budget, the call-outs and the marks together"
