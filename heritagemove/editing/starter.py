"""A museum to begin with: one unit, every path, prices that wait for a quote, and a survey not yet made.

It is the demo museum with everything taken out that is known of the demo alone, so that it never
falls behind the tables of this version.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from heritagemove.editing.starter_waits import with_waits
from heritagemove.editing.writing import Lines, Typed, typed, write_museum
from heritagemove.files.tables import heading_of
from heritagemove.museum.column_tables import first_line
from heritagemove.museum.museum import shipped
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.scenario_file import Scenario

#: The demo's unit that the starter's stands for, and what it is called there.
_MODEL, _UNIT = "foundry_switcher", "our_unit"
#: Tables that begin empty: nothing has been promised, drawn, offered, paid, done or amended yet.
_EMPTY = ("quotes.csv", "actuals.csv", "funds.csv", "progress.csv", "changes.csv", "tie_down_drawings.csv")
_RATE = "replace with a quote"
_OWN = "starter value; replace with your own"
_A_YEAR = dt.timedelta(days=366)
_UNSEEN = "not looked at yet"
#: What of a place is unknown until somebody has measured it.
_NOT_MEASURED = dict.fromkeys(
    ("soil", "bearing", "pad_area", "pad_material", "radius", "headroom", "obstruction", "power_line_voltage",
     "power_line_distance", "power_lines_cleared", "crane_access", "services_located", "track_length"), "",
)  # fmt: skip


def new_museum(place: str | Path, demo: str | Path | None = None) -> Path:
    """Write the starter museum into a new folder or workbook.

    Parameters
    ----------
    place : path
        A folder that is not there yet or is empty, or a name that ends in .xlsx.
    demo : path, optional
        The demo museum it is made from; by default the one that comes with this package.

    Returns
    -------
    Path

    Raises
    ------
    PlannerError
        If something stands there already, or the folder above it is missing.
    """
    museum = starter_museum(demo)
    return write_museum(museum, place, readme=readme(museum), first="One decision. Replace every name and date by your own.")


def starter_museum(demo: str | Path | None = None) -> Typed:
    """Return the starter museum as typed; by default made from the demo that comes with this package."""
    source = shipped("tamber_river") if demo is None else Path(demo)
    return starter(typed(source))


def starter(demo: Typed) -> Typed:
    """Return the starter museum made from a demo museum, both as typed."""
    units = {row[heading_of(demo.tables["vehicles.csv"]).index("vehicle")] for row in demo.tables["vehicles.csv"][1:]}
    tables = {file: _table(file, lines, units) for file, lines in demo.tables.items()}
    named = {"name": "Our museum", "place": "Our town", "site": "The site", "owner": "The owner of the site"}
    # Votes, tender and money come first: who begins now is gone in the season after next.
    named |= {day: getattr(demo.scenario, day) + _A_YEAR for day in ("deadline", "forced_scrap")}
    return Typed(Scenario.model_validate(dict(demo.scenario) | named), with_waits(tables))


def _table(file: str, lines: Lines, units: set[str]) -> Lines:
    heading = heading_of(lines)
    if file in _EMPTY:
        return [heading]
    others = units - {_MODEL}
    kept = []
    for line in lines[1:]:
        row = dict(zip(heading, line, strict=False))
        if row.get("vehicle") in others:
            continue
        row = {column: _UNIT if text == _MODEL else text for column, text in row.items()}
        kept.append(list((row | _marks(file, row)).values()))
    return [heading, *kept]


def _marks(file: str, row: dict[str, str]) -> dict[str, str]:
    """Return the cells of a row that say what is still to be replaced."""
    if file == "survey.csv":
        return {"found": "unknown", "photo": "", "basis": "judgment", "source": _UNSEEN}
    if file == "rates.csv":
        return {"basis": "judgment", "source": _RATE}
    if row.get("basis") == "published":
        return {}
    marks = {"basis": "judgment", "source": _OWN} if "basis" in row else {}
    if file == "vehicles.csv":
        marks["name"] = "Our unit"
    if file == "places.csv":
        marks |= _NOT_MEASURED | {"title": f"The {row['kind']}", "owner": f"Whoever owns the {row['kind']}"}
    if file == "legs.csv":
        marks["state"] = "our_state"
        marks["permit_table"] = ""  # that of the planner's own state, nobody else's
        marks["name"] = f"{row['mode'].capitalize()} leg {row['order']}"
        marks |= {"bridges": ""} if row["bridges"] == "none" else {}  # nobody has said so of the planner's own
    return marks


def readme(museum: Typed) -> str:
    """Return the README of a starter museum: what to do, then one line a file."""
    counts = {file: len(museum.tables[file]) - 1 for file in MUSEUM_TABLES}
    rows = {file: f"{count or 'No'} row{'' if count == 1 else 's'}" for file, count in counts.items()}
    files = [f"- `{file}`: {first_line(model)} {rows[file]}." for file, model in MUSEUM_TABLES.items()]
    return "\n".join([
        "# Our museum",
        "",
        "Tables of one decision: what could be moved, by which paths, at what prices and risks. It checks clean as it is,",
        "and nothing in it is true yet: every value is invented until you replace it.",
        "",
        "1. `museum.toml`: names, start, deadline, what the owner charges for each day after it.",
        "2. `vehicles.csv`, `pieces.csv` and `axles.csv`: your unit. A blank cell is unknown, never zero.",
        f"3. `survey.csv`: what you saw. Each row says `{_UNSEEN}` until somebody has looked.",
        "4. `places.csv`: where it stands, waits and ends. What nobody has measured there stays blank.",
        "5. `legs.csv` and `bridges.csv`: your rail and your road route.",
        "6. `quantities.csv`: a 0 for `owner_votes`, `tenders` or `money_to_raise` where nobody votes, bids or gives first.",
        f"7. `rates.csv`: every price says `{_RATE}`; begin with the dearest.",
        "",
        "Keep `python -m heritagemove check --watch` on this folder running while you edit: it reads the tables again at",
        "each save. `notebooks/your_museum.ipynb` does the first steps by form and says what is still unknown.",
        "",
        "## The files",
        "",
        "- `museum.toml`: names, dates, policy and slider ranges of the decision.",
        *files,
        "",
    ])  # fmt: skip
