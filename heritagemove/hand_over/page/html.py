"""The page as HTML: the content, the charts, a template; no arithmetic."""

from __future__ import annotations

import base64
import contextlib
import dataclasses
import datetime as dt
from collections.abc import Callable, Mapping
from importlib import resources
from typing import Any
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from heritagemove import charts
from heritagemove.answers.photographs import photographs_of
from heritagemove.answers.route import strip
from heritagemove.charts.at_a_glance import at_a_glance
from heritagemove.charts.fleet import money_against_significance
from heritagemove.charts.funding import bank_balance
from heritagemove.charts.route_strip import route_strip
from heritagemove.charts.unit_drawing import unit_drawing
from heritagemove.compare.results import Comparison
from heritagemove.following.tracking import Forecast
from heritagemove.hand_over.page.content import content
from heritagemove.hand_over.page.following import forecasts_of
from heritagemove.hand_over.page.plain import sentences
from heritagemove.hand_over.page.site import Site
from heritagemove.hand_over.page.site_tables import site_tables
from heritagemove.hand_over.page.tables import limits_table, tables_of
from heritagemove.units.described import Described, Marked
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_date


def render(
    comparison: Comparison,
    made_on: dt.date | None = None,
    progress: Callable[[str], None] | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    full: bool = False,
) -> str:
    """Return the page of one unit as HTML text.

    Parameters
    ----------
    made_on : datetime.date, optional
        Date to print; today by default. Nothing else changes between two runs on the same inputs.
    progress : callable, optional
        Told what is being drawn.
    scenarios : mapping of str to Comparison, optional
        Saved scenarios by name, each set beside the answer for the same unit.
    full : bool
        Whether the annex is the full one: every limit, input, criterion and path.
    """
    forecasts = forecasts_of(comparison)
    said = content([comparison], made_on, scenarios, None, {comparison.vehicle: forecasts}, full)
    return unit_page(comparison, said, said["units"][0], forecasts, progress)


def unit_page(
    comparison: Comparison,
    page: Mapping[str, Any],
    said: Mapping[str, Any],
    forecasts: tuple[Forecast, ...],
    progress: Callable[[str], None] | None = None,
    templates: jinja2.Environment | None = None,
) -> str:
    """Return the page of one unit, of which it is known what it says, as HTML text.

    Parameters
    ----------
    page, said : mapping
        As :func:`heritagemove.hand_over.page.content.content` returns it, and of it the unit.
    forecasts : tuple of Forecast
        What follows from its books.
    templates : jinja2.Environment, optional
        As :func:`templates_of_pages` makes it: who renders several pages reads them once.
    """
    if progress:
        progress(said["name"])
    told = tables_of(said, page["museum"])
    limits = limits_table(page["limits"])
    pictures = _pictures(comparison, forecasts)
    shown = _contents(said, page, pictures)
    return _rendered(
        templates, "page.html.j2", page=page, said=said, tables=told, limits=limits, pictures=pictures, contents=shown
    )


def site_page(
    page: Mapping[str, Any],
    files: Mapping[str, str],
    site: Site | None = None,
    progress: Callable[[str], None] | None = None,
) -> str:
    """Return the page of several units, which leads to the page of each, as HTML text.

    Parameters
    ----------
    page : mapping
        As :func:`heritagemove.hand_over.page.content.content` returns it.
    files : mapping of str to str
        Name of each unit's own file, by vehicle.
    site : Site, optional
        The units together.
    """
    if progress:
        progress("the units together")
    units = [{"name": unit["name"], "file": files[unit["vehicle"]]} for unit in page["units"]]
    pictures = _together(site) if site else {}
    limits = limits_table(page["limits"])
    return _rendered(
        None, "site.html.j2", page=page, units=units, tables=site_tables(page), limits=limits, pictures=pictures
    )


def _together(site: Site) -> dict[str, Any]:
    """Draw what the units cost and need together; on the paper only the sets about the one decided on."""
    decided = site.decided
    near = [plan for plan in decided.plans if decided.plan is None or plan.points >= decided.plan.points][:_NEAR]
    return {
        "paper": _image(money_against_significance(dataclasses.replace(decided, plans=tuple(near)), site.sure_usd)),
        "sets": _image(money_against_significance(decided, site.sure_usd)),
        "bank": _image(bank_balance(site.bank)) if site.bank else None,
    }


#: Sets on the chart of the paper.
_NEAR = 3


def _rendered(templates: jinja2.Environment | None, name: str, **given: Any) -> str:
    return (templates or templates_of_pages()).get_template(name).render(style=_template("page.css"), **given)


def templates_of_pages() -> jinja2.Environment:
    """Return what reads the templates of the pages, each once."""
    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(_template), autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True
    )
    environment.filters |= {
        "usd": _usd,
        "chance": charts.show_chance,
        "date": _date,
        "sentences": sentences,
        "cells": _cells,
    }
    return environment


def _contents(said: Mapping[str, Any], page: Mapping[str, Any], pictures: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the parts of the annex that are there, by id and title."""
    there = {
        "gates": said["gates"], "route": "route" in pictures, "schedule": said["plans"], "money": said["plans"],
        "following": said["following"], "inputs": said["inputs"] or said["unknown"], "scenarios": said["scenarios"],
        "limits": page["limits"],
    }  # fmt: skip
    return [(id_, title) for id_, title in _PARTS if there.get(id_, True)]


_PARTS = (
    ("decision", "The decision in full"),
    ("paths", "Every path"),
    ("route", "The route"),
    ("gates", "Gates"),
    ("schedule", "Schedule"),
    ("money", "Money"),
    ("following", "Where the books stand"),
    ("unit", "The unit"),
    ("inputs", "Inputs that decide"),
    ("scenarios", "Scenarios compared"),
    ("limits", "Published limits"),
    ("cautions", "Cautions"),
    ("made", "How this page was made"),
)


def _pictures(comparison: Comparison, forecasts: tuple[Forecast, ...]) -> dict[str, Any]:
    """Draw one unit's charts."""
    pictures, drawn = {"glance": _image(at_a_glance(comparison))}, comparison.choice or comparison.fallback
    if comparison.choice:
        pictures["tasks"] = _image(charts.task_bars(comparison, comparison.choice))
        if comparison.path(comparison.choice).branch:
            pictures["months"] = _image(charts.money_by_month(comparison, comparison.choice))
    pictures["photographs"] = _photographs(comparison)
    if drawn:
        pictures["outline"] = _image(unit_drawing(comparison.museum, comparison.vehicle, drawn))
        way = strip(comparison, drawn)
        if way.stretches:
            pictures["route"] = _image(route_strip(way))
    return pictures


#: Photographs in the annex, and what each may take [byte]: the page is sent by mail.
_PHOTOGRAPHS, _BYTES = 3, 30_000


def _photographs(comparison: Comparison) -> list[dict[str, Any]]:
    """Return the first photographs of a unit, made small; what cannot be shown is named by `check`."""
    shown = []
    for found in photographs_of(comparison.museum, comparison.vehicle)[:_PHOTOGRAPHS]:
        with contextlib.suppress(PlannerError):
            small = found.small(640, _BYTES)
            address = Markup("data:image/jpeg;base64," + base64.b64encode(small.jpeg).decode("ascii"))
            size = {"width": small.width * 2 // 3, "height": small.height * 2 // 3}
            shown.append({"src": address, "alt": found.caption, "caption": found.caption, **size})
    return shown


def _cells(told: Described) -> list[list[dict[str, Any]]]:
    """Return the cells of a table: what stands over each, its words, its mark, and how it is set."""
    titles, kinds = told.titles(), [_CSS.get(heading.kind, "number" if heading.numeric else "") for heading in told.headings]
    return [
        [
            {"heading": title, "text": text, "css": kind, "mark": _marks(value)}
            for title, kind, value, text in zip(titles, kinds, row, words, strict=True)
        ]
        for row, words in zip(told.rows, told.cells(), strict=True)
    ]


_CSS = {"text": "", "date": "date"}


def _marks(value: Any) -> Markup:
    return Markup(charts.chip(value.number) + " ") if isinstance(value, Marked) and value.title else Markup("")


def _image(chart: charts.Chart) -> dict[str, Any]:
    # Percent-encoding only what an address must not hold is a fifth smaller than base64.
    data = quote(charts.svg(chart).decode().replace('"', "'"), safe="!$&'()*+,-./:;=?@_~")
    width, height = (round(96 * inches) for inches in chart.figure.get_size_inches())
    address = Markup("data:image/svg+xml," + data.replace("&", "%26"))
    return {"src": address, "alt": chart.alt, "width": width, "height": height}


def _template(name: str) -> str:
    return resources.files("heritagemove.hand_over.page").joinpath("templates", name).read_text(encoding="utf-8")


def _usd(value: float | None) -> str:
    return "unknown" if value is None else f"{value:z,.0f}"


def _date(value: str | None) -> str:
    return "–" if value is None else show_date(dt.date.fromisoformat(value))
