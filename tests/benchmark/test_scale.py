"""How time and memory grow with trials, rows and the grid of a sweep."""

import contextlib
import os
import time
import tracemalloc
from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pandas as pd
import pytest
from measuring import TRIALS, VEHICLE, best

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


#: Twenty seconds of work on one core.
GRID = {"vehicle": [VEHICLE, "caboose"], "crane_hours": list(range(10, 170)), "axles": [2, 4, 6]}


@contextlib.contextmanager
def processes(workers):
    """Yield a pool, and a function that tells the processor time its workers have used."""
    with ProcessPoolExecutor(workers) as pool:
        yield pool, lambda: sum(pool.map(_used, range(workers)))


def _used(_):
    time.sleep(0.2)  # long enough that each worker answers once
    return time.process_time()


@contextlib.contextmanager
def dask_cluster(workers):
    distributed = pytest.importorskip("distributed")
    settings = {"n_workers": workers, "threads_per_worker": 1, "dashboard_address": None}
    with distributed.LocalCluster(**settings) as cluster, distributed.Client(cluster) as client:
        yield client.get_executor(), lambda: sum(client.run(time.process_time).values())


def timed(museum, place, workers):
    """Return the time on the clock, the processor time here, that of the workers, and the table."""
    with place(workers) as (executor, used):
        before, begun, here = used(), time.perf_counter(), time.process_time()
        table = sweep(museum, GRID, executor)
        clock, here = time.perf_counter() - begun, time.process_time() - here
        assert table.attrs["lost"] == 0
        return clock, here, used() - before, table


@pytest.mark.parametrize("place", [processes, dask_cluster])
def test_two_workers_against_one(museum, record, place):
    one, _, alone_used, alone = timed(museum, place, 1)
    two, here, both_used, both = timed(museum, place, 2)
    pd.testing.assert_frame_equal(alone, both, check_exact=True)
    # Where other programs hold the second core the clock shows nothing: what two workers and the one who hands out
    # use of two cores then tells what the clock would show.
    by_processor, name = alone_used / ((both_used + here) / 2), place.__name__
    record(f"sweep, two workers ({name}), times faster by processor time", by_processor, 1.7, 1.3, at_most=False)
    busy = f"{os.getloadavg()[0]:.1f} programs at work"
    record(f"sweep of {one:.0f} s, two workers ({name}), by the clock ({busy})", one / two, 1.7, 0.2, at_most=False)


def test_memory_stays_flat_as_the_grid_grows(museum, record):
    peaks = []
    for count in (4, 40):
        tracemalloc.start()
        table = sweep(museum, {"vehicle": [VEHICLE], "crane_hours": list(range(count))}, trials=2000)
        peaks.append(tracemalloc.get_traced_memory()[1] / 1e6)
        tracemalloc.stop()
        assert len(table) == count * len(museum.paths)
    record("most memory of a sweep, ten times the grid [times]", peaks[1] / peaks[0], 1.1, 1.5)
