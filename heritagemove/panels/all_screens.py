"""Every screen a notebook may show, by topic: ``hm.show.money.lines(desk)``.

One entry a screen: who makes it, its heading, the cautions it carries, and why no input moves it where none does.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from importlib import import_module
from types import MappingProxyType
from typing import Any

from heritagemove.panels.frame import NEAR_THE_UNIT, ON_MONEY, ON_THE_MOVE, Frame, Screen
from heritagemove.panels.state import Desk

_SURVEYED = "what was seen of the unit stands in the tables; no input changes it"

SCREENS_BY_TOPIC: Mapping[str, Mapping[str, Screen]] = MappingProxyType({
    "museum": {
        "glance": Screen("start.show_museum", "", ends=True),
        "paths": Screen("screens.show_paths", "What may be done with a unit", rests_on="paths are rows of the tables"),
        "cautions": Screen("screens.show_cautions", "", (), "cautions are rows of the tables", ends=True),
        "starters": Screen("starter_values.show_starter_values", "What is still the starter's", ON_MONEY),
        "changes": Screen("tracking.show_changes", "Who changed what", ON_MONEY, "what was changed stands in changes.csv"),
        "begin": Screen("your_museum.your_museum", "", NEAR_THE_UNIT, "it writes a museum of one's own"),
    },
    "survey": {
        "sheet": Screen("survey_tables.show_sheet", "The survey sheet", NEAR_THE_UNIT),
        "form": Screen("survey_sheet.survey_sheet", "Bearings", NEAR_THE_UNIT, _SURVEYED),
        "journals": Screen("survey_tables.show_journals", "Journals", NEAR_THE_UNIT, _SURVEYED),
        "readiness": Screen("survey_tables.show_readiness", "Ready to roll", NEAR_THE_UNIT, _SURVEYED),
        "unknowns": Screen("survey_tables.show_unknowns", "Still unknown", NEAR_THE_UNIT, _SURVEYED),
        "cautions": Screen("survey_tables.show_survey_cautions", "", (), "cautions are rows of the tables", ends=True),
    },
    "engineering": {
        "gates": Screen("engineering.engineering", "Gates"),
        "unit": Screen("screens.show_vehicle", "The unit"),
    },
    "decision": {
        "paths": Screen("explorer.explore", ""),
        "what_ifs": Screen("what_ifs.show_what_ifs", "What if?"),
        "what_changes_it": Screen("what_changes.show_what_changes", "What changes the decision"),
        "scenarios": Screen("scenarios.show_scenarios", "Saved inputs"),
    },
    "schedule": {"tasks": Screen("schedule.show_schedule", "Tasks and meetings")},
    "money": {
        "lines": Screen("money_and_risk.show_cost_lines", "Cost lines", ON_MONEY),
        "contingency": Screen("money_and_risk.show_contingency", "Contingency", ON_MONEY),
        "joint": Screen("money_and_risk.show_joint", "Budget and date together", ON_MONEY),
        "deadlines": Screen("money_and_risk.show_deadlines", "Another deadline", ON_MONEY),
        "correlation": Screen("money_and_risk.show_correlation", "Prices that rise together", ON_MONEY),
        "risks": Screen("money_and_risk.show_risks", "Risks", ON_MONEY),
        "precision": Screen("money_and_risk.show_half_widths", "Error of the trials", ON_MONEY),
    },
    "break_even": {"over": Screen("break_even.show_break_even", "Break-even")},
    "worth": {
        "knowing": Screen("value_of_information.show_knowing", "Worth finding out"),
        "mitigations": Screen("value_of_information.show_mitigations", "Mitigations"),
        "basis": Screen("basis_shares.show_basis", "What the estimate rests on"),
        "criteria": Screen("criteria.show_criteria", "What matters most"),
    },
    "fleet": {
        "sets": Screen("fleet.show_sets", "Units together", ON_MONEY),
        "shares": Screen("fleet.show_shares", "Who pays what", ON_MONEY),
        "crane": Screen("fleet.show_crane", "One crane for several", ON_MONEY),
        "company": Screen("fleet.show_company", "In company", ON_MONEY),
        "choose": Screen("fleet.choose_units", "Must save, and never", ON_MONEY),
    },
    "funding": {
        "carried": Screen("funding.show_carried", "What the money carries", ON_MONEY),
        "bank": Screen("funding.show_bank", "The account by month", ON_MONEY),
        "lost": Screen("funding.show_lost_funds", "A fund lost", ON_MONEY),
        "nothing": Screen("funding.show_doing_nothing", "Doing nothing", ON_MONEY),
    },
    "tracking": {
        "forecast": Screen("tracking.show_forecast", "Forecast", ON_MONEY),
        "coverage": Screen("tracking.show_coverage", "Covered by quotes", ON_MONEY),
        "papers": Screen("tracking.show_papers", "Papers", ON_MONEY),
        "progress": Screen("tracking.show_progress", "Progress", ON_MONEY),
        "contingency": Screen("tracking.show_contingency_left", "Contingency left", ON_MONEY),
        "closing": Screen("tracking.show_close_out", "Estimate and actual", ON_MONEY),
        "books": Screen("books.keep_books", "The books", ON_MONEY, "it writes what happened into the tables"),
        "files": Screen("tracking.show_files", "Files", ON_MONEY),
    },
    "committee": {"pages": Screen("presentation.present", "", ())},
    "methods": {
        "formulas": Screen("methods.show_methods", "Formulas", ON_THE_MOVE, "a formula is the same for every museum"),
    },
})  # fmt: skip


class Topic:
    """The screens of one topic, each called with a desk."""

    def __init__(self, name: str, screens: Mapping[str, Screen]):
        self._name, self._screens = name, screens

    def __getattr__(self, name: str) -> Callable[..., Frame]:
        if name not in self._screens:
            raise AttributeError(f"hm.show.{self._name} has no {name!r}; there are: {', '.join(self._screens)}")
        return _framed(self._screens[name])

    def __dir__(self) -> list[str]:
        return list(self._screens)

    def __repr__(self) -> str:
        lines = (f"  {name}: {_first_line(screen)}" for name, screen in self._screens.items())
        return "\n".join([f"hm.show.{self._name}, each called with a desk:", *lines])


class Topics:
    """The screens of the notebooks by topic.

    Examples
    --------
    >>> import heritagemove as hm
    >>> hm.show.schedule
    hm.show.schedule, each called with a desk:
      tasks: Return the schedule of one path at a time, and the chance meeting by meeting.
    >>> desk = hm.desk("data/tamber_river", "caboose")
    >>> screen = hm.show.survey.readiness(desk)
    >>> "Steel cupola caboose" in screen.body.value
    True
    """

    def __getattr__(self, name: str) -> Topic:
        if name not in SCREENS_BY_TOPIC:
            raise AttributeError(f"hm.show has no {name!r}; there are: {', '.join(SCREENS_BY_TOPIC)}")
        return Topic(name, SCREENS_BY_TOPIC[name])

    def __dir__(self) -> list[str]:
        return list(SCREENS_BY_TOPIC)

    def __repr__(self) -> str:
        return "\n".join(repr(Topic(*each)) for each in SCREENS_BY_TOPIC.items())


show_topics = Topics()


def _maker(screen: Screen) -> Callable[..., Any]:
    module, _, function = screen.made_by.partition(".")
    return getattr(import_module(f"heritagemove.panels.{module}"), function)


def _first_line(screen: Screen) -> str:
    return (_maker(screen).__doc__ or "").strip().partition("\n")[0]


def _framed(screen: Screen) -> Callable[..., Frame]:
    maker = _maker(screen)

    @functools.wraps(maker)
    def framed(desk: Desk, *given: Any, **named: Any) -> Frame:
        return Frame(desk, screen, lambda there: maker(there, *given, **named))

    return framed
