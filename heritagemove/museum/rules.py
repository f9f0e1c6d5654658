"""Rules that relate several tables: networks without a loop, units that multiply to money, shares of one whole."""

from __future__ import annotations

import graphlib
import itertools
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from heritagemove.files.tables import Problem
from heritagemove.museum import price_rules, references, survey_rules
from heritagemove.museum.bases import named_values
from heritagemove.museum.calendars import open_days, opens, rules_of
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.half_changed import half_converted, half_renamed
from heritagemove.museum.references import listed, own_money, problem, read_or_none, same_kind, shown
from heritagemove.museum.rows.pieces import BODIES
from heritagemove.museum.rows.tasks import LEAVING
from heritagemove.museum.stage_rules import stages_in_order
from heritagemove.museum.trailer_rules import standing_trailers
from heritagemove.units import units


def cross_table_problems(museum: Any) -> list[Problem]:
    """Return every problem between the tables of a museum, in no particular order.

    An id or a currency that was changed in one place only is told once, and what follows from it is not.
    """
    if once := [*half_renamed(museum), *half_converted(museum)]:
        return once
    shared = (references.unique, references.agreeing, references.references, references.in_sequence, references.one_currency)
    work = (_networks, _waits, stages_in_order, _bridges, _money_units, _quantities, _calendars, _seasons, _inquiries,
            _invoices)  # fmt: skip
    unit = (_pieces, _axles, _load_charts, _radii, standing_trailers, *survey_rules.RULES, *price_rules.PRICE_RULES)
    return [found for rule in (*shared, *work, *unit, named_values, _scenario) for found in rule(museum)]


def _networks(museum: Any) -> Iterable[Problem]:
    for path in museum.paths:
        tasks = {row.task: row for row in museum.tasks if row.path == path.path}
        if (path.saves or museum.stages_of(path.path)) and not museum.of_path("gates", path.path):
            yield problem("paths", path, "path", "a path with at least one row in gates.csv, or nothing of it is checked")
        if not tasks:
            yield problem("paths", path, "path", "a path with at least one row in tasks.csv")
            continue
        graph = {name: [other for other in row.after if other in tasks and other != name] for name, row in tasks.items()}
        try:
            graphlib.TopologicalSorter(graph).prepare()
        except graphlib.CycleError as error:
            loop = error.args[1][::-1]
            yield problem("tasks", tasks[loop[0]], "after", "no loop among the tasks", " -> ".join(loop))
        yield from _milestones(museum, path, tuple(tasks.values()))


def _milestones(museum: Any, path: Any, tasks: tuple[Any, ...]) -> Iterable[Problem]:
    """Check that a path is decided, leaves the site and arrives once, and arrives only where it ends at a museum."""
    for names in (("decision",), LEAVING, ("arrived",)):
        marked = [row for row in tasks if {*names} & {*row.milestone}]
        for row in marked[1:]:
            allowed = f"one {' or '.join(names)} task a path; row {marked[0].row_number} is it"
            yield problem("tasks", row, "milestone", allowed, "; ".join(row.milestone))
        if path.saves and names == LEAVING and not marked:
            yield problem("paths", path, "saves", "no, or a task of this path with the milestone leaves or off_site", "yes")
        for row in marked:
            if "arrived" in row.milestone and (museum.interim(path.path) or not museum.stages_of(path.path)):
                allowed = "no arrived on a path that ends at no museum"
                yield problem("tasks", row, "milestone", allowed, "; ".join(row.milestone))


def _waits(museum: Any) -> Iterable[Problem]:
    """Check that a fund for which a task waits is for any unit, and does not itself wait for the move."""
    funds = {row.fund: row for row in museum.funds}
    for row in museum.tasks:
        fund = funds.get(row.fund)
        if fund is not None and (fund.units or fund.condition):
            allowed = f"a fund for any unit and without a condition; funds.csv row {fund.row_number} has one"
            yield problem("tasks", row, "fund", allowed)


def _bridges(museum: Any) -> Iterable[Problem]:
    """Check that the bridges which a leg is said to have are listed, and that it has none where none is said."""
    crossed = {row.leg for row in museum.bridges}
    for leg in museum.legs:
        if leg.bridges == "listed" and leg.leg not in crossed:
            yield problem("legs", leg, "bridges", "none, or blank while nobody has said, as bridges.csv has none", "listed")
        if leg.bridges == "none" and leg.leg in crossed:
            yield problem("legs", leg, "bridges", "listed, as bridges.csv has one of it", "none")


_SUCH_AS = "a unit such as {money}/crane_hour, {money}/mile/load, {money} or percent"


def _money_units(museum: Any) -> Iterable[Problem]:
    own, rate_units = museum.scenario.currency, defaultdict(list)
    for row in museum.rates:
        unit = read_or_none(units.unit_of, row.unit)
        if unit is None:
            yield problem("rates", row, "unit", _SUCH_AS.format(money=own))
        elif units.currencies(unit) - {own}:
            yield problem("rates", row, "unit", own_money(own))
        rate_units[row.rate].append((row, unit))
    for rate, entries in rate_units.items():
        for row, _ in entries[1:]:
            if (row.equipment is None) != (entries[0][0].equipment is None):
                yield problem("rates", row, "equipment", f"{rate} priced either for all equipment or by each", "")
    if museum.scenario.holdover_rate not in rate_units:
        holdover = museum.scenario.holdover_rate
        yield Problem("museum.toml", 0, "holdover_rate", holdover, listed(holdover, rate_units))
    used: dict[str, list[tuple[Any, Any]]] = {}
    for line in museum.cost_lines:
        quantity = read_or_none(units.unit_of, line.factor_unit) if line.factor_unit else units.REGISTRY.Unit("")
        drivers = [driver for driver in (line.driver, line.times) if driver]
        if quantity is None:
            yield problem("cost_lines", line, "factor_unit", "a unit such as labor_hour/axle, or blank")
        elif all(driver in DRIVERS for driver in drivers):
            for driver in drivers:
                quantity = quantity * units.unit_of(DRIVERS[driver].unit)
            used.setdefault(line.rate, []).append((line, quantity))
    for rate, lines in used.items():
        for row, unit in rate_units.get(rate, []):
            if unit is not None:
                yield from _not_money(row, unit, lines, own)


def _not_money(rate: Any, unit: Any, lines: list[tuple[Any, Any]], money: str) -> Iterable[Problem]:
    """Blame the rate where it fits none of the lines that use it, else each line that it does not fit."""
    unfit = [(line, quantity) for line, quantity in lines if not units.is_money(unit * quantity)]
    if len(unfit) == len(lines):
        line, quantity = unfit[0]
        wanted = f"a unit that gives {money}, such as {units.REGISTRY.Unit(money) / quantity:~P}"
        used = f" (used with driver {line.driver} in cost_lines.csv row {line.row_number})"
        yield problem("rates", rate, "unit", wanted + used)
        return
    for line, _ in unfit:
        priced = f"a driver and a factor_unit that give {money} at a price in {rate.unit} (rates.csv row {rate.row_number})"
        yield problem("cost_lines", line, "driver", priced)


def _quantities(museum: Any) -> Iterable[Problem]:
    given = {(row.vehicle, row.path, row.driver) for row in museum.quantities}
    for line in museum.cost_lines:
        for driver in {line.driver, line.times} - {None}:
            if driver not in DRIVERS or DRIVERS[driver].origin != "quantity":
                continue
            for vehicle in museum.vehicles:
                spellings = [(v, p, driver) for v in (vehicle.vehicle, "any") for p in (line.path, "any")]
                if not any(spelling in given for spelling in spellings):
                    allowed = f"a driver with a row in quantities.csv for {vehicle.vehicle} or any, and {line.path} or any"
                    yield problem("cost_lines", line, "driver", allowed, driver)
                    break


def _calendars(museum: Any) -> Iterable[Problem]:
    """Check that no calendar includes itself, and that one that says when work is done, or that a task is on, opens."""
    by_name: dict[str, list[Any]] = {}
    for row in museum.calendars:
        by_name.setdefault(row.calendar, []).append(row)
    includes = {name: [row.includes for row in group if row.includes in by_name] for name, group in by_name.items()}
    try:
        graphlib.TopologicalSorter(includes).prepare()
    except graphlib.CycleError as error:
        loop = error.args[1][::-1]
        row = next(row for row in by_name[loop[0]] if row.includes == loop[1])
        yield problem("calendars", row, "includes", "no calendar that includes itself", " -> ".join(loop))
        return
    used = {row.calendar for row in museum.tasks}
    for name, group in by_name.items():
        rules = [each.rule for each in rules_of(museum.calendars, name)]
        of_work = name in used or any(map(opens, rules))
        if of_work and not open_days(rules, museum.scenario.start).any():
            yield problem("calendars", group[0], "calendar", "a calendar with a working day after the start date", name)


def _seasons(museum: Any) -> Iterable[Problem]:
    """Check that a risk which makes a closed season longer names a closure of its calendar, once a path."""
    closures: dict[str, dict[str, Any]] = {}
    for rule in museum.calendars:
        if rule.rule == "closed":
            closures.setdefault(rule.calendar, {})[str(rule.first)] = rule
    seen: dict[Any, int] = {}
    for row in museum.risks:
        if not row.stretches or row.stretches not in {rule.calendar for rule in museum.calendars}:
            continue
        own = closures.get(row.stretches, {})
        closure = own.get(str(row.closed_from))
        if closure is None:
            there = f"first day of a closed season of {row.stretches}, {', '.join(own) or 'which has none'}"
            allowed = f"{there}; where that season was taken out, no such risk"
            yield problem("risks", row, "closed_from", allowed)
        elif row.needs != closure.needs:
            yield problem("risks", row, "needs", f"{closure.needs or 'blank'}, as in calendars.csv row {closure.row_number}")
        key = row.path, row.stretches
        if key in seen:
            yield problem("risks", row, "stretches", f"one such risk a path and calendar; row {seen[key]} is it")
        seen.setdefault(key, row.row_number)


def _pieces(museum: Any) -> Iterable[Problem]:
    """Check that a unit is carried as something, and that no piece nor all together are more than the unit."""
    for unit in museum.vehicles:
        pieces = museum.pieces_of(unit.vehicle)
        if not any(piece.kind in BODIES for piece in pieces):
            yield problem("vehicles", unit, "vehicle", "a unit with a row of kind whole or body in pieces.csv")
        bounds = {"weight": unit.weight, "length": unit.length, "width": unit.width, "underside": unit.height,
                  "height": unit.height}  # fmt: skip
        wrong = [
            problem("pieces", piece, name, f"at most that of its unit, {shown(most)}", shown(found))
            for piece in pieces
            for name, most in bounds.items()
            if most is not None and (found := getattr(piece, name)) is not None and found > most
        ]
        yield from wrong
        if wrong or unit.weight is None or any(piece.weight is None for piece in pieces):
            continue
        together = sum((piece.weight * piece.count for piece in pieces), units.Quantity(0.0, "lb"))
        if together > 1.02 * unit.weight:
            most = f"at most {units.show(unit.weight)} with its other pieces, as the unit weighs"
            added = f"{most}; its rows add up to {units.show(together)}"
            yield problem("pieces", max(pieces, key=lambda piece: piece.weight * piece.count), "weight", added)


def _axles(museum: Any) -> Iterable[Problem]:
    for vehicle in museum.vehicles:
        axles = museum.axles_of(vehicle.vehicle)
        if not axles:
            yield problem("vehicles", vehicle, "vehicle", "a unit with at least one row in axles.csv")
        if vehicle.length is not None and axles and axles[-1].position > vehicle.length:
            yield problem("axles", axles[-1], "position", f"at most the length over couplers, {shown(vehicle.length)}")
        for before, after in itertools.pairwise(axles):
            if after.position <= before.position:
                yield problem("axles", after, "position", f"more than the axle before it, {shown(before.position)}")

        loads = [row.load for row in axles]
        if axles and None not in (vehicle.weight, *loads) and not vehicle.loads_differ:
            total = sum(loads)
            if abs(total - vehicle.weight) > 0.02 * vehicle.weight:
                allowed = f"the sum of its axle loads, {units.show(total, 'lb')}, within 2 %, or the reason in loads_differ"
                yield problem("vehicles", vehicle, "weight", allowed)


def _load_charts(museum: Any) -> Iterable[Problem]:
    charts: dict[str, list[Any]] = {}
    for row in museum.cranes:
        charts.setdefault(row.crane, []).append(row)
    for chart in charts.values():
        for near, far in itertools.pairwise(sorted(chart, key=lambda row: row.radius)):
            if far.capacity > near.capacity:
                allowed = f"at most what it lifts nearer, {shown(near.capacity)} at {shown(near.radius)}"
                yield problem("cranes", far, "capacity", allowed)


def _radii(museum: Any) -> Iterable[Problem]:
    """Refuse a radius at which not even the narrowest body hangs clear of the slimmest crane: no geometry allows it."""
    clearance = next((row.quantity for row in museum.limits if row.limit == "crane_clearance"), None)
    widths = {row.vehicle: row.width for row in museum.vehicles}
    wide = [row.width or widths.get(row.vehicle) for row in museum.pieces if row.kind in BODIES]
    slim = [(row.outrigger_half_spread, row.tail_swing) for row in museum.cranes]
    if clearance is None or None in wide or not wide or not slim or None in {each for pair in slim for each in pair}:
        return
    least = min(max(pair) for pair in slim) + clearance + min(wide) / 2
    for row in museum.places:
        if row.radius is not None and row.radius < least:
            allowed = f"at least {shown(least)}: outriggers or tail of the slimmest crane, air, half of the narrowest body"
            yield problem("places", row, "radius", allowed)


def _invoices(museum: Any) -> Iterable[Problem]:
    """Check that an invoice bills a quote for its own unit and path."""
    quotes = {row.quote: (row.vehicle, row.path) for row in museum.quotes}
    for row in museum.actuals:
        if quotes.get(row.quote, (row.vehicle, row.path)) != (row.vehicle, row.path):
            own = [quote for quote, of in quotes.items() if of == (row.vehicle, row.path)]
            yield problem("actuals", row, "quote", listed(row.quote, own))


def _inquiries(museum: Any) -> Iterable[Problem]:
    """Check that an inquiry asks about a gate that a task settles, or about a risk of its path."""
    gates = {row.gate for row in museum.gates if row.task}
    for row in museum.inquiries:
        allowed = gates if row.about == "gate" else {risk.risk for risk in museum.of_path("risks", row.path)}
        if row.subject is not None and row.subject not in allowed:
            yield problem("inquiries", row, "subject", listed(row.subject, allowed))


def _scenario(museum: Any) -> Iterable[Problem]:
    for name, slider in museum.scenario.sliders.items():
        if name not in DRIVERS:
            yield Problem("museum.toml", 0, f"sliders.{name}", name, listed(name, DRIVERS))
        elif not same_kind(slider.unit, DRIVERS[name].unit):
            yield Problem("museum.toml", 0, f"sliders.{name}.unit", slider.unit, DRIVERS[name].unit)
        if not slider.low < slider.high:
            yield Problem("museum.toml", 0, f"sliders.{name}.low", f"{slider.low:g}", f"less than high, {slider.high:g}")
    scenario = museum.scenario
    if scenario.deadline <= scenario.start:
        yield Problem("museum.toml", 0, "deadline", f"{scenario.deadline}", f"a date after the start, {scenario.start}")
    markets = {row.market for row in (*museum.rates, *museum.tasks)} - {None}
    for name in scenario.correlation.markets:
        if name not in markets:
            yield Problem("museum.toml", 0, f"correlation.markets.{name}", name, listed(name, markets))
    if museum.criteria and not any(row.weight for row in museum.criteria):
        yield problem("criteria", museum.criteria[0], "weight", "more than 0 for one criterion at least")
    if not museum.vehicles:
        yield Problem("vehicles.csv", 0, "", "no rows", "at least one unit")
