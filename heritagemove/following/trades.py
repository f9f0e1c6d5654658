"""Who is paid for which cost line: the trades that a museum asks for a price."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

import numpy as np

from heritagemove.compare.results import Comparison
from heritagemove.museum.drivers import at_stage
from heritagemove.museum.museum import Museum
from heritagemove.whole_site.likely_lines import LikelyLine, likely_lines

#: Who is asked, and the drivers that only this trade is paid by.
TRADES = {
    "hauler": ("haul_distance", "truck_haul_distance", "body_loads", "truck_loads", "loose_axle_loads", "overweight_loads",
               "over_height_loads", "superloads", "road_days", "pilot_cars", "police_cars", "utility_crews", "line_days",
               "shift_distance", "shift_days", "shift_machines", "jurisdictions", "states", "borders"),
    "crane_firm": ("lifts", "lift_days", "crane_hours", "crane_calls", "rigging_days"),
    "railroad": ("class_one_distance", "carriers", "short_lines", "class_one_carriers", "exception_requests",
                 "special_trains", "regular_train_cars", "rail_days", "flat_cars", "special_flat_cars", "flat_car_days",
                 "rider_days", "high_wide_loads", "railroad_entries", "flagging_days", "track_agreements"),
    "shop": ("axles", "journal_boxes", "plain_journal_boxes", "motors", "motors_to_refit", "axles_to_convert_later",
             "trucks", "brasses_to_replace", "wheelsets_to_renew", "draft_gear_repairs", "safety_appliance_repairs",
             "draft_ends", "brake_sets", "rod_sets"),
}  # fmt: skip


def lines_of(comparison: Comparison, path: str, trade: str) -> tuple[LikelyLine, ...]:
    """Return the cost lines of a path that one trade is paid for; where something is unknown, without what they cost."""
    by_line, priced = _trades(comparison.museum), comparison.path(path).cost is not None
    lines = likely_lines(comparison, path).lines if priced else _unpriced(comparison, path)
    return tuple(row for row in lines if by_line[row.line.path, row.line.line] == trade)


def _unpriced(comparison: Comparison, path: str) -> Iterable[LikelyLine]:
    """Yield the cost lines of a path that nobody can price yet, with what is known of how much they need."""
    museum, amounts = comparison.museum, comparison.path(path).work.amounts
    for line in museum.of_path("cost_lines", path):
        names = (line.driver, line.times) if line.times else (line.driver,)
        keys = [at_stage(name, line.stage) if at_stage(name, line.stage) in amounts else name for name in names]
        known = [None if amounts.get(key) is None else float(np.median(amounts[key])) for key in keys]
        if 0.0 not in known:
            price = ((1.0, ((museum.rates_of(line.rate)[0], 1.0),)),)
            yield LikelyLine(line, tuple(zip(keys, known, strict=True)), 0.0, 0.0, price, 1.0, 0.0, 0.0, {})


def _trades(museum: Museum) -> dict[tuple[str, str], str | None]:
    """Return the trade of each cost line: by its drivers, else by its phase, else that of the others of its market."""
    own = {trade: set(drivers) for trade, drivers in TRADES.items()}
    market = {row.rate: row.market for row in museum.rates}
    found: dict[tuple[str, str], str | None] = {}
    votes: dict[str | None, Counter[str]] = {}
    for line in museum.cost_lines:
        trade = next((t for t, drivers in own.items() if {line.driver, line.times} & drivers), None)
        trade = "shop" if line.phase == "shop" else trade
        found[line.path, line.line] = trade
        if trade and market[line.rate]:
            votes.setdefault(market[line.rate], Counter())[trade] += 1
    for line in museum.cost_lines:
        of_market = votes.get(market[line.rate])
        if found[line.path, line.line] is None and of_market:
            trade = of_market.most_common(1)[0][0]
            surveys = trade == "shop" and line.phase == "front"  # the museum's mechanics look before any shop is asked
            found[line.path, line.line] = None if surveys else trade
    return found
