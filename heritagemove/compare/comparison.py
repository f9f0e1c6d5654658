"""Compare the relocation paths of one unit: screen, price and date each, then decide."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping
from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Finding
from heritagemove.compare import decision
from heritagemove.compare.carry_over import CarryOver
from heritagemove.compare.results import Comparison, DateSpread, PathResult, Spread
from heritagemove.museum.drivers import read_settings
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation, true_weight
from heritagemove.trials.refusals import branch
from heritagemove.trials.schedule import critical_share
from heritagemove.trials.simulation import PathTrials, Samples, Work
from heritagemove.units.words import show_chance


def compare_paths(
    museum: Museum,
    vehicle: str,
    settings: Mapping[str, Any] | None = None,
    samples: Samples | None = None,
    previous: Comparison | None = None,
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
    previous : Comparison, optional
        What was compared before: its checks are taken over where nothing they look at has changed. The
        answer is the same as without, and sooner there.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        For an unknown unit or driver, or a setting out of range.
    """
    amounts = read_settings(settings)
    museum.vehicle(vehicle)
    samples = samples or simulation.draw(museum)
    base, known = museum, CarryOver.of(previous, museum, vehicle, amounts, samples)
    museum, direct = _set(museum, vehicle, amounts)
    ordered = sorted(museum.paths, key=lambda row: row.number)
    if known.changed is not None:
        museum = known.previous.museum
    weighed = known.weighed or {row.path: true_weight.weigh(museum, vehicle, row.path) for row in ordered}
    alone = tuple(
        known.result(row.path)
        or _path_result(museum, vehicle, row.path, direct, samples, weighed[row.path], known.dated(row.path))
        for row in ordered
    )
    results = tuple(_with_branch(museum, result, alone, samples, known) for result in alone)
    choice = decision.choose(museum, results)
    fallback = decision.fall_back(museum, results, choice)
    decide_by, switch_by = _days(museum, choice, fallback, samples, known)
    return Comparison(
        museum=museum,
        vehicle=vehicle,
        settings=amounts,
        samples=samples,
        paths=results,
        choice=choice and choice.path,
        fallback=fallback and fallback.path,
        decide_by=decide_by,
        switch_by=switch_by,
        sentence=decision.in_words(museum, vehicle, choice, fallback, decide_by, switch_by),
        base=base,
        weighed=weighed,
    )


def price_path(
    museum: Museum,
    vehicle: str,
    path: str,
    settings: Mapping[str, Any] | None = None,
    samples: Samples | None = None,
    previous: Comparison | None = None,
) -> PathResult:
    """Price and date one path of one unit, its gates met and no fallback played out: a fraction of a comparison.

    Parameters and Raises as for :func:`compare_paths`.
    """
    amounts = read_settings(settings)
    samples = samples or simulation.draw(museum)
    known = CarryOver.of(previous, museum, vehicle, amounts, samples)
    museum, direct = _set(museum, vehicle, amounts)
    weighed = known.weighed[path] if known.weighed else true_weight.weigh(museum, vehicle, path)
    return _path_result(museum, vehicle, path, direct, samples, weighed, known.dated(path))


def _days(
    museum: Museum, choice: PathResult | None, fallback: PathResult | None, samples: Samples, known: CarryOver
) -> tuple[dt.date | None, dt.date | None]:
    """Return the last days to commit to the choice and to turn to its fallback; known ones where no date moved."""
    before = known.previous if known.changed is not None else None
    if before and choice and before.choice == choice.path and choice.trials.dates is before.path(choice.path).trials.dates:
        decide_by = before.decide_by
    else:
        decide_by = choice and decision.latest_decision(museum, choice, samples)
    if (
        before
        and fallback
        and before.fallback == fallback.path
        and fallback.trials.dates is before.path(fallback.path).trials.dates
    ):
        return decide_by, before.switch_by
    return decide_by, fallback and decision.latest_start(museum, fallback, samples)


def _set(museum: Museum, vehicle: str, amounts: Mapping[str, float]) -> tuple[Museum, dict[str, float]]:
    """Return the museum with a set distance and weight in its tables, and the amounts that are set directly."""
    if "haul_distance" in amounts:
        museum = museum.with_haul_distance(amounts["haul_distance"])
    if "weight" in amounts:
        museum = museum.with_weight(vehicle, amounts["weight"])
    return museum, {name: amount for name, amount in amounts.items() if name not in ("haul_distance", "weight")}


def _path_result(
    museum: Museum,
    vehicle: str,
    path: str,
    settings: Mapping[str, float],
    samples: Samples,
    weighed: true_weight.Weighed,
    dated: PathResult | None = None,
) -> PathResult:
    """Price and date one path; `dated` is what is known of it where only its cost can have changed."""
    screening = weighed.stated
    needs = true_weight.work(museum, vehicle, path, samples, weighed, settings)
    trials = simulation.simulate(museum, path, needs, samples, dates=dated and dated.trials.dates)
    heavy = 0.0 if needs.too_heavy is None else float(np.mean(needs.too_heavy))
    findings = tuple(f for f in screening.findings if f.gate.needs is None or _needed(needs, f.gate.needs))
    row = museum.path(path)
    notes = (*screening.notes, *_axle_note(museum, vehicle, row, settings))
    status, reasons = _status(row, findings, trials, _overweight(findings, weighed, heavy), notes)
    cost = None if trials.cost_usd is None else Spread.of(trials.cost_usd)
    if dated:
        return dataclasses.replace(
            dated, cost=cost, status=status, reasons=reasons, work=needs, trials=trials, branch=None,
            cost_with_fallback=None, chance_with_fallback=None,
        )  # fmt: skip
    leaves = simulation.milestone(museum, path, "off_site")
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    off_site = trials.off_site
    return PathResult(
        path=path,
        number=row.number,
        title=row.title,
        saves=row.saves,
        status=status,
        reasons=reasons,
        flips=_flips(findings),
        findings=findings,
        cost=cost,
        off_site=None if off_site is None else _dates(museum, off_site),
        closed=_dates(museum, trials.closed),
        off_site_days=None if off_site is None else Spread.of(off_site),
        chance_by_deadline=None if off_site is None else float(np.mean(off_site <= deadline)),
        chance_of_gates=_chance_of_gates(findings, heavy),
        chance_too_heavy=heavy,
        critical=critical_share({t.task: t.after for t in museum.of_path("tasks", path)}, trials.dates, leaves)
        if leaves
        else {},
        branch=None,
        cost_with_fallback=None,
        chance_with_fallback=None,
        work=needs,
        trials=trials,
        currency=museum.scenario.currency,
    )


def _with_branch(
    museum: Museum, result: PathResult, alone: tuple[PathResult, ...], samples: Samples, known: CarryOver
) -> PathResult:
    """Play the gates of a path that could be chosen, with the fallback that a refusal would start."""
    if all(result is not possible for possible in decision.able(alone)):
        return result
    second = decision.fall_back(museum, alone, result)
    before = known.previous.path(result.path).branch if known.changed is not None else None
    second_dates = None
    if before and second and before.second and before.fallback == second.path:
        if result is known.result(result.path) and second is known.result(second.path):
            return result
        if known.dated(result.path) and known.dated(second.path):
            second_dates = before.second.dates
    fallback = second and (second.path, second.work, second.findings)
    played = branch(museum, result.trials, result.findings, samples, fallback, second_dates)
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    return dataclasses.replace(
        result,
        branch=played,
        cost_with_fallback=Spread.of(played.cost_usd),
        chance_with_fallback=float(np.mean(played.saved & (played.off_site <= deadline))),
    )


def _axle_note(museum: Museum, vehicle: str, path: Any, settings: Mapping[str, float]) -> tuple[str, ...]:
    """Say that an axle count which differs from the survey moves money and days, not loads and bridges."""
    surveyed = len(museum.axles_of(vehicle))
    axles = settings.get("axles", surveyed)
    if axles == surveyed or path.carried_on not in ("own_wheels", "other_wheels"):
        return ()
    return (f"Priced with {axles:.0f} axles; loads and bridges are checked on the {surveyed} surveyed.",)


def _needed(needs: Work, driver: str) -> bool:
    amount = needs.amounts.get(driver)
    return amount is None or bool(np.any(np.asarray(amount) > 0))


def _dates(museum: Museum, days: np.ndarray) -> DateSpread:
    spread = Spread.of(days)
    values = (spread.p10, spread.p50, spread.p80, spread.p90, spread.mean)
    return DateSpread(*(simulation.date_of(museum, value) for value in values))


def _status(
    row: Any, findings: tuple[Finding, ...], trials: PathTrials, overweight: tuple[str, ...], notes: tuple[str, ...]
) -> tuple[str, tuple[str, ...]]:
    blocked = [f.reason for f in findings if f.status == "fail" and f.gate.kind == "hard_stop"]
    unknown = [f.reason for f in findings if f.status == "unknown" and f.gate.kind == "hard_stop"]
    unknown += [f"Unknown: {name.replace('_', ' ')}." for name in trials.unknown]
    cautions = [f.reason for f in findings if f.status == "marginal" or (f.status != "pass" and f.gate.kind == "caution")]
    cautions += [f.reason for f in findings if f.status == "open" and f.refusal >= decision.LIKELY_REFUSAL]
    cautions += overweight
    if row.mode == "yard":
        cautions.append("Interim only: the way on to the museum is not in its cost.")
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
    failed = true_weight.failed_stops(weighed)
    titles = ", ".join(f.gate.title for f in findings if f.gate.gate in failed)
    return (f"A {show_chance(heavy)} chance that it is heavier than stated and fails: {titles}. Weigh it.",)


def _chance_of_gates(findings: tuple[Finding, ...], heavy: float) -> float | None:
    hard = [f for f in findings if f.gate.kind == "hard_stop"]
    if any(f.status == "fail" for f in hard):
        return 0.0
    if any(f.status == "unknown" for f in hard):
        return None
    return float(np.prod([1 - f.refusal for f in findings])) * (1 - heavy)


def _flips(findings: tuple[Finding, ...]) -> str:
    failing = [f for f in findings if f.status == "fail" and f.margin]
    if failing:
        return "; ".join(f"Clears if {f.margin}" for f in failing[:2]) + "."
    if any(f.status == "fail" and f.gate.kind == "hard_stop" for f in findings):
        return "No measured amount would clear it."
    tight = [f for f in findings if f.check and f.check.utilization and f.status in ("pass", "marginal") and f.margin]
    if tight:
        worst = max(tight, key=lambda f: f.check.utilization)
        return f"Blocked if {worst.margin}." if worst.gate.kind == "hard_stop" else f"Worse if {worst.margin}."
    asked = [f for f in findings if f.status == "open" and f.refusal > 0]
    return f"Refusal of: {max(asked, key=lambda f: f.refusal).gate.title}." if asked else ""
