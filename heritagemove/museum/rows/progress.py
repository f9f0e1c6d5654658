from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import Date, OptionalDate, OptionalText, Reference, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis


class Progress(Row, read_by="costs and dates"):
    """One task that has begun."""

    vehicle: Reference = column("unit", key=True, refers_to="vehicles.vehicle")
    path: Reference = column("path", key=True, refers_to="paths.path")
    task: Reference = column("task of that path", key=True, refers_to="tasks.task", same="path")
    started: Date = column("day it began")
    finished: OptionalDate = column("last day of its work; blank while it goes on")
    outcome: choice("met", "refused", blank=True) = column("what became of the gates that it settles; blank: met")
    holds_until: OptionalDate = column("last day on which the letter or permit it brought holds; blank: no end")
    note: OptionalText = column("note", read_by="screens")
    basis: Basis = BASIS
    source: Text = SOURCE

    @model_validator(mode="after")
    def _in_order(self) -> Any:
        if self.finished is not None and self.finished < self.started:
            raise ValueError("finished: a date not before it started, or blank")
        if self.finished is None and (self.outcome or self.holds_until):
            raise ValueError("finished: the last day of its work, since its outcome is known")
        return self
