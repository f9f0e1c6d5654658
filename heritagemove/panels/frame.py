"""The frame around a screen: its heading, for what it holds, that it computes or what went wrong, and its cautions.

A screen is what its maker returns: markup, which is made again with every change of the desk; or a widget, whose
`follow` is called then. Where the desk turns to another museum, the whole screen is made anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

import ipywidgets as widgets

from heritagemove.compare.inputs import inputs_in_words
from heritagemove.museum.museum import Museum
from heritagemove.panels import markup
from heritagemove.panels.controls import LAST_GOOD
from heritagemove.panels.starter_values import starter_banner
from heritagemove.panels.state import Desk

_WIDE = widgets.Layout(width="100%")
#: Cautions by whom they keep from harm: on a path of the unit, on money, near the unit.
ON_THE_MOVE = ("rail", "road", "lifting", "jacking", "steam")
ON_MONEY = ("money", *ON_THE_MOVE)
NEAR_THE_UNIT = ("survey", "hazards")

#: After Run All JupyterLab stands at the last cell. What is above it moves up while answers grow, so it is told twice.
_TO_THE_TOP = """
const up = () => { for (let at = element; at; at = at.parentElement) at.scrollTop = 0; };
setTimeout(up, 200); setTimeout(up, 900);
"""


@dataclass(frozen=True)
class Screen:
    """What a notebook may show."""

    made_by: str  # module of the panels, and its function
    heading: str  # blank where the screen has its own, or needs none
    cautions: tuple[str, ...] = ON_THE_MOVE  # beside those of every screen; empty: the screen has them in its own text
    rests_on: str = ""  # why no input but the unit moves it; blank where the inputs do
    ends: bool = False  # whether a notebook ends with it: the answer at the top is then brought back into sight


class Frame(widgets.VBox):
    """A screen of a desk, with all that every screen has.

    Attributes
    ----------
    body : Widget
        The screen itself.
    """

    def __init__(self, desk: Desk, screen: Screen, make: Callable[[Desk], str | widgets.Widget]):
        self.desk, self.screen, self._make = desk, screen, make
        self.head = widgets.HTML(layout=widgets.Layout(width="100%", min_height="24px", margin="0"))
        self.cautions = widgets.HTML(layout=_WIDE)
        self.starters = widgets.HTML(layout=_WIDE)
        super().__init__(layout=_WIDE)
        self.add_class("hm-frame")
        self._open()
        desk.turning(self._reopen)

    def _open(self) -> None:
        """Make the screen of the desk's museum."""
        made = self._make(self.desk)
        self.body = widgets.HTML(made, layout=_WIDE) if isinstance(made, str) else made
        if self.screen.cautions:
            self.cautions.value = cautions_of(self.desk.base, self.screen.cautions)
        head, foot = [self.head] if self.screen.heading else [], [self.cautions] if self.screen.cautions else []
        self.starters.value = starter_banner(self.desk)
        shown = [*head, *([self.starters] if self.starters.value else []), self.body, *foot]
        self.children = [*shown, _to_the_top()] if self.screen.ends else shown
        if isinstance(made, str) or hasattr(made, "follow") or self.screen.heading:  # else it watches the desk itself
            self.desk.watch(self._follow)
        self._say()

    def _reopen(self) -> None:
        self._doing(self._open)

    def _follow(self) -> None:
        """Show what the desk holds now, or what was shown before and why."""
        self._doing(self._again)

    def _again(self) -> None:
        if hasattr(self.body, "follow"):
            self.body.follow()
        elif isinstance(self.body, widgets.HTML):
            made = self._make(self.desk)
            self.body.value = made
        self.starters.value = starter_banner(self.desk)
        self._say()

    def _doing(self, work: Callable[[], None]) -> None:
        self._say("Computing …; what is shown is the last good answer.")
        try:
            work()
        except Exception as error:
            self.head.value += markup.alert(self.screen.heading or "This screen", error, LAST_GOOD)
            if self.head not in self.children:
                self.children = [self.head, *self.children]

    def _say(self, now: str = "") -> None:
        holds = now or holds_for(self.desk, self.screen)
        look = "line-height:1.4;white-space:normal"
        # What is set is announced once, at the head of the notebook, and not by each screen again.
        role = ' role="status"' if now else ""
        self.head.value = f'<div{role} style="{look}"><b>{escape(self.screen.heading)}</b> {escape(holds)}</div>'


def holds_for(desk: Desk, screen: Screen) -> str:
    """Return for which unit a screen holds, and what is set, in words."""
    name = desk.base.vehicle(desk.vehicle).name
    return name if screen.rests_on else f"{name}; {', '.join(inputs_in_words(desk.base, desk.inputs))}"


def cautions_of(museum: Museum, topics: Sequence[str]) -> str:
    """Return the cautions of a screen: of every screen and on money in sight, the others to unfold."""
    seen = [row for row in museum.cautions if {"every", *set(topics) & {"money"}} & set(row.screens)]
    others = [row for row in museum.cautions if row not in seen and set(topics) & set(row.screens)]
    shown = "".join(f'<p style="margin:6px 0;line-height:1.4">{_caution(row)}</p>' for row in seen)
    items = "".join(f"<li>{_caution(row)} <i>{escape(row.source)}</i></li>" for row in others)
    near = "Before anyone goes near it" if set(topics) & set(NEAR_THE_UNIT) else "Before anyone moves, lifts or hauls it"
    return shown + (markup.unfold(f"{near}: {len(others)} cautions", f"<ul>{items}</ul>") if others else "")


def _caution(row: object) -> str:
    return f"<b>{escape(row.topic[:1].upper() + row.topic[1:])}.</b> {escape(row.text)}"


def _to_the_top() -> widgets.Output:
    """Return what brings the head of a notebook into sight when it is shown; it shows nothing itself."""
    script = {"output_type": "display_data", "data": {"application/javascript": _TO_THE_TOP}, "metadata": {}}
    return widgets.Output(outputs=(script,), layout=widgets.Layout(display="none"))
