from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import (
    Count,
    Identifier,
    OptionalReference,
    OptionalText,
    Text,
    YesNo,
    choice,
    choices,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Path(Row, read_by="gates, costs and dates"):
    """One relocation path."""

    path: Identifier = column("id of the path", key=True)
    number: Count = column("its number in every chart and table", unique=True)
    title: Text = column("what it is called")
    summary: Text = column("what is done, in a sentence or two", read_by="screens")
    takes_out: choices("motors", "fluids") = column(
        "what is taken out of the unit before it rolls: motors, fluids; blank for nothing"
    )
    best_for: Text = column("where it is at its best", read_by="screens")
    end_state: Text = column("how the unit ends up", read_by="screens")
    speed: OptionalText = column("how fast it moves", read_by="screens")
    saves: YesNo = column("whether the unit survives and reaches the museum")
    disposal: choice("scrapped", "declined", blank=True) = column(
        "scrapped: the owner scraps the unit; declined: the museum lets it go, with its record; blank: it is kept",
        unique=True,
    )
    fallback: OptionalReference = column("path to turn to when this one is refused", refers_to="paths.path")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _of_one_piece(self) -> Any:
        if self.disposal and self.saves:
            raise ValueError("disposal: blank where the unit is saved")
        return self
