"""Charts: results in, a figure and its text alternative out. The only room with matplotlib in it.

Each takes `figure`, a figure to wipe and use again: a slider's move then makes no new one.
"""

from heritagemove.charts.at_a_glance import at_a_glance
from heritagemove.charts.basis_shares import basis_bars
from heritagemove.charts.break_even import break_even_curves
from heritagemove.charts.budget_bars import budget_bars
from heritagemove.charts.comparing import chances, cost_against_date
from heritagemove.charts.contingency import chance_by_budget
from heritagemove.charts.correlation import correlation_pairs
from heritagemove.charts.criteria import regret_grid, weighted_values
from heritagemove.charts.deadlines import deadline_table
from heritagemove.charts.deciding import order_dates
from heritagemove.charts.drawing import Chart, png, svg
from heritagemove.charts.influence import tornado
from heritagemove.charts.joint_confidence import joint_chances
from heritagemove.charts.marks import chip, likelihood, place_labels
from heritagemove.charts.one_path import cost_by_phase
from heritagemove.charts.projector import for_projector
from heritagemove.charts.refusal_bars import refusal_bars
from heritagemove.charts.route_strip import route_strip
from heritagemove.charts.schedule import task_bars
from heritagemove.charts.spending import money_by_month
from heritagemove.charts.value_of_information import inquiry_worth, mitigation_worth
from heritagemove.units.words import show_chance

__all__ = [
    "Chart",
    "at_a_glance",
    "basis_bars",
    "break_even_curves",
    "budget_bars",
    "chance_by_budget",
    "chances",
    "chip",
    "correlation_pairs",
    "cost_against_date",
    "cost_by_phase",
    "deadline_table",
    "for_projector",
    "inquiry_worth",
    "joint_chances",
    "likelihood",
    "mitigation_worth",
    "money_by_month",
    "order_dates",
    "place_labels",
    "png",
    "refusal_bars",
    "regret_grid",
    "route_strip",
    "show_chance",
    "svg",
    "task_bars",
    "tornado",
    "weighted_values",
]
