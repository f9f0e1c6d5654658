"""What the page says of one path: gates, tasks, money, what decides it, risks, cost lines; each with its file and row."""

from __future__ import annotations

from typing import Any

import numpy as np

from heritagemove.answers.basis_shares import basis_shares
from heritagemove.answers.contingency import contingency
from heritagemove.answers.joint_confidence import joint_confidence
from heritagemove.answers.money_tables import PHASE_TITLES
from heritagemove.answers.outside_view import outside_view
from heritagemove.answers.uncertainty_shares import prices_of, quantity_row
from heritagemove.answers.what_if import each_what_if
from heritagemove.answers.whole_cost import whole_cost
from heritagemove.answers.worth_of_quotes import worth_of_quotes
from heritagemove.charts.one_path import mean_by_phase
from heritagemove.checks.gates.screening import Finding
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.hand_over.page.deciding_rows import deciding_rows
from heritagemove.hand_over.page.plain import named, picked, row_in
from heritagemove.museum.drivers import DRIVERS, Driver
from heritagemove.museum.museum import Museum
from heritagemove.trials import sampling_error, simulation
from heritagemove.trials.playing import AS_FOUND
from heritagemove.trials.prices import at_hand
from heritagemove.units.measures import System, show_measure
from heritagemove.units.units import Quantity, show
from heritagemove.whole_site.spending import spending


def plan(comparison: Comparison, result: PathResult, role: str, full: bool = False) -> dict[str, Any]:
    """Return one path as the page and its twin hold it.

    Parameters
    ----------
    role : {"choice", "fallback"}
    full : bool
        Whether the fallback is told as far as the choice, and what one more of each driver costs.
    """
    museum, row = comparison.museum, comparison.museum.path(result.path)
    whole = full or role == "choice"
    worth = worth_of_quotes(comparison, result.path) if whole and result.cost and comparison.estimating_error else None
    return {
        "role": role,
        **picked(result, "path", "number", "title"),
        "summary": row.summary,
        "intervention": museum.intervention(row.path),
        "reversible": museum.reversible(row.path),
        "end_state": row.end_state,
        "tasks": _tasks(museum, result),
        "phases_usd": mean_by_phase(result),
        "totals_usd": result.cost and picked(result.cost, "mean", "p10", "p50", "p80", "p90"),
        "contingency": result.cost and _contingency(comparison, result),
        "outside_view": outside_view(comparison, result.path) if full and result.cost else "",
        "quotes": worth.in_words() if worth else "",
        "whole_cost": _whole_cost(comparison, result),
        "both_hold": _both_hold(comparison, result),
        "months": _months(comparison, result) if whole else None,
        "basis": _basis(comparison, result, worth.titles if worth else ()) if whole and result.cost else None,
        "decides": {on: deciding_rows(comparison, result, on) for on in ("cost", "off_site") if whole and _has(result, on)},
        "what_ifs": [move.in_words() for move in each_what_if(comparison, result.path)] if full and result.cost else [],
        "risks": _risks(museum, result),
        "lines": [_line(comparison, result, cost) for cost in result.trials.lines if np.any(cost.cost_usd)],
    }


def gates_content(comparison: Comparison, result: PathResult) -> dict[str, Any]:
    """Return the gates of one path, hard stops and cautions apart; those of the choice with what follows a refusal."""
    museum = comparison.museum
    rows = [
        (found.gate.kind, gate(found, museum.scenario.units) | _then(comparison, result, found.gate.gate))
        for found in result.findings
    ]
    return {
        **picked(result, "path", "number", "title", "status"),
        "hard_stops": [row for kind, row in rows if kind == "hard_stop"],
        "cautions": [row for kind, row in rows if kind == "caution"],
    }


def _then(comparison: Comparison, result: PathResult, of: str) -> dict[str, str | None]:
    """Return what is done where one question about the choice is refused; None where it is not asked."""
    then = comparison.decision.on_refusal
    if result.path != comparison.choice or of not in then:
        return {"if_refused": None}
    return {"if_refused": f"path {comparison.path(then[of]).number}" if then[of] else "decline, record"}


def refusals_in_words(comparison: Comparison) -> str:
    """Return how many questions about the choice may be refused, and what then; blank where none may."""
    then, said = comparison.decision.on_refusal, []
    for path in dict.fromkeys(sorted(then.values(), key=lambda path: path is None)):
        count = sum(to == path for to in then.values())
        to = f"turn to path {comparison.path(path).number}" if path else "end in declining and recording it"
        said.append(f"{count} {to}")
    survey = " One of them is what the scale and the survey find, which is no gate." if AS_FOUND in then else ""
    return f"{len(then)} answers about the choice may be a no: of these {', '.join(said)}.{survey}" if then else ""


def gate(finding: Finding, system: System) -> dict[str, Any]:
    """Return one gate with what was found: demand against capacity, margin, rule, evidence, signer, expiry."""
    row, check = finding.gate, finding.check
    return {
        "title": row.title,
        "row": row_in("gates", row),
        "status": finding.status,
        "found": finding.found[:1].upper() + finding.found[1:],
        "demand": None if check is None or check.demand is None else _shown(check.demand, system),
        "capacity": None if check is None or check.capacity is None else _shown(check.capacity, system),
        "utilization": check and check.utilization,
        "changes_if": finding.margin,
        "refusal": finding.refusal,
        "rule": row.rule,
        "source": check and check.source,
        "as_of": row.as_of.isoformat(),
        **picked(row, "evidence", "signer"),
        "expires": _iso(row.expires),
    }


def _shown(quantity: Quantity, system: System) -> str:
    return show_measure(quantity, system) if system == "SI" else show(quantity)


def _iso(date: Any) -> str | None:
    return None if date is None else date.isoformat()


def _has(result: PathResult, on: str) -> bool:
    return result.cost is not None if on == "cost" else result.off_site is not None


def _tasks(museum: Museum, result: PathResult) -> list[dict[str, Any]]:
    def finish(row: Any) -> dict[str, str]:
        days = np.percentile(result.trials.dates.finish[row.task] - 1, (50, 80))
        return {
            f"finish_p{percent}": _iso(simulation.date_of(museum, day)) for percent, day in zip((50, 80), days, strict=True)
        }

    return [
        picked(row, "milestone", "who")
        | {"title": museum.titled(row), "row": row_in("tasks", row)}
        | {"calendar": named(row.calendar)}
        | finish(row)
        | {"sets_the_date": result.critical.get(row.task, 0.0), "hands_over": row.hands_over}
        for row in museum.of_path("tasks", result.path)
    ]


def _contingency(comparison: Comparison, result: PathResult) -> dict[str, float]:
    found = contingency(comparison, result.path)
    half_width = sampling_error.half_width_of_percentile(result.trials.cost_usd, 100 * found.confidence)
    names = ("point_usd", "chance_of_point", "p50_usd", "budget_usd", "confidence", "over_point_usd", "over_p50_usd")
    return picked(found, *names) | {"half_width_usd": half_width}


def _whole_cost(comparison: Comparison, result: PathResult) -> dict[str, Any] | None:
    """Return who pays the work, and what comes every year after it; None where the cost is unknown."""
    found = whole_cost(comparison, result.path)
    return found and {
        "in_words": found.in_words(),
        **picked(found, "museum_usd", "donated_usd", "whole_usd", "tax_usd", "rise_usd"),
        "gifts": [picked(gift, "title", "given_by", "mean_usd") for gift in found.gifts],
        "upkeep": [picked(row, "title", "low", "likely", "high", "basis", "source") for row in found.upkeep],
    }


def _both_hold(comparison: Comparison, result: PathResult) -> dict[str, Any] | None:
    """Return what budget and deadline are worth together; None for a path that is no way out."""
    if result.branch is None:
        return None
    return picked(joint_confidence(comparison, result.path), "budget_usd", "in_time", "both")


def _months(comparison: Comparison, result: PathResult) -> dict[str, Any] | None:
    """Return what must be in hand by when; None for a path that is no way out."""
    if result.branch is None:
        return None
    found = spending(comparison, result.path)
    rows = zip(found.months, found.mean_usd, *found.by_then_usd, strict=True)
    return {
        "in_words": found.in_words(),
        "rows": [
            {"month": found.month(n), "mean_usd": float(mean), "p50_usd": float(middle), "careful_usd": float(careful)}
            for n, (_, mean, middle, careful) in enumerate(rows)
        ],
    }


def _basis(comparison: Comparison, result: PathResult, ask_first: tuple[str, ...]) -> dict[str, Any]:
    """Return which share of the money rests on which basis, and which rows are worth a quote."""
    found = basis_shares(comparison, result.path)
    return {
        "quoted": found.quoted_share,
        "lapsed": found.lapsed_share,
        **picked(found.grade.by_definition, estimate_class="title", low_percent="low_widest", high_percent="high_widest"),
        "ask_first": list(ask_first),
        "money": found.money(),
        "in_words": found.judged_in_words(),
    }


def _risks(museum: Museum, result: PathResult) -> list[dict[str, Any]]:
    costs = result.trials.risk_cost_usd
    found = [
        {
            "title": row.title,
            "row": row_in("risks", row),
            "probability": row.mitigated_probability if row.bought else row.probability,
            "mean_cost_usd": float(np.mean(costs[row.risk])),
            **picked(row, "delay_low", "delay_high"),
            "stretches": row.stretches and named(row.stretches),
            **picked(row, "mitigation", mitigation_cost_usd="mitigation_cost"),
            **picked(row, "mitigated_probability", "bought", "owner"),
        }
        for row in museum.of_path("risks", result.path)
        if row.risk in costs
    ]
    return sorted(found, key=lambda risk: -risk["mean_cost_usd"])


def _line(comparison: Comparison, result: PathResult, cost: simulation.LineCost) -> dict[str, Any]:
    """Return one cost line: how much of what at which price, and the rows and sources of both."""
    row, museum = cost.line, comparison.museum
    prices = prices_of(museum, result, row) or museum.price_list(row.rate, at_hand(row, result.work.equipment)).rows
    counted = [(name, quantity_row(comparison, result.path, name)) for name in (row.driver, row.times) if name]
    return {
        "title": row.title,
        "row": row_in("cost_lines", row),
        "phase": PHASE_TITLES[row.phase],
        "driver": ", times ".join(DRIVERS[name].meaning for name, _ in counted),
        "factor": row.factor,
        "quantity": float(np.mean(cost.quantity)),
        "quantity_from": [
            row_in("quantities", found) + f" ({found.basis})" if found else _counted(DRIVERS[name])
            for name, found in counted
        ],
        "price_in": named(prices[0].unit).replace("/", " per "),
        "prices": [
            picked(price, "low", "likely", "high", "basis", "source") | {"row": row_in("rates", price)} for price in prices
        ],
        "mean_usd": float(np.mean(cost.cost_usd)),
        "paid": named(row.payment),
        **picked(row, "basis", "source"),
    }


def _counted(driver: Driver) -> str:
    return "a fixed price" if driver.name == "jobs" else _COUNTED[driver.origin]


#: Where an amount comes from that no row of quantities.csv gives, by the driver's origin.
_COUNTED = {
    "unit": "vehicles.csv",
    "route": "stages.csv, legs.csv",
    "check": "the engineering checks",
    "quantity": "no row: none",
    "rest": "what is left of quantities.csv",
    "task": "days of its task",
}
