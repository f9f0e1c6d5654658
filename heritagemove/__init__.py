"""heritagemove: cost, schedule and risk of moving a stranded historic locomotive or car.

Nine names are all that a notebook needs; everything else is imported from its own module.

=================== =================================================================
load                read a museum's tables, or list everything that is wrong with them
decide              compare all paths of one unit and say what to do with it, by when
whole_site_decision what to do with all units together, and which the money carries
follow              the forecast again, as quotes, invoices and finished tasks come in
write_page          the page for the committee
begin               write a museum to begin with, as the command `new` does
desk                the museum, the unit and what is set, which every screen of a notebook follows
show                the screens by topic: ``hm.show.money.lines(desk)``
chart               the charts by topic: ``hm.chart.money.lines(desk)``, a figure and its alt text
=================== =================================================================
"""

from typing import Any

__version__ = "0.1.0"

_NAMES = {
    "load": "compare.dry_run:tried_museum",
    "decide": "compare.comparison:decide_on",
    "whole_site_decision": "whole_site.site_decision:whole_site_decision",
    "follow": "following.tracking:follow",
    "write_page": "hand_over.page:write_report",
    "begin": "editing.starter:new_museum",
    "desk": "panels.opening:open_desk",
    "show": "panels.all_screens:show_topics",
    "chart": "charts.all_charts:chart_topics",
}

__all__ = ["__version__", *_NAMES]


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that the command line needs no widgets."""
    from importlib import import_module

    if name not in _NAMES:
        raise AttributeError(f"module 'heritagemove' has no attribute {name!r}; it has {', '.join(_NAMES)}")
    module, _, called = _NAMES[name].partition(":")
    return getattr(import_module(f"heritagemove.{module}"), called)


def __dir__() -> list[str]:
    return __all__
