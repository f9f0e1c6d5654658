"""What the page says of a move under way: the forecast after quotes and invoices, what is soft, which papers run out."""

from __future__ import annotations

from typing import Any

from heritagemove.compare.results import Comparison
from heritagemove.following.commitments import STANDS_ON
from heritagemove.following.papers import papers, uncovered
from heritagemove.following.tracking import Forecast, fan_rows, follow, followed, trigger
from heritagemove.hand_over.page.plain import picked
from heritagemove.units.words import show_chance, show_date, show_rounded


def forecasts_of(comparison: Comparison) -> tuple[Forecast, ...]:
    """Return the forecasts of the path on which something has happened; none where nothing has.

    A path whose cost or date is unknown is not forecast.
    """
    found = followed(comparison.museum, comparison.vehicle)
    if found is None or found[1] < comparison.museum.scenario.start:
        return ()
    planned = comparison.path(found[0])
    return follow(comparison, *found) if planned.cost and planned.off_site else ()


def following_content(forecasts: tuple[Forecast, ...]) -> dict[str, Any] | None:
    """Return it as plain data: numbers, texts, ISO dates."""
    if not forecasts:
        return None
    last = forecasts[-1]
    rows = [dict(zip(_DATES, row.values(), strict=True)) for row in fan_rows(forecasts)]
    days = ("on", "off_site_p80", "arrived_p80")
    dates = [row | {name: row[name] and row[name].isoformat() for name in days} for row in rows]
    found = papers(last.plan.museum, last.plan.vehicle, last.path, last.known, last.on)
    return {
        **picked(last.result, "path", "number", "title"),
        "on": last.on.isoformat(),
        "in_words": _in_words(forecasts),
        "trigger": trigger(last).in_words(last.plan),
        "dates": dates,
        "soft": [
            picked(entry, "low_usd", "likely_usd", "high_usd", line="line.title") | {"stands_on": STANDS_ON[entry.stands_on]}
            for entry in uncovered(last.positions)
        ],
        "papers": [
            picked(row, "kind", "title", "holder") | {"until": row.until.isoformat(), "state": row.in_words()}
            for row in found
        ],
        "notes": list(last.notes),
    }


_DATES = ("on", "p10_usd", "p50_usd", "p80_usd", "p90_usd", "spread_usd", "fixed", "off_site_p80", "arrived_p80",
          "chance", "gates")  # fmt: skip


def _in_words(forecasts: tuple[Forecast, ...]) -> str:
    first, last = forecasts[0].result, forecasts[-1].result
    currency = last.currency
    return (
        f"On the evening of {show_date(forecasts[-1].on)} path {last.number} is expected to cost "
        f"{show_rounded(last.cost.p80)} {currency} at P80, planned {show_rounded(first.cost.p80)}, if nothing is refused; "
        f"{show_chance(forecasts[-1].fixed_share)} of its money is quoted firmly or invoiced. Its chance off the site in "
        f"time is {show_chance(last.chance_by_deadline)}, planned "
        f"{show_chance(first.chance_by_deadline)}, gates met."
    )
