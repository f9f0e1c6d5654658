"""The checks of one path at many haul distances: only what reads the length of a leg is asked again."""

from __future__ import annotations

from typing import Any

import numpy as np

from heritagemove.checks.gates.screening import Finding, Screening, screen
from heritagemove.compare.results import Comparison
from heritagemove.museum.museum import Museum
from heritagemove.trials.true_weight import Band, Weighed

#: Amounts that rail bridges and cranes give: they hang on the load and never on the distance.
_BY_LOAD = ("bridge_reviews", "lifts", "crane_hours", "crane_calls", "rigging_days")


def road_miles(museum: Museum) -> float:
    """Return the length of the road route without detours [mile]."""
    return sum(leg.length.m_as("mile") for leg in museum.route("road"))


class DistanceChecks:
    """The checks of one path of a comparison, at any haul distance.

    Attributes
    ----------
    reading : list of rows
        Gates whose answer reads the distance.
    """

    def __init__(self, comparison: Comparison, path: str, low: float, high: float) -> None:
        """Find what reads the distance, by screening at the end of the range [mile] that is farther from the present."""
        self.comparison, self.path, self.base = comparison, path, comparison.weighed[path]
        museum, weight = comparison.base, comparison.settings.get("weight")
        museum = museum if weight is None else museum.with_weight(comparison.vehicle, weight)
        now = road_miles(comparison.museum)
        there = museum.with_haul_distance(high if abs(high - now) >= abs(low - now) else low)
        before = {finding.gate.gate: finding for finding in self.base.stated.findings}
        found = screen(there, comparison.vehicle, path).findings
        self.reading: list[Any] = [f.gate for f in found if _said(f) != _said(before[f.gate.gate])]
        by_road = [row for row in museum.bridges if row.rating != "cooper_e"]
        self._lean = museum.with_changes(gates=self.reading, bridges=by_road, cranes=())
        self._known: dict[float, Weighed] = {}

    def at(self, distance: float) -> Weighed:
        """Return the checks at one haul distance [mile], over the weights that the tolerance allows."""
        if distance not in self._known:
            museum = self._lean.with_haul_distance(distance)
            stated = self._again(museum, self.base.stated)
            alone = len(self.base.bands) == 1
            bands = (Band(np.inf, stated),) if alone else tuple(self._band(museum, band) for band in self.base.bands)
            self._known[distance] = Weighed(stated, bands)
        return self._known[distance]

    def _band(self, museum: Museum, band: Band) -> Band:
        row = museum.vehicle(self.comparison.vehicle)
        # Where a band ends is a weight that was screened itself; the last one ends with the tolerance.
        ratio = min(band.up_to, 1 + row.weight_tolerance.m_as(""))
        heavier = museum.with_weight(row.vehicle, row.weight.m_as("short_ton") * ratio)
        return Band(band.up_to, self._again(heavier, band.screening))

    def _again(self, museum: Museum, before: Screening) -> Screening:
        """Screen what reads the distance; what asks the load alone stays as it was."""
        new = screen(museum, self.comparison.vehicle, self.path)
        found = {finding.gate.gate: finding for finding in new.findings}
        kept = {name: amount for name, amount in before.amounts.items() if name in _BY_LOAD}
        cranes = before.equipment & {row.crane for row in self.comparison.base.cranes}
        findings = tuple(found.get(finding.gate.gate, finding) for finding in before.findings)
        return Screening(findings, {**new.amounts, **kept}, new.equipment | cranes, new.notes)


def _said(finding: Finding) -> tuple[str, str]:
    return finding.status, finding.reason
