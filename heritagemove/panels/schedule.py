"""The schedule screen: the tasks of a path on their calendars, what is closed when, and how long the committee may wait."""

from __future__ import annotations

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.answers.task_tables import table_of_closed_seasons, table_of_decision, table_of_tasks
from heritagemove.compare.results import Comparison
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine
from heritagemove.panels.desk import brief, in_full
from heritagemove.panels.state import Desk

_WIDE = widgets.Layout(width="100%")


def show_schedule(desk: Desk, path: str | None = None) -> ScheduleScreen:
    """Return the schedule of one path at a time, and the chance meeting by meeting.

    Parameters
    ----------
    path : str, optional
        Id of the path to begin with; the choice when left out.
    """
    return ScheduleScreen(desk, path)


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
        shown = (self.sentence, self.bars, self.closed, self.tasks, self.orders, self.latest)
        super().__init__([self.path, self.alert, *shown])
        self.path.observe(lambda _: self.alert.doing(f"Path {self.path.label}", self._show_path), "value")
        self.follow()

    def follow(self) -> None:
        """Show the path that is chosen as the desk has it now."""
        comparison = self.state.comparison
        self.orders.value = self._picture("orders", charts.order_dates(comparison, self._figures.get("orders")))
        self.latest.value = markup.table_of(table_of_decision(comparison))
        self._show_path()

    def _show_path(self) -> None:
        comparison, path = self.state.comparison, self.path.value
        bars = self._picture("bars", charts.task_bars(comparison, path, self._figures.get("bars")))
        tasks, closed = markup.table_of(table_of_tasks(comparison, path)), _closed(comparison, path)
        self.bars.value, self.tasks.value, self.closed.value = bars, tasks, closed
        self.sentence.value = brief(comparison) + in_full(comparison)

    def _picture(self, name: str, chart: charts.Chart) -> str:
        self._figures[name] = chart.figure
        return markup.picture(chart)


def _closed(comparison: Comparison, path: str) -> str:
    """Return the closed seasons of the calendars that a path works on."""
    found = table_of_closed_seasons(comparison, path)
    if not found:
        return markup.note("None of its calendars has a closed season.")
    return markup.unfold(f"Closed seasons: {len(found)}", markup.table_of(found))
