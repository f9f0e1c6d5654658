"""The read-only page: one self-contained HTML file, rendered from results and nothing else."""

from __future__ import annotations

import base64
import datetime as dt
import os
import tempfile
from collections import Counter
from importlib import metadata, resources
from pathlib import Path
from typing import Any

import jinja2
import numpy as np

from heritagemove import charts, simulation
from heritagemove.drivers import DRIVERS
from heritagemove.results import Comparison, PathResult, show_date
from heritagemove.units import show

#: Screens whose cautions stand on the page.
_SCREENS = ("every", "rail", "road", "lifting", "hazards", "steam", "jacking", "money")


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
        raise ValueError(f'out: found "{target}", which exists; allowed: a new file, or say that it may be replaced')
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
    vehicle = museum.vehicle(comparison.vehicle)
    chosen = [comparison.path(path) for path in (comparison.choice, comparison.fallback) if path]
    used = [result.path for result in chosen] or ["decline"]
    rows = _inputs(comparison, used)
    counted = Counter(row["basis"] for row in rows)
    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(_template), autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True
    )
    environment.filters |= {"usd": _usd, "chance": _chance, "date": _date}
    return environment.get_template("page.html.j2").render(
        comparison=comparison,
        museum=museum,
        scenario=museum.scenario,
        vehicle=vehicle,
        facts=_facts(comparison),
        main_chart=_image(charts.cost_against_date(comparison)),
        chance_chart=_image(charts.chances(comparison)),
        plans=[_plan(comparison, result, role) for result, role in zip(chosen, ("choice", "fallback"), strict=False)],
        inputs=rows,
        basis=[(name, count, count / len(rows)) for name, count in counted.most_common()],
        unknowns=[(r, reason) for r in comparison.paths for reason in r.reasons if "nknown" in reason],
        cautions=[row for row in museum.cautions if set(row.screens) & set(_SCREENS)],
        version=metadata.version("heritagemove"),
        digest=museum.digest(),
        command=_command(comparison),
        made_on=made_on or dt.date.today(),
        style=_template("page.css"),
    )


def _template(name: str) -> str:
    return resources.files("heritagemove").joinpath("templates", name).read_text(encoding="utf-8")


def _image(chart: charts.Chart) -> dict[str, str]:
    data = base64.b64encode(charts.svg(chart)).decode("ascii")
    return {"src": f"data:image/svg+xml;base64,{data}", "alt": chart.alt}


def _plan(comparison: Comparison, result: PathResult, role: str) -> dict[str, Any]:
    """Gather one path as the page shows it: gates, tasks, money by phase, risks."""
    museum = comparison.museum
    tasks = []
    for row in museum.of_path("tasks", result.path):
        finish = np.percentile(result.trials.dates.finish[row.task] - 1, (50, 80))
        dates = [simulation.date_of(museum, day) for day in finish]
        tasks.append({"row": row, "p50": dates[0], "p80": dates[1], "critical": result.critical.get(row.task, 0.0)})
    phases: dict[str, float] = {}
    for cost in result.trials.lines:
        phases[cost.line.phase] = phases.get(cost.line.phase, 0.0) + float(np.mean(cost.cost_usd))
    risks = [
        {"row": row, "cost": float(np.mean(result.trials.risk_cost_usd[row.risk]))}
        for row in museum.of_path("risks", result.path)
        if row.risk in result.trials.risk_cost_usd
    ]
    return {
        "role": role,
        "result": result,
        "row": museum.path(result.path),
        "tasks": tasks,
        "phases": phases,
        "risk_total": sum(risk["cost"] for risk in risks),
        "holdover": float(np.mean(result.trials.holdover_usd)),
        "risks": sorted(risks, key=lambda risk: -risk["cost"])[:8],
        "task_chart": _image(charts.task_bars(comparison, result.path)),
        "phase_chart": _image(charts.cost_by_phase(comparison, result.path)),
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


def _inputs(comparison: Comparison, paths: list[str]) -> list[dict[str, Any]]:
    """List every row whose numbers the choice and its fallback used."""
    museum = comparison.museum
    found: list[dict[str, Any]] = []
    seen: set[tuple[Any, ...]] = set()

    def add(kind: str, name: str, row: Any, unit: str, prefix: str = "") -> None:
        values = tuple(getattr(row, prefix + part) for part in ("low", "likely", "high"))
        key = (kind, name, *values)
        if key not in seen:
            seen.add(key)
            found.append(
                {"kind": kind, "name": name, "low": values[0], "likely": values[1], "high": values[2], "unit": unit,
                 "range": row.range, "basis": row.basis, "source": row.source}
            )  # fmt: skip

    for path in paths:
        result = comparison.path(path)
        priced = {cost.line.rate for cost in result.trials.lines}
        for row in museum.rates:
            chosen = row.equipment is None or row.equipment in result.work.equipment
            if chosen and (row.rate in priced or row.rate == museum.scenario.holdover_rate):
                add("price", row.title, row, row.unit)
        for row in museum.quantities:
            if row.vehicle in (comparison.vehicle, "any") and row.path in (path, "any"):
                add("quantity", DRIVERS[row.driver].meaning, row, DRIVERS[row.driver].unit)
        for row in museum.of_path("tasks", path):
            add("task", row.title, row, "working days")
        for row in museum.of_path("risks", path):
            if row.risk in result.trials.risk_cost_usd:
                add(f"risk, {row.probability:.0%}", row.title, row, "USD", "cost_")
    return found


def _command(comparison: Comparison) -> str:
    settings = "".join(
        f" --set {name}='{amount:g} {DRIVERS[name].unit}'" for name, amount in sorted(comparison.settings.items())
    )
    samples = comparison.samples
    return (
        f"python -m heritagemove report {comparison.museum.folder} --vehicle {comparison.vehicle}"
        f"{settings} --seed {samples.seed} --trials {samples.trials} --out page.html"
    )


def _usd(value: float | None) -> str:
    return "unknown" if value is None else f"{value:,.0f}"


def _chance(value: float | None) -> str:
    return "–" if value is None else f"{value:.0%}"


def _date(value: dt.date | None) -> str:
    return "–" if value is None else show_date(value)
