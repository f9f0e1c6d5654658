"""A move as it happens, on screen: the forecast again, what is not covered, papers, progress, closing, and files."""

from __future__ import annotations

import base64
from collections.abc import Callable, Mapping, Sequence
from html import escape
from typing import Any

import pandas as pd

from heritagemove.answers.money_tables import table_of_costs
from heritagemove.answers.path_tables import STATUS_WORDS
from heritagemove.charts import tracking as drawn
from heritagemove.charts.drawing import Chart, png, svg
from heritagemove.following.bids import table_of_bids
from heritagemove.following.close_out import close_out, close_out_table, suggestions, suggestions_table
from heritagemove.following.papers import covered_twice, papers, papers_table, uncovered
from heritagemove.following.tracking import Forecast, compare_now, contingency_left, fan_table, trigger, value_earned
from heritagemove.hand_over import calendar_file, workbook
from heritagemove.hand_over.hand_outs import render_hand_out, sheets_of
from heritagemove.panels import markup
from heritagemove.panels.markup import paragraph
from heritagemove.panels.state import Desk
from heritagemove.units.described import Described, Heading, Marked
from heritagemove.units.words import show_date

_SAID = "font-size:18px;line-height:1.4;font-weight:600"


NOT_BEGUN = (
    "No task of this unit is recorded yet, so there is nothing to follow. The first row of progress.csv, here or in a "
    "spreadsheet, begins it."
)


def show_forecast(desk: Desk) -> str:
    """Show the cost at completion at each status date."""
    return _followed(desk, _forecast)


def show_coverage(desk: Desk) -> str:
    """Show the lines that no quote covers, those that two cover, and what every line stands on."""
    return _followed(desk, _coverage)


def show_papers(desk: Desk) -> str:
    """Show quotes, letters and permits by their last day."""
    return _followed(desk, _papers_screen)


def show_progress(desk: Desk) -> str:
    """Show the tasks as they happened, the chance by the deadline since, and which answer decides."""
    return _followed(desk, _progress)


def show_contingency_left(desk: Desk) -> str:
    """Show the contingency that is left against the risks still open, and the earned value as a cross-check."""
    return _followed(desk, _contingency_left)


def show_close_out(desk: Desk) -> str:
    """Show estimate against actual by line, and the price ranges that the invoices suggest."""
    return _followed(desk, _close_out)


def show_files(desk: Desk) -> str:
    """Show links to the files that others expect: workbook, calendar, each table as CSV, each chart as PNG and SVG."""
    return _followed(desk, _files)


def _followed(desk: Desk, content: Callable[[Sequence[Forecast]], str]) -> str:
    return content(desk.moves) if desk.moves else paragraph(NOT_BEGUN)


def _forecast(forecasts: Sequence[Forecast]) -> str:
    last = forecasts[-1]
    return (
        markup.picture(drawn.cost_fan(forecasts))
        + _table("Forecast at each status date", fan_table(forecasts))
        + markup.paragraphs(last.notes)
        + markup.unfold("What each line stands on", _table("Cost lines", last.table()))
    )


def _coverage(forecasts: Sequence[Forecast]) -> str:
    last = forecasts[-1]
    missing, twice = uncovered(last.positions), covered_twice(last.positions)
    said = "; ".join(f"{entry.line.title}: {', '.join(entry.quotes)} ({entry.counted} counts)" for entry in twice)
    rule = (
        "A firm quote in force fixes its lines and is spread over them by their mean costs. Of two, an accepted one counts "
        "first, then the later one. A budgetary quote moves a range without narrowing it."
    )
    return (
        markup.picture(drawn.open_lines(last.positions, missing, currency=last.museum.scenario.currency))
        + paragraph(f"Covered by two quotes in force: {said or 'none'}.")
        + _table("What each line stands on", last.table())
        + paragraph(rule)
        + markup.table_of(table_of_bids(last.plan, last.path))
    )


def _papers_screen(forecasts: Sequence[Forecast]) -> str:
    last = forecasts[-1]
    found = _papers(last)
    drawn_papers = drawn.papers_by_date(last.plan.museum, last, found)
    return markup.picture(drawn_papers) + _table("Papers by their last day", papers_table(found))


def _progress(forecasts: Sequence[Forecast]) -> str:
    last = forecasts[-1]
    now = compare_now(last)
    rows = [
        (
            Marked(result.number, result.title + (" (followed)" if result.path == last.path else "")),
            STATUS_WORDS[result.status],
            markup.when_gone(result),
            result.chance_by_deadline if result.off_site else "none",
            result.chance_with_fallback if result.branch else "none",
        )
        for result in now.paths
    ]
    headings = ("Path", "Status", "Off site, arrives at P80", Heading("Chance by the deadline", kind="chance"),
                Heading("With fallback", kind="chance"))
    return (
        markup.picture(drawn.chance_over_time(forecasts))
        + f'<p role="status" style="{_SAID}">{escape(trigger(last).in_words(last.plan))}</p>'
        + _table("Tasks that have begun", _tasks(last))
        + markup.table(f"If a path were begun the day after {show_date(last.on)}", headings, rows)
    )


def _tasks(forecast: Forecast) -> pd.DataFrame:
    titles = {row.task: row.title for row in forecast.museum.of_path("tasks", forecast.path)}
    return pd.DataFrame(
        {
            "task": titles[task],
            "began": row.started,
            "finished": row.finished or "in progress",
            "outcome": row.outcome or "",
            "note": row.note or "",
        }
        for task, row in forecast.known.items()
    )


def _contingency_left(forecasts: Sequence[Forecast]) -> str:
    last = forecasts[-1]
    rows = [row for row in map(contingency_left, forecasts) if row]
    if not rows:
        return paragraph("The cost of this path is unknown, and so is its contingency.")
    currency = last.museum.scenario.currency
    risks = [(title, usd) for title, usd in rows[-1].open_risks]
    earned = value_earned(last)
    index = "unknown" if earned.cost_index is None else f"{earned.cost_index:.2f}"
    completion = "unknown" if earned.at_completion_usd is None else f"{earned.at_completion_usd:,.0f} {currency}"
    facts = [
        (f"Budget at completion, means of the lines [{currency}]", f"{earned.budget_usd:,.0f}"),
        (f"Planned by now [{currency}]", f"{earned.planned_usd:,.0f}"),
        (f"Earned: lines whose task is finished [{currency}]", f"{earned.earned_usd:,.0f}"),
        (f"Invoiced [{currency}]", f"{earned.actual_usd:,.0f}"),
        ("Cost performance index", index),
        ("At completion if the rest goes as the past did", completion),
        ("At completion if the rest costs as budgeted", f"{earned.at_completion_as_budgeted_usd:,.0f} {currency}"),
    ]
    says = paragraph("Earned value knows no ranges and no risks, and invoices arrive after the work.")
    cross_check = markup.table("Earned value", ("What", "Amount"), facts) + says
    return (
        markup.picture(drawn.contingency_against_risks(rows, currency=currency))
        + markup.table("Risks still open", ("Risk", f"Mean cost [{currency}]"), risks)
        + markup.unfold("Earned value, a cross-check", cross_check)
    )


def _close_out(forecasts: Sequence[Forecast]) -> str:
    last = forecasts[-1]
    rows = close_out(last)
    return (
        markup.picture(drawn.estimate_against_actual(rows, currency=last.museum.scenario.currency))
        + _table("Estimate against actual", close_out_table(rows, last.museum.scenario.currency))
        + _table("Prices to carry over into rates.csv", suggestions_table(suggestions(last)))
        + paragraph("A price outside a range widens it, and no price narrows one. Nothing is changed automatically.")
    )


def show_changes(desk: Desk) -> str:
    """Show who changed which value, when and why."""
    rows = [
        (row.changed.isoformat(), row.who, f"{row.table} row {row.row}, {row.column or 'the whole row'}",
         row.was or "blank", row.now or "blank", row.why)
        for row in desk.base.changes
    ]  # fmt: skip
    return markup.table("Changes", ("When", "Who", "Where", "From", "To", "Why"), rows)


def _files(forecasts: Sequence[Forecast]) -> str:
    last = forecasts[-1]
    frames, plan = tracking_tables(forecasts), last.plan
    calendar = calendar_file.entries(plan, last.path, last.result, _papers(last))
    links = [
        _link("everything.xlsx", workbook.book_bytes(plan, frames)),
        _link("schedule.ics", calendar_file.calendar_bytes(plan, calendar)),
        *(_link(f"{name}.html", render_hand_out(sheet).encode()) for name, sheet in sheets_of(plan, last.path).items()),
        *(_link(f"{_file(name)}.csv", workbook.table_text(frame).encode())
          for name, frame in (workbook.comparison_tables(plan) | frames).items()),
        *(_link(f"{name}.{ending}", make(chart)) for name, chart in _charts(forecasts).items()
          for ending, make in (("png", png), ("svg", svg))),
    ]  # fmt: skip
    return f"<p>Files to hand over:</p><ul>{''.join(f'<li>{link}</li>' for link in links)}</ul>"


def tracking_tables(forecasts: Sequence[Forecast]) -> Mapping[str, pd.DataFrame | Described]:
    """Return every table of these screens by its name, for a workbook."""
    last = forecasts[-1]
    found = {
        "Forecast": fan_table(forecasts),
        "Cost now": table_of_costs(last.result),
        "Lines now": last.table(),
        "Papers": papers_table(_papers(last)),
        "Progress": _tasks(last),
        "Close-out": close_out_table(close_out(last), last.museum.scenario.currency),
        "Suggested prices": suggestions_table(suggestions(last)),
    }
    return {name: frame for name, frame in found.items() if len(frame)}


def _charts(forecasts: Sequence[Forecast]) -> Mapping[str, Chart]:
    last = forecasts[-1]
    return {
        "cost_fan": drawn.cost_fan(forecasts),
        "chance": drawn.chance_over_time(forecasts),
        "open_lines": drawn.open_lines(last.positions, uncovered(last.positions), currency=last.museum.scenario.currency),
        "papers": drawn.papers_by_date(last.plan.museum, last, _papers(last)),
        "close_out": drawn.estimate_against_actual(close_out(last), currency=last.museum.scenario.currency),
    }


def _papers(forecast: Forecast) -> tuple[Any, ...]:
    return papers(forecast.plan.museum, forecast.plan.vehicle, forecast.path, forecast.known, forecast.on)


def _link(name: str, content: bytes) -> str:
    data = base64.b64encode(content).decode("ascii")
    return f'<a download="{escape(name)}" href="data:application/octet-stream;base64,{data}">{escape(name)}</a>'


def _file(name: str) -> str:
    return name.lower().replace(" ", "_").replace("-", "_")


def _table(caption: str, frame: pd.DataFrame) -> str:
    if not len(frame):
        return paragraph(f"{caption}: none.")
    headings = [Heading(name, kind="chance" if "share" in name or "chance" in name else "text") for name in frame.columns]
    rows = [["–" if value is None or value != value else value for value in row] for row in frame.itertuples(index=False)]
    return markup.table(caption, headings, rows)
