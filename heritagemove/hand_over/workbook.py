"""Hand a comparison over: every table as CSV, and one workbook in which cost, budget and payments follow by formulas.

Text from a table never becomes a formula.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from heritagemove.answers.whole_cost import whole_cost
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.files.outputs import refuse_places
from heritagemove.files.saving import save
from heritagemove.files.spreadsheets import rows_as_csv
from heritagemove.hand_over.money_sheets import (
    Inputs,
    budget_sheet,
    cost_sheet,
    made_from,
    months_sheets,
    payments_sheet,
    risks_sheet,
    site_budget_sheet,
    units_sheet,
)
from heritagemove.hand_over.page.paper import paper
from heritagemove.hand_over.page.site import Site
from heritagemove.hand_over.sheets import Book
from heritagemove.museum.museum import Museum, input_files
from heritagemove.trials import simulation
from heritagemove.units.described import Described, facts
from heritagemove.units.units import PlannerError
from heritagemove.whole_site.fleet import option_of

_QUOTE = ("quote", "path", "vendor", "lines", "amount", "quoted", "valid_until", "accepted", "firmness", "inclusions",
          "exclusions", "standby", "cancellation")  # fmt: skip
_INVOICE = ("invoice", "path", "vendor", "line", "amount", "invoiced", "paid", "note")


def comparison_tables(comparison: Comparison) -> dict[str, pd.DataFrame]:
    """Return every table of a comparison by its name: paths, cost, risks, tasks and gates, quotes and invoices.

    Cost, risks, tasks and gates are those of the chosen path and of its fallback. Means add up: the cost of a path
    is the total of its table of cost and risks.
    """
    found = {"Paths": _paths(comparison)}
    for role, path in (("choice", comparison.choice), ("fallback", comparison.fallback)):
        if path is None:
            continue
        result = comparison.path(path)
        found[f"Cost of {role} {result.number}"] = cost_table(result)
        found[f"Tasks of {role} {result.number}"] = _tasks(comparison, result)
        found[f"Gates of {role} {result.number}"] = _gates(comparison.museum, result)
    museum = comparison.museum
    found["Upkeep"] = _upkeep(comparison)
    found["Quotes"] = _offers(museum.quotes, comparison, _QUOTE)
    found["Invoices"] = _offers(museum.actuals, comparison, _INVOICE)
    return {name: frame for name, frame in found.items() if len(frame)}


def _paths(comparison: Comparison) -> pd.DataFrame:
    """Return the table of paths in the words of the page: what never happens is not unknown."""
    table = comparison.table().astype(object)
    never = [result.off_site is None for result in comparison.paths]
    for heading, instead, where in (
        ("off site P80", "never", never),
        ("arrives P80", "no date of arrival", [result.arrived is None for result in comparison.paths]),
        ("chance by deadline", "never", never),
        *((heading, "–", [r.branch is None for r in comparison.paths]) for heading in table if "with fallback" in heading),
    ):
        table.loc[where, heading] = instead
    return table


def cost_table(result: PathResult) -> pd.DataFrame:
    """Return what a path costs, a row a cost line or risk; the means add up to the mean of the total.

    Where lines have a stage of their own, a column says which.
    """
    numbers, trials = [f"{name} [{result.currency}]" for name in ("P10", "P80", "mean", "given, mean")], result.trials
    given = {entry.line.title: float(np.mean(entry.donated_usd)) for entry in trials.lines}
    parts = [(e.line.title, e.line.phase, e.line.payment, e.cost_usd) for e in trials.lines]
    parts += [("Risk: " + risk.replace("_", " "), "risk", "", cost) for risk, cost in trials.risk_cost_usd.items()]
    parts += [("Owner's charge after the deadline", "after", "", trials.holdover_usd)]
    parts += [("Loss of the unit on the forced-scrap date", "after", "", trials.loss_usd)]
    rows = []
    for title, phase, payment, cost in parts:
        p10, p80 = np.percentile(cost, (10, 80))
        words = payment.replace("_", " ")
        amounts = dict(zip(numbers, (p10, p80, float(np.mean(cost)), given.get(title, 0.0)), strict=True))
        rows.append({"what": title, "phase": phase, "paid": words} | amounts)
    for name in trials.unknown:
        rows.append({"what": f"Unknown: {name.replace('_', ' ')}", "phase": "", "paid": ""} | dict.fromkeys(numbers))
    stages = {entry.line.title: entry.line.stage.replace("_", " ") for entry in trials.lines if entry.line.stage}
    table = pd.DataFrame(rows)
    if stages:
        table.insert(1, "stage", [stages.get(title, "") for title in table["what"]])
    return table


def _upkeep(comparison: Comparison) -> pd.DataFrame:
    """Return what comes every year after the choice has arrived: it is in no table of cost."""
    found = comparison.choice and whole_cost(comparison, comparison.choice)
    currency = comparison.museum.scenario.currency
    return pd.DataFrame(
        {"every year after the arrival": row.title}
        | {f"{name} [{currency}]": getattr(row, name) for name in ("low", "likely", "high")}
        | {"basis": row.basis, "source": row.source}
        for row in (found.upkeep if found else ())
    )


def _tasks(comparison: Comparison, result: PathResult) -> pd.DataFrame:
    dates, museum = result.trials.dates, comparison.museum

    def date(days: np.ndarray, share: float) -> dt.date:
        return simulation.date_of(museum, float(np.percentile(days, share)))

    return pd.DataFrame(
        {
            "task": museum.titled(row),
            "who": row.who,
            "after": ", ".join(row.after),
            "begins P50": date(dates.ready[row.task], 50),
            "finished P50": date(dates.finish[row.task] - 1, 50),
            "finished P80": date(dates.finish[row.task] - 1, 80),
            "critical in": result.critical.get(row.task),
        }
        for row in museum.of_path("tasks", result.path)
    )


#: What stands for the chance of refusal of a gate that is not open.
_REFUSED = {"pass": "met", "caution": "met, with caution", "fail": "fails", "unknown": "unknown"}


def _gates(museum: Museum, result: PathResult) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "gate": museum.titled(found.gate),
            "status": found.status,
            "chance of refusal": _REFUSED.get(found.status, found.refusal),
            "evidence": found.gate.evidence,
            "signed by": found.gate.signer,
            "expires": found.gate.expires or "",
            "rule": found.gate.rule,
        }
        for found in result.findings
    )


def _offers(rows: tuple[Any, ...], comparison: Comparison, columns: tuple[str, ...]) -> pd.DataFrame:
    def shown(value: Any) -> Any:
        if hasattr(value, "m_as"):
            return value.m_as("USD")
        return "; ".join(value) if isinstance(value, tuple) else "" if value is None else value

    currency = comparison.museum.scenario.currency
    headings = {"amount": f"{'amount' if 'invoice' in columns else 'offer'} [{currency}]"}  # offers compete: no total
    return pd.DataFrame(
        {headings.get(name, name.replace("_", " ")): shown(getattr(row, name)) for name in columns}
        for row in rows
        if row.vehicle == comparison.vehicle
    )


def table_text(frame: pd.DataFrame) -> str:
    """Return a table as CSV that any spreadsheet opens: UTF-8 and marked so, text that looks like a formula behind a '."""
    return rows_as_csv(list(frame.columns), frame.itertuples(index=False))


def write_workbook(
    comparison: Comparison,
    path: str | Path,
    replace: bool = False,
    more: Mapping[str, pd.DataFrame | Described] | None = None,
) -> Path:
    """Write a comparison into one workbook: what is decided, the money by formulas, and every table.

    Parameters
    ----------
    path : path
        Name that ends in .xlsx.
    replace : bool
        Whether to replace a file that is there.
    more : mapping of str to DataFrame or Described, optional
        Further tables by name, such as those of a forecast.

    Raises
    ------
    PlannerError
        If the name ends otherwise, or the file is there and may not be replaced.
    NotSaved
        If it cannot be written.
    """
    path = Path(path)
    refuse_places({"out": path}, input_files(comparison.base.folder), replace, {"out": ".xlsx"})
    return _saved(path, book_bytes(comparison, more), replace)


def book_bytes(comparison: Comparison, more: Mapping[str, pd.DataFrame | Described] | None = None) -> bytes:
    """Return the workbook that :func:`write_workbook` saves."""
    book, museum = Book(), comparison.museum
    _add_facts(book, comparison)
    if comparison.choice:
        choice = comparison.path(comparison.choice)
        headings = ["what", f"amount [{choice.currency}]", "from"]
        budget, inputs = book.sheet("Budget", headings), Inputs(book, museum)
        costed = cost_sheet(book, inputs, comparison, choice.path, f"Cost of choice {choice.number}")
        second = None
        if comparison.fallback and comparison.path(comparison.fallback).cost:
            other = comparison.path(comparison.fallback)
            second = cost_sheet(book, inputs, comparison, other.path, f"Cost of fallback {other.number}")
        budget_sheet(budget, costed, second)
        paid, totals = payments_sheet(book, [costed])
        months_sheets(book, [costed], [option_of(comparison, choice)], totals, paid)
        risks_sheet(book, [costed])
    for name, frame in (comparison_tables(comparison) | dict(more or {})).items():
        book.table(name.replace("Cost of", "Trials of"), frame)
    return book.file(museum.scenario.as_of)


def write_site_workbook(site: Site, path: str | Path, replace: bool = False) -> Path:
    """Write the units of a site that are decided on together into one workbook.

    Parameters
    ----------
    path : path
        Name that ends in .xlsx.
    replace : bool
        Whether to replace a file that is there.

    Raises
    ------
    PlannerError
        If the name ends otherwise, or the file is there and may not be replaced.
    NotSaved
        If it cannot be written.
    """
    path = Path(path)
    refuse_places({"out": path}, input_files(site.fleet.museum.folder), replace, {"out": ".xlsx"})
    return _saved(path, site_book_bytes(site), replace)


def site_book_bytes(site: Site) -> bytes:
    """Return the workbook that :func:`write_site_workbook` saves: where the money carries no unit, of the cheapest set."""
    fleet, decided, plan = site.fleet, site.decided, site.plan
    book, scenario = Book(), fleet.museum.scenario
    first = fleet.comparisons[plan.options[0].vehicle]
    told = [
        ("Decision", decided.in_words),
        *((f"Unit: {step.option.name}", f"path {step.option.number}, {step.option.title}") for step in decided.steps),
        ("Deadline", scenario.deadline),
        ("Tables as of", scenario.as_of),
        ("What is from the trials", made_from(first)),
        *((f"Caution: {row.topic}", row.text) for row in fleet.museum.cautions if "every" in row.screens),
    ]
    book.table("Decision", facts("What is decided", told))
    units_sheet(book, fleet, plan.options, {row.vehicle: row.fund for row in decided.waits})
    budget, inputs = book.sheet("Budget", ["what", f"amount [{scenario.currency}]", "from"]), Inputs(book, fleet.museum)
    costed = [
        cost_sheet(book, inputs, fleet.comparisons[o.vehicle], o.path, f"Cost {o.name}"[:28] + f" {o.number}")
        for o in plan.options
    ]
    site_budget_sheet(budget, costed, plan.at_confidence, fleet.confidence)
    paid, totals = payments_sheet(book, costed)
    months_sheets(book, costed, plan.options, totals, paid)
    risks_sheet(book, costed)
    return book.file(scenario.as_of)


def _add_facts(book: Book, comparison: Comparison) -> None:
    museum, scenario = comparison.museum, comparison.museum.scenario
    asked = paper(comparison, None)
    settings = ", ".join(f"{name} {amount:g}" for name, amount in comparison.settings.items())
    told = {
        "Unit": museum.vehicle(comparison.vehicle).name,
        "Motion": asked.motion,
        "Verdict": comparison.decision.verdict,
        "Provisional on": "; ".join(comparison.decision.provisional_on) or "nothing unknown",
        "Decision": comparison.sentence,
        "Decide at the meeting of, at the latest": comparison.decide_by or meeting_in_words(comparison),
        "Last day to wait for the answer that decides": comparison.switch_by or "none",
        "Deadline": scenario.deadline,
        "Prices of": str(scenario.price_year),
        "Tables as of": scenario.as_of,
        "What is from the trials": made_from(comparison),
        "Digest of the tables": museum.digest(),
        "Settings": settings or "none",
        **{f"Caution: {row.topic}": row.text for row in museum.cautions if "every" in row.screens},
    }
    book.table("Decision", facts("What is decided", told.items()))


def _saved(path: str | Path, content: str | bytes, replace: bool) -> Path:
    path = Path(path)
    if path.exists() and not replace:
        raise PlannerError(f'found "{path}", which exists; allowed: a new file, or replace it')
    save(path, content, **({} if replace else {"expected": None}))
    return path
