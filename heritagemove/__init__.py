"""heritagemove: cost, schedule and risk of moving a stranded historic locomotive or car.

The names a notebook needs; everything else is imported from its own module.
"""

from typing import Any

__version__ = "0.1.0"

_NAMES = {
    "load_museum": "compare.dry_run:tried_museum",
    "draw": "trials.simulation",
    "compare_paths": "compare.comparison",
    "explore": "panels",
    "engineering": "panels",
    "show_vehicle": "panels",
    "show_paths": "panels",
    "show_cautions": "panels",
    "survey_sheet": "panels",
    "show_sheet": "panels",
    "show_journals": "panels",
    "show_readiness": "panels",
    "show_unknowns": "panels",
    "show_survey_cautions": "panels",
    "show_criteria": "panels",
    "show_basis": "panels",
    "show_mitigations": "panels",
    "show_knowing": "panels",
    "fleet_of": "whole_site.fleet",
    "frontier": "whole_site.best_set",
    "best_set": "whole_site.best_set",
    "decide_site": "whole_site.site_decision",
    "within": "whole_site.best_set",
    "show_sets": "panels",
    "show_shares": "panels",
    "show_crane": "panels",
    "show_company": "panels",
    "choose_units": "panels",
    "show_carried": "panels",
    "show_bank": "panels",
    "show_lost_funds": "panels",
    "show_doing_nothing": "panels",
    "show_break_even": "panels",
    "show_cost_lines": "panels",
    "show_contingency": "panels",
    "show_joint": "panels",
    "show_correlation": "panels",
    "show_risks": "panels",
    "show_half_widths": "panels",
    "show_deadlines": "panels",
    "follow": "following.tracking",
    "keep_books": "panels",
    "show_changes": "panels",
    "show_close_out": "panels",
    "show_contingency_left": "panels",
    "show_coverage": "panels",
    "show_files": "panels",
    "show_forecast": "panels",
    "show_papers": "panels",
    "show_progress": "panels",
    "write_report": "hand_over.page",
    "your_museum": "panels",
    "Desk": "panels",
    "pick_unit": "panels",
    "present": "panels",
    "show_schedule": "panels",
    "show_scenarios": "panels",
    "show_what_changes": "panels",
    "show_what_ifs": "panels",
    "show_methods": "panels",
    "show_museum": "panels",
}

__all__ = ["__version__", *_NAMES]


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that the command line needs no widgets."""
    from importlib import import_module

    if name not in _NAMES:
        raise AttributeError(f"module 'heritagemove' has no attribute {name!r}")
    module, _, called = _NAMES[name].partition(":")
    return getattr(import_module(f"heritagemove.{module}"), called or name)
