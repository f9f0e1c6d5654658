"""What is still the starter's: a banner for every screen, and a screen that lists it with a line to type the quote."""

from __future__ import annotations

from html import escape
from pathlib import Path

import ipywidgets as widgets

from heritagemove.answers.starter_values import (
    StarterShare,
    counts_in_words,
    starter_sentence,
    starter_table,
    starter_values,
)
from heritagemove.compare.dry_run import stopped_by
from heritagemove.editing.amending import enter
from heritagemove.files.xlsx_tables import is_workbook
from heritagemove.museum.museum import load_museum
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine, button
from heritagemove.panels.state import Desk

_WIDE = widgets.Layout(width="100%")
_LOOK = {"style": {"description_width": "9em"}, "layout": widgets.Layout(width="34em")}
_NONE = "Nothing is the starter's any more: every value was entered or confirmed."
_KEPT = "Nothing was written."
_LINES = {"low": "Low", "likely": "The quote", "high": "High", "source": "Whose quote", "who": "Who enters it"}


def starter_banner(desk: Desk) -> str:
    """Return the banner of a screen; blank where no price is the starter's."""
    said = starter_sentence(desk.comparison) if any(row.starter for row in desk.base.rates) else ""
    look = "margin:4px 0;padding:4px 8px;border-left:4px solid #8a5a00;line-height:1.4"
    return f'<p class="hm-starters" style="{look}">{escape(said)}</p>' if said else ""


def show_starter_values(desk: Desk) -> StarterValues:
    """Show what is still the starter's by the money that hangs on it, with a line to type a quote."""
    return StarterValues(desk)


class StarterValues(widgets.VBox):
    """The list, and the line for the quote of one price."""

    def __init__(self, desk: Desk):
        self.desk, self.folder = desk, Path(desk.base.folder)
        self.says, self.list = widgets.HTML(layout=_WIDE), widgets.HTML(layout=_WIDE)
        self.price = widgets.Dropdown(description="Price", **_LOOK)
        self.cells = {name: widgets.Text(description=label, **_LOOK) for name, label in _LINES.items()}
        self.cells["low"].placeholder = self.cells["high"].placeholder = "as the quote, where it is fixed"
        self.write = button("Write the quote", "check", "Write it into rates.csv", self._enter)
        self.write.layout.width = "16em"
        self.alert = StatusLine()
        super().__init__(layout=_WIDE)
        self.follow()

    def follow(self) -> None:
        """List what the desk's museum still has of the starter's."""
        share: StarterShare = starter_values(self.desk.comparison)
        said = f"{share.sentence} {counts_in_words(self.desk.base)}".strip()
        self.says.value = markup.paragraph(said or _NONE)
        self.list.value = markup.table_of(starter_table(share)) if share.values else ""
        prices = [value for value in share.values if value.table == "rates.csv"]
        self.price.options = [(f"{value.title} [{value.row.unit}]", value.row_number) for value in prices]
        self.price.index = 0 if prices else None
        line = [self.price, *self.cells.values(), self.write] if prices and not is_workbook(self.folder) else []
        self.children = [self.says, *line, self.alert, self.list]

    def _enter(self) -> None:
        given = {name: field.value.strip() for name, field in self.cells.items()}
        row, likely = self.price.value, given["likely"]
        values = {"low": given["low"] or likely, "likely": likely, "high": given["high"] or likely, "basis": "quote",
                  "source": given["source"]}  # fmt: skip
        try:
            enter(self.folder, "rates.csv", row, values, given["who"], f"quote: {given['source']}", tried=stopped_by)
            museum = load_museum(self.folder)
        except (ValueError, OSError) as error:
            self.alert.value = markup.alert("The quote", error, _KEPT)
            return
        for name in ("low", "likely", "high"):
            self.cells[name].value = ""
        self.desk.turn_to(museum, self.desk.vehicle)
