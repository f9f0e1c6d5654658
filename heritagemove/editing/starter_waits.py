"""What a new museum waits for that others decide, until its planner says that it does not: a vote, a tender, money.

The demo's owner needs no vote, its museum has the money and asks three haulers without a tender. A museum that starts
knows none of that yet. Each wait is a task of every path that saves the unit, with a gate for the chance of a no, and one
row of quantities.csv that switches it off everywhere: a zero.
"""

from __future__ import annotations

from dataclasses import dataclass

from heritagemove.editing.writing import Lines
from heritagemove.files.tables import heading_of

_SWITCH = "starter value; 0 where it does not apply"


@dataclass(frozen=True)
class Wait:
    """One wait of others: a task, the gate that it settles, and the driver that says whether it applies."""

    task: str
    title: str
    driver: str
    after: str  # task that it follows
    before: str  # task that waits for it
    days: tuple[int, int, int]  # low, likely, high [working day]
    who: str
    hands_over: str
    source: str
    gate: str  # the condition
    refusal: float  # chance of a no, 0 to 1


#: Waits that published moves had before any contract was signed.
WAITS = (
    Wait(
        "owner_vote", "Council or owner's board votes to let the unit go", "owner_votes", "survey", "title", (20, 45, 260),
        "owner's council or board", "resolution",
        "63 days from consensus to contract in one town (windsorweekly.com, 2024 to 2025); one who hesitates: judgment",
        "Owner's council or board has voted for it", 0.1,
    ),
    Wait(
        "tender", "Work put out to tender, one bid or several, and awarded", "tenders", "survey", "committee_paper",
        (10, 25, 45), "museum, bidders", "award",
        "5 to 30 calendar days that a tender is out, by the codes of five towns; the award is judgment",
        "A bid is in that the museum can take", 0.08,
    ),
    Wait(
        "money_in_hand", "Money in hand: grant awarded or appeal closed", "money_to_raise", "committee_paper",
        "committee_decision", (40, 130, 780), "treasurer, those who give", "letter of award",
        "56 days to 18 months by the rules of grants, two to three years by dated moves; the rest judgment",
        "The money is in hand before anybody commits", 0.25,
    ),
)  # fmt: skip


def with_waits(tables: dict[str, Lines]) -> dict[str, Lines]:
    """Return a museum's tables as typed, with the waits on each path that saves the unit."""
    heading = heading_of(tables["paths.csv"])
    path, saves = heading.index("path"), heading.index("saves")
    saved = {line[path] for line in tables["paths.csv"][1:] if line[saves] == "yes"}
    quantities = [
        {"vehicle": "any", "path": "any", "driver": wait.driver, "low": "1", "likely": "1", "high": "1", "range": "bounds",
         "basis": "judgment", "source": _SWITCH, "starter": "yes"}
        for wait in WAITS
    ]  # fmt: skip
    as_of = tables["gates.csv"][1][heading_of(tables["gates.csv"]).index("as_of")]
    gates = [_gate(line[path], wait, as_of) for line in tables["paths.csv"][1:] if line[path] in saved for wait in WAITS]
    return tables | {
        "tasks.csv": _tasks(tables["tasks.csv"], saved),
        "gates.csv": [*tables["gates.csv"], *_typed(tables["gates.csv"], gates)],
        "quantities.csv": [*tables["quantities.csv"], *_typed(tables["quantities.csv"], quantities)],
    }


def _without_funds(lines: Lines) -> Lines:
    """Return tasks as typed without those that wait for a fund: a new museum has none; what waited for them goes on."""
    heading = heading_of(lines)
    fund, after = heading.index("fund"), heading.index("after")
    gone = {(line[0], line[1]): line[after].split(";") for line in lines[1:] if line[fund]}
    kept = [lines[0]]
    for line in lines[1:]:
        if not line[fund]:
            before = [each for task in line[after].split(";") for each in gone.get((line[0], task), [task])]
            kept.append([";".join(dict.fromkeys(before)) if n == after else cell for n, cell in enumerate(line)])
    return kept


def _tasks(lines: Lines, saved: set[str]) -> Lines:
    lines = _without_funds(lines)
    heading, there = heading_of(lines), {(line[0], line[1]) for line in lines[1:]}
    after, out = heading.index("after"), [lines[0]]
    for line in lines[1:]:
        path, task = line[0], line[1]
        waits = [w for w in WAITS if path in saved and {(path, w.after), (path, w.before)} <= there]
        held = [wait.task for wait in waits if wait.before == task]
        waiting = list(line)
        waiting[after] = ";".join(filter(None, [line[after], *held]))
        out.append(waiting)
        out += _typed(lines, [_task(path, wait) for wait in waits if wait.after == task])
    return out


def _task(path: str, wait: Wait) -> dict[str, str]:
    low, likely, high = map(str, wait.days)
    return {
        "path": path, "task": wait.task, "title": wait.title, "after": wait.after, "low": low, "likely": likely,
        "high": high, "range": "bounds", "extra_days": "0", "calendar": "office", "who": wait.who,
        "hands_over": wait.hands_over, "needs": wait.driver, "waits_for_others": "yes", "basis": "published",
        "source": wait.source, "starter": "yes",
    }  # fmt: skip


def _gate(path: str, wait: Wait, as_of: str) -> dict[str, str]:
    return {
        "path": path, "gate": wait.task, "title": wait.gate, "kind": "hard_stop", "needs": wait.driver, "task": wait.task,
        "refusal_probability": f"{wait.refusal:g}", "rule": "Common practice, no source: nobody signs before it",
        "evidence": wait.hands_over, "signer": wait.who, "as_of": as_of, "basis": "judgment", "source": _SWITCH,
        "starter": "yes",
    }  # fmt: skip


def _typed(lines: Lines, rows: list[dict[str, str]]) -> Lines:
    """Return rows as lines under the heading of a table."""
    return [[row.get(column, "") for column in heading_of(lines)] for row in rows]
