"""A check that somebody's answer decides: open where a task asks for it, unknown where none does, never a caution."""

import dataclasses
from pathlib import Path

import pytest

from heritagemove.checks.check import Check
from heritagemove.checks.gates.lookup import worst
from heritagemove.checks.gates.screening import Checks
from heritagemove.museum.memo import Made
from heritagemove.museum.museum import load_museum
from heritagemove.units.units import Quantity

DATA = Path(__file__).resolve().parents[2] / "data"
OVER = Check(
    "Posted weight", "County bridge", Quantity(120_000, "lb"), Quantity(80_000, "lb"), "open", None, "the sign",
    "Only the owner's permit lets it cross. Never slip across.",
)  # fmt: skip


def found(museum, check=OVER, **gate):
    row = next(row for row in museum.gates if row.check == "posted_bridge" and row.path == "trailer")
    asked = {"task": "state_permit", "refusal_probability": 0.2} | gate
    return Checks(museum).worded(row.model_copy(update=asked), Made.alone(check))


def test_over_a_limit_that_a_task_asks_leave_for_is_open_with_its_refusal_probability(museum):
    finding = found(museum)
    assert (finding.status, finding.refusal, finding.margin) == ("open", 0.2, "")
    assert finding.found == (
        "120,000 lb is over 80,000 lb (County bridge). Only the owner's permit lets it cross. Open, 20% chance of refusal "
        "(bridge owner signs)."
    )


def test_over_a_limit_that_no_task_asks_leave_for_stops(museum):
    finding = found(museum, task=None, refusal_probability=None)
    assert (finding.status, finding.refusal) == ("fail", 0.0)
    assert finding.found.endswith("Only the owner's permit lets it cross. No task of this path asks for leave.")


def test_what_somebody_s_drawing_decides_is_unknown_where_no_task_asks_for_it(museum):
    drawn = dataclasses.replace(OVER, find="have the hauler draw this turn")
    finding = found(museum, drawn, task=None, refusal_probability=None)
    assert (finding.status, finding.find) == ("unknown", "have the hauler draw this turn")


@pytest.mark.parametrize(
    ("other", "status"), [("pass", "open"), ("marginal", "open"), ("unknown", "unknown"), ("fail", "fail")]
)
def test_what_is_open_outweighs_a_pass_and_yields_to_what_is_unknown_or_fails(other, status):
    light = dataclasses.replace(OVER, status=other, demand=Quantity(1, "lb"))
    assert worst([light, OVER], "Posted weight", "").status == status


RAIL = (
    "brake_test", "centre_of_gravity", "flat_car_clearance", "flat_car_load", "freight_car_age", "plate", "rail_bridge",
    "side_clearance", "starting_pull",
)  # fmt: skip


@pytest.mark.parametrize("name", ["tamber_river", "elsewhere/melderbach"])
def test_whatever_a_railroad_may_grant_has_the_task_that_asks_and_a_chance_of_refusal(name):
    asked = [gate for gate in load_museum(DATA / name).gates if gate.check in RAIL]
    assert asked and all(gate.kind == "hard_stop" and gate.task and gate.refusal_probability > 0 for gate in asked)
