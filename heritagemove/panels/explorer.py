"""The explorer: sliders beside cost, date and risk of every path, and a button that writes the page."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from heritagemove import charts, report, simulation, units
from heritagemove.comparison import compare
from heritagemove.drivers import DRIVERS, SLIDERS
from heritagemove.museum import Museum, SliderRange
from heritagemove.panels import markup
from heritagemove.results import Comparison

_NAMES = {"crane_hours": "Crane hours", "haul_distance": "Haul distance", "axles": "Axle count"}
_WIDE = widgets.Layout(width="100%")


def explore(museum: Museum, vehicle: str | None = None) -> Explorer:
    """Return the explorer of one unit's paths, to stand as the last value of a cell.

    Parameters
    ----------
    museum : Museum
    vehicle : str, optional
        Id of the unit to begin with; the first of vehicles.csv when left out.
    """
    vehicle = museum.vehicles[0].vehicle if vehicle is None else museum.vehicle(vehicle).vehicle
    return Explorer(museum, vehicle)


class Explorer(widgets.VBox):
    """Sliders, chart, table and sentence of one unit at a time.

    A slider that nobody touched sets nothing: each path then has the amount its own rows and checks
    give. One that was touched sets its amount for every path that uses it.

    Attributes
    ----------
    vehicle : Dropdown
    sliders, boxes, says : dict of str to widget
        By driver: the slider, the number box linked to it, and what holds at the moment.
    comparison : Comparison
        The last good answer.
    """

    def __init__(self, museum: Museum, vehicle: str):
        self.museum = museum
        self.samples = simulation.draw(museum)
        self.chart: charts.Chart | None = None
        self.comparison: Comparison | None = None
        self.touched: set[str] = set()
        self.setting_up = False
        units_by_name = [(row.name, row.vehicle) for row in museum.vehicles]
        wide = {"style": {"description_width": "13em"}, "layout": widgets.Layout(width="34em")}
        self.vehicle = widgets.Dropdown(options=units_by_name, value=vehicle, description="Unit", **wide)
        self.sliders, self.boxes, self.says = {}, {}, {}
        for name in SLIDERS:
            if name in museum.scenario.sliders:
                self._add_slider(name, museum.scenario.sliders[name])
        self.reset = widgets.Button(description="Reset", icon="undo", tooltip="Back to what the tables say")
        self.write = widgets.Button(description="Write the page", icon="file-text-o", tooltip="One file for the committee")
        self.alert, self.sentence, self.written, self.table = (widgets.HTML(layout=_WIDE) for _ in range(4))
        self.picture = widgets.HTML(layout=widgets.Layout(width="900px", max_width="100%", min_height="560px"))
        self.cautions = widgets.HTML(markup.cautions(museum), layout=_WIDE)
        rows = [widgets.HBox([self.sliders[name], self.boxes[name], self.says[name]]) for name in self.sliders]
        top = widgets.HBox([self.vehicle, self.reset, self.write])
        shown = (self.written, self.alert, self.sentence, self.picture, self.table, self.cautions)
        super().__init__([top, *rows, *shown])
        self.vehicle.observe(self._restart, "value")
        self.reset.on_click(self._restart)
        self.write.on_click(self._write)
        self._restart()

    def _add_slider(self, name: str, span: SliderRange) -> None:
        whole = all(float(value).is_integer() for value in (span.low, span.high, span.step))
        kind = int if whole else float
        make, box = (
            (widgets.IntSlider, widgets.BoundedIntText) if whole else (widgets.FloatSlider, widgets.BoundedFloatText)
        )
        label = f"{_NAMES[name]} [{_unit_words(span)}]"
        limits = {"min": kind(span.low), "max": kind(span.high), "step": kind(span.step)}
        self.sliders[name] = make(
            **limits, description=label, tooltip=_drives(self.museum, name), readout=False,
            style={"description_width": "13em"}, layout=widgets.Layout(width="34em"),
        )  # fmt: skip
        self.boxes[name] = box(**limits, tooltip=label, layout=widgets.Layout(width="6em"))
        self.says[name] = widgets.HTML()
        widgets.link((self.sliders[name], "value"), (self.boxes[name], "value"))
        self.sliders[name].observe(functools.partial(self._moved, name), "value")

    @property
    def settings(self) -> dict[str, str]:
        """Amounts set by the sliders that were touched, with their units."""
        spans = self.museum.scenario.sliders
        return {name: f"{self.sliders[name].value:.12g} {spans[name].unit}" for name in self.sliders if name in self.touched}

    def _restart(self, *_: Any) -> None:
        """Show what the tables say of the unit, with no setting at all."""
        self.touched.clear()
        self.written.value = ""
        name = self.museum.vehicle(self.vehicle.value).name
        if self._answer(f"Unit {name}"):
            self._put_sliders_back()
        self._say()

    def _put_sliders_back(self) -> None:
        self.setting_up = True
        for name, slider in self.sliders.items():
            span = self.museum.scenario.sliders[name]
            value = _nearest(span, _table_amount(self.comparison, name))
            for control in (slider, self.boxes[name]):
                kind = type(control.min)
                control.max, control.min = kind(max(span.high, value)), kind(min(span.low, value))
            slider.value = type(slider.min)(value)
        self.setting_up = False

    def _moved(self, name: str, change: dict[str, Any]) -> None:
        # The browser may hand a value back with a rounding error; nobody moved the slider then.
        if self.setting_up or abs(change["new"] - change["old"]) < self.sliders[name].step * 1e-6:
            return
        self.touched.add(name)
        self.written.value = ""
        self._answer(f"{self.sliders[name].description} {self.sliders[name].value:g}")
        self._say()

    def _answer(self, name: str) -> bool:
        """Compare and show; a failure that nobody would see becomes a line that names the input."""
        try:
            self._show(compare(self.museum, self.vehicle.value, self.settings, self.samples))
        except Exception as error:
            kept = "" if self.comparison is None else "Below is the last good answer, from before this."
            self.alert.value = markup.alert(name, error, kept)
            self.write.disabled = True
            return False
        self.alert.value, self.write.disabled = "", False
        return True

    def _show(self, comparison: Comparison) -> None:
        """Put one comparison on screen; nothing changes unless all of it can be shown."""
        self.chart = charts.cost_against_date(comparison, self.chart and self.chart.figure)
        picture = markup.picture(self.chart)
        table, sentence = markup.paths_table(comparison), markup.sentence(comparison)
        self.picture.value, self.table.value, self.sentence.value = picture, table, sentence
        self.comparison = comparison

    def _say(self) -> None:
        """Write beside each slider whether it sets anything."""
        for name, slider in self.sliders.items():
            amount = f"{slider.value:g} {_unit_words(self.museum.scenario.sliders[name])}s"
            text = f"set to {amount} for every path" if name in self.touched else _untouched(name)
            self.says[name].value = markup.note(text)

    def _write(self, _: Any) -> None:
        self.written.value = ""
        try:
            written = report.write_report(self.comparison, _free_name(self.comparison.vehicle))
        except Exception as error:
            self.alert.value = markup.alert(self.write.description, error, "Nothing was written.")
            return
        self.alert.value = ""
        self.written.value = markup.note(f"✓ Wrote {Path(written).resolve()}")


def _table_amount(comparison: Comparison, name: str) -> float:
    """Return what the tables say a slider stands at, in the slider's unit."""
    museum = comparison.museum
    if name == "axles":
        return float(len(museum.axles_of(comparison.vehicle)))
    if name == "haul_distance":
        length = sum((leg.length for leg in museum.route("road")), units.Quantity(0.0, "mile"))
        return units.value(length, museum.scenario.sliders[name].unit)
    trailer_first = sorted(comparison.paths, key=lambda result: result.path != "trailer")
    amounts = (result.work.amounts.get(name) for result in trailer_first)
    amount = next((float(amount) for amount in amounts if isinstance(amount, float | int) and amount), 0.0)
    own = units.Quantity(amount, units.unit_of(DRIVERS[name].unit))
    return units.value(own, museum.scenario.sliders[name].unit)


def _nearest(span: SliderRange, amount: float) -> float:
    """Return the slider's step next to an amount."""
    return span.low + round((amount - span.low) / span.step) * span.step


def _unit_words(span: SliderRange) -> str:
    return span.unit.replace("_", " ")


def _untouched(name: str) -> str:
    return {
        "crane_hours": "as the checks compute it, path by path; the trailer's is shown",
        "haul_distance": "as segments.csv has it: the road route",
    }.get(name, "as axles.csv has it")


def _drives(museum: Museum, name: str) -> str:
    """Return what a slider drives, for its tooltip."""
    lines = [row.title for row in museum.cost_lines if name in (row.driver, row.times)]
    tasks = [row.title for row in museum.tasks if row.per == name]
    parts = [DRIVERS[name].meaning[:1].upper() + DRIVERS[name].meaning[1:] + "."]
    if lines:
        parts.append("Drives the cost of: " + "; ".join(dict.fromkeys(lines)) + ".")
    if tasks:
        parts.append("Drives the days of: " + "; ".join(dict.fromkeys(tasks)) + ".")
    return " ".join(parts)


def _free_name(vehicle: str) -> str:
    """Return a file name that is not taken, so that a second page never replaces the first."""
    names = (f"{vehicle}.html", *(f"{vehicle}-{number}.html" for number in range(2, 1000)))
    return next(name for name in names if not Path(name).exists())
