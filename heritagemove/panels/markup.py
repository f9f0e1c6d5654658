"""HTML of the panels. Every text from a table or an error is escaped here; colours come from the theme."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from html import escape
from typing import Any

from heritagemove import charts
from heritagemove.answers.budget_steps import budget_steps, table_of_budget
from heritagemove.answers.path_tables import table_of_paths
from heritagemove.answers.photographs import Photograph
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.files.spreadsheets import csv_of
from heritagemove.panels.glossed import GLOSS_STYLE, glossed
from heritagemove.units.described import Described, Heading, Marked, described, said
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_date

#: A cell of so few characters, such as a date, keeps to one line.
_SHORT = 14
#: A table of more columns than this may be wider than the page; with widths of its own it is at least so wide [pixel].
_MANY, _WIDEST, _LEAST = 7, 9, 1180
_CELL = "padding:4px 6px;text-align:left;vertical-align:top;border-bottom:1px solid #8886;white-space:normal"
#: Pixels an inch of a chart is shown with.
_DPI = 100


class Html(str):
    """Markup made here, out of texts that were escaped."""


def picture(chart: charts.Chart, grows: bool = False) -> str:
    """Return a chart as an image with its text alternative, on white in a dark theme too.

    Parameters
    ----------
    grows : bool, optional
        Whether it takes all the width there is.
    """
    data = base64.b64encode(charts.svg(chart, small=False)).decode("ascii")
    width, height = (round(inches * _DPI) for inches in chart.figure.get_size_inches())
    look = f"{'width' if grows else 'max-width'}:100%;height:auto;background:white"
    size = f'width="{width}" height="{height}" style="{look}"'
    return f'<img alt="{escape(chart.alt)}" {size} src="data:image/svg+xml;base64,{data}">'


def photograph(found: Photograph, widest: int = 320) -> str:
    """Return a photograph with what it shows below it; what is wrong with its file where it cannot be shown.

    Parameters
    ----------
    widest : int
        Its longest side on the screen [pixel]; it is kept twice as sharp.
    """
    try:
        small = found.small(2 * widest)
    except PlannerError as error:
        return note(str(error))
    data = base64.b64encode(small.jpeg).decode("ascii")
    share = min(widest / small.width, 1.0)
    size = f'width="{round(small.width * share)}" height="{round(small.height * share)}"'
    look = f"display:inline-block;vertical-align:top;margin:0 12px 8px 0;max-width:{widest}px;font-size:13px"
    said, fits = escape(found.caption), 'style="max-width:100%;height:auto"'
    image = f'<img alt="{said}" {size} {fits} src="data:image/jpeg;base64,{data}">'
    return f'<figure style="{look}">{image}<figcaption>{said}</figcaption></figure>'


def table(
    caption: str, headings: Sequence[Heading | str], rows: Iterable[Sequence[Any]], shares: Sequence[int] = ()
) -> Html:
    """Return a table of rows of plain values, each taken from its place.

    Parameters
    ----------
    shares : sequence of int, optional
        Widths of the columns [percent]; the browser's choice when left out.
    """
    told = described(caption, headings, rows)
    if shares:
        wide = (replace(each, width=share) for each, share in zip(told.headings, shares, strict=True))
        told = replace(told, headings=tuple(wide))
    return table_of(told)


def table_of(told: Described) -> Html:
    """Return a described table; from the second row on it can be saved for a spreadsheet."""
    widths = [heading.width for heading in told.headings]
    fixed = all(widths)
    columns = "".join(f'<col style="width:{width}%">' for width in widths) if fixed else ""
    seen: set[str] = set()
    head = "".join(
        f'<th scope="col" style="{_CELL}{_right(each)}">{glossed(str(each), seen)}</th>' for each in told.headings
    )
    body = "".join(f"<tr>{_row(told.headings, row, fixed)}</tr>" for row in told.rows)
    look = "border-collapse:collapse;color:inherit;font-size:14px;line-height:1.35;width:100%"
    wide = len(told.headings) > (_MANY if not fixed else _WIDEST)
    least = f";min-width:{_LEAST}px" if wide and fixed else ""
    name = escape(told.caption)
    # A wide table scrolls by itself, by keyboard too, and not the notebook with it.
    scroll = f'<div style="overflow-x:auto" role="region" tabindex="0" aria-label="{name}">' if wide else "<div>"
    return Html(
        f'{scroll}<table style="{look}{least};table-layout:{"fixed" if fixed else "auto"}">'
        f'<caption style="text-align:left;color:inherit;font-weight:bold;padding:6px 8px">{name}</caption>'
        f"<colgroup>{columns}</colgroup><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
        + (GLOSS_STYLE if seen else "")
        + (_link_to_save(told.caption, csv_of(told)) if len(told) > 1 else "")
    )


def _row(headings: Sequence[Heading], row: Sequence[Any], fixed: bool) -> str:
    """Return the cells of a row, of which the first heads it."""
    cells = []
    for heading, value in zip(headings, row, strict=True):
        short = not fixed and len(said(value, heading.kind)) <= _SHORT
        look = (_CELL.replace("white-space:normal", "white-space:nowrap") if short else _CELL) + _right(heading)
        tag, scope = ("td", "") if cells else ("th", ' scope="row"')
        weight = "" if cells else ";font-weight:normal"
        cells.append(f'<{tag}{scope} style="{look}{weight}">{_drawn(heading, value)}</{tag}>')
    return "".join(cells)


def _right(heading: Heading) -> str:
    """Return the look of a column of numbers, in which tens stand under tens."""
    return ";text-align:right;font-variant-numeric:tabular-nums" if heading.numeric else ""


def _drawn(heading: Heading, value: Any) -> str:
    """Return what a screen shows of a value: its words, with mark, bar, lines or weight where its column has them."""
    if isinstance(value, Html):
        raise TypeError(f"{heading.text}: a cell holds a plain value, which a file can hold too, and no markup")
    words = escape(said(value, heading.kind))
    if isinstance(value, Marked):
        return marked(*value) if value.title else numbered(value.number)
    if isinstance(value, tuple) and value:
        first, *rest = (_drawn(heading, part) for part in value)
        if all(isinstance(part, Marked) and not part.title for part in value):
            return " ".join([first, *rest])
        if heading.kind == "unfold" and rest:
            return first + unfold(f"and {len(rest)} more", "<br>".join(rest))
        return "<br>".join([first, *rest])
    if heading.kind == "share" and isinstance(value, int | float):
        look = "display:inline-block;height:12px;border:1px solid currentColor;background:#3f90da;vertical-align:middle"
        width = max(round(value * _BAR), 1)
        return f'<span style="white-space:nowrap"><span style="{look};width:{width}px"></span> {words}</span>'
    return f"<b>{words}</b>" if heading.kind == "strong" and words else words


#: Pixels of a bar that stands for certainty.
_BAR = 80


def _link_to_save(caption: str, text: str) -> str:
    """Return a link that saves a table's CSV for a spreadsheet."""
    name = re.sub(r"[^a-z0-9]+", "_", caption.lower()).strip("_")[:60] or "table"
    data = base64.b64encode(text.encode()).decode("ascii")
    label = escape(f"Save as CSV: {caption}" if caption else "Save as CSV")
    look = "font-size:13px;color:inherit;text-decoration:underline"
    return (
        f'<a class="hm-save" style="{look}" download="{name}.csv" aria-label="{label}" '
        f'href="data:text/csv;charset=utf-8;base64,{data}">Save as CSV</a>'
    )


def numbered(number: int) -> Html:
    """Return a path's mark and number."""
    return Html(f'<span style="white-space:nowrap">{charts.chip(number)} <b>{number}</b></span>')


def marked(number: int, title: str) -> Html:
    """Return a path's mark, number and title."""
    return Html(f"{numbered(number)} {escape(title)}")


def paths_table(comparison: Comparison) -> str:
    """Return the table of paths of a comparison, one row per path."""
    return table_of(table_of_paths(comparison)) + paragraph(f"{_ALL_IN} {comparison.spread_in_words}")


_ALL_IN = (
    "All in, refusals included: the choice decided at its meeting with all that it turns to; any other path begun at once, "
    "with one fallback."
)


def when_gone(result: PathResult) -> tuple[str, ...]:
    """Return the P80 dates on which a unit is off the site and arrives, in words."""
    if result.off_site is None:
        return ("never",)
    return show_date(result.off_site.p80), show_date(result.arrived.p80) if result.arrived else "no date of arrival"


def sentence(comparison: Comparison) -> str:
    """Return the decision in large type."""
    look = "font-size:20px;line-height:1.35;font-weight:600;margin:8px 0;white-space:normal"
    return f'<p role="status" style="{look}">{escape(comparison.sentence)}</p>'


def budget(comparison: Comparison) -> str:
    """Return the budget of the decision step by step; blank where there is none."""
    found = budget_steps(comparison)
    if found is None:
        return ""
    return table_of(table_of_budget(found)) + paragraph(found.in_words())


def alert(name: str, error: Exception, then: str) -> str:
    """Return an error line: which input, what is wrong with it, what holds now."""
    look = (
        "border:2px solid #c62828;border-radius:4px;padding:6px 10px;margin:4px 0;line-height:1.4;white-space:pre-wrap;"
        "box-sizing:border-box;max-width:100%;overflow-wrap:anywhere"
    )
    said = str(error) or type(error).__name__
    return f'<div role="alert" style="{look}"><b>✕ {escape(name)}</b>: {escape(said)}<br>{escape(then)}</div>'


def large(text: str) -> str:
    """Return a line in large type, larger still in the presentation."""
    look = "font-size:18px;line-height:1.35;font-weight:600;margin:6px 0;white-space:normal"
    return f'<p class="hm-large" style="{look}">{escape(text)}</p>'


def paragraph(text: str) -> str:
    """Return a text as a paragraph of its own."""
    return f'<p style="line-height:1.4;margin:6px 0;white-space:normal">{escape(text)}</p>'


def paragraphs(texts: Iterable[str]) -> str:
    """Return texts as paragraphs."""
    return "".join(map(paragraph, texts))


def note(text: str) -> str:
    """Return a small line of text."""
    return f'<span style="display:block;line-height:1.4;white-space:normal">{escape(text)}</span>'


def named_small(name: str, text: str) -> str:
    """Return the name of a slider, and what holds of it."""
    look = "display:block;font-size:12px;line-height:1.2;white-space:normal"
    return f'<span style="{look}"><b>{escape(name)}</b> {escape(text)}</span>'


def unfold(summary: str, content: str) -> Html:
    """Return markup that is shown when its summary, a text, is chosen."""
    title = f'<summary style="cursor:pointer;font-weight:bold;padding:4px 8px">{escape(summary)}</summary>'
    return Html(f'<details style="line-height:1.4;white-space:normal">{title}{content}</details>')


def cautions_table(caption: str, rows: Iterable[Any]) -> Described:
    """Return cautions with the rules behind them."""
    return described(
        caption,
        (
            Heading("Topic", lambda row: row.topic),
            Heading("Caution", lambda row: row.text),
            Heading("Rule behind it", lambda row: row.source),
        ),
        rows,
    )
