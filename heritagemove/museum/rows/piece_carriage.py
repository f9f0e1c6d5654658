from heritagemove.files.cells import OptionalReference, Reference, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank
from heritagemove.museum.rows.stages import MODES


class PieceCarriage(Row, read_by="gates, costs and dates"):
    """What carries one piece on one stage of a path, where it is not what the stage says."""

    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    stage: Reference = column("id of the stage of this path", key=True, refers_to="stages.stage", same="path")
    vehicle: Reference = column("id of the unit", key=True, refers_to="vehicles.vehicle")
    piece: Reference = column("id of the piece", key=True, refers_to="pieces.piece", same="vehicle")
    carried_on: choice(*MODES) = column("what carries it there")
    equipment: OptionalReference = column(
        "flat car or trailer under it; blank: the first that takes it", refers_to=("flat_cars.flat_car", "trailers.trailer")
    )
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
