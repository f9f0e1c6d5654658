"""What every chart shares: its sheet, its style, its dates and the two ways to save it."""

from __future__ import annotations

import datetime as dt
import functools
import io
import re
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import matplotlib
from matplotlib import dates as mdates
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove.charts.compact import compact
from heritagemove.charts.style_sheet import GREY, INK, NOTE, PALE, STYLE, TEXT, TITLE
from heritagemove.museum.museum import Museum
from heritagemove.units.words import show_date

#: Blanks at the beginning or the end of a text.
_BLANKS = re.compile(rb"(?<=\">) +(?=[^<\s])|(?<=[^>\s]) +(?=</text>)")
#: Text that stays text is measured in the first of these; the second is as wide, where a machine has not the first.
_FONT, _FONTS = b"'DejaVu Sans'", b"'DejaVu Sans', Verdana, sans-serif"


@dataclass(frozen=True)
class Chart:
    """One chart."""

    figure: Figure
    alt: str  # what it shows, for those who do not see it; it begins with the chart's title
    fixed: bool = False  # whether its parts stand at fixed inches: it is shown larger or smaller as a whole


def in_style(draw: Callable[..., Any]) -> Callable[..., Any]:
    """Run a drawing or saving function in the charts' own style."""

    @functools.wraps(draw)
    def styled(*args: Any, **kwargs: Any) -> Any:
        with matplotlib.rc_context(STYLE):
            return draw(*args, **kwargs)

    return styled


@in_style
def svg(chart: Chart, small: bool = True) -> bytes:
    """Return a chart as SVG: no script, the same bytes for the same results.

    Parameters
    ----------
    small : bool
        Make it compact with text as outlines, as a page wants it that must look the same everywhere. A screen that
        changes with each slider move is sooner without: its text stays text, which the browser sets.
    """
    out = io.BytesIO()
    with matplotlib.rc_context({"svg.fonttype": "path" if small else "none"}):
        chart.figure.savefig(out, format="svg", metadata={"Date": None, "Creator": "heritagemove"})
    if small:
        return compact(out.getvalue().decode()).encode()
    return _BLANKS.sub(_kept, out.getvalue().replace(_FONT, _FONTS))


def _kept(blanks: re.Match[bytes]) -> bytes:
    """Keep the blanks that part a label from its mark: a browser drops plain ones at the ends of a text."""
    return blanks[0].replace(b" ", b"\xc2\xa0")


@in_style
def png(chart: Chart, dpi: int = 100) -> bytes:
    """Return a chart as PNG.

    Parameters
    ----------
    dpi : int
        Resolution [pixel per inch].
    """
    out = io.BytesIO()
    chart.figure.savefig(out, format="png", dpi=dpi, metadata={"Software": "heritagemove"})
    return out.getvalue()


def sheet(figure: Figure | None, width: float, height: float, title: str) -> Figure:
    """Return an empty figure with its finding written on top; a given figure is wiped and used again.

    Parameters
    ----------
    width, height : float
        Size [inch].
    title : str
        The finding; at most two lines are shown.
    """
    figure = figure or Figure()
    for axes in figure.axes:  # taken off unwiped: wiping builds them anew, for nobody
        figure.delaxes(axes)
    figure.clear()
    figure.set_size_inches(width, height)
    lines = textwrap.wrap(title, int(width * 7.6), max_lines=2, placeholder=" …")
    figure.text(0.15 / width, 1 - 0.12 / height, "\n".join(lines), size=TITLE, weight="bold", va="top", linespacing=1.15)
    return figure


def footnote(figure: Figure, text: str, size: int = NOTE) -> None:
    """Write a note at the foot of a figure."""
    width, height = figure.get_size_inches()
    figure.text(0.15 / width, 0.1 / height, text, size=size, color=GREY, va="bottom")


def axes_in(figure: Figure, left: float, bottom: float, right: float, top: float) -> Axes:
    """Return axes with these margins to the edges of the figure [inch]."""
    width, height = figure.get_size_inches()
    return figure.add_axes((left / width, bottom / height, (width - left - right) / width, (height - bottom - top) / height))


def as_number(date: dt.date) -> float:
    """Return a date as an axis counts it [day]."""
    return float(mdates.date2num(date))


def day_as_number(museum: Museum, day: Any) -> Any:
    """Return a day number from the start, or an array of them, as an axis counts it [day]."""
    return as_number(museum.scenario.start) + day


def months(axes: Axes, first: float, last: float) -> None:
    """Put months on the time axis, few enough to be read, each January with its year."""
    axes.set_xlim(first, last)
    step = next((n for n in (1, 2, 3, 6) if (last - first) / 30.4 / n <= 11), 12)
    axes.xaxis.set_major_locator(mdates.MonthLocator(bymonth=range(1, 13, step)))
    ticks = [tick for tick in axes.xaxis.get_major_locator()() if first <= tick <= last]
    words = [show_date(mdates.num2date(tick).date()).split() for tick in ticks]
    years = [index == 0 or words[index - 1][2] != word[2] for index, word in enumerate(words)]
    labels = [f"{word[1]}\n{word[2]}" if year else word[1] for word, year in zip(words, years, strict=True)]
    axes.set_xticks(ticks, labels)


def deadline_and_scrap(axes: Axes, museum: Museum) -> None:
    """Draw the deadline and the forced scrap date, named above the axes, with hatching behind them."""
    scenario = museum.scenario
    deadline, scrap = as_number(scenario.deadline), as_number(scenario.forced_scrap)
    last = axes.get_xlim()[1]
    axes.axvspan(deadline, min(scrap, last), facecolor="none", edgecolor=PALE, hatch="//", linewidth=0, zorder=0)
    if last > scrap:
        axes.axvspan(scrap, last, facecolor="#f2f2f2", edgecolor="#bbbbbb", hatch="xx", linewidth=0, zorder=0)
    axes.axvline(deadline, color=INK, linewidth=2, zorder=1)
    axes.axvline(scrap, color=INK, linewidth=2, linestyle=(0, (2, 2)), zorder=1)
    over = {"xycoords": axes.get_xaxis_transform(), "textcoords": "offset points", "va": "bottom", "size": TEXT}
    axes.annotate(f"deadline {show_date(scenario.deadline)}", (deadline, 1.01), (-4, 0), ha="right", **over)
    axes.annotate(f"scrap {show_date(scenario.forced_scrap)}", (scrap, 1.01), (4, 0), ha="left", **over)


def shorten(text: str, longest: int) -> str:
    """Return a text cut between words to at most so many characters."""
    return text if len(text) <= longest else textwrap.shorten(text, longest, placeholder=" …")
