"""What doing nothing costs: what the museum pays to decline and record a unit, and what the owner pays to scrap it.

The owner's sum carries its sign: above zero scrapping costs the owner money, which he is spared when the museum
takes the unit; below zero he earns by it and loses that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from heritagemove.compare.results import Comparison, PathResult, Spread
from heritagemove.units.words import without_brackets

_GROUPS = {"front": "surveys", "prepare": "abatement and draining", "move": "cutting and hauling", "after": "clean-up"}


@dataclass(frozen=True)
class Nothing:
    """One unit if the museum does not take it."""

    vehicle: str
    name: str
    museum_pays: Spread | None  # for declining and recording it [USD]; None is unknown
    owner_pays: Spread | None  # for scrapping it: costs less scrap value, risks included; below zero he earns [USD]
    scrap_value: float | None  # mean proceeds of steel, copper and brass [USD]
    parts: Mapping[str, float]  # mean of each part of the owner's sum, proceeds below zero [USD]
    currency: str  # ISO 4217 code of the museum's currency


def doing_nothing(comparison: Comparison) -> Nothing:
    """Return what it costs museum and owner if one unit is not taken.

    What recording the unit costs is the museum's on either path, and is left out of the owner's sum. A sum is
    unknown where no path of paths.csv has the disposal ``scrapped``, or none ``declined``.
    """
    ways = {comparison.museum.path(result.path).disposal: result for result in comparison.paths}
    scrapped, declined = ways.get("scrapped"), ways.get("declined")
    parts = _owners_parts(scrapped, declined) if scrapped and declined else {}
    unit = comparison.museum.vehicle(comparison.vehicle)
    total = np.sum(list(parts.values()), axis=0) if parts and scrapped.trials.cost_usd is not None else None
    return Nothing(
        vehicle=unit.vehicle,
        name=without_brackets(unit.name),
        museum_pays=declined and declined.cost,
        owner_pays=None if total is None else Spread.of(total),
        scrap_value=-float(np.mean(parts.get("proceeds", 0.0))) if parts else None,
        parts={name: float(np.mean(cost)) for name, cost in parts.items()},
        currency=comparison.museum.scenario.currency,
    )


def _owners_parts(scrapped: PathResult, declined: PathResult) -> dict[str, np.ndarray]:
    ours = {entry.line.line for entry in declined.trials.lines}
    parts: dict[str, np.ndarray] = {}
    for entry in scrapped.trials.lines:
        if entry.line.line not in ours:
            group = "proceeds" if entry.line.factor < 0 else _GROUPS.get(entry.line.phase, "other")
            parts[group] = parts.get(group, 0.0) + entry.cost_usd
    risks = list(scrapped.trials.risk_cost_usd.values())
    if risks:
        parts["risks"] = np.sum(risks, axis=0)
    return parts
