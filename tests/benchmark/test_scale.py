"""How time and memory grow with trials, rows and the grid of a sweep."""

import os
import time
import tracemalloc
from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pandas as pd
import pytest
from measuring import TRIALS, VEHICLE, best, children_seconds

from heritagemove.answers.sweep import sweep
from heritagemove.compare.comparison import compare_paths
from heritagemove.trials import simulation, true_weight
from heritagemove.trials.simulation import draw

pytestmark = pytest.mark.benchmark


def exponent(sizes, seconds):
    return np.polyfit(np.log(sizes), np.log(seconds), 1)[0]


def of_path(museum, path, tables=("tasks", "cost_lines", "risks", "gates")):
    return museum.with_changes(**{table: museum.of_path(table, path) for table in tables})


def test_cost_grows_linearly_in_trials(museum, record):
    small, path = of_path(museum, "trailer"), "trailer"
    weighed = true_weight.weigh(small, VEHICLE, path)
    sizes, seconds = (2_000, 6_000, 20_000, 60_000, 200_000), []
    for trials in sizes:
        samples = draw(small, trials=trials)
        needs = true_weight.work(small, VEHICLE, path, samples, weighed, {})
        seconds.append(best(lambda needs=needs, samples=samples: simulation.simulate(small, path, needs, samples), 7))
    record("exponent of time in trials, 2,000 to 200,000", exponent(sizes, seconds), 1.05, 1.4)


def test_cost_grows_linearly_in_rows(museum, record):
    lines = museum.of_path("cost_lines", "trailer")
    sizes, seconds = (1, 2, 4, 8), []
    for times in sizes:
        copies = [row.model_copy(update={"line": f"{row.line}_{n}"}) for n in range(times) for row in lines]
        more = of_path(museum, "trailer").with_changes(cost_lines=copies)
        samples = draw(more, trials=TRIALS)
        weighed = true_weight.weigh(more, VEHICLE, "trailer")
        needs = true_weight.work(more, VEHICLE, "trailer", samples, weighed, {})
        run = lambda needs=needs, samples=samples, more=more: simulation.simulate(more, "trailer", needs, samples)  # noqa: E731
        seconds.append(best(run, 10))
    record("exponent of time in cost lines, 1 to 8 times as many", exponent(sizes, seconds), 1.05, 1.4)


def test_memory_of_the_paths(museum, record):
    compare_paths(museum, VEHICLE, None, draw(museum, trials=100))  # imports and caches of others first
    tracemalloc.start()
    samples = draw(museum, trials=TRIALS)
    drawn = tracemalloc.get_traced_memory()[0]
    comparison = compare_paths(museum, VEHICLE, None, samples)
    held, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert comparison.paths
    record("memory of all draws [MB per 1,000 trials]", drawn / 1e6 / (TRIALS / 1000), 1, 8)
    record("memory of draws and one comparison [MB per 1,000 trials]", held / 1e6 / (TRIALS / 1000), 1, 16)
    record("most memory while comparing [MB per 1,000 trials]", peak / 1e6 / (TRIALS / 1000), 1, 20)


GRID = {"vehicle": [VEHICLE, "caboose"], "crane_hours": list(range(10, 130, 4)), "axles": [2, 4, 6]}


def timed(museum, processes):
    """Return the time on the clock, the processor time of the workers, and the table."""
    begun, used = time.perf_counter(), children_seconds()
    with ProcessPoolExecutor(processes) as pool:
        table = sweep(museum, GRID, pool)
        seconds = time.perf_counter() - begun
    assert table.attrs["lost"] == 0
    return seconds, children_seconds() - used, table


def test_two_processes_against_one(museum, record):
    one, one_used, alone = timed(museum, 1)
    two, two_used, both = timed(museum, 2)
    pd.testing.assert_frame_equal(alone, both, check_exact=True)
    # Where other programs hold the second core the clock shows nothing: the workers' own time then tells what two cost.
    busy = f"{os.getloadavg()[0]:.1f} programs at work"
    by_processor = one_used / (two_used / 2)
    record("sweep on two processes, times faster by processor time", by_processor, 1.8, 1.4, at_most=False)
    record(f"sweep of {one:.0f} s on two processes, times faster ({busy})", one / two, 1.8, 0.2, at_most=False)


def test_memory_stays_flat_as_the_grid_grows(museum, record):
    peaks = []
    for count in (4, 40):
        tracemalloc.start()
        table = sweep(museum, {"vehicle": [VEHICLE], "crane_hours": list(range(count))}, trials=2000)
        peaks.append(tracemalloc.get_traced_memory()[1] / 1e6)
        tracemalloc.stop()
        assert len(table) == count * len(museum.paths)
    record("most memory of a sweep, ten times the grid [times]", peaks[1] / peaks[0], 1.1, 1.5)
