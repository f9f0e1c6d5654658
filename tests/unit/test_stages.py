"""A path of several stages: each with its carriage, gates, cost; the joints between them."""

import dataclasses

import numpy as np
import pytest
from changed_rows import change
from two_stages import RAIL, ROAD, road_alone, road_then_rail

from heritagemove import charts
from heritagemove.answers.task_tables import table_of_tasks
from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.cranes import saved_at_transfer
from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over import workbook
from heritagemove.museum import haul, rules
from heritagemove.museum.drivers import at_stage, told_by_rows
from heritagemove.museum.memo import Memo, afresh
from heritagemove.trials import simulation
from heritagemove.units.units import PlannerError

UNIT = "caboose"


@pytest.fixture(scope="module")
def both(museum):
    return road_then_rail(museum)


@pytest.fixture(scope="module")
def drawn(both):
    return simulation.draw(both, trials=200)


@pytest.fixture(scope="module")
def compared(both, drawn):
    return compare_paths(both, UNIT, None, drawn)


def without_error(museum):
    """Return the museum without estimating error, which goes by what carries a path the farthest."""
    calm = museum.scenario.simulation.model_copy(update={"estimating_error": False})
    return museum.with_changes(simulation=calm)


def found(museum, gate, unit=UNIT):
    return next(f for f in screen(museum, unit, "trailer").findings if f.gate.gate == gate)


def test_a_path_of_two_stages_has_no_problem(both):
    assert rules.cross_table_problems(both) == []


def test_stages_come_in_their_order_and_not_in_the_tables(both):
    turned = both.with_changes(stages=both.stages[::-1])
    assert [row.stage for row in turned.stages_of("trailer")] == [ROAD, RAIL]
    assert not turned.interim("trailer")


def test_rail_gates_and_road_gates_are_both_asked_each_of_its_own_stage(both):
    checks = {f.gate.check: f.check for f in screen(both, UNIT, "trailer").findings if f.check}
    assert {"road_height", "turn", "trailer_payload", "rail_bridge", "flat_car_load", "flat_car_clearance"} <= set(checks)
    for name in ("road_height", "trailer_payload"):
        assert checks[name].subject.startswith("By trailer to the siding: "), name
    for name in ("rail_bridge", "flat_car_load"):
        assert checks[name].subject.startswith("By flat car to the museum: "), name


@pytest.mark.parametrize("gate, stage", [("trailer_payload", ROAD), ("rail_flat_car_load", RAIL)])
def test_a_gate_finds_in_a_path_of_stages_what_its_stage_alone_would_find(museum, both, gate, stage):
    path = {ROAD: "trailer", RAIL: "flat_car"}[stage]
    alone = next(f for f in screen(museum, UNIT, path).findings if f.gate.gate == gate.removeprefix("rail_"))
    assert (found(both, gate).status, found(both, gate).check.demand) == (alone.status, alone.check.demand)


def test_a_gate_without_a_stage_is_asked_of_every_stage_with_a_lift_and_the_worst_counts(both):
    crane = found(both, "crane")
    assert crane.status == "pass"
    # The trailer's stage ends where the flat car's begins; at the museum only the flat car's crane stands.
    far = change(both, "places", {"place": "museum"}, headroom=both.places[0].headroom / 20)
    worse = found(far, "sling_angle")
    assert worse.status == "fail"
    assert worse.check.subject.startswith("By flat car to the museum: ")
    assert "By flat car to the museum" in worse.reason
    of_road = change(far, "gates", {"path": "trailer", "gate": "sling_angle"}, stage=ROAD)
    assert found(of_road, "sling_angle").status != "fail"


def test_a_stage_that_fails_blocks_the_path(both, drawn):
    weak = change(both, "gates", {"path": "trailer", "gate": "rail_rail_bridge"}, task=None, refusal_probability=None)
    low = [r.model_copy(update={"normal": 1.0, "maximum": 1.5}) if r.rating == "cooper_e" else r for r in weak.bridges]
    result = compare_paths(weak.with_changes(bridges=low), UNIT, None, drawn).path("trailer")
    assert result.status == "blocked"
    assert any("By flat car to the museum" in reason for reason in result.reasons)


def test_each_stage_has_its_amounts_and_the_path_their_sum(both, compared):
    amounts = compared.path("trailer").work.amounts
    for name in ("haul_distance", "crane_hours", "crane_calls", "body_loads"):
        parts = [amounts[at_stage(name, stage)] for stage in (ROAD, RAIL)]
        assert amounts[name] == pytest.approx(sum(parts)), name
    assert amounts[at_stage("haul_distance", ROAD)] == pytest.approx(1.1)
    assert amounts[at_stage("haul_distance", RAIL)] == pytest.approx(22.4 + 61 + 14.6 + 0.7)
    assert amounts["axles"] == len(both.axles_of(UNIT))
    assert told_by_rows(both, UNIT, "trailer")["carriers"] == 3


def test_a_cost_line_pays_for_the_amount_and_the_equipment_of_its_own_stage(both, compared, museum, drawn):
    priced = {cost.line.line: cost.quantity for cost in compared.path("trailer").trials.lines}
    amounts = compared.path("trailer").work.amounts
    assert priced["crane_hours"] == amounts[at_stage("crane_hours", ROAD)]
    assert priced["rail_crane_hours"] == amounts[at_stage("crane_hours", RAIL)]
    whole = change(both, "cost_lines", {"path": "trailer", "line": "crane_hours"}, stage=None)
    result = compare_paths(whole, UNIT, None, drawn).path("trailer")
    quantity = next(cost.quantity for cost in result.trials.lines if cost.line.line == "crane_hours")
    assert quantity == pytest.approx(amounts["crane_hours"])


def test_a_line_of_the_whole_path_is_priced_by_the_dearest_of_what_its_stages_ride_on(museum):
    """Two trailers are brought, one of them dear: not both at the price of the cheap one."""
    unit, certain = "foundry_switcher", without_error(museum)
    first = certain.stages_of("trailer")[0]
    further = {"stage": "on", "order": 2, "from_place": first.to_place, "carried_on": "roll_on_trailer"}
    longer = certain.with_changes(stages=[*certain.stages, first.model_copy(update=further)])
    less, more = (
        compare_paths(each, unit, None, simulation.draw(each, trials=50)).path("trailer") for each in (certain, longer)
    )
    assert {"thirteen_axle_trailer", "rail_deck_trailer"} <= more.work.equipment
    alone, both = (
        next(cost for cost in result.trials.lines if cost.line.line == "trailer_mobilization") for result in (less, more)
    )
    np.testing.assert_allclose(both.quantity, 2 * alone.quantity)
    np.testing.assert_allclose(both.cost_usd, 2 * alone.cost_usd)


def test_trucks_go_by_road_once_however_many_stages_carry_their_body(both, drawn):
    """From the foundry to the museum 77.7 miles, so the least of 200 is paid; one lowboy takes both trucks."""
    trucks = {"path": "trailer", "line": "trucks_by_lowboy"}
    once = both.with_changes(cost_lines=[r for r in both.cost_lines if r.line != "rail_trucks_by_lowboy"])
    result = compare_paths(change(once, "cost_lines", trucks, stage=None), UNIT, None, drawn).path("trailer")
    assert next(cost.quantity for cost in result.trials.lines if cost.line.line == "trucks_by_lowboy") == 200
    assert result.work.amounts["truck_loads"] == 1
    assert result.work.amounts[at_stage("truck_haul_distance", ROAD)] == pytest.approx(1.1)


def test_a_quantity_with_a_range_is_shared_out_among_the_stages_in_every_trial(both):
    said = both.quantities[0].model_copy(
        update={"vehicle": UNIT, "path": "trailer", "driver": "crane_hours", "low": 20.0, "likely": 30.0, "high": 60.0}
    )
    ranged = both.with_changes(quantities=[*both.quantities, said])
    amounts = compare_paths(ranged, UNIT, None, simulation.draw(ranged, trials=50)).path("trailer").work.amounts
    assert np.ptp(amounts["crane_hours"]) > 0
    np.testing.assert_allclose(sum(amounts[at_stage("crane_hours", each)] for each in (ROAD, RAIL)), amounts["crane_hours"])


def test_schedule_and_workbook_name_the_stage_of_what_has_one(both, compared):
    begins = "By flat car to the museum: "
    alt, table = charts.task_bars(compared, "trailer").alt, str(table_of_tasks(compared, "trailer").cells())
    moved = next(row.title for row in both.of_path("tasks", "trailer") if row.task == "rail_move")
    assert begins + moved in alt and begins + moved in table
    chosen = compared.with_decision(dataclasses.replace(compared.decision, path="trailer"))
    tables = workbook.comparison_tables(chosen)
    of_tasks, of_gates, cost = (
        next(frame for name, frame in tables.items() if name.startswith(f"{what} of choice"))
        for what in ("Tasks", "Gates", "Cost")
    )
    assert begins + moved in {row[0] for row in of_tasks.rows}
    assert any(row[0].startswith(begins) for row in of_gates.rows)
    assert {"move", "rail"} <= {row[cost.titles().index("Stage")] for row in cost.rows}


def test_a_slider_sets_the_whole_path_and_the_stages_keep_their_proportion(both, drawn, compared):
    before = compared.path("trailer").work.amounts
    after = compare_paths(both, UNIT, {"crane_hours": 60}, drawn).path("trailer").work.amounts
    ratio = 60 / before["crane_hours"]
    for stage in (ROAD, RAIL):
        name = at_stage("crane_hours", stage)
        assert after[name] == pytest.approx(before[name] * ratio)
    assert after["crane_hours"] == 60


def test_the_cost_of_two_stages_is_that_of_each_by_itself(museum):
    certain = without_error(museum)
    trials, first = (
        compare_paths(each, UNIT, None, simulation.draw(each, trials=200)).path("trailer").trials
        for each in (road_then_rail(certain), road_alone(certain))
    )
    of_road = sum(cost.cost_usd for cost in trials.lines if cost.line.stage == ROAD)
    np.testing.assert_allclose(of_road, sum(cost.cost_usd for cost in first.lines))


@pytest.mark.parametrize("unit", ["caboose", "foundry_switcher", "coach"])
def test_a_further_stage_never_lowers_the_cost(museum, unit):
    certain = without_error(museum)
    more, less = (
        compare_paths(each, unit, None, simulation.draw(each, trials=200)).path("trailer").trials
        for each in (road_then_rail(certain), road_alone(certain))
    )
    assert (sum(c.cost_usd for c in more.lines) >= sum(c.cost_usd for c in less.lines)).all()
    assert (more.closed >= less.closed).all()


def test_a_path_that_stops_at_the_siding_is_interim_and_asks_for_the_way_on(museum):
    short = road_alone(museum)
    result = compare_paths(short, UNIT, None, simulation.draw(short, trials=100)).path("trailer")
    assert not result.saves
    assert result.reasons[-1] == (
        "Interim only: it ends at Siding on the Drossley industrial lead. "
        "Find the way on to the museum and the money for it: neither is in this cost."
    )


def test_two_years_on_a_siding_need_nothing_but_that_the_crane_comes_again(both, drawn, compared):
    rail = both.stages_of("trailer")[1]
    wait = rail.model_copy(update={"stage": "wait", "order": 2, "title": "On the siding", "to_place": "lead_siding",
                                   "carried_on": "storage", "legs": ()})  # fmt: skip
    on = rail.model_copy(update={"order": 3})
    stages = (*(row for row in both.stages if row != rail), wait, on)
    stored = both.with_changes(stages=stages)
    assert rules.cross_table_problems(stored) == []
    result = compare_paths(stored, UNIT, None, drawn).path("trailer")
    kept, waited = (found.work.amounts for found in (compared.path("trailer"), result))
    of_cranes = {"crane_calls", "crane_hours", "rigging_days"}
    assert {name for name in kept if "@" not in name and not np.array_equal(kept[name], waited[name])} <= of_cranes
    assert waited["crane_calls"] == 4 and kept["crane_calls"] == 3
    assert result.status == compared.path("trailer").status


def test_a_transfer_calls_its_crane_once_only_where_the_same_crane_does_both_lifts(both):
    places = [{"radius": None}, {}]
    off, on = (arrange(change(both, "places", {"place": "museum"}, **each), UNIT, "trailer", RAIL) for each in places)
    alike = saved_at_transfer(both, on.vehicle, on.arrangement, on.arrangement)
    assert alike["crane_calls"] == 1
    assert saved_at_transfer(both, on.vehicle, off.arrangement, on.arrangement) == {}
    larger = dataclasses.replace(on.arrangement, crane="crane_300_ton")
    assert saved_at_transfer(both, on.vehicle, on.arrangement, larger) == {}


def test_a_shift_aside_and_a_barge_run_over_legs_of_their_own(both):
    leg = next(row for row in both.legs if row.leg == "industrial_lead")
    for carrier, mode in (("shift", "ground"), ("barge", "water")):
        way = leg.model_copy(update={"leg": "aside", "mode": mode, "order": 9, "bridges": None, "carrier": None})
        stage = both.stages_of("trailer")[0].model_copy(update={"carried_on": carrier, "legs": ("aside",)})
        stages = tuple(stage if row.path == "trailer" and row.stage == ROAD else row for row in both.stages)
        moved = both.with_changes(legs=(*both.legs, way), stages=stages)
        assert rules.cross_table_problems(moved) == []
        carried = arrange(moved, UNIT, "trailer", ROAD)
        assert (carried.carried_on, carried.mode, [row.leg for row in carried.legs]) == (carrier, mode, ["aside"])
        assert told_by_rows(moved, UNIT, "trailer")["haul_distance"] == pytest.approx(1.8 + 22.4 + 61 + 14.6 + 0.7)


def test_a_remembered_answer_of_stages_is_a_fresh_one(both, drawn):
    memo = Memo()
    for settings in ({"crane_hours": 30}, {"haul_distance": 150}, {}):
        kept, fresh = (compare_paths(both, UNIT, settings, drawn, ask).path("trailer") for ask in (memo, afresh))
        np.testing.assert_array_equal(kept.trials.cost_usd, fresh.trials.cost_usd)
        assert (kept.status, kept.reasons) == (fresh.status, fresh.reasons)


def lengths(museum):
    return {leg.leg: leg.length.m_as("mile") for leg in museum.legs}


def test_a_haul_distance_scales_the_longest_leg_of_each_path_and_no_other(museum):
    before, after = lengths(museum), lengths(museum.with_haul_distance(125.7))
    changed = {leg: after[leg] / before[leg] for leg in before if after[leg] != before[leg]}
    assert changed == pytest.approx({"state_route_31": 2.0, "halcyon_trunk": 2.0})
    assert haul.haul_miles(museum.with_haul_distance(125.7)) == pytest.approx(125.7)
    words = "longest legs: Halcyon Trunk Lines, Orrin Jct to Tamber Jct; State Route 31"
    assert haul.haul_in_words(museum) == words


def test_a_haul_distance_within_the_other_legs_is_refused_by_name(museum):
    with pytest.raises(PlannerError) as caught:
        museum.with_haul_distance(20)
    assert str(caught.value) == (
        "haul_distance: found 20 mile; allowed: more than 29.7 mile: only its longest leg, State Route 31, is made longer "
        "or shorter"
    )


def test_a_yard_move_that_arrives_nowhere_has_no_leg_to_scale(museum):
    assert "industrial_lead" not in {leg.leg for leg in haul.longest_legs(museum)}


def test_in_a_path_of_two_stages_the_longest_leg_is_scaled_and_the_other_stage_stays(both, drawn):
    far = compare_paths(both, UNIT, {"haul_distance": 150}, drawn).path("trailer").work.amounts
    near = compare_paths(both, UNIT, {"haul_distance": 100}, drawn).path("trailer").work.amounts
    assert far[at_stage("haul_distance", ROAD)] == near[at_stage("haul_distance", ROAD)] == pytest.approx(1.1)
    assert far[at_stage("haul_distance", RAIL)] > near[at_stage("haul_distance", RAIL)] + 50
