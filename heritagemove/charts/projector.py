"""Charts for the back of the room: no taller than a projector shows, no text smaller than can be read there."""

from __future__ import annotations

from matplotlib.text import Text

from heritagemove.charts.drawing import Chart, in_style

#: Nine by five and a half inches fill a screen of 1280 by 720 pixels under a heading and over the buttons; a
#: letter of 12 points is 18 pixels there.
TALLEST_INCHES, SMALLEST_POINTS = 5.5, 12.0


@in_style
def for_projector(chart: Chart) -> Chart:
    """Return a chart whose smallest text is 18 pixels on a projector of 1280 by 720; its figure is changed in place."""
    width, height = chart.figure.get_size_inches()
    chart.figure.set_size_inches(width, min(height, TALLEST_INCHES))
    for text in chart.figure.findobj(Text):
        text.set_size(max(text.get_size(), SMALLEST_POINTS))
    return chart
