"""Break-even distances, and amounts of other drivers, on screen."""

from __future__ import annotations

from heritagemove.answers.break_even import DISTANCE, BreakEven, Curves, curves, in_slider_unit, stops
from heritagemove.charts.break_even import break_even_curves, in_order
from heritagemove.panels import markup
from heritagemove.panels.markup import paragraph
from heritagemove.panels.state import Desk
from heritagemove.units.described import Marked

_DISTANCE_SAYS = (
    "The distance is that of the road from site to museum. It makes the longest leg of each path longer or shorter, in the "
    "same proportion; other legs and detours stay. Bridges, curves and clearances stay those of today's routes: "
    "a longer route may hold others that nobody has looked at."
)
_SAYS = (
    "Gates are met and no fallback is played out here, so that money alone is compared. A path that is cheaper "
    "beyond its break-even may still be refused, late or unkind to the historic fabric."
)


def show_break_even(desk: Desk, driver: str = DISTANCE) -> str:
    """Show from which distance, or amount of another driver, one path is cheaper than another, and what stops one.

    Parameters
    ----------
    driver : str
        Name of a driver with a slider in museum.toml.
    """
    return _content(in_slider_unit(curves(desk.comparison, driver, memo=desk.memo)))


def _content(found: Curves) -> str:
    pairs = in_order(found)
    headings = ("Paths", "Order changes", f"From [{found.unit}]", f"To [{found.unit}]", f"Too close to call [{found.unit}]",
                "In words")  # fmt: skip
    says = (_DISTANCE_SAYS, _SAYS) if found.driver == DISTANCE else (_SAYS,)
    turning, steady = ([pair for pair in pairs if bool(pair.flips) is turns] for turns in (True, False))
    never = markup.table("Pairs that keep their order", headings, map(_pair, steady))
    return (
        markup.picture(break_even_curves(found))
        + (markup.table("Break-even of two paths", headings, map(_pair, turning)) if turning else "")
        + (markup.unfold(f"Pairs that keep their order: {len(steady)}", never) if steady else "")
        + _stops(found)
        + "".join(paragraph(text) for text in says)
    )


def _pair(pair: BreakEven) -> tuple[str, ...]:
    ends = (pair.first, pair.last) if pair.flips else ("never", "never")
    close = f"{pair.close[0]:,.4g} to {pair.close[1]:,.4g}" if pair.close else "nowhere"
    paths = tuple(Marked(curve.number, curve.title) for curve in (pair.one, pair.other))
    often = "once" if len(pair.flips) == 1 else f"{len(pair.flips)} times"
    return paths, often, *ends, close, pair.in_words()


def _stops(found: Curves) -> str:
    entries = stops(found)
    moved = any(not stop.everywhere for stop in entries)
    span = f"from {found.amounts[0]:,.4g} to {found.amounts[-1]:,.4g} {found.unit}"
    said = "" if moved else paragraph(f"No amount {span} by itself blocks a path, makes it late, or sets one free.")
    rows = [(Marked(stop.curve.number, stop.curve.title), stop.in_words(found.unit)) for stop in entries]
    return said + (markup.table("What stops a path", ("Path", "Where and why"), rows) if rows else "")
