"""Provisional answers: a path whose unknowns have typical ranges is priced and dated over these, and stays unknown."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Checks, Finding, Screening
from heritagemove.compare.results import OpenQuestion
from heritagemove.museum.drivers import driver_of
from heritagemove.museum.memo import Ask, Made, Memo, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials import durations, simulation, supposing, true_weight
from heritagemove.trials.simulation import Samples, Work
from heritagemove.trials.supposing import Blank
from heritagemove.trials.true_weight import Weighed

#: Who measures a unit, and who finds out how much of something a path needs, where no gate names a role.
_MEASURES, _COUNTS = "mechanical officer", "planner"
_OF_THE_UNIT = ("vehicles", "pieces", "axles")


class Worlds:
    """One unit in the museums that its blank cells could make: each screened once, however often it is asked for."""

    def __init__(self, museum: Museum, vehicle: str, memo: Ask) -> None:
        self.museum, self.vehicle, self.memo = museum, vehicle, memo
        self.blanks = supposing.blanks(museum, vehicle)
        self._checks: dict[tuple[float | None, ...], Checks] = {}
        self._weighed: dict[tuple[str, tuple[float | None, ...]], Weighed] = {}
        self._needed: dict[str, tuple[Blank, ...]] = {}

    def checks(self, shares: tuple[float | None, ...]) -> Checks:
        """Return the checks where each blank is filled at a cumulative share of its range; None leaves it blank."""
        if shares not in self._checks:
            pairs = [(b, share) for b, share in zip(self.blanks, shares, strict=True) if share is not None]
            filled = supposing.filled(self.museum, self.vehicle, *zip(*pairs, strict=True)) if pairs else self.museum
            self._checks[shares] = Checks(filled, self.memo)
        return self._checks[shares]

    def screened(self, path: str, shares: tuple[float | None, ...]) -> Screening:
        """Return what the checks of a path say in one of these museums."""
        checks = self.checks(shares)
        return checks.screen(checks.museum.vehicle(self.vehicle), path)

    def weighed(self, path: str, shares: tuple[float | None, ...]) -> Weighed:
        """Return what they say over the true weight."""
        if (path, shares) not in self._weighed:
            checks = self.checks(shares)
            self._weighed[path, shares] = true_weight.weigh(checks.museum, self.vehicle, path, checks)
        return self._weighed[path, shares]

    @property
    def middle(self) -> tuple[float, ...]:
        """All blanks filled in the middle of their ranges."""
        return (0.5,) * len(self.blanks)

    def needed(self, path: str) -> tuple[Blank, ...]:
        """Return the blanks without which something of a path stays unknown while all the others are filled."""
        if path not in self._needed:
            counted = counted_drivers(self.museum, path)
            least, found = _unknowns(self.screened(path, self.middle), counted), []
            beside = self._beside(path)
            for number, blank in enumerate(self.blanks):
                if not beside.isdisjoint(blank.rows):
                    continue
                without = (*self.middle[:number], None, *self.middle[number + 1 :])
                if _unknowns(self.screened(path, without), counted) > least:
                    found.append(blank)
            self._needed[path] = tuple(found)
        return self._needed[path]

    def _beside(self, path: str) -> set[Any]:
        """Return the legs, and bridges on them, that no stage of a path runs over: they tell nothing of it."""
        museum = self.museum
        over = {leg.leg for stage in museum.stages_of(path) for leg in museum.over(stage).legs}
        return {row for row in (*museum.legs, *museum.bridges) if row.leg not in over}

    def with_own(self, own: Sequence[Blank], shares: Sequence[float]) -> tuple[float, ...]:
        """Return the shares of all blanks: a path's own as given, the others in the middle."""
        of = {id(blank): share for blank, share in zip(own, shares, strict=True)}
        return tuple(of.get(id(blank), 0.5) for blank in self.blanks)


def _unknowns(screening: Screening, counted: frozenset[str]) -> int:
    """Return how many gates nobody can tell, and how many of the amounts that some row of the path counts."""
    gates = sum(finding.status == "unknown" for finding in screening.findings)
    return gates + sum(amount is None and driver_of(name) in counted for name, amount in screening.amounts.items())


def counted_drivers(museum: Museum, path: str) -> frozenset[str]:
    """Return the drivers that rows of a path name, and the price rows of its cost lines."""
    columns = {"cost_lines": ("driver", "times", "load_weight"), "tasks": ("needs",), "risks": ("needs", "for_each"),
               "gates": ("needs",)}  # fmt: skip
    named = {getattr(row, column) for table, of in columns.items() for row in museum.of_path(table, path) for column in of}
    named |= {driver for row in museum.of_path("tasks", path) for driver in row.per}
    prices = (row for line in museum.of_path("cost_lines", path) for row in museum.rates_of(line.rate))
    return frozenset(named | {row.least_for for row in prices}) - {None}


@dataclass(frozen=True)
class Supposed:
    """One path of one unit as its unknowns would typically turn out."""

    waits_for: tuple[OpenQuestion, ...]  # all that it waits for
    work: Work | None = None  # what it needs in every trial; None where something it waits for has nothing typical
    # lowest and highest chance to be off the site in time, gates met, by what is found
    chance: tuple[float, float] = (0.0, 1.0)
    chance_of_gates: float = 1.0  # highest chance that its gates are met, whenever it is off the site


@dataclass(frozen=True)
class Supposing:
    """One unit over what is typical of its unknowns: its worlds, what is set, and the draws."""

    worlds: Worlds
    settings: Mapping[str, float]
    samples: Samples
    memo: Ask

    @classmethod
    def of(cls, museum: Museum, vehicle: str, settings: Mapping[str, float], samples: Samples, memo: Ask) -> Supposing:
        """Return the unit's worlds: the same ones as long as no table and no date changes."""
        memo = Memo() if memo is afresh else memo
        tables = tuple(getattr(museum, field.name) for field in dataclasses.fields(museum)[2:])
        scenario = museum.scenario
        known = Made((tables, scenario.units, scenario.start, scenario.deadline), museum)
        # What it keeps was made with this very memo.
        return cls(memo(Worlds, known, vehicle, Made((), memo)).value, settings, samples, memo)

    def path(self, path: str, findings: Sequence[Finding]) -> Supposed:
        """Return a path over the typical ranges of what it waits for.

        Parameters
        ----------
        findings : sequence of Finding
            What its gates found as the tables stand.
        """
        worlds, unknown = self.worlds, [f for f in findings if f.status == "unknown"]
        known = worlds.screened(path, worlds.middle).findings if worlds.blanks else ()
        told = {f.gate.gate for f in known if f.status != "unknown"}
        left = [f for f in unknown if f.gate.gate not in told]
        own = worlds.needed(path)
        opened = [f.gate.signer for f in unknown if f.gate.gate in told]
        met = {f.gate.gate: supposing.chance_met(worlds.museum, worlds.vehicle, f.gate) for f in left}
        waits_for = (*(self._of_blank(each, opened) for each in own), *(_of_gate(f, met[f.gate.gate]) for f in left))
        stops = [f for f in left if f.gate.kind == "hard_stop"]
        if not waits_for or any(met[f.gate.gate] is None for f in stops):
            return Supposed(waits_for)
        asked = tuple(dict.fromkeys((f.gate.fact or f.gate.check or f.gate.rests_on, met[f.gate.gate]) for f in stops))
        return Supposed(waits_for, *self._over_ranges(path, own, asked))

    def _over_ranges(
        self, path: str, own: Sequence[Blank], asked: tuple[tuple[str, float], ...]
    ) -> tuple[Work, tuple[float, float], float]:
        """Return what a path needs over the ranges of its own blanks, and its chances at the worst and best of them."""
        seed, trials = self.samples.seed, self.samples.trials
        spread = [self._in_world(path, self.worlds.with_own(own, shares)) for shares in supposing.spread(seed, own)]
        ends = [self._in_world(path, self.worlds.with_own(own, shares)) for shares in supposing.ends(own)]
        which = self.memo(supposing.world_of_each if own else _in_the_one, seed, trials)
        stopped = tuple(number for number, (_, met, _) in enumerate(spread) if met is None)
        unmet = self.memo(supposing.found_unmet, seed, trials, which, stopped, asked)
        gates, chances = ([world[of] or 0.0 for world in (*spread, *ends)] for of in (1, 2))
        work = supposing.among([each for each, *_ in spread], which, unmet, self.memo)
        return work, (0.0 if asked else min(chances), max(chances)), max(gates)

    def _in_world(self, path: str, shares: tuple[float, ...]) -> tuple[Work, float | None, float]:
        """Return what a path needs in one museum, its chance of gates there, None at a hard stop, and that in time."""
        memo, samples, museum = self.memo, self.samples, self.worlds.checks(shares).museum
        weighed = self.worlds.weighed(path, shares)
        work = true_weight.work(museum, self.worlds.vehicle, path, samples, weighed, self.settings, memo)
        findings = true_weight.that_apply(weighed.stated.findings, work)
        if any(f.status == "fail" and f.gate.kind == "hard_stop" for f in findings):
            return work, None, 0.0
        off_site = durations.scheduled(museum, path, work, samples, memo=memo).off_site
        deadline = simulation.day_number(museum, museum.scenario.deadline)
        in_time = 0.0 if off_site is None else memo(_share_by, off_site, deadline).value
        light = 1.0 if work.too_heavy is None else float(np.mean(~work.too_heavy))
        met = light * float(np.prod([1 - f.refusal for f in findings if f.status == "open"]))
        return work, met, in_time * met

    def _of_blank(self, blank: Blank, signers: Sequence[str]) -> OpenQuestion:
        who = _MEASURES if blank.table in _OF_THE_UNIT or not signers else signers[0]
        typical = f"{blank.title}: {blank.range_in_words(self.worlds.museum, self.worlds.vehicle)}"
        return OpenQuestion(blank.title, blank.find, who, typical)


def _of_gate(finding: Finding, met: float | None) -> OpenQuestion:
    typical = "" if met is None else f"{finding.gate.title}: met in {met:.0%} of such cases"
    return OpenQuestion(finding.gate.title, finding.find, finding.gate.signer, typical)


def _share_by(off_site: np.ndarray, day: int) -> float:
    return float(np.mean(off_site <= day))


def _in_the_one(seed: int, trials: int) -> np.ndarray:
    return np.zeros(trials, int)


def amounts_unknown(drivers: Sequence[str]) -> tuple[OpenQuestion, ...]:
    """Return what a path waits for of which nobody knows how much it needs."""
    return tuple(OpenQuestion(name.replace("_", " "), "enter it in quantities.csv", _COUNTS) for name in drivers)
