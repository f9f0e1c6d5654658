"""The engineering behind each gate: what passes, what fails, what is unknown and says what to measure."""

import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.screening import screen
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.units.units import Quantity


def run(museum, gate, vehicle="foundry_switcher", path="flat_car"):
    return CHECKS[gate](arrange(museum, vehicle, path, museum.stages_of(path)[-1].stage))


def with_body(museum, vehicle, **fields):
    """Return the museum with other measures of a unit's body."""
    key = vehicle, museum.body(vehicle).piece
    rows = [row.model_copy(update=fields) if (row.vehicle, row.piece) == key else row for row in museum.pieces]
    return museum.with_changes(pieces=rows)


def unit(museum, vehicle, **fields):
    rows = [row.model_copy(update=fields) if row.vehicle == vehicle else row for row in museum.vehicles]
    return museum.with_changes(vehicles=rows)


def limit(museum, name, value):
    rows = [row.model_copy(update={"value": value}) if row.limit == name else row for row in museum.limits]
    return museum.with_changes(limits=rows)


def fact(museum, clue, found):
    rows = [row.model_copy(update={"found": found}) if row.clue == clue else row for row in museum.survey]
    return museum.with_changes(survey=rows)


def at_each_place(museum, **measures):
    return museum.with_changes(places=[row.model_copy(update=measures) for row in museum.places])


NEEDS = {
    "crane": ("trailer", "crane_clearance"),
    "crane_access": ("trailer", "crane_clearance"),
    "wind": ("trailer", "lift_wind_stop"),
    "tipping": ("trailer", "restraint_breaking_sideways"),
    "transporter_ground": ("transporter", "transporter_ground_pressure"),
    "flat_car_clearance": ("flat_car", "flat_car_blocking"),
    "turn": ("trailer", "turn_clearance"),
    "sling_angle": ("flat_car", "sling_lowest_angle"),
    "outrigger_ground": ("trailer", "outrigger_share"),
    "power_line": ("trailer", "power_line_to_200_kv"),
    "centre_of_gravity": ("flat_car", "centre_of_gravity_high"),
    "plate": ("own_wheels", "plate_e_height"),
    "brake_test": ("own_wheels", "transfer_test_distance"),
    "side_clearance": ("own_wheels", "side_tolerance"),
    "starting_pull": ("own_wheels", "starting_adhesion"),
    "legal_weight": ("trailer", "federal_tandem_axle"),
    "haul_pull": ("trailer", "tractor_pull"),
    "brake_holding": ("roll_on", "hold_back_force"),
    "winch_pull": ("roll_on", "ramp_grade"),
    "cargo_securement": ("roll_on", "tie_down_spacing"),
    "trailer_axle_load": ("trailer", "permit_tri_axle"),
}


@pytest.mark.parametrize("gate", NEEDS)
def test_a_limit_that_no_row_gives_makes_its_gate_unknown_with_what_to_do(museum, gate):
    path, name = NEEDS[gate]
    rows = [row for row in museum.limits if row.limit != name]
    blank = at_each_place(museum, power_lines_cleared="no").with_changes(limits=rows)
    check = run(blank, gate, path=path)
    assert check.status == "unknown"
    assert check.note.startswith("Unknown: ") and len(check.note) > 20


@pytest.mark.parametrize("path", ["own_wheels", "flat_car", "trailer", "transporter", "roll_on"])
def test_a_unit_that_was_never_measured_is_unknown_and_never_an_error(museum, path):
    blind = unit(
        museum, "coach", weight=None, length=None, width=None, height=None, truck_centres=None, lift_spread=None,
        centre_of_gravity_height=None, centre_of_gravity_offset=None, coupler_height=None, wheel_diameter=None,
        sharpest_curve=None, journal=None,
    )  # fmt: skip
    nothing = dict.fromkeys(("weight", "length", "underside"))
    blind = blind.with_changes(pieces=[row.model_copy(update=nothing) for row in museum.pieces])
    statuses = {f.gate.check: f.status for f in screen(blind, "coach", path).findings if f.gate.check}
    weighed = set(statuses) - {
        "crawl", "season", "power_line", "services_located", "brake_test", "posted_bridge", "outside_boxes",
    }  # fmt: skip
    assert {statuses[gate] for gate in weighed - {"freight_car_age"}} == {"unknown"}


def test_a_season_is_named_where_it_lasts_longer_than_the_row_says(museum):
    """The frost law of the demo closes the road from 1 March to 15 May, 75 days."""
    assert run(museum, "season", path="trailer").status == "marginal"
    assert run(limit(museum, "season_named_from", 80), "season", path="trailer").status == "pass"


def test_every_gate_of_the_demo_answers_for_every_unit(museum):
    for vehicle in museum.vehicles:
        for path in museum.paths:
            for finding in screen(museum, vehicle.vehicle, path.path).findings:
                assert finding.reason and finding.gate.title in finding.reason


def test_a_sling_under_30_degrees_fails_and_says_its_angle(museum):
    """Half of 59.5 ft and 0.3 x 164 / 100 = 0.49 ft under 12 ft of headroom: arctan(12 / 30.24) = 21.6 degrees."""
    check = run(at_each_place(museum, headroom=Quantity(12, "ft")), "sling_angle", "coach")
    assert check.status == "fail"
    assert check.capacity.magnitude == pytest.approx(21.64, abs=0.01)
    assert "flattest leg at 22° from the horizontal, allowed 30° to 90°" in check.subject
    assert run(museum, "sling_angle", "coach").status == "pass"


def test_the_tightest_sling_carries_what_two_unequal_legs_give(museum):
    """W D2 S1 / (H (D1 + D2)): 156,000 lb, its centre 0.4 x 230 / 156 = 0.59 ft off, D 11.59 and 10.41 ft, H 20 ft."""
    assert "92,648 lbf" in run(museum, "sling_angle").subject


def test_two_cranes_hang_the_body_across_its_width(museum):
    small = museum.with_changes(cranes=[row for row in museum.cranes if row.crane in ("crane_90_ton", "crane_165_ton")])
    carriage = arrange(with_body(small, "coach", weight=Quantity(150_000, "lb")), "coach", "trailer")
    assert carriage.arrangement.cranes == 2
    assert CHECKS["sling_angle"](carriage).capacity.magnitude == pytest.approx(75.8, abs=0.1)


def test_the_ground_carries_crane_and_load_on_one_mat_by_the_soil_of_each_place(museum):
    """(270,000 + (156,000 + 9,000) x 1.05) x 0.75 / 200 ft2 = 1,662 psf against 2,000 on sand and 1,500 on clay."""
    sand, clay = (run(at_each_place(museum, soil=soil), "outrigger_ground") for soil in ("sand", "clay"))
    assert sand.demand.magnitude == pytest.approx(1662.2, abs=0.1)
    assert (sand.status, clay.status) == ("pass", "fail")
    assert "166 ft² of mat would do" in sand.note


@pytest.mark.parametrize("soil", [None, "fill"])
def test_a_soil_that_is_unknown_or_not_in_the_table_leaves_the_ground_unknown(museum, soil):
    unsure = at_each_place(museum, soil=soil)
    for gate, path in (("outrigger_ground", "flat_car"), ("transporter_ground", "transporter")):
        check = run(unsure, gate, path=path)
        assert check.status == "unknown"
        assert "ground engineer" in check.note
    tested = at_each_place(unsure, bearing=Quantity(2500, "lb/ft**2"))
    assert run(tested, "outrigger_ground").capacity.magnitude == 2500


def test_the_margin_of_the_ground_is_the_weight_that_the_unit_may_gain(museum):
    check = run(museum, "outrigger_ground")
    heavier = with_body(museum, "foundry_switcher", weight=museum.body("foundry_switcher").weight + check.margin)
    assert run(heavier, "outrigger_ground").demand.magnitude == pytest.approx(2000, abs=1e-6)


@pytest.mark.parametrize(
    ("distance", "voltage", "status"),
    [(25, 12.5, "pass"), (9, 12.5, "fail"), (12, 138, "fail"), (None, 12.5, "unknown"), (25, None, "unknown"),
     (25, 1200, "unknown")],
)  # fmt: skip
def test_a_power_line_is_judged_by_the_distance_and_voltage_of_each_place(museum, distance, voltage, status):
    feet, kilovolts = distance and Quantity(distance, "ft"), voltage and Quantity(voltage, "kV")
    near = at_each_place(museum, power_lines_cleared="no", power_line_distance=feet, power_line_voltage=kilovolts)
    assert run(near, "power_line", path="trailer").status == status
    assert run(at_each_place(near, power_lines_cleared="yes"), "power_line", path="trailer").status == "pass"


def test_a_high_load_needs_authority_and_a_high_car_with_its_load_fails(museum):
    authority = run(museum, "centre_of_gravity")
    assert (authority.status, authority.capacity.magnitude) == ("open", 96)
    tall = unit(museum, "foundry_switcher", centre_of_gravity_height=Quantity(8, "ft"))
    both = run(tall, "centre_of_gravity")
    assert (both.status, both.capacity.magnitude) == ("fail", 98)


def test_the_plate_is_named_and_long_truck_centres_leave_every_plate(museum):
    assert run(museum, "plate", path="own_wheels").subject == "Plate B"
    tall = unit(museum, "foundry_switcher", height=Quantity(15.4, "ft"))
    assert run(tall, "plate", path="own_wheels").subject == "Plate C"
    coach = run(museum, "plate", "coach", "own_wheels")
    assert (coach.status, coach.subject) == ("open", "no plate holds it")


def test_the_brake_test_that_is_due_follows_the_distance(museum):
    short = museum.with_changes(legs=[leg.model_copy(update={"length": leg.length * 10 / 77.7}) for leg in museum.legs])
    far, near = (run(m, "brake_test", path="own_wheels") for m in (museum, short))
    assert far.subject.startswith("100.5 miles ask for a Class I test")
    assert near.subject.startswith("12.9 miles ask for at least a transfer test")


BRAKE = {("coach", "brake_complete"), ("coach", "train_line_holds")}


@pytest.mark.parametrize(("found", "status", "words"), [
    ({}, "open", "is not known to work"),
    ({"train_line_holds": "no"}, "open", "is repaired first"),
    ({"brake_complete": "no", "train_line_holds": "yes"}, "open", "is repaired first"),
    ({"brake_complete": "yes", "train_line_holds": "yes"}, "pass", "works as found"),
])  # fmt: skip
def test_a_unit_leaves_with_its_own_brake_working_and_no_braked_cars_stand_in_for_it(museum, found, status, words):
    seen = [museum.survey[0].model_copy(update={"vehicle": "coach", "clue": clue, "found": what})
            for clue, what in found.items()]  # fmt: skip
    others = [row for row in museum.survey if (row.vehicle, row.clue) not in BRAKE]
    check = run(museum.with_changes(survey=[*others, *seen]), "brake_test", "coach", "own_wheels")
    assert check.status == status and words in check.note and "does not cover a unit offered with a dead one" in check.note


def test_what_rolls_on_roller_bearings_is_not_converted_to_them(museum):
    for path in ("convert_axles", "freight_wheelsets"):
        boxcar, coach = (run(museum, "plain_bearings", vehicle, path) for vehicle in ("boxcar", "coach"))
        assert (boxcar.status, boxcar.note) == ("fail", "It already rolls on roller bearings.")
        assert coach.status == "pass"
    # A heavy diesel may still shed its motors; what nobody has seen is unknown.
    bare = museum.with_changes(survey=[row for row in museum.survey if row.vehicle != "road_diesel"])
    wanted = {"roller": ("fail", "pass"), "plain": ("pass", "pass"), "unknown": ("unknown", "unknown")}
    for kind, statuses in wanted.items():
        rolls = unit(bare, "road_diesel", bearing=kind)
        paths = ("convert_axles", "freight_wheelsets")
        assert tuple(run(rolls, "plain_bearings", "road_diesel", path).status for path in paths) == statuses


def test_the_starting_pull_is_that_of_unit_and_spacer_on_the_hardest_leg(museum):
    """115 t x (20 + 30 + 9.6) and 29 t x (5 + 30 + 9.6) lb on 1.5 % and 12 degrees: 8,147 lbf."""
    check = run(museum, "starting_pull", path="own_wheels")
    assert check.demand.m_as("lbf") == pytest.approx(8147.4, abs=0.1)
    assert check.capacity.m_as("lbf") == pytest.approx(0.2 * 220_000 - 110 * 5)
    weak = museum.with_changes(engines=[museum.engines[0].model_copy(update={"weight": Quantity(40_000, "lb")})])
    assert run(weak, "starting_pull", path="own_wheels").status == "open"


def test_tie_downs_are_checked_by_the_drawing_of_this_unit_before_that_of_any(museum):
    assert "12 such tie-downs needed" in run(museum, "rail_securement").note
    own = museum.tie_down_drawings[0].model_copy(update={"vehicle": "foundry_switcher", "longitudinal": 4.0})
    check = run(museum.with_changes(tie_down_drawings=[*museum.tie_down_drawings, own]), "rail_securement")
    assert check.status == "fail" and "42 such tie-downs needed" in check.note


def test_a_published_design_strength_is_told_and_decides_nothing(museum):
    """4 x 156,000 / 30,619 = 20.4 tie-downs each way: 42, and the 16 of the drawing still pass."""
    check = run(museum, "rail_securement")
    assert check.status == "pass" and "For comparison only: MIL-STD-209K, Table I" in check.note
    assert "it would ask for 42 such tie-downs" in check.note


def test_a_light_load_is_legal_without_a_permit_and_over_it_the_permit_office_decides(museum):
    assert run(museum, "legal_weight", "boxcar", "trailer").status == "pass"
    heavy = run(museum, "legal_weight", "consolidation", "trailer")
    assert (heavy.status, heavy.margin) == ("open", None)


def test_a_load_over_the_sign_waits_for_the_owner_and_a_detour_needs_no_leave(museum):
    assert run(museum, "posted_bridge", "caboose", "roll_on").status == "open"
    assert run(museum, "posted_bridge", "boxcar", "trailer").status == "pass"
    around = run(museum, "posted_bridge", "consolidation", "trailer")
    assert (around.status, around.subject) == ("pass", "no posted bridge on the way")


def test_the_haul_pull_is_two_per_cent_and_the_steepest_grade(museum):
    """156,000 lb, 6,000 lb of blocking and 118,000 lb of trailer x (2 + 4) % = 16,800 lbf on County Road 14."""
    check = run(museum, "haul_pull", path="trailer")
    assert check.demand.m_as("lbf") == pytest.approx(16_800)
    assert check.subject == "County Road 14"
    weak = run(limit(museum, "tractor_pull", 16_000), "haul_pull", path="trailer")
    assert weak.status == "open" and "second truck" in weak.note


def test_what_holds_on_the_ramp_is_20_lb_a_ton_for_each_per_cent(museum):
    """23.5 t x 20 x 8 % = 3,760 lbf."""
    check = run(museum, "brake_holding", "caboose", "roll_on")
    assert (check.status, round(check.demand.m_as("lbf"))) == ("pass", 3760)
    assert run(museum, "brake_holding", "foundry_switcher", "roll_on").status == "fail"


def test_a_cautious_engine_reaches_the_reason_that_a_planner_reads(museum):
    heavy = museum.with_changes(engines=[museum.engines[0].model_copy(update={"weight": Quantity(400_000, "lb")})])
    findings = {f.gate.gate: f for f in screen(heavy, "caboose", "own_wheels").findings}
    assert findings["rail_bridge"].status == "open"
    assert "towing engine on" in findings["rail_bridge"].reason


def tabled(museum, table):
    """Return the museum with what its road legs say of the permit table of their state."""
    return museum.with_changes(legs=[row.model_copy(update={"permit_table": table}) for row in museum.legs])


def test_axle_groups_over_another_state_s_table_are_open_over_the_route_s_own_stop_and_without_word_unknown(museum):
    """Jeep 24,000 lb and 45,453 lb of 162,000 lb: 69,453 lb on its three axles, against 60,000 lb."""
    check = run(museum, "trailer_axle_load", path="trailer")
    assert (check.status, round(check.demand.m_as("lb")), check.capacity.m_as("lb")) == ("open", 69453, 60000)
    own = run(tabled(museum, "limits"), "trailer_axle_load", path="trailer")
    assert (own.status, own.demand) == ("fail", check.demand)
    assert own.margin.m_as("lb") == pytest.approx(280000 * (60000 / 69453 - 1), abs=2)
    blank = run(tabled(museum, None), "trailer_axle_load", path="trailer")
    assert blank.status == "unknown" and "permit_table of legs.csv" in blank.note
    finding = next(f for f in screen(museum, "foundry_switcher", "trailer").findings if f.gate.gate == "trailer_axle_load")
    assert "is over 60,000 lb (13-axle" in finding.reason and "the route's permit office decides" in finding.reason
    assert (finding.status, finding.refusal) == ("open", finding.gate.refusal_probability)


def test_a_load_that_is_legal_without_a_permit_needs_no_permit_table(museum):
    assert run(tabled(museum, None), "trailer_axle_load", "boxcar", "trailer").status == "pass"


def test_the_trailer_s_own_axle_limit_answers_where_it_is_the_nearer_one(museum):
    """100,000 lb of caboose and rail-deck trailer: 12,176 lb on the steering axle, 47,885 lb on four deck axles."""
    lower = limit(museum, "permit_quad_axle", 50_000)
    assert run(lower, "trailer_axle_load", "caboose", "roll_on").capacity.m_as("lb") == 50_000
    found = run(steered(lower, 12_200), "trailer_axle_load", "caboose", "roll_on")
    assert (found.capacity.m_as("lb"), found.status) == (12_200, "marginal")


def steered(museum, most_lb):
    """Return the museum with this limit on every steering axle."""
    weak = {"axle_limit": Quantity(float(most_lb), "lb")}
    return museum.with_changes(
        trailer_axles=[row.model_copy(update=weak if row.group == "steer" else {}) for row in museum.trailer_axles]
    )


def test_the_steering_axle_has_its_own_limit(museum):
    """12,000 lb empty and a twentieth of what the jeep leaves to the truck, 13,725 lb: over 13,000 and under 14,600 lb."""
    kept = ("thirteen_axle_trailer", "lowboy")  # the body's, and the one that its trucks ride on
    one = museum.with_changes(trailers=[row for row in museum.trailers if row.trailer in kept])
    assert run(one, "trailer_axle_load", "foundry_switcher", "trailer").status == "open"
    found = run(steered(one, 13_000), "trailer_axle_load", "foundry_switcher", "trailer")
    assert (found.status, found.capacity.m_as("lb"), round(found.demand.m_as("lb"))) == ("fail", 13_000, 13_725)
    assert found.subject.endswith("rear steer, axle 1")


def test_the_axles_follow_the_load_s_centre_of_gravity(museum):
    """A foot toward the rear puts 162,000 / 75 lb more on the deck's axles."""
    def deck(offset):
        moved = [row.model_copy(update={"centre_of_gravity_offset": Quantity(float(offset), "ft")}) for row in museum.pieces]
        return arrange(museum.with_changes(pieces=moved), "foundry_switcher", "trailer").loaded.group_loads[-1].m_as("lb")

    assert deck(-1) - deck(0) == pytest.approx(162_000 / 75)


@pytest.mark.parametrize(
    ("column", "asks"),
    [("blocking_weight", "blocking, chains and spreader"), ("load_place", "where the load stands"),
     ("blocking_height", "height of the blocking"), ("tie_down_points", "take a chain"), ("front_overhang", "overhangs")],
)  # fmt: skip
def test_what_the_hauler_has_not_said_is_unknown_and_asked_for(museum, column, asks):
    gate = {"blocking_height": "road_height", "tie_down_points": "cargo_securement", "front_overhang": "turn"}
    blank = museum.with_changes(trailers=[row.model_copy(update={column: None}) for row in museum.trailers])
    check = run(blank, gate.get(column, "trailer_axle_load"), path="trailer")
    assert check.status == "unknown"
    assert asks.replace("overhangs", "hangs over") in check.note


def test_a_table_of_the_route_s_state_picks_a_trailer_with_more_axles(museum):
    """Nine axles put 92,443 lb on four of them, against 80,000 lb; thirteen less than 60,000 lb on three."""
    assert arrange(museum, "coach", "trailer").trailer.trailer == "nine_axle_trailer"
    bound = tabled(museum, "limits")
    wide = limit(limit(bound, "permit_tri_axle", 80_000), "permit_quad_axle", 90_000)
    assert arrange(bound, "coach", "trailer").trailer.trailer != "nine_axle_trailer"
    assert arrange(limit(wide, "permit_quad_axle", 95_000), "coach", "trailer").trailer.trailer == "nine_axle_trailer"


def test_a_dual_lane_trailer_is_in_no_table_of_single_lanes(museum):
    """Its permit office decides while the table is only an example; unknown where the route's state leaves it out."""
    diesel = run(tabled(museum, "limits"), "trailer_axle_load", "road_diesel", "trailer")
    assert diesel.status == "unknown" and "dual-lane" in diesel.note
    assert run(museum, "trailer_axle_load", "road_diesel", "trailer").status == "open"


def test_without_any_permit_table_the_trailer_s_own_limits_stand_alone(museum):
    bare = museum.with_changes(limits=[row for row in museum.limits if not row.limit.startswith("permit_")])
    assert run(bare, "trailer_axle_load", path="trailer").subject.endswith("axle 1")


def test_the_reason_of_an_open_turn_says_both_figures_and_that_the_hauler_s_drawing_decides(museum):
    finding = next(f for f in screen(museum, "coach", "trailer").findings if f.gate.gate == "turn")
    assert (finding.status, finding.refusal) == ("open", finding.gate.refusal_probability)
    assert "The hauler's drawing decides: any steering needs 23 ft 4.4 in, a long turn takes" in finding.reason


def test_cargo_securement_is_the_strictest_of_its_rules(museum):
    """24 points take chains that hold 135,600 lb at 0.5 g rearward and 271,200 lb by half of the weight."""
    by_force = run(museum, "cargo_securement", "caboose", "roll_on")
    assert (by_force.status, round(by_force.capacity.m_as("lb"))) == ("pass", 135600)
    assert "rearward against working load limit" in by_force.subject
    few = museum.with_changes(trailers=[row.model_copy(update={"tie_down_points": 8.0}) for row in museum.trailers])
    assert run(few, "cargo_securement", "caboose", "roll_on").status == "fail"
    calm = museum
    for kind in ("breaking", "working"):
        for way in ("forward", "rearward", "sideways"):
            calm = limit(calm, f"restraint_{kind}_{way}", 0.01)
    calm = limit(calm, "restraint_downward", 0.01)
    assert round(run(calm, "cargo_securement", "caboose", "roll_on").capacity.m_as("lb")) == 271200
    assert run(limit(calm, "tie_down_spacing", 1), "cargo_securement", "caboose", "roll_on").demand.units == "tie_down"


def test_the_body_on_the_trailer_is_chained_by_the_same_rules_as_a_unit_on_its_wheels(museum):
    """156,000 lb need 28 chains, which are priced; 40 points on the trailer take them, 24 would not."""
    check = run(museum, "cargo_securement", path="trailer")
    assert (check.status, round(check.capacity.m_as("lb"))) == ("pass", 226000)
    assert "28 such chains needed, 40 offered" in check.note
    few = museum.with_changes(trailers=[row.model_copy(update={"tie_down_points": 24.0}) for row in museum.trailers])
    assert run(few, "cargo_securement", path="trailer").status == "fail"


@pytest.mark.parametrize("name", ["restraint_working_rearward", "chain_breaking_ratio", "hauler_chain_size"])
def test_a_missing_figure_of_the_chains_leaves_securement_unknown(museum, name):
    blank = museum.with_changes(limits=[row for row in museum.limits if row.limit != name])
    assert run(blank, "cargo_securement", "caboose", "roll_on").status == "unknown"


def test_a_rail_path_that_names_no_legs_is_unknown_at_every_gate_of_the_route(museum):
    rows = [row.model_copy(update={"legs": ()}) if row.path == "own_wheels" else row for row in museum.stages]
    findings = screen(museum.with_changes(stages=rows), "coach", "own_wheels").findings
    found = {f.gate.check: f for f in findings if f.gate.check}
    route = ("rail_bridge", "track_axle_limit", "gross_rail_load", "curve", "side_clearance", "height_clearance",
             "starting_pull", "brake_test")  # fmt: skip
    assert {found[check].status for check in route} == {"unknown"}


def test_idler_trucks_are_checked_over_the_lead_alone(museum):
    """The trestle of the lead stops the road diesel on either wheels; the through girder beyond it is not crossed."""
    own, idler = (arrange(museum, "road_diesel", path) for path in ("own_wheels", "idler_trucks"))
    assert [leg.leg for leg in idler.legs] == ["industrial_lead"]
    assert len(idler.bridges) == 1 and len(own.bridges) == 4
    assert [(path.bridges[0].subject, path.bridges[0].status) for path in (own, idler)] == [
        ("Timber trestle, 14-ft panels", "fail")
    ] * 2
    assert idler.amounts["bridge_reviews"] == 1
