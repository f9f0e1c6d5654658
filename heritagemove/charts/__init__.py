"""Charts: results in, a figure and its text alternative out. The only room with matplotlib in it."""

from heritagemove.charts.basis_shares import basis_bars
from heritagemove.charts.comparing import chances, cost_against_date
from heritagemove.charts.criteria import regret, weighted_values
from heritagemove.charts.deciding import order_dates
from heritagemove.charts.drawing import Chart, png, svg
from heritagemove.charts.influence import tornado
from heritagemove.charts.knowing import knowing_worth, mitigation_worth
from heritagemove.charts.marks import chip, likelihood, place_labels
from heritagemove.charts.one_path import cost_by_phase
from heritagemove.charts.schedule import task_bars
from heritagemove.results import show_chance

__all__ = [
    "Chart",
    "basis_bars",
    "chances",
    "chip",
    "cost_against_date",
    "cost_by_phase",
    "knowing_worth",
    "likelihood",
    "mitigation_worth",
    "order_dates",
    "place_labels",
    "png",
    "regret",
    "show_chance",
    "svg",
    "task_bars",
    "tornado",
    "weighted_values",
]
