"""Screens that show one comparison, and follow a notebook's state where they are given one."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from heritagemove.compare.results import Comparison
from heritagemove.panels.state import Desk

Source = Comparison | Desk


def comparison_of(source: Source) -> Comparison:
    """Return the comparison of a notebook's state, or the comparison itself."""
    return source if isinstance(source, Comparison) else source.comparison


def watch_comparison(source: Source, show: Callable[[Comparison], None]) -> None:
    """Show again whenever a notebook's state changes; a comparison never does."""
    if not isinstance(source, Comparison):
        source.watch(lambda *_: show(source.comparison))


def live(source: Source, content: Callable[[Comparison], str]) -> widgets.HTML:
    """Return a screen of markup that is made again whenever the comparison changes."""
    widget = widgets.HTML(layout=widgets.Layout(width="100%"))

    def show(comparison: Comparison) -> None:
        widget.value = content(comparison)

    show(comparison_of(source))
    watch_comparison(source, show)
    return widget
