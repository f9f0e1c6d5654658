"""The explorer: sliders beside cost, date and risk of every path, and a button that writes the page."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.compare.results import Comparison
from heritagemove.compare.scenario_files import saved_answers
from heritagemove.hand_over import page
from heritagemove.museum.museum import Museum
from heritagemove.panels import markup, sliders
from heritagemove.panels.controls import Control, ErrorLine, EstimatingSwitch, button
from heritagemove.panels.state import State, state_of

_WIDE = widgets.Layout(width="100%")


def explore(source: State | Museum, vehicle: str | None = None) -> Explorer:
    """Return the explorer of one unit's paths, to stand as the last value of a cell.

    Parameters
    ----------
    source : State or Museum
        The state of the notebook; or a museum, of which the explorer makes its own.
    vehicle : str, optional
        Id of the unit to begin with; the first of vehicles.csv when left out.
    """
    return Explorer(state_of(source, vehicle))


class Explorer(widgets.VBox):
    """Sliders, chart, table and sentence of one unit at a time.

    A slider that nobody touched sets nothing: each path then has the amount its own rows and checks
    give. One that was touched sets its amount for every path that uses it.

    Attributes
    ----------
    state : State
    vehicle : Dropdown
    controls : dict of str to Control
        By driver or input: slider, number box, and what holds at the moment.
    comparison : Comparison
        What is on screen.
    """

    def __init__(self, state: State):
        self.state, self.comparison, self._following = state, None, False
        self.chart: charts.Chart | None = None
        named = [(row.name, row.vehicle) for row in state.base.vehicles]
        wide = {"style": {"description_width": "14em"}, "layout": widgets.Layout(width="40em")}
        self.vehicle = widgets.Dropdown(options=named, value=state.vehicle, description="Unit", **wide)
        self.controls = {span.name: Control(state, span) for span in sliders.spans(state)}
        self.error = EstimatingSwitch(state)
        self.reset = button("Reset", "undo", "Back to what the tables say", state.reset)
        self.write = button("Write the page", "file-text-o", "One file for the committee", self._write)
        self.alert, self.written = ErrorLine(state), widgets.HTML(layout=_WIDE)
        self.sentence, self.budget, self.table = (widgets.HTML(layout=_WIDE) for _ in range(3))
        self.picture = widgets.HTML(layout=widgets.Layout(width="900px", max_width="100%", min_height="560px"))
        self.cautions = widgets.HTML(markup.cautions(state.base), layout=_WIDE)
        top = widgets.HBox([self.vehicle, self.error, self.reset, self.write], layout=widgets.Layout(flex_flow="row wrap"))
        shown = (self.written, self.alert, self.sentence, self.budget, self.picture, self.table, self.cautions)
        super().__init__([top, *self.controls.values(), *shown])
        self.vehicle.observe(lambda _: self._choose(), "value")
        state.watch(self._follow)
        self._show(state.comparison)

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
            self.controls[span.name].fit(span)

    def _show(self, comparison: Comparison) -> None:
        """Put one comparison on screen; nothing changes unless all of it can be shown."""
        if comparison is self.comparison:
            return
        self.chart = charts.cost_against_date(comparison, self.chart and self.chart.figure)
        picture = markup.picture(self.chart)
        table, sentence = markup.paths_table(comparison), markup.sentence(comparison)
        budget = markup.unfold("The budget, step by step", markup.budget(comparison)) if comparison.choice else ""
        self.picture.value, self.table.value, self.sentence.value, self.budget.value = picture, table, sentence, budget
        self.comparison = comparison

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


def _free_name(vehicle: str) -> str:
    """Return a file name that is not taken, so that a second page never replaces the first."""
    names = (f"{vehicle}.html", *(f"{vehicle}-{number}.html" for number in range(2, 1000)))
    return next(name for name in names if not Path(name).exists())
