"""Money on its dates, on screen: the bank by month, the funds, the sets they carry, and doing nothing."""

from __future__ import annotations

from collections.abc import Sequence

from heritagemove.charts import funding as drawn
from heritagemove.panels import markup
from heritagemove.panels.controls import Chooser
from heritagemove.panels.fleet import NOBODY, units_and_paths, units_of
from heritagemove.panels.markup import paragraph
from heritagemove.panels.state import Desk
from heritagemove.units.described import Heading, Marked
from heritagemove.units.words import show_chance
from heritagemove.whole_site.best_set import Plan, within
from heritagemove.whole_site.doing_nothing import doing_nothing
from heritagemove.whole_site.funding import bank_forecast
from heritagemove.whole_site.lost_funds import carried, sure_money, without_each
from heritagemove.whole_site.site_decision import SiteDecision


def show_carried(desk: Desk, fund: str | None = None) -> Chooser | str:
    """Show which sets of units the money carries, as things stand and if one fund, to choose, is lost.

    Parameters
    ----------
    fund : str, optional
        Id of the fund to begin with; the largest that is paid after the invoice, or the largest, when left out.
    """
    if not desk.base.funds:
        return paragraph("funds.csv is empty: there is no money to compare the sets with.")
    late = [row for row in desk.base.funds if row.repays == "after_invoice"] or desk.base.funds
    largest = max(late, key=lambda row: row.amount.magnitude)
    funds = [(row.title, row.fund) for row in desk.base.funds]
    return Chooser("If this fund is lost", funds, fund or largest.fund, lambda lost: _carried(desk.site, lost))


def _carried(decided: SiteDecision, fund: str) -> str:
    fleet, plans = decided.fleet, decided.plans
    found = carried(fleet, plans)
    currency = fleet.museum.scenario.currency
    title = next(row.title for row in fleet.museum.funds if row.fund == fund)
    lost = carried(fleet, plans, [fund])
    rows = [
        (
            row.plan.points,
            units_of(row.plan.options),
            row.plan.at_confidence,
            *(row.covered, row.lasts, without.lasts),
            row.bridge_usd,
        )
        for row, without in zip(found, lost, strict=True)
    ]
    sums = [sure_money(fleet), sure_money(fleet, lost=[fund]), sure_money(fleet, sure=[fund])]
    names = ("as things stand", f"without {title}", f"with {title} for certain")
    by_amount = [(name, usd, _on_paper(plans, usd)) for name, usd in zip(names, sums, strict=True)]
    headings = ("Points", "Units and their paths", f"Cost at {fleet.confidence:.0%} [{currency}]",
                Heading("Receipts cover it in the end", kind="chance"),
                Heading("Money lasts every month", kind="chance"), Heading(f"... without {title}", kind="chance"),
                f"Bridge loan at {fleet.confidence:.0%} [{currency}]")  # fmt: skip
    on_paper = ("Funds", f"Sure at {fleet.confidence:.0%} [{currency}]", "What it would save")
    return (
        markup.large(decided.in_words)
        + markup.picture(drawn.sets_the_money_carries(found, lost, fleet.confidence, title))
        + markup.table("Sets of units against the money", headings, rows, (8, 38, 10, 11, 10, 13, 10))
        + markup.table("On paper: amounts alone, without rules and dates", on_paper, by_amount)
    )


def _on_paper(plans: Sequence[Plan], usd: float) -> tuple[Marked | str, ...] | str:
    plan = within(plans, usd)
    return (f"{plan.points} points", *units_of(plan.options)) if plan else "nobody"


def show_bank(desk: Desk) -> str:
    """Show the bank balance of the set by month, its trough, the bridge loan, and when the money may run out."""
    fleet, plan = desk.site.fleet, desk.site.set_or_cheapest
    if plan is None:
        return paragraph(NOBODY)
    currency = fleet.museum.scenario.currency
    seen = bank_forecast(fleet, plan.options)
    headings = ("Month", f"Payments, mean [{currency}]", f"Receipts, mean [{currency}]", f"Balance P50 [{currency}]",
                f"Balance P{fleet.confidence * 100:.0f} [{currency}]", f"Balance with loans [{currency}]",
                Heading("Money first runs out", kind="chance"))  # fmt: skip
    rows = [(row.name, *(usd for usd in row.amounts_usd), row.runs_out) for row in seen.table(fleet.confidence)]
    bridge = (
        f"Trough before loans (the lowest month of each trial, whenever it falls): {seen.trough(0.5):,.0f} {currency} "
        f"at P50, {seen.trough(fleet.confidence):,.0f} {currency} at "
        f"P{fleet.confidence * 100:.0f}. With the loans in funds.csv the chance that the money lasts is "
        f"{show_chance(seen.chance_it_lasts)}."
    )
    return (
        f"<p>{units_and_paths(plan.options)}</p>"
        + markup.picture(drawn.bank_balance(seen))
        + paragraph(bridge)
        + markup.table("The account month by month; the last row holds everything later", headings, rows)
    )


def show_lost_funds(desk: Desk) -> str:
    """Show what the set can use of each fund, and which fund's loss breaks the plan."""
    fleet, plan = desk.site.fleet, desk.site.set_or_cheapest
    if plan is None:
        return paragraph(NOBODY)
    currency = fleet.museum.scenario.currency
    found = without_each(fleet, plan.options)
    rows = [
        (
            row.fund.title,
            row.fund.amount.m_as("USD"),
            row.fund.probability,
            row.usable_usd,
            row.lasts,
            row.lasts_with_others,
            row.trough_usd,
            {True: "yes", False: "no", None: "it is not whole even with it"}[row.breaks],
            row.fund.restriction,
        )
        for row in found
    ]
    headings = ("Fund", f"Amount [{currency}]", Heading("Chance", kind="chance"),
                f"Usable by the plan at {fleet.confidence:.0%} [{currency}]",
                Heading("Money lasts without it", kind="chance"), Heading("The same, if all others come", kind="chance"),
                f"Trough then [{currency}]", "Its loss breaks the plan", "Rule")  # fmt: skip
    return (
        f"<p>{units_and_paths(plan.options)}</p>"
        + markup.picture(drawn.funds_lost(found, fleet.confidence))
        + markup.table("Funds one by one", headings, rows)
    )


def show_doing_nothing(desk: Desk) -> str:
    """Show what it costs museum and owner if a unit is not taken, with its sign."""
    fleet = desk.site.fleet
    currency = fleet.museum.scenario.currency
    found = [doing_nothing(comparison) for comparison in fleet.comparisons.values()]
    rows = [
        (
            row.name,
            row.museum_pays and row.museum_pays.p80,
            row.owner_pays and row.owner_pays.mean,
            f"{row.owner_pays.p10:+,.0f} to {row.owner_pays.p90:+,.0f}" if row.owner_pays else "unknown",
            row.scrap_value,
            tuple(f"{name} {usd:+,.0f}" for name, usd in row.parts.items()),
        )
        for row in found
    ]
    headings = ("Unit", f"Museum pays to decline and record it, P80 [{currency}]",
                Heading(f"Owner pays (+) or earns (−), mean [{currency}]", kind="signed"),
                f"P10 to P90 [{currency}]", f"Scrap value [{currency}]", f"Made of, means [{currency}]")  # fmt: skip
    note = "The owner is spared what he would pay (+) to scrap a unit when the museum takes it: an argument for his "
    note += "contribution."
    table = markup.table("If the museum does nothing", headings, rows)
    return markup.picture(drawn.owners_side(found)) + table + paragraph(note)
