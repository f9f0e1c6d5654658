"""Panels of the notebooks: widgets and tables on screen, what is counted is counted below; the presentation.

The only room with widgets in it. Imports hand_over and below.
"""

from heritagemove.panels.basis_shares import show_basis
from heritagemove.panels.books import keep_books
from heritagemove.panels.break_even import show_break_even
from heritagemove.panels.controls import UnitPicker, pick_unit
from heritagemove.panels.criteria import CriteriaScreen, show_criteria
from heritagemove.panels.engineering import EngineeringScreen, engineering
from heritagemove.panels.explorer import Explorer, explore
from heritagemove.panels.fleet import UnitChooser, choose_units, show_company, show_crane, show_sets, show_shares
from heritagemove.panels.funding import show_bank, show_carried, show_doing_nothing, show_lost_funds
from heritagemove.panels.methods import show_methods
from heritagemove.panels.money_and_risk import (
    DeadlineScreen,
    show_contingency,
    show_correlation,
    show_cost_lines,
    show_deadlines,
    show_half_widths,
    show_joint,
    show_risks,
)
from heritagemove.panels.presentation import Presentation, present
from heritagemove.panels.scenarios import show_scenarios
from heritagemove.panels.schedule import show_schedule
from heritagemove.panels.screens import show_cautions, show_paths, show_vehicle
from heritagemove.panels.start import show_museum
from heritagemove.panels.state import Desk
from heritagemove.panels.survey_sheet import SurveySheet, survey_sheet
from heritagemove.panels.survey_tables import show_journals, show_readiness, show_sheet, show_survey_cautions, show_unknowns
from heritagemove.panels.tracking import (
    show_changes,
    show_close_out,
    show_contingency_left,
    show_coverage,
    show_files,
    show_forecast,
    show_papers,
    show_progress,
)
from heritagemove.panels.value_of_information import show_knowing, show_mitigations
from heritagemove.panels.what_changes import show_what_changes
from heritagemove.panels.what_ifs import show_what_ifs
from heritagemove.panels.your_museum import YourMuseum, your_museum

__all__ = [
    "CriteriaScreen",
    "DeadlineScreen",
    "Desk",
    "EngineeringScreen",
    "Explorer",
    "Presentation",
    "SurveySheet",
    "UnitChooser",
    "UnitPicker",
    "YourMuseum",
    "choose_units",
    "engineering",
    "explore",
    "keep_books",
    "pick_unit",
    "present",
    "show_bank",
    "show_basis",
    "show_break_even",
    "show_carried",
    "show_cautions",
    "show_changes",
    "show_close_out",
    "show_company",
    "show_contingency",
    "show_contingency_left",
    "show_correlation",
    "show_cost_lines",
    "show_coverage",
    "show_crane",
    "show_criteria",
    "show_deadlines",
    "show_doing_nothing",
    "show_files",
    "show_forecast",
    "show_half_widths",
    "show_joint",
    "show_journals",
    "show_knowing",
    "show_lost_funds",
    "show_methods",
    "show_mitigations",
    "show_museum",
    "show_papers",
    "show_paths",
    "show_progress",
    "show_readiness",
    "show_risks",
    "show_scenarios",
    "show_schedule",
    "show_sets",
    "show_shares",
    "show_sheet",
    "show_survey_cautions",
    "show_unknowns",
    "show_vehicle",
    "show_what_changes",
    "show_what_ifs",
    "survey_sheet",
    "your_museum",
]
