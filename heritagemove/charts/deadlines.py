"""Chart of the chance of every path of every unit to be off the site by a date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from heritagemove.answers.deadlines import chances_by
from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet, shorten
from heritagemove.charts.marks import short_name
from heritagemove.charts.style_sheet import BLUES, EMPHASIS, HALO, INK, NOTE, SHEET, TEXT
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.units.words import show_chance, show_date

#: Letter of a cell without a number, and what it means.
_LETTERS = {"B": "blocked", "U": "unknown", "S": "stays on the site or saves nothing"}


@in_style
def deadline_table(
    comparisons: Sequence[Comparison], date: dt.date, with_fallback: bool = False, figure: Figure | None = None
) -> Chart:
    """Draw the chance of every path of every unit to be off the site by a date, a number or a letter in each cell.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One per unit, at least one.
    with_fallback : bool
        Whether refusals are played out.
    """
    chances, confidence = chances_by(comparisons, date, with_fallback), comparisons[0].museum.scenario.simulation.confidence
    cells = [[_cell(entry, r, chances.loc[entry.vehicle, r.path]) for r in entry.paths] for entry in comparisons]
    sure = sum(any(r.saves and chance is not None and chance >= confidence for r, chance in _chances(e, chances))
               for e in comparisons)  # fmt: skip
    title = f"Off the site by {show_date(date)}: {sure} of {len(comparisons)} units have a path that saves them at "
    title += f"{confidence:.0%} or more, {'refusals played out' if with_fallback else 'gates met'}"
    paths = comparisons[0].paths
    figure = sheet(figure, SHEET, 2.8 + 0.5 * len(comparisons), title)
    axes = axes_in(figure, 2.4, 0.8, 0.75, 2.0)
    axes.set(xlim=(-0.5, len(paths) - 0.5), ylim=(len(comparisons) - 0.5, -0.5), xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    for column, path in enumerate(paths):
        axes.text(column - 0.12, -0.62, f"{path.number} {short_name(path)}", rotation=42, ha="left", va="bottom", size=NOTE)
    for row, (entry, words) in enumerate(zip(comparisons, cells, strict=True)):
        name = shorten(entry.museum.vehicle(entry.vehicle).name, 25)
        axes.text(-0.6, row, name, ha="right", va="center", size=TEXT)
        for column, (word, chance) in enumerate(words):
            _draw_cell(axes, column, row, word, chance, confidence)
    legend = "; ".join(f"{letter} {word}" for letter, word in _LETTERS.items())
    footnote(figure, f"Numbers: chance [%], darker is likelier, thick frame: {confidence:.0%} or more.\n{legend}.\n"
          "Each unit moved alone, as planned for the museum's own deadline.")  # fmt: skip
    told = " ".join(_row_in_words(entry, words) for entry, words in zip(comparisons, cells, strict=True))
    return Chart(figure, f"{title}. {told} {legend}.")


def _row_in_words(entry: Comparison, words: Sequence[tuple[str, float | None]]) -> str:
    cells = (f"path {r.number} {word}" for r, (word, _) in zip(entry.paths, words, strict=True))
    return f"{entry.museum.vehicle(entry.vehicle).name}: {', '.join(cells)}."


def _chances(entry: Comparison, chances) -> list[tuple[PathResult, float | None]]:
    return [(r, _cell(entry, r, chances.loc[entry.vehicle, r.path])[1]) for r in entry.paths]


def _cell(entry: Comparison, result: PathResult, chance: float) -> tuple[str, float | None]:
    if result.status in ("blocked", "unknown"):
        return {"blocked": "B", "unknown": "U"}[result.status], None
    return ("S", None) if np.isnan(chance) else (show_chance(chance).removesuffix("%"), float(chance))


def _draw_cell(axes, column: int, row: int, word: str, chance: float | None, confidence: float) -> None:
    sure = chance is not None and chance >= confidence
    face, hatch = (BLUES(0.75 * chance), "") if chance is not None else ("#f2f2f2", "//")
    box = {"facecolor": face, "hatch": hatch, "edgecolor": INK if sure else "#bbbbbb", "linewidth": 2.2 if sure else 0.8}
    axes.add_patch(Rectangle((column - 0.45, row - 0.42), 0.9, 0.84, zorder=2 + sure, **box))
    axes.text(column, row, word, ha="center", va="center", size=EMPHASIS, weight="bold" if sure else "normal", zorder=5,
              path_effects=HALO if chance is None else None)  # fmt: skip
