"""Everything the page says, as plain data: the page is rendered from it, and the machine-readable twin is it."""

from __future__ import annotations

import dataclasses
import datetime as dt
import shlex
from collections import Counter
from collections.abc import Mapping, Sequence
from importlib import metadata
from pathlib import Path
from typing import Any

import numpy as np

from heritagemove.answers.budget_steps import budget_steps
from heritagemove.answers.criteria import value_paths
from heritagemove.answers.starter_values import starter_counts
from heritagemove.answers.uncertainty_shares import prices_of, quantity_row
from heritagemove.compare import decision
from heritagemove.compare.differences import differences
from heritagemove.compare.missing import unknown_reasons
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.compare.waiting import one_meeting_later
from heritagemove.following.tracking import Forecast
from heritagemove.hand_over.page.following import following_content, forecasts_of
from heritagemove.hand_over.page.load_lines import load_lines
from heritagemove.hand_over.page.paper import BoardPaper, paper
from heritagemove.hand_over.page.plain import named, picked, row_in
from heritagemove.hand_over.page.plan import gates_content, plan, refusals_in_words
from heritagemove.hand_over.page.site import Site, site_content
from heritagemove.hand_over.page.site_paper import site_paper
from heritagemove.museum.bases import Bases
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import show_measure
from heritagemove.units.units import show
from heritagemove.units.words import show_chance, show_date, show_rounded

#: Name and version of the twin's form; data/OUTPUT.md documents it. A change of meaning raises the number.
SCHEMA = "heritagemove page 2"


def content(
    comparisons: Sequence[Comparison],
    made_on: dt.date | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
    forecasts: Mapping[str, tuple[Forecast, ...]] | None = None,
    full: bool = False,
) -> dict[str, Any]:
    """Return what the page of one or more units says.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One per unit, all of one museum.
    made_on : datetime.date, optional
        Date to print; today by default. Nothing else changes between two runs on the same inputs.
    scenarios : mapping of str to Comparison, optional
        Saved scenarios by name, each set beside the answer for the same unit.
    site : Site, optional
        The units together, as :func:`heritagemove.hand_over.page.site.site_of` finds them.
    forecasts : mapping of str to tuple of Forecast, optional
        By unit, what follows from its books; made here when left out.
    full : bool
        Whether the annex is the full one: every limit, input, criterion and path.

    Returns
    -------
    dict
        Numbers, texts, ISO dates, lists and dicts only.
    """
    first = comparisons[0]
    museum, scenario = first.museum, first.museum.scenario
    known = {c.vehicle: forecasts_of(c) for c in comparisons} if forecasts is None else forecasts
    dates = {name: getattr(scenario, name).isoformat() for name in ("as_of", "start", "deadline", "forced_scrap")}
    units = [
        _unit(comparison, scenarios or {}, known[comparison.vehicle], full)
        | {"following": following_content(known[comparison.vehicle])}
        for comparison in comparisons
    ]
    papers = {unit["vehicle"]: BoardPaper(**unit["paper"]) for unit in units}
    return {
        "schema": SCHEMA,
        "museum": {
            **picked(scenario, "name", "place", "site", "owner", "currency", "price_year"),
            **dates,
            "confidence": scenario.simulation.confidence,
        },
        "together": site and site_content(site) | {"paper": dataclasses.asdict(site_paper(site, comparisons, papers))},
        "units": units,
        "correlation": _strengths(museum),
        "limits": [_limit(row) for row in museum.limits] if full else [],
        "cautions": [
            picked(row, "topic", "text", "source") | {"everywhere": "every" in row.screens} for row in museum.cautions
        ],
        "made": {
            "version": metadata.version("heritagemove"),
            "settings": settings_in_words(first),
            "spread": first.spread_in_words,
            **picked(first.samples, "seed", "trials"),
            "digest": first.base.digest(),
            "annex": "full" if full else "short",
            "command": _command(comparisons, bool(scenarios), full),
            "folder": _folder(first),
            "made_on": (made_on or dt.date.today()).isoformat(),
            "dated": _dated(made_on or dt.date.today(), museum, known),
        },
    }


def _unit(
    comparison: Comparison, scenarios: Mapping[str, Comparison], forecasts: tuple[Forecast, ...], full: bool
) -> dict[str, Any]:
    museum = comparison.museum
    roles = (("choice", comparison.choice), ("fallback", comparison.fallback))
    plans = [plan(comparison, comparison.path(path), role, full) for role, path in roles if path]
    inputs = _inputs(comparison, [comparison.path(path) for _, path in roles if path])
    starter = sum(row["starter"] for row in inputs)
    counted = dict(zip(("starter", "prices"), starter_counts(comparison.base).get("rates", ()), strict=False))
    rests_on = plans[0]["basis"] | counted if comparison.choice else None
    counted = Counter(row["basis"] for row in inputs)
    return {
        "vehicle": comparison.vehicle,
        "name": museum.vehicle(comparison.vehicle).name,
        **{name: value for name, value in comparison.as_json().items() if name in _DECISION},
        "paper": dataclasses.asdict(paper(comparison, rests_on, forecasts)),
        "budget": _budget(comparison),
        "would_change_it": _would_change(comparison),
        "criteria": _criteria(comparison) if full else None,
        "scenarios": [
            _scenario(name, comparison, other) for name, other in scenarios.items() if other.vehicle == comparison.vehicle
        ],
        "facts": _facts(comparison),
        "seen": _seen(comparison),
        "loads": load_lines(museum, comparison.vehicle, [comparison.path(path) for _, path in roles if path]),
        "gates": [
            gates_content(comparison, result)
            for result in comparison.paths
            if result.findings and (full or result.path in (comparison.choice, comparison.fallback))
        ],
        "refusals": refusals_in_words(comparison),
        "plans": plans,
        "inputs": inputs,
        "starter": starter,
        "basis": [{"basis": name, "inputs": count, "share": count / len(inputs)} for name, count in counted.most_common()],
        "unknown": [
            {"number": result.number, "reason": reason} for result in comparison.paths for reason in unknown_reasons(result)
        ],
    }


_DECISION = ("paths", "choice", "fallback", "decide_by", "switch_by", "sentence", "decision")


def _budget(comparison: Comparison) -> dict[str, Any] | None:
    """Return the budget of the decision step by step; None where there is none."""
    found = budget_steps(comparison)
    return found and {
        "in_words": found.in_words(),
        "steps": [{"what": words, "usd": usd} for words, usd in found.steps()],
        "refused": [picked(case, "title", "share", "mean_usd", "turns_to") for case in found.refused],
    }


def _would_change(comparison: Comparison) -> list[str]:
    """Return in three lines what would turn the decision: engineering, money, time."""
    currency = comparison.museum.scenario.currency
    if comparison.choice is None:
        unknown = [f"{row.what}: {row.find or 'ask or measure'}." for row in comparison.decision.first]
        return [*comparison.decision.why, *unknown]
    choice = comparison.path(comparison.choice)
    lines = [choice.flips] if choice.flips else []
    rivals = [r for r in decision.able(comparison.paths) if r.path != choice.path]
    if rivals:
        rival = min(rivals, key=lambda r: r.cost_with_fallback.mean)
        gap = rival.cost_with_fallback.mean - choice.cost_with_fallback.mean
        cheaper = "more" if gap >= 0 else "less"
        lines.append(
            f"Money: the next cheapest way out, path {rival.number}, {rival.title}, "
            f"costs {show_rounded(abs(gap))} {currency} {cheaper} on average, with a "
            f"{show_chance(rival.chance_with_fallback)} chance in time, each begun at once with one fallback."
        )
    else:
        lines.append("Money: no other path saves it, whatever it costs.")
    later = one_meeting_later(comparison)
    if later:
        day, chance = later
        lines.append(
            f"Time: decided one meeting later, on {show_date(day)}, the chance to be off the site in time is "
            f"{show_chance(chance)} instead of {show_chance(comparison.decision.chance_if_decided_then)}, refusals counted."
        )
    return lines


def _criteria(comparison: Comparison) -> dict[str, Any] | None:
    """Return the decision table by the committee's criteria; None where the museum has none or nothing is valued."""
    table = value_paths(comparison) if comparison.museum.criteria else None
    if table is None or not table.options:
        return None
    return {
        "in_words": table.in_words(),
        "criteria": [
            picked(row, "title", "unit") | {"weight": table.weights[row.criterion], "share": table.shares[row.criterion]}
            for row in table.criteria
        ],
        "options": [
            picked(option, "number", "title", "total")
            | {"values": [option.values[row.criterion] for row in table.criteria], "dominated_by": list(option.dominated_by)}
            for option in sorted(table.options, key=lambda option: -option.total)
        ],
    }


def _scenario(name: str, comparison: Comparison, other: Comparison) -> dict[str, Any]:
    """Return what a saved scenario changes, in words and numbers."""
    best = other.choice and other.path(other.choice)
    return {
        "name": name,
        "settings": settings_in_words(other),
        "choice": best and f"{best.number} {best.title}",
        "p80_usd": best and other.decision.budget.at_confidence,
        "chance": best and other.decision.chance_if_decided_then,
        "decide_by": other.decide_by and other.decide_by.isoformat(),
        "differences": list(differences(comparison, other, ("this page", name))),
    }


def settings_in_words(comparison: Comparison) -> str:
    """Return what is set over the tables, drivers in words; blank where the tables hold."""
    return "; ".join(f"{named(name)}: {_amount(name, value)}" for name, value in comparison.settings.items())


def _facts(comparison: Comparison) -> list[dict[str, str]]:
    vehicle, load = comparison.museum.vehicle(comparison.vehicle), comparison.museum.body(comparison.vehicle)

    system = comparison.museum.scenario.units

    def shown(name: str, unit: str, digits: int = 1, of: Any = vehicle) -> str:
        quantity = getattr(of, name)
        if quantity is not None and system == "SI" and unit != "money":
            return show_measure(quantity, system)
        return "unknown" if quantity is None else show(quantity, None if unit == "money" else unit, digits)

    tolerance = f"± {vehicle.weight_tolerance.magnitude:g} %"
    weight = "unknown" if vehicle.weight is None else f"{shown('weight', 'lb', 0)} {tolerance}"
    tons = "" if system == "SI" else f" ({shown('weight', 'short_ton')})"
    facts = [
        ("Kind", named(vehicle.kind)),
        ("Built", str(vehicle.built)),
        ("Weight as it stands", weight + tons),
        ("Heaviest single load", shown("weight", "lb", 0, load)),
        ("Length", shown("length", "ft")),
        ("Height above rail", shown("height", "ft")),
        ("Width", shown("width", "ft")),
        ("Axles", str(len(comparison.museum.axles_of(comparison.vehicle)))),
        ("Journals", f"{vehicle.journal or 'unknown'} in, {vehicle.journal_position} boxes"),
        ("Bearings", named(vehicle.bearing)),
        ("Brakes", vehicle.brakes),
        ("Couplers and draft gear", vehicle.draft_gear),
        ("Hazards", vehicle.hazards),
        ("Agreed value", shown("insured_value", "money", 0)),
        ("Basis", f"{vehicle.basis}: {vehicle.source}"),
        ("As of", show_date(comparison.museum.scenario.as_of)),
    ]
    return [{"name": name, "value": value} for name, value in facts]


def _seen(comparison: Comparison) -> list[dict[str, Any]]:
    """List what the survey saw of the unit: like findings of several boxes in one row, the unit itself without a place."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for row in comparison.museum.survey:
        if row.vehicle == comparison.vehicle:
            key = _clue(row.clue), named(row.found), row.observed.isoformat(), row.basis, row.source
            rows.setdefault(key, []).append(row.place)
    fields = ("what", "found", "observed", "basis", "source")
    return [
        dict(zip(fields, key, strict=True)) | {"where": ", ".join(place for place in places if place != "vehicle")}
        for key, places in rows.items()
    ]


def _clue(clue: str) -> str:
    return "PCB" if clue == "pcb" else named(clue)[:1].upper() + named(clue)[1:]


def _inputs(comparison: Comparison, results: list[PathResult]) -> list[dict[str, Any]]:
    """List every row whose three-point numbers the choice and its fallback used."""
    museum, said = comparison.museum, Bases(comparison.museum)
    found: dict[tuple[Any, ...], dict[str, Any]] = {}

    def add(kind: str, name: str, row: Any, unit: str, prefix: str = "") -> None:
        columns, table = [prefix + part for part in ("low", "likely", "high")], _TABLES[kind.rpartition(", ")[2]]
        low, likely, high = (getattr(row, column) for column in columns)
        entry = {"kind": kind, "name": name, "low": low, "likely": likely, "high": high, "unit": unit, "range": row.range}
        entry |= picked(said.of(table, row, columns[1]), "basis", "source")
        where = {"row": row_in(table, row), "starter": said.is_starter(table, row, columns)}
        found.setdefault(tuple(entry.values()), entry | where)

    for result in results:
        lines = [entry.line for entry in result.trials.lines if np.any(entry.cost_usd)]
        priced = {row.row_number: row for line in lines for row in prices_of(museum, result, line)}
        for row in (*priced.values(), *museum.rates_of(museum.scenario.holdover_rate)):
            at = "" if row.at_weight is None else f", a load of {show_measure(row.at_weight, museum.scenario.units)}"
            add("price", row.title + at, row, named(row.unit).replace("/", " per "))
        for driver in dict.fromkeys(name for line in lines for name in (line.driver, line.times) if name):
            row = quantity_row(comparison, result.path, driver)
            if row is not None and row.high:  # what this kind of unit has none of is no input of it
                add("quantity", DRIVERS[driver].meaning, row, named(DRIVERS[driver].unit))
        for row in museum.of_path("tasks", result.path):
            more = [f", and {each:g} per {named(DRIVERS[driver].unit)}" for driver, each in row.added_days]
            add("task", row.title, row, "working days" + "".join(more))
        for row in museum.of_path("risks", result.path):
            if row.risk in result.trials.risk_cost_usd:
                chance = f"{row.probability:.0%} risk"
                add(f"{chance}, cost", row.title, row, museum.scenario.currency, "cost_")
                if row.delay_high > 0:
                    add(f"{chance}, delay", row.title, row, "days" if row.stretches else "working days", "delay_")
    return list(found.values())


_TABLES = {"price": "rates", "quantity": "quantities", "task": "tasks", "cost": "risks", "delay": "risks"}


def _limit(row: Any) -> dict[str, Any]:
    same = picked(row, "limit", "title", "value", "unit", "strength", "source", "confirm_with")
    return same | {"as_of": row.as_of and row.as_of.isoformat()}


def _strengths(museum: Museum) -> dict[str, Any]:
    correlation = museum.scenario.correlation
    return picked(correlation, "default", "basis", "source") | {"markets": dict(correlation.markets)}


def _folder(comparison: Comparison) -> str:
    folder = Path(comparison.base.folder)
    return folder.name if folder.is_absolute() else folder.as_posix()


def _dated(made_on: dt.date, museum: Museum, forecasts: Mapping[str, tuple[Forecast, ...]]) -> str:
    """Return the day of the tables and that of the page in one sentence that holds whichever comes first."""
    of_tables = max([museum.scenario.as_of, *(found[-1].on for found in forecasts.values() if found)])
    if made_on >= of_tables:
        return f"The tables stand as of {show_date(of_tables)}; the page was made on {show_date(made_on)}."
    return (
        f"The tables speak for {show_date(of_tables)}, later than the clock of the machine that made the page "
        f"({show_date(made_on)}): they look ahead, or its clock is slow."
    )


def _command(comparisons: Sequence[Comparison], scenarios: bool, full: bool) -> str:
    """Return the command that writes this page again, quoted for a shell; it names no place on this machine."""
    first = comparisons[0]
    words = ["python", "-m", "heritagemove", "report", _folder(first)]
    for comparison in comparisons:
        words += ["--vehicle", comparison.vehicle]
    for name, amount in sorted(first.settings.items()):
        words += ["--set", f"{name}={amount:.12g} {DRIVERS[name].unit}"]
    words += ["--scenarios", "scenarios"] if scenarios else []
    words += ["--annex", "full"] if full else []
    words += [] if first.estimating_error else ["--no-estimating-error"]
    words += ["--seed", str(first.samples.seed), "--trials", str(first.samples.trials), "--out", "page.html"]
    return shlex.join(words)


def _amount(driver: str, amount: float) -> str:
    unit = DRIVERS[driver].unit
    counted = named(unit) + ("" if amount == 1 or unit == "USD" else "s")
    return f"{amount:,g}" if counted == named(driver) else f"{amount:,g} {counted}"
