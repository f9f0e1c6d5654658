"""The units of one site together: every unit by every path that may be chosen, with what they share.

Costs and dates are those of the same trials, refusals and fallbacks played out, so that a joint P80 is the P80 of
the sum and not a sum of P80s.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heritagemove.compare import decision
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison, PathResult, Spread
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.simulation import Samples
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_chance, without_brackets
from heritagemove.whole_site import call_outs
from heritagemove.whole_site.call_outs import SharedPart, Turn

#: Called with the steps done, all steps, and what is being done. A search stops where it returns False.
StepsDone = Callable[[int, int, str], object]


@dataclass(frozen=True)
class Option:
    """One unit by one path: something that may be chosen."""

    vehicle: str
    name: str
    path: str
    title: str
    number: int  # the path's number in every chart and table
    crane: str | None  # A larger crane than the unit needs, there for another unit; None for the crane it needs, or none
    points: int  # significance of the unit
    chance: float  # chance that it is saved and off the site by the deadline, refusals and fallback played out
    cost_usd: np.ndarray  # shape (trials,); cost alone, refusals and fallback played out [USD]
    shared: Mapping[SharedPart, np.ndarray]  # shape (trials,); what of it belongs to call-outs [USD]
    turn: Turn | None  # when it needs the call-out that takes its units in turn
    # what it was made from, and the path that a refusal starts
    result: PathResult | None = None
    fallback: PathResult | None = None

    @cached_property
    def own_usd(self) -> np.ndarray:
        """Cost without the parts of call-outs, shape (trials,) [USD]."""
        return self.cost_usd - np.sum([np.zeros(len(self.cost_usd)), *self.shared.values()], axis=0)

    @property
    def currency(self) -> str:
        """The museum's currency; blank for an option that is made of bare numbers."""
        return self.result.currency if self.result else ""

    @property
    def way(self) -> str:
        """The path in words, with the larger crane where it uses one."""
        return self.path.replace("_", " ") + (f" with the {self.crane.replace('_', ' ')}" if self.crane else "")

    @property
    def by(self) -> str:
        """The path's number and its words."""
        return f"path {self.number}, {self.way}"


@dataclass(frozen=True)
class Fleet:
    """All units of one museum's decision and what may be chosen for each."""

    museum: Museum
    samples: Samples
    comparisons: Mapping[str, Comparison]  # each unit alone
    options: tuple[Option, ...]
    left_out: Mapping[str, str]  # why a unit has no option
    least_chance: float  # least chance by the deadline that an option must have

    @property
    def confidence(self) -> float:
        """The confidence the museum plans at, 0 to 1."""
        return self.museum.scenario.simulation.confidence

    def of(self, vehicle: str) -> tuple[Option, ...]:
        """Return the options of one unit."""
        return tuple(option for option in self.options if option.vehicle == vehicle)

    def option(self, vehicle: str, path: str) -> Option:
        """Return the option of a unit by a path, with the crane it needs.

        Raises
        ------
        PlannerError
            If there is none; the message lists those there are.
        """
        for option in self.of(self.museum.vehicle(vehicle).vehicle):
            if option.path == path and option.crane is None:
                return option
        known = ", ".join(option.path for option in self.of(vehicle) if option.crane is None)
        raise PlannerError(f'path of {vehicle}: found "{path}"; allowed: {known or self.left_out[vehicle]}')

    def alone(self, vehicle: str) -> Option | None:
        """Return the option that is cheapest at the confidence when the unit goes alone, if it has any."""
        return min(self.of(vehicle), key=lambda option: float(np.quantile(option.cost_usd, self.confidence)), default=None)


def fleet_of(
    museum: Museum,
    samples: Samples | None = None,
    trials: int | None = None,
    least_chance: float | None = None,
    progress: StepsDone | None = None,
    known: Mapping[str, Comparison] | None = None,
) -> Fleet:
    """Compare every unit of a museum and collect what may be chosen for each.

    Offered are the paths that save the unit, are neither blocked nor unknown, and have it off the site by the
    deadline with at least `least_chance`. A unit that a crane lifts is also offered the larger cranes that other
    units call out, with the crane's checks run again for it.

    Parameters
    ----------
    samples : Samples, optional
        Draws made before; made from museum.toml's seed when left out.
    trials : int, optional
        How many to draw where no samples are given; by default museum.toml's number.
    least_chance : float, optional
        0 to 1; by default the museum's confidence.
    progress : callable, optional
        Called with the steps done, all steps, and what is being done.
    known : mapping of str to Comparison, optional
        Answers that are known already, by unit, on the same draws.
    """
    samples = samples or simulation.draw(museum, trials=trials)
    least = museum.scenario.simulation.confidence if least_chance is None else least_chance
    comparisons: dict[str, Comparison] = {}
    memo = Memo()
    for step, row in enumerate(museum.vehicles):
        if progress:
            progress(step, len(museum.vehicles), f"comparing the paths of {row.name}")
        found = (known or {}).get(row.vehicle)
        comparisons[row.vehicle] = found or compare_paths(museum, row.vehicle, samples=samples, memo=memo)
    options = [option_of(c, r, None) for c in comparisons.values() for r in decision.able(c.paths) if r.branch]
    options += _larger_cranes(museum, samples, options)
    offered = tuple(option for option in options if option.chance >= least)
    left_out = {
        vehicle: _why_not(comparison, [o for o in options if o.vehicle == vehicle], least)
        for vehicle, comparison in comparisons.items()
        if not any(option.vehicle == vehicle for option in offered)
    }
    if progress:
        progress(len(museum.vehicles), len(museum.vehicles), "done")
    return Fleet(museum, samples, comparisons, offered, left_out, least)


def option_of(comparison: Comparison, result: PathResult, crane: str | None = None) -> Option:
    """Return one unit by one path as something that may be chosen.

    Parameters
    ----------
    result : PathResult
        With its gates played out.
    crane : str, optional
        A larger crane than it needs.

    Raises
    ------
    PlannerError
        If the path is blocked, unknown, or saves nothing.
    """
    if result.branch is None:
        raise PlannerError(f'path: found "{result.path}", {result.status}; allowed: a path that may be chosen')
    museum, samples = comparison.museum, comparison.samples
    unit = museum.vehicle(comparison.vehicle)
    shared = call_outs.shared_parts(museum, result, samples)
    return Option(
        vehicle=unit.vehicle,
        name=without_brackets(unit.name),
        path=result.path,
        title=result.title,
        number=result.number,
        crane=crane,
        points=unit.significance,
        chance=result.chance_with_fallback or 0.0,
        cost_usd=result.branch.cost_usd,
        shared=shared,
        turn=call_outs.turn_of(museum, result, shared, samples),
        result=result,
        fallback=result.branch.fallback and comparison.path(result.branch.fallback),
    )


def _larger_cranes(museum: Museum, samples: Samples, options: Sequence[Option]) -> list[Option]:
    """Offer each unit that a crane lifts the larger cranes that another unit calls out."""
    strength = {}
    for row in museum.cranes:
        strength[row.crane] = max(strength.get(row.crane, 0.0), row.capacity.m_as("short_ton"))
    called = {(o.vehicle, o.path): o.turn.call_out[1] for o in options if o.turn and o.turn.call_out[1] in strength}
    found = []
    for vehicle in dict.fromkeys(vehicle for vehicle, _ in called):
        own = {path: crane for (unit, path), crane in called.items() if unit == vehicle}
        others = {crane for (unit, _), crane in called.items() if unit != vehicle}
        for crane in sorted(others, key=strength.get):
            paths = [path for path, needed in own.items() if strength[crane] > strength[needed]]
            found += _with_crane(museum, samples, vehicle, paths, crane) if paths else []
    return found


def _with_crane(museum: Museum, samples: Samples, vehicle: str, paths: Sequence[str], crane: str) -> list[Option]:
    there = museum.with_changes(
        cranes=[row for row in museum.cranes if row.crane == crane], paths=[row for row in museum.paths if row.path in paths]
    )
    comparison = compare_paths(there, vehicle, samples=samples)
    lifted = dataclasses.replace(comparison, museum=museum)
    return [option_of(lifted, result, crane) for result in decision.able(comparison.paths) if result.branch]


def _why_not(comparison: Comparison, options: Sequence[Option], least: float) -> str:
    if not options:
        return comparison.decision.in_short
    best = max(options, key=lambda option: option.chance)
    deadline = f"by the deadline is {show_chance(best.chance)}"
    return f"its best chance {deadline} ({best.by}), and {show_chance(least)} is asked for"


def cost_together(options: Sequence[Option]) -> np.ndarray:
    """Return what a set of units costs together in each trial, each call-out charged once [USD].

    Raises
    ------
    ValueError
        For an empty set.
    """
    if not options:
        raise ValueError("found no option; allowed: at least one")
    return call_outs.joint_cost([o.own_usd for o in options], [o.shared for o in options])


@dataclass(frozen=True)
class Share:
    """What one unit of a set pays, in means over the trials, but for the P80 [USD]."""

    option: Option
    alone: Spread  # if nobody else went
    one_more: float  # what it adds to the units before it, in the order of the set
    equal: float  # with each call-out split evenly among its users
    saved_without: float  # what the others save if this unit stays behind


def allocate(options: Sequence[Option]) -> tuple[Share, ...]:
    """Return how the joint cost of a set is split: one more unit at a time in the order given, and in equal shares."""
    own, shared = [o.own_usd for o in options], [o.shared for o in options]
    added, equal, joint = call_outs.one_more(own, shared), call_outs.equal_shares(own, shared), cost_together(options).mean()
    shares = []
    for n, option in enumerate(options):
        rest = [*options[:n], *options[n + 1 :]]
        without = cost_together(rest).mean() if rest else 0.0
        alone = Spread.of(option.cost_usd)
        shares.append(Share(option, alone, float(added[n].mean()), float(equal[n].mean()), float(joint - without)))
    return tuple(shares)


@dataclass(frozen=True)
class Company:
    """One path of a unit, alone and in company that has the call-outs already [USD]."""

    option: Option
    # cost alone; cost added to the others
    alone: Spread
    together: Spread


def in_company(fleet: Fleet, vehicle: str, others: Sequence[Option]) -> tuple[Company, ...]:
    """Return what each option of a unit costs alone, and what it adds when the others go anyway.

    Parameters
    ----------
    others : sequence of Option
        Options of other units; empty for nobody.
    """
    base = cost_together(others) if others else 0.0
    return tuple(
        Company(option, Spread.of(option.cost_usd), Spread.of(cost_together([*others, option]) - base))
        for option in fleet.of(vehicle)
    )


def largest_party(fleet: Fleet) -> tuple[Option, ...]:
    """Return the options that could share the in-turn call-out most units want: one per unit, its cheapest on it.

    The order is that of significance. Empty where no two units could share one.
    """
    best: tuple[Option, ...] = ()
    for call_out in sorted({o.turn.call_out for o in fleet.options if o.turn}):
        party = []
        for row in sorted(fleet.museum.vehicles, key=lambda row: -row.significance):
            mine = [o for o in fleet.of(row.vehicle) if o.turn and o.turn.call_out == call_out]
            party += [min(mine, key=lambda o: o.cost_usd.mean())] if mine else []
        if len(party) > max(len(best), 1):
            best = tuple(party)
    return best


@dataclass(frozen=True)
class Party:
    """A number of units on one call-out, in means over the trials [USD]."""

    options: tuple[Option, ...]
    apart: float  # each on its own path with call-outs of its own: with its own crane where it needs a smaller one
    together: float  # with each call-out charged once
    call_out: float  # what the call-out that is taken in turn costs them, once

    @property
    def saved(self) -> float:
        """What sharing saves [USD]."""
        return self.apart - self.together


def parties(fleet: Fleet, options: Sequence[Option]) -> tuple[Party, ...]:
    """Return what sharing saves as one unit after the other joins, in the order given."""
    found = []
    for n in range(1, len(options) + 1):
        members = tuple(options[:n])
        apart = [_needed_crane(fleet, option).cost_usd.mean() for option in members]
        charged = call_outs.charged_once([option.shared for option in members])
        turns = {option.turn.call_out for option in members if option.turn}
        crane = sum(cost.mean() for part, cost in charged.items() if (part[0], part[2]) in turns)
        found.append(Party(members, float(sum(apart)), float(cost_together(members).mean()), float(crane)))
    return tuple(found)


def _needed_crane(fleet: Fleet, option: Option) -> Option:
    """Return the same unit on the same path with the crane it needs, not a larger one."""
    return next((o for o in fleet.of(option.vehicle) if o.path == option.path and o.crane is None), option)
