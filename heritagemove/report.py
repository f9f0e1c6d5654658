"""The read-only page: one self-contained HTML file, rendered from results and nothing else."""

from __future__ import annotations

import base64
import datetime as dt
import os
import shlex
import tempfile
from collections import Counter
from importlib import metadata, resources
from pathlib import Path
from typing import Any

import jinja2
import numpy as np
from markupsafe import Markup

from heritagemove import charts, simulation
from heritagemove.charts.one_path import PHASES, mean_by_phase
from heritagemove.drivers import DRIVERS
from heritagemove.museum import Museum
from heritagemove.results import Comparison, PathResult, show_date
from heritagemove.units import show
from heritagemove.what_if import what_ifs

_TOTALS = (("Mean of the total", "mean"), ("P50 of the total", "p50"), ("P80 of the total", "p80"))


def write_report(comparison: Comparison, path: str | Path, replace: bool = False) -> Path:
    """Write the page of a comparison to a file, whole or not at all.

    Parameters
    ----------
    comparison : Comparison
    path : path
        File to write; its folder must exist.
    replace : bool
        Whether an existing file is replaced.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    ValueError
        If the file exists and is not to be replaced, or its folder does not exist.
    """
    target = Path(path)
    if not target.parent.is_dir():
        raise ValueError(f'out: found "{target}"; allowed: a file in a folder that exists')
    if target.is_dir() or (target.exists() and not replace):
        raise ValueError(f'out: found "{target}", which exists; allowed: a new file, or replace it (--replace)')
    text = render(comparison)
    handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".page-", suffix=".html")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        os.chmod(temporary, 0o644)
        os.replace(temporary, target)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return target


def render(comparison: Comparison, made_on: dt.date | None = None) -> str:
    """Return the page of a comparison as HTML text.

    Parameters
    ----------
    comparison : Comparison
    made_on : datetime.date, optional
        Date to print; today by default. Nothing else changes between two runs on the same inputs.
    """
    museum = comparison.museum
    roles = (("choice", comparison.choice), ("fallback", comparison.fallback))
    plans = [_plan(comparison, comparison.path(path), role) for role, path in roles if path]
    rows = _inputs(comparison, [plan["result"] for plan in plans])
    counted = Counter(row["basis"] for row in rows)
    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(_template), autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True
    )
    environment.filters |= {"usd": _usd, "chance": charts.show_chance, "date": _date}
    return environment.get_template("page.html.j2").render(
        comparison=comparison,
        museum=museum,
        scenario=museum.scenario,
        vehicle=museum.vehicle(comparison.vehicle),
        facts=_facts(comparison),
        main_chart=_image(charts.cost_against_date(comparison)),
        chance_chart=_image(charts.chances(comparison)),
        order_chart=_image(charts.order_dates(comparison)),
        chip=lambda number: Markup(charts.chip(number)),
        found=lambda finding: _capital(finding.reason.removeprefix(f"{finding.gate.title}: ")),
        plans=plans,
        inputs=rows,
        basis=[(name, count, count / len(rows)) for name, count in counted.most_common()],
        strengths=_strengths(museum),
        unknowns=[(r, reason) for r in comparison.paths for reason in r.reasons if "nknown" in reason],
        cautions=museum.cautions,
        version=metadata.version("heritagemove"),
        digest=museum.digest(),
        settings="; ".join(f"{_named(name)}: {_amount(name, value)}" for name, value in comparison.settings.items()),
        command=_command(comparison),
        made_on=made_on or dt.date.today(),
        style=_template("page.css"),
    )


def _template(name: str) -> str:
    return resources.files("heritagemove").joinpath("templates", name).read_text(encoding="utf-8")


def _image(chart: charts.Chart) -> dict[str, Any]:
    data = base64.b64encode(charts.svg(chart)).decode("ascii")
    width, height = (round(96 * inches) for inches in chart.figure.get_size_inches())
    return {"src": f"data:image/svg+xml;base64,{data}", "alt": chart.alt, "width": width, "height": height}


def _movers(comparison: Comparison, result: PathResult) -> tuple[dict[str, Any], ...]:
    """Draw what moves the cost and, where the unit leaves, the date."""
    answers = ("cost", "off_site") if result.off_site else ("cost",)
    return tuple(_image(charts.tornado(comparison, result.path, answer)) for answer in answers)


def _plan(comparison: Comparison, result: PathResult, role: str) -> dict[str, Any]:
    """Gather one path as the page shows it: tasks, money by phase and by line, risks."""
    museum = comparison.museum
    tasks = []
    for row in museum.of_path("tasks", result.path):
        finish = np.percentile(result.trials.dates.finish[row.task] - 1, (50, 80))
        dates = [simulation.date_of(museum, day) for day in finish]
        tasks.append({"row": row, "p50": dates[0], "p80": dates[1], "critical": result.critical.get(row.task, 0.0)})
    risks = [
        {"row": row, "cost": float(np.mean(result.trials.risk_cost_usd[row.risk]))}
        for row in museum.of_path("risks", result.path)
        if row.risk in result.trials.risk_cost_usd
    ]
    spread = result.cost
    return {
        "role": role,
        "result": result,
        "row": museum.path(result.path),
        "tasks": tasks,
        "phases": mean_by_phase(result),
        "totals": [(name, spread and getattr(spread, part)) for name, part in _TOTALS],
        "lines": [_line(museum, result, cost) for cost in result.trials.lines if np.any(cost.cost_usd)],
        "risks": sorted(risks, key=lambda risk: -risk["cost"]),
        "task_chart": _image(charts.task_bars(comparison, result.path)),
        "phase_chart": _image(charts.cost_by_phase(comparison, result.path)),
        "movers": _movers(comparison, result) if role == "choice" else (),
        "what_ifs": [move.in_words() for move in what_ifs(comparison, result.path)] if role == "choice" else (),
    }


def _line(museum: Museum, result: PathResult, cost: simulation.LineCost) -> dict[str, Any]:
    """Gather one cost line: what drives it, how much of it, at which price."""
    row = cost.line
    rate = next(r for r in museum.rates if r.rate == row.rate and r.equipment in {None, *result.work.equipment})
    drivers = [DRIVERS[name].meaning for name in (row.driver, row.times) if name]
    return {
        "row": row,
        "phase": PHASES[row.phase],
        "driver": ", times ".join(drivers),
        "quantity": float(np.mean(cost.quantity)),
        "unit": _named(rate.unit).replace("/", " per "),
        "mean": float(np.mean(cost.cost_usd)),
    }


def _facts(comparison: Comparison) -> list[tuple[str, str]]:
    vehicle = comparison.museum.vehicle(comparison.vehicle)

    def shown(name: str, unit: str, digits: int = 1) -> str:
        quantity = getattr(vehicle, name)
        return "unknown" if quantity is None else show(quantity, unit, digits)

    weight = (
        "unknown" if vehicle.weight is None else f"{show(vehicle.weight, 'lb')} ± {vehicle.weight_tolerance.magnitude:g} %"
    )
    return [
        ("Kind", vehicle.kind.replace("_", " ")),
        ("Built", str(vehicle.built)),
        ("Weight as it stands", f"{weight} ({shown('weight', 'short_ton')})"),
        ("Heaviest single load", shown("body_weight", "lb", 0)),
        ("Length", shown("length", "ft")),
        ("Height above rail", shown("height", "ft")),
        ("Width", shown("width", "ft")),
        ("Axles", str(len(comparison.museum.axles_of(comparison.vehicle)))),
        ("Journals", f"{vehicle.journal or 'unknown'} in, {vehicle.journal_position} boxes"),
        ("Bearings", vehicle.bearing.replace("_", " ")),
        ("Brakes", vehicle.brakes),
        ("Couplers and draft gear", vehicle.draft_gear),
        ("Hazards", vehicle.hazards),
        ("Agreed value", shown("insured_value", "USD", 0)),
        ("Basis", f"{vehicle.basis}: {vehicle.source}"),
    ]


def _inputs(comparison: Comparison, results: list[PathResult]) -> list[dict[str, Any]]:
    """List every row whose three-point numbers the choice and its fallback used."""
    museum = comparison.museum
    found: dict[tuple[Any, ...], dict[str, Any]] = {}

    def add(kind: str, name: str, row: Any, unit: str, prefix: str = "") -> None:
        low, likely, high = (getattr(row, prefix + part) for part in ("low", "likely", "high"))
        entry = {"kind": kind, "name": name, "low": low, "likely": likely, "high": high, "unit": unit}
        entry |= {"range": row.range, "basis": row.basis, "source": row.source}
        found.setdefault(tuple(entry.values()), entry)

    for result in results:
        priced = {cost.line.rate for cost in result.trials.lines}
        for row in museum.rates:
            if row.equipment in {None, *result.work.equipment} and row.rate in priced | {museum.scenario.holdover_rate}:
                add("price", row.title, row, row.unit)
        for row in museum.quantities:
            if row.vehicle in (comparison.vehicle, "any") and row.path in (result.path, "any"):
                add("quantity", DRIVERS[row.driver].meaning, row, _named(DRIVERS[row.driver].unit))
        for row in museum.of_path("tasks", result.path):
            more = f", and {row.extra_days:g} per {_named(DRIVERS[row.per].unit)}" if row.per and row.extra_days else ""
            add("task", row.title, row, "working days" + more)
        for row in museum.of_path("risks", result.path):
            if row.risk in result.trials.risk_cost_usd:
                chance = f"{row.probability:.0%} risk"
                add(f"{chance}, cost", row.title, row, "USD", "cost_")
                if row.delay_high > 0:
                    add(f"{chance}, delay", row.title, row, "working days", "delay_")
    return list(found.values())


def _strengths(museum: Museum) -> str:
    correlation = museum.scenario.correlation
    apart = [f"{strength:g} for {_named(market)}" for market, strength in correlation.markets.items()]
    return ", ".join([f"{correlation.default:g}", *apart])


def _command(comparison: Comparison) -> str:
    """Return the command that writes this page again, quoted for a shell."""
    samples = comparison.samples
    words = ["python", "-m", "heritagemove", "report", comparison.museum.folder, "--vehicle", comparison.vehicle]
    for name, amount in sorted(comparison.settings.items()):
        words += ["--set", f"{name}={amount:.12g} {DRIVERS[name].unit}"]
    words += ["--seed", str(samples.seed), "--trials", str(samples.trials), "--out", "page.html"]
    return shlex.join(words)


def _amount(driver: str, amount: float) -> str:
    unit = DRIVERS[driver].unit
    counted = _named(unit) + ("" if amount == 1 or unit == "USD" else "s")
    return f"{amount:,g}" if counted == _named(driver) else f"{amount:,g} {counted}"


def _named(identifier: str) -> str:
    return identifier.replace("_", " ")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _usd(value: float | None) -> str:
    return "unknown" if value is None else f"{value:,.0f}"


def _date(value: dt.date | None) -> str:
    return "–" if value is None else show_date(value)
