"""A sweep gives the same table wherever it is worked on, and loses nothing when a worker or its patience ends."""

import os
import signal
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor

import pandas as pd
import pytest

from heritagemove.answers import sweep as sweeping
from heritagemove.answers.sweep import sweep
from heritagemove.compare.comparison import compare_paths
from heritagemove.trials.simulation import draw

VEHICLE = "foundry_switcher"
GRID = {"crane_hours": [12, 24, "36 crane_hour", 48], "vehicle": [VEHICLE], "axles": [4, 2]}
TRIALS = 200


@pytest.fixture(scope="module")
def here(museum):
    return sweep(museum, GRID, trials=TRIALS, chunk=2)


def same(left, right, lost=0):
    assert left.attrs["lost"] == lost  # what is done again here would hide a worker that can do nothing
    pd.testing.assert_frame_equal(left, right, check_exact=True)
    return True


class Counting(Executor):
    """Passes chunks on, and counts those that carry the museum."""

    def __init__(self, inner):
        self.inner, self.carried, self.handed, self._max_workers = inner, 0, 0, inner._max_workers

    def submit(self, function, key, packed, settings):
        self.handed += 1
        self.carried += packed is not None
        return self.inner.submit(function, key, packed, settings)


def test_each_row_is_what_compare_answers(museum, here):
    assert len(here) == 8 * len(museum.paths)
    assert list(here.columns[:3]) == ["vehicle", "crane_hours", "axles"]
    assert here.attrs == {"done": 8, "of": 8, "lost": 0}
    comparison = compare_paths(museum, VEHICLE, {"crane_hours": 36, "axles": 2}, draw(museum, trials=TRIALS))
    rows = here[(here.crane_hours == 36) & (here.axles == 2)].set_index("path")
    for result in comparison.paths:
        row = rows.loc[result.path]
        assert (row.status, row.choice, row.number) == (result.status, comparison.choice, result.number)
        assert row.cost_p80_usd == result.cost.p80
        assert row.off_site_p80 == (result.off_site and result.off_site.p80)
        if result.chance_with_fallback is not None:
            assert row.chance_with_fallback == result.chance_with_fallback


def test_more_crane_hours_cost_no_less(here):
    priced = here[here.path == "flat_car"].sort_values("crane_hours")
    assert (priced.groupby("axles").cost_p80_usd.diff().dropna() > 0).all()


def test_threads_give_the_same_table_and_keep_nothing(museum, here):
    with ThreadPoolExecutor(2) as pool:
        assert same(sweep(museum, GRID, pool, trials=TRIALS, chunk=2), here)
    assert not sweeping._HELD


def test_processes_give_the_same_table_and_are_sent_the_museum_once_each(museum, here):
    with ProcessPoolExecutor(2) as pool:
        counted = Counting(pool)
        assert same(sweep(museum, GRID, counted, trials=TRIALS, chunk=1), here)
    assert 1 <= counted.carried <= 2
    assert counted.handed == 8 + counted.carried


def test_a_killed_worker_loses_nothing(museum, here):
    killed = []
    with ProcessPoolExecutor(1) as pool:

        def kill(done, of):
            if not killed:
                killed.append(next(iter(pool._processes)))
                os.kill(killed[0], signal.SIGKILL)

        table = sweep(museum, GRID, pool, kill, trials=TRIALS, chunk=2)
    assert killed and table.attrs["lost"] >= 2 and same(table, here, table.attrs["lost"])


def test_a_closed_pool_is_done_without(museum, here):
    pool = ThreadPoolExecutor(1)
    pool.shutdown()
    assert same(sweep(museum, GRID, pool, trials=TRIALS), here, lost=8)


@pytest.mark.parametrize("worker", [None, ThreadPoolExecutor], ids=["here", "thread"])
def test_a_sweep_that_is_stopped_keeps_what_is_done(museum, here, worker):
    seen = []

    def stop(done, of):
        seen.append((done, of))
        return done < 4

    pool = worker and worker(1)
    table = sweep(museum, GRID, pool, stop, trials=TRIALS, chunk=2)
    assert seen == [(2, 8), (4, 8)]
    assert table.attrs == {"done": 4, "of": 8, "lost": 0}
    assert same(table, here.head(len(table))) and len(table) == 4 * len(museum.paths)


def test_ctrl_c_keeps_what_is_done(museum, here):
    def interrupted(done, of):
        raise KeyboardInterrupt

    table = sweep(museum, GRID, None, interrupted, trials=TRIALS, chunk=2)
    assert table.attrs == {"done": 2, "of": 8, "lost": 0} and same(table, here.head(len(table)))


def test_every_slip_of_a_grid_is_told_before_anything_is_computed(museum):
    with pytest.raises(ValueError) as told:
        sweep(museum, {"vehicle": ["no_such_unit"], "crane_hours": [-1], "cranes": [2]}, trials=TRIALS)
    assert all(word in str(told.value) for word in ("no_such_unit", "crane_hours", "cranes"))
    with pytest.raises(ValueError, match="crane_hours: found no value"):
        sweep(museum, {"crane_hours": []}, trials=TRIALS)
    with pytest.raises(ValueError, match="chunk: found 0"):
        sweep(museum, GRID, chunk=0)


def test_a_setting_that_cannot_be_computed_says_why_and_stops_no_other(museum):
    unweighed = museum.with_changes(
        vehicles=[row.model_copy(update={"weight": None}) if row.vehicle == VEHICLE else row for row in museum.vehicles]
    )
    others = [row.vehicle for row in museum.vehicles if row.vehicle != VEHICLE][:1]
    table = sweep(unweighed, {"vehicle": [VEHICLE, *others], "weight": [60]}, trials=TRIALS)
    told = table[table.vehicle == VEHICLE]
    assert len(told) == 1 and "weight" in told.problem.iloc[0] and told.cost_p80_usd.isna().all()
    assert table[table.vehicle == others[0]].cost_p80_usd.notna().any()


def test_a_packed_museum_opens_as_the_same_museum(museum):
    assert sweeping.pickle.loads(sweeping._pack(museum)).digest() == museum.digest()


def test_a_worker_keeps_two_museums_at_most(museum, monkeypatch):
    monkeypatch.setattr(sweeping, "_HELD", {})
    packed = sweeping._pack(museum)
    for trials in (100, 101, 102):
        assert sweeping._chunk_there(("digest", trials), None, []) is None
        assert sweeping._chunk_there(("digest", trials), packed, []) == []
        assert sweeping._chunk_there(("digest", trials), None, []) == []
    assert list(sweeping._HELD) == [("digest", 101), ("digest", 102)]


@pytest.mark.long
def test_a_real_dask_cluster_gives_the_same_table(museum, here):
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(n_workers=1, threads_per_worker=1, processes=True, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        executor = client.get_executor()
        carried = []
        hand_out = executor.submit

        def counting(function, key, packed, settings):
            carried.append(packed is not None)
            return hand_out(function, key, packed, settings)

        executor.submit = counting
        assert same(sweep(museum, GRID, executor, trials=TRIALS), here)
        assert carried.count(True) == 1
