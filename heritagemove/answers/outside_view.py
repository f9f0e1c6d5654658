"""The outside view: what estimates of like work have turned out to be short by, beside the trials."""

from __future__ import annotations

from typing import Any

from heritagemove.answers.contingency import contingency
from heritagemove.compare.results import Comparison
from heritagemove.units.words import show_chance


def outside_view(comparison: Comparison, path: str) -> str:
    """Return in words how a path's budget stands to the published uplifts on its likely sum.

    The likely sum times one plus the uplift is what a museum would ask for that trusted the record of like
    work more than its own risk register. The two are set side by side and never added: both are there for
    the same doubt.

    Parameters
    ----------
    path : str
        Id of a path whose cost is known.

    Behind them stand the published records of overruns.csv, each beside what the trials say of the same.

    Returns
    -------
    str
        Blank where the reference tables hold no uplift and no record.

    References
    ----------
    HM Treasury, Supplementary Green Book Guidance: Optimism Bias, Table 1; rows ``optimism_bias_*`` of limits.csv.
    """
    museum = comparison.museum
    low, high = (museum.limit(f"optimism_bias_cost_{end}") for end in ("lower", "upper"))
    records = _records(comparison, path)
    if low is None or high is None:
        return records
    found, currency = contingency(comparison, path), museum.scenario.currency
    least, usual = (found.point_usd * (1 + share / 100) for share in (low, high))
    place = "above both" if found.budget_usd > usual else "below both" if found.budget_usd < least else "between them"
    return (
        f"Outside view: early estimates of non-standard civil engineering were short by {low:g} to {high:g} %. "
        f"On the likely sum of {found.point_usd:,.0f} {currency} that is {least:,.0f} to {usual:,.0f} {currency}; "
        f"the budget at {found.confidence:.0%} confidence, {found.budget_usd:,.0f} {currency}, lies {place}. "
        "Compare them, do not add them: both stand for the same doubt." + (f" {records}" if records else "")
    )


def _records(comparison: Comparison, path: str) -> str:
    """Return the published records beside the trials, of cost and of time."""
    museum, result = comparison.museum, comparison.path(path)
    said = {of: "; ".join(_told(row) for row in museum.overruns if row.of == of) for of in ("cost", "time")}
    words = []
    if said["cost"]:
        point = contingency(comparison, path).point_usd
        middle, mean = (f"{each / point - 1:+.0%}" for each in (result.cost.p50, result.cost.mean))
        inside = f"Inside view of cost: median {middle} and mean {mean} of the sum of likely values"
        words.append(f"{inside}. Outside view: {said['cost']}.")
    if said["time"] and result.chance_by_deadline is not None:
        inside = f"Inside view of time: late in {show_chance(1 - result.chance_by_deadline)} of the trials"
        words.append(f"{inside}. Outside view: {said['time']}.")
    return " ".join(words)


def _told(row: Any) -> str:
    numbers = [f"{name} +{value:g} %" for name in ("median", "mean") if (value := getattr(row, name)) is not None]
    numbers += [f"{row.over:g} % went over"] if row.over is not None else []
    return f"{row.projects:,} {row.title}, {' and '.join(numbers)}"
