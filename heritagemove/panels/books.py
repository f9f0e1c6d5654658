"""The books kept on screen: what happened to a task, a value amended, a row added, who and why; then the forecast."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import escape
from pathlib import Path

import ipywidgets as widgets

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.dry_run import stopped_by
from heritagemove.editing.adding import ADDED, add_rows, observe, rows_for
from heritagemove.editing.amending import LOG, Amended, amend, record_task, take_back
from heritagemove.files.saving import fingerprint
from heritagemove.files.tables import csv_lines
from heritagemove.files.xlsx_tables import is_workbook
from heritagemove.following.tracking import Forecast, reforecast
from heritagemove.museum.museum import Museum, load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.panels import markup
from heritagemove.panels.adding_rows import RowForm
from heritagemove.panels.controls import StatusLine, button
from heritagemove.panels.state import Desk
from heritagemove.panels.tracking import NOT_BEGUN
from heritagemove.trials import simulation
from heritagemove.units.words import show_chance

_WIDE = widgets.Layout(width="100%")
_LOOK = {"style": {"description_width": "9em"}, "layout": widgets.Layout(width="34em")}
_KEPT = "Nothing was written."
_DAY = "a date such as 2027-06-30"
#: Cells of progress.csv that the form asks for: label and what to type.
_CELLS = {
    "started": ("Began on", _DAY),
    "finished": ("Finished on", f"{_DAY}; blank while it goes on"),
    "holds_until": ("Valid until", f"{_DAY}; last day of the letter or permit it brought, if any"),
    "note": ("Note", ""),
}


def keep_books(desk: Desk) -> Books | str:
    """Return the form that records a task or amends a value in the museum's tables."""
    if is_workbook(Path(desk.base.folder)):
        return markup.note(f"{desk.base.folder} is a workbook: amend it in the spreadsheet, then run the notebook again.")
    return Books(desk.moves[-1]) if desk.moves else markup.paragraph(NOT_BEGUN)


class Books(widgets.VBox):
    """Form of one followed path."""

    def __init__(self, forecast: Forecast):
        self.forecast, self.folder = forecast, Path(forecast.plan.base.folder)
        self.who = widgets.Text(description="Who", placeholder="role, such as treasurer", **_LOOK)
        self.why = widgets.Text(description="Why", placeholder="such as: invoice of the wheel shop", **_LOOK)
        self.task = widgets.Dropdown(description="Task", **_LOOK)
        self.cells = {
            name: widgets.Text(description=label, placeholder=hint, **_LOOK) for name, (label, hint) in _CELLS.items()
        }
        outcomes = [("met, or no gate depends on it", ""), ("met", "met"), ("refused", "refused")]
        self.outcome = widgets.Dropdown(description="Outcome", options=outcomes, **_LOOK)
        self.table = widgets.Dropdown(description="Table", options=[f for f in MUSEUM_TABLES if f != LOG], **_LOOK)
        self.row = widgets.Dropdown(description="Row", **_LOOK)
        self.column = widgets.Dropdown(description="Column", **_LOOK)
        self.text = widgets.Text(description="New value", **_LOOK)
        self.record = button("Record the task", "check", "Write it into progress.csv", self._record)
        self.amend = button("Amend the value", "pencil", "Write it into the table", self._amend)
        self.adding = RowForm(forecast.plan.base, self._given(), self._add, self._undo)
        self.done: list[Amended] = []  # what this form wrote, the last at the end
        self.again = button("Read the tables again", "refresh", "Load what others have saved", self._read_again)
        for pressed in (self.record, self.amend, self.again):
            pressed.layout.width = "16em"
        self.alert, self.said = StatusLine(), widgets.HTML(layout=_WIDE)
        self.read: dict[str, str | None] = {}
        self._lines: list[list[str]] = []
        self._read()
        super().__init__([
            self.who, self.why,
            _heading("What happened to a task"), self.task, *self.cells.values(), self.outcome, self.record,
            _heading("Amend one value"), self.table, self.row, self.column, self.text, self.amend,
            _heading("Add a row"), self.adding,
            self.alert, self.said, self.again,
        ])  # fmt: skip
        for chooser, follow in ((self.task, self._fill_task), (self.table, self._fill_rows), (self.row, self._fill_text)):
            chooser.observe(lambda _, follow=follow: follow(), "value")
        self.column.observe(lambda _: self._fill_text(), "value")

    @property
    def museum(self) -> Museum:
        """The museum as it was last read."""
        return self.forecast.plan.base

    def _read(self) -> None:
        """Remember every table as this window reads it, and fill the form from it."""
        self.read = {file: fingerprint(self.folder / file) for file in MUSEUM_TABLES}
        begun = {row.task: row for row in self._records()}
        state = {task: "finished" if row.finished else "begun" for task, row in begun.items()}
        tasks = self.museum.of_path("tasks", self.forecast.path)
        at = self.task.value
        self.task.options = [(f"{row.title} ({state.get(row.task, 'not begun')})", row.task) for row in tasks]
        names = [row.task for row in tasks]
        self.task.value = at if at in names else next(iter(names), None)
        self._fill_task()
        self._fill_rows()

    def _records(self) -> list:
        mine = self.forecast.plan.vehicle, self.forecast.path
        return [row for row in self.museum.progress if (row.vehicle, row.path) == mine]

    def _fill_task(self) -> None:
        row = next((row for row in self._records() if row.task == self.task.value), None)
        for name, field in self.cells.items():
            held = getattr(row, name, None)
            field.value = "" if held is None else str(held)
        self.outcome.value = (row and row.outcome) or ""

    def _fill_rows(self) -> None:
        """List the rows of the table, each with its number in the spreadsheet's margin and how it begins."""
        at = self.row.value, self.column.value
        self._lines = csv_lines(self.folder / self.table.value)[0]
        heading = self._lines[0] if self._lines else []
        numbered = [(number, line) for number, line in enumerate(self._lines, start=1) if number > 1 and any(line)]
        self.row.options = [(f"{number}: {', '.join(filter(None, line[:4]))}"[:70], number) for number, line in numbered]
        self.column.options = heading
        for chooser, held, allowed in zip((self.row, self.column), at, ([n for n, _ in numbered], heading), strict=True):
            chooser.value = held if held in allowed else next(iter(allowed), None)
        self._fill_text()

    def _fill_text(self) -> None:
        if self.row.value is None or self.column.value is None:
            self.text.value = ""
            return
        line, place = self._lines[self.row.value - 1], self._lines[0].index(self.column.value)
        self.text.value = line[place] if place < len(line) else ""

    def _record(self) -> None:
        values: Mapping[str, str] = {name: field.value.strip() for name, field in self.cells.items()}
        values = {**values, "outcome": self.outcome.value}
        task, file = self.task.value, "progress.csv"
        self._write(
            f"Record of {task}",
            lambda: record_task(
                self.folder, self.forecast.plan.vehicle, self.forecast.path, task, values,
                self.who.value, self.why.value, expected=self.read[file], tried=stopped_by,
            ),
            lambda done: f"{task}: written into {file}; also in {LOG}.",
        )  # fmt: skip

    def _amend(self) -> None:
        file, row, column = self.table.value, self.row.value, self.column.value
        if row is None:
            self.alert.value = markup.alert("Amend", ValueError(f"{file} has no row yet: add one below"), _KEPT)
            return
        self._write(
            f"{file} row {row}, {column}",
            lambda: amend(
                self.folder, file, row, column, self.text.value.strip(), self.who.value, self.why.value,
                expected=self.read[file], tried=stopped_by,
            ),
            lambda done: f"{file} row {row}, {column}: {done.was or 'blank'} is now {done.now or 'blank'}; also in {LOG}.",
        )  # fmt: skip

    def _given(self) -> dict[str, str]:
        """Return what is known of the next row: the unit and path that are followed, and the day."""
        day = self.forecast.on.isoformat()
        known = {"vehicle": self.forecast.plan.vehicle, "path": self.forecast.path, "place": "vehicle"}
        return known | dict.fromkeys(("quoted", "invoiced", "observed"), day)

    def _add(self) -> None:
        form, table, who, why = self.adding, self.adding.table.value, self.who.value, self.why.value

        def add() -> Amended:
            if table == "survey.csv":
                return observe(self.folder, form.cells(), who, why, form.picture(), self.read[table], tried=stopped_by)
            rows = rows_for(table, form.cells())
            expected = {file: self.read[file] for file in rows}
            return add_rows(self.folder, rows, who, why, expected, tried=stopped_by)

        self._write(ADDED[table][0], add, lambda done: f"{ADDED[table][0]} added to {', '.join(done.cells)}; also in {LOG}.")

    def _undo(self) -> None:
        def undo() -> Amended:
            undone = take_back(self.folder, self.done[-1], self.who.value, self.why.value, tried=stopped_by)
            del self.done[-1]
            return undone

        self._write("Undo", undo, lambda done: f"Taken back in {', '.join(done.cells)}; also in {LOG}.", kept=False)

    def _write(self, name: str, write: Callable[[], Amended], say: Callable[[Amended], str], kept: bool = True) -> None:
        written: list[Amended] = []

        def work() -> None:
            written.append(write())
            self.done += written if kept else []
            self._take(written[0].museum, say(written[0]))

        self.alert.doing(name, work, _KEPT)
        if written and self.alert.value:  # saved, though what follows from it could not be shown
            self.alert.value = self.alert.value.replace(escape(_KEPT), "It was written; the forecast could not be made.")

    def _take(self, museum: Museum, said: str) -> None:
        """Take up the museum as saved: the forecast again, beside the one before."""
        before, plan = self.forecast, self.forecast.plan
        samples = simulation.draw(museum, previous=plan.samples)
        planned = compare_paths(museum, plan.vehicle, plan.settings, samples)
        self.forecast = reforecast(planned, before.path, before.on)
        self._read()
        self.adding.take(museum, self._given())
        self.adding.undo.disabled = not self.done
        rows = [
            (name, *(_shown(forecast, name) for forecast in (before, self.forecast)))
            for name in ("Cost at P50", "Cost at P80", "Chance by the deadline")
        ]
        table = markup.table(f"Forecast of {before.on.isoformat()}", ("", "Before", "Now"), rows)
        after = "Choose Run > Run All Cells to see it in every screen of this notebook."
        self.said.value = f'<div role="status"><p>{escape(said)} {escape(after)}</p>{table}</div>'

    def _read_again(self) -> None:
        self.alert.doing("Read again", lambda: self._take(load_museum(self.folder), "Read again."), "Nothing was loaded.")


def _shown(forecast: Forecast, name: str) -> str:
    result = forecast.result
    if name == "Chance by the deadline":
        return show_chance(result.chance_by_deadline)
    if result.cost is None:
        return "unknown"
    return f"{result.cost.p50 if name.endswith('P50') else result.cost.p80:,.0f} {result.currency}"


def _heading(text: str) -> widgets.HTML:
    return widgets.HTML(f"<h3 style='color:inherit;margin:8px 0'>{escape(text)}</h3>")
