"""Charts for the back of the room: no taller than a projector shows, no text smaller than can be read there."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.text import Text

from heritagemove.charts.drawing import Chart, in_style
from heritagemove.charts.style_sheet import WALL


@in_style
def for_projector(chart: Chart) -> Chart:
    """Return a chart whose smallest text is 18 pixels on a projector of 1280 by 720; its figure is changed in place."""
    if chart.fixed:
        return chart
    figure = chart.figure
    width, height = figure.get_size_inches()
    if height > WALL.tallest:
        _keep_margins(figure, height, WALL.tallest)
        figure.set_size_inches(width, WALL.tallest)
    # A lower chart is shown larger, its letters with it.
    smallest = WALL.smallest * min(height / WALL.tallest, 1.0)
    for text in figure.findobj(Text):
        text.set_size(max(text.get_size(), smallest))
    return chart


def _keep_margins(figure: Figure, height: float, lower: float) -> None:
    """Leave titles, notes and the margins of axes as they are in inches: what grows lower is the drawing between them."""
    for axes in figure.axes:
        box = axes.get_position()
        bottom, top = box.y0 * height, (1 - box.y1) * height
        axes.set_position((box.x0, bottom / lower, box.width, (lower - bottom - top) / lower))
    for text in figure.texts:
        y = text.get_position()[1] * height
        text.set_y(1 - (height - y) / lower if y > height / 2 else y / lower)
