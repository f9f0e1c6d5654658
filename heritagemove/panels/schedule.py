"""The schedule screen: the tasks of a path on their calendars, what is closed when, and how long the committee may wait."""

from __future__ import annotations

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.charts.schedule import closed_seasons, task_spans
from heritagemove.compare.results import Comparison
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.museum.museum import Museum
from heritagemove.panels import desk, markup
from heritagemove.panels.controls import StatusLine, UnitPicker
from heritagemove.panels.state import Desk, state_of
from heritagemove.units.words import show_chance, show_date

_WIDE = widgets.Layout(width="100%")


def show_schedule(source: Desk | Museum, path: str | None = None) -> ScheduleScreen:
    """Return the schedule of one path at a time, and the chance meeting by meeting.

    Parameters
    ----------
    path : str, optional
        Id of the path to begin with; the choice when left out.
    """
    return ScheduleScreen(state_of(source), path)


class ScheduleScreen(widgets.VBox):
    """A path's bars and tasks, the chance meeting by meeting, and the decision in a table."""

    def __init__(self, state: Desk, path: str | None = None):
        self.state, self._figures = state, {}
        museum = state.base
        ordered = sorted(museum.paths, key=lambda row: row.number)
        first = museum.path(path).path if path else state.comparison.choice or ordered[0].path
        wide = {"style": {"description_width": "6em"}, "layout": widgets.Layout(width="min(46em, 100%)")}
        named = [(f"{row.number}  {row.title}", row.path) for row in ordered]
        self.path = widgets.Dropdown(options=named, value=first, description="Path", **wide)
        self.alert = StatusLine()
        self.sentence, self.closed, self.tasks, self.latest = (widgets.HTML(layout=_WIDE) for _ in range(4))
        self.bars = widgets.HTML(layout=widgets.Layout(width="900px", max_width="100%", min_height="560px"))
        self.orders = widgets.HTML(layout=widgets.Layout(width="900px", max_width="100%", min_height="560px"))
        cautions = widgets.HTML(markup.cautions(museum), layout=_WIDE)
        shown = (self.sentence, self.bars, self.closed, self.tasks, self.orders, self.latest, cautions)
        super().__init__([UnitPicker(state), self.path, self.alert, *shown])
        self.path.observe(lambda _: self.alert.doing(f"Path {self.path.label}", self._show_path), "value")
        state.watch(
            self._show, ("vehicle", "settings", "weight_tolerance", "start_moved", "deadline_moved", "estimating_error")
        )
        self._show()

    def _show(self) -> None:
        comparison = self.state.comparison
        self.orders.value = self._picture("orders", charts.order_dates(comparison, self._figures.get("orders")))
        self.latest.value = latest_table(comparison)
        self._show_path()

    def _show_path(self) -> None:
        comparison, path = self.state.comparison, self.path.value
        bars = self._picture("bars", charts.task_bars(comparison, path, self._figures.get("bars")))
        tasks, closed = tasks_table(comparison, path), closed_table(comparison, path)
        self.bars.value, self.tasks.value, self.closed.value = bars, tasks, closed
        self.sentence.value = desk.brief(comparison) + desk.in_full(comparison)

    def _picture(self, name: str, chart: charts.Chart) -> str:
        self._figures[name] = chart.figure
        return markup.picture(chart)


def tasks_table(comparison: Comparison, path: str) -> str:
    """Return the tasks of a path in the order of their beginning, with dates and how often each sets the date."""
    result = comparison.path(path)
    rows = [
        (
            comparison.museum.titled(span.task), span.task.calendar.replace("_", " "), span.task.who,
            show_date(span.begins), show_date(span.ends), show_date(span.ends_p80), show_chance(span.share),
        )
        for span in task_spans(comparison, path)
    ]  # fmt: skip
    headings = ("Task", "Calendar", "Who", "Begins at P50", "Done at P50", "Done at P80", "How often it sets the date")
    widths = (24, 10, 14, 13, 13, 13, 13)
    return markup.table(f"Tasks of path {result.number}, {result.title}", headings, rows, widths)


def closed_table(comparison: Comparison, path: str) -> str:
    """Return the closed seasons of the calendars that a path works on."""
    calendars = sorted({task.calendar for task in comparison.museum.of_path("tasks", path)})
    rows = [
        (name.replace("_", " "), show_date(first), show_date(last), reason)
        for name in calendars
        for first, last, reason in closed_seasons(comparison, path, name)
    ]
    table = markup.table("Closed seasons of the calendars this path works on", ("Calendar", "From", "To", "Why"), rows)
    none = markup.note("None of its calendars has a closed season.")
    return markup.unfold(f"Closed seasons: {len(rows)}", table) if rows else none


def latest_table(comparison: Comparison) -> str:
    """Return the decision in four lines: the meeting, the chance then, the answer that decides, and what follows a no."""
    museum, told = comparison.museum, comparison.decision
    caption = f"The decision, to be off the site by {show_date(museum.scenario.deadline)}"
    if comparison.choice is None:
        return markup.table(caption, ("What", "Answer"), [("Decision", told.in_short)])
    choice, hinge = comparison.path(comparison.choice), told.hinge
    turns_to = comparison.path(hinge.turns_to) if hinge and hinge.turns_to else None
    if hinge is None:
        answer, then = "nothing of it may be refused", "no other path is needed"
    else:
        days = f", {show_date(hinge.answer[0])} to {show_date(hinge.answer[2])}" if hinge.answer else ""
        answer = hinge.title + days
        then = markup.marked(turns_to.number, turns_to.title) if turns_to else "no other path rescues it: decline and record"
    rows = [
        ("Path", markup.marked(choice.number, choice.title)),
        ("Decide at the meeting of, at the latest", meeting_in_words(comparison)),
        ("Chance then, all in", show_chance(told.chance_if_decided_then)),
        ("Chance if decided at the first meeting that can", show_chance(told.chance_at_once)),
        ("Answer that costs most if it is a no, and when it is known", answer),
        ("Last day to wait for that answer", show_date(told.switch_by) if told.switch_by else told.switch_why),
        ("If it is refused, turn at once to", then),
    ]
    return markup.table(caption, ("What", "Answer"), rows)
