"""What a path's money is made of, how sure a budget and a date are, and what the trials cannot tell, on screen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from heritagemove import charts
from heritagemove.answers import money_tables
from heritagemove.answers.contingency import contingency_curve
from heritagemove.answers.correlation import with_and_without, without_correlation
from heritagemove.answers.deadlines import each_unit
from heritagemove.answers.joint_confidence import JointConfidence, joint_confidence
from heritagemove.answers.outside_view import outside_view
from heritagemove.answers.whole_cost import WholeCost, whole_cost
from heritagemove.answers.worth_of_quotes import worth_in_words
from heritagemove.charts import influence, one_path
from heritagemove.compare.results import Comparison
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine
from heritagemove.panels.markup import paragraph
from heritagemove.panels.state import Desk
from heritagemove.trials import simulation
from heritagemove.trials.simulation import date_of
from heritagemove.units.described import Heading, Marked
from heritagemove.units.units import PlannerError

_WIDE = widgets.Layout(width="100%")
#: What a screen shows of the table of costs; a workbook holds all of it.
_COST_COLUMNS = ("Cost line or risk", "Phase", "Mean", "P10", "P90", "Amount rests on", "Row of cost_lines.csv")
_CONFIDENCES = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95)
_NONE = "No path can be chosen: name one to see what it costs."


def show_cost_lines(desk: Desk, path: str | None = None) -> str:
    """Show the cost of a path by phase and line, and what moves it most.

    Parameters
    ----------
    path : str, optional
        Id of the path; the choice when left out, in this and the other screens of this module.
    """
    return _of_path(desk, path, _cost_lines)


def show_contingency(desk: Desk, path: str | None = None) -> str:
    """Show how much money above the likely sum a path needs to a confidence; parameters as for :func:`show_cost_lines`."""
    return _of_path(desk, path, _contingency)


def show_joint(desk: Desk, path: str | None = None) -> str:
    """Show the chance that budget and date both hold; parameters as for :func:`show_cost_lines`."""
    return _of_path(desk, path, _joint)


def show_correlation(desk: Desk) -> str:
    """Show the spread of choice and fallback, or of the priced paths, with correlation and without."""
    return _correlation(desk.comparison)


def show_risks(desk: Desk, path: str | None = None) -> str:
    """Show the risks of a path, the dearest first; parameters as for :func:`show_cost_lines`."""
    return _of_path(desk, path, _risks)


def show_half_widths(desk: Desk) -> str:
    """Show by how much each number may be off because the trials are a sample."""
    return _half_widths(desk.comparison)


def show_deadlines(desk: Desk) -> DeadlineScreen:
    """Return the chance of every path of every unit by a date that is chosen."""
    return DeadlineScreen(desk)


def _of_path(desk: Desk, path: str | None, content: Callable[[Comparison, str], str]) -> str:
    chosen = desk.base.path(path).path if path else desk.comparison.choice
    return content(desk.comparison, chosen) if chosen else paragraph(_NONE)


def _cost_lines(comparison: Comparison, path: str) -> str:
    result = comparison.path(path)
    unknown = ", ".join(result.trials.unknown).replace("_", " ")
    table = money_tables.table_of_costs(result).only(*_COST_COLUMNS)
    return (
        markup.picture(one_path.cost_by_phase(comparison, path))
        + (markup.picture(influence.tornado(comparison, path, "cost")) if result.cost else "")
        + (markup.picture(influence.tornado(comparison, path, "off_site")) if result.off_site else "")
        + (paragraph(f"Unknown, so not in the sum: {unknown}.") if unknown else "")
        + _whole(whole_cost(comparison, path))
        + markup.unfold(f"What it is made of: all {len(table)} lines, risks and charges", markup.table_of(table))
    )


def _whole(found: WholeCost | None) -> str:
    """Return who pays the work and what comes every year after it."""
    if found is None:
        return ""
    upkeep = money_tables.table_of_upkeep(found).only("Every year after the arrival", "Low", "Likely", "High")
    return paragraph(found.in_words()) + (markup.table_of(upkeep) if upkeep else "")


def _contingency(comparison: Comparison, path: str) -> str:
    currency = comparison.museum.scenario.currency
    if comparison.path(path).cost is None:
        return paragraph("The cost of this path is unknown, so there is nothing to add a contingency to.")
    found = contingency_curve(comparison, path, _CONFIDENCES)
    rows = [
        (row.confidence, row.budget_usd, row.over_point_usd, row.over_p50_usd)
        for row in found.itertuples()
    ]
    headings = (
        Heading("Confidence", kind="chance"),
        Heading("Budget", kind="whole", unit=currency),
        Heading("Above the sum of likely values", kind="signed", unit=currency),
        Heading("Above P50", kind="signed", unit=currency),
    )
    table = markup.table("Contingency by confidence, if nothing is refused", headings, rows)
    said = (outside_view(comparison, path), worth_in_words(comparison, path), comparison.spread_in_words)
    joined = markup.picture(charts.budget_bars(comparison)) + markup.budget(comparison) if path == comparison.choice else ""
    return joined + markup.picture(charts.chance_by_budget(comparison, path)) + table + "".join(map(paragraph, said))


def _joint(comparison: Comparison, path: str) -> str:
    currency = comparison.museum.scenario.currency
    result = comparison.path(path)
    if result.cost is None or result.trials.off_site is None:
        return paragraph("This path has no cost or no date, so there is no chance of both.")
    played = result.branch is not None
    counted = (("refusals played out", True), ("gates met", False))
    found = [(word, joint_confidence(comparison, path, refusals)) for word, refusals in counted if played or not refusals]
    headings = (
        "Counting",
        Heading("Budget that holds", kind="whole", unit=currency),
        Heading("Date that holds", kind="date"),
        Heading("Both hold", kind="chance"),
        Heading("In time", kind="chance"),
        Heading("In time and within budget", kind="chance"),
    )
    level = f"{found[0][1].confidence:.0%}"
    return (
        markup.picture(charts.joint_chances(comparison, path, with_fallback=played))
        + markup.table(f"Budget and date, each at {level}", headings, [_joint_row(comparison, *entry) for entry in found])
        + paragraph(
            "Two promises kept with the same chance are kept together less often. With refusals played out, a trial in "
            "which nobody saves the unit meets no date."
        )
    )


def _joint_row(comparison: Comparison, word: str, found: JointConfidence) -> tuple[Any, ...]:
    date = "none" if found.day is None else date_of(comparison.museum, found.day)
    both = "none" if found.chance is None else found.chance
    return word, found.budget_usd, date, both, found.in_time, found.both


def _correlation(comparison: Comparison) -> str:
    currency = comparison.museum.scenario.currency
    wanted = [path for path in (comparison.choice, comparison.fallback) if path and comparison.path(path).cost]
    wanted = wanted or [result.path for result in comparison.paths if result.cost][:2]
    if not wanted:
        return paragraph("No path is priced.")
    museum = without_correlation(comparison.base)
    alone = simulation.draw(museum, comparison.samples.seed, comparison.samples.trials)
    found = [with_and_without(comparison, path, alone) for path in wanted]
    rows = [
        (
            Marked(entry.together.number, entry.together.title),
            entry.together.cost.p80,
            entry.alone.cost.p80,
            entry.missed_usd,
            f"{entry.merge_days[0]:+.1f}, {entry.merge_days[1]:+.1f}",
        )
        for entry in found
    ]
    headings = ("Path", f"P80 with correlation [{currency}]", f"P80 without [{currency}]",
                Heading("Understated without it", kind="signed", unit=currency),
                "Merge effect on the mean date: with, without [days]")  # fmt: skip
    settings = comparison.museum.scenario.correlation
    return (
        markup.picture(charts.correlation_pairs(found))
        + markup.table("With correlation and without", headings, rows)
        + paragraph(
            "Merge effect: how much later the mean date is than the date that mean durations give, because the latest of "
            "several chains sets the date and a missed window waits for the next one."
        )
        + paragraph(f"Strength of the correlation: {settings.basis}; {settings.source}.")
    )


def _risks(comparison: Comparison, path: str) -> str:
    return markup.table_of(money_tables.table_of_risks(comparison, path))


def _half_widths(comparison: Comparison) -> str:
    return markup.table_of(money_tables.table_of_half_widths(comparison)) + paragraph(
        "This is only the error of counting trials. A wrong low or high value in a row matters far more."
    )


class DeadlineScreen(widgets.VBox):
    """A date to choose, and the chance of every path of every unit by then."""

    def __init__(self, desk: Desk):
        self.desk, scenario = desk, desk.museum.scenario
        self.date = widgets.DatePicker(description="Off the site by", value=scenario.deadline, min=scenario.start,
                                       style={"description_width": "initial"})  # fmt: skip
        self.refusals = widgets.Checkbox(description="Play out refusals and fallbacks", indent=False)
        self.alert = StatusLine()
        self.picture = widgets.HTML(layout=_WIDE)
        super().__init__([widgets.HBox([self.date, self.refusals]), self.alert, self.picture])
        self.follow()
        self.date.observe(self._answer, "value")
        self.refusals.observe(self._answer, "value")

    def follow(self) -> None:
        """Show every unit on the draws of what is set now."""
        self.comparisons = each_unit(self.desk.comparison)
        self._answer()

    def _answer(self, *_: Any) -> None:
        self.alert.doing("Off the site by", self._show)

    def _show(self) -> None:
        if not isinstance(self.date.value, dt.date):
            raise PlannerError("found no date; allowed: a date")
        self.picture.value = markup.picture(charts.deadline_table(self.comparisons, self.date.value, self.refusals.value))
