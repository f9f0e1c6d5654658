"""The outside view: what estimates of like work have turned out to be short by, beside the trials."""

from __future__ import annotations

from heritagemove.answers.contingency import contingency
from heritagemove.compare.results import Comparison


def outside_view(comparison: Comparison, path: str) -> str:
    """Return in words how a path's budget stands to the published uplifts on its likely sum.

    The likely sum times one plus the uplift is what a museum would ask for that trusted the record of like
    work more than its own risk register. The two are set side by side and never added: both are there for
    the same doubt.

    Parameters
    ----------
    path : str
        Id of a path whose cost is known.

    Returns
    -------
    str
        Blank where the reference tables hold no uplift.

    References
    ----------
    HM Treasury, Supplementary Green Book Guidance: Optimism Bias, Table 1; rows ``optimism_bias_*`` of limits.csv.
    """
    museum = comparison.museum
    low, high = (museum.limit(f"optimism_bias_cost_{end}") for end in ("lower", "upper"))
    if low is None or high is None:
        return ""
    found, currency = contingency(comparison, path), museum.scenario.currency
    least, usual = (found.point_usd * (1 + share / 100) for share in (low, high))
    place = "above both" if found.budget_usd > usual else "below both" if found.budget_usd < least else "between them"
    return (
        f"Outside view: early estimates of non-standard civil engineering were short by {low:g} to {high:g} %. "
        f"On the likely sum of {found.point_usd:,.0f} {currency} that is {least:,.0f} to {usual:,.0f} {currency}; "
        f"the budget at {found.confidence:.0%} confidence, {found.budget_usd:,.0f} {currency}, lies {place}. "
        "Compare them, do not add them: both stand for the same doubt."
    )
