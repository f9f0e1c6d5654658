"""A slider with its number box and a line that says what holds; and the line of the last error."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from typing import Any

import ipywidgets as widgets

from heritagemove.panels import markup, sliders
from heritagemove.panels.sliders import Span
from heritagemove.panels.state import Desk

#: What stands in a panel while it computes, and what it says of itself after an error.
COMPUTING = f'<div role="status">{markup.note("Computing …")}</div>'
LAST_GOOD = "What is shown is the last good answer, from before this."


#: A slider that has not moved for so long has come to rest [s].
_RESTS_AFTER = 0.4


def running_loop() -> asyncio.AbstractEventLoop | None:
    """Return the loop that could wait for something; None outside a kernel."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None


class Control(widgets.VBox):
    """One slider of a state, its number box, and what holds.

    The box takes any number, and any unit of its kind, when Enter is pressed or the box is left: one beyond the
    slider widens it where the state takes it, and goes back to the last good value where not. Nothing is ever cut to
    the range in silence. A slider that moves nothing of the unit is greyed and says why.
    """

    def __init__(self, state: Desk, span: Span):
        self.state, self.span, self._quiet = state, span, False
        self._resting: asyncio.TimerHandle | None = None
        slider = widgets.IntSlider if span.whole else widgets.FloatSlider
        self.box = widgets.Text(
            description=f"{span.label} [{span.unit}]",
            tooltip=span.tooltip,
            continuous_update=False,
            layout=widgets.Layout(width="92px", margin="0", height="25px", flex="0 0 auto"),
        )
        thin = widgets.Layout(width="auto", min_width="0", flex="1 1 0", margin="0 10px 0 2px", height="18px")
        self.slider = slider(tooltip=span.tooltip, readout=False, layout=thin)
        self.back = button("", "refresh", f"{span.label}: back to what the tables say", self._clear)
        self.back.layout = widgets.Layout(width="26px", height="25px", margin="0 0 0 2px", padding="0", flex="0 0 auto")
        self.says = widgets.HTML(layout=widgets.Layout(margin="0", flex="0 0 auto"))
        whole, line = widgets.Layout(margin="0 0 3px", flex="0 0 auto"), widgets.Layout(margin="0", align_items="center")
        row = widgets.HBox([self.slider, self.box, self.back], layout=line)
        super().__init__([self.says, row, name_handles()], layout=whole)
        self.add_class("hm-control")
        self.fit(span)
        self.slider.observe(self._slid, "value")
        self.box.observe(self._typed, "value")

    def fit(self, span: Span) -> None:
        """Take over a range and show what the state holds, without setting anything."""
        self.span, self._quiet = span, True
        value = sliders.value_of(self.state, span)
        low, high = min(span.low, value), max(span.high, value)
        # The wider range first: a slider whose ends cross refuses them.
        self.slider.max, self.slider.min = (self._number(max(high, self.slider.min)), self._number(low))
        self.slider.max, self.slider.step = self._number(high), self._number(span.step)
        # On its step, or the browser would round it to one and hand that back as if somebody had moved it.
        steps = round((value - self.slider.min) / span.step) * span.step
        self.slider.value = self._number(min(self.slider.min + steps, self.slider.max))
        self.box.value = f"{value:,.6g}"
        self.slider.disabled = self.box.disabled = bool(span.idle)
        self.back.disabled = not sliders.is_set(self.state, span)
        self._quiet = False
        self._say(span.idle or sliders.says(self.state, span))

    def _say(self, words: str) -> None:
        """Show the name of the slider and what holds of it."""
        self.says.value = markup.named_small(f"{self.span.label} [{self.span.unit}]", words)

    def _number(self, value: float) -> float:
        return int(value) if isinstance(self.slider, widgets.IntSlider) else float(value)

    def _slid(self, change: dict[str, Any]) -> None:
        # The browser may hand a value back with a rounding error; nobody moved the slider then.
        if self._quiet or abs(change["new"] - change["old"]) < self.span.step * 1e-6:
            return
        # A slider tells each move, and not when it is let go: it is at rest when no other move has come for a while. Without
        # a loop that could wait, every move is taken for the last.
        loop = running_loop()
        self._set(change["new"], moving=loop is not None)
        if self._resting:
            self._resting.cancel()
        self._resting = loop and loop.call_later(_RESTS_AFTER, self.state.rest)

    def _typed(self, change: dict[str, Any]) -> None:
        if self._quiet:
            return
        try:
            value = sliders.read(self.state, self.span, change["new"])
        except ValueError as error:
            told = ValueError(f'found "{change["new"]}"; allowed: {error}')
            self.state.error = markup.alert(self.span.label, told, LAST_GOOD)
            self.fit(self.span)
        else:
            self._set(value)

    def _clear(self) -> None:
        """Take back what was set of this slider alone."""
        self._say("Computing …")
        sliders.clear(self.state, self.span)
        self.fit(self.span)

    def _set(self, value: float, moving: bool = False) -> None:
        self._say("Computing …")
        sliders.change(self.state, self.span, value, moving)
        self.fit(self.span)


class ErrorLine(widgets.HTML):
    """The last error of a state, escaped; blank where all is well."""

    def __init__(self, state: Desk):
        super().__init__(state.error, layout=widgets.Layout(width="100%"))
        state.observe(self._show, "error")

    def _show(self, change: dict[str, Any]) -> None:
        self.value = change["new"]


#: What the widgets leave out for who uses a keyboard or a screen reader; the script reads no value and runs once a page.
#: A slider's handle takes the label of its row as its name; what unfolds is opened by Enter and by the space bar; what
#: changes while a slider moves is told, and for that its place must have been there before.
_NAME_HANDLES = """
if (!window.heritagemoveNames) {
  const each = (selector, act) => document.querySelectorAll(selector).forEach(act);
  const name = () => {
    each(".noUi-handle:not([aria-label])", (handle) => {
      const labels = handle.closest(".hm-control, .widget-hbox")?.querySelectorAll("label") ?? [];
      const text = [...labels].map((label) => label.textContent.trim()).find(Boolean);
      if (text) handle.setAttribute("aria-label", text);
    });
    each(".jupyter-widget-Collapse-header:not([tabindex])", (header) => {
      header.tabIndex = 0;
      header.setAttribute("role", "button");
      header.dataset.lmSuppressShortcuts = "true";
      header.addEventListener("keydown", (event) => {
        if (event.key !== "Enter" && event.key !== " ") return;
        event.preventDefault();
        header.click();
      });
      const part = header.closest(".jupyter-widget-Collapse");
      const told = () => header.setAttribute("aria-expanded", part.classList.contains("jupyter-widget-Collapse-open"));
      new MutationObserver(told).observe(part, {attributes: true, attributeFilter: ["class"]});
      told();
    });
    each(".hm-live .widget-html-content:not([aria-live])", (place) => place.setAttribute("aria-live", "polite"));
  };
  window.heritagemoveNames = new MutationObserver(name);
  window.heritagemoveNames.observe(document.body, {childList: true, subtree: true});
  name();
}
"""


#: The name of a slider stands over it with what holds; the label that its box brings along is for screen readers.
_ONE_LABEL = """<style>.hm-control .widget-text > label { position: absolute; width: 1px; height: 1px; margin: -1px;
overflow: hidden; clip-path: inset(50%); }
.hm-control .widget-text > input[type="text"] { height: 24px; }</style>"""


def one_label() -> widgets.HTML:
    """Return the style that shows the name of each slider once."""
    return widgets.HTML(_ONE_LABEL, layout=widgets.Layout(display="none"))


def name_handles() -> widgets.Output:
    """Return what names the handles of a page's sliders for a screen reader; it shows nothing."""
    script = {"output_type": "display_data", "data": {"application/javascript": _NAME_HANDLES}, "metadata": {}}
    return widgets.Output(outputs=(script,), layout=widgets.Layout(display="none"))


class StatusLine(widgets.HTML):
    """The line of a panel that says it computes, or what went wrong; blank where all is well.

    Its height is kept, so that nothing below it jumps.
    """

    def __init__(self):
        super().__init__(layout=widgets.Layout(width="100%", min_height="28px"))

    def doing(self, name: str, work: Callable[[], Any], then: str = LAST_GOOD) -> bool:
        """Say that something is computed, and do it.

        Parameters
        ----------
        name : str
            What the planner moved or pressed, to name in an error.
        work : callable
            Shows nothing unless all of it can be shown.
        then : str, optional
            What holds after a failure.

        Returns
        -------
        bool
            Whether it was done; a failure becomes an escaped line.
        """
        self.value = COMPUTING
        try:
            work()
        except Exception as error:
            self.value = markup.alert(name, error, then)
            return False
        self.value = ""
        return True


class Chooser(widgets.VBox):
    """A chooser above what is shown of the one chosen."""

    def __init__(self, label: str, options: Sequence[tuple[str, Any]], value: Any, content: Callable[[Any], str]):
        wide = {"style": {"description_width": "initial"}, "layout": widgets.Layout(width="min(44em, 100%)")}
        self.chooser = widgets.Dropdown(description=label, options=options, value=value, **wide)
        self.alert, self.shown = StatusLine(), widgets.HTML(layout=widgets.Layout(width="100%"))
        self._content = content
        super().__init__([self.chooser, self.alert, self.shown])
        self.chooser.observe(lambda _: self.alert.doing(f"{label} {self.chooser.label}", self._show), "value")
        self._show()

    def follow(self) -> None:
        """Show the one chosen as it is now."""
        self._show()

    def _show(self) -> None:
        self.shown.value = self._content(self.chooser.value)


class EstimatingSwitch(widgets.Checkbox):
    """Switches off, and on again, what estimates turn out to be off by; every screen of the state follows."""

    def __init__(self, state: Desk):
        self.state = state
        tooltip = "What such work turns out to cost and last beyond the ranges of its rows, until quotes are in"
        super().__init__(
            state.comparison.estimating_error, description="With estimating error", indent=False, tooltip=tooltip
        )
        self.observe(self._switch, "value")
        state.watch(self._follow)

    def _switch(self, change: dict[str, Any]) -> None:
        on = change["new"]
        if on != self.state.comparison.estimating_error:
            self.state.change(f"Estimating error {'on' if on else 'off'}", estimating_error=on)

    def _follow(self) -> None:
        self.value = self.state.comparison.estimating_error


def button(words: str, icon: str, tooltip: str, pressed: Callable[[], Any]) -> widgets.Button:
    """Return a button that calls back without arguments."""
    made = widgets.Button(description=words, icon=icon, tooltip=tooltip)
    made.on_click(lambda _: pressed())
    return made
