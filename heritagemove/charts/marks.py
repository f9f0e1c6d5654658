"""One number, shape and colour for each path, and where its number stands beside its mark."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib import color_sequences
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.lines import Line2D
from matplotlib.markers import MarkerStyle
from matplotlib.text import Text

from heritagemove.charts.drawing import shorten
from heritagemove.charts.style_sheet import GREY, HALO, INK
from heritagemove.compare.results import PathResult

_SHAPES = ("o", "s", "^", "D", "v", "P", "p", "<", "h", "*", ">")
_COLOURS = tuple(to_hex(colour) for colour in color_sequences["petroff10"])

Box = tuple[float, float, float, float]


def shape_of(number: int) -> str:
    """Return the marker of a path by its number."""
    return _SHAPES[(number - 1) % len(_SHAPES)]


def colour_of(number: int) -> str:
    """Return the colour of a path by its number."""
    return _COLOURS[(number - 1) % len(_COLOURS)]


def short_name(result: PathResult) -> str:
    """Return a path's id in words: titles are too long for a chart."""
    return shorten(result.path.replace("_", " "), 18)


def numbered_name(result: PathResult) -> str:
    """Return a path's short name with its number behind it, as a title begins."""
    name = short_name(result)
    return f"{name[0].upper()}{name[1:]} (path {result.number})"


def likelihood(result: PathResult, confidence: float) -> str:
    """Return how a path's mark is filled, so that risk is seen without colour.

    Parameters
    ----------
    confidence : float
        The chance the museum plans at, 0 to 1.

    Returns
    -------
    {"full", "half", "hollow", "crossed", "unknown"}
        Crossed is blocked; else by the lower of the chance by the deadline (none, where the path never
        leaves the site) and the chance of the gates: full from the confidence on, half from even
        chances on, hollow below.
    """
    if result.status == "blocked":
        return "crossed"
    if result.status == "unknown":
        return "unknown"
    lower = min(result.chance_by_deadline or 0.0, result.chance_of_gates or 0.0)
    return "full" if lower >= confidence else "half" if lower >= 0.5 else "hollow"


def draw_mark(axes: Axes, x: float, y: float, number: int, filled: str = "full", size: float = 15, **where: object) -> None:
    """Draw the mark of a path.

    Parameters
    ----------
    x, y : float
        Where, in data coordinates unless `where` has another transform.
    number : int
        The path's number.
    filled : str
        As :func:`likelihood` gives it.
    size : float
        Width [point].
    **where
        Passed on to matplotlib.
    """
    colour = colour_of(number)
    look = {
        "full": {"markerfacecolor": colour, "markeredgecolor": INK},
        "half": {"markerfacecolor": colour, "markeredgecolor": INK, "fillstyle": "bottom"},
        "hollow": {"markerfacecolor": "white", "markeredgecolor": colour, "markeredgewidth": 2.6},
    }.get(filled, {"markerfacecolor": "#e6e6e6", "markeredgecolor": GREY})
    shared = {"linestyle": "none", "clip_on": False, **where}
    mark = {"marker": shape_of(number), "markersize": size, "markeredgewidth": 1.2, "markerfacecoloralt": "white"}
    # A line added as it is: plot() would read formats and scale the axes anew for each mark.
    axes.add_line(Line2D([x], [y], **(mark | look), zorder=5, **shared))
    if filled == "crossed":
        cross = {"marker": "x", "markersize": size * 0.9, "color": INK, "markeredgewidth": 1.8}
        axes.add_line(Line2D([x], [y], **cross, zorder=6, **shared))
    elif filled == "unknown":
        axes.text(x, y, "?", size=size * 0.8, weight="bold", ha="center", va="center", zorder=6, **where)


def chip(number: int, size: int = 18) -> str:
    """Return the mark of a path as inline SVG for a table; it is decoration, the number stands beside it.

    Parameters
    ----------
    number : int
        The path's number.
    size : int
        Width and height [pixel].
    """
    style = MarkerStyle(shape_of(number))
    outline = style.get_path().transformed(style.get_transform()).interpolated(1)
    corners = outline.to_polygons(closed_only=False)
    widest = max(abs(value) for polygon in corners for point in polygon for value in point)
    points = [" ".join(f"{x / widest * 8:.1f},{-y / widest * 8:.1f}" for x, y in polygon) for polygon in corners]
    shapes = "".join(f'<polygon points="{entry}"/>' for entry in points)
    return (
        f'<svg width="{size}" height="{size}" viewBox="-10 -10 20 20" aria-hidden="true" style="vertical-align:middle">'
        f'<g fill="{colour_of(number)}" stroke="{INK}" stroke-width="1.2">{shapes}</g></svg>'
    )


def name_marks(
    axes: Axes,
    points: Sequence[tuple[float, float]],
    labels: Sequence[str],
    mark: float,
    size: float,
    beside: Sequence[Text] = (),
) -> None:
    """Write each label beside its mark; a thin line leads to one that had to stand farther off.

    Parameters
    ----------
    points : sequence of (x, y)
        Centres of the marks, in data coordinates: those whose labels find their places first stand first.
    labels : sequence of str
        As many; lines are parted by a line break.
    mark : float
        Width of a mark [point].
    size : float
        Size of the labels, in bold [point].
    beside : sequence of Text
        Texts of the axes that no label may cover.
    """
    scale = 72 / axes.figure.dpi
    marks = [tuple(scale * axes.transData.transform(point)) for point in points]
    longest = [max(map(len, label.split("\n"))) for label in labels]
    rows = [1 + label.count("\n") for label in labels]
    sizes = [(_WIDE * size * long + 4, 1.16 * size * row) for long, row in zip(longest, rows, strict=True)]
    page = tuple(scale * edge for edge in axes.bbox.extents)
    covered = [tuple(scale * edge for edge in text.get_window_extent().extents) for text in beside]
    look = {"size": size, "weight": "bold", "linespacing": 1.0, "zorder": 7, "path_effects": HALO}
    centres = place_labels(marks, sizes, mark / 2 + 1, page, covered)
    for place, centre, extent, label in zip(marks, centres, sizes, labels, strict=True):
        (x, y), start = (axes.transData.inverted().transform([at[0] / scale, at[1] / scale]) for at in (centre, place))
        gaps = [max(abs(a - b) - wide / 2, 0) for a, b, wide in zip(place, centre, extent, strict=True)]
        if math.hypot(*gaps) > mark / 2 + 6:
            axes.plot([start[0], x], [start[1], y], color=INK, linewidth=0.8, zorder=4)
        axes.text(x, y, label, ha="center", va="center", **look)


#: Width of a bold character, as a share of its size.
_WIDE = 0.66


def place_labels(
    marks: Sequence[tuple[float, float]],
    sizes: Sequence[tuple[float, float]],
    radius: float,
    page: Box,
    beside: Sequence[Box] = (),
) -> list[tuple[float, float]]:
    """Return the centre of each mark's label so that labels cover neither marks nor each other.

    Each label in turn takes the best place round its mark: covering nothing comes first, then standing
    nearer to its own mark than to another, then standing close, then the corners, where no bar passes.

    Parameters
    ----------
    marks : sequence of (x, y)
        Centres of the marks [point].
    sizes : sequence of (width, height)
        Size of each label [point].
    radius : float
        Half the width of a mark [point].
    page : (left, bottom, right, top)
        Where labels may stand [point].
    beside : sequence of (left, bottom, right, top)
        What labels may not cover [point].

    Examples
    --------
    >>> place_labels([(50, 50)], [(10, 10)], 5, (0, 0, 100, 100))
    [(60.0, 60.0)]
    """
    others = np.asarray(marks, dtype=float).reshape(-1, 2)
    taken = np.vstack([np.hstack([others - radius, others + radius]), np.asarray(beside, dtype=float).reshape(-1, 4)])
    centres = []
    for mark, (width, height) in zip(others, sizes, strict=True):
        places, gaps = _places(*mark, width, height, radius)
        half = np.array([width, height]) / 2
        boxes = np.hstack([places - half, places + half])
        covered = _overlaps(boxes, taken).sum(axis=1) + width * height - _overlaps(boxes, np.array([page]))[:, 0]
        near = _distances(boxes, others[np.any(others != mark, axis=1)]) < 1.4 * _distances(boxes, mark[None])
        best = np.lexsort((12 * near.sum(axis=1) + gaps, covered.round(6)))[0]
        centres.append((float(places[best, 0]), float(places[best, 1])))
        taken = np.vstack([taken, boxes[best]])
    return centres


def _places(x: float, y: float, width: float, height: float, radius: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the centres where a label may stand round its mark, shape (n, 2), and how far off each is, shape (n,)."""
    straight = [(1, 1), (1, -1), (-1, 1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1)]
    aslant = [(1, 0.5), (1, -0.5), (-1, 0.5), (-1, -0.5), (0.5, 1), (0.5, -1), (-0.5, 1), (-0.5, -1)]
    directions = np.array([*straight, *aslant])
    gaps = np.repeat([0.0, 8.0, 18.0, 30.0, 44.0, 60.0, 80.0], len(directions))
    ways = np.tile(directions, (7, 1))
    away = radius + gaps[:, None] + np.array([width, height]) / 2
    return np.array([x, y]) + ways * away, gaps


def _distances(boxes: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return how far each point is from each box, shape (boxes, points)."""
    beyond = np.maximum(np.maximum(boxes[:, None, :2] - points, points - boxes[:, None, 2:]), 0.0)
    return np.hypot(beyond[..., 0], beyond[..., 1])


def _overlaps(boxes: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Return the area that each box shares with each other box, shape (boxes, others)."""
    shared = np.minimum(boxes[:, None, 2:], others[:, 2:]) - np.maximum(boxes[:, None, :2], others[:, :2])
    return np.maximum(shared, 0.0).prod(axis=2)
