"""``hm.desk()``: the desk of a notebook, with the museum, the unit and what is set shown at its head."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from html import escape
from pathlib import Path

import ipywidgets as widgets
from IPython import get_ipython
from IPython.display import display

from heritagemove.compare.dry_run import tried_museum
from heritagemove.compare.inputs import Inputs, inputs_in_words
from heritagemove.museum.museum import Museum
from heritagemove.panels import controls, markup
from heritagemove.panels.controls import ErrorLine, StatusLine, button
from heritagemove.panels.remembered import Remembered, demo, found_museums, inputs_of, recall, remember, title_of
from heritagemove.panels.state import Desk

_WIDE = widgets.Layout(width="100%", margin="0")
#: What is set is written down once nothing has moved for so long [s].
_WRITTEN_AFTER = 0.5
_TABLES = "What is shown is the museum from before."


def open_desk(folder: str | Path | None = None, unit: str | None = None) -> Desk:
    """Return the desk of a notebook: the museum, the unit and what is set, which every screen follows.

    The museum and the unit are those that were chosen last, in whichever notebook; the demo where none was. They are
    shown above the answer and may be changed there.

    Parameters
    ----------
    folder : str or Path, optional
        A museum's tables. Given, nothing is shown and nothing is remembered.
    unit : str, optional
        Id of the unit; the first of vehicles.csv when left out.

    Examples
    --------
    >>> import heritagemove as hm
    >>> desk = hm.desk("data/tamber_river", "caboose")
    >>> desk.vehicle, desk.comparison.choice
    ('caboose', 'roll_on')
    """
    if folder is not None:
        return Desk(tried_museum(folder), unit)
    head = Head(Path("."))
    if get_ipython() is not None:
        display(head)
    return head.desk


class Head(widgets.VBox):
    """Museum and unit of a desk, to choose; what is set, to take up or to put aside.

    Attributes
    ----------
    desk : Desk
    """

    def __init__(self, folder: Path):
        self.folder, self._choosing = folder, False
        self._writing: asyncio.TimerHandle | None = None
        remembered = recall(folder)
        self.museums = found_museums(folder, remembered.museums)
        museum, problem = self._first(remembered)
        self._notebook = _this_notebook()
        self.desk = Desk(museum, _known(museum, remembered.inputs.get("vehicle")))
        self.desk.head = self
        shrinking = widgets.Layout(flex="1 1 10em", width="10em", min_width="7em")
        wide = {"style": {"description_width": "initial"}, "layout": shrinking}
        self.museum = widgets.Dropdown(description="Museum", **wide)
        self.unit = widgets.Dropdown(description="Unit", **wide)
        self.undo = button("Undo", "undo", "Take the last change back", self.desk.undo)
        self.redo = button("Redo", "repeat", "Make it again", self.desk.redo)
        self.reset = button("Reset", "refresh", "Back to what the tables say", self.desk.reset)
        for narrow in (self.undo, self.redo, self.reset):
            narrow.icon, narrow.layout.width = "", "auto"
        self.go_on = button("", "play", "Set again what was set last", self._go_on)
        self.go_on.layout.width = "auto"
        self.begin = button("Start from the tables", "file-o", "Leave aside what was set last", self._begin)
        self.begin.layout.width = "auto"
        self.offer = widgets.HBox([self.go_on, self.begin], layout=widgets.Layout(display="none"))
        self.said, self.alert = widgets.HTML(layout=_WIDE), StatusLine()
        self.alert.layout.min_height = "0"
        self._own = (self.museum, self.unit, self.undo, self.redo, self.reset)
        self._row = widgets.HBox(self._own, layout=widgets.Layout(width="100%", margin="0", align_items="center"))
        super().__init__([self._row, self.offer, self.said, self.alert, ErrorLine(self.desk)], layout=_WIDE)
        self.add_class("hm-desk")
        self._offered: Inputs | None = None
        self._fill()
        self.museum.observe(lambda _: self._turn(), "value")
        self.unit.observe(lambda _: self._choose(), "value")
        self.desk.turning(self._turned)
        self.desk.watch(self.follow)
        self._recall(remembered, problem)

    def take(self, tools: Sequence[widgets.Widget]) -> None:
        """Hold the tools of a screen, in place of those of the one before."""
        self._row.children = (*self._own, *tools)
        self._show()

    def _first(self, remembered: Remembered) -> tuple[Museum, str]:
        """Return the museum used last, or the demo and why."""
        name, reason = self.museums[0], ""
        gone = remembered.museums and remembered.museums[0] not in self.museums
        if gone:
            reason = f"{remembered.museums[0]} is there no longer."
        try:
            return tried_museum(self.folder / name), reason
        except (ValueError, OSError) as error:
            self.museums = (demo(self.folder), *(each for each in self.museums if each != demo(self.folder)))
            return tried_museum(self.folder / self.museums[0]), f"{name} cannot be opened, and this is the demo.\n{error}"

    def _recall(self, remembered: Remembered, problem: str) -> None:
        """Go on with what another notebook has set; offer what this one had before its kernel began anew."""
        words = " ".join(filter(None, (remembered.note, problem)))
        if words:
            self.alert.value = markup.alert("The desk", ValueError(words), f"This is {self.desk.base.scenario.name}.")
            return
        found = inputs_of(remembered, self.desk.base)
        if found is None:
            return
        if remembered.notebook and remembered.notebook != self._notebook:
            self.desk.change("What was set", **vars(found))
            return
        self._offered = found
        self.go_on.description = "Continue with " + ", ".join(inputs_in_words(self.desk.base, found))
        self.offer.layout.display = "flex"

    def _go_on(self) -> None:
        self.desk.change("What was set", **vars(self._offered))

    def _begin(self) -> None:
        self.offer.layout.display = "none"
        self._write()

    def _fill(self) -> None:
        self._choosing = True
        self.museum.options = [(title_of(self.folder, name), name) for name in self.museums]
        self.museum.value = self.museums[0]
        self.unit.options = [(row.name, row.vehicle) for row in self.desk.base.vehicles]
        self._choosing = False
        self._show()

    def follow(self) -> None:
        """Show what the desk holds now, and write it down; who sets something else leaves aside what was offered."""
        self.offer.layout.display = "none"
        self._show()
        self._write_soon()

    def _show(self) -> None:
        self._choosing = True
        self.unit.value = self.desk.vehicle
        self._choosing = False
        self.undo.disabled, self.redo.disabled = not self.desk.can_undo, not self.desk.can_redo
        plain = self.desk.inputs == Inputs(self.desk.vehicle)
        words = "; ".join(inputs_in_words(self.desk.base, self.desk.inputs))
        # A screen with sliders of its own shows what is set, and nothing on it may jump while one moves.
        quiet = plain or self._row.children != self._own
        self.said.value = "" if quiet else f'<div role="status"><b>Set:</b> {escape(words)}</div>'

    def _choose(self) -> None:
        """Turn to another unit: what was set of the one before goes, the museum's dates and budget stay."""
        if not self._choosing:
            name = f"Unit {self.unit.label}"
            self.alert.doing(
                name, lambda: self.desk.change(name, vehicle=self.unit.value, settings={}, weight_tolerance=None)
            )
            self._show()

    def _turn(self) -> None:
        """Turn to another museum; one with a mistake in its tables is told, and the desk stays as it is."""
        if self._choosing:
            return
        name = self.museum.value

        def work() -> None:
            museum = tried_museum(self.folder / name)
            self.museums = (name, *(each for each in self.museums if each != name))
            self.desk.turn_to(museum)

        if not self.alert.doing(f"Museum {name}", work, _TABLES):
            self._fill()

    def _turned(self) -> None:
        self.desk.watch(self.follow)
        self._fill()
        self.follow()

    def _write_soon(self) -> None:
        """Write once nothing moves any more, beside what is computed; at once where no loop could wait."""
        if self._writing:
            self._writing.cancel()
        loop = controls.running_loop()
        if loop is None:
            self._write()
        else:
            self._writing = loop.call_later(_WRITTEN_AFTER, lambda: loop.run_in_executor(None, self._write))

    def _write(self) -> None:
        """Write down what is chosen and set."""
        try:
            remember(self.folder, self.museums, self.desk.inputs, self._notebook)
        except OSError as error:
            self.alert.value = markup.alert("The desk", error, "Other notebooks will not know of this choice.")


def _this_notebook() -> str:
    """Return the name of the notebook that runs, as Jupyter tells it; blank where it tells none."""
    shell = get_ipython()
    return Path(str(shell.user_ns.get("__session__", ""))).name if shell else ""


def _known(museum: Museum, unit: object) -> str | None:
    """Return a unit that the museum has, or none."""
    return unit if unit in [row.vehicle for row in museum.vehicles] else None
