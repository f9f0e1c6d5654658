"""The paper of a whole site: which units the board is asked to take, for how much, and what waits for which money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from heritagemove.compare.results import Comparison
from heritagemove.following.commitments import spent_or_signed
from heritagemove.hand_over.page.paper import BoardPaper, fitted
from heritagemove.hand_over.page.plain import figure, of_100, short_day
from heritagemove.hand_over.page.site import Site
from heritagemove.museum.museum import Museum
from heritagemove.units.words import show_chance, show_date, show_rounded
from heritagemove.whole_site.fleet import Option
from heritagemove.whole_site.site_decision import Step

#: Of each list so many lines are told; all of them stand in the annex.
_WAITS, _WRONG, _ACTIONS = 3, 3, 5


def site_paper(site: Site, comparisons: Sequence[Comparison], papers: Mapping[str, BoardPaper]) -> BoardPaper:
    """Return the paper of the units together.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One per unit.
    papers : mapping of str to BoardPaper
        Each unit's own, by vehicle.
    """
    museum, decided = site.fleet.museum, site.decided
    first = min((step.meeting for step in decided.steps if step.meeting), default=None)
    meeting = f"For the meeting of {show_date(first)} at the latest" if first else "For the next meeting"
    told = BoardPaper(
        meeting=meeting,
        heading=f"{museum.scenario.site}: which units the board is asked to take",
        motion=site_motion(site),
        warnings=[],
        why=_why(site),
        find_first=[],
        money=_money(site, comparisons),
        date=[f"{_unit(step.option)}: decide {_by(museum, step)}." for step in decided.steps],
        wrong=_wrong(site),
        refused=_waits(site),
        actions=_actions(site, papers),
        rests_on=_rests_on(site),
    )
    return fitted(told)


def _unit(option: Option) -> str:
    return f"{option.name} (path {option.number})"


def _by(museum: Museum, step: Step) -> str:
    return f"by {short_day(museum, step.meeting)}" if step.meeting else "at once"


def _named(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def site_motion(site: Site) -> str:
    """Return what the board is asked to resolve of the units together."""
    plan, currency = site.decided.plan, site.fleet.museum.scenario.currency
    if plan is None:
        return "That the museum take no unit yet: its money does not last for one of them."
    units = _named([_unit(option) for option in plan.options])
    together = " for them together" if len(plan.options) > 1 else ""
    return f"That the museum take {units}, and set aside {show_rounded(plan.at_confidence)} {currency}{together}."


def _why(site: Site) -> list[str]:
    decided, confidence = site.decided, site.fleet.confidence
    currency, told = site.fleet.museum.scenario.currency, []
    if decided.plan:
        told.append(
            f"No set worth more points has money that lasts in every month in {of_100(confidence)} cases; "
            f"for this one it lasts in {of_100(decided.lasts)}. A unit's points say how much it matters to the museum."
        )
    if decided.next_up:
        names = _named([option.name for option in decided.next_up.options])
        told.append(
            f"The next set, {names}: its money lasts in {of_100(decided.next_lasts)}; "
            f"it is {show_rounded(decided.gap_usd)} {currency} short."
        )
    return [*told, *decided.instead[:1]]


def _money(site: Site, comparisons: Sequence[Comparison]) -> list[dict[str, str]]:
    plan, currency, confidence = site.decided.plan, site.fleet.museum.scenario.currency, site.fleet.confidence
    told = []
    if plan:
        told.append(figure("As likely as not", f"{show_rounded(plan.cost.p50)} {currency}"))
        told.append(
            figure("Set aside", f"{show_rounded(plan.at_confidence)} {currency}, enough in {of_100(confidence)} cases")
        )
    told.append(figure("Funds on paper", f"{show_rounded(site.sure_usd)} {currency}, dates and rules left out"))
    spent = [spent_or_signed(comparison.museum, comparison.vehicle) for comparison in comparisons]
    if days := [day for _, day in spent if day]:
        day = short_day(site.fleet.museum, max(days))
        told.append(figure("Spent or signed", f"{show_rounded(sum(usd for usd, _ in spent))} {currency} by {day}"))
    return told


def _wrong(site: Site) -> list[str]:
    """Return the funds whose loss takes most from the chance that the money lasts."""
    decided, told = site.decided, []
    if decided.plan is None:
        return told
    hit = [row for row in site.funds if row.fund.probability < 1 and row.lasts < decided.lasts]
    for row in sorted(hit, key=lambda row: row.lasts)[:_WRONG]:
        lost = show_chance(1 - row.fund.probability)
        told.append(f"{row.fund.title} is not granted ({lost}): the money lasts in {of_100(row.lasts)}.")
    if site.bank and (trough := site.bank.trough(site.fleet.confidence)) < 0:
        currency = site.fleet.museum.scenario.currency
        told.append(f"In the lowest month {show_rounded(-trough)} {currency} has to be bridged before loans.")
    return told


def _waits(site: Site) -> list[str]:
    currency = site.fleet.museum.scenario.currency
    told = []
    for row in site.decided.waits[:_WAITS]:
        fund = f"waits for “{row.fund.title}”" if row.fund else "no single fund carries it"
        told.append(f"{row.name}: {fund}; {show_rounded(row.short_usd)} {currency} short beside these.")
    names = {row.vehicle: row.name for row in site.fleet.museum.vehicles}
    return [*told, *(f"{names[vehicle].partition(' (')[0]}: {why}." for vehicle, why in site.fleet.left_out.items())]


def _actions(site: Site, papers: Mapping[str, BoardPaper]) -> list[str]:
    """Return the next steps of the units that are taken, in turn, each with its unit."""
    taken = [option for option in (site.decided.plan.options if site.decided.plan else ())]
    if len(taken) == 1:
        return papers[taken[0].vehicle].actions[:_ACTIONS]
    rows = [
        [f"{option.name}: {action[:1].lower()}{action[1:]}" for action in papers[option.vehicle].actions] for option in taken
    ]
    return [row[n] for n in range(_ACTIONS) for row in rows if n < len(row)][:_ACTIONS]


def _rests_on(site: Site) -> list[str]:
    quoted = {row.vehicle for row in site.fleet.museum.quotes if row.accepted}
    names = [row.name.partition(" (")[0] for row in site.fleet.museum.vehicles if row.vehicle in quoted]
    priced = f"Quotes are accepted for {_named(names)} only." if names else "No quote is accepted yet."
    return [f"{priced} What units share, such as a crane, is paid once. Each unit has its own paper."]
