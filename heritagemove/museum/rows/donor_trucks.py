from heritagemove.files.cells import Identifier, Text, quantity, whole
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, JournalSize, YesOrBlank


class DonorTruck(Row, read_by="gates"):
    """One kind of truck that may be put under a unit in place of its own."""

    donor_truck: Identifier = column("id of the kind of truck", key=True)
    title: Text = column("what it is")
    axles: whole(1, 4) = column("axles of one truck")
    axle_spacing: quantity("ft", above=0) = column("distance between neighbouring axles of one truck")
    weight: quantity("lb", blank=True, above=0) = column("weight of one truck with its wheels")
    journal: JournalSize = column("size of its journals, diameter x length in inches; the rating of freight service counts")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
