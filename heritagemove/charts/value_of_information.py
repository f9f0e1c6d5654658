"""Charts of what a mitigation and what knowing early is worth, beside what each costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove.answers.judged import NEEDED, NOT_WORTH_IT, WORTH_IT
from heritagemove.answers.mitigation import Mitigation
from heritagemove.answers.value_of_information import ValueOfInformation
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet, shorten
from heritagemove.charts.marks import colour_of, numbered_name
from heritagemove.charts.style_sheet import GREY, INK, NOTE, SHEET, SMALL
from heritagemove.compare.results import PathResult

_WIDTH = SHEET
_SHOWN = 8
_WORTH = {"facecolor": "#8a8a8a"}


@in_style
def mitigation_worth(result: PathResult, found: Sequence[Mitigation], figure: Figure | None = None) -> Chart:
    """Draw what each mitigation of a path saves beside what it costs.

    Parameters
    ----------
    found : sequence of Mitigation
        Of that path, as :func:`heritagemove.answers.mitigation.mitigations` ranks them.
    """
    currency = result.currency
    shown = list(found)[:_SHOWN]
    good = [entry for entry in found if entry.verdict == WORTH_IT]
    name = numbered_name(result)
    if not shown:
        title = f"{name}: no mitigation has a price and an effect written down"
        return Chart(sheet(figure, _WIDTH, 1.0, title), title)
    title = f"{name}: {_counted(found, good, 'mitigation')}"
    title += f", first “{shorten(good[0].action, 40)}”" if good else ""
    rows = [(entry.action, entry.saves_usd, entry.cost_usd, entry.verdict, _effect(entry)) for entry in shown]
    figure = _bars(figure, title, rows, colour_of(result.number), "saves", currency)
    footnote(figure, "Expected cost with lateness, fallback and loss, on the same trials, each bought alone.\n"
          "Where people may be hurt, money does not decide.")  # fmt: skip
    words = (
        f"{e.action}: saves {e.saves_usd:,.0f} {currency}, costs {e.cost_usd:,.0f}; {_effect(e)}; {e.verdict}."
        for e in shown
    )
    return Chart(figure, f"{title}. " + " ".join(words))


@in_style
def inquiry_worth(found: Sequence[ValueOfInformation], figure: Figure | None = None) -> Chart:
    """Draw what each inquiry is worth beside its price; those that change no choice are left out.

    Parameters
    ----------
    found : sequence of ValueOfInformation
        As :func:`heritagemove.answers.value_of_information.worth_knowing` ranks them.
    """
    shown = [entry for entry in found if entry.perfect_usd > 0][:_SHOWN]
    good = [entry for entry in found if entry.verdict == WORTH_IT]
    if not shown:
        title = "Nothing that could be found out early would change the choice of path"
        return Chart(sheet(figure, _WIDTH, 1.0, title), title)
    title = _counted(found, good, "inquiry", "inquiries")
    title += f", first “{shorten(good[0].inquiry.title, 52)}”" if good else ""
    rows = [(entry.inquiry.title, entry.worth_usd, entry.cost_usd, entry.verdict, _plans(entry)) for entry in shown]
    figure = _bars(figure, title, rows, "#8a8a8a", "worth", shown[0].now.currency)
    footnote(figure, "Expected cost that the answer saves, as far as it can be trusted, if it is in hand before the\n"
             "committee commits. Lateness, fallback and loss are in it.")  # fmt: skip
    return Chart(figure, f"{title}. " + " ".join(entry.in_words() for entry in shown))


def _counted(found: Sequence[Any], good: Sequence[Any], one: str, many: str = "") -> str:
    """Say how many are needed whatever they cost, and of those that money decides on how many are worth their price."""
    many, needed = many or one + "s", sum(entry.verdict == NEEDED for entry in found)
    asked = f"{needed} of {len(found)} {many} needed for safety or law; " if needed else ""
    open_to_money = len(found) - needed
    if not open_to_money:
        return f"all {needed} {many} are needed for safety or law, whatever they cost"
    left = f"{open_to_money} {'others' if needed else many}"
    if not good:
        return f"{asked}none of {left} is worth more than the price"
    return f"{asked}{len(good)} of {left} {'is' if len(good) == 1 else 'are'} worth more than the price"


def _effect(entry: Mitigation) -> str:
    days, points = (round(number, 1) + 0.0 for number in (entry.days, entry.chance_points))
    return f"{days:+.1f} days gained, chance {points:+.1f} points"


def _plans(entry: ValueOfInformation) -> str:
    plans = dict.fromkeys(path.number for path in entry.then)
    turns = " or ".join(str(number) for number in plans)
    return f"path {entry.now.number} now; path {turns} by the answer"


def _bars(figure: Figure | None, title: str, rows: Sequence[tuple], colour: str, verb: str, currency: str) -> Figure:
    figure = sheet(figure, _WIDTH, 2.0 + 0.88 * len(rows), title[:1].upper() + title[1:])
    axes = axes_in(figure, 3.45, 1.15, 1.35, 0.85)
    widest = max(max(worth, cost) for _, worth, cost, _, _ in rows) or 1.0
    axes.set(xlim=(min(0.0, *(worth for _, worth, _, _, _ in rows)), widest), ylim=(len(rows) - 0.45, -0.6))
    axes.set(yticks=[], xlabel=f"[{currency}]")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    for row, (name, worth, cost, verdict, effect) in enumerate(rows):
        axes.barh(row - 0.17, worth, 0.32, facecolor=colour, edgecolor=INK, zorder=2)
        axes.barh(row + 0.17, cost, 0.32, facecolor="white", edgecolor=INK, hatch="//", zorder=2)
        _say(axes, max(worth, 0), row - 0.17, f"{verb} {worth:,.0f}", widest)
        _say(axes, cost, row + 0.17, f"costs {cost:,.0f}", widest)
        beside = {"transform": axes.get_yaxis_transform(), "va": "center", "ha": "right"}
        axes.text(-0.02, row - 0.24, shorten(name, 40), size=NOTE, **beside)
        sign = {WORTH_IT: "✓ ", NOT_WORTH_IT: "✕ ", NEEDED: "! "}.get(verdict, "? ")
        axes.text(-0.02, row + 0.01, sign + verdict.partition(",")[0], size=NOTE, weight="bold", **beside)
        axes.text(-0.02, row + 0.26, effect, size=SMALL, color=GREY, **beside)
    return figure


def _say(axes: Axes, at: float, row: float, text: str, widest: float) -> None:
    axes.text(at + widest * 0.012, row, text, va="center", size=NOTE)
