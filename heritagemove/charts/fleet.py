"""Charts of the units together: what money saves, what a shared call-out saves, and whose path it changes."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from matplotlib.figure import Figure

from heritagemove.charts.drawing import Chart, axes_in, in_style, sheet, shorten
from heritagemove.charts.marks import colour_of, draw_mark
from heritagemove.charts.style_sheet import GREY, INK, NOTE, TEXT
from heritagemove.units.words import show_rounded
from heritagemove.whole_site.best_set import Plan
from heritagemove.whole_site.fleet import Company, Option, Party
from heritagemove.whole_site.site_decision import SiteDecision

_WIDTH = 10.0
_PAPER = {"facecolor": "white", "edgecolor": "none", "pad": 0.6}


def _set_in_words(options: Sequence[Option]) -> str:
    return ", ".join(f"{option.vehicle.replace('_', ' ')} ({option.number})" for option in options) or "nobody"


@in_style
def money_against_significance(decided: SiteDecision, sure_usd: float, figure: Figure | None = None) -> Chart:
    """Draw the cheapest set for each significance: its cost at the confidence, and which units it saves by which path.

    Parameters
    ----------
    decided : SiteDecision
        Whose set is marked.
    sure_usd : float
        What the funds give by their amounts alone, as :func:`heritagemove.whole_site.lost_funds.sure_money` has it [USD].
    """
    plans, now = decided.plans, decided.plan
    currency = _currency(plans)
    title = _finding(decided, currency)
    figure = sheet(figure, _WIDTH, 2.6 + 0.62 * max(len(plans), 1), title)
    axes = axes_in(figure, 0.8, 0.85, 0.35, 1.15)
    most = max([plan.at_confidence for plan in plans] + [sure_usd])
    axes.set(xlim=(0, most * 1.12 / 1000), ylim=(len(plans) - 0.4, -0.75))
    for row, plan in enumerate(plans):
        cost, best = plan.at_confidence / 1000, plan is now
        axes.plot([0, cost], [row, row], color=INK if best else "#bbbbbb", linewidth=2.5 if best else 1.2, zorder=1)
        axes.plot([cost], [row], marker="D", markersize=11, color=INK if best else "white", markeredgecolor=INK, zorder=3)
        sure = "" if plan.proved else " (not proved cheapest)"
        words, weight = shorten(f"{_set_in_words(plan.options)}{sure}", 100), "bold" if best else "normal"
        axes.text(most * 0.004 / 1000, row - 0.2, words, size=TEXT, weight=weight, va="bottom", zorder=4, bbox=_PAPER)
        axes.text(cost + most * 0.016 / 1000, row, f"{cost:,.0f}", size=TEXT, va="center", weight=weight, zorder=4)
    axes.axvline(sure_usd / 1000, color=INK, linestyle="--", linewidth=2, zorder=2)
    label = f"amounts of the funds alone {sure_usd / 1000:,.0f}"
    axes.text(sure_usd / 1000, 1.005, label, transform=axes.get_xaxis_transform(), ha="center", va="bottom", size=TEXT)
    axes.set_yticks(range(len(plans)), [f"{plan.points}" for plan in plans], size=TEXT)
    axes.set_ylabel("Significance saved [points]")
    axes.set_xlabel(
        f"Joint cost at the confidence asked for, each call-out once [thousand {currency}]; the path's number in brackets"
    )
    axes.xaxis.set_major_formatter("{x:,.0f}")
    told = (
        f"{plan.points} points, expected {plan.expected:.1f}: {_set_in_words(plan.options)}, "
        f"{plan.at_confidence:,.0f} {currency}."
        for plan in plans
    )
    return Chart(figure, " ".join([title + ".", *told]))


def _currency(sets: Sequence[Plan] | Sequence[Party]) -> str:
    return next((option.currency for each in sets for option in each.options), "")


def _finding(decided: SiteDecision, currency: str) -> str:
    carried = f"{decided.plan.points} points of significance" if decided.plan else "nobody"
    have = f"By its rules and dates the money carries {carried}"
    if decided.next_up is None:
        return f"{have}: every unit that can be saved by the deadline" if decided.plan else have
    return f"{have}; for {decided.next_up.points} points {show_rounded(decided.gap_usd)} {currency} are short"


@in_style
def next_money(plans: Sequence[Plan], figure: Figure | None = None) -> Chart:
    """Draw the expected significance saved against the joint cost, as the steps that money buys.

    Parameters
    ----------
    plans : sequence of Plan
        As :func:`heritagemove.whole_site.best_set.frontier` gives them.
    """
    currency = _currency(plans)
    plans = [plan for plan in plans if plan.options]
    steps = list(itertools.pairwise(plans))
    dear = max(steps, key=lambda pair: pair[1].at_confidence - pair[0].at_confidence, default=None)
    title = "Only one set is possible"
    if dear:
        gap = dear[1].at_confidence - dear[0].at_confidence
        title = f"From {dear[0].points} to {dear[1].points} points is the dearest step: {gap:,.0f} {currency}"
    figure = sheet(figure, _WIDTH, 5.0, title)
    axes = axes_in(figure, 0.9, 0.85, 0.4, 0.8)
    costs, expected = [p.at_confidence / 1000 for p in plans], [p.expected for p in plans]
    axes.step([0, *costs, max(costs) * 1.1], [0, *expected, expected[-1]], where="post", color=INK, linewidth=2)
    axes.plot(costs, expected, "D", markersize=9, markerfacecolor="white", markeredgecolor=INK, markeredgewidth=1.6)
    for plan, cost, points in zip(plans, costs, expected, strict=True):
        axes.text(cost - max(costs) * 0.008, points + 0.25, f"{plan.points}", size=TEXT, ha="right", va="bottom")
    axes.set(xlim=(0, max(costs) * 1.1), ylim=(0, max(expected) * 1.15))
    axes.set_xlabel(f"Joint cost at the confidence asked for [thousand {currency}]")
    axes.set_ylabel("Expected significance saved [points]")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    told = (f"{p.at_confidence:,.0f} {currency}: {p.points} points, {p.expected:.1f} expected." for p in plans)
    return Chart(figure, " ".join([title + ".", *told]))


@in_style
def shared_call_out(parties: Sequence[Party], figure: Figure | None = None) -> Chart:
    """Draw what units cost apart and together as one after the other joins a call-out.

    Parameters
    ----------
    parties : sequence of Party
        As :func:`heritagemove.whole_site.fleet.parties` gives them.
    """
    currency = _currency(parties)
    best = max(parties, key=lambda party: party.apart - party.together, default=None)
    if best is None or len(best.options) < 2:
        return Chart(sheet(figure, _WIDTH, 1.0, "No call-out is worth sharing"), "No call-out is worth sharing.")
    saved = best.apart - best.together
    title = f"A crane shared by {len(best.options)} saves {saved:,.0f} {currency}; a further unit saves nothing more"
    if best is parties[-1]:
        title = f"A crane shared by {len(best.options)} saves {saved:,.0f} {currency}"
    figure = sheet(figure, _WIDTH, 1.75 + 0.95 * len(parties), title)
    axes = axes_in(figure, 3.3, 0.8, 1.5, 0.65)
    for row, party in enumerate(parties):
        axes.barh(row - 0.19, party.apart / 1000, 0.36, facecolor="white", edgecolor=INK, hatch="///", zorder=2)
        axes.barh(
            row + 0.19, party.together / 1000, 0.36, facecolor=colour_of(party.options[-1].number), edgecolor=INK, zorder=2
        )
        for y, usd, word in ((row - 0.19, party.apart, "apart"), (row + 0.19, party.together, "together")):
            axes.text(usd / 1000, y, f"  {usd / 1000:,.0f} {word}", va="center", size=NOTE)
    names = [
        f"{'' if n == 0 else '+ '}{shorten(p.options[-1].name, 24)}\n{_crane(p.options[-1])}" for n, p in enumerate(parties)
    ]
    axes.set_yticks(range(len(parties)), names)
    axes.set(ylim=(len(parties) - 0.4, -0.6), xlabel=f"Mean cost of the units so far [thousand {currency}]")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    told = (
        f"{_set_in_words(p.options)}: apart {p.apart:,.0f}, together {p.together:,.0f} {currency}, "
        f"saved {p.apart - p.together:,.0f} {currency}."
        for p in parties
    )
    return Chart(figure, " ".join([title + ".", *told]))


def _crane(option: Option) -> str:
    return f"path {option.number}" + (f", {option.crane.replace('_', ' ')}" if option.crane else "")


@in_style
def company_bars(name: str, rows: Sequence[Company], others: Sequence[Option], figure: Figure | None = None) -> Chart:
    """Draw what each path of a unit costs alone, and what it adds when others go anyway.

    Parameters
    ----------
    name : str
        The unit.
    rows : sequence of Company
        As :func:`heritagemove.whole_site.fleet.in_company` gives them.
    others : sequence of Option
        The units that go anyway.
    """
    currency = rows[0].option.currency
    alone, together = min(rows, key=lambda r: r.alone.p80), min(rows, key=lambda r: r.together.p80)
    who = _set_in_words(others)
    same = alone.option is together.option
    change = (
        f"stays on path {alone.option.number}"
        if same
        else f"goes from path {alone.option.number} to {together.option.number}"
    )
    title = f"{name}: once {who} goes anyway, the cheapest way {change}"
    figure = sheet(figure, _WIDTH, 1.9 + 0.62 * len(rows), title)
    axes = axes_in(figure, 3.2, 0.8, 0.6, 0.85)
    for y, row in enumerate(sorted(rows, key=lambda r: r.together.p80)):
        ends = row.alone.p80 / 1000, row.together.p80 / 1000
        axes.plot(ends, [y, y], color=GREY, linewidth=1.5, zorder=1)
        axes.plot([ends[0]], [y], marker="|", markersize=18, markeredgewidth=2.5, color=INK, zorder=2)
        draw_mark(axes, ends[1], y, row.option.number)
        axes.text(ends[0], y, f"   {ends[0]:,.0f} alone", ha="left", va="center", size=TEXT)
        axes.text(ends[1], y, f"{ends[1]:,.0f} added    ", ha="right", va="center", size=TEXT)
    ordered = sorted(rows, key=lambda r: r.together.p80)
    low, high = (end(max(r.alone.p80, r.together.p80) if end is max else r.together.p80 for r in rows) for end in (min, max))
    room = (high - low) / 1000
    axes.set_xlim(low / 1000 - 0.3 * room, high / 1000 + 0.25 * room)
    axes.set_yticks(range(len(rows)), [shorten(row.option.by, 36) for row in ordered])
    axes.set(ylim=(len(rows) - 0.5, -0.8), xlabel=f"Cost at P80 [thousand {currency}]; bar: alone; mark: added")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    told = (f"{r.option.by}: alone {r.alone.p80:,.0f}, added {r.together.p80:,.0f} {currency} at P80." for r in ordered)
    return Chart(figure, " ".join([title + ".", *told]))
