"""The cost of every path over distance, or over the amount of any other driver, on the same draws."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.checks.gates import wiring
from heritagemove.compare.comparison import price_path, weigh_path
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.drivers import DRIVERS, read_settings
from heritagemove.museum.haul import haul_miles, least_haul
from heritagemove.museum.memo import Ask, Memo
from heritagemove.museum.museum import Museum
from heritagemove.trials.sampling_error import half_width_of_percentile
from heritagemove.trials.stretches import stretches
from heritagemove.units import units

DISTANCE = "haul_distance"


@dataclass(frozen=True)
class Curve:
    """One path over the amounts of a driver, on the same draws at each."""

    path: str
    number: int
    title: str
    saves: bool
    amounts: np.ndarray  # shape (points,); in the driver's unit, growing
    # shape (points,); percentile of the cost, gates met and no fallback played out [USD]; nan where unknown, and for a
    # path that something other than the driver blocks
    cost_usd: np.ndarray
    # shape (points,); by how much that percentile may be off at 95 %, because the trials are a sample [USD]
    half_width_usd: np.ndarray
    # shape (points,); chance to be off the site by the deadline, gates met; nan for a path that leaves it never
    chance: np.ndarray
    statuses: tuple[str, ...]  # status at each amount
    reasons: tuple[str, ...]  # what blocks it or calls for caution most at each amount; blank where nothing does

    @property
    def blocked(self) -> np.ndarray:
        """Where engineering blocks it, shape (points,)."""
        return np.array([status == "blocked" for status in self.statuses])


@dataclass(frozen=True)
class Curves:
    """Every path of one unit over the amounts of one driver."""

    comparison: Comparison
    driver: str
    percent: float  # which percentile of the cost
    amounts: np.ndarray  # shape (points,)
    now: float | None  # the driver's amount as compared; None where paths differ in it
    paths: tuple[Curve, ...]  # in the order of their numbers
    slider_unit: str | None = None  # unit of all amounts where it is not the driver's own

    def path(self, path: str) -> Curve:
        """Return the curve of one path."""
        return next(curve for curve in self.paths if curve.path == path)

    @property
    def unit(self) -> str:
        """Unit of the amounts in words, as many."""
        return self.slider_unit or DRIVERS[self.driver].unit.replace("_", " ") + "s"

    def usable(self) -> tuple[Curve, ...]:
        """Return the paths that save the unit, are priced, and are not blocked or unknown at every amount."""
        good = ("clear", "caution")
        priced = (curve for curve in self.paths if curve.saves and not np.isnan(curve.cost_usd).all())
        return tuple(curve for curve in priced if any(status in good for status in curve.statuses))


def curves(
    comparison: Comparison,
    driver: str = DISTANCE,
    amounts: Sequence[float] | None = None,
    percent: float | None = None,
    memo: Ask | None = None,
) -> Curves:
    """Return the cost and the chance of every path over the amounts of one driver, on the same draws.

    Each point is what :func:`heritagemove.compare.comparison.price_path` answers with the driver set to that amount. A
    set haul distance makes the longest leg of each path longer or shorter, and no other leg. Along distance, and
    along drivers that only money and days look at, the checks are bisected for their steps and the cost between
    two steps is interpolated, which is exact there: rates times amounts are straight lines, minimum charges make
    them convex, and a convex line that meets its chord in the middle is the chord.

    Parameters
    ----------
    comparison : Comparison
    driver : str
        Name of the driver.
    amounts : sequence of float, optional
        In the driver's unit; every step of its slider in museum.toml when left out, from what other legs leave of a
        haul distance on.
    percent : float, optional
        Percentile of the cost, above 0 and below 100; the museum's confidence when left out.
    memo : Memo, optional
        Of one who asks more than once.

    Returns
    -------
    Curves

    Raises
    ------
    ValueError
        For an unknown driver, an amount that is not allowed, no slider and no amounts, or a percentile out of range.
    """
    percent = 100 * comparison.museum.scenario.simulation.confidence if percent is None else percent
    if not 0 < percent < 100:
        raise units.PlannerError(f"percent: found {percent:g}; allowed: above 0 and below 100")
    grid = _grid(comparison.base, driver, amounts)
    memo = Memo() if memo is None else memo
    found = tuple(_curve(comparison, result, driver, grid, percent, memo) for result in comparison.paths)
    return Curves(comparison, driver, percent, grid, _now(comparison, driver), found)


def in_slider_unit(found: Curves) -> Curves:
    """Return the same curves over amounts in the unit of the driver's slider, in which this museum's planners think."""
    slider, own = found.comparison.museum.scenario.sliders.get(found.driver), units.unit_of(DRIVERS[found.driver].unit)
    if slider is None or units.unit_of(slider.unit) == own:
        return found
    factor = units.Quantity(1.0, own).m_as(units.unit_of(slider.unit))
    # Back to the round numbers of the slider, without the last digit of two conversions.
    amounts = np.round(factor * found.amounts, 9)
    return dataclasses.replace(
        found,
        amounts=amounts,
        now=None if found.now is None else factor * found.now,
        paths=tuple(dataclasses.replace(curve, amounts=amounts) for curve in found.paths),
        slider_unit=slider.unit.replace("_", " "),
    )


def _grid(museum: Museum, driver: str, amounts: Sequence[float] | None) -> np.ndarray:
    if amounts is None:
        slider = museum.scenario.sliders.get(driver)
        if slider is None:
            known = f"amounts, or a driver with a slider: {', '.join(museum.scenario.sliders)}"
            raise units.PlannerError(f"amounts of {driver}: found none; allowed: {known}")
        amounts = slider.low + slider.step * np.arange(int((slider.high - slider.low) / slider.step + 1e-9) + 1)
        amounts = units.Quantity(amounts, units.unit_of(slider.unit)).m_as(units.unit_of(DRIVERS[driver].unit))
        amounts = amounts[amounts > least_haul(museum) * (1 + 1e-9)] if driver == DISTANCE else amounts
    grid = np.unique(np.asarray(amounts, float))
    if len(grid) < 2:
        raise units.PlannerError(f"amounts of {driver}: found {len(grid)}; allowed: at least 2 that differ")
    for amount in (grid[0], grid[-1]):
        read_settings({driver: float(amount)})
    return grid


def _now(comparison: Comparison, driver: str) -> float | None:
    if driver == DISTANCE:
        return haul_miles(comparison.museum)
    found = {result.work.amounts.get(driver) for result in comparison.paths if np.ndim(result.work.amounts.get(driver)) == 0}
    return float(found.pop()) if len(found) == 1 and None not in found else None


@dataclass(frozen=True)
class _Point:
    """One path at one amount."""

    result: PathResult
    cost_usd: np.ndarray | None
    off_site: np.ndarray | None


class _Asked:
    """One path over the points of a grid, each priced once."""

    def __init__(self, comparison: Comparison, path: str, driver: str, grid: np.ndarray, memo: Ask) -> None:
        self.comparison, self.path, self.driver, self.grid, self.memo = comparison, path, driver, grid, memo
        self._known: dict[int, _Point] = {}

    def _given(self, n: int) -> tuple[Any, ...]:
        comparison = self.comparison
        settings = {**comparison.settings, self.driver: float(self.grid[n])}
        return comparison.base, comparison.vehicle, self.path, settings, comparison.samples, self.memo

    def at(self, n: int) -> _Point:
        """Return the path at one point."""
        if n not in self._known:
            found = price_path(*self._given(n))
            self._known[n] = _Point(found, found.trials.cost_usd, found.trials.off_site)
        return self._known[n]

    def stopped(self) -> bool:
        """Whether a hard stop fails that the driver cannot lift."""
        findings = self.comparison.weighed[self.path].stated.findings
        stops = [f.gate for f in findings if f.status == "fail" and f.gate.kind == "hard_stop"]
        movable = wiring.BY_LENGTH if self.driver == DISTANCE else ()
        return self.driver != "weight" and any(gate.check not in movable for gate in stops)

    def straight(self) -> list[tuple[int, int]]:
        """Return the stretches, as first and last point, within which the cost is a straight line in every trial."""
        last = len(self.grid) - 1
        if self.driver != DISTANCE and DRIVERS[self.driver].origin in ("unit", "route"):
            return [(n, n) for n in range(last + 1)]  # loads of three axles, loads over a limit: steps anywhere
        # No amount of work, choice or status turns back as the distance grows.
        steps = [step[:2] for step in stretches(self._answer, (0, last))] if self.driver == DISTANCE else [(0, last)]
        return list(itertools.chain.from_iterable(_chords(self.at, self.grid, *step) for step in steps))

    def _answer(self, n: int) -> tuple[object, ...]:
        weighed = weigh_path(*self._given(n))
        choices = ((each.equipment, each.amounts) for each in (weighed.stated, *weighed.bands))
        said = [(ids, {name: amount for name, amount in amounts.items() if name != DISTANCE}) for ids, amounts in choices]
        return said, [finding.status for finding in weighed.stated.findings]


def _curve(comparison: Comparison, result: PathResult, driver: str, grid: np.ndarray, percent: float, memo: Ask) -> Curve:
    asked = _Asked(comparison, result.path, driver, grid, memo)
    cost, half_width, chance = (np.full(len(grid), np.nan) for _ in range(3))
    status, reason = [result.status] * len(grid), [result.reasons[0] if result.reasons else ""] * len(grid)
    names = result.path, result.number, result.title, result.saves, grid
    if asked.stopped():
        return Curve(*names, cost, half_width, chance, tuple(status), tuple(reason))
    for first, last in asked.straight():
        start, inside = asked.at(first), slice(first, last + 1)
        if start.cost_usd is not None:
            cost[inside] = _percentiles(start.cost_usd, asked.at(last).cost_usd, grid[inside], percent)
            half_width[inside] = half_width_of_percentile(start.cost_usd, percent)
        if start.result.chance_by_deadline is not None:
            chance[inside] = start.result.chance_by_deadline
        for n in range(first, last + 1):
            status[n], reason[n] = start.result.status, (start.result.reasons or ("",))[0]
    return Curve(*names, cost, half_width, chance, tuple(status), tuple(reason))


def _percentiles(start: np.ndarray, end: np.ndarray, grid: np.ndarray, percent: float) -> np.ndarray | float:
    """Return the percentile at each point of a stretch from the costs of every trial at its two ends."""
    rise = end - start
    if not rise.any():
        return np.percentile(start, percent)
    return np.array([np.percentile(start + (x - grid[0]) / (grid[-1] - grid[0]) * rise, percent) for x in grid])


def _chords(at: Callable[[int], _Point], grid: np.ndarray, first: int, last: int) -> list[tuple[int, int]]:
    """Split a stretch until the date stands still in it and the cost in its middle lies on its chord."""
    if last - first <= 1:
        return [(n, n) for n in range(first, last + 1)]
    start, end, middle = at(first), at(last), (first + last) // 2
    still = start.off_site is None or np.array_equal(start.off_site, end.off_site)
    if still and start.cost_usd is None and end.cost_usd is None:
        return [(first, last)]
    if still and start.cost_usd is not None and end.cost_usd is not None:
        part = (grid[middle] - grid[first]) / (grid[last] - grid[first])
        chord = start.cost_usd + part * (end.cost_usd - start.cost_usd)
        if np.allclose(chord, at(middle).cost_usd, rtol=1e-9, atol=1e-6):
            return [(first, last)]
    return _chords(at, grid, first, middle) + _chords(at, grid, middle + 1, last)
