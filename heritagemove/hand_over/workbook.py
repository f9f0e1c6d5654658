"""Hand a comparison over: every table as CSV, all of them in one workbook with totals, each chart as PNG or SVG.

Text from a table never becomes a formula: the only formulas are the totals written here.
"""

from __future__ import annotations

import datetime as dt
import math
import re
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
from heritagemove.files.spreadsheets import CONTROL, RISKY, rows_as_csv, sheet_rows
from heritagemove.files.xlsx_tables import packed
from heritagemove.museum.museum import Museum, input_files
from heritagemove.trials import simulation
from heritagemove.units.described import Described
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_date

_QUOTE = ("quote", "path", "vendor", "lines", "amount", "quoted", "valid_until", "accepted", "firmness", "inclusions",
          "exclusions", "standby", "cancellation")  # fmt: skip
_INVOICE = ("invoice", "path", "vendor", "line", "amount", "invoiced", "paid", "note")


def comparison_tables(comparison: Comparison) -> dict[str, pd.DataFrame]:
    """Return every table of a comparison by its name: paths, cost, risks, tasks and gates, quotes and invoices.

    Cost, risks, tasks and gates are those of the chosen path and of its fallback. Means add up: the cost of a path
    is the total of its table of cost and risks.
    """
    found = {"Paths": comparison.to_frame()}
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


def _gates(museum: Museum, result: PathResult) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "gate": museum.titled(found.gate),
            "status": found.status,
            "chance of refusal": found.refusal if found.status == "open" else None,
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
    """Write every table of a comparison into one workbook, with totals as formulas and units in the headings.

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
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    _add(book, "Decision", _decision(comparison))
    for name, frame in (comparison_tables(comparison) | dict(more or {})).items():
        _add(book, name, frame)
    return packed(book)


def _decision(comparison: Comparison) -> pd.DataFrame:
    museum, scenario = comparison.museum, comparison.museum.scenario

    def words(date: dt.date | None) -> str:
        return show_date(date) if date else "none"

    facts = {
        "Unit": museum.vehicle(comparison.vehicle).name,
        "Verdict": comparison.decision.verdict,
        "Provisional on": "; ".join(comparison.decision.provisional_on) or "nothing unknown",
        "Decision": comparison.sentence,
        "Decide at the meeting of, at the latest": meeting_in_words(comparison),
        "Last day to wait for the answer that decides": words(comparison.switch_by),
        "Deadline": words(scenario.deadline),
        "Prices of": str(scenario.price_year),
        "Tables as of": words(scenario.as_of),
        "Trials": str(comparison.samples.trials),
        "Seed": str(comparison.samples.seed),
        "Digest of the tables": museum.digest(),
        "Settings": ", ".join(f"{name} {amount:g}" for name, amount in comparison.settings.items()) or "none",
        **{f"Caution: {row.topic}": row.text for row in museum.cautions if "every" in row.screens},
    }
    return pd.DataFrame({"what": list(facts), "value": list(facts.values())})


#: Headings of columns whose total means something: means add up, percentiles do not.
_ADDS_UP = re.compile(r".*(mean|amount|invoiced|now|actual less estimate) \[[A-Z]{3}\]")


def _add(book: Any, name: str, frame: pd.DataFrame | Described) -> None:
    """Add one table as a sheet: heading, rows, and a total under each column that adds up."""
    if isinstance(frame, Described):
        return _add_described(book, name, frame)
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    sheet = book.create_sheet(_title(book, name))
    for column, heading in enumerate(frame.columns, start=1):
        _text(sheet.cell(1, column), str(heading))
        sheet.cell(1, column).font = Font(bold=True)
        sheet.cell(1, column).alignment = Alignment(wrap_text=True, vertical="top")
        values = frame.iloc[:, column - 1]
        share = "chance" in str(heading) or "share" in str(heading) or "critical" in str(heading)
        for row, value in enumerate(values, start=2):
            _put(sheet.cell(row, column), value, share)
        letter, longest = get_column_letter(column), max((len(str(value)) for value in values), default=0)
        sheet.column_dimensions[letter].width = min(60, max(12, longest + 2 if values.dtype == object else 14))
        if len(frame) and _ADDS_UP.fullmatch(str(heading)):
            cells, total = f"{letter}2:{letter}{len(frame) + 1}", sheet.cell(len(frame) + 2, column)
            # A total over an unknown amount would look smaller than it is.
            total.value = f'=IF(COUNT({cells})=ROWS({cells}),SUM({cells}),"unknown")'
            total.font, total.number_format = Font(bold=True), "#,##0"
            _text(sheet.cell(len(frame) + 2, 1), "Total")
            sheet.cell(len(frame) + 2, 1).font = Font(bold=True)
    sheet.freeze_panes = "B2"


def _add_described(book: Any, name: str, table: Described) -> None:
    """Add a described table as a sheet: heading, rows, and a total under each column whose sum means something."""
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    sheet, bold, end = book.create_sheet(_title(book, name)), Font(bold=True), len(table) + 1
    for column, heading in enumerate(table.headings, start=1):
        cell = sheet.cell(1, column)
        _text(cell, str(heading))
        cell.font, cell.alignment = bold, Alignment(wrap_text=True, vertical="top")
    for line, row in enumerate(sheet_rows(table), start=2):
        for column, (value, number_format) in enumerate(row, start=1):
            cell = sheet.cell(line, column)
            if number_format:
                cell.value, cell.number_format = value, number_format
            else:
                _text(cell, value)
    for column, (heading, *words) in enumerate(zip(table.titles(), *table.cells(), strict=True), start=1):
        letter, numeric = get_column_letter(column), table.headings[column - 1].numeric
        sheet.column_dimensions[letter].width = 14 if numeric else min(60, max(12, *map(len, words or [heading])) + 2)
        if words and table.headings[column - 1].total:
            cells, total = f"{letter}2:{letter}{end}", sheet.cell(end + 1, column)
            # A total over an unknown amount would look smaller than it is.
            total.value = f'=IF(COUNT({cells})=ROWS({cells}),SUM({cells}),"unknown")'
            total.font, total.number_format = bold, "#,##0"
            _text(sheet.cell(end + 1, 1), "Total")
            sheet.cell(end + 1, 1).font = bold
    sheet.freeze_panes = "B2"


def _put(cell: Any, value: Any, share: bool) -> None:
    if value is None or value is pd.NaT or (isinstance(value, float) and not math.isfinite(value)):
        _text(cell, "unknown")
    elif isinstance(value, bool | np.bool_):
        _text(cell, "yes" if value else "no")
    elif isinstance(value, int | float | np.integer | np.floating):
        cell.value = value.item() if isinstance(value, np.generic) else value
        cell.number_format = "0%" if share else "#,##0" if abs(value) >= 100 or value == int(value) else "#,##0.00"
    elif isinstance(value, dt.date):
        cell.value, cell.number_format = value, "yyyy-mm-dd"
    else:
        _text(cell, str(value))


def _text(cell: Any, text: str) -> None:
    text = CONTROL.sub("\ufffd", text)[:32_000]
    cell.value = text
    # Set as text, or a spreadsheet would run "=1+1"; the quote mark keeps it text when somebody edits the cell.
    cell.data_type = "s"
    if text.startswith(RISKY):
        cell.quotePrefix = True


def _title(book: Any, name: str) -> str:
    title = re.sub(r"[\[\]:*?/\\]", " ", CONTROL.sub(" ", name)).strip("' ")[:31] or "Table"
    taken, number = {sheet.title.lower() for sheet in book.worksheets}, 2
    while title.lower() in taken:
        title, number = f"{title[:27]} {number}", number + 1
    return title


def _saved(path: str | Path, content: str | bytes, replace: bool) -> Path:
    path = Path(path)
    if path.exists() and not replace:
        raise PlannerError(f'found "{path}", which exists; allowed: a new file, or replace it')
    save(path, content, **({} if replace else {"expected": None}))
    return path
