"""The presentation for the committee: one idea per screen, next and back, no code.

What is moved on a screen stays on it: each what-if is answered against what the tables say.
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.charts.criteria import weighted_values
from heritagemove.charts.funding import bank_balance
from heritagemove.panels import markup
from heritagemove.panels.controls import COMPUTING, StatusLine
from heritagemove.panels.criteria import CriteriaScreen
from heritagemove.panels.desk import in_brief, in_full
from heritagemove.panels.markup import Html
from heritagemove.panels.state import Desk
from heritagemove.panels.what_ifs import WhatIf, crane_idle, deadline_moved, heavier
from heritagemove.trials import simulation
from heritagemove.units.words import show_date
from heritagemove.whole_site.fleet import fleet_of
from heritagemove.whole_site.funding import bank_forecast

_WIDE = widgets.Layout(width="100%")


def present(desk: Desk) -> Presentation:
    """Return the committee's presentation of the desk's unit."""
    return Presentation(desk)


class Presentation(widgets.VBox):
    """Screens with a heading, one at a time; a screen is made when it is first reached."""

    def __init__(self, state: Desk):
        # The number of the screen shown, from 0, and what was made of each.
        self.state, self.at, self._made = state, 0, {}
        self._criteria_screen: CriteriaScreen | None = None
        # Heading of each screen, and what makes its content.
        self.screens: tuple[tuple[str, Callable[[], list[widgets.Widget]]], ...] = (
            ("The decision", self._decision),
            ("Cost against date: every path", self._chart),
            ("How long may we wait?", self._waiting),
            ("What if the crane stands idle?", lambda: [WhatIf(state, crane_idle)]),
            ("What if the owner moves the deadline?", lambda: [WhatIf(state, deadline_moved)]),
            ("What if it is heavier than stated?", lambda: [WhatIf(state, heavier)]),
            ("What matters most to us?", self._criteria),
            ("How each path measures up", self._values),
            ("How much money, and when, for this unit alone?", self._money),
            ("Before anyone moves it", self._cautions),
        )
        self.back = widgets.Button(description="◂ Back", tooltip="The screen before")
        self.next = widgets.Button(description="Next ▸", tooltip="The next screen")
        self.place, self.heading = widgets.HTML(), widgets.HTML(layout=_WIDE)
        self.content = widgets.VBox(layout=_WIDE)
        bar = widgets.HBox([self.back, self.place, self.next])
        bar.add_class("hm-bar")
        self.content.add_class("hm-content")
        super().__init__([self.heading, self.content, bar])
        self.add_class("hm-present")
        self.back.on_click(lambda _: self.go(self.at - 1))
        self.next.on_click(lambda _: self.go(self.at + 1))
        self.go(0)

    def go(self, at: int) -> None:
        """Show one screen; beyond the first and the last there is none."""
        self.at = min(max(at, 0), len(self.screens) - 1)
        title, make = self.screens[self.at]
        self.heading.value = f"<h1>{escape(title)}</h1>"
        if self.at not in self._made:
            self.content.children = [_html(COMPUTING)]
            try:
                self._made[self.at] = make()
            except Exception as error:
                alert = markup.alert(title, error, "This screen cannot be shown; the others can.")
                self._made[self.at] = [_html(alert)]
        self.content.children = self._made[self.at]
        self.place.value = f'<span role="status">Screen {self.at + 1} of {len(self.screens)}</span>'
        self.back.disabled, self.next.disabled = self.at == 0, self.at == len(self.screens) - 1

    def follow(self) -> None:
        """Make the screens anew from what the desk holds now, and stay at the one that is shown."""
        self._made, self._criteria_screen = {}, None
        self.go(self.at)

    def _decision(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        museum = comparison.museum
        facts = (
            ("Where it stands", f"{museum.scenario.site}; owner {museum.scenario.owner}"),
            ("Must be gone by", show_date(museum.scenario.deadline)),
            ("Will be scrapped on", show_date(museum.scenario.forced_scrap)),
            ("Promised at", f"P{museum.scenario.simulation.confidence * 100:.0f}: four futures in five stay within it"
             if museum.scenario.simulation.confidence == 0.8 else f"P{museum.scenario.simulation.confidence * 100:.0f}"),
        )  # fmt: skip
        rows = [(escape(name), escape(value)) for name, value in facts]
        budget = [_picture(charts.budget_bars(comparison))] if comparison.choice else []
        told = markup.large(in_brief(comparison))
        return [_html(told), *budget, _html(_plain_table(rows)), _html(in_full(comparison))]

    def _chart(self) -> list[widgets.Widget]:
        return [_picture(charts.cost_against_date(self.state.comparison))]

    def _waiting(self) -> list[widgets.Widget]:
        return [_picture(charts.order_dates(self.state.comparison))]

    def _criteria(self) -> list[widgets.Widget]:
        return [Weights(self._weighed())]

    def _values(self) -> list[widgets.Widget]:
        """Show the bars of the weights as they stand; they follow the sliders of the screen before."""
        screen, line = self._weighed(), StatusLine()
        shown = _picture(weighted_values(screen.table))
        # It has no height of its own here: the picture takes the screen.
        line.layout.min_height = "0"

        def draw() -> None:
            shown.value = markup.picture(charts.for_projector(weighted_values(screen.table)))

        for slider in screen.sliders.values():
            slider.observe(lambda _: line.doing("Weights", draw), "value")
        return [line, shown]

    def _weighed(self) -> CriteriaScreen:
        """The committee's criteria, made once for the two screens that show them."""
        if self._criteria_screen is None:
            self._criteria_screen = CriteriaScreen(self.state)
        return self._criteria_screen

    def _money(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        if comparison.choice is None:
            return [_html(markup.large(f"{comparison.decision.in_short.capitalize()}; there is nothing to pay for."))]
        alone = comparison.museum.with_changes(vehicles=[comparison.museum.vehicle(comparison.vehicle)])
        fleet = fleet_of(alone, simulation.draw(alone, previous=comparison.samples), least_chance=0.0)
        seen = bank_forecast(fleet, [fleet.option(comparison.vehicle, comparison.choice)])
        return [_picture(bank_balance(seen))]

    def _cautions(self) -> list[widgets.Widget]:
        rows = [row for row in self.state.base.cautions if set(row.screens) & set(markup.CAUTION_SCREENS)]
        items = "".join(f"<li><b>{escape(row.topic.capitalize())}.</b> {escape(row.text)}</li>" for row in rows)
        return [_html(f'<ul class="hm-cautions">{items}</ul>')]


class Weights(widgets.VBox):
    """The sliders of the weights beside what each path is worth by them."""

    def __init__(self, screen: CriteriaScreen):
        self.screen = screen
        for name, box in screen.boxes.items():
            box.style.description_width, box.layout.width = "25em", "30em"
            screen.sliders[name].layout.width = "9em"
        middle = widgets.Layout(align_items="center")
        pairs = zip(screen.boxes.values(), screen.sliders.values(), strict=True)
        rows = widgets.VBox([widgets.HBox(pair, layout=middle) for pair in pairs])
        self.worth = widgets.HTML(layout=widgets.Layout(flex="1 1 16em", padding="0 0 0 1em"))
        self.changes = widgets.HTML(layout=_WIDE)
        both = widgets.HBox([widgets.VBox([rows, screen.reset]), self.worth], layout=_WIDE)
        super().__init__([screen.alert, both, self.changes], layout=_WIDE)
        # Called after the screen's own: by then it has weighed again.
        for slider in screen.sliders.values():
            slider.observe(self._show, "value")
        self._show()

    def _show(self, _: Any = None) -> None:
        options = sorted(self.screen.table.options, key=lambda option: -option.total)
        rows = [(markup.marked(o.number, o.path.replace("_", " ")), Html(f"<b>{o.total:.2f}</b>")) for o in options]
        said = f'<div role="status">{markup.large(self.screen.table.choice_in_words())}</div>'
        self.changes.value = f"<p>{escape(self.screen.table.changes_in_words())}</p>"
        self.worth.value = said + markup.table("Worth of each path, 0 to 1", ("Path", "Worth"), rows)


def _html(content: str) -> widgets.HTML:
    return widgets.HTML(content, layout=_WIDE)


def _picture(chart: charts.Chart) -> widgets.HTML:
    shown = widgets.HTML(markup.picture(charts.for_projector(chart)), layout=_WIDE)
    shown.add_class("hm-picture")
    return shown


def _plain_table(rows: list[tuple[str, str]]) -> str:
    body = "".join(f'<tr><th scope="row">{name}</th><td>{value}</td></tr>' for name, value in rows)
    return f'<table class="hm-facts"><tbody>{body}</tbody></table>'
