"""What it changes that prices of a market, and durations of a contractor, are dear or late together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heritagemove.compare.comparison import price_path
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.tasks import LEAVING
from heritagemove.trials import durations, simulation
from heritagemove.trials.simulation import Samples
from heritagemove.units.units import PlannerError


@dataclass(frozen=True)
class Alone:
    """One path as compared, and with every row drawn on its own."""

    # without fallback; with the correlation of museum.toml, and with none
    together: PathResult
    alone: PathResult
    # by how many days the mean date off the site is later than the date with every task at its mean duration, together
    # and alone [day]; nan where the path never leaves the site
    merge_days: tuple[float, float]

    @property
    def missed_usd(self) -> float:
        """What P80 is short of where every row is drawn on its own [USD]."""
        return self.together.cost.p80 - self.alone.cost.p80


def without_correlation(museum: Museum) -> Museum:
    """Return a copy of a museum whose rows move each on its own."""
    none = museum.scenario.correlation.model_copy(update={"default": 0.0, "markets": {}})
    return museum.with_changes(correlation=none)


def with_and_without(comparison: Comparison, path: str, samples: Samples | None = None) -> Alone:
    """Draw a path again without correlation, every row from the same stream as before.

    Each row keeps its own distribution, so the mean of the cost hardly moves; its spread does.

    Parameters
    ----------
    samples : Samples, optional
        Draws of ``without_correlation(comparison.base)`` made before.

    Raises
    ------
    ValueError
        If the path's cost is unknown.

    References
    ----------
    GAO Cost Estimating and Assessment Guide (GAO-20-195G), chapter 12, from memory: ignoring correlation among
    cost elements understates the spread of the total.
    """
    together = comparison.path(path)
    if together.cost is None:
        raise PlannerError(f"{path}: found a cost that is unknown; allowed: a path that is priced")
    museum = without_correlation(comparison.base)
    drawn = samples or simulation.draw(museum, comparison.samples.seed, comparison.samples.trials)
    alone = price_path(museum, comparison.vehicle, path, comparison.settings, drawn)
    dates = tuple(merge_effect(comparison.museum, entry, s) for entry, s in ((together, comparison.samples), (alone, drawn)))
    return Alone(together, alone, dates)


def merge_effect(museum: Museum, result: PathResult, samples: Samples) -> float:
    """Return by how many days the mean date is later than the date of the tasks' mean durations [day].

    Where several chains meet, the latest of them sets the date, so the mean of the latest is later than the latest
    of the means; calendars add to it, since a task that misses its window waits for the next.

    References
    ----------
    Merge event bias: GAO Schedule Assessment Guide (GAO-16-89G), best practice 8, from memory; Clark, Operations
    Research 9 (1961), "The greatest of a finite set of random variables", from memory.
    """
    if durations.milestone(museum, result.path, *LEAVING) is None:
        return float("nan")
    days = durations.working_days(museum, result.path, result.work, samples)
    means = {task: np.full(samples.trials, np.rint(drawn.mean()), np.int64) for task, drawn in days.items()}
    dates = durations.date_tasks(museum, result.path, means, result.work, samples)
    steady = durations.off_site_days(museum, result.path, means, dates, result.work, samples).value
    return float(result.trials.off_site.mean() - steady.mean())
