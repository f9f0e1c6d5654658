"""An amount over its limit is never a caution at no cost: it stops, is asked of somebody who may grant it, or is unknown."""

from pathlib import Path

import pytest

from heritagemove.checks.gates.carriage import arrange
from heritagemove.checks.gates.screening import screen
from heritagemove.checks.gates.wiring import CHECKS, SEASON
from heritagemove.museum.museum import load_museum

DATA = Path(__file__).resolve().parents[2] / "data"
#: Each limit as it is, and all of them a quarter lower or higher: other gates are then the ones that are passed.
SHARES = (1.0, 0.75, 1.25)


def scaled(museum, share):
    rows = [row.model_copy(update={"value": row.value * share}) if row.unit in ("lb", "ft", "in", "lbf", "psf") else row
            for row in museum.limits]  # fmt: skip
    return museum.with_changes(limits=rows)


@pytest.mark.long
@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("name", ["tamber_river", "elsewhere/melderbach"])
def test_no_check_is_over_its_capacity_and_no_more_than_a_caution(name, share):
    museum, asked = scaled(load_museum(DATA / name), share), 0
    for unit in museum.vehicles:
        for ratio in (0.6, 1.0, 1.5):
            heavier = museum if unit.weight is None else museum.with_weight(
                unit.vehicle, unit.weight.m_as("short_ton") * ratio
            )  # fmt: skip
            for path in museum.paths:
                carriage = arrange(heavier, unit.vehicle, path.path)
                for gate in museum.of_path("gates", path.path):
                    if not gate.check or gate.check == SEASON:
                        continue
                    check = CHECKS[gate.check](carriage)
                    if None not in (check.demand, check.capacity) and check.demand > check.capacity:
                        asked += 1
                        assert check.status in ("fail", "open", "unknown"), (unit.vehicle, path.path, check)
    assert asked > 5


@pytest.mark.parametrize("name", ["tamber_river", "elsewhere/melderbach"])
def test_what_is_open_by_a_check_has_a_task_and_a_probability_of_refusal(name):
    museum = load_museum(DATA / name)
    for unit in museum.vehicles:
        for path in museum.paths:
            for found in screen(museum, unit.vehicle, path.path).findings:
                if found.check and found.status == "open":
                    assert found.gate.task and found.refusal == found.gate.refusal_probability > 0
