"""What changes the decision: the nearest weight, price, date and refusal at which another path is chosen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison
from heritagemove.compare.verdict import chosen
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity
from heritagemove.units.words import show_chance, show_date

#: How far from what is set each is tried, on either side, before it is called steady.
_WEIGHTS, _PRICES, _DAYS = (0.05, 0.1, 0.2), (0.25, 0.5, 1.0), (15, 30, 60, 90)
#: How often what lies between two answers is halved.
_HALVINGS = 5


@dataclass(frozen=True)
class DecisionFlip:
    """One thing that changes which path is chosen."""

    kind: str  # weight, price, date or refusal
    what: str  # what of the museum it is
    now: str  # as it is set, and from which value on another path is chosen
    at: str | None  # None where nothing that was tried changes it
    path: str | None  # path that is chosen there; None where none is, or nothing changes it


def what_changes(comparison: Comparison) -> tuple[DecisionFlip, ...]:
    """Return the nearest flips of the choice: in the unit's weight, a price, the deadline and the refusal of the hinge.

    The weight is tried up to a fifth heavier or lighter, the price of the dearest line of the choice up to double or down to
    nothing, the deadline up to ninety days later or sooner, the refusal up to nine in ten; each alone, in the same trials. A
    path that is as good as the choice is no change.

    Returns
    -------
    tuple of DecisionFlip
        Empty where no path is chosen.
    """
    if comparison.choice is None:
        return ()
    asked = _Asked(comparison, Memo())
    return tuple(flip for each in (asked.weight, asked.price, asked.date, asked.refusal) if (flip := each()) is not None)


@dataclass(frozen=True)
class _Asked:
    comparison: Comparison
    memo: Memo

    def weight(self) -> DecisionFlip | None:
        museum, unit = self.comparison.museum, self.comparison.museum.vehicle(self.comparison.vehicle)
        if unit.weight is None:
            return None
        stated, system = unit.weight.m_as("lb"), museum.scenario.units

        def show(pounds: float) -> str:
            return show_measure(Quantity(round(pounds, -2), "lb"), system)

        def at(pounds: float) -> str | None:
            return self._chosen(museum.with_weight(unit.vehicle, pounds / 2000))

        return self._nearest("weight", unit.name, stated, [stated * share for share in _WEIGHTS], at, show, 0.0)

    def price(self) -> DecisionFlip | None:
        comparison, museum = self.comparison, self.comparison.museum
        line = max(comparison.path(comparison.choice).trials.lines, key=lambda each: float(np.mean(each.cost_usd)))
        rates = [row for row in museum.rates if row.rate == line.line.rate]
        if not rates:
            return None

        def at(factor: float) -> str | None:
            ends = ("low", "likely", "high")
            changed = [
                row.model_copy(update={end: getattr(row, end) * factor for end in ends}) if row in rates else row
                for row in museum.rates
            ]
            return self._chosen(museum.with_changes(rates=changed))

        return self._nearest("price", line.line.title, 1.0, list(_PRICES), at, lambda f: f"{f:.0%} of its price", 0.0)

    def date(self) -> DecisionFlip | None:
        museum = self.comparison.museum
        scenario = museum.scenario

        def at(days: float) -> str | None:
            moved = dt.timedelta(days=round(days))
            return self._chosen(
                museum.with_changes(deadline=scenario.deadline + moved, forced_scrap=scenario.forced_scrap + moved)
            )

        def show(days: float) -> str:
            return show_date(scenario.deadline + dt.timedelta(days=round(days)))

        least = 1.0 - (scenario.deadline - scenario.start).days
        return self._nearest("date", "the owner's deadline", 0.0, list(map(float, _DAYS)), at, show, least)

    def refusal(self) -> DecisionFlip | None:
        comparison, museum, hinge = self.comparison, self.comparison.museum, self.comparison.decision.hinge
        gates = [row for row in museum.gates if hinge and row.gate == hinge.gate and row.refusal_probability is not None]
        now = next((row.refusal_probability for row in gates if row.path == comparison.choice), None)
        if now is None:
            return None

        def at(refused: float) -> str | None:
            changed = [
                row.model_copy(update={"refusal_probability": refused}) if row in gates else row for row in museum.gates
            ]
            return self._chosen(museum.with_changes(gates=changed))

        steps = [abs(share - now) for share in (0.0, 0.5, 0.9)]
        return self._nearest("refusal", hinge.title, now, sorted(steps), at, show_chance, 0.0, 0.95)

    def _chosen(self, museum: Museum) -> str | None:
        comparison = self.comparison
        samples = simulation.draw(museum, previous=comparison.samples)
        settings = {name: amount for name, amount in comparison.settings.items() if name not in ("weight", "haul_distance")}
        there = compare_paths(museum, comparison.vehicle, settings, samples, self.memo)
        found = chosen(there.museum, there.vehicle, there.paths)
        return found and found.path

    def _nearest(
        self,
        kind: str,
        what: str,
        now: float,
        steps: list[float],
        at: Callable[[float], str | None],
        show: Callable[[float], str],
        least: float,
        most: float = float("inf"),
    ) -> DecisionFlip:
        """Try steps on either side, and halve what lies between the nearest that flips and the last that does not."""
        same = {self.comparison.choice, *self.comparison.decision.tie_with}
        before = 0.0
        for step in steps:
            tried = [value for value in (now + step, now - step) if least <= value <= most and step > 0]
            flipped = [value for value in tried if at(value) not in same]
            if not flipped:
                before = step
                continue
            found = [self._halved(value, now + np.sign(value - now) * before, at, same) for value in flipped]
            nearest = min(found, key=lambda value: abs(value - now))
            return DecisionFlip(kind, what, show(now), show(nearest), at(nearest))
        return DecisionFlip(kind, what, show(now), None, None)

    @staticmethod
    def _halved(flips: float, holds: float, at: Callable[[float], str | None], same: set[str | None]) -> float:
        for _ in range(_HALVINGS):
            middle = (flips + holds) / 2
            flips, holds = (middle, holds) if at(middle) not in same else (flips, middle)
        return flips
