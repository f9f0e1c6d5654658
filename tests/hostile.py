"""The demo with a hostile text in every cell that holds text, for the page, the panels and the charts."""

import dataclasses
import itertools
import json
from pathlib import Path

from heritagemove.files.tables import Allowed
from heritagemove.museum.rows import MUSEUM_TABLES, REFERENCE_TABLES

PAYLOADS = json.loads(Path(__file__).with_name("payloads.json").read_text(encoding="utf-8"))
#: Texts that are read as something: units, findings that a gate names, weekdays, places of a survey, track classes.
_READ = {"unit", "factor_unit", "found", "allowed", "weekdays", "weeks", "place", "track_class"}


def text_columns(model):
    """Return the columns of a table that hold any text."""
    return [
        name
        for name, field in model.model_fields.items()
        if name not in _READ and any(isinstance(e, Allowed) and e.text.startswith("a text") for e in field.metadata)
    ]


def with_texts(museum, texts):
    """Return a museum whose text cells hold the texts, each in turn, in every table."""
    turn = itertools.cycle(texts)
    tables = {}
    for file, model in (MUSEUM_TABLES | REFERENCE_TABLES).items():
        columns = text_columns(model)
        table = file.removesuffix(".csv")
        tables[table] = [row.model_copy(update={name: next(turn) for name in columns}) for row in getattr(museum, table)]
    names = {name: next(turn) for name in ("name", "place", "site", "owner")}
    return dataclasses.replace(museum.with_changes(**names, **tables), folder=next(turn))
