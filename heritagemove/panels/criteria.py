"""The committee's criteria: one slider per weight, the values, what is dominated, what would be regretted."""

from __future__ import annotations

from html import escape
from typing import Any

import ipywidgets as widgets

from heritagemove.answers.criteria import LARGEST_WEIGHT, DecisionTable, value_paths
from heritagemove.answers.decision_analysis import expected_regrets, worst_regrets
from heritagemove.answers.regret import RegretTable, regret_table
from heritagemove.charts.criteria import regret_grid, weighted_values
from heritagemove.compare.results import Comparison
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine, name_handles
from heritagemove.panels.markup import paragraph
from heritagemove.panels.state import Desk
from heritagemove.units.described import Marked

_WIDE = widgets.Layout(width="100%")
_SAYS = (
    "Dominance and regret ignore the weights. Regret counts money alone: what a unit is worth to a museum "
    "beyond its agreed value is left out, so beside paths that save nothing it favours doing nothing."
)


def show_criteria(desk: Desk) -> CriteriaScreen:
    """Return the committee's decision table with one slider per weight."""
    return CriteriaScreen(desk)


class CriteriaScreen(widgets.VBox):
    """Sliders of the weights, beside what they make of each path."""

    def __init__(self, desk: Desk):
        self.desk, self.table, self.setting_up = desk, None, False
        self.sliders, self.boxes = {}, {}
        for row in desk.base.criteria:
            self._add_slider(row)
        self.reset = widgets.Button(description="Reset", icon="undo", tooltip="Back to the weights of criteria.csv")
        self.every = widgets.Checkbox(
            description="Value the paths that save nothing too", indent=False, layout=widgets.Layout(width="24em")
        )
        self.alert = StatusLine()
        self.sentence, self.values = (widgets.HTML(layout=_WIDE) for _ in range(2))
        self.regret_says, self.regrets = widgets.HTML(layout=_WIDE), widgets.HTML(layout=_WIDE)
        size = widgets.Layout(width="900px", max_width="100%")
        self.picture, self.regret_picture = widgets.HTML(layout=size), widgets.HTML(layout=size)
        middle = widgets.Layout(align_items="center")
        rows = [widgets.HBox([self.boxes[name], self.sliders[name]], layout=middle) for name in self.sliders]
        top = widgets.HBox([self.reset, self.every])
        valued = (self.alert, self.sentence, self.picture, self.values)
        regretted = (self.regret_says, self.regret_picture, self.regrets)
        super().__init__([top, *rows, *valued, *regretted, name_handles()])
        self.reset.on_click(self._reset)
        self.every.observe(self._restart, "value")
        self._restart()

    def _add_slider(self, row: Any) -> None:
        # A slider moves a value that is not on its steps, with no one's doing: a weight between halves has finer ones.
        step = 0.5 if (2 * row.weight).is_integer() else 0.01
        limits = {"min": 0.0, "max": max(LARGEST_WEIGHT, row.weight), "step": step, "value": row.weight}
        name, wide = row.criterion, {"style": {"description_width": "24em"}, "layout": widgets.Layout(width="30em")}
        tooltip = f"Weight of: {row.title}. Measured: {row.measured.replace('_', ' ')} [{row.unit}]"
        # The box has the label: a slider's handle cannot be named from here.
        self.boxes[name] = widgets.BoundedFloatText(**limits, description=row.title, tooltip=tooltip, **wide)
        slider = widgets.Layout(width="20em")
        self.sliders[name] = widgets.FloatSlider(**limits, tooltip=tooltip, readout=False, layout=slider)
        widgets.link((self.sliders[name], "value"), (self.boxes[name], "value"))
        self.sliders[name].observe(self._answer, "value")

    @property
    def weights(self) -> dict[str, float]:
        """Weights as the sliders stand, to a hundredth: the browser may hand back a rounding error."""
        return {name: round(slider.value, 2) for name, slider in self.sliders.items()}

    @property
    def comparison(self) -> Comparison:
        """What is valued."""
        return self.desk.comparison

    def follow(self) -> None:
        """Value the paths as the desk has them now, with the same weights."""
        self._restart()

    def _reset(self, *_: Any) -> None:
        self.setting_up = True
        for row in self.comparison.museum.criteria:
            self.sliders[row.criterion].value = row.weight
        self.setting_up = False
        self._answer()

    def _restart(self, *_: Any) -> None:
        """Show the regrets, which no weight changes, and the values."""
        if self.alert.doing("Regret", self._show_regrets):
            self._answer()

    def _show_regrets(self) -> None:
        regrets = regret_table(self.comparison, saving_only=not self.every.value)
        picture, table = markup.picture(regret_grid(regrets)), regrets_table(regrets)
        self.regret_picture.value, self.regrets.value = picture, table
        self.regret_says.value = paragraph(f"{regrets.in_words()} {_SAYS}")

    def _answer(self, *_: Any) -> None:
        if not self.setting_up:
            self.alert.doing("Weights", self._weigh)

    def _weigh(self) -> None:
        """Weigh and show; nothing changes unless all of it can be shown."""
        table = value_paths(self.comparison, self.weights, saving_only=not self.every.value)
        picture, values = markup.picture(weighted_values(table)), values_table(table)
        self.picture.value, self.values.value = picture, values
        self.sentence.value, self.table = _sentence(table), table


def _sentence(table: DecisionTable) -> str:
    look = "line-height:1.4;margin:8px 0;white-space:normal"
    first = f'<span style="font-size:20px;font-weight:600">{escape(table.choice_in_words())}</span>'
    return f'<p role="status" style="{look}">{first}<br>{escape(table.changes_in_words())}</p>'


def _number(measure: float) -> str:
    return f"{measure:,.0f}" if abs(measure) >= 100 else f"{measure:.3g}"


def values_table(table: DecisionTable) -> str:
    """Return the decision table, one column per path, the best first; with what was left out and why."""
    options = sorted(table.options, key=lambda option: -option.total)
    headings = ["Criterion", *(f"Path {option.number}, {option.path.replace('_', ' ')}" for option in options)]
    rows = [
        ["Worth, 0 to 1", *(f"{option.total:.3f}" for option in options)],
        ["Worth within the range of the scores", *(f"{option.least:.2f} to {option.most:.2f}" for option in options)],
        *(
            [
                f"{row.title} [{row.unit}]",
                *((_number(o.measures[row.criterion]), f"value {o.values[row.criterion]:.2f}") for o in options),
            ]
            for row in table.criteria
        ),
        ["Dominated by", *(", ".join(f"path {n}" for n in o.dominated_by) or "none" for o in options)],
    ]
    left_out = [(Marked(number, title), reason) for number, title, reason in table.left_out]
    return markup.table("Value of each path by criterion", headings, rows) + (
        markup.unfold(f"Left out: {len(left_out)} paths", markup.table("Left out", ("Path", "Why"), left_out))
        if left_out
        else ""
    )


def regrets_table(table: RegretTable) -> str:
    """Return worst and expected regret of each path [USD]."""
    currency = table.currency
    worst = worst_regrets(table.costs_usd) if table.options else ()
    means = expected_regrets(table.costs_usd, table.shares) if table.options else ()
    rows = [
        (Marked(option.number, option.title), worst[n], means[n], table.hindsight_usd[n])
        for n, option in enumerate(table.options)
    ]
    headings = (
        "Path",
        f"Worst regret [{currency}]",
        f"Expected regret, by state [{currency}]",
        f"Expected regret, trial by trial [{currency}]",
    )
    return markup.table("Regret: cost beyond the path that would have been cheapest", headings, rows)
