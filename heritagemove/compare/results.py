"""What a comparison answers: the results every chart, table, panel and page is made from."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from heritagemove.checks.gates.screening import Finding
from heritagemove.compare.decided import Decision, decision_json
from heritagemove.museum.museum import Museum
from heritagemove.trials.estimating import sigma_of_money, sigma_of_time
from heritagemove.trials.refusals import Branch
from heritagemove.trials.simulation import NEVER, PathTrials, Samples, Work
from heritagemove.trials.true_weight import Weighed

if TYPE_CHECKING:
    import pandas as pd

#: Statuses of a path, from best to worst.
STATUSES = ("clear", "caution", "unknown", "blocked")


@dataclass(frozen=True)
class Spread:
    """Percentiles and mean of one answer over the trials (cost [USD], or day number from the start)."""

    p10: float
    p50: float
    p80: float
    p90: float
    mean: float

    @classmethod
    def of(cls, values: np.ndarray) -> Spread:
        """Return the spread of an array, shape (trials,)."""
        ordered = np.sort(values)
        place = np.array((0.1, 0.5, 0.8, 0.9)) * (len(values) - 1)
        low = place.astype(int)
        high = np.minimum(low + 1, len(values) - 1)
        # One sort and linear interpolation: what numpy's percentile gives, and five times as fast.
        found = ordered[low] + (place - low) * (ordered[high] - ordered[low])
        return cls(*map(float, found), float(values.mean()))


@dataclass(frozen=True)
class DateSpread:
    """Percentiles and mean of a date; a part of a day counts as that day begun."""

    p10: dt.date
    p50: dt.date
    p80: dt.date
    p90: dt.date
    mean: dt.date


@dataclass(frozen=True)
class OpenQuestion:
    """One thing that a path waits for."""

    what: str  # what is unknown
    find: str  # how to find it out
    who: str  # role that finds it out
    typical: str = ""  # what is typical of it, in words; blank where nothing is


@dataclass(frozen=True)
class PathResult:
    """One path of one unit, as every chart, table and page shows it."""

    path: str
    number: int  # its number in every chart and table
    title: str
    saves: bool  # whether the unit survives and reaches the museum
    status: str
    reasons: tuple[str, ...]  # what blocks it or calls for caution, worst first
    flipping: Callable[[], str]  # tells what would change the status: asked once, and only of one who reads it
    findings: tuple[Finding, ...]  # every gate with what was found
    cost: Spread | None  # [USD]; None where something it needs is unknown
    off_site: DateSpread | None
    # the unit stands at the museum; None for a path that ends at none, or whose tasks do not say when it arrives
    arrived: DateSpread | None
    closed: DateSpread
    off_site_days: Spread | None  # day numbers from the start, for charts
    chance_by_deadline: float | None  # share of trials off the site by the deadline, gates met
    # chance that every open gate is met and the weight, within its tolerance, passes every hard stop; 0 when blocked,
    # None when unknown; where provisional, that what is unknown is found to meet its gates besides
    chance_of_gates: float | None
    chance_too_heavy: float  # share of trials whose true weight fails a hard stop that the stated weight passes
    critical: Mapping[str, float]  # share of trials in which each task sets the off-site date
    branch: Branch | None  # the path with its gates as branches; None where it is blocked, unknown or saves nothing
    cost_with_fallback: Spread | None  # cost of the path, or of what was sunk in it and of its fallback [USD]
    # share of trials in which the unit is saved and off the site by the deadline, refusals played out
    chance_with_fallback: float | None
    work: Work
    trials: PathTrials
    currency: str  # ISO 4217 code of the museum's currency
    waits_for: tuple[OpenQuestion, ...] = ()  # what is unknown of a path that saves the unit and is not blocked
    # lowest and highest chance to be off the site in time, gates met, by what is found of the unknown; None unless all of
    # it has something typical: cost, date and chances are then over what is typical, and the status stays unknown
    provisional: tuple[float, float] | None = None

    @cached_property
    def flips(self) -> str:
        """What would change the status."""
        return self.flipping()


@dataclass(frozen=True, repr=False)
class Comparison:
    """All paths of one unit and the dated decision."""

    museum: Museum  # the museum as compared: slider changes included
    vehicle: str
    settings: Mapping[str, float]  # amounts set by name, in the drivers' units
    samples: Samples
    paths: tuple[PathResult, ...]  # in the order of their numbers
    deciding: Callable[[], Decision]  # searches the decision: asked once, and only of one who reads it
    base: Museum  # the museum before any setting
    weighed: Mapping[str, Weighed]  # the checks of each path over the weights that the tolerance allows

    @cached_property
    def decision(self) -> Decision:
        """What is to be done with the unit."""
        return self.deciding()

    def with_decision(self, decision: Decision) -> Comparison:
        """Return the comparison with another decision on the same paths."""
        return replace(self, deciding=lambda: decision)

    @property
    def choice(self) -> str | None:
        """Id of the path to take."""
        return self.decision.path

    @property
    def fallback(self) -> str | None:
        """Id of the path to turn to."""
        return self.decision.fallback

    @property
    def decide_by(self) -> dt.date | None:
        """Last meeting that decides on the choice; None where none keeps the confidence."""
        return self.decision.decide_by

    @property
    def switch_by(self) -> dt.date | None:
        """Last day to wait for the answer of the hinge; None where waiting is better."""
        return self.decision.switch_by

    @property
    def sentence(self) -> str:
        """The decision in words."""
        return self.decision.sentence

    @property
    def estimating_error(self) -> bool:
        """Whether the trials hold what estimates turn out to be off by."""
        return bool(self.samples.errors)

    @property
    def spread_in_words(self) -> str:
        """What the spread of cost and dates holds."""
        if not self.estimating_error:
            return "Spread without estimating error: the rows' ranges alone, narrower than what such moves turn out to be."
        money, days = sigma_of_money(self.museum, 0.0), sigma_of_time(self.museum)
        return (
            "Spread with estimating error: in two thirds of the trials what no quote holds costs "
            f"{math.exp(-money):.2f} to {math.exp(money):.2f} of what its rows say (nearer, the more is quoted), and work "
            f"after the decision that is not booked takes {math.exp(-days):.2f} to {math.exp(days):.2f} of its days."
        )

    def path(self, path: str) -> PathResult:
        """Return the result of one path."""
        return next(result for result in self.paths if result.path == path)

    def set_aside(self, result: PathResult) -> float | None:
        """Return the money that is enough for a path at the confidence, refusals and fallback included [USD].

        Of the path to take it is the decision's, which is put to a meeting; None where nobody knows it.
        """
        if result.path == self.choice and self.decision.budget:
            return self.decision.budget.at_confidence
        cost = result.cost_with_fallback or result.cost
        return None if cost is None else cost.p80

    def chance_all_in(self, result: PathResult) -> float | None:
        """Return the chance that the unit is off the site by the deadline, refusals and fallback included."""
        if result.path == self.choice:
            return self.decision.chance_if_decided_then
        if result.chance_with_fallback is not None:
            return result.chance_with_fallback
        if None in (result.chance_by_deadline, result.chance_of_gates):
            return None
        return result.chance_by_deadline * result.chance_of_gates

    def gone_all_in(self, result: PathResult) -> int | None:
        """Return the day by which the unit is off the site at the confidence, refusals and fallback included.

        Of the path to take it is the decision's; `NEVER` where it is not saved that surely, None where nobody knows.
        """
        if result.path == self.choice and self.decision.played:
            days = self.decision.played.off_site
        elif result.branch:
            days = np.where(result.branch.saved, result.branch.off_site, NEVER)
        else:
            return result.off_site_days and round(result.off_site_days.p80)
        return int(np.quantile(days, self.museum.scenario.simulation.confidence, method="inverted_cdf"))

    def __str__(self) -> str:
        lines = (
            f"  {result.number:>2}  {result.title}: {result.status}"
            + (f", P80 {result.cost.p80:,.0f} {result.currency}" if result.cost else ", cost unknown")
            + (f", off site {result.off_site.p80.isoformat()}" if result.off_site else "")
            for result in self.paths
        )
        return "\n".join([self.sentence, *lines])

    __repr__ = __str__

    def to_frame(self) -> pd.DataFrame:
        """Return the table of paths, one row per path, as shown on screen and on the page."""
        import pandas as pd  # here, and not above: `check` needs no table

        return pd.DataFrame([_table_row(result) for result in self.paths])

    def as_json(self) -> dict[str, Any]:
        """Return every figure in the documented, stable form of ``compare --format json``."""
        return {
            "vehicle": self.vehicle,
            "settings": dict(self.settings),
            "seed": self.samples.seed,
            "trials": self.samples.trials,
            "estimating_error": self.estimating_error,
            "deadline": self.museum.scenario.deadline.isoformat(),
            "confidence": self.museum.scenario.simulation.confidence,
            "paths": [_path_json(result) for result in self.paths],
            "choice": self.choice,
            "fallback": self.fallback,
            "decide_by": self.decide_by and self.decide_by.isoformat(),
            "switch_by": self.switch_by and self.switch_by.isoformat(),
            "sentence": self.sentence,
            "decision": decision_json(self.decision),
        }


def _table_row(result: PathResult) -> dict[str, Any]:
    currency = result.currency
    return {
        "number": result.number,
        "path": result.title,
        "status": result.status + (", provisional" if result.provisional else ""),
        f"cost P50 [{currency}]": result.cost and round(result.cost.p50),
        f"cost P80 [{currency}]": result.cost and round(result.cost.p80),
        "off site P80": result.off_site and result.off_site.p80,
        "arrives P80": result.arrived and result.arrived.p80,
        "chance by deadline": result.chance_by_deadline,
        "chance of gates": result.chance_of_gates,
        "chance with fallback": result.chance_with_fallback,
        f"cost P80 with fallback [{currency}]": result.cost_with_fallback and round(result.cost_with_fallback.p80),
        "what blocks it or calls for caution": " ".join(result.reasons),
        "what would change the status": result.flips,
    }


def _path_json(result: PathResult) -> dict[str, Any]:
    names = ("p10", "p50", "p80", "p90", "mean")

    def dates(spread: DateSpread | None) -> dict[str, str] | None:
        return spread and {name: getattr(spread, name).isoformat() for name in names}

    return {
        "path": result.path,
        "number": result.number,
        "title": result.title,
        "status": result.status,
        "reasons": list(result.reasons),
        "flips": result.flips,
        "cost_usd": result.cost and {n: round(getattr(result.cost, n), 2) for n in names},
        "donated_usd": result.cost and round(float(np.mean(result.trials.donated_usd)), 2),
        "off_site": dates(result.off_site),
        "arrived": dates(result.arrived),
        "closed": dates(result.closed),
        "chance_by_deadline": result.chance_by_deadline,
        "chance_of_gates": result.chance_of_gates,
        "provisional": result.provisional and dict(zip(("low", "high"), result.provisional, strict=True)),
        "with_fallback": result.branch
        and {
            "fallback": result.branch.fallback,
            "chance_by_deadline": result.chance_with_fallback,
            "cost_usd": {n: round(getattr(result.cost_with_fallback, n), 2) for n in names},
        },
    }
