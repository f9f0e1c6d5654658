"""Charts: results in, a figure and its text alternative out. The only room with matplotlib in it."""

from heritagemove.charts.comparing import chances, cost_against_date
from heritagemove.charts.deciding import order_dates
from heritagemove.charts.drawing import Chart, png, svg
from heritagemove.charts.influence import tornado
from heritagemove.charts.marks import chip, likelihood, place_labels
from heritagemove.charts.one_path import cost_by_phase, task_bars
from heritagemove.results import show_chance

__all__ = [
    "Chart",
    "chances",
    "chip",
    "cost_against_date",
    "cost_by_phase",
    "likelihood",
    "order_dates",
    "place_labels",
    "png",
    "show_chance",
    "svg",
    "task_bars",
    "tornado",
]
