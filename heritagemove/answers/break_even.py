"""Where one path becomes cheaper than another, and where engineering or time stops one: ranges, since costs are stairs.

Whole days on the road, permits and minimum charges come at once, so the costs of two paths over distance may
cross more than once: the break-even is a range from the first crossing to the last.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from heritagemove.answers.cost_curves import DISTANCE, Curve, Curves, curves, in_slider_unit

__all__ = [
    "DISTANCE", "BreakEven", "Curve", "Curves", "Stop", "break_even", "break_evens", "curves", "in_slider_unit", "stops",
]  # fmt: skip


@dataclass(frozen=True)
class BreakEven:
    """Which of two paths is cheaper, over the amounts of a driver."""

    one: Curve
    other: Curve
    unit: str  # of the driver, in words
    # points from which on the other of the two is cheaper, growing; empty where the order never changes
    flips: tuple[int, ...]
    # first and last amount at which the costs differ by less than the trials can tell at 95 %, taking their half-widths
    # as independent: on the same draws they mostly err together, so this is rather too wide
    close: tuple[float, float] | None
    # the cheaper one at the lowest amount and at the highest; None where they cost the same throughout
    before: Curve | None
    # the cheaper one at the lowest amount and at the highest; None where they cost the same throughout
    after: Curve | None

    @property
    def first(self) -> float | None:
        """First amount at which the order is another than at the lowest; None where it never changes."""
        return float(self.one.amounts[self.flips[0]]) if self.flips else None

    @property
    def last(self) -> float | None:
        """Amount from which on the order does not change any more; None where it never changes."""
        return float(self.one.amounts[self.flips[-1]]) if self.flips else None

    def in_words(self, closeness: bool = True) -> str:
        """Return the break-even in one sentence, with the amounts that are too close to call or without."""
        near = f" (too close to call from {self.close[0]:,.4g} to {self.close[1]:,.4g})" if self.close and closeness else ""
        low, high = self.one.amounts[0], self.one.amounts[-1]
        span = f"from {low:,.4g} to {high:,.4g} {self.unit}"
        if self.before is None:
            return f"Paths {self.one.number} and {self.other.number} cost the same {span}."
        second = self.other if self.before is self.one else self.one
        names = f"Path {self.before.number} is cheaper than path {second.number}"
        if not self.flips:
            return f"{names} at every amount {span}; there is no break-even."
        held = f"{self.one.amounts[self.flips[0] - 1]:,.4g}"
        if len(self.flips) == 1:
            turn = f"{names} up to {held} {self.unit}, path {self.after.number} from {self.first:,.4g} on"
            return f"{turn}{near}."
        return (
            f"{names} up to {held} {self.unit}; between {self.first:,.4g} and {self.last:,.4g} {self.unit} the order "
            f"changes {len(self.flips)} times, and from there on path {self.after.number} is cheaper{near}."
        )

    @property
    def range(self) -> tuple[float, float] | None:
        """Amounts between which the order changes or is too close to call; None where it never changes."""
        if not self.flips:
            return None
        ends = [float(self.one.amounts[self.flips[0] - 1]), self.last, *(self.close or ())]
        return min(ends), max(ends)


def break_even(one: Curve, other: Curve, unit: str = "miles") -> BreakEven:
    """Find where the order of two paths by cost changes.

    Where they cost the same, or a cost is unknown, the order before holds on.

    Parameters
    ----------
    one, other : Curve
        Over the same amounts.
    unit : str
        Of the amounts, in words.

    Returns
    -------
    BreakEven

    Raises
    ------
    ValueError
        If the amounts differ.
    """
    if not np.array_equal(one.amounts, other.amounts):
        raise ValueError("found two curves over different amounts; allowed: curves over the same amounts")
    difference = one.cost_usd - other.cost_usd
    known = np.flatnonzero(np.nan_to_num(difference) != 0)
    signs = np.sign(difference[known])
    cheaper = [one if sign < 0 else other for sign in signs]
    flips = tuple(int(known[n]) for n in np.flatnonzero(np.diff(signs)) + 1)
    with np.errstate(invalid="ignore"):
        near = np.flatnonzero(np.abs(difference) < np.hypot(one.half_width_usd, other.half_width_usd))
    close = (float(one.amounts[near[0]]), float(one.amounts[near[-1]])) if len(near) else None
    return BreakEven(one, other, unit, flips, close, cheaper[0] if cheaper else None, cheaper[-1] if cheaper else None)


def break_evens(found: Curves) -> tuple[BreakEven, ...]:
    """Return the break-even of each two paths that could be taken, those whose order changes first."""
    pairs = [break_even(one, other, found.unit) for one, other in itertools.combinations(found.usable(), 2)]
    return tuple(sorted(pairs, key=lambda pair: pair.flips or (len(found.amounts),)))


@dataclass(frozen=True)
class Stop:
    """What stops a path over a driver's amounts."""

    curve: Curve
    kind: str  # blocked by engineering, unknown, or off the site by the deadline with less than the museum's confidence
    ranges: tuple[tuple[float, float], ...]  # first and last amount of each stretch
    reason: str
    everywhere: bool

    def in_words(self, unit: str) -> str:
        """Return what stops it and where."""
        low, high = self.curve.amounts[0], self.curve.amounts[-1]
        parts = [
            f"from {first:,.4g} {unit} on" if last == high else f"up to {last:,.4g} {unit}" if first == low
            else f"from {first:,.4g} to {last:,.4g} {unit}"
            for first, last in self.ranges
        ]  # fmt: skip
        where = f"at every amount from {low:,.4g} to {high:,.4g} {unit}" if self.everywhere else " and ".join(parts)
        word = {"late": "too late"}.get(self.kind, self.kind)
        return f"Path {self.curve.number} is {word} {where}: {self.reason}"


def stops(found: Curves) -> tuple[Stop, ...]:
    """Return where engineering, missing data or time stops each path that would save the unit.

    Those that the driver itself stops or sets free come first.
    """
    confidence = found.comparison.museum.scenario.simulation.confidence
    entries = []
    for curve in (curve for curve in found.paths if curve.saves):
        status = np.array(curve.statuses)
        with np.errstate(invalid="ignore"):
            late = (curve.chance < confidence) & (status != "blocked")
        for kind, where in (("blocked", status == "blocked"), ("unknown", status == "unknown"), ("late", late)):
            if where.any():
                at = int(np.flatnonzero(where)[0])
                reason = curve.reasons[at] if kind != "late" else _lateness(curve, where, confidence)
                entries.append(Stop(curve, kind, _ranges(where, curve.amounts), reason, bool(where.all())))
    return tuple(sorted(entries, key=lambda stop: stop.everywhere))


def _lateness(curve: Curve, late: np.ndarray, confidence: float) -> str:
    lowest, highest = curve.chance[late].min(), curve.chance[late].max()
    chance = f"{lowest:.0%}" if f"{lowest:.0%}" == f"{highest:.0%}" else f"{lowest:.0%} to {highest:.0%}"
    return f"{chance} likely to be off the site by the deadline, {confidence:.0%} is planned at."


def _ranges(where: np.ndarray, amounts: np.ndarray) -> tuple[tuple[float, float], ...]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], where, [False]]).astype(int)))
    ends = zip(edges[::2], edges[1::2], strict=True)
    return tuple((float(amounts[first]), float(amounts[end - 1])) for first, end in ends)
