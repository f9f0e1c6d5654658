"""What was billed and on what days it came, against what the museum written before it says."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from tests.reference.real_moves.museums import TRIALS, UNIT, museum_of

#: What a bill can be for -> the phases of cost lines and lines beside them that it holds.
_HAUL = ("body_haul", "trailer_mobilization", "chains", "trucks_by_lowboy", "body_permits", "superload_permit",
         "truck_permits", "local_permits", "pilot_cars", "police", "wires", "route_survey", "ramp_and_winch", "mobilization",
         "transporter_lines", "short_line_handling", "short_line_crew", "class_one_minimum", "class_one_mileage",
         "special_train", "special_train_mileage", "exception_fee", "riders", "flat_car_hire", "positioning",
         "dimensional_minimum", "dimensional_mileage", "clearance_files", "trailer_detention", "car_detention")  # fmt: skip
_LIFT = ("crane_calls", "crane_hours", "rigging_crew", "lift_plans", "mats_and_ground", "spreader", "jack_and_slide",
         "rigging_engineer", "crane_standby")  # fmt: skip
SCOPES = {"haul": _HAUL, "haul and loading": (*_HAUL, *_LIFT)}
#: Only these count as hits or misses; what was planned, asked for or said beforehand is shown apart.
JUDGED = ("bill", "date")


@dataclass(frozen=True)
class Told:
    """One figure of a case beside what the museum says of it."""

    case: str
    figure: str
    kind: str  # bill, date, estimate, quote or goal
    unit: str  # USD or days
    actual: float
    p10: float
    p50: float
    p90: float

    @property
    def inside(self) -> bool:
        return self.p10 <= self.actual <= self.p90

    @property
    def residual(self) -> float:
        """ln(actual / P50)."""
        return math.log(self.actual / self.p50)

    @property
    def half(self) -> str:
        return "odd" if int(self.case[2:]) % 2 else "even"


def told(case: Mapping[str, Any], folder: Path) -> tuple[Comparison, PathResult, list[Told]]:
    """Return the answer of a case's museum, its path and each figure beside it."""
    museum = museum_of(case, folder)
    answer = compare_paths(museum, UNIT, case.get("amounts"), samples=simulation.draw(museum, trials=TRIALS))
    result = answer.path(case["path"])
    assert not (case.get("figures") and result.trials.unknown), f"{case['id']}: unknown {result.trials.unknown}"
    figures = []
    for figure in case.get("figures", ()):
        money = figure["kind"] != "date" and "usd" in figure
        found = _money(museum, result, figure) if money else _days(museum, result, figure)
        p10, p50, p90 = (float(np.quantile(found, share)) for share in (0.1, 0.5, 0.9))
        actual = float(figure["usd"] if money else figure["days"])
        unit = "USD" if money else "days"
        figures.append(Told(case["id"], figure["of"], figure["kind"], unit, actual, p10, p50, p90))
    return answer, result, figures


def _money(museum: Museum, result: PathResult, figure: Mapping[str, Any]) -> np.ndarray:
    """Return the cost of what a figure is for, in the money of its year."""
    trials, scope = result.trials, SCOPES.get(figure["of"])
    lines = [cost for cost in trials.lines if scope is None or cost.line.line in scope]
    lines = [cost for cost in lines if cost.line.line not in figure.get("without", ())]
    tasks = {cost.line.task for cost in lines}
    risks = [usd for risk, usd in trials.risk_cost_usd.items() if trials.risk_tasks[risk] in tasks]
    # Each line is in the money of the year in which its task ends: from there to the figure's year by consumer prices.
    days = int(np.median(np.concatenate([trials.dates.finish[task] for task in tasks])))
    paid = (museum.scenario.start + dt.timedelta(days=days)).year
    index = {row.year: row.value for row in museum.price_indexes if row.price_index == "consumer_prices"}
    return sum((*(cost.cost_usd for cost in lines), *risks), np.zeros(TRIALS)) * (index[figure["year"]] / index[paid])


#: Tasks in which hands are laid on the unit to move it: the first of them that a path has.
_LOADING = ("lift_and_load", "winch_on", "jack_and_load", "lift_on", "move")
#: The task with which it stands where it is going.
_UNLOADING = {"trailer": "lift_off", "roll_on": "roll_off", "transporter": "slide_off", "flat_car": "lift_off",
              "own_wheels": "move"}  # fmt: skip


def _days(museum: Museum, result: PathResult, figure: Mapping[str, Any]) -> np.ndarray:
    """Return the days between two events, at least 1: the day on which both fall counts."""
    trials, path = result.trials, result.path
    first, last = figure["of"].split(" -> ")
    return np.maximum(_event(museum, trials, path, last) - _event(museum, trials, path, first), 1)


def _event(museum: Museum, trials: simulation.PathTrials, path: str, event: str) -> np.ndarray:
    finish = trials.dates.finish
    match event:
        case "notice":
            return np.zeros(TRIALS)
        case "decision":
            return finish["committee_decision"]
        case "money":
            return finish["money_in_hand"]
        case "appeal":
            return trials.dates.ready["money_in_hand"]
        case "load":
            start = np.datetime64(museum.scenario.start)  # the next weekday, as nobody begins on a Sunday
            task = next(each for each in _LOADING if each in trials.dates.ready)
            first = np.busday_offset(start + trials.dates.ready[task], 0, roll="forward")
            return (first - start).astype(int)
        case "off site":
            return trials.off_site
        case "arrived":
            return trials.arrived
        case "unload":
            return finish[_UNLOADING[path]]
    raise AssertionError(f"no event {event}")


def causes(case: Mapping[str, Any], answer: Comparison, result: PathResult) -> list[list[str]]:
    """Return for each thing that went wrong whether a row of the museum names it, that a planner would have read before.

    A row names it where the path has it and it applies: a task that takes days, a risk or cost line that is priced, a gate
    that is asked.
    """
    trials = result.trials
    told = {
        "tasks": {task for task, days in trials.dates.finish.items() if (days > trials.dates.ready[task]).any()},
        "risks": set(trials.risks), "cost_lines": {cost.line.line for cost in trials.lines},
        "gates": {finding.gate.gate for finding in result.findings},
    }  # fmt: skip
    rows = []
    for cause in case["went_wrong"]:
        named = [row for row in cause["named_by"] if row.split("/")[1] in told[row.split("/")[0]]]
        missing = ", ".join(row for row in cause["named_by"] if row not in named)
        foreseen = "yes" if named else "no"
        rows.append([case["id"], answer.decision.verdict, result.status, cause["what"], foreseen, ", ".join(named), missing])
    return rows


def sign_test(misses: Sequence[Told]) -> float:
    """Return the two-sided chance of so uneven a split of misses below P10 and above P90, were both as likely."""
    above, count = sum(each.actual > each.p90 for each in misses), len(misses)
    tail = sum(math.comb(count, k) for k in range(min(above, count - above) + 1)) / 2**count
    return min(1.0, 2 * tail)


def table(figures: Sequence[Told]) -> str:
    """Return the hit rates, median ratio and spread of money and of time, figure by figure first."""
    out = [f"{'case':6}{'half':6}{'kind':10}{'figure':28}{'actual':>10}{'P10':>10}{'P50':>10}{'P90':>10}{'ln':>8}  inside"]
    for each in sorted(figures, key=lambda told: (told.unit, told.kind not in JUDGED, told.case)):
        numbers = "".join(f"{number:10,.0f}" for number in (each.actual, each.p10, each.p50, each.p90))
        inside = ("yes" if each.inside else "no") if each.kind in JUDGED else "apart"
        out.append(f"{each.case:6}{each.half:6}{each.kind:10}{each.figure[:27]:28}{numbers}{each.residual:8.2f}  {inside}")
    for unit, word in (("USD", "money"), ("days", "time")):
        for half in ("all", "odd", "even"):
            out.append(_summary(word, half, [t for t in figures if t.unit == unit and half in ("all", t.half)]))
    for figure in dict.fromkeys(each.figure for each in figures if each.kind in JUDGED):
        out.append(_summary(figure, "all", [each for each in figures if each.figure == figure]))
    return "\n".join(out)


def _summary(word: str, half: str, figures: Sequence[Told]) -> str:
    judged = [each for each in figures if each.kind in JUDGED]
    if not judged:
        return f"{word}, {half}: nothing judged"
    residuals = np.array([each.residual for each in judged])
    inside = sum(each.inside for each in judged)
    misses = [each for each in judged if not each.inside]
    above = sum(each.actual > each.p90 for each in misses)
    tool = np.median([math.log(each.p90 / each.p10) / 2.563 for each in judged])
    return (f"{word}, {half}: {inside} of {len(judged)} inside P10 to P90, {len(misses) - above} below, {above} above; "
            f"median actual/P50 {math.exp(np.median(residuals)):.2f}, spread of ln {np.std(residuals):.2f}, "
            f"median sigma of the tool {tool:.2f}")  # fmt: skip
