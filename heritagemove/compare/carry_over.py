"""What an earlier comparison already answers: a slider move computes only what it touches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.museum import Museum
from heritagemove.trials.simulation import Samples
from heritagemove.trials.true_weight import Weighed

#: Tables and settings that the checks look at.
_SEEN_BY_CHECKS = (
    "vehicles", "axles", "survey", "paths", "gates", "segments", "bridges", "engines", "cranes", "flat_cars",
    "trailers", "calendars", "limits", "journal_ratings", "cautions", "clues", "readiness",
)  # fmt: skip
_SEEN_SETTINGS = ("haul_distance", "weight")


@dataclass(frozen=True)
class CarryOver:
    """An earlier comparison and what has changed since."""

    previous: Comparison | None
    weighed: Mapping[str, Weighed] | None  # its checks, where everything they look at is the same
    changed: frozenset[str] | None  # drivers whose set amount is another one now; None where more than that has changed
    dated_anew: frozenset[str] = frozenset()  # paths whose dates, and whose dates or cost, hang on one of them
    priced_anew: frozenset[str] = frozenset()  # paths whose dates, and whose dates or cost, hang on one of them

    @classmethod
    def of(
        cls, previous: Comparison | None, museum: Museum, vehicle: str, amounts: Mapping[str, float], samples: Samples
    ) -> CarryOver:
        """Compare what is asked now with what was asked before.

        Parameters
        ----------
        museum : Museum
            Before any setting.
        amounts : mapping of str to float
            Settings by driver, in the drivers' units.
        """
        if previous is None or previous.vehicle != vehicle or museum.scenario.start != previous.base.scenario.start:
            return cls(None, None, None)
        changed = frozenset(n for n in {*amounts, *previous.settings} if amounts.get(n) != previous.settings.get(n))
        same_tables = all(getattr(museum, name) is getattr(previous.base, name) for name in _SEEN_BY_CHECKS)
        if not same_tables or changed & set(_SEEN_SETTINGS):
            return cls(None, None, None)
        # An axle count feeds other drivers: all of them may differ then.
        if museum is not previous.base or samples is not previous.samples or "axles" in changed:
            return cls(previous, previous.weighed, None)
        dated = _dated_by(museum, changed)
        return cls(previous, previous.weighed, changed, dated, dated | _priced_by(museum, changed))

    def result(self, path: str) -> PathResult | None:
        """Return what is known of a path where nothing that it stands on has changed, else None."""
        return None if self.changed is None or path in self.priced_anew else self.previous.path(path)

    def dated(self, path: str) -> PathResult | None:
        """Return what is known of a path where its dates are the same, though its cost may differ; else None."""
        return None if self.changed is None or path in self.dated_anew else self.previous.path(path)


def _dated_by(museum: Museum, changed: frozenset[str]) -> frozenset[str]:
    """Return the paths whose dates or gates hang on one of these drivers."""
    found = {row.path for row in museum.tasks if changed.intersection(row.per)}
    found |= {row.path for row in museum.risks if row.needs in changed}
    return frozenset(found | {row.path for row in museum.gates if row.needs in changed})


def _priced_by(museum: Museum, changed: frozenset[str]) -> frozenset[str]:
    """Return the paths whose cost lines hang on one of these drivers."""
    return frozenset(row.path for row in museum.cost_lines if row.driver in changed or row.times in changed)
