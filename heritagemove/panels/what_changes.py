"""What changes the decision, on screen: searched when the screen is opened or asked again, never while a slider moves."""

from __future__ import annotations

import ipywidgets as widgets

from heritagemove.answers.what_changes import DecisionFlip, what_changes
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine, button
from heritagemove.panels.state import Desk

_KINDS = {"weight": "Weight of", "price": "Price of", "date": "Date of", "refusal": "Chance of refusal of"}


class WhatChanges(widgets.VBox):
    """A table of the nearest flips, and a button once what is set has changed since."""

    def __init__(self, state: Desk):
        self.state, self.alert = state, StatusLine()
        self.shown = widgets.HTML(layout=widgets.Layout(width="100%"))
        self.again = button("Ask again", "refresh", "Answer from what is set now", self._ask)
        super().__init__([])
        state.watch(self._moved)
        self._ask()

    def _ask(self) -> None:
        def work() -> None:
            found = what_changes(self.state.comparison)
            rows = [_row(self.state, flip) for flip in found]
            headings = ("What", "As set", "Changes the choice at", "Then")
            told = markup.table("What changes the decision, each alone", headings, rows)
            self.shown.value = told if rows else markup.note("No path is chosen: nothing changes the choice.")
            self.children = [self.alert, self.shown]

        self.alert.doing("What changes the decision", work)

    def _moved(self) -> None:
        note = widgets.HTML(markup.note("What is set above has changed since this answer."))
        self.children = [widgets.HBox([note, self.again]), self.alert, self.shown]


def _row(state: Desk, flip: DecisionFlip) -> tuple[str, ...]:
    what = f"{_KINDS[flip.kind]} {flip.what}"
    if flip.at is None:
        return what, flip.now, "nothing tried changes it", ""
    path = flip.path and state.comparison.path(flip.path)
    return what, flip.now, flip.at, f"path {path.number}, {path.title}" if path else "no path is chosen"


def show_what_changes(desk: Desk) -> WhatChanges:
    """Return the screen of the nearest weight, price, date and refusal at which another path is chosen."""
    return WhatChanges(desk)
