"""What several units of one site pay for together: call-outs that are charged once."""

from __future__ import annotations

from pydantic import Field

from heritagemove.files.tables import Identifier, Row, Text, YesNo
from heritagemove.museum.rows.common import BASIS, SOURCE, Basis


class CallOut(Row):
    """One part of a call-out: a cost line that is charged once for all units that use it."""

    call_out: Identifier = Field(description="id of the call-out; several rows of one id are its parts")
    title: Text = Field(description="what comes out once")
    path: Identifier = Field(description="id of the path, or any")
    line: Identifier = Field(description="cost line charged once for all units, at the dearest unit's amount in each trial")
    each_equipment: YesNo = Field(
        description="whether each crane, trailer or flat car is a call-out of its own, shared only by units on the same one"
    )
    in_turn: YesNo = Field(
        description="whether the units wait for each other: it comes when the last is ready and takes them in turn"
    )
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)
