"""A table that a museum has not filled: its gates are unknown and name the table, nothing ends in an error."""

import csv

import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError

#: What a museum lacks -> the file to fill -> by path the gates that cannot answer without it.
LACKS = {
    "flat_cars": ("flat_cars.csv", {
        "flat_car": ("flat_car_load", "flat_car_clearance", "centre_of_gravity", "track_axle_limit", "rail_bridge"),
        "own_wheels": ("starting_pull",),
    }),
    "trailers": ("trailers.csv", {
        "trailer": ("trailer_payload", "trailer_axle_load", "road_bridge", "posted_bridge", "road_height", "turn",
                    "haul_pull", "legal_weight"),
        "roll_on": ("roll_on_payload", "trailer_axle_load", "road_height", "turn", "haul_pull", "legal_weight"),
        "transporter": ("transporter_ground", "posted_bridge", "turn"),
    }),
    "cranes": ("cranes.csv", dict.fromkeys(("flat_car", "trailer"), ("crane", "crane_access", "outrigger_ground", "wind"))),
    "engines": ("engines.csv", {"own_wheels": ("rail_bridge", "starting_pull"), "flat_car": ("rail_bridge",)}),
    "bridges": ("bridges.csv", {"own_wheels": ("rail_bridge",), "trailer": ("road_bridge", "posted_bridge")}),
    "rail": ("legs.csv", {
        "own_wheels": ("track_axle_limit", "gross_rail_load", "curve", "side_clearance", "height_clearance",
                       "starting_pull", "brake_test"),
        "flat_car": ("track_axle_limit", "flat_car_clearance"),
    }),
    "road": ("legs.csv", {"trailer": ("road_height", "turn", "haul_pull"), "roll_on": ("road_height", "turn")}),
}  # fmt: skip


def without(museum, what):
    if what in ("rail", "road"):
        return museum.with_changes(legs=[row for row in museum.legs if row.mode != what])
    if what == "bridges":  # a detour names the bridge that it avoids
        return museum.with_changes(bridges=(), legs=[row for row in museum.legs if not row.detour_for])
    return museum.with_changes(**{what: ()})


@pytest.mark.parametrize("what", LACKS)
def test_a_gate_that_lacks_its_table_is_unknown_and_names_the_file(museum, what):
    file, paths = LACKS[what]
    for path, gates in paths.items():
        for unit in ("caboose", "coach", "foundry_switcher"):
            found = {f.gate.check: f for f in screen(without(museum, what), unit, path).findings if f.gate.check}
            for gate in gates:
                if gate in found:
                    assert (found[gate].status, file in found[gate].reason) == ("unknown", True), found[gate].reason
            assert set(gates) & set(found)


@pytest.mark.parametrize("what", LACKS)
def test_a_comparison_without_one_table_ends_and_its_paths_are_not_priced_as_if_it_were_free(museum, what):
    lacking = without(museum, what)
    samples = draw(lacking, trials=50)
    for unit in museum.vehicles:
        for result in compare_paths(lacking, unit.vehicle, samples=samples).paths:
            asked = [f for f in result.findings if f.gate.check in LACKS[what][1].get(result.path, ())]
            if any(f.gate.kind == "hard_stop" for f in asked):
                assert result.status in ("unknown", "blocked")
            if what in ("trailers", "road") and result.path in ("trailer", "transporter", "roll_on"):
                assert result.cost is None
            if what == "rail" and result.path in ("own_wheels", "convert_axles", "donor_trucks"):
                assert result.cost is None
            if what in ("flat_cars", "rail") and result.path == "flat_car":
                assert result.cost is None


def test_a_distance_cannot_be_set_where_no_leg_is_tabled(museum):
    with pytest.raises(PlannerError, match=r"legs\.csv: found no leg"):
        museum.with_changes(legs=()).with_haul_distance(100)


def test_a_museum_without_flat_cars_passes_its_check_and_is_compared(museum_copy):
    """Rows, prices and cost lines removed, as a planner would."""
    folder = museum_copy.folder
    cars = {row["flat_car"] for row in csv.DictReader((folder / "flat_cars.csv").open())}
    places = ("flat_cars.csv", "flat_car"), ("tie_down_drawings.csv", "flat_car"), ("rates.csv", "equipment")
    for file, column in places:
        with (folder / file).open(newline="") as table:
            rows = list(csv.DictReader(table))
        with (folder / file).open("w", newline="") as table:
            writer = csv.DictWriter(table, rows[0])
            writer.writeheader()
            writer.writerows(row for row in rows if row[column] not in cars)
    priced = {row["rate"] for row in csv.DictReader((folder / "rates.csv").open())}
    with (folder / "cost_lines.csv").open(newline="") as table:
        lines = list(csv.DictReader(table))
    with (folder / "cost_lines.csv").open("w", newline="") as table:
        writer = csv.DictWriter(table, lines[0])
        writer.writeheader()
        writer.writerows(row for row in lines if row["rate"] in priced)
    found = compare_paths(load_museum(folder), "coach").path("flat_car")
    assert found.status == "unknown"
    assert any("flat_cars.csv" in reason for reason in found.reasons)
