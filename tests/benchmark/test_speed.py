"""How fast a slider moves and a row is edited, against numpy's own speed and a plain implementation."""

import itertools

import numpy as np
import pytest
from measuring import TRIALS, VEHICLE, best
from reference_engine import ReferenceEngine

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.inputs import Inputs, answer, as_set
from heritagemove.museum.memo import Memo
from heritagemove.trials.simulation import draw

pytestmark = pytest.mark.benchmark


def arrays_of(samples):
    """Return every array that was drawn, each once."""
    tables = (samples.rates, samples.tasks, samples.quantities, samples.weights, samples.gates)
    found = [array for table in tables for array in table.values()]
    for risk in samples.risks.values():
        found += [risk.happens, risk.cost_usd, risk.delay_days]
    return found


@pytest.fixture(scope="module")
def floor(drawn):
    """Return the time numpy takes to sum every drawn array once [s]."""
    arrays = arrays_of(drawn)
    return best(lambda: [array.sum() for array in arrays], 20)


def moves(museum, drawn, name, first):
    """Return the time of one move of a slider, each to an amount that was never asked before [s]."""
    memo, amounts = Memo(), itertools.count(first)

    def move():
        compare_paths(museum, VEHICLE, {"crane_hours": 24} | {name: next(amounts)}, drawn, memo)

    move()
    return best(move, 8)


@pytest.mark.parametrize(
    ("name", "first", "target", "bound"),
    [("crane_hours", 20, 6, 12), ("axles", 4, 12, 24), ("haul_distance", 100, 20, 40), ("weight", 110, 60, 150)],
)
def test_a_slider_move_against_one_sum_of_the_same_arrays(museum, drawn, floor, record, name, first, target, bound):
    seconds = moves(museum, drawn, name, first)
    what = f"{name} moved ({seconds * 1000:.1f} ms), times one sum of the draws ({floor * 1000:.1f} ms)"
    record(what, seconds / floor, target, bound)


def test_a_deadline_moved_against_one_sum_of_the_same_arrays(museum, drawn, floor, record):
    memo, days = Memo(), itertools.count(1)

    def move():
        inputs = Inputs(VEHICLE, {"crane_hours": 24}, deadline_moved=next(days))
        there = as_set(museum, inputs)
        answer(there, inputs, draw(there, previous=drawn), memo)

    move()
    seconds = best(move, 8)
    what = f"deadline moved ({seconds * 1000:.1f} ms), times one sum of the draws ({floor * 1000:.1f} ms)"
    record(what, seconds / floor, 6, 12)


def test_a_slider_move_against_the_plain_implementation_it_equals(museum, drawn, compared, record):
    seconds = moves(museum, drawn, "crane_hours", 20)
    reference = ReferenceEngine(compared)
    plain = best(reference.answers, 2)
    for path, plainly in reference.answers().items():
        result = compared.path(path)
        assert plainly.cost[2] == pytest.approx(result.cost.p80, rel=1e-6)
        assert plainly.off_site is None or plainly.off_site[2] == pytest.approx(result.off_site_days.p80, rel=1e-6)
    record("slider move, times faster than plain numpy with the same P80", plain / seconds, 5, 2, at_most=False)


def test_the_first_draw_against_as_many_standard_normals(museum, drawn, record):
    count = sum(len(np.unique(array[:100])) > 1 for array in arrays_of(drawn))
    random = np.random.Generator(np.random.SFC64(1))
    normals = best(lambda: [random.standard_normal(TRIALS) for _ in range(count)])
    ours = best(lambda: draw(museum, trials=TRIALS), 3)
    record(f"first draw of {count} inputs, times as many standard normals", ours / normals, 6, 25)


@pytest.mark.parametrize(("table", "update"), [("rates", {"likely": 1.0, "low": 1.0}), ("tasks", {"high": 99.0})])
def test_a_row_edited_is_drawn_alone(museum, drawn, record, table, update):
    rows = list(getattr(museum, table))
    number = next(n for n, row in enumerate(rows) if row.high > max(1.0, row.low))
    rows[number] = rows[number].model_copy(update=update)
    edited = museum.with_changes(**{table: rows})
    seconds = best(lambda: draw(edited, previous=drawn), 10)
    record(f"a row of {table}.csv edited: its draws [ms]", seconds * 1000, 5, 40)
