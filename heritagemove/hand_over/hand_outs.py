"""Sheets that go to others on paper: the request for quotation of a firm, and the day's sheet of the move.

One file each, without a script; nothing from a table is run or fetched.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path

import jinja2

from heritagemove.compare.results import Comparison
from heritagemove.files.outputs import refuse_places
from heritagemove.files.saving import save
from heritagemove.following.move_day import move_day, moves_the_unit
from heritagemove.following.requests import request
from heritagemove.following.trades import TRADES, lines_of
from heritagemove.museum.museum import input_files
from heritagemove.units.described import Described
from heritagemove.units.words import show_date


@dataclass(frozen=True)
class LinesUnder:
    """Lines under a heading."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class HandOut:
    """What stands on the sheets, in the order of reading; a blank cell of a table is to be filled."""

    heading: str
    lead: tuple[str, ...]
    tables: tuple[Described, ...]
    lists: tuple[LinesUnder, ...]
    cautions: tuple[str, ...]
    made: str  # what it was made from
    one: bool = False  # whether it must print on one sheet


def render_hand_out(sheet: HandOut) -> str:
    """Return the sheets as HTML text."""
    text = resources.files("heritagemove.hand_over").joinpath("templates", "hand_out.html.j2").read_text(encoding="utf-8")
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True)
    return environment.from_string(text).render(sheet=sheet)


def request_sheet(comparison: Comparison, trade: str, path: str | None = None) -> HandOut:
    """Return the request for quotation to one trade as sheets to print.

    Parameters and Raises as for :func:`heritagemove.following.requests.request`.
    """
    asked = request(comparison, trade, path)
    missing = (LinesUnder("Not known today: please measure, or quote with and without", asked.missing),)
    return HandOut(asked.heading, asked.lead, (*asked.tables, asked.form), missing if asked.missing else (), asked.cautions,
                   _made(comparison))  # fmt: skip


def day_sheet(comparison: Comparison, path: str | None = None) -> HandOut:
    """Return the day's sheet of the move: one sheet to print.

    Parameters and Raises as for :func:`heritagemove.following.move_day.move_day`.
    """
    day = move_day(comparison, path)
    tables = (day.work, day.stops, day.papers, day.roles)
    return HandOut(day.heading, day.lead, tables, (), day.cautions, _made(comparison), one=True)


def sheets_of(comparison: Comparison, path: str) -> dict[str, HandOut]:
    """Return every sheet that a path asks for by its name: a request for each trade that it pays, and the day's sheet."""
    found: dict[str, HandOut] = {}
    if not moves_the_unit(comparison.museum, path):
        return found
    for trade in TRADES:
        if lines_of(comparison, path, trade):
            found[f"request_{trade}"] = request_sheet(comparison, trade, path)
    return found | {"day": day_sheet(comparison, path)}


def _made(comparison: Comparison) -> str:
    museum = comparison.museum
    return f"Made from the tables as of {show_date(museum.scenario.as_of)}, digest {museum.digest()[:16]}."


def write_hand_out(comparison: Comparison, sheet: HandOut, path: str | Path, replace: bool = False) -> Path:
    """Write sheets as one HTML file.

    Parameters
    ----------
    path : path
        Name that ends in .html.
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
    refuse_places({"out": path}, input_files(comparison.base.folder), replace, {"out": ".html"})
    save(path, render_hand_out(sheet), **({} if replace else {"expected": None}))
    return path
