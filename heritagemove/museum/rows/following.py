"""Following a move: tasks as they happen, and who changed which value; headings alone where nothing has begun."""

from __future__ import annotations

from typing import Any

from pydantic import Field, model_validator

from heritagemove.files.tables import Count, Date, Identifier, OptionalDate, OptionalText, Row, Text, choice
from heritagemove.museum.rows.common import BASIS, SOURCE, Basis


class Progress(Row):
    """One task that has begun."""

    vehicle: Identifier = Field(description="unit")
    path: Identifier = Field(description="path")
    task: Identifier = Field(description="task of that path")
    started: Date = Field(description="day it began")
    finished: OptionalDate = Field(description="last day of its work; blank while it goes on")
    outcome: choice("met", "refused", blank=True) = Field(description="what became of the gates that it settles; blank: met")
    holds_until: OptionalDate = Field(description="last day on which the letter or permit it brought holds; blank: no end")
    note: OptionalText = Field(description="note")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)

    @model_validator(mode="after")
    def _in_order(self) -> Any:
        if self.finished is not None and self.finished < self.started:
            raise ValueError("finished: a date not before it started, or blank")
        if self.finished is None and (self.outcome or self.holds_until):
            raise ValueError("finished: the last day of its work, since its outcome is known")
        return self


class Change(Row):
    """One value amended in a table."""

    changed: Date = Field(description="day of the change")
    who: Text = Field(description="role that changed it")
    table: Text = Field(description="file, such as rates.csv")
    row: Count = Field(description="row number in the spreadsheet's margin")
    column: Text = Field(description="column")
    was: OptionalText = Field(description="what the cell held before")
    now: OptionalText = Field(description="what it holds since")
    why: Text = Field(description="reason")
