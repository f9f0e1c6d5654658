"""Compare over a grid of units and driver amounts: here, on a pool of processes or threads, or on a cluster.

A grid is cut into chunks of neighbouring settings. A worker is sent a name of the museum and a chunk; one that
has not got that museum yet says so, is sent it once, makes its draws once, and keeps both. Only the rows of the
table travel back.
"""

from __future__ import annotations

import io
import itertools
import os
import pickle
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import STATUSES
from heritagemove.compare.verdict import chosen
from heritagemove.museum.drivers import read_settings
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples, draw
from heritagemove.units.units import REGISTRY, PlannerError

Setting = tuple[str, Mapping[str, float]]
Row = tuple[Any, ...]
#: Number of a chunk, how many settings, their rows, and whether they were lost with a worker and done again.
Done = tuple[int, int, list[Row], bool]

#: Columns behind the settings: amounts in USD, chances 0 to 1, the dates at P80 off the site and of arrival.
ANSWERS = (
    "number", "path", "status", "cost_p50_usd", "cost_p80_usd", "off_site_p80", "arrived_p80", "chance_by_deadline",
    "chance_of_gates", "chance_with_fallback", "cost_p80_with_fallback_usd", "choice", "problem",
)  # fmt: skip

#: Amounts that the checks look at: they change slowest, so that neighbours share the checks.
_SLOWEST = ("vehicle", "haul_distance", "weight")


def sweep(
    museum: Museum,
    grid: Mapping[str, Sequence[Any]],
    executor: Executor | None = None,
    progress: Callable[[int, int], Any] | None = None,
    *,
    trials: int | None = None,
    chunk: int = 8,
) -> pd.DataFrame:
    """Compare every path for every combination of units and driver amounts.

    Parameters
    ----------
    museum : Museum
    grid : mapping of str to sequence
        Values by driver name, each as :func:`heritagemove.compare.comparison.compare_paths` takes them;
        under ``"vehicle"`` the units, by default all.
    executor : concurrent.futures.Executor, optional
        Where to work: a ``ProcessPoolExecutor``, a ``ThreadPoolExecutor``, ``client.get_executor()`` of a Dask client;
        by default here. The table is the same wherever it was made.
    progress : callable, optional
        Called with the number of settings done and of all after each chunk. Returning False stops.
    trials : int, optional
        By default those of museum.toml.
    chunk : int
        Settings that are worked on at a time, 1 or more.

    Returns
    -------
    pandas.DataFrame
        A row a path of each setting: vehicle, the settings in their drivers' units, then ``ANSWERS``. Unit, distance
        and weight change slowest, the other drivers in the grid's order. A setting that cannot be computed is one row
        that says why under `problem`. ``attrs`` holds the settings "done" and "of" how many: fewer are done where
        `progress` or Ctrl-C stopped the sweep; "lost" are those lost with their worker, and done again here.

    Raises
    ------
    ValueError
        For an unknown unit or driver, or a value out of range, before anything is computed.
    """
    if chunk < 1:
        raise PlannerError(f"chunk: found {chunk}; allowed: 1 or more")
    plan = _Plan.of(museum, grid, trials, chunk)
    tables: dict[int, pd.DataFrame] = {}
    done = lost = 0
    work = plan.here() if executor is None else plan.on(executor)
    try:
        for index, settings, rows, again in work:
            tables[index] = plan.table(rows)
            done += settings
            lost += settings if again else 0
            if progress is not None and progress(done, plan.size) is False:
                break
    except KeyboardInterrupt:
        pass  # what is done is the answer, and says that it is a part
    finally:
        work.close()
    table = pd.concat([tables[index] for index in sorted(tables)], ignore_index=True) if tables else plan.table([])
    table.attrs = {"done": done, "of": plan.size, "lost": lost}
    return table


@dataclass(frozen=True)
class _Plan:
    """A museum and the combinations to compare."""

    museum: Museum
    values: Mapping[str, tuple[Any, ...]]
    trials: int
    chunk: int

    @classmethod
    def of(cls, museum: Museum, grid: Mapping[str, Sequence[Any]], trials: int | None, chunk: int) -> _Plan:
        """Read the grid, so that a slip is found before hours of work; all slips at once."""
        grid = {"vehicle": [row.vehicle for row in museum.vehicles]} | dict(grid)
        names = [name for name in _SLOWEST if name in grid] + [name for name in grid if name not in _SLOWEST]
        values: dict[str, tuple[Any, ...]] = {}
        slips: dict[str, None] = {}
        for name in names:
            read: list[Any] = []
            for value in grid[name]:
                try:
                    read.append(museum.vehicle(value).vehicle if name == "vehicle" else read_settings({name: value})[name])
                except ValueError as slip:
                    slips[str(slip)] = None
            if not read and not slips:
                slips[f"{name}: found no value; allowed: one or more"] = None
            values[name] = tuple(read)
        if slips:
            raise PlannerError("\n".join(slips))
        return cls(museum, values, museum.scenario.simulation.trials if trials is None else trials, chunk)

    @property
    def size(self) -> int:
        """Number of settings."""
        size = 1
        for values in self.values.values():
            size *= len(values)
        return size

    def chunks(self) -> Iterator[list[Setting]]:
        """Yield the settings, some at a time; the whole grid is never held."""
        names = list(self.values)[1:]
        product = itertools.product(*self.values.values())
        settings = ((vehicle, dict(zip(names, amounts, strict=True))) for vehicle, *amounts in product)
        while part := list(itertools.islice(settings, self.chunk)):
            yield part

    def here(self) -> Iterator[Done]:
        """Yield each chunk, computed in this process."""
        held = _Held.of(self.museum, self.trials)
        for index, settings in enumerate(self.chunks()):
            yield index, len(settings), held.rows(settings), False

    def on(self, executor: Executor) -> Iterator[Done]:
        """Yield each chunk as it is finished, whatever its order."""
        key = (self.museum.digest(), self.trials)
        to_come = enumerate(self.chunks())
        packed = _pack(self.museum)
        waiting: dict[Future, tuple[int, list[Setting]]] = {}
        mine: _Held | None = None
        try:
            # One chunk a worker: with more waiting, one that lacks the museum would say so of all of them.
            for index, settings in itertools.islice(to_come, _workers(executor)):
                waiting[_submit(executor, key, None, settings)] = index, settings
            while waiting:
                for future in wait(waiting, return_when=FIRST_COMPLETED).done:
                    index, settings = waiting.pop(future)
                    lost = future.cancelled() or future.exception() is not None
                    if lost:
                        # Whatever went wrong there, it is done here; a fault of the work itself shows here too.
                        mine = mine or _Held.of(self.museum, self.trials)
                        rows = mine.rows(settings)
                    else:
                        rows = future.result()
                    if rows is None:
                        waiting[_submit(executor, key, packed, settings)] = index, settings
                        continue
                    for following in itertools.islice(to_come, 1):
                        waiting[_submit(executor, key, None, following[1])] = following
                    yield index, len(settings), rows, lost
        finally:
            for future in waiting:
                future.cancel()
            _HELD.pop(key, None)  # threads of this process kept it here

    def table(self, rows: list[Row]) -> pd.DataFrame:
        """Return rows as a table; words that repeat take a byte each, so that a large grid stays small."""
        table = pd.DataFrame(rows, columns=[*self.values, *ANSWERS])
        paths = [row.path for row in self.museum.paths]
        words = {"vehicle": self.values["vehicle"], "path": paths, "status": STATUSES, "choice": paths}
        kinds = {name: pd.CategoricalDtype(list(dict.fromkeys(allowed))) for name, allowed in words.items()}
        numbers = [name for name in ANSWERS if name.startswith(("cost", "chance"))]
        return table.astype(kinds | dict.fromkeys(numbers, float) | {"number": "Int16"})


@dataclass
class _Held:
    """A museum and its draws, as one worker keeps them."""

    museum: Museum
    samples: Samples
    memo: Memo = field(default_factory=Memo)

    @classmethod
    def of(cls, museum: Museum, trials: int) -> _Held:
        return cls(museum, draw(museum, trials=trials))

    def rows(self, settings: list[Setting]) -> list[Row]:
        """Compare some settings; neighbours share what they are made of."""
        found: list[Row] = []
        for vehicle, amounts in settings:
            start = (vehicle, *amounts.values())
            try:
                answer = compare_paths(self.museum, vehicle, amounts, self.samples, self.memo)
            except ValueError as problem:
                found.append((*start, *(None for _ in ANSWERS[:-1]), str(problem)))
                continue
            choice = chosen(answer.museum, vehicle, answer.paths)
            found += [(*start, *_answers(result, choice and choice.path)) for result in answer.paths]
        return found


def _answers(result: Any, choice: str | None) -> Row:
    money, fallback = result.cost, result.cost_with_fallback
    return (
        result.number,
        result.path,
        result.status,
        money and money.p50,
        money and money.p80,
        result.off_site and result.off_site.p80,
        result.arrived and result.arrived.p80,
        result.chance_by_deadline,
        result.chance_of_gates,
        result.chance_with_fallback,
        fallback and fallback.p80,
        choice,
        "",
    )


#: What a worker keeps from chunk to chunk, by the museum's digest and the trials; never more than two.
_HELD: dict[tuple[str, int], _Held] = {}
_MOST_HELD = 2
_LOCK = threading.Lock()


def _chunk_there(key: tuple[str, int], packed: bytes | None, settings: list[Setting]) -> list[Row] | None:
    """Compare some settings in a worker; None asks for the museum."""
    with _LOCK:
        held = _HELD.get(key)
        if held is None:
            if packed is None:
                return None
            while len(_HELD) >= _MOST_HELD:
                _HELD.pop(next(iter(_HELD)))
            held = _HELD[key] = _Held.of(pickle.loads(packed), key[1])
    return held.rows(settings)


class _Packer(pickle.Pickler):
    """Packs quantities so that they come out in this package's units, not in the worker's default ones."""

    def reducer_override(self, thing: Any) -> Any:
        """Say how to build a quantity again; leave everything else to pickle."""
        if isinstance(thing, REGISTRY.Quantity):
            return _quantity, (thing.magnitude, dict(thing.unit_items()))
        return NotImplemented


def _quantity(magnitude: Any, units: Mapping[str, float]) -> Any:
    return REGISTRY.Quantity(magnitude, REGISTRY.UnitsContainer(units))


def _pack(museum: Museum) -> bytes:
    """Return a museum as bytes, which only a worker opens: whoever hands them on needs nothing of ours."""
    packed = io.BytesIO()
    _Packer(packed, pickle.HIGHEST_PROTOCOL).dump(museum)
    return packed.getvalue()


def _submit(executor: Executor, *arguments: Any) -> Future:
    """Hand out a chunk; a pool that takes no more is a chunk that failed."""
    try:
        return executor.submit(_chunk_there, *arguments)
    except RuntimeError as gone:  # a broken or closed pool
        failed: Future = Future()
        failed.set_exception(gone)
        return failed


def _workers(executor: Executor) -> int:
    """Return how many chunks an executor works on at a time, as far as it tells."""
    client = getattr(executor, "_client", None)  # Dask's
    if client is not None:
        return max(sum(client.nthreads().values()), 1)
    return getattr(executor, "_max_workers", None) or os.cpu_count() or 1
