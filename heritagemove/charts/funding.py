"""Charts of money on its dates: the bank balance by month, what each fund carries, and what scrapping costs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from heritagemove.charts.drawing import Chart, axes_in, in_style, sheet, shorten
from heritagemove.charts.style_sheet import GREY, INK, NOTE, TEXT
from heritagemove.units.words import show_chance, show_rounded
from heritagemove.whole_site.doing_nothing import Nothing
from heritagemove.whole_site.funding import BankForecast
from heritagemove.whole_site.lost_funds import Carried, WithoutFund

_WIDTH = 10.0
_IN, _OUT = "#3f90da", "#ffa90e"
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@in_style
def bank_balance(forecast: BankForecast, figure: Figure | None = None) -> Chart:
    """Draw payments and receipts by month with the bank balance before loans, its trough marked."""
    currency = forecast.museum.scenario.currency
    confidence = forecast.museum.scenario.simulation.confidence
    shown = _last_busy(forecast) + 1
    middle, careful = (forecast.at(forecast.without_loan, chance)[:shown] / 1000 for chance in (0.5, confidence))
    low = int(np.argmin(careful))
    month = _month(forecast, low)
    depth = f"{show_rounded(abs(careful[low]) * 1000)} {currency}"
    title = f"In {month} the account is {depth} short, at {confidence:.0%} confidence, if no loan bridges it"
    if careful[low] >= 0:
        title = f"The account never holds less than {depth}, at {confidence:.0%} confidence: no loan is needed"
    figure = sheet(figure, _WIDTH, 6.0, title)
    axes = axes_in(figure, 0.95, 1.5, 0.4, 0.8)
    at, paid, came = (
        np.arange(shown), forecast.paid.mean(axis=0)[:shown] / 1000, forecast.receipts.mean(axis=0)[:shown] / 1000
    )  # fmt: skip
    axes.bar(at - 0.2, came, 0.38, color=_IN, edgecolor=INK, label="receipts, mean", zorder=2)
    axes.bar(at + 0.2, -paid, 0.38, color=_OUT, edgecolor=INK, hatch="///", label="payments, mean", zorder=2)
    axes.plot(at, middle, color=INK, linewidth=2, marker="o", label="balance, P50", zorder=3)
    axes.plot(
        at,
        careful,
        color=INK,
        linewidth=2,
        linestyle="--",
        marker="s",
        label=f"balance, P{confidence:.0%}".rstrip("%"),
        zorder=3,
    )
    axes.axhline(0, color=INK, linewidth=1)
    axes.annotate(
        f"trough {careful[low]:,.0f}".replace("-", "−"), (low, careful[low]), xytext=(0, -26), textcoords="offset points",
        ha="center", va="top", size=TEXT, weight="bold", arrowprops={"arrowstyle": "->", "color": INK}, zorder=6,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5},
    )  # fmt: skip
    bottom, top = axes.get_ylim()
    axes.set_ylim(bottom - 0.16 * (top - bottom), top)
    axes.set_xticks(at, [_tick(forecast, n) for n in at], size=NOTE)
    axes.set_ylabel(f"thousand {currency}")
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.16), ncols=4, frameon=False)
    told = (
        f"{_month(forecast, n)}: P50 {middle[n] * 1e3:,.0f}, P{confidence * 100:.0f} {careful[n] * 1e3:,.0f} {currency}."
        for n in at
    )
    return Chart(figure, " ".join([title + ". Balance before loans.", *told]))


def _last_busy(forecast: BankForecast) -> int:
    """Return the last month in which money moves before the one that holds all later ones."""
    moved = (forecast.paid.mean(axis=0) > 50) | (forecast.receipts.mean(axis=0) > 50)
    return int(np.flatnonzero(moved[:-1]).max(initial=0))


def _month(forecast: BankForecast, n: int) -> str:
    first = forecast.months[n]
    return f"{_MONTHS[first.month - 1]} {first.year}"


def _tick(forecast: BankForecast, n: int) -> str:
    first = forecast.months[n]
    return _MONTHS[first.month - 1] + (f"\n{first.year}" if n == 0 or first.month == 1 else "")


@in_style
def funds_lost(rows: Sequence[WithoutFund], confidence: float, figure: Figure | None = None) -> Chart:
    """Draw the chance that the money lasts when one fund is lost and all others come.

    Parameters
    ----------
    rows : sequence of WithoutFund
        As :func:`heritagemove.whole_site.lost_funds.without_each` gives them.
    confidence : float
        The chance the museum plans at, 0 to 1.
    """
    broken = [row.fund.title for row in rows if row.breaks]
    title = f"The plan breaks without {len(broken)} of {len(rows)} funds: {', '.join(shorten(name, 30) for name in broken)}"
    if not broken:
        whole = all(row.breaks is not None for row in rows)
        title = "No single fund breaks the plan"
        title = title if whole else "The money does not last even with every fund: no single one decides"
    ordered = sorted(rows, key=lambda row: row.lasts_with_others)
    figure = sheet(figure, _WIDTH, 2.0 + 0.55 * len(rows), title)
    axes = axes_in(figure, 3.6, 0.8, 0.9, 1.05)
    for y, row in enumerate(ordered):
        hatch = "xxx" if row.breaks else ""
        axes.barh(
            y, row.lasts_with_others, 0.6, facecolor="white" if row.breaks else _IN, edgecolor=INK, hatch=hatch, zorder=2
        )
        words = f"  {show_chance(row.lasts_with_others)}" + (", breaks it" if row.breaks else "")
        paper = {"facecolor": "white", "edgecolor": "none", "pad": 0.6}
        weight = "bold" if row.breaks else "normal"
        axes.text(row.lasts_with_others + 0.005, y, words, va="center", size=TEXT, weight=weight, bbox=paper, zorder=4)
    axes.axvline(confidence, color=INK, linestyle="--", linewidth=2)
    axes.text(confidence, 1.01, f"{confidence:.0%}", transform=axes.get_xaxis_transform(), ha="center", va="bottom")
    axes.set_yticks(range(len(rows)), [f"without {shorten(row.fund.title, 28)}" for row in ordered])
    axes.set(xlim=(0, 1), ylim=(len(rows) - 0.5, -0.5), xlabel="Chance that the money lasts, all other funds granted")
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:.0%}")
    told = (f"Without {r.fund.title}: {show_chance(r.lasts_with_others)}." for r in ordered)
    return Chart(figure, " ".join([title + ".", *told]))


@in_style
def sets_the_money_carries(
    rows: Sequence[Carried], lost: Sequence[Carried], confidence: float, name: str, figure: Figure | None = None
) -> Chart:
    """Draw how likely the money lasts for each set of units, as things stand and with one fund lost.

    Parameters
    ----------
    rows, lost : sequence of Carried
        As things stand, and without the fund, for the same sets.
    confidence : float
        The chance the museum plans at, 0 to 1.
    name : str
        The fund.
    """
    currency = next((option.currency for row in rows for option in row.plan.options), "")
    able = [row for row in rows if row.lasts >= confidence]
    most = max((row.plan.points for row in able), default=0)
    without = max((row.plan.points for row in lost if row.lasts >= confidence), default=0)
    then = "no fewer" if without == most else f"{without}"
    title = (
        f"By its rules and dates the money carries {most} points at {confidence:.0%}; without the {shorten(name, 40)} {then}"
    )
    figure = sheet(figure, _WIDTH, 5.4, title)
    axes = axes_in(figure, 0.95, 1.35, 0.4, 0.9)
    at = np.arange(len(rows))
    axes.plot(
        at, [row.lasts for row in rows], "o-", color=INK, linewidth=2, markersize=10, label="money lasts, as things stand"
    )
    axes.plot(
        at, [row.lasts for row in lost], "s--", color=INK, markerfacecolor="white", markersize=9, label=f"without {name}"
    )
    axes.plot(at, [row.covered for row in rows], "^:", color=GREY, markersize=9, label="receipts cover it, dates aside")
    axes.axhline(confidence, color=INK, linestyle="--", linewidth=2)
    axes.text(len(rows) - 0.6, confidence, f"{confidence:.0%} ", ha="right", va="bottom")
    labels = [f"{row.plan.points}\n{row.plan.at_confidence / 1000:,.0f}" for row in rows]
    axes.set_xticks(at, labels)
    axes.set(
        ylim=(-0.03, 1.05),
        ylabel="Chance",
        xlabel=f"Significance of the set [points], and below it its cost [thousand {currency}]",
    )
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:.0%}")
    axes.legend(loc="lower left", frameon=False)
    told = (
        f"{r.plan.points} points for {r.plan.at_confidence:,.0f} {currency}: lasts {show_chance(r.lasts)}, "
        f"without it {show_chance(w.lasts)}."
        for r, w in zip(rows, lost, strict=True)
    )
    return Chart(figure, " ".join([title + ".", *told]))


@in_style
def owners_side(rows: Sequence[Nothing], figure: Figure | None = None) -> Chart:
    """Draw what the owner pays or earns when a unit is scrapped: what he is spared when the museum takes it.

    Parameters
    ----------
    rows : sequence of Nothing
        As :func:`heritagemove.whole_site.doing_nothing.doing_nothing` gives them.
    """
    currency = rows[0].currency if rows else ""
    known = [row for row in rows if row.owner_pays]
    dear = max(known, key=lambda row: row.owner_pays.mean, default=None)
    title = "What scrapping costs the owner is unknown"
    if dear:
        verb = "costs the owner" if dear.owner_pays.mean > 0 else "earns the owner"
        sum_of = f"{show_rounded(abs(dear.owner_pays.mean))} {currency}"
        title = f"Scrapping {dear.name} {verb} {sum_of}: what he is spared if it is taken"
    figure = sheet(figure, _WIDTH, 1.9 + 0.6 * max(len(known), 1), title)
    axes = axes_in(figure, 3.0, 0.8, 0.6, 0.85)
    for y, row in enumerate(known):
        spread = row.owner_pays
        axes.barh(y, spread.mean / 1000, 0.55, facecolor=_OUT if spread.mean > 0 else _IN, edgecolor=INK, zorder=2,
                  hatch="///" if spread.mean > 0 else "")  # fmt: skip
        axes.plot([spread.p10 / 1000, spread.p90 / 1000], [y, y], color=INK, linewidth=2.5, zorder=3)
        sign = "+" if spread.mean > 0 else "−"
        axes.text(spread.p90 / 1000, y, f"  {sign}{abs(spread.mean) / 1000:,.0f}", va="center", size=TEXT)
    axes.axvline(0, color=INK, linewidth=1.5)
    axes.set_yticks(range(len(known)), [shorten(row.name, 26) for row in known])
    axes.set(ylim=(len(known) - 0.4, -0.6))
    axes.set_xlabel(f"− he earns, + he pays [thousand {currency}]; bar: mean, line: P10 to P90")
    axes.set_xlim(right=max((row.owner_pays.p90 for row in known), default=1.0) / 1000 * 1.12)
    axes.xaxis.set_major_formatter("{x:,.0f}")
    told = (f"{r.name}: mean {r.owner_pays.mean:,.0f}, P80 {r.owner_pays.p80:,.0f} {currency}." for r in known)
    return Chart(figure, " ".join([title + ".", *told]))
