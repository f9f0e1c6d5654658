"""Requests for quotation: what a firm must know to price its part of a path, and what its price must say.

All of it is read from the rows. What they do not know is named, and the firm is asked for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.answers.task_tables import closed_seasons
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.following.trades import TRADES, lines_of
from heritagemove.museum.drivers import DRIVERS, driver_of
from heritagemove.museum.museum import Museum
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
_ASK = "not known"


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
    decided = f"We decide on {show_date(by)}: your answer must be with us before." if by else "Please answer at once."
    spans = _spans(comparison, result, lines)
    last = max((span[2] for span in spans), default=scenario.deadline)
    tables = [_load(museum, comparison.vehicle)]
    if trade in ("railroad", "shop"):
        tables.append(_running_gear(museum, comparison.vehicle))
    if trade in ("crane_firm", "hauler", "shop"):
        tables.append(_places(museum, result.path))
    if _MODES[trade]:
        tables += _route(museum, result, _MODES[trade])
    tables += [_dates(comparison, result, lines, spans), _price(comparison, lines)]
    missing = tuple(
        dict.fromkeys(f"{row[0]}: {heading}" for table in tables for row in table.rows
                      for heading, value in zip(table.titles(), row, strict=True) if value == _ASK)
    )  # fmt: skip
    return Request(
        trade=trade,
        heading=f"Request for quotation to a {_CALLED[trade]}: {name}",
        lead=(
            f"{scenario.name}, {scenario.place}, asks for your price: {result.title}, from "
            f"{' to '.join(dict.fromkeys(ends)) or scenario.site} (our path {result.number}).",
            f"{decided} Please hold your price until {show_date(last)}, or say until when it holds.",
            f"The unit must be off the site by {show_date(scenario.deadline)}. Weights and measures are what we know today "
            f"({_source(unit)}); tolerances stand beside them.",
        ),
        tables=tuple(tables),
        form=_form(comparison, trade, lines),
        missing=missing,
        cautions=tuple(row.text for row in museum.cautions if {"every", _CAUTIONS[trade]} & set(row.screens)),
    )


def _source(row: Any) -> str:
    return f"{row.basis}: {row.source}"


def _load(museum: Museum, vehicle: str) -> Described:
    """Return what is to be moved: the unit and its pieces."""
    unit, shown = museum.vehicle(vehicle), _shown(museum)

    def weight(row: Any) -> str:
        if row.weight is None:
            return _ASK
        tolerance = unit.weight_tolerance.m_as("percent")
        return f"{shown(row.weight)}, give or take {tolerance:g} %"

    def centre(row: Any) -> str:
        height, offset = row.centre_of_gravity_height, row.centre_of_gravity_offset
        if height is None and row is not unit:
            return "not known for the piece: see the unit"
        where = "ahead of" if offset is not None and offset.m_as("ft") >= 0 else "behind"
        ahead = f"along its length {_ASK}" if offset is None else f"{shown(abs(offset))} {where} its middle"
        return f"{shown(height)} above the rail; {ahead}"

    body = museum.body(vehicle)
    pieces = [body if row.piece == body.piece else row for row in museum.pieces_of(vehicle) if row.kind != "whole"]
    spread = f", lift points {shown(unit.lift_spread)} apart" if unit.lift_spread is not None else ""
    return described(
        f"What is to be moved: {unit.name}, truck centres {shown(unit.truck_centres)}{spread}",
        (
            Heading("Piece", lambda row: "The unit as it stands" if row is unit else row.title),
            Heading("Count", lambda row: 1 if row is unit else row.count, "whole"),
            Heading("Weight of one", weight),
            Heading("Length", lambda row: shown(row.length)),
            Heading("Width", lambda row: shown(row.width)),
            Heading("Height", lambda row: shown(row.height)),
            Heading("Underside", lambda row: "on its wheels" if row is unit or row.wheels_on else shown(row.underside)),
            Heading("Centre of gravity", centre),
        ),
        [unit, *pieces],
    )


def _running_gear(museum: Museum, vehicle: str) -> Described:
    unit, shown, axles = museum.vehicle(vehicle), _shown(museum), museum.axles_of(vehicle)
    loads = [row.load for row in axles]
    heaviest = _ASK if not loads or None in loads else shown(max(loads))
    return facts(
        "What it runs on",
        [
            ("Axles, and the heaviest axle load as it stands", f"{len(axles)}; {heaviest}"),
            ("Bearings, as found", unit.bearing.replace("_", " ")),
            ("Journals, inches", f"{unit.journal}, {unit.journal_position} boxes" if unit.journal else _ASK),
            ("Wheel diameter; coupler height", f"{shown(unit.wheel_diameter)}; {shown(unit.coupler_height)}"),
            ("Sharpest curve it may take", shown(unit.sharpest_curve)),
            ("Brakes", unit.brakes),
            ("Couplers and draft gear", unit.draft_gear),
            ("Hazards", unit.hazards),
        ],
    )


def _places(museum: Museum, path: str) -> Described:
    stages, shown = museum.stages_of(path), _shown(museum)
    names = dict.fromkeys(place for stage in stages for place in (stage.from_place, stage.to_place))
    yes = {"yes": "yes", "no": "no", "not_needed": "no line within reach", None: _ASK}

    def line(row: Any) -> str:
        if row.power_lines_cleared == "not_needed":
            return "no line within reach"
        cleared = yes[row.power_lines_cleared]
        return f"{shown(row.power_line_voltage)} at {shown(row.power_line_distance)}; cleared: {cleared}"

    return described(
        "From where to where",
        (
            Heading("Place", lambda row: row.title),
            Heading("Owner", lambda row: row.owner),
            Heading("Ground", lambda row: row.soil.replace("_", " ") if row.soil else _ASK),
            Heading("Pad under a float", lambda row: shown(row.pad_area)),
            Heading("Radius to the hook", lambda row: shown(row.radius)),
            Heading("Headroom", lambda row: shown(row.headroom)),
            Heading("Power line", line),
            Heading("Crane gets in", lambda row: yes[row.crane_access]),
            Heading("Buried services marked", lambda row: yes[row.services_located]),
        ),
        [row for name in names for row in museum.places if row.place == name],
    )


def _route(museum: Museum, result: PathResult, modes: Sequence[str]) -> Iterable[Described]:
    legs = [leg for stage in museum.stages_of(result.path) for leg in museum.legs_of(stage) if leg.mode in modes]
    taken = {leg.leg for leg in legs}
    legs += [leg for leg in museum.legs if leg.detour_for and leg.mode in modes
             and any(row.bridge == leg.detour_for and row.leg in taken for row in museum.bridges)]  # fmt: skip
    shown, road = _shown(museum), "road" in modes

    def wires(leg: Any) -> str:
        return "none" if leg.wires == 0 else f"{leg.wires or _ASK}, {shown(leg.lowest_wire)}"

    def turn(leg: Any) -> str:
        if leg.turn_angle is not None and not leg.turn_angle.magnitude:
            return "none"
        return f"{shown(leg.turn_angle)}, outer radius {shown(leg.turn_outer_radius)}, {shown(leg.turn_width)} wide"

    own = (Heading("Wires, lowest", wires), Heading("Tightest turn", turn)) if road else (
        Heading("Sharpest curve", lambda leg: shown(leg.curve)),
        Heading("Gross limit", lambda leg: shown(leg.gross_limit)),
        Heading("Side clearance", lambda leg: shown(leg.clear_half_width)),
    )  # fmt: skip
    if not legs:
        return
    yield described(
        "Route as we know it: the way is yours to confirm",
        (
            Heading("Stretch", lambda leg: leg.name + (" (detour, if a bridge asks for it)" if leg.detour_for else "")),
            Heading("Length", lambda leg: shown(leg.length)),
            Heading("Lowest structure", lambda leg: shown(leg.clear_height)),
            *own,
            Heading("Owner's rules", lambda leg: leg.policy),
        ),
        legs,
    )
    bridges = [row for row in museum.bridges if row.leg in taken]
    if bridges:
        yield described(
            "Bridges on it",
            (
                Heading("Bridge", lambda row: row.title),
                Heading("Span", lambda row: shown(row.span)),
                Heading("Rating, normal and maximum", lambda row: f"{row.normal or '?'} and {row.maximum or '?'} "
                        + ("Cooper E" if row.rating == "cooper_e" else "x HS20")),
                Heading("Weight sign", lambda row: "none seen" if row.posted_limit is None else shown(row.posted_limit)),
                Heading("Note", lambda row: row.note or ""),
            ),
            bridges,
        )  # fmt: skip


def _spans(comparison: Comparison, result: PathResult, lines: Sequence[LikelyLine]) -> list[tuple[str, Any, Any]]:
    """Return the tasks of some lines, decided at the meeting that the decision names, with their first and last days."""
    museum, played = comparison.museum, comparison.decision.played
    meeting = played.policy.meeting if played else None
    dates = simulate(museum, result.path, result.work, comparison.samples, decided=meeting).dates
    tasks = {entry.line.task for entry in lines}
    return [
        (row.title, date_of(museum, float(np.median(dates.ready[row.task]))),
         date_of(museum, float(np.percentile(dates.finish[row.task], 80)) - 1))
        for row in museum.of_path("tasks", result.path)
        if row.task in tasks
    ]  # fmt: skip


def _dates(
    comparison: Comparison, result: PathResult, lines: Sequence[LikelyLine], spans: Sequence[tuple[str, Any, Any]]
) -> Described:
    tasks = {entry.line.task for entry in lines}
    calendars = {row.calendar for row in comparison.museum.of_path("tasks", result.path) if row.task in tasks}
    closed = {
        (f"Closed: {why}", first, last)
        for calendar in calendars
        for first, last, why in closed_seasons(comparison, result.path, calendar)
    }
    return described(
        "When: work begins as likely as not on the first day, and is done by the last in four cases of five",
        (
            Heading("What", lambda row: row[0]),
            Heading("From", lambda row: row[1], "date"),
            Heading("To", lambda row: row[2], "date"),
        ),
        [*spans, *sorted(closed, key=lambda row: row[1])],
    )


def _price(comparison: Comparison, lines: Sequence[LikelyLine]) -> Described:
    """Return the work that the price must hold, with each driver that it is counted by, and blanks to fill."""
    system = comparison.museum.scenario.units

    def counted(entry: LikelyLine) -> tuple[str, ...]:
        return tuple(_amount(key, amount, system) for key, amount in entry.amounts)

    def least(entry: LikelyLine) -> str:
        return f"we know of a minimum of {entry.least:g}" if entry.least else "say if there is one"

    return described(
        "What the price must hold, as we count it: please correct the count where you count otherwise",
        (
            Heading("Work", lambda entry: entry.line.title),
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
        return f"{driver.meaning}: {_ASK}"
    measured = driver.unit in ("mile", "short_ton", "ft")
    said = show_measure(Quantity(amount, driver.unit), system) if measured else f"{amount:,.6g}"
    return f"{driver.meaning}: {said}"


def _form(comparison: Comparison, trade: str, lines: Sequence[LikelyLine]) -> Described:
    museum, currency = comparison.museum, comparison.museum.scenario.currency
    quoted = ("Firm", "Amount in all, " + currency, "Date of the quote", "Holds until", "Firm price or budgetary",
              "What is in it", "What is not in it", f"Standby, {currency} an hour", "If we cancel",
              "Earliest day, and days' notice", "Name and signature")  # fmt: skip
    gaps = [(f"In the amount, or its price: {gap}", "") for gap in _USUAL_GAPS[trade]]
    risks = [row.title for row in museum.of_path("risks", lines[0].line.path) if row.task in {e.line.task for e in lines}]
    asked = [(f"Who bears it: {title}", "") for title in risks[:4]]
    return facts("Your answer", [*((name, "") for name in quoted), *gaps, *asked], ("Please fill in", "Answer"))


def _shown(museum: Museum) -> Any:
    def shown(quantity: Any) -> str:
        if quantity is None:
            return _ASK
        unit = "" if quantity.dimensionless else f"{quantity.units:~}"
        plain = f"{quantity.magnitude:g} {unit}"
        return plain if unit in ("kV",) else show_measure(quantity, museum.scenario.units)

    return shown
