"""The tables of data/README.md, made from the row models so that they cannot disagree."""

from __future__ import annotations

from heritagemove.files.tables import Allowed, Row
from heritagemove.museum import rows
from heritagemove.museum.drivers import DRIVERS

BEGIN = "<!-- columns: begin -->"
END = "<!-- columns: end -->"


def column_tables() -> str:
    """Return the generated part of data/README.md: every file with its columns, then the drivers."""
    parts = ["## Tables of a museum\n", *(_file(file, model) for file, model in rows.MUSEUM_TABLES.items())]
    parts += ["## Published limits (`reference/`)\n"]
    parts += [_file(file, model) for file, model in rows.REFERENCE_TABLES.items()]
    parts += ["## Drivers\n", _drivers()]
    return "\n".join(parts)


def first_line(model: type[Row]) -> str:
    """Return in one line what a row of a table is."""
    return (model.__doc__ or "").strip().splitlines()[0]


def _file(file: str, model: type[Row]) -> str:
    lines = [f"### `{file}`\n", f"{first_line(model)}\n", "| column | what it means | allowed |", "|---|---|---|"]
    for name, field in model.model_fields.items():
        allowed = next((entry.text for entry in field.metadata if isinstance(entry, Allowed)), "")
        lines.append(f"| `{name}` | {_cell(field.description or '')} | {_cell(allowed)} |")
    return "\n".join(lines) + "\n"


def _drivers() -> str:
    lines = ["| driver | unit | what it counts | where the amount comes from |", "|---|---|---|---|"]
    origins = {
        "unit": "vehicles.csv, axles.csv",
        "route": "segments.csv",
        "check": "an engineering check",
        "quantity": "quantities.csv",
        "task": "the sampled duration of the line's own task",
    }
    lines += [f"| `{d.name}` | {d.unit} | {_cell(d.meaning)} | {origins[d.origin]} |" for d in DRIVERS.values()]
    return "\n".join(lines) + "\n"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
