from typing import ClassVar

from heritagemove.files.cells import Count, Date, Identifier, Identifiers, Probability, Text, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Extension(Row, read_by="the decision"):
    """More time that the owner of the site may be asked for."""

    may_be_missing: ClassVar[bool] = True

    extension: Identifier = column("id of the extension", key=True)
    title: Text = column("what is asked of whom", read_by="screens")
    ask_by: Date = column("last day on which it may be asked")
    days: Count = column("calendar days by which the deadline and the forced-scrap date come later")
    price: quantity("money") = column("paid where it is granted")
    probability: Probability = column("probability that it is granted")
    units: Identifiers = column("units it is for; blank for any", refers_to="vehicles.vehicle")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
