"""The table of paths: money, date, chance and status of each, and what would change it."""

from __future__ import annotations

from typing import Any

from heritagemove.compare.results import Comparison, PathResult
from heritagemove.units.described import Described, Heading, Marked, described
from heritagemove.units.words import show_date

#: Status in words with a sign, so that it does not hang on a colour.
STATUS_WORDS = {"clear": "✓ clear", "caution": "! caution", "unknown": "? unknown", "blocked": "✕ blocked"}


def table_of_paths(comparison: Comparison) -> Described:
    """Return the table of paths of a comparison, one row per path."""
    scenario, played = comparison.museum.scenario, comparison.decision
    roles = {comparison.choice: " (choice)", comparison.fallback: " (fallback)"}

    def all_in(result: PathResult, as_decided: Any, otherwise: Any) -> Any:
        """Return what holds with refusals: of the choice as it is decided, of another as soon as it could begin."""
        if result.cost_with_fallback is None:
            return "none"
        return as_decided() if result.path == comparison.choice else otherwise()

    def arrives(result: PathResult) -> Any:
        if result.off_site is None:
            return "never"
        return result.arrived.p80 if result.arrived else "no date of arrival"

    return described(
        f"Paths of {comparison.museum.vehicle(comparison.vehicle).name}",
        (
            Heading("Path", lambda result: Marked(result.number, result.title + roles.get(result.path, "")), width=15),
            Heading("Status", status_in_words, width=8),
            Heading("Cost P50", lambda result: result.cost and result.cost.p50, "whole", scenario.currency, width=7),
            Heading("Cost P80", lambda result: result.cost and result.cost.p80, "whole", scenario.currency, width=7),
            Heading("Off site P80", lambda result: result.off_site.p80 if result.off_site else "never", "date", width=7),
            Heading("Arrives P80", arrives, "date", width=7),
            Heading(f"Chance by {show_date(scenario.deadline)}", _chance, "chance", width=7),
            Heading("Chance of meeting the gates", lambda result: result.chance_of_gates, "chance", width=7),
            Heading("All in: chance", lambda result: all_in(
                result, lambda: played.chance_if_decided_then, lambda: result.chance_with_fallback), "chance", width=6),
            Heading("All in: P80", lambda result: all_in(
                result, lambda: played.budget.at_confidence, lambda: result.cost_with_fallback.p80), "rounded",
                scenario.currency, width=7),
            Heading("What blocks it or calls for caution", lambda result: result.reasons or "nothing found", "unfold",
                width=13),
            Heading("What would change the status", lambda result: result.flips or "nothing measured", width=9),
        ),
        comparison.paths,
    )  # fmt: skip


def status_in_words(result: PathResult) -> str:
    """Return a path's status with its sign, and whether it is provisional."""
    return STATUS_WORDS[result.status] + (", provisional" if result.provisional else "")


def _chance(result: PathResult) -> Any:
    return result.chance_by_deadline if result.off_site else "none"
