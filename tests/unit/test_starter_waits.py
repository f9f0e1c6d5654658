"""A new museum waits for a vote, a tender and money; one cell of quantities.csv says that it does not."""

import numpy as np
import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.starter import new_museum
from heritagemove.editing.starter_waits import WAITS
from heritagemove.museum.museum import load_museum
from heritagemove.trials import simulation


@pytest.fixture(scope="module")
def begun(tmp_path_factory):
    return load_museum(new_museum(tmp_path_factory.mktemp("new") / "museum"))


def without(museum, *drivers):
    """Return the museum with a zero for some of the waits."""
    zero = {"low": 0.0, "likely": 0.0, "high": 0.0}
    rows = [row.model_copy(update=zero) if row.driver in drivers else row for row in museum.quantities]
    return museum.with_changes(quantities=rows)


def result_of(museum, path="trailer"):
    return compare_paths(museum, "our_unit", {}, simulation.draw(museum, trials=200)).path(path)


def test_every_path_that_saves_the_unit_has_each_wait_and_the_chance_of_a_no(begun):
    saved = {row.path for row in begun.paths if row.saves}
    tasks, gates = ({(row.path, name(row)) for row in rows} for rows, name in (
        (begun.tasks, lambda row: row.task), (begun.gates, lambda row: row.gate)))  # fmt: skip
    assert saved and all({(path, wait.task) for wait in WAITS} <= tasks & gates for path in saved)
    assert {path for path, task in tasks if task == WAITS[0].task} == saved


def test_it_waits_for_no_fund_of_the_demo_and_runs_through_one_state(begun):
    assert not begun.funds and not any(row.fund for row in begun.tasks)
    assert {row.state for row in begun.legs} == {"our_state"}


def test_each_wait_takes_its_days_and_a_zero_takes_them_and_its_gate_away(begun):
    waiting, free = result_of(begun), result_of(without(begun, *(wait.driver for wait in WAITS)))
    for wait in WAITS:
        ready, finish = waiting.trials.dates.ready[wait.task], waiting.trials.dates.finish[wait.task]
        assert (finish - ready > wait.days[0]).all(), wait.task
        assert (free.trials.dates.finish[wait.task] == free.trials.dates.ready[wait.task]).all(), wait.task
    names = {found.gate.gate for found in waiting.findings} - {found.gate.gate for found in free.findings}
    assert names == {wait.task for wait in WAITS}
    # the likely wait for money is 130 working days, half a year
    assert np.median(waiting.trials.off_site - free.trials.off_site) > 180
