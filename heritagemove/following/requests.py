"""Requests for quotation: what a firm must know to price its part of a path, and what its price must say.

All of it is read from the rows. What they do not know is named, and the firm is asked for it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.answers.task_tables import closed_seasons
from heritagemove.checks.gates.carriage import arrange
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.following.hauler_loads import (
    as_assumed,
    bogies,
    hauled_legs,
    permit_givers,
    road_loads,
    wants_high_pole,
)
from heritagemove.following.request_tables import (
    ASK,
    all_pieces,
    legs_by,
    load_table,
    places_table,
    running_gear_table,
    way_tables,
    worded,
)  # fmt: skip
from heritagemove.following.trades import TRADES, lines_of
from heritagemove.museum.drivers import DRIVERS, driver_of
from heritagemove.trials.simulation import date_of, simulate
from heritagemove.units.described import Described, Heading, described, facts
from heritagemove.units.measures import show_measure
from heritagemove.units.units import PlannerError, Quantity
from heritagemove.units.words import near_miss, show_date, without_brackets
from heritagemove.whole_site.likely_lines import LikelyLine

_CALLED = {"hauler": "heavy hauler", "crane_firm": "crane firm", "railroad": "railroad", "shop": "shop"}
#: What a price of each trade leaves out most often: the firm says whether it is in.
_USUAL_GAPS = {
    "hauler": ("permits of each state, county and town", "escort cars and police", "crews that lift wires",
               "standby and detention, an hour", "minimum hire", "return of the empty trailer", "mats and plates on the way",
               "insurance of the load", "tax"),
    "crane_firm": ("bringing the crane and counterweight, and taking them away", "minimum hire", "standby, an hour",
                   "mats and a ground report", "rigging, spreader and slings", "lift plan by a qualified person",
                   "lift director and signaller", "permits for the crane on the road", "wind and weather days", "tax"),
    "railroad": ("handling over each railroad of the way", "inspections before the move", "clearance file",
                 "special train, where one is asked for", "flagger", "rider's transport", "waits at interchanges", "tax"),
    "shop": ("freight both ways", "parts beyond the count", "building up of worn surfaces",
             "ultrasonic test and certificates", "storage until it is fetched", "standby, an hour", "tax"),
}  # fmt: skip
_MODES = {"hauler": ("road", "ground"), "crane_firm": (), "railroad": ("rail",), "shop": ()}
_CAUTIONS = {"hauler": "road", "crane_firm": "lifting", "railroad": "rail", "shop": "jacking"}
#: An answer that is to be put to a meeting comes so many days before it [day]. Common practice, no source.
_BEFORE_MEETING = dt.timedelta(7)


@dataclass(frozen=True)
class Request:
    """What one firm is asked for."""

    trade: str  # one of TRADES
    heading: str
    lead: tuple[str, ...]  # who asks, for what, by when
    tables: tuple[Described, ...]  # load, places, route, dates, what the price must hold
    form: Described  # to fill
    missing: tuple[str, ...]  # what nobody knows yet
    cautions: tuple[str, ...]


def request(comparison: Comparison, trade: str, path: str | None = None) -> Request:
    """Return the request for quotation to one trade.

    Parameters
    ----------
    trade : str
        hauler, crane_firm, railroad or shop.
    path : str, optional
        By default the choice, or the fallback where only that needs the trade.

    Raises
    ------
    PlannerError
        For another trade, or a path that has no line of it.
    """
    if trade not in TRADES:
        raise PlannerError(f'trade: found "{trade}"; allowed: {", ".join(TRADES)}{near_miss(trade, TRADES)}')
    museum = comparison.museum
    tried = [path] if path else [name for name in (comparison.choice, comparison.fallback) if name]
    for name in tried:
        museum.path(name)
        lines = lines_of(comparison, name, trade)
        if lines:
            return _request(comparison, comparison.path(name), trade, lines)
    found = ", ".join(tried) or "no path that is decided on"
    raise PlannerError(f"{trade}: found no cost line on {found}; allowed: a path that needs a {_CALLED[trade]}")


def _request(comparison: Comparison, result: PathResult, trade: str, lines: tuple[LikelyLine, ...]) -> Request:
    museum, scenario = comparison.museum, comparison.museum.scenario
    unit = museum.vehicle(comparison.vehicle)
    name = without_brackets(unit.name)
    titles, stages = {row.place: row.title for row in museum.places}, museum.stages_of(result.path)
    ends = [titles[stage.from_place] for stage in stages[:1]] + [titles[stage.to_place] for stage in stages[-1:]]
    by = comparison.decide_by
    reply = by - _BEFORE_MEETING if by and by - _BEFORE_MEETING > scenario.as_of else None
    answer = f"by {show_date(reply)}, so that it can be put to the meeting" if reply else "at once"
    decided = (f"We decide on {show_date(by)}. " if by else "") + f"Please answer {answer}."
    spans = _spans(comparison, result, lines)
    last = max((span[2] for span in spans), default=scenario.deadline)
    loads = road_loads(museum, unit.vehicle, result.path, lines) if trade == "hauler" else ()
    legs = hauled_legs(museum, result.path, loads) if loads else legs_by(museum, result, _MODES[trade])
    carried = [each.piece for each in loads] or all_pieces(museum, unit.vehicle)
    tables = [_who_asks(reply), load_table(museum, unit, carried, trade)]
    for each in loads:
        if each.by_road:
            title = "The unit as it stands" if each.piece is unit else each.piece.title
            tables.append(facts(f"On the road, as we assume it: {bogies(title)}", as_assumed(museum, each)))
    if trade in ("railroad", "shop"):
        tables.append(running_gear_table(museum, comparison.vehicle))
    if trade in ("crane_firm", "hauler", "shop"):
        tables.append(places_table(museum, result.path))
    tables += way_tables(museum, legs, "road" in _MODES[trade])
    if loads:
        tables.append(_terms(comparison, result.path, legs, lines))
    tables += [_dates(comparison, result, trade, lines, spans), _price(comparison, result.path, trade, lines)]
    missing = tuple(
        dict.fromkeys(f"{row[0]}: {heading}" for table in tables for row in table.rows
                      for heading, value in zip(table.titles(), row, strict=True) if value == ASK)
    )  # fmt: skip
    return Request(
        trade=trade,
        heading=f"Request for quotation to a {_CALLED[trade]}: {name}",
        lead=(
            f"{scenario.name}, {scenario.place}, asks for your price: {worded(trade, result.title)}, from "
            f"{' to '.join(dict.fromkeys(ends)) or scenario.site} (our path {result.number}).",
            f"{decided} Please hold your price until {show_date(last)}, or say until when it holds.",
            f"All must be off the site by {show_date(scenario.deadline)}. Weights and measures are what we know today "
            f"({_source(unit)}); tolerances stand beside them.",
        ),
        tables=tuple(tables),
        form=_form(comparison, trade, lines, wants_high_pole(museum, loads)),
        missing=missing,
        cautions=tuple(row.text for row in museum.cautions if {"every", _CAUTIONS[trade]} & set(row.screens)),
    )


def _source(row: Any) -> str:
    return f"{row.basis}: {row.source}"


def _who_asks(reply: dt.date | None) -> Described:
    """Return whom to answer: names and numbers are written in by hand, no table holds them."""
    blank = ("Contact", "Telephone", "E-mail", "Address to answer to")
    return facts("Who asks", [*((name, "") for name in blank), ("Answer by", show_date(reply) if reply else "at once")])


def _terms(comparison: Comparison, path: str, legs: Sequence[Any], lines: Sequence[LikelyLine]) -> Described:
    """Return what a hauler must know beside the load: who loads it, whose permits, and the way where no row tells one."""
    museum = comparison.museum
    cranes = lines_of(comparison, path, "crane_firm")
    crane = "by a crane firm of ours: not in your price" if cranes else "not ordered by us: say what you bring and need"
    told = [("Crane, loading and unloading", crane), ("Permits are given by", permit_givers(legs))]
    if not legs:
        titles, stages = {row.place: row.title for row in museum.places}, museum.stages_of(path)
        miles = next((a for e in lines for key, a in e.amounts if driver_of(key) == "truck_haul_distance" and a), None)
        about = f"about {show_measure(Quantity(miles, 'mile'), museum.scenario.units)}" if miles else "miles not known"
        ends = f"{titles[stages[0].from_place]} to {titles[stages[-1].to_place]}"
        told.append(("Route", f"to be proposed by you, from {ends}, {about}"))
    return facts("Terms", told)


def _spans(comparison: Comparison, result: PathResult, lines: Sequence[LikelyLine]) -> list[tuple[str, Any, Any]]:
    """Return the tasks that a firm is booked for, decided at the meeting that the decision names, with first and last days.

    What is done at the front, such as quotes and permits, books nobody: it stands only where a firm does nothing else.
    """
    museum, played = comparison.museum, comparison.decision.played
    meeting = played.policy.meeting if played else None
    dates = simulate(museum, result.path, result.work, comparison.samples, decided=meeting).dates
    tasks = {entry.line.task for entry in lines if entry.line.phase != "front"} or {entry.line.task for entry in lines}
    return [
        (row.title, date_of(museum, float(np.median(dates.ready[row.task]))),
         date_of(museum, float(np.percentile(dates.finish[row.task], 80)) - 1))
        for row in museum.of_path("tasks", result.path)
        if row.task in tasks
    ]  # fmt: skip


def _dates(
    comparison: Comparison,
    result: PathResult,
    trade: str,
    lines: Sequence[LikelyLine],
    spans: Sequence[tuple[str, Any, Any]],
) -> Described:
    tasks = {entry.line.task for entry in lines}
    calendars = {row.calendar for row in comparison.museum.of_path("tasks", result.path) if row.task in tasks}
    closed = {
        (f"Closed: {why}", first, last)
        for calendar in calendars
        for first, last, why in closed_seasons(comparison, result.path, calendar)
    }
    return described(
        "When: the window to keep for us; the day itself is agreed with you",
        (
            Heading("What", lambda row: row[0]),
            Heading("From, as likely as not", lambda row: row[1], "date"),
            Heading("Done by, four times in five", lambda row: row[2], "date"),
        ),
        [*((worded(trade, title), *ends) for title, *ends in spans), *sorted(closed, key=lambda row: row[1])],
    )


def _price(comparison: Comparison, path: str, trade: str, lines: Sequence[LikelyLine]) -> Described:
    """Return the work that the price must hold, with each driver that it is counted by, and blanks to fill."""
    museum, system = comparison.museum, comparison.museum.scenario.units
    taken = {leg.leg: leg for stage in museum.stages_of(path)
             for leg in arrange(museum, comparison.vehicle, path, stage.stage).road if leg.detour_for}  # fmt: skip
    detour = sum((leg.length for leg in taken.values()), Quantity(0.0, "mile"))

    def counted(entry: LikelyLine) -> tuple[str, ...]:
        return tuple(worded(trade, _amount(key, amount, system)) + way(key, amount) for key, amount in entry.amounts)

    def way(key: str, amount: float | None) -> str:
        if driver_of(key) != "haul_distance" or not detour or amount is None:
            return ""
        without = show_measure(Quantity(amount, "mile") - detour, system)
        return f", {show_measure(detour, system)} of detour in it only if a bridge asks for it ({without} without)"

    def least(entry: LikelyLine) -> str:
        return f"we know of a minimum of {entry.least:g}" if entry.least else "say if there is one"

    return described(
        "What the price must hold, as we count it: please correct the count where you count otherwise",
        (
            Heading("Work", lambda entry: worded(trade, entry.line.title)),
            Heading("Our count", counted),
            Heading("Priced by", lambda entry: _unit_of(entry)),
            Heading("Minimum hire", least),
            Heading("Your price", lambda _: ""),
            Heading("In the total? yes or no", lambda _: ""),
        ),
        lines,
    )


def _unit_of(entry: LikelyLine) -> str:
    unit = next((row.unit for _, rows in entry.prices for row, _ in rows), "")
    return unit.partition("/")[2].replace("_", " ") or unit


def _amount(key: str, amount: float | None, system: str) -> str:
    """Return how much of a driver is counted, in words."""
    driver = DRIVERS[driver_of(key)]
    if driver.name == "jobs":
        return "one price for the whole"
    if driver.name == "days_over":
        return f"a price for each of the {driver.meaning}"
    if amount is None:
        return f"{driver.meaning}: {ASK}"
    measured = driver.unit in ("mile", "short_ton", "ft")
    said = show_measure(Quantity(amount, driver.unit), system) if measured else f"{amount:,.6g}"
    return f"{driver.meaning}: {said}"


def _form(comparison: Comparison, trade: str, lines: Sequence[LikelyLine], high_pole: bool) -> Described:
    museum, currency = comparison.museum, comparison.museum.scenario.currency
    quoted = ("Firm", "Amount in all, " + currency, "Date of the quote", "Holds until", "Firm price or budgetary",
              "What is in it", "What is not in it", f"Standby, {currency} an hour", "If we cancel",
              f"Insurance: cover of the load, and liability, {currency}", "Payment terms, deposit",
              "Earliest day, and days' notice", "Name and signature")  # fmt: skip
    usual = (*_USUAL_GAPS[trade], *(["high-pole car"] if high_pole else []))
    gaps = [(f"In the amount, or its price: {gap}", "") for gap in usual]
    risks = [row.title for row in museum.of_path("risks", lines[0].line.path) if row.task in {e.line.task for e in lines}]
    asked = [(f"Who bears it: {worded(trade, title)}", "") for title in risks[:4]]
    return facts("Your answer", [*((name, "") for name in quoted), *gaps, *asked], ("Please fill in", "Answer"))
