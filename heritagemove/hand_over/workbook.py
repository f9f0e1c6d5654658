"""Hand a comparison over: every table as CSV, and one workbook in which cost, budget and payments follow by formulas.

Text from a table never becomes a formula.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from heritagemove.answers.gate_tables import gates_of
from heritagemove.answers.money_tables import table_of_costs, table_of_upkeep
from heritagemove.answers.motion import motion
from heritagemove.answers.path_tables import table_of_paths
from heritagemove.answers.task_tables import table_of_tasks
from heritagemove.answers.whole_cost import whole_cost
from heritagemove.compare.results import Comparison
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.files.outputs import refuse_places
from heritagemove.files.saving import save
from heritagemove.files.spreadsheets import csv_of, rows_as_csv
from heritagemove.following.bids import table_of_bids
from heritagemove.hand_over.money_sheets import (
    InputSheet,
    budget_sheet,
    cost_sheet,
    made_from,
    site_budget_sheet,
    units_sheet,
)
from heritagemove.hand_over.month_sheets import months_sheets, payments_sheet, risks_sheet
from heritagemove.hand_over.page.site import Site
from heritagemove.hand_over.page.site_paper import site_motion
from heritagemove.hand_over.sheets import Book
from heritagemove.museum.museum import input_files
from heritagemove.units.described import Described, Heading, described, facts
from heritagemove.units.units import PlannerError
from heritagemove.whole_site.fleet import option_of

_QUOTE = ("quote", "path", "vendor", "lines", "amount", "quoted", "valid_until", "accepted", "firmness", "inclusions",
          "exclusions", "standby", "cancellation")  # fmt: skip
#: What of a gate fits on a printed page.
_OF_GATES = ("Gate", "Result", "Found", "By how much", "Chance of refusal", "Evidence", "Signed by", "Expires", "Rule")
_INVOICE = ("invoice", "path", "vendor", "line", "amount", "invoiced", "paid", "note")


def comparison_tables(comparison: Comparison) -> dict[str, Described]:
    """Return every table of a comparison by its name: paths, cost, risks, tasks and gates, quotes and invoices.

    Cost, risks, tasks and gates are those of the chosen path and of its fallback. Means add up: the cost of a path
    is the total of its table of cost and risks.
    """
    found = {"Paths": table_of_paths(comparison)}
    for role, path in (("choice", comparison.choice), ("fallback", comparison.fallback)):
        if path is None:
            continue
        result = comparison.path(path)
        found[f"Cost of {role} {result.number}"] = table_of_costs(result)
        found[f"Tasks of {role} {result.number}"] = table_of_tasks(comparison, path)
        found[f"Gates of {role} {result.number}"] = gates_of(comparison, result).only(*_OF_GATES)
    kept = whole_cost(comparison, comparison.choice) if comparison.choice else None
    if kept:
        found["Upkeep"] = table_of_upkeep(kept)
    museum = comparison.museum
    found["Quotes"] = _offers("Quotes", museum.quotes, comparison, _QUOTE)
    if comparison.choice:
        found["Bids levelled"] = table_of_bids(comparison, comparison.choice)
    found["Invoices"] = _offers("Invoices", museum.actuals, comparison, _INVOICE)
    return {name: table for name, table in found.items() if len(table)}


def _offers(caption: str, rows: tuple[Any, ...], comparison: Comparison, columns: tuple[str, ...]) -> Described:
    def of(name: str) -> Heading:
        if name in ("amount", "standby"):
            invoiced = name == "amount" and "invoice" in columns  # offers compete: no total
            text = "Offer" if name == "amount" and not invoiced else name.capitalize()
            return Heading(text, lambda row: _usd(getattr(row, name)), "whole", comparison.museum.scenario.currency,
                           total=invoiced)  # fmt: skip
        return Heading(name.replace("_", " ").capitalize(), lambda row: getattr(row, name) or "")

    return described(caption, [*map(of, columns)], [row for row in rows if row.vehicle == comparison.vehicle])


def _usd(amount: Any) -> float | str:
    return "" if amount is None else amount.m_as("USD")


def table_text(table: pd.DataFrame | Described) -> str:
    """Return a table as CSV that any spreadsheet opens: UTF-8 and marked so, text that looks like a formula behind a '."""
    if isinstance(table, Described):
        return csv_of(table)
    return rows_as_csv(list(table.columns), table.itertuples(index=False))


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
    book, museum = Book(made_from(comparison)), comparison.museum
    _add_facts(book, comparison)
    if comparison.choice:
        choice = comparison.path(comparison.choice)
        headings = ["what", f"amount [{choice.currency}]", "from"]
        budget, inputs = book.sheet("Budget", headings), InputSheet(book, museum)
        costed = cost_sheet(book, inputs, comparison, choice.path, f"Cost of choice {choice.number}")
        second = None
        if comparison.fallback and comparison.path(comparison.fallback).cost:
            other = comparison.path(comparison.fallback)
            second = cost_sheet(book, inputs, comparison, other.path, f"Cost of fallback {other.number}")
        budget_sheet(book, budget, costed, second)
        paid, totals = payments_sheet(book, [costed])
        months_sheets(book, [costed], [option_of(comparison, choice)], totals, paid)
        risks_sheet(book, [costed])
    tables, paths = comparison_tables(comparison), table_of_paths(comparison)
    # What blocks a path and what would change it takes pages: the page has it.
    tables["Paths"] = paths.only(*(heading.text for heading in paths.headings[:-2]))
    for name, frame in (tables | dict(more or {})).items():
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
    first, scenario = fleet.comparisons[plan.options[0].vehicle], fleet.museum.scenario
    book = Book(made_from(first))
    told = [
        ("Motion", site_motion(site)),
        ("Decision", decided.in_words),
        *((f"Unit: {step.option.name}", f"path {step.option.number}, {step.option.title}") for step in decided.steps),
        ("Deadline", scenario.deadline),
        ("Tables as of", scenario.as_of),
        ("What is from the trials", book.made_from),
        *((f"Caution: {row.topic}", row.text) for row in fleet.museum.cautions if "every" in row.screens),
    ]
    book.table("Decision", facts("What is decided", told))
    units_sheet(book, fleet, plan.options, {row.vehicle: row.fund for row in decided.waits})
    budget, inputs = book.sheet("Budget", ["what", f"amount [{scenario.currency}]", "from"]), InputSheet(book, fleet.museum)
    costed = [
        cost_sheet(book, inputs, fleet.comparisons[o.vehicle], o.path, f"Cost {o.name}"[:28] + f" {o.number}")
        for o in plan.options
    ]
    site_budget_sheet(book, budget, costed, plan.at_confidence, fleet.confidence)
    paid, totals = payments_sheet(book, costed)
    months_sheets(book, costed, plan.options, totals, paid)
    risks_sheet(book, costed)
    return book.file(scenario.as_of)


def _add_facts(book: Book, comparison: Comparison) -> None:
    museum, scenario = comparison.museum, comparison.museum.scenario
    settings = ", ".join(f"{name} {amount:g}" for name, amount in comparison.settings.items())
    told = {
        "Unit": museum.vehicle(comparison.vehicle).name,
        "Motion": motion(comparison).in_full(),
        "Verdict": comparison.decision.verdict,
        "Provisional on": "; ".join(comparison.decision.provisional_on) or "nothing unknown",
        "Decision": comparison.sentence,
        "Decide at the meeting of, at the latest": comparison.decide_by or meeting_in_words(comparison),
        "Last day to wait for the answer that decides": comparison.switch_by or "none",
        "Deadline": scenario.deadline,
        "Prices of": str(scenario.price_year),
        "Tables as of": scenario.as_of,
        "What is from the trials": book.made_from,
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
