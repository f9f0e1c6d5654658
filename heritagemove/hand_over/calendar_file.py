"""The decision and the schedule as a calendar file (iCalendar, RFC 5545): the meeting with its motion, the days that turn
the decision, expected answers, tasks, and the last days of papers.

An entry keeps its identifier when its date moves, and a file that is written again counts up the entries that changed: a
calendar that takes it moves them and doubles none. What is no longer there is cancelled in it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from heritagemove.answers.motion import motion
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.files.outputs import refuse_places
from heritagemove.files.saving import save
from heritagemove.following.papers import Paper, papers
from heritagemove.following.progress import known_by
from heritagemove.museum.museum import input_files
from heritagemove.trials import simulation
from heritagemove.trials.simulation import PathTrials
from heritagemove.units.words import show_chance, show_date

_CONTROL = re.compile(r"[\x00-\x1f\x7f]+")
#: Days before a day that turns something on which a calendar reminds of it.
_ALARMS = (7, 1)
#: What the identifiers of entries end in: a name that is nobody's.
_OURS = "@heritagemove.invalid"
#: What makes an entry another than it was, beside its alarms.
_TELLING = ("dtstart", "dtend", "summary", "description", "status")


@dataclass(frozen=True)
class Entry:
    """One entry of the calendar, of whole days."""

    name: str  # what it is the entry of; it makes the identifier
    first: dt.date
    last: dt.date
    summary: str
    description: str
    alarms: tuple[int, ...] = ()  # days before its first day on which it reminds


def entries(
    comparison: Comparison,
    path: str | None = None,
    result: PathResult | None = None,
    expiring: Iterable[Paper] | None = None,
) -> tuple[Entry, ...]:
    """Return the dated entries of a comparison.

    Parameters
    ----------
    path : str, optional
        Path whose tasks are entered; by default the choice.
    result : PathResult, optional
        That path as forecast later, in place of the comparison's.
    expiring : iterable of Paper, optional
        Papers whose last days are entered; by default all that the tables name.

    Returns
    -------
    tuple of Entry
        Tasks run from the median of their beginnings to the P80 of their finishes; of the choice, as decided at the
        meeting of the decision.
    """
    museum, scenario, decided = comparison.museum, comparison.museum.scenario, comparison.decision
    name, path = museum.vehicle(comparison.vehicle).name, path or comparison.choice
    found: list[Entry] = []

    def day(of: str, date: dt.date | None, summary: str, description: str, alarms: tuple[int, ...] = _ALARMS) -> None:
        if date is not None:
            found.append(Entry(of, date, date, f"{summary}: {name}", description, alarms))

    meeting = decided.played.policy.meeting if decided.played else None
    if path == comparison.choice and path is not None:
        resolved, last = motion(comparison).in_full(), "Last meeting that decides"
        sits = comparison.decide_by or (None if meeting is None else simulation.date_of(museum, meeting))
        day("decide_by", sits, last if comparison.decide_by else "First meeting that can decide", resolved)
        day("switch_by", comparison.switch_by, "Last day to wait for the answer that decides", comparison.sentence)
        if decided.hedge:
            beside = "; ".join(decided.hedge.titles)
            day("hedge", decided.hedge.begin_by, "Begin beside the path, at the latest", f"{beside}.")
        if decided.more_time:
            asked = decided.more_time
            granted = f"{asked.days} days more; then the chance is {show_chance(asked.chance)}."
            day("more_time", asked.ask_by, f"Ask the owner, at the latest: {asked.title}", granted)
    for row in decided.first:
        day(f"find_out/{row.what}", row.by, f"Find out by: {row.what}", f"{row.find or 'Ask or measure'}. {row.who}.")
    day("deadline", scenario.deadline, "Deadline, off the site", f"Deadline of {scenario.owner}.")
    day("forced_scrap", scenario.forced_scrap, "Forced scrap", "What still stands there is scrapped.")
    for paper in _all_papers(comparison, path) if expiring is None else expiring:
        if paper.state != "accepted":
            day(f"paper/{paper.kind}/{paper.title}", paper.until, f"Last day of {paper.kind} {paper.title}", paper.holder)
    if path is None:
        return tuple(found)
    if result is None:
        at = meeting if path == comparison.choice else None
        work = comparison.path(path).work
        trials = simulation.simulate(museum, path, work, comparison.samples, decided=at)
    else:
        trials = result.trials
    gone = ("off_site", trials.off_site, "Off the site"), ("arrived", trials.arrived, "At the museum")
    for event, days, title in gone:
        if days is not None:
            p50, p80 = (show_date(_date(comparison, days, share)) for share in (50, 80))
            day(f"{event}/{path}", _date(comparison, days, 80), title, f"P50 {p50}; this day, {p80}, is the P80.")
    found += _answers(comparison, path, trials, name)
    for row in museum.of_path("tasks", path):
        first = _date(comparison, trials.dates.ready[row.task], 50)
        last_day = _date(comparison, trials.dates.finish[row.task] - 1, 80)
        text = f"{row.who}. Beginning at P50, finish at P80. Hands over: {row.hands_over or 'nothing'}."
        found.append(Entry(f"task/{path}/{row.task}", first, max(first, last_day), f"{row.title}: {name}", text))
    return tuple(found)


def _date(comparison: Comparison, days: np.ndarray, share: float) -> dt.date:
    return simulation.date_of(comparison.museum, float(np.percentile(days, share)))


def _answers(comparison: Comparison, path: str, trials: PathTrials, name: str) -> Iterable[Entry]:
    """Yield the days on which the open gates of a path are answered as likely as not, each with what a no turns to."""
    turns = comparison.decision.on_refusal if path == comparison.choice else {}
    for finding in comparison.path(path).findings:
        gate = finding.gate
        if finding.status != "open" or gate.task is None:
            continue
        days = trials.dates.finish[gate.task] - 1
        likely, late = (_date(comparison, days, share) for share in (50, 80))
        then = ""
        if gate.gate in turns:
            other = turns[gate.gate] and comparison.path(turns[gate.gate])
            to = f"turn to {other.title} (path {other.number})" if other else "decline, and record the unit"
            then = f" If it is a no: {to}."
        no = show_chance(finding.refusal)
        text = f"{gate.signer}; a no in {no} of cases. Four times in five by {show_date(late)}.{then}"
        yield Entry(f"answer/{path}/{gate.gate}", likely, likely, f"Answer expected: {gate.title}: {name}", text, _ALARMS)


def _all_papers(comparison: Comparison, path: str | None) -> tuple[Paper, ...]:
    """Return every paper that the tables name of the unit on a path."""
    if path is None:
        return ()
    museum, vehicle, on = comparison.museum, comparison.vehicle, dt.date.max
    return papers(museum, vehicle, path, known_by(museum.progress, vehicle, path, on), on)


def calendar_bytes(comparison: Comparison, found: Iterable[Entry], before: bytes | None = None) -> bytes:
    """Return entries as an iCalendar file; the same entries, after the same file, give the same bytes.

    Parameters
    ----------
    before : bytes, optional
        The file as it was written last: entries that have changed since are counted up, those that are gone cancelled.

    References
    ----------
    RFC 5545, Internet Calendaring and Scheduling Core Object Specification, sections 3.4, 3.6.1 (an all-day event
    ends on the day after its last), 3.6.6 (alarms), 3.8.1.11 (what is cancelled), 3.8.4.7 (identifiers), 3.8.7.2
    (DTSTAMP), 3.8.7.4 (the sequence of revisions). RFC 7986, section 5.3 (the identifier of a calendar).
    """
    # Imported here: who writes no calendar needs no calendar library.
    from icalendar import Calendar, vText

    museum = comparison.museum
    whole = _identifier(comparison, "calendar")
    known, calendar = _written(before, whole), Calendar()
    calendar.add("prodid", "-//heritagemove//schedule//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("uid", whole)
    calendar["x-wr-calname"] = vText(_clean(museum.vehicle(comparison.vehicle).name))  # else it is not escaped
    stamp = dt.datetime.combine(museum.scenario.as_of, dt.time(), dt.UTC)
    for entry in found:
        uid = _identifier(comparison, entry.name)
        calendar.add_component(_counted_up(_event(entry, uid, stamp), known.pop(uid, None)))
    for gone in known.values():
        was = int(gone.get("sequence", 0))
        if str(gone.get("status", "")) != "CANCELLED":
            gone["status"], was = vText("CANCELLED"), was + 1
        gone.pop("sequence", None)
        gone.add("sequence", was)
        gone.subcomponents.clear()  # nobody is reminded of what is off
        calendar.add_component(gone)
    return calendar.to_ical()


def _identifier(comparison: Comparison, name: str) -> str:
    key = "/".join((comparison.museum.scenario.name, comparison.vehicle, name))
    return f"{hashlib.sha256(key.encode()).hexdigest()[:32]}{_OURS}"


def _event(entry: Entry, uid: str, stamp: dt.datetime) -> Any:
    from icalendar import Alarm, Event

    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", stamp)
    event.add("dtstart", entry.first)
    event.add("dtend", entry.last + dt.timedelta(days=1))
    event.add("summary", _clean(entry.summary))
    event.add("description", _clean(entry.description))
    event.add("transp", "TRANSPARENT")
    for days in entry.alarms:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", _clean(entry.summary))
        alarm.add("trigger", dt.timedelta(days=-days))
        event.add_component(alarm)
    return event


def _counted_up(event: Any, before: Any | None) -> Any:
    """Return an event with its sequence: one more than it had where what it tells has changed."""
    was = -1 if before is None else int(before.get("sequence", 0))
    event.add("sequence", was + (before is None or _told(before) != _told(event)))
    return event


def _told(event: Any) -> tuple[Any, ...]:
    alarms = [part.to_ical() for part in event.subcomponents]
    return (*(event[name].to_ical() if name in event else None for name in _TELLING), *alarms)


def _written(before: bytes | None, whole: str) -> dict[str, Any]:
    """Return the entries of a file as it was written, by their identifiers; none of another unit's, or of no calendar."""
    from icalendar import Calendar

    if before is None:
        return {}
    try:
        calendar = Calendar.from_ical(before)
        events = calendar.walk("VEVENT") if str(calendar.get("uid", "")) == whole else ()
        return {str(event["uid"]): event for event in events if str(event.get("uid", "")).endswith(_OURS)}
    except (ValueError, KeyError, IndexError):  # whatever it is, it is replaced
        return {}


def write_calendar(
    comparison: Comparison,
    path: str | Path,
    replace: bool = False,
    followed: str | None = None,
    result: PathResult | None = None,
    expiring: Iterable[Paper] | None = None,
) -> Path:
    """Write the decision and the schedule as an .ics file.

    Where such a file is replaced, entries that have changed are counted up and those that are gone are cancelled in it.

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
    expiring : iterable of Paper, optional
        Papers whose last days are entered; by default all that the tables name.

    Raises
    ------
    PlannerError
        If the name ends otherwise, or the file is there and may not be replaced.
    NotSaved
        If it cannot be written.
    """
    path = Path(path)
    refuse_places({"out": path}, input_files(comparison.base.folder), replace, {"out": ".ics"})
    before = path.read_bytes() if path.exists() else None
    content = calendar_bytes(comparison, entries(comparison, followed, result, expiring), before)
    save(path, content, **({} if replace else {"expected": None}))
    return path


def _clean(text: str) -> str:
    return _CONTROL.sub(" ", text)
