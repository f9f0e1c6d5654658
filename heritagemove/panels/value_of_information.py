"""What a mitigation, a letter, a weighing or a test is worth, on screen."""

from __future__ import annotations

from html import escape
from typing import Any

from heritagemove.answers.judged import NEEDED
from heritagemove.answers.mitigation import Mitigation, mitigations, unpriced
from heritagemove.answers.value_of_information import ValueOfInformation, WeightDecision, decisions_by_weight, worth_knowing
from heritagemove.charts.value_of_information import inquiry_worth, mitigation_worth
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.panels import markup
from heritagemove.panels.markup import paragraph
from heritagemove.panels.state import Desk
from heritagemove.units.described import Heading, Marked
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity
from heritagemove.units.words import show_chance, show_rounded

_SAFETY = (
    "Only money is counted here. Whatever keeps people from harm, and whatever a lift plan or a railroad asks for, is "
    "done regardless of its worth in this table."
)


#: Widths of the columns of the inquiries [percent].
_WIDTHS = (19, 14, 21, 7, 6, 8, 9, 8, 8)


def show_mitigations(desk: Desk, path: str | None = None) -> str:
    """Show what each mitigation of a path is worth above its price.

    Parameters
    ----------
    path : str, optional
        Id of the path; the choice when left out.
    """
    return _mitigations(desk.comparison, path or desk.comparison.choice) + paragraph(_SAFETY)


def show_knowing(desk: Desk) -> str:
    """Show what it is worth to ask, weigh or test before the committee commits, and what would then be chosen."""
    return _inquiries(desk.comparison) + paragraph(_SAFETY)


def _mitigations(comparison: Comparison, path: str | None) -> str:
    currency = comparison.museum.scenario.currency
    if path is None:
        return paragraph("No path can be chosen, so there is nothing to mitigate.")
    found, open_rows = mitigations(comparison, path), unpriced(comparison, path)
    headings = ("What is done", "Against", f"Price [{currency}]", f"Saves [{currency}]", f"Net [{currency}]",
                Heading("Change in P80 cost", kind="signed", unit=currency),
                "Days gained", "Change in chance [points]", "Verdict")  # fmt: skip
    rest = "; ".join(f"{row.mitigation} (risks.csv row {row.row_number})" for row in open_rows)
    return (
        markup.picture(mitigation_worth(comparison.path(path), found))
        + markup.table("Mitigations, each bought alone", headings, [_mitigation(entry) for entry in found])
        + (paragraph(f"Without a price or an effect, so not judged: {rest}.") if rest else "")
    )


def _mitigation(entry: Mitigation) -> tuple[Any, ...]:
    return (
        entry.action + (" (bought)" if entry.bought else ""),
        entry.title,
        entry.cost_usd,
        entry.saves_usd,
        f"{entry.net_usd:+,.0f} ± {entry.error_usd:,.0f}",
        entry.p80_usd,
        f"{_rounded(entry.days):+.1f}",
        f"{_rounded(entry.chance_points):+.1f}",
        entry.verdict,
    )


def _rounded(number: float) -> float:
    """Round to a tenth, without the sign of a zero."""
    return round(number, 1) + 0.0


def _inquiries(comparison: Comparison) -> str:
    currency = comparison.museum.scenario.currency
    found = worth_knowing(comparison)
    headings = ("What is done", "What it tells", "Path by answer", f"Price [{currency}]", "Days", f"Worth [{currency}]",
                f"Worth if certain [{currency}]",
                "Chance now, and knowing", "Verdict")  # fmt: skip
    turning = [entry for entry in found if entry.perfect_usd > 0 or entry.verdict == NEEDED]
    idle = "; ".join(entry.inquiry.title for entry in found if entry.perfect_usd == 0 and entry.verdict != NEEDED)
    return (
        markup.picture(inquiry_worth(found))
        + markup.table("What is worth finding out before the committee commits", headings, map(_inquiry, turning), _WIDTHS)
        + (markup.unfold("These change no choice of path", f"<p>{escape(idle)}.</p>") if idle else "")
        + _by_weight(decisions_by_weight(comparison))
    )


def _inquiry(entry: ValueOfInformation) -> tuple[Any, ...]:
    plans = tuple(
        f"{state} ({show_chance(share)}): path {path.number}"
        for state, share, path in zip(entry.states, entry.shares, entry.then, strict=True)
    )
    return (
        entry.inquiry.title,
        entry.subject,
        (f"not knowing: path {entry.now.number}", *plans),
        entry.cost_usd,
        f"{entry.inquiry.days:g}",
        entry.worth_usd,
        f"{entry.perfect_usd:,.0f} ± {entry.error_usd:,.0f}",
        f"{show_chance(entry.chance[0])}, {show_chance(entry.chance[1])}",
        entry.verdict,
    )


def _by_weight(found: tuple[WeightDecision, ...]) -> str:
    if not found:
        return paragraph("The weight is unknown: weigh it.")
    rows = [(_weight(e), _choice(e.comparison), _paths(e.opens), _paths(e.closes)) for e in found]
    headings = ("If it weighs", "Choice then", "Paths it opens", "Paths it closes")
    return markup.table("What would be chosen at the ends of the weight's tolerance", headings, rows)


def _weight(found: WeightDecision) -> str:
    return show_measure(Quantity(found.weight_lb, "lb"), found.comparison.museum.scenario.units)


def _choice(comparison: Comparison) -> tuple[Marked | str, ...] | str:
    currency = comparison.museum.scenario.currency
    if comparison.choice is None:
        return comparison.decision.in_short
    best, told = comparison.path(comparison.choice), comparison.decision
    cost, chance = show_rounded(told.budget.at_confidence), show_chance(told.chance_if_decided_then)
    return Marked(best.number, best.title), f"set aside {cost} {currency}, {chance} in time, all in"


def _paths(results: tuple[PathResult, ...]) -> tuple[Marked, ...]:
    return tuple(Marked(r.number, r.title) for r in results)
