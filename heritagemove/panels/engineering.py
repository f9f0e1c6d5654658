"""The engineering screen: which gate stops a path, and by how much; what a wrong weight would change."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

import ipywidgets as widgets

from heritagemove.answers.gate_tables import table_of_gates
from heritagemove.answers.route import strip_of
from heritagemove.answers.weight_flips import WeightFlip, needed_findings, statuses_at, weight_flips
from heritagemove.charts.engineering import utilization_bars
from heritagemove.charts.unit_drawing import unit_drawing
from heritagemove.checks.gates.screening import Finding
from heritagemove.checks.margins import status_of_gate
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum
from heritagemove.panels import markup
from heritagemove.panels.controls import LAST_GOOD, StatusLine, name_handles
from heritagemove.panels.state import Desk
from heritagemove.panels.way import way_on_screen
from heritagemove.units import units
from heritagemove.units.described import Marked
from heritagemove.units.measures import show_measure

_GATE_COLUMNS = ("Gate", "Result", "Kind", "By how much", "Source of the limit", "Who confirms")
#: From the best to the worst. A gate that gets better as the unit gets heavier is one of the crane, trailer or car taken.
_BETTER = ("pass", "marginal", "open", "unknown", "fail")
_WIDE = widgets.Layout(width="100%")
#: The weight slider goes at least this far either way [percent].
_LEAST_PERCENT = 10.0
#: Its unit and step in each system of units.
_SLIDER = {"US": ("lb", 100), "SI": ("kg", 50)}


def engineering(desk: Desk, path: str | None = None) -> EngineeringScreen:
    """Return the engineering screen of the desk's unit, to stand as the last value of a cell.

    Parameters
    ----------
    path : str, optional
        Id of the path to begin with; the first on wheels, flat car or trailer when left out.
    """
    return EngineeringScreen(desk, path)


class EngineeringScreen(widgets.VBox):
    """Gates of one path against their limits, the unit to scale, and a slider for its weight.

    Attributes
    ----------
    path : Dropdown
    weight, box : IntSlider, BoundedIntText
        Weight of the unit [lb] and the number box linked to it.
    flips : tuple of WeightFlip
        Every gate of every path that flips within the slider's range.
    findings : tuple of Finding
        The last good answer.
    """

    def __init__(self, desk: Desk, path: str | None = None):
        self.desk, self.setting_up = desk, False
        museum = desk.base
        self.memo = Memo()
        self.flips: tuple[WeightFlip, ...] = ()
        self.findings: tuple[Finding, ...] = ()
        wide = {"style": {"description_width": "9em"}, "layout": widgets.Layout(width="44em")}
        ordered = sorted(museum.paths, key=lambda row: row.number)
        named = [(f"{row.number}  {row.title}", row.path) for row in ordered]
        first = next((row.path for row in ordered if museum.stages_of(row.path)), ordered[0].path)
        chosen = first if path is None else museum.path(path).path
        self.path = widgets.Dropdown(options=named, value=chosen, description="Path", **wide)
        self.unit, self.step = _SLIDER[museum.scenario.units]
        tip = "Weight of the unit as it stands; body and trucks keep their shares of it"
        number = wide | {"layout": widgets.Layout(width="17em")}
        name, step = f"Weight [{self.unit}]", self.step
        self.weight = widgets.IntSlider(tooltip=tip, readout=False, step=step, layout=widgets.Layout(width="20em"))
        self.box = widgets.BoundedIntText(description=name, tooltip=tip, step=step, **number)
        self.reset = widgets.Button(description="Reset weight", icon="undo", tooltip="Back to what the tables say")
        self.alert = StatusLine()
        blocks = (widgets.HTML(layout=_WIDE) for _ in range(7))
        self.says, self.bars, self.strip, self.weights, self.drawing, self.table, self.way = blocks
        shown = (self.alert, self.says, self.bars, self.weights, self.strip, self.drawing, self.table, self.way)
        super().__init__([self.path, widgets.HBox([self.box, self.weight, self.reset]), *shown, name_handles()])
        widgets.link((self.weight, "value"), (self.box, "value"))
        self.path.observe(self._changed, "value")
        self.weight.observe(self._changed, "value")
        self.reset.on_click(self._restart)
        self._restart()
        self.follow()

    @property
    def museum(self) -> Museum:
        """The museum as its tables say."""
        return self.desk.base

    def follow(self) -> None:
        """Turn to the unit of the desk, at the weight that is set there."""
        if self._of != self.desk.vehicle:
            self._restart()
        weight = self.desk.comparison.museum.vehicle(self.desk.vehicle).weight
        if weight is not None:
            self.weight.max, self.weight.min = (
                max(self.weight.max, round(weight.m_as(self.unit))),
                min(self.weight.min, round(weight.m_as(self.unit))),
            )
            self.weight.value = round(weight.m_as(self.unit))

    def _restart(self, *_: Any) -> None:
        """Show the unit at the weight that the tables say, with every gate that its weight would flip."""
        self._of = self.desk.vehicle
        unit = self.museum.vehicle(self._of)
        self.weight.disabled = self.box.disabled = self.reset.disabled = unit.weight is None
        self.flips = ()

        def find() -> None:
            if unit.weight is not None:
                span = self._put_slider(unit)
                self.flips = weight_flips(self.museum, unit.vehicle, *span, units.Quantity(self.step, self.unit), self.memo)

        if self.alert.doing(f"Unit {unit.name}", find, "Which gates its weight changes is not known."):
            self._answer(f"Unit {unit.name}")

    def _put_slider(self, unit: Any) -> tuple[units.Quantity, units.Quantity]:
        """Set the slider to the unit's weight and tolerance; return its two ends."""
        weight = round(unit.weight.m_as(self.unit))
        percent = max(_LEAST_PERCENT, unit.weight_tolerance.m_as("percent"))
        reach = min(-(-weight * percent // (100 * self.step)), (weight - 1) // self.step) * self.step
        low, high = weight - int(reach), weight + int(reach)
        self.setting_up = True
        for control in (self.weight, self.box):
            control.min, control.max = min(control.min, low), max(control.max, high)
            control.value = weight
            control.min, control.max = low, high
        self.setting_up = False
        return units.Quantity(float(low), self.unit), units.Quantity(float(high), self.unit)

    def _changed(self, change: dict[str, Any]) -> None:
        if not self.setting_up:
            moved = self.box if change["owner"] is self.weight else change["owner"]
            self._answer(f"{moved.description} {change['new']}")

    def _at_weight(self) -> Museum:
        """Return the museum with the unit at the slider's weight; as loaded where nobody moved it."""
        unit = self.museum.vehicle(self._of)
        if unit.weight is None or self.weight.value == round(unit.weight.m_as(self.unit)):
            return self.museum
        return self.museum.with_weight(unit.vehicle, units.Quantity(self.weight.value, self.unit).m_as("short_ton"))

    def _answer(self, name: str) -> None:
        """Screen and show; nothing changes unless all of it can be shown, and a failure names the input."""
        self.alert.doing(name, self._show, LAST_GOOD if self.findings else "")

    def _show(self) -> None:
        vehicle, path = self._of, self.path.value
        museum = self._at_weight()
        findings = needed_findings(museum, vehicle, path, self.desk.samples, self.memo)
        bars = markup.picture(utilization_bars(museum, vehicle, path, findings))
        stages = [row.stage for row in museum.stages_of(path)] or [None]
        drawing = "".join(markup.picture(unit_drawing(museum, vehicle, path, each)) for each in stages)
        strip = way_on_screen(strip_of(museum, vehicle, path, findings))
        words, weights = self._flipped(museum), self._weight_table(museum)
        table = _gates_table(findings, museum)
        self.bars.value, self.strip.value, self.drawing.value = bars, strip, drawing
        self.says.value, self.weights.value, self.table.value = words, weights, table
        self.way.value = _way_table(museum, path)
        self.findings = findings

    def _flipped(self, museum: Museum) -> str:
        """Name each gate that the slider has flipped, against the weight in the tables."""
        unit, row = museum.vehicle(self._of), self.museum.vehicle(self._of)
        if row.weight is None:
            return _says("The weight is unknown: weigh it, truck by truck, before anything else.")
        at = f"At {show_measure(unit.weight, museum.scenario.units)}"
        if unit.weight == row.weight:
            return _says(f"{at}, as the tables say (plus or minus {row.weight_tolerance.m_as('percent'):g} %).")
        before, after = statuses_at(self.flips, row.weight), statuses_at(self.flips, unit.weight)
        titles = {(flip.path, flip.gate): flip.title for flip in self.flips}
        changed: dict[tuple[str, str], list[int]] = {}
        for key in (key for key in after if after[key] != before[key]):
            changed.setdefault((after[key], titles[key]), []).append(museum.path(key[0]).number)
        words = [
            f"{status_of_gate(status)}: {title} ({_paths(numbers)})"
            for (status, title), numbers in sorted(changed.items(), key=lambda item: item[0][0] != "fail")
        ]
        return _says(f"{at}: " + ("these gates change." if words else "no gate changes."), words)

    def _weight_table(self, museum: Museum) -> str:
        unit, row = museum.vehicle(self._of), self.museum.vehicle(self._of)
        if not self.flips:
            return markup.note("No gate changes within the slider's range." if row.weight is not None else "")
        now = statuses_at(self.flips, unit.weight)
        alike: dict[tuple[str, str, str, str], list[WeightFlip]] = {}
        for flip in self.flips:
            alike.setdefault((f"{flip.weight.m_as(self.unit):,.0f}", flip.title, flip.before, flip.after), []).append(flip)
        rows = [
            (
                title,
                tuple(Marked(museum.path(flip.path).number) for flip in flips),
                f"{weight} ({(flips[0].weight - row.weight).m_as(self.unit):+,.0f})",
                f"{status_of_gate(before)} → {status_of_gate(after)}"
                + (" (from here heavier equipment is taken)" if _BETTER.index(after) < _BETTER.index(before) else ""),
                status_of_gate(now[flips[0].path, flips[0].gate]),
            )
            for (weight, title, before, after), flips in alike.items()
        ]
        headings = ("Gate", "Paths", f"Changes at [{self.unit}]", "From → to", "Now")
        return markup.table("Gates that change within this range of weight, the lightest first", headings, rows)


def _gates_table(findings: Sequence[Finding], museum: Museum) -> str:
    table = table_of_gates("Gates of this path", findings, museum).only(*_GATE_COLUMNS)
    return markup.unfold(f"Every gate of this path: {len(table)}", markup.table_of(table))


def _way_table(museum: Museum, path: str) -> str:
    """Return the legs of a path and the structures on them, with what their owners ask; blank where it uses no route."""
    row, system = museum.path(path), museum.scenario.units
    stages = museum.stages_of(path)
    legs = {leg.leg: leg for stage in stages for leg in museum.legs_of(stage)}
    of = {leg: stage.title for stage in stages for leg in stage.legs}
    rows = [
        (f"{of[leg.leg]}: {leg.name}" if len(stages) > 1 else leg.name, leg.owner.replace("_", " "),
         show_measure(_near_at_hand(leg.length), system), leg.policy, leg.source)
        for leg in legs.values()
    ]  # fmt: skip
    rows += [
        (bridge.title, f"on {legs[bridge.leg].name}",
         "" if bridge.span is None else show_measure(bridge.span, system), bridge.note or "", bridge.source)
        for bridge in museum.bridges if bridge.leg in legs
    ]  # fmt: skip
    if not rows:
        return ""
    headings = ("Leg or structure", "Owner or place", "Length or span", "What its owner asks; its condition", "Source")
    speed = markup.note(f"How fast it moves: {row.speed}.") if row.speed else ""
    return markup.unfold(f"The way: {len(rows)} legs and structures", speed + markup.table("The way", headings, rows))


def _near_at_hand(length: units.Quantity) -> units.Quantity:
    """Return a length of less than a tenth of a mile in feet."""
    return length.to("ft") if length.m_as("mile") < 0.1 else length


def _paths(numbers: Sequence[int]) -> str:
    return f"path{'s' if len(numbers) > 1 else ''} {', '.join(map(str, sorted(numbers)))}"


def _says(text: str, lines: Sequence[str] = ()) -> str:
    """Return what holds now, in large type, read out when it changes."""
    look = "font-size:16px;line-height:1.4;margin:8px 0;white-space:normal"
    return f'<div role="status" style="{look}"><b>{escape(text)}</b>{"".join(f"<br>{escape(line)}" for line in lines)}</div>'
