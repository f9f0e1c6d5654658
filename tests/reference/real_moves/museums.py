"""A published move as the museum that its planner could have written before it: facts laid over the starter's rows.

A case (cases/*.toml) holds only what was known before: the unit, the way, who decides, what is waited for. Prices, tasks,
cost lines, risks and gates are the demo's, as everybody begins with them; nothing of them is set by how the move went.
A row of prices or waits that a published move stands behind is not used for that same move: :func:`_free_of`.
"""

from __future__ import annotations

import csv
import datetime as dt
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from heritagemove.editing.starter_waits import WAITS
from heritagemove.editing.writing import Typed, typed, write_museum
from heritagemove.museum.museum import Museum, load_museum
from heritagemove.museum.scenario_file import Scenario

HERE = Path(__file__).parent
DATA = HERE.parents[2] / "data"
TRIALS = 2000
UNIT = "our_unit"
JUDGED = {"basis": "judgment", "source": "as the demo's row that is most like it"}

Row = dict[str, str]
#: What stands in a column where a row does not say, if that is not a blank.
_DEFAULTS = {"waits_for_others": "no"}
#: Tables in which every row names a path, of which a case takes only its own.
_OF_A_PATH = ("stages", "tasks", "cost_lines", "risks", "gates", "alterations", "piece_carriage")
#: Tables that begin empty: nothing was promised, drawn, offered, paid or done before.
_EMPTY = ("quotes", "actuals", "progress", "changes", "tie_down_drawings", "bridges", "inquiries", "call_outs",
          "scores", "criteria", "funds", "donations", "upkeep", "bases")  # fmt: skip


def cases() -> list[dict[str, Any]]:
    """Return every case, by number."""
    return [tomllib.loads(file.read_text(encoding="utf-8")) for file in sorted((HERE / "cases").glob("*.toml"))]


def waits(case: str) -> dict[str, Row]:
    """Return the starter's waits for others as tasks, each with days that do not come from a case itself.

    The vote is here that of whoever takes the unit and pays: it stands between the paper and the decision.
    """
    known = {
        wait.task: {"task": wait.task, "title": wait.title, "after": wait.after, "before": wait.before, "who": wait.who,
                    "low": str(wait.days[0]), "likely": str(wait.days[1]), "high": str(wait.days[2]),
                    "basis": "published", "source": wait.source}
        for wait in WAITS
    }  # fmt: skip
    known["owner_vote"] |= {"after": "committee_paper", "before": "committee_decision"}
    with (HERE / "waits.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["case"] == case:
                known[row["wait"]] |= {name: row[name] for name in ("low", "likely", "high", "source")} | {
                    "basis": "judgment"
                }
    return known


def museum_of(case: Mapping[str, Any], folder: Path) -> Museum:
    """Write the museum of a case into a new folder, and read it again with every rule between its tables."""
    demo = typed(DATA / "tamber_river")
    tables = {file.removesuffix(".csv"): _rows(lines) for file, lines in demo.tables.items()}
    headings = {file.removesuffix(".csv"): lines[0] for file, lines in demo.tables.items()}
    tables |= {name: [] for name in _EMPTY if name in tables}
    _lay_over(tables, case)
    lines = {f"{name}.csv": _lines(headings[name], rows) for name, rows in tables.items()}
    place = write_museum(Typed(_scenario(demo.scenario, case, tables), lines), folder / case["id"])
    return load_museum(place, DATA / "reference")


def _rows(lines: list[list[str]]) -> list[Row]:
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


def _lines(heading: list[str], rows: list[Row]) -> list[list[str]]:
    """Return rows under a heading, with the columns that only a case fills behind those of the demo."""
    more = dict.fromkeys(column for row in rows for column in row if column not in heading)
    columns = [*heading, *more]
    return [columns, *([row.get(column, _DEFAULTS.get(column, "")) for column in columns] for row in rows)]


def _scenario(demo: Scenario, case: Mapping[str, Any], tables: Mapping[str, list[Row]]) -> Scenario:
    start = case["start"]
    deadline = case.get("deadline", start + dt.timedelta(days=1095))
    markets = {row["market"] for name in ("rates", "tasks") for row in tables[name]}
    strengths = {name: value for name, value in demo.correlation.markets.items() if name in markets}
    simulation = demo.simulation.model_copy(update={"trials": TRIALS})
    changes = {
        "name": case["title"], "place": "Museum", "site": "Site", "owner": case.get("owner", "Owner"), "start": start,
        "as_of": start, "deadline": deadline, "forced_scrap": deadline + dt.timedelta(days=1825), "sliders": {},
        "simulation": simulation, "correlation": demo.correlation.model_copy(update={"markets": strengths}),
    }  # fmt: skip
    return Scenario.model_validate(dict(demo) | changes)


def _lay_over(tables: dict[str, list[Row]], case: Mapping[str, Any]) -> None:
    path, demo = case["path"], dict(tables)
    for name in _OF_A_PATH:
        tables[name] = [row for row in tables[name] if row["path"] in (path, "decline")]
    tables["paths"] = [row | {"fallback": ""} for row in tables["paths"] if row["path"] in (path, "decline")]
    survey_like = case["unit"].get("running_gear_like", case["unit"]["like"])
    for name in ("vehicles", "axles", "pieces", "survey", "quantities", "piece_carriage"):
        tables[name] = _of_the_unit(tables[name], survey_like if name == "survey" else case["unit"]["like"])
    tables["quantities"] = [row for row in tables["quantities"] if row["path"] in (path, "any")]
    _unit(tables, case["unit"])
    _stages(tables, case)
    _borrow(tables, case, demo)
    _calendars(tables, case)
    _facts(tables, case)
    for given in case.get("donations", ()):
        tables["donations"].append(
            JUDGED | {"vehicle": UNIT, "path": path} | {key: str(cell) for key, cell in given.items()}
        )
    for task in [row["task"] for row in tables["tasks"] if row.get("fund")]:  # of the demo's own grant
        _leave_out(tables["tasks"], task)
    _waits(tables, case)
    tables["rates"] = list(_free_of(tables["rates"], case["id"]))


def _leave_out(tasks: list[Row], task: str) -> None:
    """Take a task out; what followed it follows what it followed."""
    gone = next(row for row in tasks if row["task"] == task)
    tasks.remove(gone)
    for row in tasks:
        after = row["after"].split(";")
        if task in after:
            kept = dict.fromkeys([each for each in (*after, *gone["after"].split(";")) if each and each != task])
            row["after"] = ";".join(kept)


def _of_the_unit(rows: list[Row], like: str) -> list[Row]:
    return [row | {"vehicle": UNIT} if row["vehicle"] == like else row for row in rows if row["vehicle"] in (like, "any")]


def _unit(tables: dict[str, list[Row]], unit: Mapping[str, Any]) -> None:
    """Give the unit its stated measures; what is not stated is scaled with the weight or the length of its like."""
    row = tables["vehicles"][0]
    stated = {key: str(value) for key, value in unit.items() if key in row}
    heavier = _number(stated.get("weight", row["weight"])) / _number(row["weight"])
    longer = _number(stated.get("length", row["length"])) / _number(row["length"])
    for name in ("truck_centres", "rigid_wheelbase", "lift_spread"):
        stated.setdefault(name, _times(row[name], longer))
    for name in ("fluids_weight", "motor_weight"):
        stated.setdefault(name, _times(row[name], heavier))
    tables["vehicles"] = [row | JUDGED | stated]
    tables["axles"] = [
        each | JUDGED | {"position": _times(each["position"], longer), "load": _times(each["load"], heavier)}
        for each in tables["axles"]
    ]
    if pieces := unit.get("pieces"):
        blank = dict.fromkeys(tables["pieces"][0], "") | {"vehicle": UNIT, "count": "1", "wheels_on": "no"} | JUDGED
        like = {piece["kind"]: piece for piece in tables["pieces"]}
        tables["pieces"] = [blank | like.get(piece["kind"], {}) | {k: str(v) for k, v in piece.items()} for piece in pieces]
    else:
        tables["pieces"] = [
            each | JUDGED | {"weight": _times(each["weight"], heavier), "length": _times(each["length"], longer)}
            for each in tables["pieces"]
        ]
    named = {piece["piece"] for piece in tables["pieces"]}
    tables["piece_carriage"] = [each for each in tables["piece_carriage"] if each["piece"] in named]


def _number(text: str) -> float:
    return float(text.replace(",", "").split()[0])


def _times(text: str, factor: float) -> str:
    """Return a single measure, such as ``"44 ft 6 in"`` or ``"62,000 lb"``, times a factor."""
    if not text or factor == 1:
        return text
    parts = text.replace(",", "").split()
    inches = float(parts[2]) / 12 if len(parts) == 4 else 0.0
    return f"{round((float(parts[0]) + inches) * factor, 1):.10g} {parts[1]}"


def _stages(tables: dict[str, list[Row]], case: Mapping[str, Any]) -> None:
    """Write places, legs and stages: the last stage of the demo's path, or those that a case tells one after the other."""
    demo = [row for row in tables["stages"] if row["path"] == case["path"]][-1]
    own = case.get("stages") or [{"stage": demo["stage"], "carried_on": demo["carried_on"], "legs": case["legs"]}]
    places, like = {row["place"]: row for row in tables["places"]}, {row["leg"]: row for row in tables["legs"]}
    # A railroad's own engines run over its bridges: it says so. Of a road nobody has, before the survey of the route.
    bridges = {"rail": "none", "road": ""}
    stops = ["site", *(f"transfer_{number}" for number in range(1, len(own))), "museum"]
    tables["places"], tables["stages"], tables["legs"] = [], [], []
    for stop in stops:
        kind = stop.split("_")[0]
        row = places["museum" if kind == "museum" else "drossley_foundry"]
        tables["places"].append(row | JUDGED | {"place": stop, "kind": kind, "title": stop.replace("_", " ").capitalize(),
                                                "owner": "Owner"})  # fmt: skip
    for number, stage in enumerate(own):
        named: list[str] = []
        for leg in stage["legs"]:
            row = like[leg["like"]]
            order = 1 + sum(each["mode"] == row["mode"] for each in tables["legs"])
            named.append(f"{row['mode']}_{order}")
            stated = {key: str(value) for key, value in leg.items() if key in row}
            ends = {"from_place": stops[number] if len(named) == 1 else "",
                    "to_place": stops[number + 1] if len(named) == len(stage["legs"]) else ""}  # fmt: skip
            tables["legs"].append(
                row | JUDGED | {"bridges": bridges[row["mode"]], "policy": "As the demo's leg that is most like it"} | stated
                | {"leg": named[-1], "order": str(order), "name": f"{row['mode'].capitalize()} leg {order}",
                   "length": f"{leg['miles']} mile", "state": leg.get("state", "one")} | ends
            )  # fmt: skip
        tables["stages"].append(
            demo | JUDGED | {"stage": stage["stage"], "order": str(number + 1), "title": f"Stage {number + 1}",
                             "carried_on": stage["carried_on"], "legs": ";".join(named), "from_place": stops[number],
                             "to_place": stops[number + 1]}
        )  # fmt: skip
    first = tables["stages"][0]["stage"]
    tables["piece_carriage"] = [row | {"stage": first} for row in tables["piece_carriage"]]


def _borrow(tables: dict[str, list[Row]], case: Mapping[str, Any], demo: Mapping[str, list[Row]]) -> None:
    """Take tasks and cost lines of another of the demo's paths into a stage of this one, before or behind its own task."""
    if not (wanted := case.get("borrow")):
        return
    own, there = {"path": case["path"], "stage": wanted["stage"]}, wanted["path"]
    tasks = {row["task"]: row | own for row in demo["tasks"] if row["path"] == there and row["task"] in wanted["tasks"]}
    here = {row["task"]: row for row in tables["tasks"] if row["path"] == case["path"]}
    for row in tasks.values():
        row["after"] = ";".join(task for task in row["after"].split(";") if task in here | tasks)
    loading, last = tasks[wanted["loading"]], tasks[wanted["tasks"][-1]]
    if behind := wanted.get("behind"):
        loading["after"] = ";".join((loading["after"], behind))
        here[behind]["milestone"], last["milestone"] = "leaves", "arrived"
        tasks["haul"]["milestone"] = "arrived" if last is tasks["haul"] else ""
    else:  # nobody loads before what carries it on is ready
        follows = here[wanted["before"]]
        loading["after"] = ";".join(dict.fromkeys((*loading["after"].split(";"), *follows["after"].split(";"))))
        follows["after"], tasks["haul"]["milestone"] = last["task"], "leaves"
        for row in here.values():
            row["milestone"] = row["milestone"].replace("leaves;", "")
    tables["tasks"] += tasks.values()
    tables["cost_lines"] += [
        row | own for row in demo["cost_lines"] if row["path"] == there and row["line"] in wanted["lines"]
    ]


#: Seasons of the demo's own county and railroad, of which a case has its own or none.
_DEMO_SEASONS = ("Frost law", "Mill Street", "Main-line railroad takes no exception")


def _calendars(tables: dict[str, list[Row]], case: Mapping[str, Any]) -> None:
    rows = [row for row in tables["calendars"] if not row["reason"].startswith(_DEMO_SEASONS)]
    if case.get("frost_law"):
        rows = [row for row in tables["calendars"] if not row["reason"].startswith(_DEMO_SEASONS[1:])]
    if case["decides"] == "owner":  # one person, who needs no meeting
        rows = [row for row in rows if row["calendar"] != "committee"]
        rows.append(
            dict.fromkeys(rows[0], "")
            | JUDGED
            | {
                "calendar": "committee",
                "rule": "includes",
                "includes": "office",
                "reason": "One person decides, on any office day",
            }
        )
    tables["calendars"] = rows
    closed = {(row["calendar"], row["first"]) for row in rows}
    tables["risks"] = [
        row for row in tables["risks"] if not row["stretches"] or (row["stretches"], row["closed_from"]) in closed
    ]


def _facts(tables: dict[str, list[Row]], case: Mapping[str, Any]) -> None:
    """Set what a survey before the move found or was told; the rest stands as for the demo's unit that is most like it."""
    tables["survey"] = [row | JUDGED | {"photo": "", "observed": str(case["start"])} for row in tables["survey"]]
    for clue, found in case.get("facts", {}).items():
        rows = [row for row in tables["survey"] if row["clue"] == clue]
        assert rows, f"{case['id']}: nobody looks for {clue}"
        for row in rows:
            row["found"] = str(found)
    for driver, amount in case.get("quantities", {}).items():
        tables["quantities"] = [row for row in tables["quantities"] if row["driver"] != driver or row["vehicle"] == "any"]
        blank = dict.fromkeys(tables["quantities"][0], "") | JUDGED | {"path": "any", "driver": driver, "range": "bounds"}
        three = amount if isinstance(amount, list) else [amount] * 3
        tables["quantities"].append(
            blank | {"vehicle": UNIT} | dict(zip(("low", "likely", "high"), map(str, three), strict=True))
        )


def _waits(tables: dict[str, list[Row]], case: Mapping[str, Any]) -> None:
    """Put each wait that was known before into the tasks of the path: behind what it follows, before what waits for it."""
    known, tasks = waits(case["id"]), tables["tasks"]
    blank = dict.fromkeys(tasks[0], "") | {"path": case["path"], "range": "bounds", "extra_days": "0", "calendar": "office"}
    for name in case.get("waits", ()):
        row = blank | {"waits_for_others": "yes"} | known[name]
        wanted = case["path"], row.pop("before")
        follows = next(each for each in tasks if (each["path"], each["task"]) == wanted)
        follows["after"] = ";".join(filter(None, (follows["after"], name)))
        tasks.insert(tasks.index(follows), row)


def _free_of(rates: list[Row], case: str) -> Iterator[Row]:
    """Yield the rates without those that stand on a case: its neighbour does, or a row of twice the spread."""
    for row in rates:
        if case not in row.get("source_ids", "").split(";"):
            yield row
        elif not any(row["rate"] == other["rate"] and row is not other for other in rates):
            wider = {"low": f"{_number(row['low']) / 2:g}", "high": f"{_number(row['high']) * 2:g}"}
            yield (
                row
                | wider
                | {"basis": "judgment", "source_ids": "", "source": "twice the spread, as the case stands behind the row"}
            )
