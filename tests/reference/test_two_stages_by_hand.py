"""Two stages by hand: a boxcar by lowboy to a siding, from there by flat car to the museum, at fixed prices.

The body weighs 30,000 lb, its two trucks 16,000 lb: one lowboy takes the body, another both trucks. One crane lifts each
time. On the road, 30 miles: 5 mph in the 4 hours that the town leaves are 20 miles a day, so 1.5 days, 2 begun. On the
rails, 761 miles: 45 miles at 10 mph, 4.5 hours of a crew's 10: 1 day; 700 miles at 25 mph, 28 hours: 3 days; 15 miles at
15 mph and 1 mile at 5 mph, 1.2 hours: 1 day; two interchanges of 1 day each: 7 days. At each of two sites of a stage a
crane stands 8 hours: 2 of rigging in and out, and 3 for each of two lifts, which are 0.6 of a crew's day. At the siding
it is the same crane that lifts off the lowboy and on to the flat car: called once, rigged once, 2 and four times 3 are
14 hours, of which the first stage pays its 8; two crew days are begun, as they would be by two cranes.
"""

import datetime as dt

import numpy as np
import pytest
from changed_rows import change
from two_stages import RAIL, ROAD, road_then_rail

from heritagemove.compare.comparison import price_path
from heritagemove.museum.drivers import at_stage
from heritagemove.trials import estimating
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

UNIT = "boxcar"
LEGS = {
    "foundry_gate": {"length": "30 mile", "special_speed": "5 mph", "hours_a_day": "4 hour"},
    "drossley_and_orrin_fork": {"length": "45 mile", "special_speed": "10 mph"},
    "halcyon_trunk": {"length": "700 mile", "special_speed": "25 mph"},
    "tamber_river_northern": {"length": "15 mile", "special_speed": "15 mph"},
    "museum_spur": {"length": "1 mile", "special_speed": "5 mph"},
}
LIMITS = {
    "crane_per_lift": 3, "crane_minimum_hire": 4, "crew_day_hours": 10, "interchange_dwell_days": 1,
    "flat_car_hire_extra_days": 14,
}  # fmt: skip
#: Each line: stage (none: of the whole path), price [USD], quantity by hand, and where that comes from.
LINES = {
    "crane_calls": (None, 4_000, 3, "a crane at the foundry, at the siding and at the museum"),
    "crane_hours": (ROAD, 400, 16, "8 hours at two sites"),
    "rigging_crew": (ROAD, 6_500, 2, "a day begun at two sites"),
    "body_haul": (ROAD, 5, 30, "30 miles, one load"),
    "trailer_mobilization": (ROAD, 1_600, 1, "one load"),
    "trucks_by_lowboy": (ROAD, 4, 200, "one load of both trucks, the least charged"),
    "body_permits": (ROAD, 110, 1, "one load, and the road of this stage stays in one state"),
    "pilot_cars": (ROAD, 700, 2, "one car, for the load is high, two days"),
    "rail_crane_hours": (RAIL, 400, 14, "8 hours at the museum, 6 more at the siding"),
    "rail_rigging_crew": (RAIL, 6_500, 2, "a day begun at two sites"),
    "rail_flat_car_hire": (RAIL, 90, 21, "7 days on the rails and 14 of loading, waiting and return"),
    "rail_clearance_files": (RAIL, 600, 3, "three railroads"),
    "rail_dimensional_minimum": (RAIL, 20_000, 1, "one car on one main line"),
    "rail_dimensional_mileage": (RAIL, 15, 200, "700 miles of main line, 500 of them in the minimum"),
    "rail_short_line_handling": (RAIL, 1_100, 4, "two short lines, the loaded car and one more"),
}
#: 12,000 + 6,400 + 13,000 + 150 + 1,600 + 800 + 110 + 1,400 = 35,460 with the cranes' calls of both stages, and
#: 5,600 + 13,000 + 1,890 + 1,800 + 20,000 + 3,000 + 4,400 = 49,690 on the rails.
WHOLE = 85_150
#: Each task: what it waits for, its own days, all its days, first and last day of March 2027 (the 1st is a Monday).
TASKS = {
    "survey": ((), 5, 5, 1, 5),
    "committee_decision": (("survey",), 1, 1, 8, 8),
    "lift_and_load": (("committee_decision",), 0, 1, 9, 9),
    "haul": (("lift_and_load",), 0, 2, 10, 11),
    "rail_lift_on": (("haul",), 0, 1, 12, 12),
    "rail_move": (("rail_lift_on",), 0, 7, 15, 23),
    "rail_close_books": (("rail_move",), 3, 3, 24, 26),
}
#: Where the task of a line is none of these, the task that stands for it.
INSTEAD = {"state_permit": "lift_and_load", "rail_clearance_request": "rail_lift_on"}


@pytest.fixture(scope="module")
def by_hand(museum):
    both = road_then_rail(estimating.switched(museum, False))
    unit = next(row for row in both.vehicles if row.vehicle == UNIT)
    unit = unit.model_copy(update={"lifts": 2, "weight_tolerance": Quantity(0.0, "percent")})
    weights = {"body": Quantity(30_000.0, "lb"), "truck": Quantity(8_000.0, "lb")}
    pieces = [row.model_copy(update={"weight": weights[row.piece]}) if row.vehicle == UNIT else row for row in both.pieces]
    lines = [
        row.model_copy(update={"stage": LINES[row.line][0], "task": INSTEAD.get(row.task, row.task)})
        for row in both.of_path("cost_lines", "trailer")
        if row.line in LINES
    ]
    prices = {row.rate: LINES[row.line][1] for row in lines}
    rates = [
        row.model_copy(
            update={**dict.fromkeys(("low", "likely", "high"), prices[row.rate]), "price_index": None, "least": None}
        )
        for row in both.rates
        if row.rate in prices
    ]
    limits = [row.model_copy(update={"value": float(LIMITS.get(row.limit, row.value))}) for row in both.limits]
    cranes = [row.model_copy(update={"set_up": Quantity(2.0, "hour")}) for row in both.cranes]
    holdover = [row for row in both.rates if row.rate == both.scenario.holdover_rate]
    tasks = []
    for row in both.of_path("tasks", "trailer"):
        if row.task in TASKS:
            after, own, *_ = TASKS[row.task]
            days = dict.fromkeys(("low", "likely", "high"), own)
            tasks.append(row.model_copy(update={"after": after, "fund": None, "calendar": "office", **days}))
    both = both.with_changes(
        vehicles=[unit], pieces=pieces, cost_lines=lines, rates=[*rates, *holdover], tasks=tasks,
        limits=limits, cranes=cranes, risks=[], gates=[], donations=[], start=dt.date(2027, 3, 1),
        deadline=dt.date(2027, 12, 1), forced_scrap=dt.date(2028, 1, 1),
    )  # fmt: skip
    for leg, cells in LEGS.items():
        read = {name: Quantity(float(cell.split()[0]), cell.split()[1]) for name, cell in cells.items()}
        both = change(both, "legs", {"leg": leg}, **read)
    return both


@pytest.fixture(scope="module")
def priced(by_hand):
    return price_path(by_hand, UNIT, "trailer", None, draw(by_hand, trials=3))


def test_each_stage_has_its_miles_days_loads_and_lifts(priced):
    amounts = priced.work.amounts
    of_road = {"haul_distance": 30, "road_days": 2, "body_loads": 1, "truck_loads": 1, "states": 1, "crane_calls": 2}
    of_rail = {"haul_distance": 761, "rail_days": 7, "flat_car_days": 21, "carriers": 3, "states": 2, "crane_calls": 1}
    for stage, counted in ((ROAD, of_road), (RAIL, of_rail)):
        assert {name: amounts[at_stage(name, stage)] for name in counted} == pytest.approx(counted)
    whole = {"haul_distance": 791, "road_days": 2, "rail_days": 7, "crane_calls": 3, "crane_hours": 30, "lifts": 4}
    assert {name: amounts[name] for name in whole} == pytest.approx(whole)


@pytest.mark.parametrize("line", LINES)
def test_each_line_costs_its_price_times_what_its_stage_needs(priced, line):
    _, price, quantity, _ = LINES[line]
    found = next(entry for entry in priced.trials.lines if entry.line.line == line)
    np.testing.assert_allclose(found.quantity, quantity)
    np.testing.assert_allclose(found.cost_usd, price * quantity)


def test_the_path_costs_what_both_stages_cost(priced):
    assert [entry.line.line for entry in priced.trials.lines if entry.line.line not in LINES] == []
    np.testing.assert_allclose(priced.trials.cost_usd, WHOLE)


def test_the_second_stage_begins_on_the_working_day_behind_the_first(by_hand, priced):
    dates, start = priced.trials.dates, by_hand.scenario.start
    for task, (_, _, days, first, last) in TASKS.items():
        assert np.busday_count(f"2027-03-{first:02}", f"2027-03-{last + 1:02}") == days
        assert {start + dt.timedelta(days=int(day) - 1) for day in dates.finish[task]} == {dt.date(2027, 3, last)}, task
    assert set(priced.trials.off_site) == {9}, "it leaves the site on the first day of the haul, 10 March"
    assert set(priced.trials.arrived) == {22}, "it arrives with the last day on the rails, 23 March"
    assert set(priced.trials.closed) == {25}, "26 March"
