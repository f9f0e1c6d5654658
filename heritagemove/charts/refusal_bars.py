"""Chart of what the answers still open may do: how often each is a no, what is done then, and what that costs."""

from __future__ import annotations

import textwrap

from matplotlib.figure import Figure

from heritagemove.answers.budget_steps import RefusedCase, budget_steps
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet
from heritagemove.charts.marks import colour_of, numbered_name
from heritagemove.charts.style_sheet import INK, SHEET
from heritagemove.compare.results import Comparison
from heritagemove.units.words import show_rounded

#: Characters of a line of a name, and lines of it.
_NAME, _LINES = 34, 2


@in_style
def refusal_bars(comparison: Comparison, figure: Figure | None = None) -> Chart:
    """Draw in how many of a hundred cases the choice ends at each answer, with what is done then and what it costs."""
    found = budget_steps(comparison)
    if found is None:
        title = f"{comparison.museum.vehicle(comparison.vehicle).name}: {comparison.decision.in_short}"
        return Chart(sheet(figure, SHEET, 1.0, title), title)
    choice, cases = comparison.path(comparison.choice), found.refused
    share = 100 * sum(case.share for case in cases)
    title = f"{numbered_name(choice)}: in {share:.0f} of 100 cases somebody says no" if cases else ""
    title = title or f"{numbered_name(choice)}: nobody whose answer is open can stop it"
    figure = sheet(figure, SHEET, 1.95 + 0.72 * max(len(cases), 1), title)
    axes = axes_in(figure, 3.5, 1.05, 0.4, 0.75)
    most = max((100 * case.share for case in cases), default=1.0)
    axes.set(xlim=(0, most * 2.4), ylim=(max(len(cases), 1) - 0.45, -0.55), xlabel="Cases of 100")
    for row, case in enumerate(cases):
        axes.barh(row, 100 * case.share, 0.5, facecolor=colour_of(choice.number), edgecolor=INK, zorder=2)
        axes.text(100 * case.share, row, f"  {_then(case, found.currency)}", va="center")
    names = ["\n".join(textwrap.wrap(case.title, _NAME, max_lines=_LINES, placeholder=" …")) for case in cases]
    axes.set_yticks(range(len(cases)), names)
    footnote(figure, "How often the way ends at each answer, one after the other as they are heard; cost on average then.")
    words = (f"{case.title}: {100 * case.share:.0f} of 100, {case.turns_to}, {case.mean_usd:,.0f}." for case in cases)
    return Chart(figure, f"{title}. " + " ".join(words))


def _then(case: RefusedCase, currency: str) -> str:
    share = "under 1" if case.share < 0.005 else f"{100 * case.share:.0f}"
    return f"{share}: {case.briefly}, {show_rounded(case.mean_usd)} {currency}"
