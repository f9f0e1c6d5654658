"""The tables of one path's time: its tasks on their calendars, what is closed when, and the decision that dates it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

import numpy as np

from heritagemove.compare.results import Comparison
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.museum.calendars import closures, rules_of
from heritagemove.trials.simulation import date_of
from heritagemove.units.described import Described, Heading, Marked, described, facts
from heritagemove.units.words import show_chance, show_date

#: A closure shorter than this is a holiday: too narrow to be seen, and nothing to plan around [day].
LEAST_CLOSURE_DAYS = 5


@dataclass(frozen=True)
class TaskSpan:
    """One task of a path in time."""

    task: Any
    # begin and last day at P50, and last day at P80
    begins: dt.date
    ends: dt.date
    ends_p80: dt.date
    # day numbers of begin and finish at P50 and of finish at P80, a finish being the morning after
    days: tuple[float, float, float]
    share: float  # share of trials in which it sets the date off the site


def task_spans(comparison: Comparison, path: str) -> tuple[TaskSpan, ...]:
    """Return the tasks of a path in the order of their beginning."""
    museum, result = comparison.museum, comparison.path(path)
    spans = []
    for task in museum.of_path("tasks", path):
        ready, finish = (dates[task.task] for dates in (result.trials.dates.ready, result.trials.dates.finish))
        days = tuple(float(day) for day in (np.median(ready), *np.percentile(finish, (50, 80))))
        dates = (date_of(museum, day) for day in (days[0], max(days[1] - 1, days[0]), max(days[2] - 1, days[0])))
        spans.append(TaskSpan(task, *dates, days, result.critical.get(task.task, 0.0)))
    return tuple(sorted(spans, key=lambda span: span.days))


def closed_seasons(comparison: Comparison, path: str, calendar: str) -> tuple[tuple[dt.date, dt.date, str], ...]:
    """Return the closed seasons of a calendar that a path works on: first day, last day and reason.

    Those from the start to the scrap date whose rule applies to the unit on this path; single holidays are left out.
    """
    museum, needs = comparison.museum, comparison.path(path).work
    span = museum.scenario.start, museum.scenario.forced_scrap
    rules = [each.rule for each in rules_of(museum.calendars, calendar) if all(map(needs.applies, each.needs))]
    found = {(*closed, rule.reason) for rule in rules for closed in closures(rule, *span)}
    return tuple(sorted(each for each in found if (each[1] - each[0]).days + 1 >= LEAST_CLOSURE_DAYS))


def table_of_tasks(comparison: Comparison, path: str) -> Described:
    """Return the tasks of a path in the order of their beginning, with dates and how often each sets the date."""
    museum, result = comparison.museum, comparison.path(path)
    titles = {task.task: museum.titled(task) for task in museum.of_path("tasks", path)}
    return described(
        f"Tasks of path {result.number}, {result.title}",
        (
            Heading("Task", lambda span: titles[span.task.task], width=20),
            Heading("Calendar", lambda span: span.task.calendar.replace("_", " "), width=9),
            Heading("Who", lambda span: span.task.who, width=14),
            Heading("After", lambda span: tuple(titles.get(task, task) for task in span.task.after), width=18),
            Heading("Begins at P50", lambda span: span.begins, "date", width=10),
            Heading("Done at P50", lambda span: span.ends, "date", width=10),
            Heading("Done at P80", lambda span: span.ends_p80, "date", width=10),
            Heading("How often it sets the date", lambda span: span.share, "chance", width=9),
        ),
        task_spans(comparison, path),
    )


def table_of_closed_seasons(comparison: Comparison, path: str) -> Described:
    """Return the closed seasons of the calendars that a path works on."""
    calendars = sorted({task.calendar for task in comparison.museum.of_path("tasks", path)})
    return described(
        "Closed seasons of the calendars this path works on",
        (
            Heading("Calendar", lambda row: row[0].replace("_", " ")),
            Heading("From", lambda row: row[1], "date"),
            Heading("To", lambda row: row[2], "date"),
            Heading("Why", lambda row: row[3]),
        ),
        [(name, *closed) for name in calendars for closed in closed_seasons(comparison, path, name)],
    )


def table_of_decision(comparison: Comparison) -> Described:
    """Return the decision in four lines: the meeting, the chance then, the answer that decides, and what follows a no."""
    museum, told = comparison.museum, comparison.decision
    caption, headings = f"The decision, to be off the site by {show_date(museum.scenario.deadline)}", ("What", "Answer")
    if comparison.choice is None:
        return facts(caption, [("Decision", told.in_short)], headings)
    choice, hinge = comparison.path(comparison.choice), told.hinge
    turns_to = comparison.path(hinge.turns_to) if hinge and hinge.turns_to else None
    answer, then = "nothing of it may be refused", "no other path is needed"
    if hinge:
        days = f", {show_date(hinge.answer[0])} to {show_date(hinge.answer[2])}" if hinge.answer else ""
        answer = hinge.title + days
        then = Marked(turns_to.number, turns_to.title) if turns_to else "no other path rescues it: decline and record"
    return facts(
        caption,
        [
            ("Path", Marked(choice.number, choice.title)),
            ("Decide at the meeting of, at the latest", meeting_in_words(comparison)),
            ("Chance then, all in", show_chance(told.chance_if_decided_then)),
            ("Chance if decided at the first meeting that can", show_chance(told.chance_at_once)),
            ("Answer that costs most if it is a no, and when it is known", answer),
            ("Last day to wait for that answer", told.switch_by or told.switch_why),
            ("If it is refused, turn at once to", then),
        ],
        headings,
    )
