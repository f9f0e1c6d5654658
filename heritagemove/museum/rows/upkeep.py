from typing import ClassVar

from heritagemove.files.cells import Identifier, NonNegative, Reference, Text
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, Range, ThreePoint, YesOrBlank


class Upkeep(ThreePoint, read_by="screens"):
    """One cost of every year after the arrival: it stands beside the move, never in it."""

    may_be_missing: ClassVar[bool] = True

    vehicle: Reference = column("id of the unit, or any", key=True, refers_to="vehicles.vehicle", also=("any",))
    upkeep: Identifier = column("id of the cost", key=True)
    title: Text = column("what is paid for")
    low: NonNegative = column("a year, in the museum's currency, low")
    likely: NonNegative = column("likely")
    high: NonNegative = column("high")
    range: Range = column("what low and high mean")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
