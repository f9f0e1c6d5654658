"""The form that adds a quote, invoice, task, risk, observation, photograph, unit or piece to the tables, and undoes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import ipywidgets as widgets

from heritagemove.editing.adding import ADDED, NewCell, new_row_asked
from heritagemove.museum.museum import Museum
from heritagemove.panels.controls import button

_LOOK: dict[str, Any] = {"style": {"description_width": "min(16em, 48%)"}, "layout": widgets.Layout(width="min(46em, 100%)")}


class RowForm(widgets.VBox):
    """What is asked of a new row; the table is chosen first."""

    def __init__(
        self, museum: Museum, given: Mapping[str, str], add: Callable[[], None], undo: Callable[[], None],
        tables: Sequence[str] = tuple(ADDED),
    ):  # fmt: skip
        self.museum, self.given = museum, dict(given)
        kinds = [(ADDED[table][0], table) for table in tables]
        self.table = widgets.Dropdown(description="What to add", options=kinds, **_LOOK)
        self.photograph = widgets.FileUpload(accept=".jpg,.jpeg,.png", description="Photograph", multiple=False)
        self.add = button("Add the row", "plus", "Write it into the table", add)
        self.undo = button("Undo the last change", "undo", "Take back what this form wrote last", undo)
        for pressed in (self.add, self.undo, self.photograph):
            pressed.layout.width = "16em"
        self.undo.disabled = True
        self.needed, self.more = widgets.VBox(), widgets.Accordion([widgets.VBox()], titles=("What may stay blank",))
        self.fields: dict[str, widgets.Widget] = {}
        self.table.observe(lambda _: self.ask(), "value")
        super().__init__([self.table, self.needed, self.more, widgets.HBox([self.add, self.undo])])
        self.ask()

    def take(self, museum: Museum, given: Mapping[str, str]) -> None:
        """Take up the museum as saved, with what is known of the next row."""
        self.museum, self.given = museum, dict(given)
        self.ask()

    def ask(self) -> None:
        """Ask for a new row of the table that is chosen."""
        asked = new_row_asked(self.museum, self.table.value, self.given)
        self.fields = {cell.column: _field(cell) for cell in asked}
        needed = [self.fields[cell.column] for cell in asked if cell.needed]
        rest = [self.fields[cell.column] for cell in asked if not cell.needed and cell.column != "photo"]
        self.photograph.value = ()
        self.needed.children = [*needed, *([self.photograph] if self.table.value == "survey.csv" else [])]
        self.more.children = [widgets.VBox(rest)]
        self.more.layout.display = "" if rest else "none"
        self.more.selected_index = None

    def cells(self) -> dict[str, str]:
        """Return what was typed, by column."""
        return {name: str(field.value) for name, field in self.fields.items()}

    def picture(self) -> tuple[str, bytes] | None:
        """Return the name and the bytes of the photograph that was chosen, if any."""
        return next(((file["name"], bytes(file["content"])) for file in self.photograph.value), None)


def _field(cell: NewCell) -> widgets.Widget:
    label = cell.means.split(";")[0].split(":")[0]
    shown = {"description": label[:1].upper() + label[1:], "tooltip": f"{cell.means}: {cell.allowed}", **_LOOK}
    if cell.choices:
        return widgets.Dropdown(options=cell.choices, value=cell.answer, **shown)
    return widgets.Text(value=cell.answer, placeholder=cell.allowed, **shown)
