"""A museum to begin with: one unit, the paths that its situation leaves, prices that wait for a quote, nothing measured.

It is a demo museum with everything taken out that is known of the demo alone, so that it never falls behind the tables of
this version, and with everything left out that the first answers rule out. What nobody has measured is blank.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from pathlib import Path

from heritagemove.editing.starter_waits import with_waits
from heritagemove.editing.starter_way import SITE_TRACK, starter_legs, starter_places, way_of
from heritagemove.editing.starting_point import StartingPoint
from heritagemove.editing.writing import Lines, Typed, typed, write_museum
from heritagemove.files.tables import heading_of
from heritagemove.museum.column_tables import first_line
from heritagemove.museum.museum import shipped
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.rules_folders import USA
from heritagemove.museum.scenario_file import Scenario

__all__ = ["StartingPoint", "left_out", "new_museum", "starter", "starter_museum"]

UNIT = "our_unit"
Rows = list[dict[str, str]]
#: Tables that begin empty: nothing has been promised, drawn, offered, asked, paid, done, amended or measured yet.
_EMPTY = ("quotes", "actuals", "funds", "progress", "changes", "tie_down_drawings", "donations", "inquiries", "extensions",
          "bridges")  # fmt: skip
_RATE, _OWN, _UNSEEN = "replace with a quote", "starter value; replace with your own", "not looked at yet"
_ANSWERED = "answered at the beginning"
_A_YEAR = dt.timedelta(days=366)
#: What the demo's rows call by names of its own, and what such a thing is called anywhere.
_GENERIC = (
    ("Industrial lead", "Track from the site"), ("industrial lead", "track from the site"), (", look at the trestle", ""),
    (", gauge, trestle", " and gauge"), ("Lead or trestle", "Track"), ("onto the lead", "onto its track"),
    ("on the lead", "on the track from the site"), ("Lead worse", "Track worse"),
    ("from the yard to the gate", "to the road"),
    ("the trestle", "the bridges"), ("Skidded 60 ft out of the shut-in track, then jacked", "Jacked"),
)  # fmt: skip
#: Rows of the demo that are about a thing of its own.
_LOCAL = {"trestle_unfit", "frost_law_runs_on"}
#: Drivers that count something of steam engines alone.
_OF_STEAM = {"steam_engines", "lagged_boilers", "rod_sets"}
#: What no unit holds to anybody's knowledge before it was surveyed, and how much it may be.
_UNSURVEYED = {"asbestos_places": ("0", "1", "4"), "asbestos_strips": ("0", "0", "1")}
_FROST = {"calendar": "road", "rule": "closed", "first": "03-01", "last": "05-15", "needs": "overweight_loads",
          "reason": "Frost law: no overweight load while the ground thaws; ask the state for its dates"}  # fmt: skip


def new_museum(place: str | Path, point: StartingPoint = StartingPoint()) -> Path:  # noqa: B008 - frozen
    """Write the starter museum into a new folder or workbook.

    Parameters
    ----------
    place : path
        A folder that is not there yet or is empty, or a name that ends in .xlsx.
    point : StartingPoint
        The first answers; each has a default.

    Returns
    -------
    Path

    Raises
    ------
    PlannerError
        If something stands there already, or the folder above it is missing.

    Examples
    --------
    >>> import heritagemove as hm
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     hm.begin(f"{folder}/my_museum").name
    'my_museum'
    """
    return write_begun(starter_museum(point), place, point)


def write_begun(museum: Typed, place: str | Path, point: StartingPoint) -> Path:
    """Write a museum that began at a starting point into a new folder or workbook, with what it says of itself."""
    text = readme(museum, left_out(typed(_demo(point)), point))
    return write_museum(museum, place, readme=text, first="One decision. Replace every name and date by your own.")


def starter_museum(point: StartingPoint = StartingPoint()) -> Typed:  # noqa: B008 - frozen
    """Return the starter museum as typed, made from the demo that comes with this package and moves under such rules."""
    return starter(typed(_demo(point)), point)


def _demo(point: StartingPoint) -> Path:
    return shipped("elsewhere/melderbach" if point.rules == "melderbach" else "tamber_river")


def left_out(demo: Typed, point: StartingPoint) -> dict[str, str]:
    """Return the titles of a demo's paths that have no place in a museum, each with the reason."""
    tables = {file.removesuffix(".csv"): _rows(lines) for file, lines in demo.tables.items()}
    reasons = {row["title"]: _why_not(row, tables["stages"], point) for row in tables["paths"]}
    return {title: why for title, why in reasons.items() if why}


def starter(demo: Typed, point: StartingPoint) -> Typed:
    """Return the starter museum made from a demo museum, both as typed."""
    tables = {file.removesuffix(".csv"): _rows(lines) for file, lines in demo.tables.items()}
    tables |= {table: [] for table in _EMPTY if table in tables}
    _keep_paths(tables, point)
    _take_unit(tables, point)
    _lay_way(tables, point)
    _keep_used(tables)
    _generic(tables, point)
    lines = {file: _lines(file, tables[file.removesuffix(".csv")]) for file in demo.tables}
    return Typed(_scenario(demo.scenario, tables, point), with_waits(lines))


def _rows(lines: Lines) -> Rows:
    return [dict(zip(heading_of(lines), line, strict=False)) for line in lines[1:]]


def _lines(file: str, rows: Rows) -> Lines:
    heading = list(MUSEUM_TABLES[file].columns)
    return [heading, *([row.get(name, "") for name in heading] for row in rows)]


def _why_not(path: Mapping[str, str], stages: Rows, point: StartingPoint) -> str:
    of_path = [row for row in stages if row["path"] == path["path"]]
    reasons = (
        point.why_not(row["carried_on"], path["takes_out"], row["trucks"], row["interim"] == "yes") for row in of_path
    )
    return next((why for why in reasons if why), "")


def _keep_paths(tables: dict[str, Rows], point: StartingPoint) -> None:
    """Leave out the paths that have no place, and what is theirs alone."""
    out = {row["path"] for row in tables["paths"] if _why_not(row, tables["stages"], point)}
    for rows in tables.values():
        rows[:] = [row for row in rows if row.get("path") not in out]
    saved = [row["path"] for row in tables["paths"] if row["saves"] == "yes"]
    rest = sorted(saved, key=lambda path: path not in ("trailer", "flat_car", "roll_on"))
    for number, row in enumerate(tables["paths"], 1):
        row["number"] = str(number)
        if row["fallback"] in out:
            row["fallback"] = next((path for path in rest if path != row["path"]), "")
    # A shift aside is the demo's: its track is shut in between walls.
    tables["stages"][:] = [row for row in tables["stages"] if row["carried_on"] != "shift"]
    tables["cost_lines"][:] = [row for row in tables["cost_lines"] if not row["driver"].startswith("shift_")]
    tables["risks"][:] = [row for row in tables["risks"] if row["needs"] != "shift_distance"]
    gone = {(row["path"], row["task"]): row["after"] for row in tables["tasks"] if row["needs"] == "shift_distance"}
    tables["tasks"][:] = [row for row in tables["tasks"] if (row["path"], row["task"]) not in gone]
    for row in tables["tasks"]:
        before = (gone.get((row["path"], task), task) for task in row["after"].split(";"))
        row["after"] = ";".join(dict.fromkeys(";".join(before).split(";")))


def _take_unit(tables: dict[str, Rows], point: StartingPoint) -> None:
    """Put the planner's unit in the place of the demo's that is most like it; of its measures nothing is known."""
    kind = point.unit
    ids = [row["vehicle"] for row in tables["vehicles"]]
    model = kind.like if kind.like in ids else ids[0]
    for table in tables.values():
        table[:] = [row for row in table if row.get("vehicle") in (None, "any", model)]
        for row in table:
            row |= {name: UNIT for name, text in row.items() if text == model}
    metric, boxed = point.rules == "melderbach", _has_boxes(tables)
    (unit,) = tables["vehicles"]
    blank = {name: "" for name, column in MUSEUM_TABLES["vehicles.csv"].columns.items() if column.allowed.may_be_blank}
    unit |= blank | {
        "name": "Our unit", "kind": kind.kind, "built": str(kind.built), "weight_tolerance": "10 %", "lifts": "1",
        "type": "" if metric else kind.type, "motors": str(kind.motors), "journal_position": kind.boxes,
        "bearing": "unknown", "significance": "3", "must_run": "no", "brakes": "unknown", "draft_gear": "unknown",
        "hazards": "unknown",
    }  # fmt: skip
    axles = zip(kind.positions.split(";"), kind.roles.split(), strict=True)
    tables["axles"] = [
        {"vehicle": UNIT, "axle": str(number), "position": _length(float(place), metric), "load": "", "role": role}
        for number, (place, role) in enumerate(axles, 1)
    ]
    tables["pieces"] = [
        {"vehicle": UNIT, "piece": piece, "title": title, "kind": of, "count": str(count), "wheels_on": wheels}
        for piece, title, of, count, wheels in kind.pieces
    ]
    pieces = {row["piece"]: row for row in tables["pieces"]}
    carried = next(iter(tables["piece_carriage"]), None)
    tables["piece_carriage"] = [
        carried | {"piece": piece} for piece, row in pieces.items() if carried and row["kind"] in ("truck", "tender")
    ]
    seen = [row for row in tables["survey"] if row["place"] in ("vehicle", "site")]
    clues = dict.fromkeys(row["clue"] for row in tables["survey"] if row["place"] not in ("vehicle", "site"))
    looked = next((row for row in tables["survey"] if row["place"] not in ("vehicle", "site")), {})
    boxes = [f"{row['axle']}{side}" for row in tables["axles"] for side in "LR"] if boxed else []
    tables["survey"] = [*(looked | {"place": box, "clue": clue} for box in boxes for clue in clues), *seen]


def _has_boxes(tables: Mapping[str, Rows]) -> bool:
    """Return whether the unit rolls on its own journals on some path."""
    return any(row["carried_on"] in ("own_wheels", "other_wheels", "roll_on_trailer") for row in tables["stages"])


def _length(feet: float, metric: bool) -> str:
    return f"{feet * 0.3048:.2f} m" if metric else f"{feet:g} ft"


def _lay_way(tables: dict[str, Rows], point: StartingPoint) -> None:
    """Put places and legs of which only the lengths are known in the place of the demo's."""
    kept = {row["carried_on"] for row in tables["stages"]}
    interim = {row["path"] for row in tables["stages"] if row["interim"] == "yes"}
    siding = next((row for row in tables["places"] if row["kind"] == "storage" and interim), {})
    tables["places"] = starter_places(point, siding.get("storage_rate", ""), bool(interim))
    tables["legs"] = starter_legs(point, kept, bool(interim))
    for row in tables["stages"]:
        row |= way_of(row["carried_on"], row["interim"] == "yes")
        row["order"] = "1"
    tables["trailers"][:] = [row for row in tables["trailers"] if row["used_for"] in (*kept, "truck_load")]
    if "flat_car" not in kept:
        tables["flat_cars"], tables["engines"] = [], tables["engines"] if point.rail_at_both_ends else []
    trucks = {row["trucks"] for row in tables["stages"]}
    tables["donor_trucks"][:] = [row for row in tables["donor_trucks"] if row["donor_truck"] in trucks]


def _keep_used(tables: dict[str, Rows]) -> None:
    """Leave out what nothing names any more: prices, quantities, trailers' axles, facts of gates that are gone."""
    steam = tables["vehicles"][0]["kind"] == "steam_locomotive"
    motors = tables["vehicles"][0]["motors"] != "0"
    of_others = set() if steam else _OF_STEAM
    of_others |= set() if motors else {"motors"}

    def applies(row: Mapping[str, str]) -> bool:
        named = {row.get(name, "") for name in ("needs", "driver", "times")}
        names = {row.get(name, "") for name in ("risk", "gate", "line", "rate")}
        return not named & of_others and not names & _LOCAL

    for table in ("gates", "risks", "cost_lines", "calendars"):
        tables[table][:] = [row for row in tables[table] if applies(row)]
    lines = {(row["path"], row["line"]) for row in tables["cost_lines"]}
    any_line = {line for _, line in lines}
    tables["call_outs"][:] = [
        row for row in tables["call_outs"]
        if (row["path"], row["line"]) in lines or (row["path"] == "any" and row["line"] in any_line)
    ]  # fmt: skip
    trailers = {row["trailer"] for row in tables["trailers"]}
    tables["trailer_axles"][:] = [row for row in tables["trailer_axles"] if row["trailer"] in trailers]
    equipment = {"", *trailers, *(row["crane"] for row in tables["cranes"]), *(r["flat_car"] for r in tables["flat_cars"])}
    wanted = {row["rate"] for row in tables["cost_lines"]} | {row["storage_rate"] for row in tables["places"]} | {"holdover"}
    tables["rates"][:] = [row for row in tables["rates"] if row["rate"] in wanted and row["equipment"] in equipment]
    drivers = {word for named in _drivers_named(tables) for word in named.split(";")}
    tables["quantities"][:] = [row for row in tables["quantities"] if row["driver"] in drivers and row["path"] == "any"]
    facts = {fact for row in tables["gates"] for fact in row["fact"].split(";")}
    sites = [row for row in tables["survey"] if row["place"] == "site"]
    tables["survey"][:] = [row for row in tables["survey"] if row not in sites or row["clue"] in facts]


def _drivers_named(tables: Mapping[str, Rows]) -> Iterable[str]:
    for table in ("cost_lines", "tasks", "risks", "gates", "calendars", "rates"):
        for name in ("driver", "times", "per", "needs", "for_each", "least_for", "load_weight"):
            yield from (row.get(name, "") for row in tables[table])
    yield "asbestos_places;asbestos_strips"


def _generic(tables: dict[str, Rows], point: StartingPoint) -> None:
    """Say of each row that it is the starter's, with no name of the demo's in it, and put in what was answered."""
    _seasons(tables, point)
    for table, rows in tables.items():
        for row in rows:
            row |= _marks(table, row)
    for row in tables["rates"]:
        if row["rate"] == "holdover":
            row |= dict.fromkeys(("low", "likely", "high"), f"{point.holdover:g}")
            row["source"] = _ANSWERED if point.holdover else "nobody has said that the owner charges for waiting"
            row["starter"] = "" if point.holdover else "yes"
    for row in tables["quantities"]:
        if row["driver"] in _UNSURVEYED:
            row |= dict(zip(("low", "likely", "high"), _UNSURVEYED[row["driver"]], strict=True))
    for row in tables["survey"]:
        if row["clue"] == "rail_connection" and point.stands == "joined_track":
            row |= {"found": "yes", "source": _ANSWERED}
    tables["bases"] = [
        {"table": "legs.csv", "key": leg["leg"], "column": "length", "basis": "judgment", "source": _ANSWERED}
        for leg in tables["legs"] if leg["leg"] != SITE_TRACK
    ]  # fmt: skip


def _seasons(tables: dict[str, Rows], point: StartingPoint) -> None:
    """Keep no closed season but the year's end, unless seasons were asked for: then those that are common anywhere."""
    closed = [row for row in tables["calendars"] if row["rule"] == "closed" and row["calendar"] != "year_end"]
    kept = [row for row in closed if row["needs"] == "exception_requests"] if point.seasons else []
    tables["calendars"][:] = [row for row in tables["calendars"] if row not in closed or row in kept]
    tables["risks"][:] = [row for row in tables["risks"] if not row.get("stretches")]
    if point.seasons and any(row["calendar"] == "road" for row in tables["calendars"]):
        tables["calendars"].append({"basis": "judgment"} | _FROST)
    elif not kept:
        tables["gates"][:] = [row for row in tables["gates"] if row["check"] != "season"]


def _marks(table: str, row: Mapping[str, str]) -> dict[str, str]:
    """Return the cells of a row that say what is still to be replaced."""
    marks = {name: _without_names(text) for name, text in row.items() if name in ("title", "summary", "what", "policy")}
    if table == "survey":
        return marks | {"found": "unknown", "photo": "", "basis": "judgment", "source": _UNSEEN}
    marks |= {"starter": "yes"} if "starter" in MUSEUM_TABLES[f"{table}.csv"].columns else {}
    if row.get("basis") in ("published", "quote"):
        return marks
    return marks | {"basis": "judgment", "source": _RATE if table == "rates" else _OWN}


def _without_names(text: str) -> str:
    for local, anywhere in _GENERIC:
        text = text.replace(local, anywhere)
    return text


def _scenario(demo: Scenario, tables: Mapping[str, Rows], point: StartingPoint) -> Scenario:
    markets = {row.get("market") for table in ("rates", "tasks") for row in tables[table]}
    correlation = demo.correlation.model_copy(
        update={"markets": {name: value for name, value in demo.correlation.markets.items() if name in markets}}
    )
    named: dict[str, object] = {"name": "Our museum", "place": "Our town", "site": "The site"}
    named |= {"owner": "The owner of the site"}
    # Votes, tender and money come first: who begins now is gone in the season after next.
    named |= {day: getattr(demo, day) + _A_YEAR for day in ("deadline", "forced_scrap")}
    named |= {"correlation": correlation, "rules": "" if point.rules == USA else point.rules}
    return Scenario.model_validate(dict(demo) | named)


def readme(museum: Typed, without: Mapping[str, str]) -> str:
    """Return the README of a starter museum: what to do, what was left out, then one line a file."""
    counts = {file: len(museum.tables[file]) - 1 for file in MUSEUM_TABLES}
    rows = {file: f"{count or 'No'} row{'' if count == 1 else 's'}" for file, count in counts.items()}
    files = [f"- `{file}`: {first_line(model)} {rows[file]}." for file, model in MUSEUM_TABLES.items()]
    reasons = [f"- {title}: {why}." for title, why in without.items()]
    out = ["Left out, by what was answered at the beginning:", "", *reasons, ""]
    return "\n".join([
        "# Our museum",
        "",
        "Tables of one decision: what could be moved, by which paths, at what prices and risks. It checks clean as it is,",
        "and nothing in it is true yet: every value is invented until you replace it.",
        "",
        "1. `museum.toml`: names, start and deadline.",
        "2. `vehicles.csv`, `pieces.csv` and `axles.csv`: your unit. A blank cell is unknown, never zero.",
        f"3. `survey.csv`: what you saw. Each row says `{_UNSEEN}` until somebody has looked.",
        "4. `places.csv`: where it stands, waits and ends. What nobody has measured there stays blank.",
        "5. `legs.csv` and `bridges.csv`: your rail and your road route.",
        "6. `quantities.csv`: a 0 for `owner_votes`, `tenders` or `money_to_raise` where nobody votes, bids or gives first.",
        f"7. `rates.csv`: a price says `{_RATE}` until you have one; begin with the dearest. `holdover` is what the owner",
        "   charges for each day after the deadline: 0 until somebody has said so.",
        "",
        "Keep `python -m heritagemove check --watch` on this folder running while you edit: it reads the tables again at",
        "each save. `notebooks/your_museum.ipynb` does the first steps by form and says what is still unknown.",
        "",
        *(out if without else []),
        "## The files",
        "",
        "- `museum.toml`: names, dates, policy and slider ranges of the decision.",
        *files,
        "",
    ])  # fmt: skip
