"""No risk counts what a range counts already: where the range is wide, the row says what the risk counts beyond it."""

from pathlib import Path

import pytest

from heritagemove.museum.museum import load_museum

DATA = Path(__file__).resolve().parents[2] / "data"
MUSEUMS = ("tamber_river", "elsewhere/melderbach")


def is_wide(task):
    """The highest is at least twice the likely and a week over the lowest: much that goes wrong lies inside."""
    return task.high >= 2 * task.likely and task.high - task.low >= 5


@pytest.mark.parametrize("folder", MUSEUMS)
def test_a_risk_that_delays_a_task_of_a_wide_range_says_what_it_counts_beyond_it(folder):
    museum = load_museum(DATA / folder)
    tasks = {(row.path, row.task): row for row in museum.tasks}
    delaying = [row for row in museum.risks if row.delay_high > 0 and not row.stretches]
    wide = [row for row in delaying if is_wide(tasks[row.path, row.task])]
    assert wide
    assert [f"{row.path}/{row.risk}" for row in wide if not row.beyond] == []


@pytest.mark.parametrize("folder", MUSEUMS)
def test_a_risk_of_a_weight_that_is_off_says_what_the_tolerance_does_not_count(folder):
    museum = load_museum(DATA / folder)
    assert any(row.weight_tolerance.magnitude for row in museum.vehicles)
    for row in museum.risks:
        if row.risk == "weight_off":
            assert row.beyond and "tolerance" in row.beyond, row.risk
