"""Three one-page descriptions of units (the .txt files beside this one) as a planner answers the form from them."""

UNIT = "unit.our_unit."
FACTS = "fact.our_unit.vehicle."
SITE = "fact.any.site."
ROAD = "leg.road_route."


def at_both_ends(**cells):
    return {f"place.{place}.{name}": text for place in ("the_site", "the_museum") for name, text in cells.items()}


DIESEL = {
    "situation.stands": "cut_off_track", "situation.by_road": "140", "situation.ton": "short_ton",
    "decision.name": "Cedar Flats Railway Museum", "decision.place": "Cedar Flats", "decision.site": "Stony Ford paper mill",
    "decision.forced_scrap": "2028-10-31", "decision.deadline": "2028-09-30",
    UNIT + "name": "Diesel 1204", UNIT + "built": "1951", UNIT + "weight": "92 tons", UNIT + "length": "44 ft 6 in",
    UNIT + "width": "10", UNIT + "height": "14 ft 6 in", UNIT + "bearing": "roller", UNIT + "loads": "share",
    UNIT + "lift_spread": "22",
    FACTS + "asbestos": "no", FACTS + "lead_paint": "no", FACTS + "pcb": "no", FACTS + "tanks_and_reservoirs": "empty",
    SITE + "salvage_rights": "none", SITE + "historic_designation": "none", SITE + "owner_access_letter": "yes",
    SITE + "receiving_track_ready": "yes", SITE + "route_walked": "yes",
    ROAD + "bridges": "none", ROAD + "permit_table": "none",
    **at_both_ends(soil="gravel", pad_area="200", pad_material="timber mats", radius="30", headroom="25", obstruction="40",
                   power_lines_cleared="not_needed", crane_access="yes", services_located="yes"),
}  # fmt: skip
COACH = {
    "situation.kind": "passenger_car", "situation.stands": "cut_off_track", "situation.rail_at_museum": "no",
    "situation.by_road": "35", "situation.ton": "short_ton",
    "decision.name": "Harbor Junction Museum", "decision.forced_scrap": "2028-12-01", "decision.deadline": "2028-11-01",
    UNIT + "name": "Coach 2108", UNIT + "built": "1924", UNIT + "weight": "72 tons", UNIT + "length": "82",
    UNIT + "width": "10", UNIT + "height": "14", UNIT + "bearing": "plain", UNIT + "lift_spread": "57",
    FACTS + "asbestos": "yes", FACTS + "lead_paint": "yes", FACTS + "pcb": "no", FACTS + "tanks_and_reservoirs": "none",
    SITE + "salvage_rights": "none", SITE + "historic_designation": "none", SITE + "owner_access_letter": "yes",
    SITE + "receiving_track_ready": "yes", SITE + "route_walked": "yes", ROAD + "permit_table": "none",
    **at_both_ends(soil="gravel", pad_area="150", pad_material="timber mats", radius="35", headroom="20", obstruction="45",
                   crane_access="yes", services_located="yes"),
    "place.the_site.power_lines_cleared": "yes", "place.the_museum.power_lines_cleared": "not_needed",
}  # fmt: skip
#: Answered once the coach's bridge has been added to its road.
BRIDGE = {"bridge.road_route_bridge_2.span": "60", "bridge.road_route_bridge_2.normal": "1.4",
          "bridge.road_route_bridge_2.maximum": "1.9"}  # fmt: skip
TANK_ENGINE = {
    "situation.rules": "melderbach", "situation.kind": "narrow_gauge_engine", "situation.stands": "ground",
    "situation.rail_at_museum": "no", "situation.by_road": "48",
    "decision.name": "Waldbahn Unterau", "decision.forced_scrap": "2028-12-31", "decision.deadline": "2028-10-31",
    UNIT + "name": "Lok 5", UNIT + "built": "1909", UNIT + "weight": "22 t", UNIT + "length": "6,9", UNIT + "width": "2.3",
    UNIT + "height": "3.2 m", UNIT + "axles": "1.9; 3.2; 4.5", UNIT + "loads": "share", UNIT + "lift_spread": "3.6",
    FACTS + "asbestos": "yes", FACTS + "lead_paint": "no", FACTS + "tanks_and_reservoirs": "empty",
    SITE + "salvage_rights": "none", SITE + "historic_designation": "cleared", SITE + "owner_access_letter": "yes",
    SITE + "receiving_track_ready": "yes", SITE + "route_walked": "yes",
    ROAD + "bridges": "none", ROAD + "clear_height": "4.2", ROAD + "turn_angle": "90", ROAD + "turn_outer_radius": "15",
    ROAD + "turn_width": "6", ROAD + "width_limit": "4.5", ROAD + "wires": "3", ROAD + "lowest_wire": "5",
    **at_both_ends(soil="gravel", pad_area="4", pad_material="steel plates", radius="8", headroom="6", obstruction="10",
                   power_lines_cleared="not_needed", crane_access="yes", services_located="yes"),
}  # fmt: skip
