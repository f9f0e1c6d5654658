"""data/COLUMNS.md, made from the row models so that the two cannot disagree.

``python -m heritagemove.museum.column_tables`` prints it.
"""

from __future__ import annotations

from heritagemove.files.tables import Column, Row
from heritagemove.museum import rows
from heritagemove.museum.drivers import DRIVERS
from heritagemove.museum.rows.limits import FAMILIES, READ

_HEAD = """# Every table and column

Made by the program from its own description of each column: `python -m heritagemove.museum.column_tables`.
[README.md](README.md) says how to fill the tables, [OUTPUT.md](OUTPUT.md) what comes out.

*Refers to* names the table whose ids a cell may hold. *Read by* says who uses the value: **gates** (may it be done?),
**costs and dates** (how much, and when?), **screens** (shown, but nothing is computed from it), **check** (compared with
other cells when the tables are read), **whoever checks the row** (where it comes from), or **nobody** yet. **Bold** columns
together name a row: no two rows have the same.
"""


def column_tables() -> str:
    """Return data/COLUMNS.md: every file with its columns, then the limits that are read and the drivers."""
    parts = [_HEAD, "## Tables of a museum\n", *(_file(file, model) for file, model in rows.MUSEUM_TABLES.items())]
    parts += ["## Published limits (`reference/`)\n"]
    parts += [_file(file, model) for file, model in rows.REFERENCE_TABLES.items()]
    parts += ["## Limits that are read\n", _limits(), "## Drivers\n", _drivers()]
    return "\n".join(parts)


def first_line(model: type[Row]) -> str:
    """Return in one line what a row of a table is."""
    return (model.__doc__ or "").strip().splitlines()[0]


def _file(file: str, model: type[Row]) -> str:
    lines = _heading("column", "what it holds", "allowed", "refers to", "read by")
    lines += [_line(column) for column in model.columns.values()]
    return "\n".join([f"### `{file}`\n", f"{first_line(model)}\n", *lines]) + "\n"


def _line(column: Column) -> str:
    name = f"**`{column.name}`**" if column.key else f"`{column.name}`"
    return _cells(name, column.means, allowed_in(column), _refers_to(column), column.read_by)


def allowed_in(column: Column) -> str:
    """Return what a cell of a column may hold, in a planner's words."""
    several = column.allowed.text.startswith("ids ")
    words = ["ids with ; between them" if several else "an id"] if column.refers_to else [column.allowed.text]
    words += [f"or {', '.join(column.also)}"] * bool(column.also)
    words += ["or blank"] * (bool(column.refers_to) and (several or column.allowed.may_be_blank))
    words += [f"{sign} its {other}" for sign, other in (("at least", column.at_least), ("at most", column.at_most)) if other]
    words += ["each once"] * column.unique + ["may be left out"] * (not column.required)
    return "; ".join(words)


def _refers_to(column: Column) -> str:
    others = {"drivers": "the drivers below", "tables": "the files above"}
    named = [others.get(target, f"`{target.partition('.')[0]}.csv`") for target in column.refers_to]
    condition, wanted = column.where
    more = f", of the same {column.same}" if column.same else f", where {condition} is {wanted}" if condition else ""
    return " or ".join(named) + more


def _limits() -> str:
    lines = [
        "A limit of another id is shown and moves nothing. Its unit may be another of the same kind: 10 ft, 3.05 m or",
        "120 in; 2,000 psf or 96 kPa; a weight stands for the force with which it presses.\n",
        *_heading("limit", "unit and range"),
    ]
    named = [(f"`{name}`", asked) for name, asked in READ.items()]
    named += [(f"`{name}`", asked) for name, (_, asked) in FAMILIES.items()]
    return "\n".join(lines + [_cells(name, asked.range) for name, asked in sorted(named)]) + "\n"


def _drivers() -> str:
    origins = {
        "unit": "vehicles.csv, pieces.csv, axles.csv",
        "route": "legs.csv",
        "check": "an engineering check",
        "quantity": "quantities.csv",
        "rest": "what is left of other quantities",
        "task": "the sampled duration of the line's own task",
    }
    lines = _heading("driver", "unit", "what it counts", "where the amount comes from")
    return "\n".join(lines + [_cells(f"`{d.name}`", d.unit, d.meaning, origins[d.origin]) for d in DRIVERS.values()]) + "\n"


def _heading(*titles: str) -> list[str]:
    return [_cells(*titles), "|" + "---|" * len(titles)]


def _cells(*texts: str) -> str:
    return "| " + " | ".join(text.replace("|", "\\|") for text in texts) + " |"


if __name__ == "__main__":
    print(column_tables(), end="")
