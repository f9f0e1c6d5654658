"""The tables of gates: what each asks, what was found, and who signs."""

from __future__ import annotations

from collections.abc import Sequence

from heritagemove.checks.gates.screening import Finding
from heritagemove.checks.margins import margin_in_words, status_of_gate
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.museum import Museum
from heritagemove.units.described import Described, Heading, described


def table_of_gates(caption: str, findings: Sequence[Finding], museum: Museum) -> Described:
    """Return gates with what was found, by how much they pass or fail, the rule behind each, and who signs."""

    def how_far(found: Finding) -> str:
        return margin_in_words(found.check, museum.scenario.units) if found.check else found.reason

    return described(
        caption,
        (
            Heading("Gate", lambda found: museum.titled(found.gate)),
            Heading("Result", lambda found: status_of_gate(found.status)),
            Heading("Kind", lambda found: "hard stop" if found.gate.kind == "hard_stop" else "caution"),
            Heading("Found", lambda found: found.found[:1].upper() + found.found[1:]),
            Heading("By how much", how_far),
            Heading("Result changes if", lambda found: found.margin),
            Heading("Chance of refusal", lambda found: found.refusal if found.status == "open" else "", "chance"),
            Heading("Evidence", lambda found: found.gate.evidence),
            Heading("Signed by", lambda found: found.gate.signer),
            Heading("Expires", lambda found: found.gate.expires or "", "date"),
            Heading("Rule", lambda found: found.gate.rule),
            Heading("Source of the limit", lambda found: found.check.source if found.check else found.gate.source),
            Heading("Who confirms", lambda found: found.check.note if found.check else found.gate.signer),
        ),
        findings,
    )


def gates_of(comparison: Comparison, result: PathResult) -> Described:
    """Return every gate of one path."""
    caption = f"Gates of path {result.number}, {result.title}"
    return table_of_gates(caption, result.findings, comparison.museum)
