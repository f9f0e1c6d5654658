"""The schedule as a calendar file (iCalendar, RFC 5545): last meeting that decides, deadline, task dates and papers.

An entry keeps its identifier when its date moves, so that a calendar that takes the file again moves the entry
and does not double it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heritagemove.compare.results import Comparison, PathResult
from heritagemove.files.outputs import refuse_places
from heritagemove.files.saving import save
from heritagemove.following.papers import Paper
from heritagemove.museum.museum import input_files
from heritagemove.trials import simulation
from heritagemove.units.words import show_date

_CONTROL = re.compile(r"[\x00-\x1f\x7f]+")


@dataclass(frozen=True)
class Entry:
    """One entry of the calendar, of whole days."""

    name: str  # what it is the entry of; it makes the identifier
    first: dt.date
    last: dt.date
    summary: str
    description: str


def entries(
    comparison: Comparison, path: str | None = None, result: PathResult | None = None, papers: Iterable[Paper] = ()
) -> tuple[Entry, ...]:
    """Return the dated entries of a comparison.

    Parameters
    ----------
    path : str, optional
        Path whose tasks are entered; by default the choice.
    result : PathResult, optional
        That path as forecast later, in place of the comparison's.
    papers : iterable of Paper, optional
        Papers whose last days are entered.

    Returns
    -------
    tuple of Entry
        Tasks run from the median of their beginnings to the P80 of their finishes.
    """
    museum, scenario = comparison.museum, comparison.museum.scenario
    name, path = museum.vehicle(comparison.vehicle).name, path or comparison.choice
    found = []

    def day(name_of: str, date: dt.date | None, summary: str, description: str) -> None:
        if date is not None:
            found.append(Entry(name_of, date, date, f"{summary}: {name}", description))

    if path == comparison.choice:
        day("decide_by", comparison.decide_by, "Last meeting that decides", comparison.sentence)
        day("switch_by", comparison.switch_by, "Last day to wait for the answer that decides", comparison.sentence)
    for number, row in enumerate(comparison.decision.first, start=1):
        day(f"find_out_{number}", row.by, f"Find out by: {row.what}", f"{row.find or 'Ask or measure'}. {row.who}.")
    day("deadline", scenario.deadline, "Deadline, off the site", f"Deadline of {scenario.owner}.")
    day("forced_scrap", scenario.forced_scrap, "Forced scrap", "What still stands there is scrapped.")
    for paper in papers:
        if paper.state != "accepted":
            day(f"paper/{paper.kind}/{paper.title}", paper.until, f"Last day of {paper.kind} {paper.title}", paper.holder)
    if path is not None:
        of = result or comparison.path(path)
        dates = of.trials.dates
        gone = ("off_site", of.off_site, "Off the site"), ("arrived", of.arrived, "At the museum")
        for event, found_dates, title in gone:
            if found_dates is not None:
                day(f"{event}/{path}", found_dates.p80, title, f"P50 {show_date(found_dates.p50)}; this day is the P80.")
        for row in museum.of_path("tasks", path):
            first = simulation.date_of(museum, float(np.percentile(dates.ready[row.task], 50)))
            last = simulation.date_of(museum, float(np.percentile(dates.finish[row.task] - 1, 80)))
            text = f"{row.who}. Beginning at P50, finish at P80. Hands over: {row.hands_over or 'nothing'}."
            found.append(Entry(f"task/{path}/{row.task}", first, max(first, last), f"{row.title}: {name}", text))
    return tuple(found)


def calendar_bytes(comparison: Comparison, found: Iterable[Entry]) -> bytes:
    """Return entries as an iCalendar file; the same entries give the same bytes.

    References
    ----------
    RFC 5545, Internet Calendaring and Scheduling Core Object Specification, sections 3.4, 3.6.1 (an all-day event
    ends on the day after its last), 3.8.4.7 (identifiers), 3.8.7.2 (DTSTAMP).
    """
    # Imported here: who writes no calendar needs no calendar library.
    from icalendar import Calendar, Event, vText

    museum = comparison.museum
    stamp = dt.datetime.combine(museum.scenario.as_of, dt.time(), dt.UTC)
    calendar = Calendar()
    calendar.add("prodid", "-//heritagemove//schedule//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar["x-wr-calname"] = vText(_clean(museum.vehicle(comparison.vehicle).name))  # else it is not escaped
    for entry in found:
        event = Event()
        key = "/".join((museum.scenario.name, comparison.vehicle, entry.name))
        event.add("uid", f"{hashlib.sha256(key.encode()).hexdigest()[:32]}@heritagemove.invalid")
        event.add("dtstamp", stamp)
        event.add("dtstart", entry.first)
        event.add("dtend", entry.last + dt.timedelta(days=1))
        event.add("summary", _clean(entry.summary))
        event.add("description", _clean(entry.description))
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return calendar.to_ical()


def write_calendar(
    comparison: Comparison,
    path: str | Path,
    replace: bool = False,
    followed: str | None = None,
    result: PathResult | None = None,
    papers: Iterable[Paper] = (),
) -> Path:
    """Write the schedule as an .ics file.

    Parameters
    ----------
    path : path
        Name that ends in .ics.
    replace : bool
        Whether to replace a file that is there.
    followed : str, optional
        Path whose tasks are entered; by default the choice.
    result : PathResult, optional
        That path as forecast later.
    papers : iterable of Paper, optional
        Papers whose last days are entered.

    Raises
    ------
    PlannerError
        If the name ends otherwise, or the file is there and may not be replaced.
    NotSaved
        If it cannot be written.
    """
    path = Path(path)
    refuse_places({"out": path}, input_files(comparison.base.folder), replace, {"out": ".ics"})
    content = calendar_bytes(comparison, entries(comparison, followed, result, papers))
    save(path, content, **({} if replace else {"expected": None}))
    return path


def _clean(text: str) -> str:
    return _CONTROL.sub(" ", text)
