"""Compare the relocation paths of one unit: screen, price and date each, then decide."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Checks, Finding
from heritagemove.checks.gates.wiring import SEASON
from heritagemove.compare import decision
from heritagemove.compare.decided import Decision
from heritagemove.compare.flipping import flips_in_words
from heritagemove.compare.likely import likely_sum
from heritagemove.compare.provisional import Supposing, amounts_unknown
from heritagemove.compare.results import Comparison, DateSpread, PathResult, Spread
from heritagemove.compare.verdict import decide
from heritagemove.museum.drivers import read_settings
from heritagemove.museum.memo import Ask, Memo
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.tasks import LEAVING
from heritagemove.trials import durations, simulation, true_weight
from heritagemove.trials.refusals import branch
from heritagemove.trials.schedule import Dates, critical_share
from heritagemove.trials.simulation import PathTrials, Samples, Work
from heritagemove.units.words import show_chance


def compare_paths(
    museum: Museum,
    vehicle: str,
    settings: Mapping[str, Any] | None = None,
    samples: Samples | None = None,
    memo: Ask | None = None,
    standing: Decision | None = None,
) -> Comparison:
    """Compare every path of one unit.

    Parameters
    ----------
    museum : Museum
    vehicle : str
        Id of the unit.
    settings : mapping of str to str, float or Quantity, optional
        Amounts set by driver name, such as ``{"crane_hours": 20, "haul_distance": "120 mile"}``.
    samples : Samples, optional
        Draws made before by :func:`heritagemove.trials.simulation.draw`; made from museum.toml's seed when left out.
    memo : Memo, optional
        Of one who asks more than once: the answer is the same as without, and sooner there. By default one of its own,
        since paths and weights have much in common within one answer too.
    standing : Decision, optional
        Found before: it is played again as the museum is set now, as long as its paths are possible, and not searched anew.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        For an unknown unit or driver, or a setting out of range.
    """
    asked = _Question.of(museum, vehicle, settings, samples, memo)
    museum, base, samples = asked.museum, museum, asked.samples
    ordered = sorted(museum.paths, key=lambda row: row.number)
    weighed = {row.path: asked.weighed(row.path) for row in ordered}
    alone = tuple(asked.result(row.path, weighed[row.path]) for row in ordered)
    able = {result.path for result in decision.able(alone)}
    results = tuple(asked.with_branch(result, alone) if result.path in able else result for result in alone)
    return Comparison(
        museum=museum,
        vehicle=vehicle,
        settings=asked.settings,
        samples=samples,
        paths=results,
        deciding=partial(decide, museum, vehicle, results, samples, asked.memo, asked.likely(weighed), standing),
        base=base,
        weighed=weighed,
    )


def decide_on(museum: Museum, unit: str, settings: Mapping[str, Any] | None = None, trials: int | None = None) -> Comparison:
    """Compare all paths of one unit and say what to do with it, by when and for how much.

    Parameters
    ----------
    unit : str
        Its id in vehicles.csv.
    settings : mapping of str to str, float or Quantity, optional
        Amounts set by driver name, such as ``{"crane_hours": 20, "haul_distance": "120 mile"}``.
    trials : int, optional
        By default as many as museum.toml says.

    Returns
    -------
    Comparison
        It prints its sentence and a line for each path; `to_frame` gives the table.

    Examples
    --------
    >>> import heritagemove as hm
    >>> answer = hm.decide(hm.load("data/tamber_river"), "caboose", {"crane_hours": 20}, trials=300)
    >>> answer.choice
    'roll_on'
    >>> list(answer.to_frame()["number"])
    [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]
    """
    return compare_paths(museum, unit, settings, simulation.draw(museum, trials=trials))


def price_path(
    museum: Museum,
    vehicle: str,
    path: str,
    settings: Mapping[str, Any] | None = None,
    samples: Samples | None = None,
    memo: Ask | None = None,
) -> PathResult:
    """Price and date one path of one unit, its gates met and no fallback played out: a fraction of a comparison.

    Parameters and Raises as for :func:`compare_paths`.
    """
    asked = _Question.of(museum, vehicle, settings, samples, memo)
    return asked.result(path, asked.weighed(path))


def weigh_path(
    museum: Museum,
    vehicle: str,
    path: str,
    settings: Mapping[str, Any] | None,
    samples: Samples,
    memo: Ask | None = None,
) -> true_weight.Weighed:
    """Return the checks of one path of one unit over its true weight, with what is set.

    Parameters and Raises as for :func:`compare_paths`.
    """
    return _Question.of(museum, vehicle, settings, samples, memo).weighed(path)


def _set(museum: Museum, vehicle: str, amounts: Mapping[str, float]) -> tuple[Museum, dict[str, float]]:
    """Return the museum with a set distance and weight in its tables, and the amounts that are set directly."""
    if "haul_distance" in amounts:
        museum = museum.with_haul_distance(amounts["haul_distance"])
    if "weight" in amounts:
        museum = museum.with_weight(vehicle, amounts["weight"])
    return museum, {name: amount for name, amount in amounts.items() if name not in ("haul_distance", "weight")}


@dataclass(frozen=True)
class _Question:
    """What is asked of one unit, and the memo of whoever asks."""

    museum: Museum  # as set
    vehicle: str
    settings: Mapping[str, float]  # all that is set, in the drivers' units
    direct: Mapping[str, float]  # what of it is an amount and no change of the tables
    samples: Samples
    checks: Checks
    memo: Ask

    @classmethod
    def of(
        cls, museum: Museum, vehicle: str, settings: Mapping[str, Any] | None, samples: Samples | None, memo: Ask | None
    ) -> _Question:
        memo = Memo() if memo is None else memo
        amounts = read_settings(settings)
        museum.vehicle(vehicle)
        samples = samples or simulation.draw(museum)
        museum, direct = _set(museum, vehicle, amounts)
        memo.next_answer()
        return cls(museum, vehicle, amounts, direct, samples, Checks(museum, memo), memo)

    @cached_property
    def supposing(self) -> Supposing:
        """The unit over what is typical of what nobody knows of it."""
        return Supposing.of(self.museum, self.vehicle, self.direct, self.samples, self.memo)

    def weighed(self, path: str) -> true_weight.Weighed:
        """Return the checks of a path over the weights that the tolerance allows."""
        return true_weight.weigh(self.museum, self.vehicle, path, self.checks)

    def result(self, path: str, weighed: true_weight.Weighed) -> PathResult:
        """Price and date one path; where it waits for something unknown, over what is typical of it."""
        stated = self._over(path, weighed, None)
        if not stated.saves or stated.status != "unknown":
            return stated
        supposed = self.supposing.path(path, stated.findings)
        waits_for = supposed.waits_for or amounts_unknown(stated.trials.unknown)
        stated = dataclasses.replace(stated, waits_for=waits_for)
        if supposed.work is None:
            return stated
        found = self._over(path, weighed, supposed.work)
        if found.cost is None:
            return stated
        told = "; ".join(each.typical for each in waits_for)
        chance = " to ".join(show_chance(end) for end in supposed.chance)
        reasons = (*stated.reasons, f"Provisional, with a chance of {chance} in time by what is found: {told}.")
        return dataclasses.replace(
            found, status="unknown", reasons=reasons, waits_for=waits_for, provisional=supposed.chance,
            # What is unknown may be open when it is known: it is no surer than the best of what may be found.
            chance_of_gates=min(found.chance_of_gates, supposed.chance_of_gates),
        )  # fmt: skip

    def _over(self, path: str, weighed: true_weight.Weighed, supposed: Work | None) -> PathResult:
        """Price and date one path as the tables stand, or over what is supposed of the unknown."""
        museum, samples, memo = self.museum, self.samples, self.memo
        needs = supposed or true_weight.work(museum, self.vehicle, path, samples, weighed, self.direct, memo)
        trials = simulation.simulate(museum, path, needs, samples, memo=memo)
        heavy = 0.0 if needs.too_heavy is None else float(np.mean(needs.too_heavy))
        findings = tuple(self._now(f, needs) for f in true_weight.that_apply(weighed.stated.findings, needs, memo))
        row = museum.path(path)
        notes = (*weighed.stated.notes, *_axle_note(museum, self.vehicle, museum.stages_of(path), self.direct))
        status, reasons = _status(_stops_at(museum, path), findings, trials, _overweight(findings, weighed, heavy), notes)
        off_site, made, critical = trials.off_site, trials.made, {}
        deadline = simulation.day_number(museum, museum.scenario.deadline)
        if off_site is not None:
            network = tuple((task.task, task.after) for task in museum.of_path("tasks", path))
            leaves = durations.milestone(museum, path, *LEAVING)
            critical = memo(_critical, network, made.dates, leaves).value
        days = None if off_site is None else memo(Spread.of, made.off_site).value
        arrived = None if made.arrived is None else _dates(museum, memo(Spread.of, made.arrived).value)
        return PathResult(
            path=path,
            number=row.number,
            title=row.title,
            saves=row.saves and not museum.interim(path),
            status=status,
            reasons=reasons,
            flipping=partial(flips_in_words, self.checks, museum.vehicle(self.vehicle), findings),
            findings=findings,
            cost=None if trials.cost_usd is None else memo(Spread.of, made.cost).value,
            off_site=days and _dates(museum, days),
            arrived=arrived,
            closed=_dates(museum, memo(Spread.of, made.closed).value),
            off_site_days=days,
            chance_by_deadline=None if off_site is None else float(np.count_nonzero(off_site <= deadline) / len(off_site)),
            chance_of_gates=_chance_of_gates(findings, heavy, needs.unmet),
            chance_too_heavy=heavy,
            critical=critical,
            branch=None,
            cost_with_fallback=None,
            chance_with_fallback=None,
            work=needs,
            trials=trials,
            currency=museum.scenario.currency,
        )

    def _now(self, finding: Finding, needs: Work) -> Finding:
        """Return a finding with everything that the path needs: only then is it told which seasons close it."""
        if finding.gate.check != SEASON:
            return finding
        return self.checks.season(
            finding.gate, lambda driver: None if needs.amounts.get(driver) is None else needs.applies(driver, self.memo)
        )

    def likely(self, weighed: Mapping[str, true_weight.Weighed]) -> Callable[[PathResult], float | None]:
        """Return what tells the sum of the likely values of a path."""
        return lambda result: likely_sum(
            self.museum, self.vehicle, result, weighed[result.path].stated, self.direct, self.samples, self.memo
        )

    def with_branch(self, result: PathResult, alone: tuple[PathResult, ...]) -> PathResult:
        """Play the gates of a path that could be chosen, with the fallback that a refusal would start."""
        museum, samples = self.museum, self.samples
        second = decision.fall_back(museum, alone, result)
        fallback = second and (second.path, second.work, second.findings)
        played = branch(museum, result.trials, result.findings, samples, fallback, self.memo)
        in_time = played.saved & (played.off_site <= simulation.day_number(museum, museum.scenario.deadline))
        return dataclasses.replace(
            result,
            branch=played,
            cost_with_fallback=self.memo(Spread.of, played.made_cost).value,
            chance_with_fallback=float(np.count_nonzero(in_time) / len(in_time)),
        )


def _critical(network: tuple[tuple[str, tuple[str, ...]], ...], dates: Dates, last: str) -> dict[str, float]:
    return critical_share(dict(network), dates, last)


def _axle_note(museum: Museum, vehicle: str, stages: tuple[Any, ...], settings: Mapping[str, float]) -> tuple[str, ...]:
    """Say that an axle count which differs from the survey moves money and days, not loads and bridges."""
    surveyed = len(museum.axles_of(vehicle))
    axles = settings.get("axles", surveyed)
    rolls = any(stage.carried_on in ("own_wheels", "other_wheels") for stage in stages)
    if axles == surveyed or not rolls:
        return ()
    return (f"Priced with {axles:.0f} axles; loads and bridges are checked on the {surveyed} surveyed.",)


def _stops_at(museum: Museum, path: str) -> str:
    """Return the place at which a path ends that is no arrival; blank where it arrives or moves nothing."""
    if not museum.interim(path):
        return ""
    last = museum.stages_of(path)[-1].to_place
    return next(row.title for row in museum.places if row.place == last)


def _dates(museum: Museum, spread: Spread) -> DateSpread:
    values = (spread.p10, spread.p50, spread.p80, spread.p90, spread.mean)
    return DateSpread(*(simulation.date_of(museum, value) for value in values))


def _status(
    stops_at: str, findings: tuple[Finding, ...], trials: PathTrials, overweight: tuple[str, ...], notes: tuple[str, ...]
) -> tuple[str, tuple[str, ...]]:
    blocked = [f.reason for f in findings if f.status == "fail" and f.gate.kind == "hard_stop"]
    unknown = [f.reason for f in findings if f.status == "unknown" and f.gate.kind == "hard_stop"]
    unknown += [f"Unknown: {name.replace('_', ' ')}." for name in trials.unknown]
    cautions = [f.reason for f in findings if f.status == "marginal" or (f.status != "pass" and f.gate.kind == "caution")]
    cautions += [f.reason for f in findings if f.status == "open" and (f.check or f.refusal >= decision.LIKELY_REFUSAL)]
    cautions += [f.reason for f in findings if f.bad]
    cautions += overweight
    if stops_at:
        asked = "Find the way on to the museum and the money for it: neither is in this cost."
        cautions.append(f"Interim only: it ends at {stops_at}. {asked}")
    if blocked:
        return "blocked", tuple(dict.fromkeys(blocked))
    reasons = tuple(dict.fromkeys([*unknown, *cautions, *notes]))
    if unknown:
        return "unknown", reasons
    return ("caution" if cautions else "clear"), reasons


def _overweight(findings: tuple[Finding, ...], weighed: true_weight.Weighed, heavy: float) -> tuple[str, ...]:
    """Say which hard stops the weight within its tolerance would fail, and how likely that is."""
    if heavy == 0:
        return ()
    failed = true_weight.heavier_stops(weighed)
    titles = ", ".join(f.gate.title for f in findings if f.gate.gate in failed)
    chance = "Less than 1%" if heavy < 0.01 else show_chance(heavy)
    return (f"{chance} chance that it is heavier than stated, and too heavy for: {titles}. Weigh it.",)


def _chance_of_gates(findings: tuple[Finding, ...], heavy: float, unmet: np.ndarray | None) -> float | None:
    hard = [f for f in findings if f.gate.kind == "hard_stop"]
    if any(f.status == "fail" for f in hard):
        return 0.0
    if any(f.status == "unknown" for f in hard) and unmet is None:
        return None
    found = 1.0 if unmet is None else float(np.mean(~unmet))
    return float(np.prod([1 - f.refusal for f in findings])) * (1 - heavy) * found
