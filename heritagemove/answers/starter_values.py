"""What of an answer is still what a new museum began with, by how much money hangs on it, and what to ask for first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.answers.uncertainty_shares import prices_of, quantity_row
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.bases import Bases
from heritagemove.museum.museum import Museum
from heritagemove.units.described import Described, Heading, described

THREE_POINTS = ("low", "likely", "high")
#: Tables whose values move an answer, what their rows hold, and the columns that hold its numbers.
COUNTED: dict[str, tuple[str, tuple[str, ...]]] = {
    "rates": ("prices", THREE_POINTS),
    "quantities": ("quantities", THREE_POINTS),
    "tasks": ("durations of tasks", THREE_POINTS),
    "risks": ("risks", ("probability", "cost_low", "cost_likely", "cost_high", "delay_low", "delay_likely", "delay_high")),
    "gates": ("chances of a refusal", ("refusal_probability",)),
    "cost_lines": ("factors of cost lines", ("factor",)),
    "legs": ("legs", ("length", "speed", "special_speed")),
    "vehicles": ("units", ("weight_tolerance", "insured_value")),
}
_NAMED = 3  # values that the sentence names


@dataclass(frozen=True)
class StarterValue:
    """One row of which a number is still the starter's."""

    table: str  # such as rates.csv
    title: str
    row_number: int  # its row in the spreadsheet
    row: Any
    money: float  # mean of what hangs on it, on the path where that is most [the museum's currency]
    paths: tuple[int, ...]  # numbers of the paths whose cost it moves


@dataclass(frozen=True)
class StarterShare:
    """How much of a museum is still the starter's."""

    prices: int  # prices that are
    of: int  # of how many
    values: tuple[StarterValue, ...]  # the most money first
    currency: str

    @property
    def sentence(self) -> str:
        """What a reader must know of it; blank where nothing is the starter's."""
        if not self.prices:
            return ""
        said = f"{self.prices} of {self.of} prices {'is' if self.prices == 1 else 'are'} the starter's: nobody was asked"
        dear = [value.title for value in self.values if value.table == "rates.csv" and value.money > 0][:_NAMED]
        if not dear:
            return f"{said}."
        these = "this one moves" if len(dear) == 1 else f"these {('', '', 'two', 'three')[len(dear)]} move"
        return f"{said}; {these} the answer most, get quotes: {'; '.join(dear)}."


def starter_counts(museum: Museum) -> dict[str, tuple[int, int]]:
    """Return how many rows of each table are still the starter's, and of how many; only tables that have one.

    Parameters
    ----------
    museum : Museum
    """
    said, found = Bases(museum), {}
    for table, (_, columns) in COUNTED.items():
        rows = getattr(museum, table)
        starters = sum(said.is_starter(table, row, columns) for row in rows)
        if starters:
            found[table] = starters, len(rows)
    return found


def counts_in_words(museum: Museum) -> str:
    """Return how much of a museum is still the starter's, table by table; blank where nothing is."""
    counts = starter_counts(museum)
    parts = [f"{count} of {of} {COUNTED[table][0]}" for table, (count, of) in counts.items()]
    return f"Still the starter's: {', '.join(parts)}." if parts else ""


def starter_values(comparison: Comparison) -> StarterShare:
    """Return what of a comparison is still the starter's."""
    museum, said = comparison.base, Bases(comparison.base)
    hangs = {path.number: _hanging(comparison, path) for path in comparison.paths if path.saves and path.cost is not None}
    found = []
    for table, (_, columns) in COUNTED.items():
        for row in getattr(museum, table):
            of_unit = getattr(row, "vehicle", None) in (None, "any", comparison.vehicle)
            if not of_unit or not said.is_starter(table, row, columns):
                continue
            money = {number: amounts.get((table, row.row_number), 0.0) for number, amounts in hangs.items()}
            paths = tuple(number for number, value in money.items() if value)
            title = getattr(row, "title", None) or getattr(row, "name", None) or row.driver.replace("_", " ")
            found.append(StarterValue(f"{table}.csv", title, row.row_number, row, max(money.values(), default=0.0), paths))
    found.sort(key=lambda value: -value.money)
    prices = sum(value.table == "rates.csv" for value in found)
    return StarterShare(prices, len(museum.rates), tuple(found), museum.scenario.currency)


def starter_sentence(comparison: Comparison) -> str:
    """Return the sentence of a banner; blank where no price is the starter's."""
    return starter_values(comparison).sentence if "rates" in starter_counts(comparison.base) else ""


def starter_table(share: StarterShare, most: int = 60) -> Described:
    """Return the values that are still the starter's, the most money first, and no more of them than anybody reads."""
    headings = (
        Heading("Value", lambda value: value.title),
        Heading("Where", lambda value: f"{value.table} row {value.row_number}"),
        Heading("Money that hangs on it", lambda value: value.money, "rounded", share.currency),
        Heading("Paths", lambda value: ", ".join(map(str, value.paths)) or "none that is priced"),
    )
    more = f": the first {most} of {len(share.values)}" if len(share.values) > most else ""
    return described(f"What is still the starter's{more}", headings, share.values[:most])


def _hanging(comparison: Comparison, result: PathResult) -> dict[tuple[str, int], float]:
    """Return the mean money of one path that hangs on each row, by table and row number."""
    museum, path = comparison.museum, result.path
    money: dict[tuple[str, int], float] = {}

    def add(table: str, rows: Iterable[Any], usd: float) -> None:
        for key in {(table, row.row_number) for row in rows}:
            money[key] = money.get(key, 0.0) + abs(usd)

    tasks = {row.task: row for row in museum.of_path("tasks", path)}
    for entry in result.trials.lines:
        line, usd = entry.line, float(np.mean(entry.cost_usd))
        drivers = [name for name in (line.driver, line.times) if name]
        add("cost_lines", [line], usd)
        add("rates", prices_of(museum, result, line), usd)
        add("quantities", _known(quantity_row(comparison, path, name) for name in drivers), usd)
        if {"task_days", "days_over"} & {*drivers}:
            add("tasks", _known([tasks.get(line.task)]), usd)
        if "insured_value" in drivers:
            add("vehicles", [museum.vehicle(comparison.vehicle)], usd)
        if any("distance" in name or name.endswith("_days") for name in drivers):
            add("legs", [leg for stage in museum.stages_of(path) for leg in museum.legs_of(stage)], usd)
    for row in museum.of_path("risks", path):
        if row.risk in result.trials.risk_cost_usd:
            add("risks", [row], float(result.trials.risk_cost_usd[row.risk].mean()))
    late = float(result.trials.holdover_usd.mean())
    add("rates", [row for row in museum.rates if row.rate == museum.scenario.holdover_rate], late)
    return money


def _known(rows: Iterable[Any]) -> Sequence[Any]:
    return [row for row in rows if row is not None]
