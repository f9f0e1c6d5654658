from heritagemove.files.cells import Reference, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank

#: What may be done to the historic fabric -> how deep it goes, 1 to 3, and whether it can be undone.
DEPTHS: dict[str, tuple[int, bool]] = {
    "parts_off": (1, True), "parts_exchanged": (1, True), "machined": (2, False), "destroyed": (3, False),
}  # fmt: skip


class Alteration(Row, read_by="costs and dates"):
    """What a task does to the historic fabric; a path's intervention, and whether it can be undone, follow from these."""

    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    task: Reference = column("task that does it", key=True, refers_to="tasks.task", same="path")
    change: choice(*DEPTHS) = column("what is done; what is machined or destroyed cannot be undone")
    what: Text = column("to which part", read_by="whoever checks the row")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
