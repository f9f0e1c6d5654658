"""The units of a site together, on screen: what a budget saves, who pays what, and what a shared crane saves."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from html import escape
from typing import Any

import ipywidgets as widgets

from heritagemove.charts import fleet as drawn
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine
from heritagemove.panels.markup import Html, paragraph
from heritagemove.panels.state import Desk
from heritagemove.trials.simulation import date_of
from heritagemove.units.described import Heading, Marked
from heritagemove.units.words import show_date, without_brackets
from heritagemove.whole_site.best_set import Plan, best_set, changed_paths
from heritagemove.whole_site.fleet import Fleet, Option, allocate, in_company, largest_party, parties
from heritagemove.whole_site.lost_funds import sure_money

_WIDE = widgets.Layout(width="100%")
_NOTE = (
    "Each unit counts with its points if its path has it off the site by the deadline with the chance asked for. "
    "The cost is that of the set in the same trials, each call-out once: not a sum of single figures."
)


NOBODY = "No unit can be saved as things stand, so there is nothing to do together."


def show_sets(desk: Desk) -> str:
    """Show what is decided for the site, the cheapest set for each significance, and what the next money buys."""
    decided, fleet = desk.site, desk.site.fleet
    currency = fleet.museum.scenario.currency
    plans, now = decided.plans, decided.plan
    rows = [
        (
            f"{plan.points} (the money carries this)" if plan is now else plan.points,
            plan.expected,
            units_of(plan.options),
            plan.cost.p50,
            plan.at_confidence,
            "yes" if plan.proved else "no: the best found in the time allowed",
        )
        for plan in plans
        if plan.options
    ]
    headings = ("Points saved", Heading("Expected", kind="tenths"), "Units and their paths", f"Cost P50 [{currency}]",
                f"Cost at {fleet.confidence:.0%} [{currency}]", "Proved cheapest")  # fmt: skip
    return (
        markup.large(decided.in_words)
        + markup.picture(drawn.money_against_significance(decided, sure_money(fleet)))
        + markup.table("Cheapest set for each number of points", headings, rows, (14, 10, 42, 11, 11, 12))
        + _left_out(fleet)
        + paragraph(_NOTE)
        + markup.picture(drawn.next_money(plans))
    )


def units_of(options: Sequence[Option]) -> tuple[Marked, ...] | str:
    """Return the paths of a set with the names of their units, as a table has them."""
    return tuple(Marked(o.number, f"{o.name}: {o.way}") for o in options) or "nobody"


def units_and_paths(options: Sequence[Option]) -> Html:
    """Return the units of a set with the marks of their paths."""
    return Html("<br>".join(f"{escape(o.name)}: {markup.marked(o.number, o.way)}" for o in options) or "nobody")


def _left_out(fleet: Fleet) -> str:
    names = {row.vehicle: row.name for row in fleet.museum.vehicles}
    lines = (f"<li><b>{escape(names[vehicle])}</b>: {escape(why)}.</li>" for vehicle, why in fleet.left_out.items())
    return f"<p>Cannot be saved as things stand:</p><ul>{''.join(lines)}</ul>" if fleet.left_out else ""


def show_shares(desk: Desk) -> str:
    """Show who pays what in the largest set, one more unit at a time and in equal shares, and whose path others change."""
    fleet, plan = desk.site.fleet, next(reversed(desk.site.plans), None)
    if plan is None:
        return paragraph(NOBODY)
    currency = fleet.museum.scenario.currency
    rows = [
        (
            Marked(share.option.number, share.option.name),
            share.alone.mean,
            share.one_more,
            share.equal,
            share.saved_without,
        )
        for share in allocate(plan.options)
    ]
    rows.append(("All together", "", plan.cost.mean, plan.cost.mean, ""))
    headings = (
        "Unit",
        f"Alone [{currency}]",
        f"Adds to the units above it [{currency}]",
        f"In equal shares [{currency}]",
        f"Saved if it stays behind [{currency}]",
    )
    changed = "".join(
        f"<li>{escape(option.name)}: alone {escape(alone.by)}; in this set {escape(option.by)}.</li>"
        for alone, option in changed_paths(fleet, plan)
    )
    moved = f"<p>Units that take another path in this set than alone:</p><ul>{changed}</ul>"
    return (
        markup.table("Means over the trials, each call-out once", headings, rows)
        + (moved if changed else paragraph("Every unit takes the same path as alone."))
        + _visits(fleet, plan)
    )


def _visits(fleet: Fleet, plan: Plan) -> str:
    museum = fleet.museum
    titles = {row.call_out: row.title for row in museum.call_outs} | {row.crane: row.title for row in museum.cranes}
    titles |= {row.trailer: row.title for row in museum.trailers} | {row.flat_car: row.title for row in museum.flat_cars}
    lines = "".join(
        f"<li>{escape(titles[visit.call_out[1] or visit.call_out[0]])}: from "
        f"{show_date(date_of(fleet.museum, visit.begins))} to {show_date(date_of(fleet.museum, visit.ends))}; "
        f"it must be done by {show_date(date_of(fleet.museum, visit.last))}.</li>"
        for visit in plan.visits
    )
    said = "A call-out comes when its last unit is ready and takes one unit after another; days at the museum's confidence:"
    return f"<p>{said}</p><ul>{lines}</ul>" if lines else ""


def show_crane(desk: Desk) -> str:
    """Show what one crane saves as one unit after the other shares it."""
    fleet = desk.site.fleet
    currency = fleet.museum.scenario.currency
    found = parties(fleet, largest_party(fleet))
    if not found:
        return paragraph("No two units could share a crane.")
    rows = [
        (
            len(party.options),
            units_of(party.options),
            party.apart,
            party.together,
            party.saved,
            party.call_out,
        )
        for party in found
    ]
    headings = (
        "Units",
        "Which",
        f"Apart [{currency}]",
        f"Together [{currency}]",
        f"Saved [{currency}]",
        f"The crane's call-out, charged once [{currency}]",
    )
    note = (
        "Apart, each unit calls the crane it needs; together, all use the largest, with its checks run again for each, "
        "its dearer hours and every other shared call-out counted. Means over the trials."
    )
    return (
        markup.picture(drawn.shared_call_out(found))
        + markup.table("Units that share one crane call-out", headings, rows, (7, 48, 10, 10, 10, 15))
        + paragraph(note)
    )


def show_company(desk: Desk, others: Sequence[tuple[str, str]] | None = None) -> str:
    """Show what each path of the unit adds when others go anyway, beside what it costs alone.

    Parameters
    ----------
    others : sequence of (str, str), optional
        Unit and path of those that go anyway; when left out, the first other unit that could share a crane.

    Raises
    ------
    PlannerError
        If a unit has no such option.
    """
    fleet, vehicle = desk.site.fleet, desk.vehicle
    currency = fleet.museum.scenario.currency
    sharing = [option for option in largest_party(fleet) if option.vehicle != vehicle][:1]
    going = sharing if others is None else [fleet.option(unit, path) for unit, path in others]
    if not going or not fleet.of(vehicle):
        return paragraph(f"Nobody to go with: {fleet.left_out.get(vehicle, 'no other unit could share a crane')}.")
    found = in_company(fleet, vehicle, going)
    rows = [
        (
            Marked(row.option.number, row.option.way),
            *(usd for usd in (row.alone.p50, row.alone.p80, row.together.p50, row.together.p80)),
            row.option.chance,
        )
        for row in found
    ]
    headings = (
        "Path",
        f"Alone P50 [{currency}]",
        f"Alone P80 [{currency}]",
        f"Added P50 [{currency}]",
        f"Added P80 [{currency}]",
        Heading("Chance by the deadline", kind="chance"),
    )
    name = without_brackets(fleet.museum.vehicle(vehicle).name)
    anyway = "; ".join(f"{option.name} by {option.way}" for option in going)
    return (
        paragraph(f"Goes anyway: {anyway}.")
        + markup.picture(drawn.company_bars(name, found, going))
        + markup.table(f"Paths of {name}, alone and in company", headings, rows)
    )


class UnitChooser(widgets.VBox):
    """A budget, a confidence, and the marks must save and never: which set is best.

    A search that is asked for works in a thread, so that Stop is heard; what is known by then is the answer.
    """

    def __init__(self, desk: Desk, budget_usd: float | None = None):
        self.desk, self.fleet, self.plan = desk, desk.site.fleet, None
        fleet, currency = self.fleet, desk.base.scenario.currency
        if budget_usd is None:
            budget_usd = sure_money(fleet) if desk.inputs.budget_usd is None else desk.inputs.budget_usd
        names = [(row.name, row.vehicle) for row in fleet.museum.vehicles]
        wide = {"style": {"description_width": "9em"}, "layout": widgets.Layout(width="34em")}
        span = {"min": 0, "max": 1e9, "step": 10_000}
        self.budget = widgets.BoundedFloatText(budget_usd, description=f"Budget [{currency}]", **span, **wide)
        self.confidence = widgets.BoundedFloatText(
            100 * fleet.confidence, min=1, max=99, step=1, description="Confidence [%]", **wide
        )
        self.must = widgets.SelectMultiple(options=names, rows=len(names), description="Must save", **wide)
        self.never = widgets.SelectMultiple(options=names, rows=len(names), description="Never", **wide)
        self.find = widgets.Button(description="Find the best set", button_style="primary")
        self.stop = widgets.Button(description="Stop", icon="stop", tooltip="Keep the best set found so far", disabled=True)
        self.bar = widgets.IntProgress(layout=widgets.Layout(width="16em", visibility="hidden"))
        self.progress, self.answer = StatusLine(), widgets.HTML(layout=_WIDE)
        marks = widgets.HBox([self.must, self.never], layout=widgets.Layout(flex_flow="row wrap"))
        buttons = widgets.HBox([self.find, self.stop, self.bar], layout=widgets.Layout(flex_flow="row wrap"))
        super().__init__([self.budget, self.confidence, marks, buttons, self.progress, self.answer])
        self._stopped, self._work = threading.Event(), None
        self.find.on_click(self._find)
        self.stop.on_click(self._stop)
        self._run()

    def _find(self, *_: Any) -> None:
        """Search in a thread: in the kernel's own, a click on Stop would wait for the end of the search."""
        self.find.disabled, self.stop.disabled = True, False
        self._stopped.clear()
        self._work = threading.Thread(target=self._run, daemon=True)
        self._work.start()

    def _stop(self, *_: Any) -> None:
        self._stopped.set()
        self.stop.disabled = True

    def follow(self) -> None:
        """Search among what may be chosen as the desk has it now; a search that goes on is stopped first."""
        self._stop()
        self.wait()
        self._stopped.clear()
        self.fleet = self.desk.site.fleet
        self._run()

    def wait(self) -> None:
        """Wait until the search that was asked for has answered."""
        if self._work is not None:
            self._work.join()

    def _run(self) -> None:
        self.bar.layout.visibility = "visible"
        self.progress.doing("Find the best set", self._search)
        self.bar.layout.visibility = "hidden"
        self.find.disabled, self.stop.disabled = False, True

    def _search(self) -> None:
        try:
            self.plan = best_set(
                self.fleet,
                self.budget.value,
                self.confidence.value / 100,
                self.must.value,
                self.never.value,
                progress=self._report,
            )
        except ValueError as error:
            self.plan = None
            self.answer.value = markup.alert("No set", error, "Change the budget, the confidence or what must be saved.")
            return
        stopped = paragraph("Stopped: this is the best set found until then.") if self._stopped.is_set() else ""
        self.answer.value = stopped + _answer(self.fleet, self.plan)

    def _report(self, done: int, steps: int, what: str) -> bool:
        self.bar.max, self.bar.value = steps, done
        self.progress.value = f'<p role="status">{done} of {steps}: {escape(what)}</p>'
        return not self._stopped.is_set()


def _answer(fleet: Fleet, plan: Plan) -> str:
    currency = fleet.museum.scenario.currency
    more = f"at most {plan.most_points} points could be had" if plan.most_points > plan.points else "a cheaper one may exist"
    proof = "proved best" if plan.proved else f"not proved: {more}"
    said = f"{plan.points} points for {plan.at_confidence:,.0f} {currency} at the confidence asked for ({proof})"
    rows = [(o.name, Marked(o.number, o.way), o.points, o.chance) for o in plan.options]
    return (
        f'<p role="status" style="font-size:20px;font-weight:600;margin:8px 0">{escape(said)}</p>'
        + markup.table("The set", ("Unit", "Path", "Points", Heading("Chance by the deadline", kind="chance")), rows)
        + _visits(fleet, plan)
    )


def choose_units(desk: Desk, budget_usd: float | None = None) -> UnitChooser:
    """Show a chooser of units: budget, confidence, must save and never.

    Parameters
    ----------
    budget_usd : float, optional
        Where it begins [USD]; the budget that is set, or what the funds give for sure, when left out.
    """
    return UnitChooser(desk, budget_usd)
