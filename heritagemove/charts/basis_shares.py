"""The chart of what an estimate rests on, and of the rows to make better first."""

from __future__ import annotations

from collections.abc import Mapping

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove.answers.basis_shares import BASES, BasisShares
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet, shorten
from heritagemove.charts.marks import colour_of, numbered_name
from heritagemove.charts.style_sheet import INK, SHEET
from heritagemove.units.words import show_chance

_WIDTH, _SHOWN = SHEET, 6
#: Judgment is bare and hatched, what can be shown is filled.
_LOOKS: Mapping[str, Mapping[str, str]] = {
    "quote": {"facecolor": "#3b3b3b"},
    "measured": {"facecolor": "#8a8a8a"},
    "published": {"facecolor": "#d9d9d9"},
    "typical": {"facecolor": "white", "hatch": ".."},
    "judgment": {"facecolor": "white", "hatch": "//"},
}


@in_style
def basis_bars(shares: BasisShares, figure: Figure | None = None) -> Chart:
    """Draw the share of an estimate by basis, and the rows of judgment whose doubt widens the cost most."""
    currency = shares.result.currency
    money = shares.money()
    total = sum(money.values())
    stakes = shares.stakes[:_SHOWN]
    judged = money["judgment"] / total if total else 0.0
    title = f"{numbered_name(shares.result)}: {show_chance(judged)} of the money is judgment"
    title += f"; the largest doubt is {shorten(stakes[0].title, 44)}" if stakes else "; nothing in it is in doubt"
    low = 1.15 + 0.42 * max(len(stakes), 1)
    height = low + 3.5
    figure = sheet(figure, _WIDTH, height, title)
    axes = axes_in(figure, 2.1, low + 0.75, 0.6, 1.2)
    bars = {"Price": shares.money("price"), "Quantity": shares.money("quantity"), "The weaker of both": money}
    bars["Working days"] = shares.days
    axes.set(xlim=(0, 1), ylim=(len(bars) - 0.4, -0.6))
    axes.set_xticks([0, 0.25, 0.5, 0.75, 1], ["0", "25", "50", "75", "100 %"])
    axes.set_yticks(range(len(bars)), list(bars))
    for row, parts in enumerate(bars.values()):
        _shares(axes, row, parts)
    _key(axes)
    _doubts(axes_in(figure, 3.75, 1.15, 0.95, height - low), shares)
    grade = shares.grade
    narrow = ", too narrow for its class" if grade.too_narrow else ""
    note = f"Quotes in hand cover {shares.quoted_share:.0%} of the money. {grade.by_definition.title}.\n"
    note += f"P10 to P90 is {grade.low:+.0%} to {grade.high:+.0%} of P50{narrow}."
    footnote(figure, note)
    said = "; ".join(f"{basis} {show_chance(amount / total)}" for basis, amount in money.items()) if total else "no money"
    rows = " ".join(f"{s.title}, {s.table} row {s.row_number}: {s.narrows_usd:,.0f} {currency}, {s.ask}." for s in stakes)
    noted = note.replace("\n", " ")
    return Chart(figure, f"{title}. By the weaker basis: {said}. {noted} Doubt by row: {rows}")


def _shares(axes: Axes, row: int, parts: Mapping[str, float]) -> None:
    total, start = sum(parts.values()), 0.0
    for basis in BASES:
        share = parts[basis] / total if total else 0.0
        if share == 0:
            continue
        axes.barh(row, share, 0.64, left=start, edgecolor=INK, zorder=2, **_LOOKS[basis])
        if share > 0.06:
            box = {"ha": "center", "va": "center", "zorder": 3, "bbox": {"color": "white", "pad": 1.5}}
            axes.text(start + share / 2, row, f"{basis} {show_chance(share)}" if share > 0.23 else show_chance(share), **box)
        start += share


def _key(axes: Axes) -> None:
    handles = [axes.barh(0, 0, edgecolor=INK, label=basis, **look) for basis, look in _LOOKS.items()]
    axes.legend(handles=handles, ncols=5, loc="lower left", bbox_to_anchor=(-0.33, 1.0), frameon=False, handlelength=1.6)


def _doubts(axes: Axes, shares: BasisShares) -> None:
    stakes = shares.stakes[:_SHOWN]
    widest = max([stake.narrows_usd for stake in stakes], default=1.0) / 1000
    axes.set(xlim=(0, widest * 1.02), ylim=(max(len(stakes), 1) - 0.4, -0.6))
    axes.set_yticks(range(len(stakes)), [shorten(stake.title, 37) for stake in stakes])
    axes.set_xlabel(f"P10 to P90 would be narrower by [thousand {shares.result.currency}]")
    axes.xaxis.set_major_formatter("{x:,.1f}")
    for row, stake in enumerate(stakes):
        axes.barh(row, stake.narrows_usd / 1000, 0.62, facecolor=colour_of(shares.result.number), edgecolor=INK, zorder=2)
        say = f"{stake.narrows_usd / 1000:,.1f}"
        axes.text(stake.narrows_usd / 1000 + widest * 0.015, row, say, va="center")
