"""The what-ifs a committee asks most: one slider, what changes in words, and a table of the paths it moves."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from typing import Any

import ipywidgets as widgets
import numpy as np

from heritagemove.answers.in_twenty_words import within_words
from heritagemove.answers.path_tables import STATUS_WORDS
from heritagemove.answers.what_if import what_if
from heritagemove.charts.at_a_glance import gone_by
from heritagemove.charts.marks import short_name
from heritagemove.compare.inputs import Inputs, answer, as_set
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine, button, name_handles
from heritagemove.panels.state import Desk
from heritagemove.trials import simulation
from heritagemove.units.described import Heading, Marked
from heritagemove.units.words import show_chance, show_date, show_rounded
from heritagemove.whole_site.doing_nothing import doing_nothing

_WIDE = widgets.Layout(width="100%")
#: Sentences, and rows of a table: each path now and then.
Said = tuple[tuple[str, ...], list[tuple[str, ...]]]


@dataclass(frozen=True)
class WhatIfQuestion:
    """One what-if."""

    label: str
    unit: str
    # of the slider, and where it begins
    low: int
    high: int
    step: int
    value: int
    # from the state and the slider's value
    answer: Callable[[Desk, int], Said]
    headings: tuple[str, ...]


class WhatIf(widgets.VBox):
    """A question with its slider, number box and answer."""

    def __init__(self, state: Desk, ask: Callable[[Desk], WhatIfQuestion], brief: bool = False):
        # On a wall one sentence is said, and the table shows the rest.
        self.state, self.question, self.brief = state, ask(state), brief
        found = self.question
        named = f"{found.label} [{found.unit}]"
        limits = {"min": found.low, "max": found.high, "value": found.value, "step": found.step, "tooltip": named}
        wide = {"style": {"description_width": "22em"}, "layout": widgets.Layout(width="30em")}
        self.box = widgets.BoundedIntText(description=named, **limits, **wide)
        self.slider = widgets.IntSlider(**limits, readout=False, layout=widgets.Layout(width="24em"))
        widgets.link((self.box, "value"), (self.slider, "value"))
        self.alert = StatusLine()
        self.words, self.table = (widgets.HTML(layout=_WIDE) for _ in range(2))
        row = widgets.HBox([self.box, self.slider], layout=widgets.Layout(align_items="center", flex_flow="row wrap"))
        super().__init__([row, self.alert, self.words, self.table, name_handles()])
        self.slider.observe(self._moved, "value")
        self._moved()

    def _moved(self, *_: Any) -> None:
        self.alert.doing(self.question.label, self._show)

    def _show(self) -> None:
        said, rows = self.question.answer(self.state, self.slider.value)
        first, *rest = (within_words(said[0]),) if self.brief else said
        more = "".join(f"<li>{escape(line)}</li>" for line in rest)
        table = markup.table("", self.question.headings, rows) if rows else ""
        self.words.value = f'<div role="status">{markup.large(first)}<ul style="line-height:1.4">{more}</ul></div>'
        self.table.value = table


def crane_idle(state: Desk) -> WhatIfQuestion:
    """Return the question of idle crane hours: what each path that hires a crane costs more."""
    currency = state.base.scenario.currency

    def answer(state: Desk, hours: int) -> Said:
        comparison = state.comparison
        lifted = [row for row in comparison.paths if _hires_a_crane(row) and row.status != "blocked" and row.cost]
        moves = [(row, what_if(comparison, row.path, "crane_hours", hours, state.memo)) for row in lifted]
        rows = [
            (
                Marked(row.number, _short(row)),
                row.cost and row.cost.p80,
                move.cost_usd,
                f"{move.days:+.0f} days" if move.days else "stays",
            )
            for row, move in moves
        ]
        if not moves:
            return ("No path that is open hires a crane: idle hours cost nothing.",), []
        named = dict((row.path, (row, move)) for row, move in moves)
        shown = [named[path] for path in (comparison.choice, comparison.fallback) if path in named] or moves[:1]
        said = [f"Path {row.number}, {_role(comparison, row)}: {move.in_words()}" for row, move in shown]
        if comparison.choice and comparison.choice not in named:
            best = comparison.path(comparison.choice)
            said.insert(0, f"Path {best.number}, the choice, hires no crane: idle hours cost it nothing.")
        return tuple(said), rows

    added = Heading("Idle hours add", kind="signed", unit=currency)
    headings = ("Path", f"P80 now, nobody refusing [{currency}]", added, "P80 date")
    return WhatIfQuestion("Crane stands idle", "hour", 0, 48, 1, 6, answer, headings)


def deadline_moved(state: Desk) -> WhatIfQuestion:
    """Return the question of another deadline: what is still in time."""
    currency = state.base.scenario.currency
    scenario = state.museum.scenario
    notice = (scenario.deadline - scenario.start).days

    def answer(state: Desk, days: int) -> Said:
        after = _with(state, Inputs(state.vehicle, state.settings, state.inputs.weight_tolerance, deadline_moved=days))
        date = show_date(state.base.scenario.deadline + dt.timedelta(days=days))
        said = f"Deadline {date}. {_in_short(after)}"
        chances = _rows(state.comparison, after, _chance, Comparison.set_aside)
        return (said, *_committed(state.comparison, after)), chances

    headings = ("Path", "Chance in time now", "Chance then", f"Set aside now [{currency}]", f"Set aside then [{currency}]")
    return WhatIfQuestion(
        "Deadline later by (below zero: earlier)", "day", max(1 - notice, -150), 60, 1, -30, answer, headings
    )


def heavier(state: Desk) -> WhatIfQuestion:
    """Return the question of a weight above the plate: what flips, and what it costs."""

    currency = state.base.scenario.currency

    def answer(state: Desk, percent: int) -> Said:
        weight = state.base.vehicle(state.vehicle).weight
        if weight is None:
            return ("Its weight is unknown: weigh it first.",), []
        tons = weight.m_as("short_ton") * (1 + percent / 100)
        inputs = Inputs(state.vehicle, state.settings | {"weight": tons}, state.inputs.weight_tolerance)
        after = _with(state, inputs)
        said = f"It weighs {tons * 2000:,.0f} lb. {_in_short(after)}"
        statuses = _rows(state.comparison, after, lambda _, result: STATUS_WORDS[result.status], Comparison.set_aside)
        return (said, *_stopped(state.comparison, after)), statuses

    headings = ("Path", "Status now", "Status then", f"Set aside now [{currency}]", f"Set aside then [{currency}]")
    return WhatIfQuestion("Heavier than stated by", "%", 0, 15, 1, 5, answer, headings)


def asbestos_stripped(state: Desk) -> WhatIfQuestion:
    """Return the question of asbestos that cannot stay sealed: what stripping it costs each path, in money and days."""
    currency = state.base.scenario.currency

    def answer(state: Desk, places: int) -> Said:
        before = state.comparison
        inputs = Inputs(state.vehicle, state.settings | {"asbestos_strips": float(places)}, state.inputs.weight_tolerance)
        after = _with(state, inputs)
        known = any(np.any(row.work.amounts.get("asbestos_places")) for row in before.paths)
        nothing = "No asbestos is entered for this unit: this is what a sample that finds some would change."
        caution = tuple(row.text for row in state.base.cautions if row.caution == "asbestos")
        said = (_in_short(after), *(_scrapped(before, after) if known else (nothing,)), *caution)
        return said, _rows(before, after, Comparison.set_aside, gone_by)

    costs = f"Set aside now [{currency}]", f"Set aside then [{currency}]"
    headings = ("Path", *costs, "Off site by now", "Off site by then")
    return WhatIfQuestion("Asbestos stripped, not sealed", "job", 0, 3, 1, 1, answer, headings)


#: The questions of a committee, by their words.
QUESTIONS: dict[str, Callable[[Desk], WhatIfQuestion]] = {
    "The crane stands idle": crane_idle,
    "The owner moves the deadline": deadline_moved,
    "It is heavier than stated": heavier,
    "Asbestos must be stripped, not sealed": asbestos_stripped,
}


class WhatIfs(widgets.VBox):
    """The questions, one at a time; an answer from before a change says so."""

    def __init__(self, state: Desk):
        self.state = state
        self.asked = widgets.Dropdown(description="What if", options=list(QUESTIONS), layout=widgets.Layout(width="34em"))
        # Shown once what is set has changed since the answer.
        self.again = button("Ask again", "refresh", "Answer from what is set now", self._ask)
        self.note, self.alert = widgets.HTML(), StatusLine()
        self._stale = widgets.HBox([self.note, self.again], layout=widgets.Layout(align_items="center"))
        self._top = widgets.VBox([self.asked, self.alert])
        super().__init__([])
        self.asked.observe(lambda _: self._ask(), "value")
        state.watch(self._moved)
        self._ask()

    def _ask(self) -> None:
        def work() -> None:
            self.shown = WhatIf(self.state, QUESTIONS[self.asked.value])
            self.children = [self._top, self.shown]

        self.alert.doing(self.asked.value, work)

    def _moved(self) -> None:
        self.note.value = markup.note("What is set above has changed since this answer.")
        self.children = [self._top, self._stale, self.shown]


def show_what_ifs(desk: Desk) -> WhatIfs:
    """Return the screen of the what-ifs that a committee asks most."""
    return WhatIfs(desk)


def _with(state: Desk, inputs: Inputs) -> Comparison:
    inputs = dataclasses.replace(inputs, estimating_error=state.inputs.estimating_error)
    museum = as_set(state.base, inputs)
    return answer(museum, inputs, simulation.draw(museum, previous=state.samples), state.memo)


def _scrapped(before: Comparison, after: Comparison) -> tuple[str, ...]:
    """Say what scrapping leaves to the owner now and then."""
    if not any(row.disposal == "scrapped" for row in before.museum.paths):
        return ()
    currency = before.museum.scenario.currency
    now, then = (doing_nothing(comparison).owner_pays for comparison in (before, after))
    if now is None or then is None:
        return ("What scrapping costs the owner is unknown.",)
    if now == then:
        return ("Scrapping costs the owner the same: what must be stripped for it is in its cost already.",)
    said = [f"{'costs' if money.p50 >= 0 else 'earns'} {abs(money.p50):,.0f} {currency}" for money in (now, then)]
    return (f"Scrapping, to the owner: {said[0]} at P50 now, {said[1]} then.",)


def _rows(before: Comparison, after: Comparison, *cells: Callable[[Comparison, PathResult], Any]) -> list[tuple[Any, ...]]:
    """Return one row per path that is open in one of the two: each cell as it is now, and as it would be then."""
    pairs = [(row, after.path(row.path)) for row in before.paths if row.saves]
    return [
        (Marked(pair[0].number, _short(pair[0])), *(c(*of) for c in cells for of in zip((before, after), pair, strict=True)))
        for pair in pairs
        if any(result.status in ("clear", "caution") for result in pair)
    ]


def _chance(comparison: Comparison, result: PathResult) -> str:
    chance = comparison.chance_all_in(result)
    return "unknown" if chance is None else show_chance(chance)


def _stopped(before: Comparison, after: Comparison) -> tuple[str, ...]:
    """Name what flips: the paths that are blocked now and were not, each with what stops it."""
    paths: dict[str, list[str]] = {}
    for row in before.paths:
        then = after.path(row.path)
        if then.status == "blocked" != row.status:
            paths.setdefault(then.reasons[0], []).append(str(row.number))
    lines = [f"Stops path {' and '.join(numbers)}: {reason}" for reason, numbers in paths.items()]
    return tuple(lines) or ("It stops no path.",)


def _committed(before: Comparison, after: Comparison) -> tuple[str, ...]:
    """Say which meeting decides at the latest, now and then."""
    return (f"Last meeting that decides: {meeting_in_words(after)}; as things stand: {meeting_in_words(before)}.",)


def _in_short(comparison: Comparison) -> str:
    currency = comparison.museum.scenario.currency
    if comparison.choice is None:
        return f"{comparison.decision.in_short.capitalize()}."
    best = comparison.path(comparison.choice)
    money = f"set aside {show_rounded(comparison.decision.budget.at_confidence)} {currency}"
    in_time = f"{show_chance(comparison.decision.chance_if_decided_then)} in time"
    return f"Path {best.number}, {short_name(best)}: {money}, {in_time}."


def _hires_a_crane(result: PathResult) -> bool:
    amount = result.work.amounts.get("crane_hours")
    return amount is not None and bool((amount > 0).any() if hasattr(amount, "any") else amount > 0)


def _short(result: PathResult) -> str:
    return result.path.replace("_", " ")


def _role(comparison: Comparison, result: PathResult) -> str:
    return {comparison.choice: "the choice", comparison.fallback: "the fallback"}.get(result.path, result.title)
