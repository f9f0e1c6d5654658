"""The draws of a path's risks as they strike it: as tabled, or as often as the path has what a risk is counted for."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import RiskDraws, Samples, chance_of
from heritagemove.trials.needs import Amount, Work


def risks_of(
    museum: Museum, path: str, needs: Work, samples: Samples, memo: Ask = afresh, unknown: set[str] | None = None
) -> tuple[tuple[Any, Made], ...]:
    """Return the risks that apply to a path, each with its draws there.

    Parameters
    ----------
    unknown : set of str, optional
        Takes the drivers that could not be told: such a risk counts once.
    """
    found = []
    for row in museum.of_path("risks", path):
        if not needs.applies(row.needs, memo, row.stage):
            continue
        draws = samples.known("risks", (path, row.risk))
        if row.for_each is not None:
            times = needs.amount(row.for_each, row.stage)
            if times is None and unknown is not None:
                unknown.add(row.for_each)
            draws = draws if times is None else memo(_for_each, draws, chance_of(row), times)
        found.append((row, draws))
    return tuple(found)


def _for_each(draws: RiskDraws, chance: float, times: Amount) -> RiskDraws:
    """Return draws of a risk whose chance is for one of several: it strikes with 1 - (1 - p)^n, and once."""
    if draws.share is None:
        return draws
    happens = draws.share < 1 - (1 - chance) ** np.asarray(times)
    cost = draws.impact_usd * happens + draws.mitigation_usd
    return dataclasses.replace(draws, happens=happens, cost_usd=cost, delay_days=draws.impact_days * happens)
