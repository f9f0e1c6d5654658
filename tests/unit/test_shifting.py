"""A local shift over the ground: what each way of it needs, alone and in front of another stage."""

from pathlib import Path

import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.screening import screen
from heritagemove.checks.gates.wiring import CHECKS, OF_THE_CARRIER
from heritagemove.compare.comparison import price_path
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows.stages import Stage
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

DATA = Path(__file__).resolve().parents[2] / "data"
TOLD = ("shift_distance", "shift_days", "shift_machines", "shift_panels")


@pytest.fixture(scope="module")
def museum():
    demo = load_museum(DATA / "tamber_river")
    return demo.with_rows(stages=tuple(row for row in demo.stages if row.carried_on != "shift"))


def shifted(museum, way, feet=300.0, then=()):
    """Return the museum in which the transporter's path begins with a shift, and goes on with these stages."""
    (stage,) = museum.stages_of("transporter")
    place = {"from_place": stage.from_place, "to_place": stage.from_place}
    sized = {"length": Quantity(feet, "ft"), "grade": Quantity(1, "percent")}
    yard = museum.legs[0].model_copy(update={"leg": "yard", "mode": "ground", "order": 1, **place, **sized})
    aside = {"stage": "shift", "order": 1, "carried_on": "shift", "shifted_by": way, "legs": ("yard",), **place}
    stages = [row for row in museum.stages if row.path != "transporter"]
    stages += [stage.model_copy(update=aside), *(row.model_copy(update={"order": 2}) for row in then)]
    return museum.with_rows(legs=(*museum.legs, yard), stages=tuple(stages))


@pytest.mark.parametrize(
    ("way", "expected"),
    [
        ("side_booms", (300.0, 3.0, 4.0, 0.0)),  # 164,000 / 45,000 = 3.6 machines; 2 days and one of 300 ft
        ("skid", (300.0, 8.0, 0.0, 0.0)),  # 3 days and 300 / 60
        ("jack_and_roll", (300.0, 12.0, 0.0, 0.0)),  # 4 days and 300 / 40 = 7.5
        ("panel_track", (300.0, 7.0, 0.0, 10.0)),  # 3 days and 300 / 80 = 3.75; (300 + 82) / 39 = 9.8 panels
    ],
)
def test_a_shift_counts_feet_crew_days_machines_and_panels(museum, way, expected):
    amounts = arrange(shifted(museum, way), "coach", "transporter").amounts
    assert tuple(amounts[name] for name in TOLD) == pytest.approx(expected)


def test_a_shift_whose_way_nobody_chose_is_unknown_but_for_its_feet(museum):
    amounts = arrange(shifted(museum, None), "coach", "transporter").amounts
    assert [amounts[name] for name in TOLD] == [pytest.approx(300), None, None, None]


def test_a_shift_without_legs_or_weight_is_unknown(museum):
    bare = shifted(museum, "side_booms")
    stages = tuple(row.model_copy(update={"legs": ()}) if row.stage == "shift" else row for row in bare.stages)
    weightless = tuple(row.model_copy(update={"weight": None}) for row in museum.vehicles)
    assert arrange(bare.with_rows(stages=stages), "coach", "transporter").amounts["shift_days"] is None
    assert arrange(bare.with_rows(vehicles=weightless), "coach", "transporter").amounts["shift_machines"] is None


def test_a_shift_in_front_of_a_stage_adds_to_what_the_path_needs_and_takes_nothing_away(museum):
    alone = screen(museum, "coach", "transporter").amounts
    both = screen(shifted(museum, "skid", then=museum.stages_of("transporter")), "coach", "transporter").amounts
    assert both["shift_days"] == 8 and both["shift_distance"] == pytest.approx(300)
    grown = {name for name in alone if both[name] != alone[name]}
    assert grown == {"haul_distance"}
    assert both["haul_distance"] == pytest.approx(alone["haul_distance"] + 300 / 5280)


def test_more_feet_never_take_fewer_crew_days(museum):
    ways = ("side_booms", "skid", "jack_and_roll", "panel_track")
    for way in ways:
        of = [arrange(shifted(museum, way, feet), "coach", "transporter").amounts for feet in (1.0, 60.0, 61.0, 1000.0)]
        days, panels = ([amounts[name] for amounts in of] for name in ("shift_days", "shift_panels"))
        assert days == sorted(days) and panels == sorted(panels)


def test_only_a_shift_says_how_it_is_shifted(museum):
    typed = museum.stages[0].model_dump() | {"shifted_by": "skid"}
    with pytest.raises(ValueError, match="shifted_by: blank where the unit is not carried on shift"):
        Stage.model_validate(typed)


def test_the_demo_skids_a_unit_aside_by_the_foot_and_the_day_before_the_transporter_takes_it():
    demo = load_museum(DATA / "tamber_river")
    result = price_path(demo, "coach", "transporter", samples=draw(demo, trials=50))
    needed = {entry.line.line: entry.quantity for entry in result.trials.lines if entry.line.line.startswith("shift_")}
    assert needed == pytest.approx({"shift_way": 60, "shift_crew": 4, "shift_machines": 0, "shift_panels": 0})
    assert {f.gate.check: f.status for f in result.findings}["shift_capacity"] == "pass"
    finish = result.trials.dates.finish
    assert (finish["shift_aside"] < finish["jack_and_load"]).all()


@pytest.mark.parametrize("carrier", ["shift", "barge", "storage"])
def test_a_gate_of_road_rail_or_lift_on_a_path_that_only_shifts_is_unknown_and_never_an_error(museum, carrier):
    (stage,) = museum.stages_of("transporter")
    way = "skid" if carrier == "shift" else None
    alone = stage.model_copy(update={"carried_on": carrier, "legs": (), "shifted_by": way})
    moved = museum.with_rows(stages=(*(row for row in museum.stages if row.path != "transporter"), alone))
    carriage = arrange(moved, "coach", "transporter")
    for name, check in CHECKS.items():
        found = check(carriage)
        if name in OF_THE_CARRIER:
            assert found.status == "unknown" and "take this gate out" in found.note, name
