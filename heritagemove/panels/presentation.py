"""The presentation for the committee: one sentence and one picture per screen, next and back, no code.

What is moved on a screen stays on it: each what-if is answered against what the tables say.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from html import escape
from typing import Any

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.answers import in_twenty_words
from heritagemove.answers.in_twenty_words import within_words
from heritagemove.answers.photographs import Photograph, photographs_of
from heritagemove.answers.route import strip
from heritagemove.charts.criteria import weighted_values
from heritagemove.charts.funding import bank_balance
from heritagemove.charts.unit_drawing import unit_drawing
from heritagemove.panels import markup
from heritagemove.panels.controls import COMPUTING, StatusLine
from heritagemove.panels.criteria import CriteriaScreen
from heritagemove.panels.frame import ON_THE_MOVE
from heritagemove.panels.state import Desk
from heritagemove.panels.what_ifs import WhatIf, crane_idle, deadline_moved, heavier
from heritagemove.trials import simulation
from heritagemove.units.described import Heading, Marked
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_date
from heritagemove.whole_site.fleet import fleet_of
from heritagemove.whole_site.funding import bank_forecast

_WIDE = widgets.Layout(width="100%")


def present(desk: Desk) -> Presentation:
    """Return the committee's presentation of the desk's unit."""
    return Presentation(desk)


class Presentation(widgets.VBox):
    """Screens with a heading, one sentence and one picture, one at a time; a screen is made when it is first reached."""

    def __init__(self, state: Desk):
        # The number of the screen shown, from 0, and what was made of each.
        self.state, self.at, self._made = state, 0, {}
        self._criteria_screen: CriteriaScreen | None = None
        self.screens = self._screens()
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

    def _screens(self) -> tuple[tuple[str, Callable[[], list[widgets.Widget]]], ...]:
        """Return the heading of each screen, and what makes its content; those of a choice need one."""
        state, chosen = self.state, self.state.comparison.choice is not None
        all_screens: tuple[tuple[str, Callable[[], list[widgets.Widget]], bool], ...] = (
            ("What we are asked to resolve", self._motion, True),
            ("What it is about", self._photograph, bool(self._whole())),
            ("Cost against date: every path", self._chart, True),
            ("What it costs", self._cost, chosen),
            ("The way to the museum", self._way, chosen),
            ("How it travels", self._unit, chosen),
            ("The worst case", self._worst, chosen),
            ("What if they say no?", self._refused, chosen),
            ("How long may we wait?", self._waiting, True),
            ("What if the crane stands idle?", lambda: [WhatIf(state, crane_idle, brief=True)], True),
            ("What if the owner moves the deadline?", lambda: [WhatIf(state, deadline_moved, brief=True)], True),
            ("What if it is heavier than stated?", lambda: [WhatIf(state, heavier, brief=True)], True),
            ("What matters most to us?", self._criteria, True),
            ("How each path measures up", self._values, True),
            ("How much money, and when?", self._money, chosen),
            ("Before anyone moves it", self._cautions, True),
        )
        return tuple((heading, make) for heading, make, shown in all_screens if shown)

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
        self._made, self._criteria_screen, self.screens = {}, None, self._screens()
        self.go(self.at)

    def _motion(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        return _shown(in_twenty_words.motion_in_brief(comparison), charts.at_a_glance(comparison))

    def _whole(self) -> Photograph | None:
        """The first photograph of the whole unit that can be shown."""
        for found in photographs_of(self.state.base, self.state.vehicle):
            with contextlib.suppress(PlannerError):
                if found.whole and found.small(64):
                    return found
        return None

    def _photograph(self) -> list[widgets.Widget]:
        """Show the unit, and by when it must be gone."""
        picture = widgets.HTML(markup.photograph(self._whole(), 640), layout=_WIDE)
        picture.add_class("hm-picture")
        scenario, name = self.state.museum.scenario, self.state.base.vehicle(self.state.vehicle).name
        gone = f"must be gone by {show_date(scenario.deadline)}, or is scrapped on {show_date(scenario.forced_scrap)}"
        return [_html(markup.large(within_words(f"{name} {gone}.", f"It {gone}."))), picture]

    def _chart(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        return _shown(in_twenty_words.comparison_in_brief(comparison), charts.cost_against_date(comparison))

    def _cost(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        return _shown(in_twenty_words.money_in_brief(comparison), charts.budget_bars(comparison))

    def _way(self) -> list[widgets.Widget]:
        way = strip(self.state.comparison, self.state.comparison.choice)
        return _shown(in_twenty_words.way_in_brief(way), charts.route_strip(way, brief=True))

    def _unit(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        drawing = unit_drawing(comparison.museum, comparison.vehicle, comparison.choice, wide=True)
        return _shown("The unit to scale, in the tightest place on its way.", drawing)

    def _worst(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        picture = charts.tornado(comparison, comparison.choice, "cost")
        return _shown(in_twenty_words.worst_case_in_brief(comparison), picture)

    def _refused(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        return _shown(in_twenty_words.refusal_in_brief(comparison), charts.refusal_bars(comparison))

    def _waiting(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        return _shown(in_twenty_words.waiting_in_brief(comparison), charts.order_dates(comparison))

    def _criteria(self) -> list[widgets.Widget]:
        return [Weights(self._weighed())]

    def _values(self) -> list[widgets.Widget]:
        """Show the bars of the weights as they stand; they follow the sliders of the screen before."""
        screen, line = self._weighed(), StatusLine()
        told, shown = _shown(_worth(screen), weighted_values(screen.table))
        # It has no height of its own here: the picture takes the screen.
        line.layout.min_height = "0"

        def draw() -> None:
            told.value = markup.large(_worth(screen))
            shown.value = markup.picture(charts.for_projector(weighted_values(screen.table)))

        for slider in screen.sliders.values():
            slider.observe(lambda _: line.doing("Weights", draw), "value")
        return [line, told, shown]

    def _weighed(self) -> CriteriaScreen:
        """The committee's criteria, made once for the two screens that show them."""
        if self._criteria_screen is None:
            self._criteria_screen = CriteriaScreen(self.state)
        return self._criteria_screen

    def _money(self) -> list[widgets.Widget]:
        comparison = self.state.comparison
        alone = comparison.museum.with_changes(vehicles=[comparison.museum.vehicle(comparison.vehicle)])
        fleet = fleet_of(alone, simulation.draw(alone, previous=comparison.samples), least_chance=0.0)
        seen = bank_forecast(fleet, [fleet.option(comparison.vehicle, comparison.choice)])
        return _shown(in_twenty_words.account_in_brief(seen.chance_it_lasts), bank_balance(seen))

    def _cautions(self) -> list[widgets.Widget]:
        rows = [row for row in self.state.base.cautions if set(row.screens) & {"every", *ON_THE_MOVE}]
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
        both = widgets.HBox([widgets.VBox([rows, screen.reset]), self.worth], layout=_WIDE)
        super().__init__([screen.alert, both], layout=_WIDE)
        # Called after the screen's own: by then it has weighed again.
        for slider in screen.sliders.values():
            slider.observe(self._show, "value")
        self._show()

    def _show(self, _: Any = None) -> None:
        options = sorted(self.screen.table.options, key=lambda option: -option.total)
        rows = [(Marked(o.number, o.path.replace("_", " ")), o.total) for o in options]
        said = f'<div role="status">{markup.large(_worth(self.screen))}</div>'
        headings = ("Path", Heading("Worth", kind="hundredths"))
        self.worth.value = said + markup.table("Worth of each path, 0 to 1", headings, rows)


def _worth(screen: CriteriaScreen) -> str:
    return within_words(screen.table.choice_in_words(), screen.table.choice_in_brief())


def _html(content: str) -> widgets.HTML:
    return widgets.HTML(content, layout=_WIDE)


def _shown(sentence: str, chart: charts.Chart) -> list[widgets.Widget]:
    """Return one sentence and one picture."""
    picture = widgets.HTML(markup.picture(charts.for_projector(chart)), layout=_WIDE)
    picture.add_class("hm-picture")
    return [_html(markup.large(sentence)), picture]
