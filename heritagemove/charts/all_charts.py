"""Every chart by topic: ``hm.chart.money.lines(desk)`` gives the figure and its alt text.

A chart is drawn from results: a comparison, a site's decision, the forecasts of a move. A desk holds all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from heritagemove.answers.basis_shares import basis_shares
from heritagemove.answers.break_even import DISTANCE, curves, in_slider_unit
from heritagemove.answers.criteria import value_paths
from heritagemove.answers.mitigation import mitigations
from heritagemove.answers.regret import regret_table
from heritagemove.answers.route import strip
from heritagemove.answers.value_of_information import worth_knowing
from heritagemove.charts import criteria, fleet, funding, tracking
from heritagemove.charts.at_a_glance import at_a_glance
from heritagemove.charts.basis_shares import basis_bars
from heritagemove.charts.break_even import break_even_curves
from heritagemove.charts.budget_bars import budget_bars
from heritagemove.charts.comparing import chances, cost_against_date
from heritagemove.charts.contingency import chance_by_budget
from heritagemove.charts.deciding import order_dates
from heritagemove.charts.drawing import Chart
from heritagemove.charts.engineering import utilization_bars
from heritagemove.charts.influence import tornado
from heritagemove.charts.joint_confidence import joint_chances
from heritagemove.charts.one_path import cost_by_phase
from heritagemove.charts.refusal_bars import refusal_bars
from heritagemove.charts.route_strip import route_strip
from heritagemove.charts.schedule import task_bars
from heritagemove.charts.spending import money_by_month
from heritagemove.charts.unit_drawing import unit_drawing
from heritagemove.charts.value_of_information import inquiry_worth, mitigation_worth
from heritagemove.compare.results import Comparison
from heritagemove.following.tracking import Forecast
from heritagemove.units.units import PlannerError
from heritagemove.whole_site.doing_nothing import doing_nothing
from heritagemove.whole_site.fleet import largest_party, parties
from heritagemove.whole_site.funding import bank_forecast
from heritagemove.whole_site.lost_funds import sure_money, without_each
from heritagemove.whole_site.site_decision import SiteDecision

Draw = Callable[..., Chart]


def _path(comparison: Comparison, path: str | None) -> str:
    """Return a path that was named, or the choice."""
    chosen = comparison.museum.path(path).path if path else comparison.choice
    if chosen is None:
        known = ", ".join(row.path for row in comparison.museum.paths)
        raise PlannerError(f"path: found none, and no path can be chosen; allowed: {known}")
    return chosen


def _of_path(draw: Draw) -> Draw:
    return lambda comparison, path=None, **more: draw(comparison, _path(comparison, path), **more)


def _gates(comparison: Comparison, path: str | None = None) -> Chart:
    path = _path(comparison, path)
    return utilization_bars(comparison.museum, comparison.vehicle, path, comparison.path(path).findings)


def _mitigations(comparison: Comparison, path: str | None = None) -> Chart:
    path = _path(comparison, path)
    return mitigation_worth(comparison.path(path), mitigations(comparison, path))


def _break_even(comparison: Comparison, driver: str = DISTANCE) -> Chart:
    return break_even_curves(in_slider_unit(curves(comparison, driver)))


def _account(site: SiteDecision) -> Chart:
    return funding.bank_balance(bank_forecast(site.fleet, _set(site)))


def _lost(site: SiteDecision) -> Chart:
    return funding.funds_lost(without_each(site.fleet, _set(site)), site.fleet.confidence)


def _set(site: SiteDecision) -> Any:
    if site.set_or_cheapest is None:
        raise PlannerError("units: found none that can be saved; allowed: at least one")
    return site.set_or_cheapest.options


#: Topics, and of each chart what it is drawn from and how.
CHARTS_BY_TOPIC: Mapping[str, Mapping[str, tuple[str, Draw]]] = MappingProxyType({
    "decision": {
        "at_a_glance": ("comparison", at_a_glance),
        "cost_against_date": ("comparison", cost_against_date),
        "chances": ("comparison", chances),
        "budget": ("comparison", budget_bars),
        "refused": ("comparison", refusal_bars),
    },
    "schedule": {"tasks": ("comparison", _of_path(task_bars)), "meetings": ("comparison", order_dates)},
    "money": {
        "lines": ("comparison", _of_path(cost_by_phase)),
        "contingency": ("comparison", _of_path(chance_by_budget)),
        "joint": ("comparison", _of_path(joint_chances)),
        "by_month": ("comparison", _of_path(money_by_month)),
        "what_moves_cost": ("comparison", _of_path(lambda comparison, path: tornado(comparison, path, "cost"))),
        "what_moves_date": ("comparison", _of_path(lambda comparison, path: tornado(comparison, path, "off_site"))),
    },
    "engineering": {
        "gates": ("comparison", _gates),
        "unit": ("comparison", _of_path(lambda c, path, stage=None: unit_drawing(c.museum, c.vehicle, path, stage))),
        "way": ("comparison", _of_path(lambda comparison, path: route_strip(strip(comparison, path)))),
    },
    "break_even": {"over": ("comparison", _break_even)},
    "worth": {
        "knowing": ("comparison", lambda comparison: inquiry_worth(worth_knowing(comparison))),
        "mitigations": ("comparison", _mitigations),
        "basis": ("comparison", _of_path(lambda comparison, path: basis_bars(basis_shares(comparison, path)))),
        "criteria": ("comparison", lambda comparison: criteria.weighted_values(value_paths(comparison))),
        "regrets": ("comparison", lambda comparison: criteria.regret_grid(regret_table(comparison))),
    },
    "fleet": {
        "sets": ("site", lambda site: fleet.money_against_significance(site, sure_money(site.fleet))),
        "next_money": ("site", lambda site: fleet.next_money(site.plans)),
        "crane": ("site", lambda site: fleet.shared_call_out(parties(site.fleet, largest_party(site.fleet)))),
    },
    "funding": {
        "bank": ("site", _account),
        "lost": ("site", _lost),
        "nothing": ("site", lambda site: funding.owners_side([doing_nothing(c) for c in site.fleet.comparisons.values()])),
    },
    "tracking": {"forecast": ("moves", tracking.cost_fan), "chance": ("moves", tracking.chance_over_time)},
})  # fmt: skip


class ChartTopic:
    """The charts of one topic."""

    def __init__(self, name: str, charts: Mapping[str, tuple[str, Draw]]):
        self._name, self._charts = name, charts

    def __getattr__(self, name: str) -> Callable[..., Chart]:
        if name not in self._charts:
            raise AttributeError(f"hm.chart.{self._name} has no {name!r}; there are: {', '.join(self._charts)}")
        held, draw = self._charts[name]
        return lambda source, *given, **named: draw(_held(source, held), *given, **named)

    def __dir__(self) -> list[str]:
        return list(self._charts)

    def __repr__(self) -> str:
        lines = (f"  {name}: from {_FROM[held]}" for name, (held, _) in self._charts.items())
        return "\n".join([f"hm.chart.{self._name}, each called with a desk or what it is drawn from:", *lines])


class ChartTopics:
    """The charts by topic; each returns its figure and its alt text.

    Examples
    --------
    >>> import heritagemove as hm
    >>> hm.chart.schedule
    hm.chart.schedule, each called with a desk or what it is drawn from:
      tasks: from what hm.decide returns
      meetings: from what hm.decide returns
    >>> answer = hm.decide(hm.load("data/tamber_river"), "caboose", trials=300)
    >>> drawn = hm.chart.money.lines(answer)
    >>> type(drawn.figure).__name__, "USD" in drawn.alt
    ('Figure', True)
    """

    def __getattr__(self, name: str) -> ChartTopic:
        if name not in CHARTS_BY_TOPIC:
            raise AttributeError(f"hm.chart has no {name!r}; there are: {', '.join(CHARTS_BY_TOPIC)}")
        return ChartTopic(name, CHARTS_BY_TOPIC[name])

    def __dir__(self) -> list[str]:
        return list(CHARTS_BY_TOPIC)

    def __repr__(self) -> str:
        return "\n".join(repr(ChartTopic(*each)) for each in CHARTS_BY_TOPIC.items())


chart_topics = ChartTopics()

_FROM = {
    "comparison": "what hm.decide returns",
    "site": "what hm.whole_site_decision returns",
    "moves": "what hm.follow returns",
}


def _held(source: Any, held: str) -> Any:
    """Return what a chart is drawn from: itself, or as the desk holds it."""
    kinds = {"comparison": Comparison, "site": SiteDecision, "moves": Sequence}
    if isinstance(source, kinds[held]) and (held != "moves" or all(isinstance(each, Forecast) for each in source)):
        return source
    found = getattr(source, held, None)
    if not found:
        raise PlannerError(f"found {type(source).__name__}; allowed: a desk, or {_FROM[held]}")
    return found
