from heritagemove.files.cells import Identifier, Reference, Text, YesNo
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class CallOut(Row, read_by="costs and dates"):
    """One part of a call-out: a cost line that is charged once for all units that use it."""

    call_out: Identifier = column("id of the call-out; several rows of one id are its parts", key=True)
    title: Text = column("what comes out once", read_by="screens")
    path: Reference = column("id of the path, or any", key=True, refers_to="paths.path", also=("any",))
    line: Reference = column(
        "cost line charged once for all units, at the dearest unit's amount in each trial",
        key=True,
        refers_to="cost_lines.line",
        same="path",
    )
    each_equipment: YesNo = column(
        "whether each crane, trailer or flat car is a call-out of its own, shared only by units on the same one"
    )
    in_turn: YesNo = column(
        "whether the units wait for each other: it comes when the last is ready and takes them in turn", one_per="call_out"
    )
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
