"""The forecast again at each status date: quotes and invoices in place of ranges, tasks as they happened.

Nothing here prices or dates a trial: a status date makes a changed museum and changed draws, and the same
simulation answers.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from heritagemove.compare.comparison import compare_paths, price_path
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.compare.verdict import if_chosen
from heritagemove.following.commitments import STANDS_ON, Position, as_forecast, positions, with_positions
from heritagemove.following.earned_value import EarnedValue, earned_value
from heritagemove.following.progress import as_of, known_by
from heritagemove.museum.memo import Ask, Memo
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.progress import Progress
from heritagemove.trials import simulation
from heritagemove.trials.simulation import Samples
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_chance, show_date

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Forecast:
    """One path of one unit as forecast at a status date."""

    plan: Comparison  # the comparison that the path was chosen on
    path: str
    on: dt.date  # what happened up to the evening of this day counts
    museum: Museum
    samples: Samples  # the museum and its draws as the date leaves them; ``compare_paths`` takes both
    result: PathResult  # the path priced and dated again
    positions: tuple[Position, ...]  # what each cost line stands on
    known: dict[str, Progress]  # the tasks that have begun
    notes: tuple[str, ...]  # what could not be taken as recorded

    @property
    def fixed_share(self) -> float | None:
        """Share of the lines' mean cost that is quoted firmly or invoiced in full; None without a known cost."""
        known = [entry for entry in self.positions if entry.likely_usd is not None]
        total = sum(entry.likely_usd for entry in known)
        fixed = sum(entry.likely_usd for entry in known if entry.stands_on in ("paid", "firm"))
        return fixed / total if total else None

    def table(self) -> pd.DataFrame:
        """Return the cost lines, one row per line, with what each stands on."""
        import pandas as pd  # here, and not above: most answers need no table

        currency = self.museum.scenario.currency
        return pd.DataFrame(
            {
                "line": entry.line.title,
                f"plan, mean [{currency}]": _rounded(entry.plan_usd),
                "stands on": STANDS_ON[entry.stands_on],
                f"low [{currency}]": _rounded(entry.low_usd),
                f"now [{currency}]": _rounded(entry.likely_usd),
                f"high [{currency}]": _rounded(entry.high_usd),
                f"invoiced [{currency}]": _rounded(entry.invoiced_usd),
                "quotes in force": ", ".join(entry.quotes),
            }
            for entry in self.positions
        )


def reforecast(
    plan: Comparison, path: str, on: dt.date, records: Sequence[Progress] | None = None, memo: Ask | None = None
) -> Forecast:
    """Forecast one path again at a status date.

    Parameters
    ----------
    plan : Comparison
        The unit's comparison as planned; its trials are rescaled, not drawn again.
    path : str
        Id of the path that is followed.
    on : datetime.date
        Status date.
    records : sequence of Progress, optional
        Tasks as they happened; by default those of progress.csv.
    memo : Memo, optional
        Of one who asks at several dates.

    Raises
    ------
    ValueError
        If there is no such path.
    """
    plan.museum.path(path)
    records = plan.base.progress if records is None else records
    known = known_by(records, plan.vehicle, path, on)
    planned = plan.path(path)
    found = positions(plan.museum, plan.vehicle, planned, on)
    museum = with_positions(plan.museum, found)
    samples = simulation.draw(museum, previous=plan.samples)
    museum, samples, notes = as_of(museum, samples, plan, path, known, on)
    result = price_path(museum, plan.vehicle, path, _settings(plan), samples, memo)
    return Forecast(plan, path, on, museum, samples, result, as_forecast(found, result), known, notes)


def _settings(plan: Comparison) -> dict[str, float]:
    # The comparison's own museum holds its sliders' distance and weight already; only direct amounts go along.
    return {name: amount for name, amount in plan.settings.items() if name not in ("haul_distance", "weight")}


def compare_now(forecast: Forecast) -> Comparison:
    """Return all paths compared as the status date leaves them: what turning to another path would bring now.

    What has been paid for the followed path is sunk and in none of the other paths' costs.
    """
    return compare_paths(forecast.museum, forecast.plan.vehicle, _settings(forecast.plan), forecast.samples)


def status_dates(plan: Comparison, path: str, last: dt.date, records: Sequence[Progress] | None = None) -> list[dt.date]:
    """Return the day before the start, the end of each month in which something happened, and the last date."""
    records = plan.base.progress if records is None else records
    museum, mine = plan.museum, (plan.vehicle, path)
    days = [row.invoiced for row in museum.actuals if (row.vehicle, row.path) == mine]
    for quote in museum.quotes:
        if (quote.vehicle, quote.path) == mine:
            days += [quote.quoted, quote.valid_until, *([quote.accepted] if quote.accepted else [])]
    for row in records:
        if (row.vehicle, row.path) == mine:
            days += [row.started, *([row.finished] if row.finished else [])]
    first = museum.scenario.start - dt.timedelta(days=1)
    ends = {_end_of_month(day) for day in days}
    return sorted({first, last} | {end for end in ends if first < end < last})


def _end_of_month(day: dt.date) -> dt.date:
    return (day.replace(day=1) + dt.timedelta(days=32)).replace(day=1) - dt.timedelta(days=1)


def fan(
    plan: Comparison, path: str, dates: Iterable[dt.date], records: Sequence[Progress] | None = None
) -> tuple[Forecast, ...]:
    """Forecast one path at each of several status dates; parameters as for :func:`reforecast`."""
    records, memo = plan.base.progress if records is None else records, Memo()
    return tuple(reforecast(plan, path, on, records, memo) for on in sorted(dates))


class Forecasts(tuple[Forecast, ...]):
    """The forecasts of one move, the plan first and the status date's last; it prints where the move stands."""

    def __str__(self) -> str:
        last = self[-1]
        title, cost = last.plan.museum.path(last.path).title, last.result.cost
        money = f"P50 {cost.p50:,.0f}, P80 {cost.p80:,.0f} {last.result.currency}" if cost else "cost unknown"
        return f"{title}, as known on {show_date(last.on)}: {money}; {show_chance(last.result.chance_by_deadline)} in time"

    __repr__ = __str__

    def to_frame(self) -> pd.DataFrame:
        """Return cost and chance at each status date, one row each."""
        return fan_table(self)


def follow(plan: Comparison, path: str | None = None, on: dt.date | str | None = None) -> Forecasts:
    """Forecast one path at the end of each month in which something happened, up to a status date.

    Parameters
    ----------
    path : str, optional
        The path on which something last happened when left out.
    on : datetime.date or str, optional
        Status date, such as ``"2027-06-30"``; the last day of the path's books when left out.

    Returns
    -------
    Forecasts
        The first is the plan, the last the status date's.

    Raises
    ------
    ValueError
        If it is no date, or lies before the start date; or if nothing is recorded and no path is named.

    Examples
    --------
    >>> import heritagemove as hm
    >>> moves = hm.follow(hm.decide(hm.load("data/tamber_river"), "foundry_switcher", trials=300), on="2027-06-30")
    >>> print(str(moves).partition(", ")[2].partition(":")[0])
    as known on 30 Jun 2027
    >>> len(moves.to_frame()) == len(moves)
    True
    """
    begun = followed(plan.base, plan.vehicle)
    if begun is None and None in (path, on):
        raise PlannerError("path and status date: found none, and no task in progress.csv; allowed: a path and a date")
    path, on = path or begun[0], on or begun[1]
    try:
        on = dt.date.fromisoformat(on) if isinstance(on, str) else on
    except ValueError:
        raise PlannerError(f'status date: found "{on}"; allowed: a date such as 2027-06-30') from None
    start = plan.museum.scenario.start
    if on < start:
        raise PlannerError(f"status date: found {on.isoformat()}; allowed: the start date, {start.isoformat()}, or later")
    records = plan.base.progress
    return Forecasts(fan(plan, path, status_dates(plan, path, on, records), records))


def followed(museum: Museum, vehicle: str) -> tuple[str, dt.date] | None:
    """Return the path on which something last happened to a unit, and the day up to which its books are kept.

    Returns
    -------
    tuple of (str, datetime.date) or None
        The day of the last task, invoice or quote of that path; None where no task is recorded.
    """
    begun = [(row.finished or row.started, row.path) for row in museum.progress if row.vehicle == vehicle]
    if not begun:
        return None
    path = max(begun)[1]
    days = [day for day, on in begun if on == path]
    days += [row.invoiced for row in museum.actuals if (row.vehicle, row.path) == (vehicle, path)]
    for row in museum.quotes:
        if (row.vehicle, row.path) == (vehicle, path):
            days += [day for day in (row.quoted, row.accepted) if day]
    return path, max(days)


def fan_table(forecasts: Sequence[Forecast]) -> pd.DataFrame:
    """Return cost, date and chance at each status date, one row per date."""
    import pandas as pd  # here, and not above: most answers need no table

    return pd.DataFrame(fan_rows(forecasts))


def fan_rows(forecasts: Sequence[Forecast]) -> list[dict[str, Any]]:
    """Return cost, date and chance at each status date: a row per date, by the headings of its columns."""
    currency = forecasts[0].museum.scenario.currency
    rows, names = [], ("p10", "p50", "p80", "p90")
    for entry in forecasts:
        cost, result = entry.result.cost, entry.result
        rows.append(
            {
                "status date": entry.on,
                **{f"cost {name.upper()} [{currency}]": cost and round(getattr(cost, name)) for name in names},
                f"P10 to P90 [{currency}]": cost and round(cost.p90 - cost.p10),
                "share fixed": entry.fixed_share,
                "off site P80": result.off_site and result.off_site.p80,
                "arrives P80": result.arrived and result.arrived.p80,
                "chance by deadline": result.chance_by_deadline,
                "chance of gates": result.chance_of_gates,
            }
        )
    return rows


@dataclass(frozen=True)
class ContingencyLeft:
    """Money for what may still go wrong, at a status date."""

    on: dt.date
    budget_usd: float  # P80 of the plan: what the committee agreed to [USD]
    lines_usd: float  # mean of the cost lines now [USD]
    needed_usd: float  # P80 now less the mean of the lines: what the ranges and risks that are left ask for [USD]
    # titles of the risks that may still happen, each with its mean cost [USD], dearest first
    open_risks: tuple[tuple[str, float], ...]

    @property
    def left_usd(self) -> float:
        """Contingency that is left: the budget less the mean of the lines [USD]."""
        return self.budget_usd - self.lines_usd

    @property
    def open_risks_usd(self) -> float:
        """Mean cost of the risks that may still happen [USD]."""
        return sum(usd for _, usd in self.open_risks)


def contingency_left(forecast: Forecast) -> ContingencyLeft | None:
    """Return the contingency against the risks still open; None where a cost is unknown."""
    planned, now = forecast.plan.path(forecast.path), forecast.result
    if planned.cost is None or now.cost is None:
        return None
    titles = {row.risk: row for row in forecast.museum.of_path("risks", forecast.path)}
    risks = [
        (titles[risk].title, float(cost.mean()))
        for risk, cost in now.trials.risk_cost_usd.items()
        if titles[risk].probability > 0
    ]
    lines = sum(float(entry.cost_usd.mean()) for entry in now.trials.lines)
    ranked = tuple(sorted(risks, key=lambda entry: -entry[1]))
    return ContingencyLeft(forecast.on, planned.cost.p80, lines, now.cost.p80 - lines, ranked)


@dataclass(frozen=True)
class Trigger:
    """What turns the followed path to another, by the decision on it, and what has become of that."""

    # title of the gate that decides, or that is refused, and the task that settles it
    gate: str | None
    task: str | None
    turns_to: str | None  # id of the path that a refusal turns to; None: decline and record
    by: dt.date | None  # last day to wait for the answer; None where waiting for it is better
    why_not: str  # why there is no such day
    state: str  # it fires when the day has come and the answer is not in hand
    chance_in_hand: float | None  # chance that the answer is in hand by that day

    def in_words(self, plan: Comparison) -> str:
        """Return what turns to which path, with what has become of it."""
        if self.gate is None:
            return "No answer is open that would turn to another path."
        turn = "no other path rescues it: decline and record"
        if self.turns_to:
            turn = f"turn at once to {plan.path(self.turns_to).title} (path {plan.path(self.turns_to).number})"
        if self.state == "refused":
            return f'"{self.gate}" is refused: {turn}.'
        said = f'The answer that decides: "{self.gate}"'
        if self.state == "in hand":
            return f"{said}. It is in hand."
        if self.state == "fires":
            return f"{said}, not in hand on {show_date(self.by)}: {turn}."
        if self.by is None:
            return f"{said}, still open. If it is refused, {turn}. No last day to wait for it: {self.why_not}"
        chance = f"{show_chance(self.chance_in_hand)} chance that it is in hand by then"
        return f"{said}. Wait for it until {show_date(self.by)}; a {chance}. Refused or not in hand then, {turn}."


def trigger(forecast: Forecast) -> Trigger:
    """Return what turns the followed path to another: the refusal of any gate, or the day by which an answer must be in.

    It is that of the decision on the path, as planned.
    """
    plan, planned = forecast.plan, forecast.plan.path(forecast.path)
    told = if_chosen(plan, forecast.path)
    asked = [f.gate for f in planned.findings if f.status == "open" and f.refusal > 0]
    for gate in asked:
        record = forecast.known.get(gate.task)
        if record and record.outcome == "refused":
            turns_to = told and told.on_refusal.get(gate.gate)
            return Trigger(gate.title, gate.task, turns_to, None, "", "refused", None)
    gate = next((gate for gate in asked if told and told.hinge and gate.gate == told.hinge.gate), None)
    if gate is None:
        return Trigger(None, None, None, None, "", "none", None)
    by, record, chance = told.switch_by, forecast.known.get(gate.task), None
    if by:
        finish = forecast.result.trials.dates.finish[gate.task]
        chance = float(np.mean(finish - 1 <= simulation.day_number(plan.museum, by)))
    state = "in hand" if record and record.finished else "fires" if by and forecast.on >= by else "open"
    return Trigger(gate.title, gate.task, told.hinge.turns_to, by, told.switch_why, state, chance)


def value_earned(forecast: Forecast) -> EarnedValue:
    """Return the earned value at the status date: a line is earned when its task is finished, and not before.

    Budget and plan are the means of the plan's lines; paid is what has been invoiced.

    Raises
    ------
    ValueError
        If no cost of the path is known.
    """
    planned = forecast.plan.path(forecast.path).trials
    lines = [entry for entry in planned.lines if entry.cost_usd.mean() > 0]
    if not lines:
        raise PlannerError(f"{forecast.path}: found no known cost; allowed: a path with at least one priced line")
    morning = simulation.day_number(forecast.plan.museum, forecast.on) + 1
    done = {task for task, row in forecast.known.items() if row.finished}
    due = {entry.line.task: float(np.mean(planned.dates.finish[entry.line.task] <= morning)) for entry in lines}
    means = [(entry.line.task, float(entry.cost_usd.mean())) for entry in lines]
    return earned_value(
        sum(usd for _, usd in means),
        sum(usd * due[task] for task, usd in means),
        sum(usd for task, usd in means if task in done),
        sum(entry.invoiced_usd for entry in forecast.positions),
    )


def _rounded(usd: float | None) -> int | None:
    return None if usd is None else round(usd)
