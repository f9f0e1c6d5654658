"""What the page of a whole site says of its units together: which to afford, what they share, what must be in the bank."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from heritagemove.compare.results import Comparison
from heritagemove.hand_over.page.plain import picked
from heritagemove.museum.rows.funds import Fund
from heritagemove.whole_site.best_set import Plan, changed_paths, within
from heritagemove.whole_site.doing_nothing import Nothing, doing_nothing
from heritagemove.whole_site.fleet import Fleet, Option, Party, largest_party, parties
from heritagemove.whole_site.funding import BankForecast, bank_forecast
from heritagemove.whole_site.lost_funds import Carried, WithoutFund, carried, sure_money, without_each
from heritagemove.whole_site.site_decision import SiteDecision, whole_site_decision

#: Sets that are held against the money: the one decided on and those of the next more points.
_NEAR = 5


@dataclass(frozen=True)
class Site:
    """The units of a museum together."""

    fleet: Fleet
    decided: SiteDecision
    sure_usd: float  # what the funds give by their amounts alone with the museum's confidence [USD]
    plan: Plan  # the set that is decided on; the cheapest one where the money carries none
    parties: tuple[Party, ...]  # units on one crane call-out, one after the other
    bank: BankForecast | None  # the account of the plan; None where funds.csv is empty
    funds: tuple[WithoutFund, ...]
    grant: Fund | None  # the fund whose loss is played through: the largest that is paid after invoice, else the largest
    # the sets against the money, as things stand and without that fund
    carried: tuple[Carried, ...]
    without_grant: tuple[Carried, ...]
    nothing: tuple[Nothing, ...]  # each unit if the museum does not take it


def site_of(comparisons: Sequence[Comparison], progress: Callable[[str], None] | None = None) -> Site | None:
    """Return the units together where the page is of the whole site, as its tables have it; None otherwise.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One per unit, all of one museum.
    progress : callable, optional
        Told what is being searched.
    """
    base = comparisons[0].base
    whole = {row.vehicle for row in base.vehicles} == {comparison.vehicle for comparison in comparisons}
    if len(comparisons) < 2 or not whole or any(comparison.settings for comparison in comparisons):
        return None
    say = progress or (lambda _: None)
    say("the units together")
    known = {comparison.vehicle: comparison for comparison in comparisons}
    decided = whole_site_decision(base, samples=comparisons[0].samples, known=known)
    fleet, plans, plan = decided.fleet, decided.plans, decided.set_or_cheapest
    if plan is None:
        return None
    say("the money of the set")
    sure = sure_money(fleet)
    grants = [row for row in base.funds if row.repays == "after_invoice"] or list(base.funds)
    grant = max(grants, key=lambda row: row.amount.magnitude, default=None)
    party, near = largest_party(fleet), [each for each in plans if each.points >= plan.points][:_NEAR]
    return Site(
        fleet=fleet,
        decided=decided,
        sure_usd=sure,
        plan=plan,
        parties=parties(fleet, party) if party else (),
        bank=bank_forecast(fleet, plan.options) if base.funds else None,
        funds=without_each(fleet, plan.options) if base.funds else (),
        grant=grant,
        carried=carried(fleet, near) if grant else (),
        without_grant=carried(fleet, near, [grant.fund]) if grant else (),
        nothing=tuple(doing_nothing(comparison) for comparison in comparisons),
    )


def site_content(site: Site) -> dict[str, Any]:
    """Return it as plain data: numbers, texts, ISO dates."""
    fleet = site.fleet
    names = {row.vehicle: row.name for row in fleet.museum.vehicles}
    return {
        "trials": fleet.samples.trials,
        "confidence": fleet.confidence,
        "sure_usd": site.sure_usd,
        "in_words": _in_words(site),
        "decision": _decision(site.decided),
        "sets": [_set(plan, site.decided.plan) for plan in site.decided.plans],
        "left_out": [{"name": names[vehicle], "why": why} for vehicle, why in fleet.left_out.items()],
        "changed": [
            {"name": option.name, "alone": alone.by, "in_set": option.by}
            for alone, option in changed_paths(fleet, site.plan)
        ],
        "crane": [
            {"units": _units(party.options)}
            | picked(party, apart_usd="apart", together_usd="together", saved_usd="saved", call_out_usd="call_out")
            for party in site.parties
        ],
        "bank": _bank(site),
        "funds": [_fund(row) for row in site.funds],
        "lost": _lost(site),
        "nothing": [_nothing(row) for row in site.nothing],
    }


def _decision(decided: SiteDecision) -> dict[str, Any]:
    """Return the set with its order and meetings, the next one with its gap, and what waits for which fund."""
    following = decided.next_up and {
        "units": _units(decided.next_up.options),
        **picked(decided.next_up, "points"),
        **picked(decided, lasts="next_lasts", gap_usd="gap_usd"),
    }
    return {
        "points": decided.plan and decided.plan.points,
        "lasts": decided.lasts,
        "order": [
            picked(step.option, "vehicle", "name", "number", path="path")
            | {"decide_on": step.meeting and step.meeting.isoformat()}
            for step in decided.steps
        ],
        "next": following,
        "waits": [
            picked(row, "vehicle", "name", "short_usd") | {"fund": row.fund and row.fund.title} for row in decided.waits
        ],
        "instead": list(decided.instead),
    }


def _units(options: Sequence[Option]) -> list[dict[str, Any]]:
    return [picked(option, "name", "number", path="way") for option in options]


def _set(plan: Plan, now: Plan) -> dict[str, Any]:
    return {
        **picked(plan, "points", "expected"),
        "units": _units(plan.options),
        **picked(plan, "proved", p50_usd="cost.p50", at_confidence_usd="at_confidence"),
        "now": plan is now,
    }


def _bank(site: Site) -> dict[str, Any] | None:
    if site.bank is None:
        return None
    names = ("payments_usd", "receipts_usd", "p50_usd", "careful_usd", "with_loans_usd")
    return {
        "units": _units(site.plan.options),
        "months": [
            {"month": row.name, **dict(zip(names, row.amounts_usd, strict=True)), "runs_out": row.runs_out}
            for row in site.bank.table(site.fleet.confidence)
        ],
        "trough_p50_usd": site.bank.trough(0.5),
        "trough_usd": site.bank.trough(site.fleet.confidence),
        "lasts": site.bank.chance_it_lasts,
    }


def _fund(row: WithoutFund) -> dict[str, Any]:
    of_fund = {"title": "title", "amount_usd": "amount.magnitude", "probability": "probability", "rule": "restriction"}
    without = {"lasts_without": "lasts", "lasts_without_with_others": "lasts_with_others"}
    return picked(row.fund, **of_fund) | picked(row, "usable_usd", "trough_usd", "breaks", **without)


def _lost(site: Site) -> dict[str, Any] | None:
    if site.grant is None:
        return None
    left, won = (sure_money(site.fleet, **{key: [site.grant.fund]}) for key in ("lost", "sure"))
    return {
        "title": site.grant.title,
        "sure_usd": left,
        "sure_if_won_usd": won,
        "saves": _saves(site.decided.plans, left),
        "saves_if_won": _saves(site.decided.plans, won),
        "sets": [
            picked(row.plan, "points", at_confidence_usd="at_confidence")
            | picked(row, "covered", "lasts", "bridge_usd")
            | {"lasts_without": without.lasts}
            for row, without in zip(site.carried, site.without_grant, strict=True)
        ],
    }


def _saves(plans: Sequence[Plan], usd: float) -> str:
    plan = within(plans, usd)
    return f"{plan.points} points: {'; '.join(o.name for o in plan.options)}" if plan and plan.options else "nobody"


#: Endings of the owner's keys, and which part of the spread stands under each.
_OWNER = {"": "mean", "_p10": "p10", "_p90": "p90"}


def _nothing(row: Nothing) -> dict[str, Any]:
    return {
        "name": row.name,
        "museum_pays_p80_usd": row.museum_pays and row.museum_pays.p80,
        **{f"owner_pays{at}_usd": row.owner_pays and getattr(row.owner_pays, part) for at, part in _OWNER.items()},
        "scrap_value_usd": row.scrap_value,
    }


def _in_words(site: Site) -> str:
    fleet, currency = site.fleet, site.fleet.museum.scenario.currency
    chance = f"{fleet.confidence:.0%}"
    if not site.grant:
        cheapest = f"it costs {site.plan.at_confidence:,.0f} {currency} at {chance}"
        return f"{site.decided.in_words} The cheapest set is shown; {cheapest}."
    on_paper = f"On paper, by their amounts alone, the funds give {site.sure_usd:,.0f} {currency} at {chance}"
    return f"{site.decided.in_words} {on_paper}: amounts say nothing of dates and rules."
