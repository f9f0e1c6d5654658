"""The rows that decide: what moves cost and date of a path most, each with its file, row, range, basis and source."""

from __future__ import annotations

from typing import Any

from heritagemove.answers.influence import influences
from heritagemove.answers.uncertainty_shares import quantity_row, used_rates
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.hand_over.page.plain import named, picked, row_in
from heritagemove.museum.drivers import DRIVERS
from heritagemove.trials import simulation

_SHOWN = 8


def deciding_rows(comparison: Comparison, result: PathResult, on: Any) -> list[dict[str, Any]]:
    """Return the inputs that move an answer of a path most, the first first.

    Parameters
    ----------
    on : {"cost", "off_site"}
        With "off_site" the answer is a date, as ISO text.
    """
    rows, told = _rows(comparison, result, on), []
    for influence in influences(comparison, result.path, on)[:_SHOWN]:
        answers = (influence.low, influence.high)
        if on == "off_site":
            answers = tuple(simulation.date_of(comparison.museum, day).isoformat() for day in answers)
        found = rows.get((influence.kind, influence.name), _NO_ROW)
        told.append(
            {**picked(influence, "name", "kind", "rank_correlation"), "low_gives": answers[0], "high_gives": answers[1]}
            | found
        )
    return told


_NO_ROW = dict.fromkeys(("low", "likely", "high", "unit", "basis", "source"), None) | {"row": "museum.toml"}


def _rows(comparison: Comparison, result: PathResult, on: str) -> dict[tuple[str, str], dict[str, Any]]:
    museum, found = comparison.museum, {}
    for row in used_rates(museum, result):
        found.setdefault(("price", row.title), _told("rates", row, named(row.unit).replace("/", " per ")))
    for name in dict.fromkeys(name for e in result.trials.lines for name in (e.line.driver, e.line.times) if name):
        row = quantity_row(comparison, result.path, name)
        if row is not None:
            found["quantity", named(name)] = _told("quantities", row, named(DRIVERS[name].unit))
    for row in museum.of_path("tasks", result.path):
        found["task", row.title] = _told("tasks", row, "working days")
    for row in museum.of_path("risks", result.path):
        prefix, unit = ("cost_", museum.scenario.currency) if on == "cost" else ("delay_", "days")
        found["risk", row.title] = _told("risks", row, unit, prefix)
    return found


def _told(table: str, row: Any, unit: str, prefix: str = "") -> dict[str, Any]:
    amounts = {part: getattr(row, prefix + part) for part in ("low", "likely", "high")}
    return {"row": row_in(table, row), **amounts, "unit": unit, **picked(row, "basis", "source")}
