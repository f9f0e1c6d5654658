"""The unit drawn to scale on what carries it, from its side and from its end, with numbers that a list explains."""

from __future__ import annotations

import textwrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heritagemove.charts.as_it_travels import Standing, stands
from heritagemove.charts.drawing import Chart, footnote, in_style, sheet
from heritagemove.charts.style_sheet import INK, SHEET, TEXT
from heritagemove.charts.unit_views import NumberedList, draw_end, draw_side, hook_height
from heritagemove.checks.check import Check
from heritagemove.checks.margins import margin_in_words
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import System

#: Width on a page and on a wall, of the side view there, and of the end view [inch].
_WIDTH, _WALL, _WALL_SIDE, _END = SHEET, 13.2, 4.6, 3.7
#: Most height of the side view, and least of the end view [inch].
_SIDE_TALL, _END_TALL = 2.6, 3.3
#: Characters of a line of the list, and its lines' height [inch].
_LIST, _LINE = 47, 0.195


@in_style
def unit_drawing(
    museum: Museum, vehicle: str, path: str, stage: str | None = None, figure: Figure | None = None, wide: bool = False
) -> Chart:
    """Draw a unit to scale on what carries it: wheels, blocking, deck, hook, slings and clearances, from side and end.

    What nobody has measured is drawn dashed, at a size that stands in for it, and the list says so.

    Parameters
    ----------
    vehicle, path : str
        Ids.
    stage : str, optional
        Id of a stage; the one in which the path goes the farthest when left out.
    wide : bool, optional
        Whether all stands side by side, as for a wall.
    """
    standing, told = stands(museum, vehicle, path, stage), NumberedList()
    outline, system = standing.outline(), museum.scenario.units
    room = _room(*outline, system) if outline else "its route has no clearance to check"
    title = f"{standing.name}: {room}"
    clear = None if outline is None or outline[0].capacity is None else outline[0].capacity.m_as("ft")
    hook = hook_height(standing)
    first, last = standing.ends
    tall = max(filter(None, (standing.top, clear, hook))) + 1.5
    across = _WALL_SIDE if wide else _WIDTH - 0.4
    scale = min(across / (last - first + 2), _SIDE_TALL / tall)
    figure = sheet(figure, _WALL if wide else _WIDTH, 1.0, title)
    side, end = figure.add_axes((0, 0, 1, 1)), figure.add_axes((0, 0, 1, 1))
    for axes in (side, end):
        axes.set_axis_off()
        axes.axhline(0, color=INK, linewidth=2.5, clip_on=False)
    middle, half = (first + last) / 2, across / scale / 2
    side.set(xlim=(middle - half, middle + half), ylim=(0, tall), aspect="equal")
    wanted, high, number = draw_end(end, standing, outline, told)
    draw_side(side, standing, clear and (clear, number), hook, scale, told)
    lines = [line for number, text in enumerate(told.lines, 1) for line in _numbered(number, text)]
    lower = max(_END_TALL, len(lines) * _LINE)
    # Over a page the side view stands above the others; on a wall all three stand side by side.
    height = lower + 1.55 if wide else tall * scale + 0.75 + lower + 1.5
    edge = 0.2 + (across + 0.1 if wide else 0.0)
    side_bottom = (lower - tall * scale) / 2 + 0.75 if wide else height - 0.75 - tall * scale
    _place(figure, side, (0.2, side_bottom, across, tall * scale), height)
    _place(figure, end, (edge, 0.75, _END, lower), height)
    scale = min(_END / wanted, lower / high)
    end.set(xlim=(-_END / scale / 2, _END / scale / 2), ylim=(-0.4, lower / scale - 0.4), aspect="equal")
    width = figure.get_size_inches()[0]
    look = {"size": TEXT, "va": "top", "linespacing": 1.12}
    figure.text((edge + _END + 0.2) / width, (lower + 0.75) / height, "\n".join(lines), **look)
    footnote(figure, _note(standing), TEXT)
    alt = f"{title}. Drawn to scale. " + " ".join(f"{text}." for text in told.lines) + _dashed(standing)
    return Chart(figure, alt, fixed=True)


def _place(figure: Figure, axes: Axes, box: tuple[float, float, float, float], height: float) -> None:
    """Put axes at a place of a figure of some height, the title at its top [inch]."""
    width = float(figure.get_size_inches()[0])
    figure.set_size_inches(width, height)
    figure.texts[0].set_y(1 - 0.12 / height)
    left, bottom, wide, tall = box
    axes.set_position((left / width, bottom / height, wide / width, tall / height))


def _numbered(number: int, text: str) -> list[str]:
    # A blank as wide as a digit keeps the words in line.
    digits = f"{number:>2}".replace(" ", "\u2007")
    return textwrap.wrap(text, _LIST, initial_indent=f"{digits} ", subsequent_indent="\u2007\u2007 ")


def _room(height: Check, side: Check, system: System) -> str:
    """Return in words what room is left above and beside a unit."""
    told = {"unknown": "unknown", "open": "somebody must grant it"}
    over, beside = (told.get(c.status) or margin_in_words(c, system).partition(": ")[0] for c in (height, side))
    return f"above, {over.replace('under it', 'of room')}; at the side, {beside}"


def _dashed(standing: Standing) -> str:
    """Return what is drawn dashed because nobody has measured it."""
    if not standing.guessed:
        return ""
    return f" Dashed, not measured: {', '.join(sorted(standing.guessed))}."


def _note(standing: Standing) -> str:
    scale = "Each view to scale, the end view larger; front at the left. A box over the greatest sizes."
    air = "Room above counts the air that is wanted under a structure. Screening only."
    return f"{scale}\n{_dashed(standing).strip() or air}"
