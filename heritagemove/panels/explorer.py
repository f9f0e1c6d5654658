"""The desk's main screen: sliders beside the chart of cost, date and chance, the decision above, the paths below."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.compare.results import Comparison
from heritagemove.compare.scenario_files import saved_answers
from heritagemove.files.names import reserved
from heritagemove.hand_over import page
from heritagemove.panels import desk, markup, sliders
from heritagemove.panels.controls import Control, ErrorLine, EstimatingSwitch, button, one_label
from heritagemove.panels.scenarios import Compared, show_scenarios
from heritagemove.panels.screens import show_vehicle
from heritagemove.panels.state import Desk
from heritagemove.panels.what_changes import show_what_changes
from heritagemove.panels.what_ifs import show_what_ifs

_WIDE = widgets.Layout(width="100%", margin="0")
#: The sliders that stand open; the others unfold.
_FIRST = ("crane_hours", "haul_distance", "axles", "weight", "deadline_moved")
#: What keeps the screen within 1280 by 720 with the file browser open; heights are fixed, so that nothing jumps.
_SLIDERS_WIDTH, _MIDDLE, _HEAD, _ROWS = "300px", "268px", "38px", "max(150px, min(235px, calc(100vh - 845px)))"
#: On a larger screen the chart grows, and the sliders with it, as far as the lines of all paths leave room.
_TALL = f"max({_MIDDLE}, min(calc((100vw - 730px) * 0.47), calc(100vh - 612px)))"

_READING = (
    "Set aside (P80): four futures in five stay "
    "within it; raise P80 money, announce P80 dates. A choice is told by what it comes to all in: refusals, and what is "
    "done after them, are played out.",
    "The mark of a path stands at the money to set aside and the day it is off the site by, each enough in four cases of "
    "five with refusals and fallback played out; the faint dot is the money with every gate met. Full: at least the "
    "museum's confidence to be in time; half: even chances; hollow: less.",
    "A slider you have not touched sets nothing: each path has what its own rows and checks give. Type any number, with "
    "any unit of its kind, and press Enter: 12.7, 125 km, 12 1/2 h.",
    "It knows only what the tables say. It screens: it does not rate a bridge, clear a route, plan a lift or grant a "
    "permit; the note beside each check says who must confirm it. It does not weigh what the unit means to people.",
)


def explore(desk: Desk) -> Explorer:
    """Return the explorer of one unit's paths, to stand as the last value of a cell."""
    return Explorer(desk)


class Explorer(widgets.VBox):
    """Sliders, chart, table and sentence of one unit at a time.

    A slider that nobody touched sets nothing: each path then has the amount its own rows and checks
    give. One that was touched sets its amount for every path that uses it.

    Attributes
    ----------
    state : Desk
    vehicle : Dropdown
    controls : dict of str to Control
        By driver or input: slider, number box, and what holds at the moment.
    comparison : Comparison
        What is on screen.
    """

    def __init__(self, state: Desk):
        self.state, self.comparison, self._following = state, None, False
        self.chart: charts.Chart | None = None
        self._looked_at: dict[widgets.HTML, Callable[[Comparison], str]] = {}
        named = [(row.name, row.vehicle) for row in state.base.vehicles]
        wide = {"style": {"description_width": "3em"}, "layout": widgets.Layout(width="min(21em, 100%)")}
        self.vehicle = widgets.Dropdown(options=named, value=state.vehicle, description="Unit", **wide)
        self.controls = {span.name: Control(state, span) for span in sliders.spans(state)}
        self.error = EstimatingSwitch(state)
        self.reset = button("Reset", "refresh", "Back to what the tables say", state.reset)
        self.undo = button("Undo", "undo", "Take the last change back", state.undo)
        self.redo = button("Redo", "repeat", "Make it again", state.redo)
        self.write = button("Write the page", "file-text-o", "One file for the committee", self._write)
        for narrow in (self.undo, self.redo, self.reset, self.write):
            narrow.icon, narrow.layout.width = "", "auto"
        self.compared = Compared(state, self._again)
        self.alert, self.written = ErrorLine(state), widgets.HTML(layout=_WIDE)
        self.brief = widgets.HTML(layout=widgets.Layout(width="100%", margin="0", min_height=_HEAD))
        self.brief.add_class("hm-live")
        self.rows = widgets.HTML(layout=_WIDE)
        self.picture = widgets.HTML(layout=widgets.Layout(
            flex="1 1 0", min_width="0", max_width=f"calc({_TALL} * 2.12)", margin="0", min_height=_MIDDLE
        ))
        self.sentence, self.budget, self.table = (widgets.HTML(layout=_WIDE) for _ in range(3))
        bare = widgets.Layout(flex_flow="row wrap", margin="0", align_items="center")
        tools = (self.compared, self.write)
        if state.head is not None:  # unit, undo and reset stand there already
            state.head.take(tools)
        own = () if state.head is not None else (self.vehicle, self.undo, self.redo, self.reset, *tools)
        top = [widgets.HBox(own, layout=bare)] if own else []
        unscrolled = widgets.Layout(width="100%", margin="0", overflow="hidden")
        asked = widgets.VBox([self.compared.naming, self.compared.alert, one_label()], layout=unscrolled)
        opened = [self.controls[name] for name in _FIRST if name in self.controls]
        others = [control for name, control in self.controls.items() if name not in _FIRST]
        more = widgets.Accordion([widgets.VBox([*others, self.error])], titles=["More to set"], selected_index=None)
        scrolled = widgets.Layout(width=_SLIDERS_WIDTH, height=_TALL, overflow="auto", margin="0", flex="0 0 auto")
        middle = widgets.HBox([widgets.VBox([*opened, more], layout=scrolled), self.picture], layout=_WIDE)
        self.details = self._details()
        shown = (self.brief, middle, self.rows, self.details)
        super().__init__([*top, asked, self.written, self.alert, *shown], layout=_WIDE)
        self.vehicle.observe(lambda _: self._choose(), "value")
        state.watch(self._follow)
        self._show(state.comparison)

    def _details(self) -> widgets.Accordion:
        """Return what unfolds below; a screen is made when it is first opened."""
        state = self.state
        made = {
            "The decision in full": lambda: self._unfolded(self.sentence, _sentence),
            "The budget, step by step": lambda: self._unfolded(self.budget, _budget),
            "All of every path": lambda: self._unfolded(self.table, markup.paths_table),
            "What if?": lambda: show_what_ifs(state),
            "What changes the decision?": lambda: show_what_changes(state),
            "Save these inputs, load and compare": lambda: show_scenarios(state),
            "The unit": lambda: widgets.HTML(show_vehicle(state)),
            "How to read it, and what it leaves out": lambda: widgets.HTML(markup.paragraphs(_READING)),
        }
        details = widgets.Accordion([widgets.VBox() for _ in made], titles=tuple(made), selected_index=None)

        def opened(change: dict) -> None:
            if change["new"] is not None and not details.children[change["new"]].children:
                details.children[change["new"]].children = [list(made.values())[change["new"]]()]

        details.observe(opened, "selected_index")
        return details

    def _unfolded(self, part: widgets.HTML, of: Callable[[Comparison], str]) -> widgets.HTML:
        """Return a part that is looked at for the first time; from then on it follows."""
        self._looked_at[part] = of
        part.value = of(self.comparison)
        return part

    def _choose(self) -> None:
        """Turn to another unit: what was set of the one before goes, the museum's dates and budget stay."""
        if self._following:
            return
        unit = self.vehicle.value
        name = self.state.base.vehicle(unit).name
        self.state.change(f"Unit {name}", vehicle=unit, settings={}, weight_tolerance=None)

    def _follow(self) -> None:
        """Show what the state says now, whoever changed it."""
        self._show(self.state.comparison)
        self._following = True
        self.vehicle.value = self.state.vehicle
        self._following = False
        self.written.value = ""
        for span in sliders.spans(self.state):
            if span.name in self.controls:
                self.controls[span.name].fit(span)

    def _show(self, comparison: Comparison) -> None:
        """Put one comparison on screen; nothing changes unless all of it can be shown."""
        self.undo.disabled, self.redo.disabled = not self.state.can_undo, not self.state.can_redo
        if comparison is self.comparison:
            return
        (picture, rows), brief = self._drawn(comparison), desk.brief(comparison)
        # What unfolds is made only where somebody has looked at it, and not while a slider moves.
        told = {} if comparison.decision.replayed else {part: of(comparison) for part, of in self._looked_at.items()}
        self.picture.value, self.brief.value, self.rows.value = picture, brief, rows
        for part, words in told.items():
            part.value = words
        self.comparison = comparison

    def _drawn(self, comparison: Comparison) -> tuple[str, str]:
        """Return chart and lines of a comparison, with the scenarios that are switched on beside it."""
        before, beside = self.state.previous, self.compared.answers()
        self.chart = charts.at_a_glance(comparison, before, self.chart and self.chart.figure, beside)
        return markup.picture(self.chart, grows=True), desk.rows(comparison, before, _ROWS, beside)

    def _again(self) -> None:
        """Draw the same answer again, with other scenarios beside it."""
        self.compared.alert.doing("Compare", self._draw_again)

    def _draw_again(self) -> None:
        self.picture.value, self.rows.value = self._drawn(self.comparison)

    def _write(self) -> None:
        self.written.value = ""
        try:
            state = self.state
            kept = saved_answers("scenarios", state.base, state.vehicle, state.samples)
            written = page.write_report(state.comparison, _free_name(state.vehicle), scenarios=kept)
        except Exception as error:
            self.state.error = markup.alert(self.write.description, error, "Nothing was written.")
            return
        self.state.error = ""
        self.written.value = markup.note(f"✓ Wrote {Path(written).resolve()}")


def _sentence(comparison: Comparison) -> str:
    return markup.paragraph(comparison.sentence)


def _budget(comparison: Comparison) -> str:
    return markup.budget(comparison) if comparison.choice else markup.note("Nothing is chosen.")


def _free_name(vehicle: str) -> str:
    """Return a file name that is not taken, so that a second page never replaces the first."""
    vehicle = f"{vehicle}_page" if reserved(vehicle) else vehicle
    names = (f"{vehicle}.html", *(f"{vehicle}-{number}.html" for number in range(2, 1000)))
    return next(name for name in names if not Path(name).exists())
