from heritagemove.files.cells import Number, Reference, Text
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, ThreePoint, YesOrBlank


class Score(ThreePoint, read_by="costs and dates"):
    """What one path is worth on a criterion that nothing computes."""

    vehicle: Reference = column("id of the unit, or any", key=True, refers_to="vehicles.vehicle", also=("any",))
    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    criterion: Reference = column(
        "id of a scored criterion", key=True, refers_to="criteria.criterion", where=("measured", "scored")
    )
    low: Number = column("lowest score that is plausible, on the criterion's scale")
    likely: Number = column("score")
    high: Number = column("highest score that is plausible")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
