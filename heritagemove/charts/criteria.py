"""Charts of the committee's choice: weighted values with what is dominated, and the table of regrets."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove.answers.criteria import DecisionTable, ValuedPath
from heritagemove.answers.decision_analysis import expected_regrets, worst_regrets
from heritagemove.answers.regret import RegretTable
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet, shorten
from heritagemove.charts.engineering import tint
from heritagemove.charts.marks import colour_of, draw_mark
from heritagemove.charts.style_sheet import INK, NOTE, PALE, SHEET

_WIDTH = SHEET
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@in_style
def weighted_values(table: DecisionTable, figure: Figure | None = None) -> Chart:
    """Draw each path's weighted sum, one piece per criterion; what another path dominates is hatched and says so."""
    title = _title(table)
    if not table.options:
        return Chart(sheet(figure, _WIDTH, 1.0, title), title)
    rows = sorted(table.options, key=lambda option: -option.total)
    keys = (len(table.criteria) + 1) // 2
    bottom = 0.8 + 0.27 * keys
    figure = sheet(figure, _WIDTH, 0.95 + 0.56 * len(rows) + bottom, title)
    axes = axes_in(figure, 2.35, bottom, 1.6, 0.85)
    axes.set(xlim=(0, 1), ylim=(len(rows) - 0.5, -0.5), yticks=[], xlabel="Weighted value, 0 worst to 1 best")
    for row, option in enumerate(rows):
        _bar(axes, row, option, table)
    _key(figure, table, keys)
    return Chart(figure, f"{title}. " + " ".join(_told(option, table) for option in rows))


def _title(table: DecisionTable) -> str:
    best = table.choice
    if best is None:
        return "No path can be valued by the committee's criteria"
    if len(table.options) == 1:
        return f"Path {best.number} is the only one left: no weights to argue about"
    if table.ties:
        numbers = ", ".join(str(option.number) for option in (best, *table.ties))
        return f"Paths {numbers} score the same, {best.total:.2f} of 1: the weights do not decide between them"
    reached = [turn for turn in table.turns if table.within(turn.weight)]
    if not reached:
        return f"Path {best.number} is worth most, and no single weight within the sliders changes that"
    near = min(reached, key=lambda turn: abs(turn.weight - table.weights[turn.criterion]))
    name = next(row.title for row in table.criteria if row.criterion == near.criterion)
    return (
        f"Path {best.number} is worth most; a weight of {near.weight:.1f} instead of {table.weights[near.criterion]:g} "
        f"on “{shorten(name, 34)}” puts path {near.number} first"
    )


def _bar(axes: Axes, row: int, option: ValuedPath, table: DecisionTable) -> None:
    beside, start = {"transform": axes.get_yaxis_transform()}, 0.0
    draw_mark(axes, -0.43, row, option.number, "full", 13, **beside)
    axes.text(-0.39, row, f"{option.number}", weight="bold", va="center", **beside)
    axes.text(-0.33, row, shorten(option.path.replace("_", " "), 18), va="center", **beside)
    colour = colour_of(option.number)
    for n, criterion in enumerate(table.criteria):
        width = option.values[criterion.criterion] * table.shares[criterion.criterion]
        hatch = "///" if option.dominated_by else ""
        face = "white" if hatch else tint(colour) if n % 2 else colour
        axes.barh(row, width, 0.62, left=start, facecolor=face, edgecolor=INK, linewidth=0.8, hatch=hatch, zorder=2)
        if width > 0.022:
            label = {"ha": "center", "va": "center", "size": NOTE, "zorder": 4}
            axes.text(start + width / 2, row, _LETTERS[n], bbox={"color": "white", "pad": 0.8}, **label)
        start += width
    by = f", beaten by {option.dominated_by[0]}" if option.dominated_by else ""
    axes.text(start + 0.012, row, f"{option.total:.2f}{by}", va="center", weight="normal" if by else "bold")


def _key(figure: Figure, table: DecisionTable, keys: int) -> None:
    width, height = figure.get_size_inches()
    for n, row in enumerate(table.criteria):
        column, line = divmod(n, keys)
        text = f"{_LETTERS[n]}  {shorten(row.title, 40)}: {table.shares[row.criterion]:.0%}"
        figure.text((0.15 + 4.45 * column) / width, (0.15 + 0.27 * (keys - 1 - line)) / height, text, size=NOTE, color=INK)


def _told(option: ValuedPath, table: DecisionTable) -> str:
    parts = "; ".join(f"{row.title} {option.values[row.criterion]:.2f}" for row in table.criteria)
    by = f" Dominated by path {option.dominated_by[0]}." if option.dominated_by else ""
    return f"Path {option.number}, {option.title}: {option.total:.2f} ({parts}).{by}"


@in_style
def regret_grid(table: RegretTable, figure: Figure | None = None) -> Chart:
    """Draw the table of regrets: what each path costs beyond the cheapest of each state."""
    currency = table.currency
    if not table.options:
        title = "No path can be chosen: nothing to regret"
        return Chart(sheet(figure, _WIDTH, 1.0, title), title)
    worst = worst_regrets(table.costs_usd)
    means = expected_regrets(table.costs_usd, table.shares)
    title = _regret_title(table, worst)
    groups = list(dict.fromkeys(state.refused for state in table.states))
    gates = list(dict.fromkeys(gate for state in table.states for gate in state.refused))
    rows, bottom = len(table.options), 0.45 + 0.22 * len(gates)
    figure = sheet(figure, _WIDTH, 2.0 + 0.46 * rows + bottom, title)
    axes = axes_in(figure, 2.1, bottom, 0.1, 2.0)
    columns = len(table.states) + 2
    axes.set(xlim=(0, columns + 0.3), ylim=(rows, 0), xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    highest = max(float(worst.max()), 1.0)
    for row, option in enumerate(table.options):
        _regret_row(axes, row, option, [*table.regrets_usd[row], worst[row], means[row]], highest)
    _heads(axes, table, groups, gates)
    notes = [f"{_LETTERS[n].upper()}: {shorten(gate, 88)}" for n, gate in enumerate(gates)]
    what = f"Cost beyond the cheapest path of the state [thousand {currency}]"
    notes += [f"{what}, with lateness, fallback, loss. Darker: more."]
    footnote(figure, "\n".join(notes))
    words = (
        f"Path {o.number}, {o.title}: worst regret {worst[n]:,.0f} {currency}, expected regret {means[n]:,.0f} {currency}."
        for n, o in enumerate(table.options)
    )
    return Chart(figure, f"{title}. " + " ".join(words))


def _regret_title(table: RegretTable, worst: np.ndarray) -> str:
    least = f"Path {table.minimax.number} has the smallest worst regret, {worst.min() / 1000:,.0f} thousand {table.currency}"
    if worst.min() == 0:
        return f"Path {table.minimax.number} costs least in every state: nothing to regret"
    if table.minimax is table.least_expected:
        return f"{least}, and costs least on average"
    return f"{least}; path {table.least_expected.number} costs least on average"


def _regret_row(axes: Axes, row: int, option: object, values: list[float], highest: float) -> None:
    beside = {"transform": axes.get_yaxis_transform()}
    draw_mark(axes, -0.272, row + 0.5, option.number, "full", 12, **beside)
    axes.text(-0.247, row + 0.5, f"{option.number}", weight="bold", va="center", **beside)
    axes.text(-0.2, row + 0.5, shorten(option.path.replace("_", " "), 18), va="center", size=NOTE, **beside)
    for n, value in enumerate(values):
        left = n + 0.3 * (n >= len(values) - 2)
        shade = 1 - 0.75 * min(value / highest, 1)
        axes.barh(row + 0.5, 1, 0.96, left=left, facecolor=f"{shade:.3f}", edgecolor="white", zorder=2)
        colour = "white" if shade < 0.5 else INK
        bold = "bold" if n >= len(values) - 2 or value == 0 else "normal"
        look = {"ha": "center", "va": "center", "color": colour, "weight": bold, "zorder": 3}
        axes.text(left + 0.5, row + 0.5, f"{value / 1000:,.0f}", **look)


def _heads(axes: Axes, table: RegretTable, groups: list[tuple[str, ...]], gates: list[str]) -> None:
    """Name the columns: what is refused over its price levels, each with its share of the trials."""
    for group in groups:
        places = [n for n, state in enumerate(table.states) if state.refused == group]
        letters = " and ".join(_LETTERS[gates.index(gate)].upper() for gate in group)
        name = f"{letters} refused" if group else "none refused" if gates else "by price level"
        axes.plot([places[0] + 0.06, places[-1] + 0.94], [-1.62, -1.62], color=PALE, linewidth=2, clip_on=False)
        share = sum(table.shares[n] for n in places)
        axes.text((places[0] + places[-1] + 1) / 2, -1.72, f"{name}\n{share:.0%}", ha="center", va="bottom", size=NOTE,
                  linespacing=1.0)  # fmt: skip
    heads = [state.prices for state in table.states] + ["worst", "expected"]
    for n, head in enumerate(heads):
        left = n + 0.3 * (n >= len(heads) - 2)
        bold = "bold" if n >= len(heads) - 2 else "normal"
        axes.text(left + 0.5, -0.12, head, ha="center", va="bottom", rotation=60, size=NOTE, weight=bold)
