"""What one more of something costs: the same trials again with one driver moved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from heritagemove.compare.comparison import price_path
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.haul import haul_miles
from heritagemove.museum.memo import Ask, Memo
from heritagemove.units import units

#: The drivers a committee asks about, with the step it thinks in: 10 miles and 1 short ton, or 10 km and 1 t.
STEPS: Mapping[str, float] = {"crane_hours": 1.0, "axles": 1.0, "haul_distance": 10.0, "weight": 1.0}
#: Units of drivers that a museum with ``units = "SI"`` sees as others.
_SI = {"mile": "km", "short_ton": "t"}


@dataclass(frozen=True)
class Move:
    """What moving one driver does to one path."""

    driver: str
    # where it stood and by how much it was moved
    amount: float
    step: float
    unit: str  # the unit of both
    cost_usd: float | None  # change of the P80 cost [USD]; None where either is unknown
    days: float | None  # change of the P80 date off the site [day]
    chance: float | None  # change of the chance by the deadline, -1 to 1
    status: tuple[str, str]  # status of the path before and after
    currency: str  # ISO 4217 code of the museum's currency

    def in_words(self) -> str:
        """Return the move as a line beside the total.

        Examples
        --------
        >>> Move("crane_hours", 24.0, 6.0, "crane_hour", 3120.4, 0.0, 0.0, ("clear", "clear"), "USD").in_words()
        '6 crane hours more: +3,120 USD at P80, nobody refusing; the date stays.'
        """
        more = "more" if self.step > 0 else "less"
        words = self.unit.replace("_", " ") + ("" if abs(self.step) == 1 or self.unit in _SI.values() else "s")
        cost = "cost unknown" if self.cost_usd is None else f"{self.cost_usd:+,.0f} {self.currency} at P80, nobody refusing"
        date = "the date stays" if not self.days else f"the P80 date moves by {self.days:+.0f} days"
        flip = "" if self.status[0] == self.status[1] else f"; the path goes from {self.status[0]} to {self.status[1]}"
        return f"{abs(self.step):g} {words} {more}: {cost}; {date}{flip}."


def what_if(comparison: Comparison, path: str, driver: str, step: float | None = None, memo: Ask | None = None) -> Move:
    """Compare again with one driver moved, on the same draws.

    Parameters
    ----------
    path : str
        Id of the path to look at.
    driver : str
        Name of the driver.
    step : float, optional
        How far it is moved, in its unit (km and t for miles and short tons where museum.toml says SI); by
        default the step a committee thinks in, else 1.
    memo : Memo, optional
        Of one who asks more than once.

    Raises
    ------
    ValueError
        If the driver's amount is unknown or a range, or the moved amount is not allowed.
    """
    step, memo = STEPS.get(driver, 1.0) if step is None else step, Memo() if memo is None else memo
    unit = DRIVERS[driver].unit
    shown = _SI.get(unit, unit) if comparison.museum.scenario.units == "SI" else unit
    own = units.value(units.Quantity(step, units.unit_of(shown)), unit)  # the step as the driver counts it
    amount = _amount(comparison, path, driver)
    before = comparison.path(path)
    if driver != "weight" and isinstance(before.work.amounts.get(driver), np.ndarray):
        before = _with(comparison, path, driver, amount, memo)  # it hangs on the true weight: hold it still on both sides
    after = _with(comparison, path, driver, amount + own, memo)
    return _move(before, after, driver, amount * step / own if own else amount, step, shown)


def _with(comparison: Comparison, path: str, driver: str, amount: float, memo: Ask) -> PathResult:
    # The comparison's own museum holds its sliders' distance and weight already; only direct amounts go along.
    direct = {n: a for n, a in comparison.settings.items() if n not in ("haul_distance", "weight")}
    settings = direct | {driver: amount}
    return price_path(comparison.museum, comparison.vehicle, path, settings, comparison.samples, memo)


def each_what_if(comparison: Comparison, path: str) -> tuple[Move, ...]:
    """Return what one more of each driver in ``STEPS`` that the path uses does."""
    used = {name for line in comparison.museum.of_path("cost_lines", path) for name in (line.driver, line.times)}
    used |= {driver for row in comparison.museum.of_path("tasks", path) for driver in row.per} | {"weight"}
    used |= {"axles"} & ({"axles"} if used & {"journal_boxes", "plain_journal_boxes"} else set())
    used |= {"haul_distance"} if comparison.museum.stages_of(path) else set()
    known = [name for name in STEPS if name in used and np.any(comparison.path(path).work.amounts.get(name, 0))]
    memo = Memo()
    # What is unknown, and may be anything within a typical range, has no amount to be moved from.
    single = [name for name in known if isinstance(_found(comparison, path, name), float | int)]
    return tuple(what_if(comparison, path, name, memo=memo) for name in single)


def _amount(comparison: Comparison, path: str, driver: str) -> float:
    amount = _found(comparison, path, driver)
    if not isinstance(amount, float | int):
        raise units.PlannerError(f"{driver}: found {'unknown' if amount is None else 'a range'}; allowed: a single amount")
    return float(amount)


def _found(comparison: Comparison, path: str, driver: str) -> float | np.ndarray | None:
    if driver == "haul_distance":
        return haul_miles(comparison.museum)
    if driver == "weight":
        weight = comparison.museum.vehicle(comparison.vehicle).weight
        amount = None if weight is None else weight.m_as("short_ton")
    else:
        amount = comparison.path(path).work.amounts.get(driver)
    if isinstance(amount, np.ndarray):
        amount = comparison.weighed[path].stated.amounts.get(driver, amount)
    return amount


def _move(before: PathResult, after: PathResult, driver: str, amount: float, step: float, unit: str) -> Move:
    priced, dated = before.cost and after.cost, before.off_site_days and after.off_site_days
    return Move(
        driver=driver,
        amount=amount,
        step=step,
        unit=unit,
        cost_usd=after.cost.p80 - before.cost.p80 if priced else None,
        days=after.off_site_days.p80 - before.off_site_days.p80 if dated else None,
        chance=after.chance_by_deadline - before.chance_by_deadline if dated else None,
        status=(before.status, after.status),
        currency=before.currency,
    )
