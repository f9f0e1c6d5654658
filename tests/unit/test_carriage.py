"""What carries a unit, and how much of everything that needs: train, days, escorts, chains."""

import numpy as np
import pytest

from heritagemove.checks.gates import by_rail, by_road, chains
from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.rail import rail_bridge
from heritagemove.files.tables import read_table
from heritagemove.units.units import Quantity


def changed(museum, table, key, **fields):
    """Return the museum with some fields of one row changed."""
    name = {"limits": "limit", "engines": "engine", "bridges": "bridge", "legs": "leg"}.get(table, "vehicle")
    rows = [row.model_copy(update=fields) if getattr(row, name) == key else row for row in getattr(museum, table)]
    return museum.with_changes(**{table: rows})


def without(museum, *limits):
    return museum.with_changes(limits=[row for row in museum.limits if row.limit not in limits])


def trestle(museum, vehicle, path):
    return next(check for check in arrange(museum, vehicle, path).bridges if "Timber trestle" in check.subject)


def test_the_foundry_switcher_may_cross_the_trestle_and_the_road_diesel_may_not(museum):
    switcher, diesel = (trestle(museum, unit, "own_wheels") for unit in ("foundry_switcher", "road_diesel"))
    assert (switcher.status, round(switcher.demand.magnitude)) == ("open", 44)
    assert diesel.status == "fail"


def test_an_engine_too_heavy_for_a_bridge_is_asked_about_by_its_name(museum):
    heavy = changed(museum, "engines", "road_switcher", weight=Quantity(400_000, "lb"))
    check = trestle(heavy, "caboose", "own_wheels")
    assert check.status == "open"
    assert check.subject == "towing engine on Timber trestle, 14-ft panels"
    assert check.demand > check.capacity
    assert check.margin is None
    assert "lighter engine" in check.note


def test_a_heavy_engine_does_not_hide_that_the_unit_itself_is_too_heavy(museum):
    heavy = changed(museum, "engines", "road_switcher", weight=Quantity(400_000, "lb"))
    check = trestle(heavy, "road_diesel", "own_wheels")
    assert (check.status, check.subject) == ("fail", "Timber trestle, 14-ft panels")
    assert check.margin < Quantity(0, "lb")


def test_on_a_long_span_engine_and_unit_count_together_and_a_spacer_keeps_them_apart(museum):
    spans = [row.model_copy(update={"span": Quantity(120, "ft")}) for row in museum.bridges]
    long = museum.with_changes(bridges=spans)
    unit = long.vehicle("foundry_switcher")
    axles = by_rail.on_rails(long, unit, unit.weight)
    together = arrange(long, "foundry_switcher", "own_wheels").bridges[0]
    closer = arrange(changed(long, "limits", "spacer_cars", value=0), "foundry_switcher", "own_wheels").bridges[0]
    alone = rail_bridge.equivalent_cooper(*axles[:2], spans[0].span)
    assert alone < together.demand < closer.demand


def test_the_margin_behind_an_engine_is_the_unit_s_own(museum):
    """Grown by its margin the unit alone is what reaches the rating; the engine stays as it is."""
    spans = [row.model_copy(update={"span": Quantity(120, "ft"), "maximum": 72.0}) for row in museum.bridges]
    long = museum.with_changes(bridges=spans)
    check = arrange(long, "foundry_switcher", "own_wheels").bridges[0]
    unit = long.vehicle("foundry_switcher")
    grown = changed(long, "vehicles", "foundry_switcher", weight=unit.weight + check.margin)
    assert arrange(grown, "foundry_switcher", "own_wheels").bridges[0].demand.magnitude == pytest.approx(72, abs=1e-6)


def test_without_an_engine_or_a_length_the_unit_is_checked_alone(museum):
    alone = arrange(museum.with_changes(engines=[]), "coach", "own_wheels").bridges
    short = arrange(changed(museum, "vehicles", "coach", length=None), "coach", "own_wheels").bridges
    assert [check.demand for check in alone] == [check.demand for check in short]


def test_a_span_that_nobody_measured_leaves_bridge_and_reviews_unknown(museum):
    blind = changed(museum, "bridges", "orrin_girder", span=None)
    carriage = arrange(blind, "boxcar", "own_wheels")
    assert carriage.amounts["bridge_reviews"] is None
    assert [check.status for check in carriage.bridges].count("unknown") == 1


def test_days_on_the_rails_are_whole_days_of_each_carrier_and_a_day_at_each_interchange(museum):
    """24.2 miles in 2.6 h, 61 in 2.4 h, 15.3 in 1.1 h: three carriers, one day each, two interchanges of a day."""
    assert by_rail.rail_days(museum, plain=False) == 5


def test_a_longer_dwell_a_slower_leg_and_fewer_hours_each_add_days(museum):
    base = by_rail.rail_days(museum, plain=False)
    slow = changed(museum, "legs", "drossley_and_orrin_fork", special_speed=Quantity(2, "mph"))
    assert by_rail.rail_days(slow, plain=False) == base + 1
    assert by_rail.rail_days(changed(museum, "limits", "interchange_dwell_days", value=3), plain=False) == base + 4
    assert by_rail.rail_days(changed(museum, "limits", "crew_day_hours", value=2), plain=False) > base


def test_plain_bearings_cap_the_speed(museum):
    short = changed(museum, "limits", "crew_day_hours", value=3.0)
    assert by_rail.rail_days(short, plain=True) == by_rail.rail_days(short, plain=False) + 1


def test_plain_bearings_run_by_daylight_and_other_bearings_do_not(museum):
    """24.2, 61 and 15.3 miles at 20 mph or less: a day of 2 h makes the second carrier's 3.05 h two days."""
    short = changed(museum, "limits", "daylight_hours", value=2)
    assert by_rail.rail_days(short, plain=False) == by_rail.rail_days(museum, plain=False)
    assert by_rail.rail_days(short, plain=True) > by_rail.rail_days(museum, plain=True)
    crew = changed(museum, "limits", "crew_day_hours", value=2)
    assert by_rail.rail_days(short, plain=True) == by_rail.rail_days(crew, plain=True)
    riders = (arrange(each, "coach", "own_wheels").amounts["rider_days"] for each in (short, museum))
    assert next(riders) > next(riders)
    assert by_rail.rail_days(without(museum, "daylight_hours"), plain=True) == by_rail.rail_days(museum, plain=True)


def test_a_leg_of_unknown_speed_takes_its_track_class_and_without_one_the_days_are_unknown(museum):
    nothing = {"speed": None, "special_speed": None}
    known = changed(museum, "legs", "halcyon_trunk", **nothing)
    assert by_rail.rail_days(known, plain=False) == 5
    blind = changed(museum, "legs", "halcyon_trunk", **nothing, track_class=None)
    assert by_rail.rail_days(blind, plain=False) is None
    assert arrange(blind, "coach", "own_wheels").amounts["rider_days"] is None


def test_a_plain_bearing_on_its_own_wheels_says_the_chance_of_a_hot_box_as_a_lower_bound(museum):
    notes = arrange(museum, "coach", "own_wheels").notes
    assert any("at least 0.1 % in 100 miles" in note and "lower bound" in note for note in notes)
    assert not arrange(museum, "boxcar", "own_wheels").notes


def test_tie_downs_follow_the_factors_that_the_planner_enters(museum):
    """156,000 lb at 1 g lengthwise on 50,000 lb x cos 45 x cos 30 = 30,619 lb: 6 each way."""
    assert arrange(museum, "foundry_switcher", "flat_car").amounts["tie_downs"] == 12
    for factor, needed in ((4.0, 42), (None, None)):
        rows = [row.model_copy(update={"longitudinal": factor}) for row in museum.tie_down_drawings]
        asked = museum.with_changes(tie_down_drawings=rows)
        assert arrange(asked, "foundry_switcher", "flat_car").amounts["tie_downs"] == needed
    assert arrange(museum.with_changes(tie_down_drawings=()), "foundry_switcher", "flat_car").amounts["tie_downs"] is None


def test_chains_on_the_road_grow_with_weight_and_are_unknown_without_their_limits(museum):
    """47,000 lb at 0.5 g over 11,300 lb x cos 45 x cos 45 = 5,650 lb a chain: 5 each way; 393.106 alone asks for 5."""
    assert arrange(museum, "caboose", "roll_on").amounts["tie_downs"] == 10
    assert arrange(museum, "foundry_switcher", "roll_on").amounts["tie_downs"] == 42
    for name in ("tie_down_spacing", "restraint_downward", "hauler_chain_grade", "road_tie_down_angle"):
        assert arrange(without(museum, name), "caboose", "roll_on").amounts["tie_downs"] is None


def test_the_chains_are_the_most_that_any_rule_asks_for(museum):
    """Without rearward, sideways and forward forces the 36 ft 4, the heavy vehicle 4 and half of the weight 5 decide."""
    calm = museum
    for kind in ("breaking", "working"):
        for way in ("forward", "rearward", "sideways"):
            calm = changed(calm, "limits", f"restraint_{kind}_{way}", value=0.01)
    assert arrange(calm, "caboose", "roll_on").amounts["tie_downs"] == 5
    assert arrange(changed(calm, "limits", "tie_down_spacing", value=4), "caboose", "roll_on").amounts["tie_downs"] == 9
    hard = changed(calm, "limits", "restraint_breaking_forward", value=3)
    assert arrange(hard, "caboose", "roll_on").amounts["tie_downs"] == 14  # 141,000 / (4 x 5,650) is 7 each way


def test_a_chain_counts_with_what_the_table_lists_for_its_size_and_grade_at_most(museum):
    assert chains.chain(museum) == Quantity(11_300, "lb")
    assert chains.chain(changed(museum, "limits", "hauler_chain_grade", value=30)) == Quantity(4_500, "lb")
    assert chains.chain(changed(museum, "limits", "hauler_chain_size", value=0.3125)) == Quantity(4_700, "lb")
    assert chains.chain(changed(museum, "limits", "chain_working_load", value=9_000)) == Quantity(9_000, "lb")
    assert chains.chain(changed(museum, "limits", "hauler_chain_size", value=0.45)) is None
    assert chains.chain(changed(museum, "limits", "hauler_chain_grade", value=63)) is None


@pytest.mark.parametrize(
    ("path", "name", "driver"),
    [
        ("trailer", "crew_day_hours", "rigging_days"),
        ("trailer", "crane_per_lift", "crane_hours"),
        ("flat_car", "flat_car_hire_extra_days", "flat_car_days"),
        ("transporter", "transporter_set_up_days", "line_days"),
        ("own_wheels", "riders_plain", "rider_days"),
    ],
)
def test_a_policy_that_no_row_gives_leaves_what_it_counts_unknown_and_never_zero(museum, path, name, driver):
    assert arrange(museum, "coach", path, "move").amounts[driver] > 0
    assert arrange(without(museum, name), "coach", path, "move").amounts[driver] is None


def test_riders_on_plain_bearings_are_as_many_as_the_row_says(museum):
    two = arrange(museum, "coach", "own_wheels").amounts["rider_days"]
    three = arrange(changed(museum, "limits", "riders_plain", value=3), "coach", "own_wheels").amounts["rider_days"]
    assert three == 1.5 * two


def test_escorts_follow_width_height_and_length_thresholds(museum):
    cars = {unit: arrange(museum, unit, "trailer").amounts["pilot_cars"] for unit in ("caboose", "boxcar", "road_diesel")}
    assert cars == {"caboose": 0, "boxcar": 1, "road_diesel": 2}
    narrow = changed(museum, "limits", "escort_lead_width", value=10)
    assert arrange(narrow, "caboose", "trailer").amounts["pilot_cars"] == 1


def test_without_thresholds_or_width_the_escorts_are_unknown(museum):
    names = [row.limit for row in museum.limits if row.limit.startswith("escort_")]
    blank = without(museum, *names, "height_pole_from", "utility_escort_from")
    assert arrange(blank, "boxcar", "trailer").amounts["pilot_cars"] is None
    blind = changed(museum, "vehicles", "boxcar", width=None)
    assert arrange(blind, "boxcar", "trailer").amounts["pilot_cars"] is None


def test_a_low_wire_hires_a_utility_crew_and_an_unmeasured_one_is_unknown(museum):
    days = {}
    for feet in (13, 30, None):
        wire = None if feet is None else Quantity(feet, "ft")
        legs = [row.model_copy(update={"lowest_wire": wire}) if row.wires else row for row in museum.legs]
        days[feet] = arrange(museum.with_changes(legs=legs), "coach", "trailer").amounts["utility_crews"]
    assert days == {13: 1, 30: 0, None: None}


def test_a_transporter_has_its_set_of_lines_at_least_and_more_when_the_load_asks(museum):
    few = arrange(museum, "caboose", "transporter", "move").amounts
    assert few["line_days"] == 10 * (few["road_days"] + 3)
    # 462,000 lb and 12,000 lb of packing are twelve times 39,500 lb.
    heavy = changed(museum, "pieces", "caboose", weight=Quantity(462_000, "lb"))
    many = arrange(heavy, "caboose", "transporter", "move")
    assert many.amounts["line_days"] == 12 * (many.amounts["road_days"] + 3)


def test_a_detour_drops_the_bridge_that_it_avoids(museum):
    around, straight = (arrange(museum, unit, "trailer") for unit in ("consolidation", "caboose"))
    assert "cr14_bridge" not in {row.bridge for row in by_road.crossed(museum, around.road)}
    assert "cr14_bridge" in {row.bridge for row in by_road.crossed(museum, straight.road)}


def test_taking_the_trucks_out_raises_the_centre_of_gravity_of_the_body(museum):
    """(230,000 x 5.6 - 74,000 x 1.667) / 156,000 = 7.466 ft; 3.5 ft down, 3.6 ft deck and 6 in blocking up: 96.8 in."""
    unit, car = museum.vehicle("foundry_switcher"), museum.flat_cars[0]
    load, both = by_rail.centre_of_gravity_on_car(museum, unit, car, museum.body(unit.vehicle).weight)
    assert load.magnitude == pytest.approx(96.79, abs=0.01)
    assert both.magnitude == pytest.approx((58_000 * 32 + 156_000 * 96.79) / 214_000, abs=0.01)


def test_axles_beyond_the_couplers_of_an_engine_are_refused_with_the_length(museum, tmp_path):
    model = type(museum.engines[0])
    table = tmp_path / "engines.csv"
    table.write_text(
        'engine,title,weight,length,axle_positions,basis,source\nlong,Too long,"250,000 lb",56 ft,8;17;39;60,judgment,demo\n'
    )
    rows, problems = read_table(table, model)
    assert rows == ()
    assert problems[0].column == "axle_positions"
    assert problems[0].allowed == "positions that rise from 0 to the length over couplers, 56 ft"


def test_a_heavier_unit_is_never_nearer_its_bridge_margin(museum):
    margins = [
        trestle(museum.with_weight("foundry_switcher", tons), "foundry_switcher", "own_wheels").margin.m_as("lb")
        for tons in (80, 100, 115, 130)
    ]
    assert (np.diff(margins) < 0).all()
