"""The one look of all charts: inks, fonts and sizes, and what a screen, a wall and a page make of them."""

from __future__ import annotations

from dataclasses import dataclass

import matplotlib
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patheffects import withStroke

#: Width of a chart as it is drawn [inch]; each medium shows it larger or smaller as a whole.
SHEET = 9.0
#: Sizes of a title, of what is read first in a drawing, of all other text, of notes and of what explains a small chart
#: [point].
TITLE, EMPHASIS, TEXT, NOTE, SMALL = 15, 14, 12, 11, 10


@dataclass(frozen=True)
class Medium:
    """Where a chart is looked at."""

    tallest: float  # how tall a chart may be [inch]
    smallest: float  # size of its smallest text [point]


#: Nine by four and three quarters inches fill a screen of 1280 by 720 pixels under a heading and a sentence and over the
#: buttons; a letter of 12 points is 18 pixels there.
WALL = Medium(4.75, 12.0)

#: Dark ink on white paper; the grey is still 7 to 1 against white.
INK, GREY, PALE = "#1a1a1a", "#555555", "#d9d9d9"

#: One look whatever the reader's own matplotlib settings are. A name with a dollar sign is not
#: mathematics, and the same results give the same bytes.
STYLE = {name: value for name, value in matplotlib.rcParamsDefault.items() if not name.startswith("backend")} | {
    "font.family": "DejaVu Sans",
    "font.size": TEXT,
    "text.parse_math": False,
    "text.color": INK,
    "axes.labelcolor": INK,
    "axes.edgecolor": GREY,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "hatch.linewidth": 0.8,
    "svg.hashsalt": "heritagemove",
    "svg.fonttype": "path",
}

#: A share as a depth of blue, and a white rim that keeps a text readable on anything.
BLUES = LinearSegmentedColormap.from_list("chance", ["#ffffff", "#3f7fbf"])
HALO = [withStroke(linewidth=3, foreground="white")]
