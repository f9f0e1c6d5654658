"""The one decision of a site: which units, by which paths, decided when and in which order, and what waits for which fund.

Fleet, funding and page read it: the set is the one of most points whose money lasts, month by month, with the museum's
confidence. A set that costs no more than what the funds add up to on paper may still run dry: that is never recommended.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from heritagemove.compare.results import Comparison
from heritagemove.compare.waiting import waiting
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.funds import Fund
from heritagemove.trials import simulation
from heritagemove.trials.simulation import Samples
from heritagemove.units.words import show_chance, show_date, show_rounded
from heritagemove.whole_site.best_set import Plan, frontier
from heritagemove.whole_site.call_outs import visits
from heritagemove.whole_site.fleet import Fleet, Option, StepsDone, cost_together, fleet_of
from heritagemove.whole_site.funding import BankForecast, account, money_granted
from heritagemove.whole_site.payments import not_paid, payments

if TYPE_CHECKING:
    import pandas as pd

#: Up to so many units every set of them is tried beside the cheapest ones for each number of points; else pairs only.
_ALL_SETS = 6
#: Of the sets of more points, so many of the cheapest are tried for the smallest gap.
_NEXT = 6


@dataclass(frozen=True)
class Step:
    """One unit of the set, in the order in which it is decided on."""

    option: Option
    meeting: dt.date | None  # last meeting that decides on it; None: at once, or committed already


@dataclass(frozen=True)
class Waits:
    """A unit that the money does not carry yet."""

    vehicle: str
    name: str
    fund: Fund | None  # the earliest fund whose grant would let the money last for it too; None where no single one does
    short_usd: float  # what is short for it beside the set, at the museum's confidence, loans included [USD]
    option: Option


@dataclass(frozen=True, repr=False)
class SiteDecision:
    """What is decided for the units of a site together."""

    fleet: Fleet  # the units, each alone, and what may be chosen for each
    plan: Plan | None  # the set that the money carries; None where it carries nobody, or no fund is known
    lasts: float | None  # chance that its money lasts in every month, loans included
    next_up: Plan | None  # the set of more points that is least short; None where there is none
    next_lasts: float | None
    gap_usd: float | None  # what is short for it in hand, at the museum's confidence, loans included [USD]
    steps: tuple[Step, ...]
    waits: tuple[Waits, ...]
    plans: tuple[Plan, ...]  # by points: the cheapest set for each number, this set and the next one
    instead: tuple[str, ...]  # where several units of higher significance could be saved for what one takes
    in_words: str

    def __str__(self) -> str:
        steps = (f"  {step.option.name}: {step.option.way}, {_meeting(step)}" for step in self.steps)
        return "\n".join([self.in_words, *steps])

    __repr__ = __str__

    def to_frame(self) -> pd.DataFrame:
        """Return the sets of units, one row per number of points."""
        import pandas as pd  # here, and not above: `check` needs no table

        currency, level = self.fleet.museum.scenario.currency, f"{self.fleet.confidence:.0%}"
        return pd.DataFrame(
            {
                "points": plan.points,
                "units and paths": "; ".join(f"{option.name}: {option.way}" for option in plan.options),
                f"cost P50 [{currency}]": round(plan.cost.p50),
                f"cost at {level} [{currency}]": round(plan.at_confidence),
                "the money carries it": plan is self.plan,
            }
            for plan in self.plans
        )

    @property
    def set_or_cheapest(self) -> Plan | None:
        """The set that the money carries; the cheapest where it carries none; None where nobody can be saved."""
        return self.plan or min(self.plans, key=lambda each: each.at_confidence, default=None)


def whole_site_decision(
    museum: Museum,
    trials: int | None = None,
    samples: Samples | None = None,
    known: Mapping[str, Comparison] | None = None,
    seconds: float = 30.0,
    progress: StepsDone | None = None,
) -> SiteDecision:
    """Compare every unit of a site, search the best sets, and return the decision on all of them together.

    Parameters
    ----------
    trials : int, optional
        By default as many as museum.toml says.
    samples : Samples, optional
        Draws made before; made from museum.toml's seed when left out.
    known : mapping of str to Comparison, optional
        Answers that are known already, by unit, on the same draws: what is set for a unit then holds here too.
    seconds : float, optional
        How long the search for the cheapest sets may last.
    progress : callable, optional
        Called with the steps done, all steps, and what is being done.

    Returns
    -------
    SiteDecision
        It prints its words and its steps; `to_frame` gives the sets.

    Examples
    --------
    >>> import heritagemove as hm
    >>> museum = hm.load("data/tamber_river")
    >>> two = museum.with_changes(vehicles=[museum.vehicle("caboose"), museum.vehicle("boxcar")])
    >>> site = hm.whole_site_decision(two, trials=300)
    >>> print(str(site).partition(",")[0])
    Take Steel cupola caboose 1191 by roll on (path 10)
    >>> list(site.to_frame())[:2]
    ['points', 'units and paths']
    """
    fleet = fleet_of(museum, samples, trials, progress=progress, known=known)
    plans = frontier(fleet, seconds=seconds, progress=progress) if fleet.options else ()
    return decide_site(fleet, plans)


def _meeting(step: Step) -> str:
    return f"decided at the meeting of {show_date(step.meeting)}" if step.meeting else "at once"


def decide_site(fleet: Fleet, plans: Sequence[Plan]) -> SiteDecision:
    """Return the decision on the units of a site.

    Parameters
    ----------
    plans : sequence of Plan
        As :func:`heritagemove.whole_site.best_set.frontier` gives them.
    """
    sets = _candidates(fleet, plans) if fleet.museum.funds else []
    chosen = next((each for each in sets if _lasts(fleet, each) >= fleet.confidence), None)
    now = chosen.points if chosen else 0
    more = sorted((each for each in sets if each.points > now), key=lambda each: each.at_confidence)[:_NEXT]
    next_up = min(more, key=lambda each: _short(fleet, _bank(fleet, each.options)), default=None)
    bank = next_up and _bank(fleet, next_up.options)
    kept = {each.points: each for each in (*[p for p in plans if p.options], next_up, chosen) if each}
    decided = SiteDecision(
        fleet=fleet,
        plan=chosen,
        lasts=chosen and _lasts(fleet, chosen),
        next_up=next_up,
        next_lasts=bank and bank.chance_it_lasts,
        gap_usd=bank and _short(fleet, bank),
        steps=tuple(sorted((_step(fleet, o) for o in chosen.options), key=_when)) if chosen else (),
        waits=tuple(_waits(fleet, chosen.options if chosen else ())) if fleet.museum.funds else (),
        plans=tuple(kept[points] for points in sorted(kept)),
        instead=tuple(_instead(fleet)),
        in_words="",
    )
    return dataclasses.replace(decided, in_words=_in_words(fleet, decided))


def _candidates(fleet: Fleet, plans: Sequence[Plan]) -> list[Plan]:
    """Return the sets that are tried, whatever money there is: more money then never carries fewer points."""
    alone = [option for vehicle in fleet.comparisons if (option := fleet.alone(vehicle))]
    most = len(alone) if len(alone) <= _ALL_SETS else 2
    found = {_key(plan.options): plan for plan in plans if plan.options}
    for size in range(1, most + 1):
        for options in itertools.combinations(alone, size):
            if _key(options) not in found and (made := _plan(fleet, options)):
                found[_key(options)] = made
    return sorted(found.values(), key=lambda plan: (-plan.points, plan.at_confidence))


def _key(options: Sequence[Option]) -> frozenset[tuple[str, str, str | None]]:
    return frozenset((option.vehicle, option.path, option.crane) for option in options)


def _plan(fleet: Fleet, options: Sequence[Option]) -> Plan | None:
    days = visits([option.turn for option in options if option.turn])
    if days is None:
        return None
    cost, points = cost_together(options), sum(option.points for option in options)
    ordered = tuple(sorted(options, key=lambda option: (-option.points, option.vehicle)))
    expected = float(sum(option.points * option.chance for option in options))
    return Plan(ordered, cost, float(np.quantile(cost, fleet.confidence)), points, expected, days, False, points)


def _bank(fleet: Fleet, options: Sequence[Option], sure: Sequence[str] = ()) -> BankForecast:
    return account(fleet, options, payments(fleet.museum, options, fleet.samples), sure=sure)


def _lasts(fleet: Fleet, plan: Plan) -> float:
    """Return the chance that the money of a set lasts, or a bound on it that is below the confidence."""
    bound = _at_most(fleet, plan.options, plan.cost_usd)
    return bound if bound < fleet.confidence else _bank(fleet, plan.options).chance_it_lasts


def _at_most(fleet: Fleet, options: Sequence[Option], cost_usd: np.ndarray, sure: Sequence[str] = ()) -> float:
    """Return what the chance that the money lasts is never above: that of all which is granted, were it here on day one."""
    museum, samples = fleet.museum, fleet.samples
    others = [row for row in museum.funds if row.repays in ("loan", "in_kind")]
    most = money_granted(museum, samples, sure=sure) + sum(row.amount.m_as("USD") for row in others)
    return float(np.mean(most >= cost_usd - not_paid(museum, options, samples)))


def _short(fleet: Fleet, bank: BankForecast) -> float:
    return float(np.quantile(np.maximum(-bank.balance.min(axis=1), 0.0), fleet.confidence))


def _step(fleet: Fleet, option: Option) -> Step:
    comparison = fleet.comparisons[option.vehicle]
    if option.path == comparison.choice:
        return Step(option, comparison.decide_by)
    last = waiting(comparison, option.path).last
    return Step(option, None if last is None else simulation.date_of(fleet.museum, last))


def _when(step: Step) -> tuple[dt.date, int]:
    return step.meeting or dt.date.min, -step.option.points


def _waits(fleet: Fleet, taken: Sequence[Option]) -> list[Waits]:
    """Return the units that the money does not carry beside the set, with the fund whose grant would."""
    found = []
    funds = sorted((row for row in fleet.museum.funds if row.probability < 1), key=lambda row: row.earliest)
    for vehicle in fleet.comparisons:
        option = fleet.alone(vehicle)
        if option is None or any(each.vehicle == vehicle for each in taken):
            continue
        options = (*taken, option)
        made = payments(fleet.museum, options, fleet.samples)
        stands = account(fleet, options, made)
        cost = cost_together(options)
        enough = (row for row in funds if _at_most(fleet, options, cost, [row.fund]) >= fleet.confidence)
        won = ((row, account(fleet, options, made, sure=[row.fund])) for row in enough)
        fund = next((row for row, bank in won if bank.chance_it_lasts >= fleet.confidence), None)
        found.append(Waits(vehicle, option.name, fund, _short(fleet, stands), option))
    return sorted(found, key=lambda row: (row.fund is None, row.short_usd))


def _instead(fleet: Fleet) -> list[str]:
    """Say for which units several others of higher significance could be saved: what a budget for one of them forgoes."""
    found = []
    for vehicle in fleet.comparisons:
        option = fleet.alone(vehicle)
        if option is None:
            continue
        budget, others = float(np.quantile(option.cost_usd, fleet.confidence)), []
        better = (other for unit in fleet.comparisons if (other := fleet.alone(unit)) and other.points > option.points)
        for other in sorted(better, key=lambda each: float(np.quantile(each.cost_usd, fleet.confidence))):
            if float(np.quantile(cost_together([*others, other]), fleet.confidence)) <= budget:
                others.append(other)
        if others:
            count = "one unit" if len(others) == 1 else f"{_NUMBERS.get(len(others), len(others))} units"
            names = ", ".join(each.name for each in others)
            found.append(f"For what {option.name} takes, {count} of higher significance could be saved: {names}.")
    return found


_NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


def _in_words(fleet: Fleet, decided: SiteDecision) -> str:
    """Return the decision on a site in words."""
    museum, level = fleet.museum, f"{fleet.confidence:.0%}"
    currency = museum.scenario.currency
    if not museum.funds:
        return "funds.csv names no money yet: no set can be recommended."
    said = [_recommended(decided, currency, level)]
    if decided.next_up:
        names = ", ".join(option.name for option in decided.next_up.options)
        said.append(
            f"The next set, {decided.next_up.points} points ({names}), lasts in {show_chance(decided.next_lasts)} of cases; "
            f"{show_rounded(decided.gap_usd)} {currency} more in hand would carry it at {level}."
        )
    for row in decided.waits:
        if row.fund:
            said.append(f"{row.name} waits for {row.fund.title}: once it is granted the money lasts for it too.")
    return " ".join([*said, *decided.instead])


def _recommended(decided: SiteDecision, currency: str, level: str) -> str:
    if decided.plan is None:
        return f"By their rules and dates the funds carry no unit in {level} of cases: commit to none yet."
    plan = decided.plan
    units = "; ".join(
        f"{step.option.name} by {step.option.way} (path {step.option.number}), decided "
        + (f"at the meeting of {show_date(step.meeting)} at the latest" if step.meeting else "at once")
        for step in decided.steps
    )
    points = f"{plan.points} point{'' if plan.points == 1 else 's'} of significance"
    return (
        f"Take {units}: {points} for {show_rounded(plan.at_confidence)} {currency} at {level}. By the rules and dates of "
        f"the funds, loans included, the money lasts in every month in {show_chance(decided.lasts)} of cases."
    )
