"""The schedule screen: the tasks of a path on their calendars, what is closed when, and how long the committee may wait."""

from __future__ import annotations

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.charts.schedule import closed_seasons, task_spans
from heritagemove.compare import decision
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.museum.museum import Museum
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine, UnitPicker
from heritagemove.panels.state import State, state_of
from heritagemove.units.words import show_chance, show_date

_WIDE = widgets.Layout(width="100%")


def show_schedule(source: State | Museum, path: str | None = None) -> ScheduleScreen:
    """Return the schedule of one path at a time, and the order dates of all.

    Parameters
    ----------
    path : str, optional
        Id of the path to begin with; the choice when left out.
    """
    return ScheduleScreen(state_of(source), path)


class ScheduleScreen(widgets.VBox):
    """A path's bars and tasks, and the order dates of every path that could be chosen."""

    def __init__(self, state: State, path: str | None = None):
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
        self.sentence.value = markup.sentence(comparison)

    def _picture(self, name: str, chart: charts.Chart) -> str:
        self._figures[name] = chart.figure
        return markup.picture(chart)


def tasks_table(comparison: Comparison, path: str) -> str:
    """Return the tasks of a path in the order of their beginning, with dates and how often each sets the date."""
    result = comparison.path(path)
    rows = [
        (
            span.task.title, span.task.calendar.replace("_", " "), span.task.who,
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
    """Return the last days on which each path that could be chosen may be ordered and begun."""
    museum = comparison.museum
    rows = [
        (
            markup.marked(result.number, result.title),
            _commit(museum, result, comparison),
            _day(decision.latest_start(museum, result, comparison.samples)),
            show_chance(result.chance_by_deadline),
        )
        for result in decision.able(comparison.paths)
    ]
    confidence = f"{museum.scenario.simulation.confidence:.0%}"
    caption = f"Last days that keep the deadline, {show_date(museum.scenario.deadline)}, at {confidence}"
    headings = ("Path", "Committee commits by", "First task begins by", "Chance if nobody waits")
    return markup.table(caption, headings, rows)


def _commit(museum: Museum, result: PathResult, comparison: Comparison) -> str:
    done = decision.committed_on(museum, result)
    return f"committed on {show_date(done)}" if done else _day(decision.latest_decision(museum, result, comparison.samples))


def _day(date: object) -> str:
    return "not in time" if date is None else show_date(date)
